//! The papers of a job for the screens: which can be made, what they lack, and where that is put right.

use crate::commands::buy::Reckoned;
use crate::commands::papers::Kind;
use crate::papers::PaperKind;
use crate::wire::{PaperRemark, Units};
use crate::words::say;
use drylay_document::sheet::Room;

/// How many photos a job has for its report.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Photos {
    /// Those that are on this device.
    pub(crate) here: usize,
    /// Those that are not yet.
    pub(crate) away: usize,
}

/// The size that a job's units suggest (paper of the United States and Canada with feet and inches, ISO 216 with metres).
pub(crate) fn usual_size(units: Units) -> &'static str {
    if units == Units::Metric { "a4" } else { "letter" }
}

fn remark(words: String, origin: Option<String>) -> PaperRemark {
    PaperRemark { words, origin }
}

/// Why a paper cannot be made; nothing where it can.
pub(crate) fn lacks(kind: Kind, known: &Reckoned, photos: Photos) -> Vec<PaperRemark> {
    let job = Some(String::new());
    match kind {
        Kind::Paper(PaperKind::Photos) if photos.here == 0 => vec![remark(say("papers.no_photos", &[]), job)],
        Kind::Paper(PaperKind::Flatness) if !known.sheet.rooms.iter().any(is_read) => {
            let room = known.sheet.rooms.first().map(|room| format!("room/{}/floor", room.id.as_str()));
            vec![remark(say("papers.no_readings", &[]), room.or(job))]
        }
        Kind::Paper(PaperKind::Photos | PaperKind::Flatness) => Vec::new(),
        _ if known.sheet.areas.is_empty() => vec![remark(say("papers.no_area", &[]), job)],
        _ => {
            let told = |problem: &crate::Problem| {
                remark(format!("{} {}", problem.message, problem.hint).trim().to_owned(), job.clone())
            };
            known.problems.iter().map(told).collect()
        }
    }
}

/// What a paper goes without.
pub(crate) fn notes(kind: Kind, known: &Reckoned, photos: Photos, unpriced: usize) -> Vec<PaperRemark> {
    let mut notes = Vec::new();
    match kind {
        Kind::Paper(PaperKind::Photos) => {
            if photos.away > 0 {
                let words = say("papers.photos_away", &[("count", &photos.away.to_string())]);
                notes.push(remark(words, None));
            }
        }
        Kind::Paper(PaperKind::Flatness) => {
            let unread: Vec<&str> =
                known.sheet.rooms.iter().filter(|room| !is_read(room)).map(Room::title).collect();
            if let Some(first) = known.sheet.rooms.iter().find(|room| !is_read(room)) {
                let words = say("papers.unread", &[("rooms", &unread.join(", "))]);
                notes.push(remark(words, Some(format!("room/{}/floor", first.id.as_str()))));
            }
        }
        Kind::Paper(_) | Kind::Lists => {
            if !known.accepted {
                notes.push(remark(say("papers.not_accepted", &[]), Some("plan".to_owned())));
            }
        }
    }
    if kind == Kind::Paper(PaperKind::Quote) && unpriced > 0 {
        let code = if unpriced == 1 { "quote.lacks_price" } else { "quote.lacks_prices" };
        notes.push(remark(say(code, &[("count", &unpriced.to_string())]), Some("quote".to_owned())));
    }
    notes
}

/// Whether a room's floor was read.
fn is_read(room: &Room) -> bool {
    room.level.as_ref().is_some_and(|level| !level.readings.is_empty())
}
