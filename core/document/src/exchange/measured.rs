//! How a room was measured, strings along its walls and things located by distances, both ways.

use drylay_geometry::{CornerId, ItemId};

use super::from::{corner, item};
use super::{Reason, measure, typed};
use crate::schema as doc;
use crate::sheet::{self, Extra};
use crate::stored::Decimal;
use crate::{Edit, RoomEntry, RoomView};

pub(super) fn touched(to: sheet::Touched) -> doc::MeasuredTo {
    match to {
        sheet::Touched::Wall => doc::MeasuredTo::Wall,
        sheet::Touched::Trim => doc::MeasuredTo::Trim,
        sheet::Touched::Plate => doc::MeasuredTo::Plate,
    }
}

pub(super) fn touched_of(to: doc::MeasuredTo) -> sheet::Touched {
    match to {
        doc::MeasuredTo::Wall => sheet::Touched::Wall,
        doc::MeasuredTo::Trim => sheet::Touched::Trim,
        doc::MeasuredTo::Plate => sheet::Touched::Plate,
    }
}

/// The edits for what a sheet says of measuring, strings and located things.
pub(super) fn room_edits(room: &sheet::Room) -> Vec<Edit<RoomEntry>> {
    let mut edits: Vec<Edit<RoomEntry>> = facts(room).into_iter().collect();
    let offsets = room.strings.iter().flat_map(|s| s.offsets.iter().map(move |o| (&s.wall, o)));
    edits.extend((1..).zip(offsets).map(|(n, (wall, offset))| {
        let entry = doc::StringOffset {
            from: corner(&wall[0]),
            to: corner(&wall[1]),
            along: typed(&offset.along),
            offset: typed(&offset.offset),
            sd: offset.sd.as_ref().map(typed),
            listed: Some(n),
        };
        Edit::add(format!("string-{n:04}"), entry)
    }));
    edits.extend(room.located.iter().map(thing));
    edits
}

fn facts(room: &sheet::Room) -> Option<Edit<RoomEntry>> {
    let none = doc::RoomFacts {
        name: None,
        measured_to: None,
        measured_at: None,
        trim_thickness: None,
        instrument: None,
        seen_from: None,
        settings: Vec::new(),
        yearly_range: None,
    };
    let instrument = room.instrument.map(|i| match i {
        sheet::Instrument::Tape => doc::Instrument::Tape,
        sheet::Instrument::TapeMetric => doc::Instrument::TapeMetric,
        sheet::Instrument::Laser => doc::Instrument::Laser,
    });
    let measured = room.measured.as_ref();
    let after = doc::RoomFacts {
        measured_to: measured.map(|m| touched(m.to)),
        measured_at: measured.and_then(|m| m.height.as_ref()).map(typed),
        trim_thickness: measured.and_then(|m| m.thickness.as_ref()).map(typed),
        instrument,
        settings: room.settings.iter().map(|s| setting(*s)).collect(),
        yearly_range: room.yearly_range.and_then(Decimal::from_f64),
        ..none.clone()
    };
    (after != none).then(|| Edit::change_single(none, after))
}

fn setting(setting: sheet::Setting) -> doc::Setting {
    match setting {
        sheet::Setting::Sunlit => doc::Setting::Sunlit,
        sheet::Setting::Wet => doc::Setting::Wet,
        sheet::Setting::Exterior => doc::Setting::Exterior,
        sheet::Setting::Suspended => doc::Setting::Suspended,
    }
}

/// Degrees between the year's coldest and its warmest day.
pub(super) fn yearly_range(view: &RoomView) -> Option<f64> {
    view.facts.value.as_ref().and_then(|facts| facts.yearly_range.as_ref()).map(Decimal::to_f64)
}

pub(super) fn settings(view: &RoomView) -> Vec<sheet::Setting> {
    let of = |setting: &doc::Setting| match setting {
        doc::Setting::Sunlit => sheet::Setting::Sunlit,
        doc::Setting::Wet => sheet::Setting::Wet,
        doc::Setting::Exterior => sheet::Setting::Exterior,
        doc::Setting::Suspended => sheet::Setting::Suspended,
    };
    view.facts.value.iter().flat_map(|facts| &facts.settings).map(of).collect()
}

pub(super) fn overhang(overhang: &sheet::Overhang) -> doc::Overhang {
    doc::Overhang { height: typed(&overhang.height), depth: typed(&overhang.depth) }
}

pub(super) fn overhang_of(overhang: &doc::Overhang) -> sheet::Overhang {
    sheet::Overhang {
        height: measure(&overhang.height),
        depth: measure(&overhang.depth),
        extra: Extra::new(),
    }
}

fn thing(located: &sheet::Located) -> Edit<RoomEntry> {
    let what = located.what.map(|what| match what {
        sheet::Thing::Cabinet => doc::KeepoutKind::Cabinet,
        sheet::Thing::Post => doc::KeepoutKind::Post,
        sheet::Thing::Hearth => doc::KeepoutKind::Hearth,
        sheet::Thing::Register => doc::KeepoutKind::Register,
        sheet::Thing::Pipe => doc::KeepoutKind::Pipe,
        sheet::Thing::Other => doc::KeepoutKind::Other,
    });
    let side = located.side.map(|side| match side {
        sheet::LineSide::Left => doc::LineSide::Left,
        sheet::LineSide::Right => doc::LineSide::Right,
    });
    let from = |from: &sheet::FromCorner| (corner(&from.corner), typed(&from.read));
    let entry = doc::Keepout {
        what,
        side,
        distances: located.distances.iter().flatten().map(from).collect(),
        wall: located.wall.iter().flatten().map(|id| item(id.as_str())).collect(),
        along: located.along.as_ref().map(typed),
        away: located.away.as_ref().map(typed),
        diameter: located.diameter.as_ref().map(typed),
        size_along: located.size.as_ref().map(|s| typed(&s.along)),
        size_away: located.size.as_ref().map(|s| typed(&s.away)),
        ..doc::Keepout::unplaced()
    };
    Edit::add(&located.id, entry)
}

pub(super) fn instrument(view: &RoomView) -> Option<sheet::Instrument> {
    view.facts.value.as_ref()?.instrument.map(|i| match i {
        doc::Instrument::Tape => sheet::Instrument::Tape,
        doc::Instrument::TapeMetric => sheet::Instrument::TapeMetric,
        doc::Instrument::Laser => sheet::Instrument::Laser,
    })
}

pub(super) fn measured(view: &RoomView) -> Option<sheet::Measured> {
    let facts = view.facts.value.as_ref()?;
    let said = facts.measured_to.is_some() || facts.measured_at.is_some() || facts.trim_thickness.is_some();
    said.then(|| sheet::Measured {
        to: facts.measured_to.map(touched_of).unwrap_or_default(),
        thickness: facts.trim_thickness.as_ref().map(measure),
        height: facts.measured_at.as_ref().map(measure),
        extra: Extra::new(),
    })
}

pub(super) fn string_offset(value: &doc::StringOffset) -> sheet::StringOffset {
    sheet::StringOffset {
        along: measure(&value.along),
        offset: measure(&value.offset),
        sd: value.sd.as_ref().map(measure),
        extra: Extra::new(),
    }
}

/// A keep-out without an outline, as the sheet places it.
pub(super) fn located(
    id: &ItemId,
    value: &doc::Keepout,
    corner: &dyn Fn(&ItemId) -> Option<CornerId>,
) -> Result<sheet::Located, Reason> {
    let from = |(id, read): &(ItemId, crate::TypedLength)| {
        corner(id).map(|corner| sheet::FromCorner { corner, read: measure(read), extra: Extra::new() })
    };
    let named = |found: Option<_>| found.ok_or(Reason::NamesNothing);
    let distances = match &value.distances[..] {
        [a, b] => Some([named(from(a))?, named(from(b))?]),
        _ => None,
    };
    let wall = match &value.wall[..] {
        [a, b] if distances.is_none() => {
            Some([corner(a).ok_or(Reason::NamesNothing)?, corner(b).ok_or(Reason::NamesNothing)?])
        }
        _ => None,
    };
    let along = wall.as_ref().and(value.along.as_ref());
    if distances.is_none() && (along.is_none() || value.away.is_none()) {
        return Err(Reason::NoOutline);
    }
    let size = value.size_along.as_ref().zip(value.size_away.as_ref()).filter(|_| value.diameter.is_none());
    Ok(sheet::Located {
        id: id.clone(),
        what: value.what.map(what),
        side: value.side.map(|side| match side {
            doc::LineSide::Left => sheet::LineSide::Left,
            doc::LineSide::Right => sheet::LineSide::Right,
        }),
        along: along.map(measure),
        away: wall.as_ref().and(value.away.as_ref()).map(measure),
        distances,
        wall,
        diameter: value.diameter.as_ref().map(measure),
        size: size.map(|(along, away)| sheet::Size {
            along: measure(along),
            away: measure(away),
            extra: Extra::new(),
        }),
        extra: Extra::new(),
    })
}

fn what(kind: doc::KeepoutKind) -> sheet::Thing {
    match kind {
        doc::KeepoutKind::Cabinet => sheet::Thing::Cabinet,
        doc::KeepoutKind::Post => sheet::Thing::Post,
        doc::KeepoutKind::Hearth => sheet::Thing::Hearth,
        doc::KeepoutKind::Register => sheet::Thing::Register,
        doc::KeepoutKind::Pipe => sheet::Thing::Pipe,
        doc::KeepoutKind::Other => sheet::Thing::Other,
    }
}
