//! Setting out, the last tile and the floor as it lies, for the screens.

use crate::answers::{PlannedArea, spacers, wall_name};
use crate::wire::{
    AsItLiesView, CornerLetter, LaidRowView, LastTileView, RowEndsView, SettingOutView, SpacersView,
    StackView, Typed, Units, WallMarkView,
};
use crate::words::say;
use drylay_document::{JobView, RowMark, TypedLength};
use drylay_geometry::{ItemId, Length, Notation};
use drylay_plan::laid::AsItLies;
use drylay_plan::last_tile::LastTile;
use drylay_plan::place::Placed;
use drylay_plan::setting_out::{FromWall, RowEnds, SettingOut};
use drylay_plan::spacers::{Schedule, Stack};

/// A small difference in words: to a tenth of a millimetre or a thirty-second of an inch.
fn fine(units: Units, mm: f64) -> String {
    match (units, Length::from_mm_f64(mm.abs())) {
        (Units::Imperial | Units::Inches, Some(length)) => length.show(Notation::Inches(32)),
        _ => format!("{:.1} mm", mm.abs()),
    }
}

/// A width in the job's notation, from mm.
fn width(units: Units, mm: f64) -> Typed {
    units.planned(Length::from_mm_f64(mm).unwrap_or(Length::ZERO))
}

/// How an area is set out; `None` where no line of it can be measured off walls. `otherwise_words` are as told there.
pub(crate) fn setting_out(
    area: &PlannedArea,
    job: &JobView,
    units: Units,
    otherwise_words: String,
) -> Option<SettingOutView> {
    let set = area.making.set.as_ref()?;
    let mark = |f: &FromWall| from_wall(area, f, units);
    let (room, corner) = &set.check.corner;
    let from = (set.check.mark + 1).to_string();
    let check = [("mark", from.as_str()), ("corner", corner.as_str()), ("room", room_title(area, *room))];
    let last = area.plan.rows.len();
    let held = job.areas.get(&ItemId::new(area.id.as_str())).map(|held| &held.value);
    let rows = u32::try_from(last).unwrap_or(u32::MAX);
    let line_row = u32::try_from(set.row).unwrap_or(u32::MAX);
    Some(SettingOutView {
        row: line_row,
        words: say("chalk.line", &[("row", &set.row.to_string())]),
        otherwise_words,
        line: [at(set.line.0), at(set.line.1)],
        marks: set.marks.iter().map(mark).collect(),
        first_joint: mark(&set.first_joint),
        check: units.planned(set.check.reads),
        check_words: say("chalk.check", &check),
        check_line: check_line(area, set),
        corners: area.field.rooms.iter().flat_map(letters).collect(),
        rows: set.rows.iter().map(|r| row_ends(r, units)).collect(),
        spacers: spacers(area, set).map(|s| spacers_view(area, &s, units)),
        pitch_words: pitch_words(area, units),
        ten_tiles: held.and_then(|area| area.ten_tiles.as_ref()).map(typed),
        ten_rows: held.and_then(|area| area.ten_rows.as_ref()).map(typed),
        measurable: [line_row + 1, rows],
        laid: laid_rows(area, job, (line_row, rows)),
        as_it_lies: area.making.lies.as_ref().map(|lies| as_it_lies(lies, set, units)),
    })
}

/// From the mark to the corner.
fn check_line(area: &PlannedArea, set: &SettingOut) -> [[f64; 2]; 2] {
    let from = at(set.marks[set.check.mark].at);
    let (room, name) = &set.check.corner;
    let corners = area.field.rooms.get(*room).map_or(&[][..], |room| room.outline.corners());
    [from, corners.iter().find(|corner| corner.id == *name).map_or(from, |corner| at(corner.at))]
}

/// The corners of a room by name, where the room was placed.
fn letters(room: &Placed) -> Vec<CornerLetter> {
    let corners = room.outline.corners();
    let n = corners.len().max(1) as f64;
    let sum = corners.iter().map(|c| at(c.at)).fold([0.0; 2], |s, p| [s[0] + p[0], s[1] + p[1]]);
    let middle = sum.map(|s| s / n);
    corners.iter().map(|c| CornerLetter { name: c.id.to_string(), at: at(c.at), middle }).collect()
}

fn room_title(area: &PlannedArea, room: usize) -> &str {
    area.rooms.get(room).map_or("", |id| id.as_str())
}

fn at(p: drylay_geometry::Point) -> [f64; 2] {
    let (x, y) = p.mm();
    [x, y]
}

/// Where a wall is met square to it from a place.
fn foot(f: &FromWall) -> [f64; 2] {
    let (from, to, place) = (at(f.wall.from), at(f.wall.to), at(f.at));
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let square = dx * dx + dy * dy;
    let share = ((place[0] - from[0]) * dx + (place[1] - from[1]) * dy) / square;
    if square > 0.0 { [from[0] + share * dx, from[1] + share * dy] } else { place }
}

fn from_wall(area: &PlannedArea, f: &FromWall, units: Units) -> WallMarkView {
    let (_, [left, right]) = wall_name(area, (f.wall.room, f.wall.wall));
    WallMarkView {
        at: at(f.at),
        foot: foot(f),
        off: units.planned(f.off),
        along: units.planned(f.along),
        words: match area.rooms.len() {
            1 => say("chalk.off_wall", &[("left", &left), ("right", &right)]),
            _ => {
                let room = room_title(area, f.wall.room);
                say("chalk.off_wall_of", &[("left", &left), ("right", &right), ("room", room)])
            }
        },
    }
}

fn row_ends(r: &RowEnds, units: Units) -> RowEndsView {
    let sd = r.start.1.zip(r.end.1).map(|(a, b)| a.max(b));
    RowEndsView {
        row: u32::try_from(r.row).unwrap_or(u32::MAX),
        start: units.planned(r.start.0),
        end: units.planned(r.end.0),
        sure: match sd {
            None => say("chalk.unsure", &[]),
            Some(sd) if sd < 0.05 => String::new(),
            Some(sd) => say("chalk.sure", &[("sd", &fine(units, sd))]),
        },
    }
}

fn pitch_words(area: &PlannedArea, units: Units) -> String {
    let code = match area.making.measured {
        (true, true) => "chalk.pitch_measured",
        (false, false) => "chalk.pitch_label",
        _ => "chalk.pitch_half",
    };
    let pitch = |length: Length| fine(units, length.mm());
    let (along, across) = (pitch(area.product.pitch_along()), pitch(area.product.pitch_across()));
    say(code, &[("along", &along), ("across", &across)])
}

fn spacers_view(area: &PlannedArea, s: &Schedule, units: Units) -> SpacersView {
    let (_, [left, right]) = wall_name(area, s.wall);
    let stack = |code: Option<&str>, s: &Stack| StackView {
        along: units.planned(s.along),
        gap: units.planned(s.gap),
        words: code.map(|code| say(code, &[])).unwrap_or_default(),
    };
    let shows = |s: &Stack| if s.shows == Some(true) { Some("chalk.shows") } else { None };
    let words = if s.is_even() { "chalk.even" } else { "chalk.spacers" };
    let rip = units.planned(s.rip).text;
    let row = s.row.to_string();
    SpacersView {
        words: say(words, &[("left", &left), ("right", &right), ("row", &row), ("rip", &rip)]),
        even: s.is_even(),
        stacks: s.stacks.iter().map(|one| stack(shows(one), one)).collect(),
        tight: s.tight.iter().map(|one| stack(Some("chalk.tight"), one)).collect(),
    }
}

fn typed(t: &TypedLength) -> Typed {
    Typed { text: t.text().to_owned(), mm: t.length().mm() }
}

fn laid_rows(area: &PlannedArea, job: &JobView, (line_row, rows): (u32, u32)) -> Vec<LaidRowView> {
    let mut held: Vec<(&str, &RowMark)> = job
        .rows
        .live
        .iter()
        .filter(|h| h.value.area.as_str() == area.id)
        .map(|h| (h.id.as_str(), &h.value))
        .collect();
    held.sort_by_key(|(id, row)| (row.row, *id));
    let view = |(id, mark): (&str, &RowMark)| {
        let row = u32::try_from(mark.row).unwrap_or(0);
        let counts = row > line_row && row <= rows;
        let (first, last) = ((line_row + 1).to_string(), rows.to_string());
        let odd = || say("lies.no_such_row", &[("first", &first), ("last", &last)]);
        LaidRowView {
            id: id.to_owned(),
            row,
            at_start: typed(&mark.at_start),
            at_end: mark.at_end.as_ref().map(typed),
            words: if counts { String::new() } else { odd() },
        }
    };
    held.into_iter().map(view).collect()
}

fn as_it_lies(lies: &AsItLies, set: &SettingOut, units: Units) -> AsItLiesView {
    let (pitch, pitch_sd) = lies.pitch();
    let by = pitch - lies.planned_pitch;
    let sd = fine(units, pitch_sd);
    let rows = (lies.laid - set.row) as f64;
    let far = fine(units, by * rows);
    let code = match by {
        by if (by * rows).abs() < 0.5 => "lies.pitch_as_planned",
        by if by > 0.0 => "lies.pitch_wide",
        _ => "lies.pitch_tight",
    };
    let row = lies.laid.to_string();
    let [start, end] = &lies.last_row;
    let worst = if start.sd > end.sd { start } else { end };
    let shown = |mm: f64| width(units, mm).text;
    AsItLiesView {
        laid: u32::try_from(lies.laid).unwrap_or(u32::MAX),
        pitch_words: say(code, &[("row", &row), ("far", &far), ("sd", &sd)]),
        drift_words: lies.drift().map(|drift| drift_words(drift, &row, units)).unwrap_or_default(),
        last_row: vec![width(units, start.width), width(units, end.width)],
        last_row_words: say(
            "lies.last_row",
            &[("start", &shown(start.planned)), ("end", &shown(end.planned)), ("sd", &fine(units, worst.sd))],
        ),
        mend_words: lies.mend.map(|mend| mend_words(mend, lies, units)).unwrap_or_default(),
    }
}

fn drift_words((drift, sd): (f64, f64), row: &str, units: Units) -> String {
    // Two standard deviations: what readings like these show by chance one time in twenty.
    let code = if drift.abs() <= 2.0 * sd {
        "lies.no_drift"
    } else if drift > 0.0 {
        "lies.drift_end"
    } else {
        "lies.drift_start"
    };
    say(code, &[("row", row), ("by", &fine(units, drift)), ("sd", &fine(units, sd))])
}

fn mend_words(mend: [f64; 2], lies: &AsItLies, units: Units) -> String {
    let one = |at: &str, by: f64| {
        let code = if by > 0.0 { "lies.open" } else { "lies.close" };
        say(code, &[("at", at), ("by", &fine(units, by))])
    };
    if mend.iter().all(|by| by.abs() < 0.05) {
        return say("lies.nothing_to_mend", &[]);
    }
    let (start, end) = (say("lies.at_start", &[]), say("lies.at_end", &[]));
    let next = (lies.laid + 1).to_string();
    say("lies.mend", &[("row", &next), ("start", &one(&start, mend[0])), ("end", &one(&end, mend[1]))])
}

/// What to cut the last tile of a row to.
pub(crate) fn last_tile(cut: &LastTile, joint: Length, allowance: Length, units: Units) -> LastTileView {
    let text = |length: Length| fine(units, length.mm());
    let odd = match (cut.too_long, cut.is_cut) {
        (true, _) => say("last.too_long", &[]),
        (false, false) => say("last.whole", &[]),
        _ => String::new(),
    };
    LastTileView {
        low: units.planned(cut.low),
        high: units.planned(cut.high),
        words: say("last.taken_off", &[("joint", &text(joint)), ("wall", &text(allowance))]),
        odd,
    }
}
