//! What became of pieces, from the marks that people made apart.
//!
//! A mark names those before it that it takes the place of. So what stands does not hang on any clock: of the marks of
//! a piece those count that no other standing mark of the same piece comes after. Two people who mark the same piece
//! apart both count; laid goes before cut, and both before taken up, because what lies there lies there.

use crate::schema::{PieceMark, PieceState};
use crate::stamp::Stamp;
use crate::view::Held;
use drylay_geometry::ItemId;
use std::collections::{BTreeMap, BTreeSet};

/// How far a piece is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Done {
    /// Neither cut nor laid.
    #[default]
    Open,
    /// Cut, and not laid.
    Cut,
    /// Laid.
    Laid,
}

/// What became of one piece.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PieceStanding {
    /// How far it is.
    pub done: Done,
    /// Who says so, and when; empty while it is open.
    pub by: Vec<Stamp>,
    /// The marks that count: whoever marks it next comes after these.
    pub marks: Vec<ItemId>,
    /// How often a tile was broken or spoilt for it.
    pub spoilt: usize,
    /// Whether people apart said different things of it: laid by one, taken up or spoilt by another.
    pub differ: bool,
}

/// What became of the pieces that the marks name. `counts` says whether a mark of another plan holds for a piece.
pub fn standing<'m>(
    marks: impl IntoIterator<Item = &'m Held<PieceMark>>,
    counts: impl Fn(&PieceMark, &str) -> bool,
) -> BTreeMap<String, PieceStanding> {
    let mut of: BTreeMap<&str, Vec<&Held<PieceMark>>> = BTreeMap::new();
    for held in marks {
        let named: BTreeSet<&str> = held.value.pieces.iter().map(String::as_str).collect();
        for piece in named.into_iter().filter(|piece| counts(&held.value, piece)) {
            of.entry(piece).or_default().push(held);
        }
    }
    of.into_iter().map(|(piece, marks)| (piece.to_owned(), of_piece(&marks))).collect()
}

fn of_piece(marks: &[&Held<PieceMark>]) -> PieceStanding {
    let replaced: BTreeSet<&ItemId> = marks.iter().flat_map(|held| &held.value.after).collect();
    let current: Vec<&Held<PieceMark>> =
        marks.iter().copied().filter(|held| !replaced.contains(&held.id)).collect();
    let said = |state: PieceState| current.iter().filter(move |held| held.value.state == state);
    let has = |state: PieceState| said(state).next().is_some();
    let stamps = |state: PieceState| said(state).map(|held| held.added.clone()).collect::<Vec<_>>();
    let (done, by) = if has(PieceState::Laid) {
        (Done::Laid, stamps(PieceState::Laid))
    } else if has(PieceState::Cut) {
        (Done::Cut, stamps(PieceState::Cut))
    } else if has(PieceState::TakenUp) && !has(PieceState::Spoilt) && was_cut(marks) {
        // What was cut and comes up whole is still cut.
        (Done::Cut, stamps(PieceState::TakenUp))
    } else {
        (Done::Open, Vec::new())
    };
    PieceStanding {
        done,
        by,
        marks: current.iter().map(|held| held.id.clone()).collect(),
        spoilt: marks.iter().filter(|held| held.value.state == PieceState::Spoilt).count(),
        differ: has(PieceState::Laid) && (has(PieceState::TakenUp) || has(PieceState::Spoilt)),
    }
}

/// Whether the piece was cut before it was taken up: a mark says so, and none says it was spoilt since.
fn was_cut(marks: &[&Held<PieceMark>]) -> bool {
    let cuts = marks.iter().filter(|held| held.value.state == PieceState::Cut).count();
    let spoilt = marks.iter().filter(|held| held.value.state == PieceState::Spoilt).count();
    cuts > spoilt
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::ContentHash;
    use crate::stamp::{Author, DeviceId, Timestamp};

    fn mark(id: &str, state: PieceState, pieces: &[&str], after: &[&str]) -> Held<PieceMark> {
        let by = Author { device: DeviceId([1; 16]), name: id.to_owned() };
        Held {
            id: ItemId::new(id),
            value: PieceMark {
                plan: ContentHash::of(b"plan"),
                area: ItemId::new("area"),
                pieces: pieces.iter().map(|&piece| piece.to_owned()).collect(),
                state,
                after: after.iter().map(|&id| ItemId::new(id)).collect(),
            },
            added: Stamp { at: Timestamp { utc_ms: 0, zone_minutes: 0 }, by },
            stamps: BTreeMap::new(),
        }
    }
    fn of(marks: &[Held<PieceMark>], piece: &str) -> PieceStanding {
        standing(marks, |_, _| true).remove(piece).unwrap_or_default()
    }

    #[test]
    fn marks_made_apart_merge_whatever_their_order() {
        let mut marks = vec![
            mark("ana", PieceState::Laid, &["1-1", "1-2"], &[]),
            mark("ben", PieceState::Laid, &["1-2", "1-3"], &[]),
        ];
        let forth = standing(&marks, |_, _| true);
        marks.reverse();
        let back = standing(&marks, |_, _| true);
        assert!(["1-1", "1-2", "1-3"].iter().all(|piece| forth[*piece].done == Done::Laid));
        assert_eq!(forth["1-2"].by.len(), 2, "both said so");
        assert_eq!(forth.keys().collect::<Vec<_>>(), back.keys().collect::<Vec<_>>());
        assert!(forth.iter().all(|(piece, one)| one.done == back[piece].done));
    }

    #[test]
    fn taking_up_holds_for_the_marks_it_knew_and_for_its_own_pieces_only() {
        let laid = mark("1", PieceState::Laid, &["1-1", "1-2"], &[]);
        let up = mark("2", PieceState::TakenUp, &["1-2"], &["1"]);
        let both = [laid.clone(), up.clone()];
        assert_eq!((of(&both, "1-1").done, of(&both, "1-2").done), (Done::Laid, Done::Open));
        // Somebody who did not know of it laid the piece as well: it lies, and that they differ is told.
        let apart = [laid.clone(), up.clone(), mark("3", PieceState::Laid, &["1-2"], &[])];
        let told = of(&apart, "1-2");
        assert_eq!((told.done, told.differ), (Done::Laid, true));
        // Laid again by somebody who knew.
        let again = [laid, up, mark("4", PieceState::Laid, &["1-2"], &["2"])];
        let told = of(&again, "1-2");
        assert_eq!((told.done, told.differ, told.marks), (Done::Laid, false, vec![ItemId::new("4")]));
    }

    #[test]
    fn a_cut_piece_that_comes_up_is_still_cut_and_a_spoilt_one_is_not() {
        let cut = mark("1", PieceState::Cut, &["1-1"], &[]);
        let laid = mark("2", PieceState::Laid, &["1-1"], &["1"]);
        let up = mark("3", PieceState::TakenUp, &["1-1"], &["2"]);
        assert_eq!(of(&[cut.clone(), laid.clone()], "1-1").done, Done::Laid);
        assert_eq!(of(&[cut.clone(), laid.clone(), up.clone()], "1-1").done, Done::Cut);
        let spoilt = mark("4", PieceState::Spoilt, &["1-1"], &["3"]);
        let told = of(&[cut.clone(), laid.clone(), up.clone(), spoilt.clone()], "1-1");
        assert_eq!((told.done, told.spoilt), (Done::Open, 1));
        let anew = mark("5", PieceState::Cut, &["1-1"], &["4"]);
        let told = of(&[cut, laid, up, spoilt, anew], "1-1");
        assert_eq!((told.done, told.spoilt), (Done::Cut, 1), "the tile that broke stays counted");
    }

    #[test]
    fn a_mark_of_another_plan_counts_only_where_it_may() {
        let marks = [mark("1", PieceState::Laid, &["1-1", "1-2"], &[])];
        let some = standing(&marks, |_, piece| piece == "1-1");
        assert_eq!(some.keys().collect::<Vec<_>>(), ["1-1"]);
    }
}
