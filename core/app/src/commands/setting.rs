//! Setting out, the last tile of a row, and rows as they lie.

use crate::Problem;
use crate::refusal::unknown;
use crate::session::Session;
use crate::views::setting as views;
use crate::wire::{
    LastTileAsk, LastTileView, OfArea, PitchMeasured, RowMeasured, RowReadingOf, SettingOutView,
};
use crate::words::say;
use drylay_document::{Area, Edit, Entry, JobEntry, RowMark, TypedLength};
use drylay_geometry::{ItemId, Length};
use drylay_plan::last_tile::{last_tile as cut_last_tile, wall_allowance};

pub(crate) fn setting_out(session: &Session, ask: OfArea) -> Result<SettingOutView, Problem> {
    let (planned, _) = session.planned(&ask.job, &ask.area)?;
    let seen = session.desk().job(&ask.job)?;
    let otherwise = match session.laying(&seen, &ItemId::new(&ask.area)) {
        Ok(laying) if !laying.plan.is_of(&planned) => {
            say("work.other_setting", &[("number", &laying.record.held.value.number.to_string())])
        }
        _ => String::new(),
    };
    let view = views::setting_out(&planned, &seen.view, seen.units, otherwise);
    view.ok_or_else(|| Problem::new("chalk.none", "area"))
}

pub(crate) fn last_tile(session: &Session, ask: LastTileAsk) -> Result<LastTileView, Problem> {
    let (planned, _) = session.planned(&ask.job, &ask.area)?;
    let units = session.desk().job(&ask.job)?.units;
    let low = units.read_positive(&ask.gap, "gap")?.length();
    let high = match ask.gap_other.trim() {
        "" => low,
        text => units.read_positive(text, "gap_other")?.length(),
    };
    let (product, making) = (&planned.product, &planned.making);
    let allowance = wall_allowance(product.edge_gap, making.cutting.clearance);
    let cut = cut_last_tile(product, allowance, (low, high), making.grid).ok_or_else(|| {
        Problem::new("last.nothing_left", "gap")
            .with("joint", units.planned(product.joint).text)
            .with("wall", units.planned(allowance).text)
    })?;
    Ok(views::last_tile(&cut, product.joint, allowance, units))
}

/// Stores what ten tiles and ten rows measure. A pitch further from the label's than a tenth is a slip.
pub(crate) fn measure_pitch(session: &Session, ask: PitchMeasured) -> Result<SettingOutView, Problem> {
    let seen = session.desk().job(&ask.job)?;
    let id = ItemId::new(&ask.area);
    let held = seen.view.areas.get(&id).ok_or_else(|| unknown("area.unknown", "area", &ask.area))?;
    let before = held.value.clone();
    let product = seen.view.products.get(&before.product).map(|held| &held.value);
    let read =
        |text: &str, place: &str, face: Option<&TypedLength>| -> Result<Option<TypedLength>, Problem> {
            if text.trim().is_empty() {
                return Ok(None);
            }
            let ten = seen.units.read_positive(text, place)?;
            let joint = product.and_then(|p| p.joint.as_ref()).map_or(0.0, |joint| joint.length().mm());
            let label = face.map_or(0.0, |face| 10.0 * face.length().mm() + 9.0 * joint);
            let slip = label > 0.0 && (ten.length().mm() - label).abs() > label / 10.0;
            if slip {
                let expected = Length::from_mm_f64(label).unwrap_or(Length::ZERO);
                return Err(Problem::new("pitch.slip", place)
                    .with("found", ten.text())
                    .with("label", seen.units.planned(expected).text));
            }
            Ok(Some(ten))
        };
    let after = Area {
        ten_tiles: read(&ask.ten_tiles, "ten_tiles", product.and_then(|p| p.length.as_ref()))?,
        ten_rows: read(&ask.ten_rows, "ten_rows", product.and_then(|p| p.width.as_ref()))?,
        ..before.clone()
    };
    let edit = Edit::<JobEntry>::change(&id, before, after);
    session.change(seen.id, say("what.pitch", &[]), |change| change.apply(seen.id, &[edit]))?;
    setting_out(session, OfArea { job: ask.job, area: ask.area })
}

/// Stores a reading of a row: a new one beside others of the same row.
pub(crate) fn measure_row(session: &Session, ask: RowMeasured) -> Result<SettingOutView, Problem> {
    let seen = session.desk().job(&ask.job)?;
    let area = ItemId::new(&ask.area);
    if seen.view.areas.get(&area).is_none() {
        return Err(unknown("area.unknown", "area", &ask.area));
    }
    let mark = RowMark {
        area,
        row: i64::from(ask.row),
        at_start: seen.units.read_positive(&ask.at_start, "at_start")?,
        at_end: match ask.at_end.trim() {
            "" => None,
            text => Some(seen.units.read_positive(text, "at_end")?),
        },
    };
    let out = setting_out(session, OfArea { job: ask.job.clone(), area: ask.area.clone() })?;
    let [first, last] = out.measurable;
    if !(first..=last).contains(&ask.row) {
        return Err(Problem::new("laid.no_such_row", "row")
            .with("row", ask.row)
            .with("first", first)
            .with("last", last));
    }
    let (id, row) = (session.desk().new_id(), ask.row.to_string());
    let words = say("what.row_measured", &[("row", &row)]);
    session.change(seen.id, words, |change| change.apply(seen.id, &[Edit::<JobEntry>::add(&id, mark)]))?;
    setting_out(session, OfArea { job: ask.job, area: ask.area })
}

/// Takes a reading of a row back.
pub(crate) fn forget_row(session: &Session, ask: RowReadingOf) -> Result<SettingOutView, Problem> {
    let seen = session.desk().job(&ask.job)?;
    let id = ItemId::new(&ask.id);
    let held = seen.view.rows.get(&id).ok_or_else(|| unknown("entry.unknown", "id", &ask.id))?;
    let row = held.value.row.to_string();
    let words = say("what.row_forgotten", &[("row", &row)]);
    let edit = Edit::<JobEntry>::Withdraw { table: RowMark::TABLE, id };
    session.change(seen.id, words, |change| change.apply(seen.id, &[edit]))?;
    setting_out(session, OfArea { job: ask.job, area: ask.area })
}
