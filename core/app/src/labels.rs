//! The letters of corners: what people call them, and what edits name them by.
//!
//! A corner's id is never shown. Two people who each added a corner apart may have given both one letter; then the
//! later id gets a prime, the same on every device.

use crate::Problem;
use crate::refusal::unknown;
use drylay_document::RoomView;
use drylay_geometry::ItemId;

/// The corners of a room in walking order with their letters.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Labels {
    walk: Vec<(ItemId, String)>,
    gone: Vec<(ItemId, String)>,
}

impl Labels {
    pub(crate) fn of(view: &RoomView) -> Self {
        let mut labels = Self::default();
        let mut order: Vec<_> = view.corners.live.iter().collect();
        order.sort_by(|a, b| a.id.cmp(&b.id));
        let mut given: Vec<(ItemId, String)> = Vec::new();
        for held in order {
            let mut label = held.value.name.clone();
            while given.iter().any(|(_, other)| *other == label) {
                label.push('′');
            }
            given.push((held.id.clone(), label));
        }
        for held in view.walk() {
            labels.walk.extend(given.iter().find(|(id, _)| *id == held.id).cloned());
        }
        labels.gone =
            view.corners.withdrawn.iter().map(|held| (held.id.clone(), held.value.name.clone())).collect();
        labels
    }

    /// Corners in walking order.
    pub(crate) fn walk(&self) -> &[(ItemId, String)] {
        &self.walk
    }

    /// What a corner is called; corners that are gone keep their letter.
    pub(crate) fn of_corner(&self, id: &ItemId) -> String {
        let all = self.walk.iter().chain(&self.gone);
        all.clone().find(|(other, _)| other == id).map_or_else(|| "?".to_owned(), |(_, label)| label.clone())
    }

    /// A distance by its corners' letters: `A–B`.
    pub(crate) fn pair(&self, from: &ItemId, to: &ItemId) -> String {
        format!("{}–{}", self.of_corner(from), self.of_corner(to))
    }

    /// The place of the corner of that letter in walking order.
    pub(crate) fn place(&self, label: &str, place: &str) -> Result<usize, Problem> {
        let found = self.walk.iter().position(|(_, other)| other == label);
        found.ok_or_else(|| Problem::new("room.unknown_corner", place).with("corner", label))
    }

    /// The corner of that letter.
    pub(crate) fn corner(&self, label: &str, place: &str) -> Result<ItemId, Problem> {
        Ok(self.walk[self.place(label, place)?].0.clone())
    }

    /// Two different corners.
    pub(crate) fn two(&self, from: &str, to: &str) -> Result<(ItemId, ItemId), Problem> {
        let (a, b) = (self.corner(from, "edit.from")?, self.corner(to, "edit.to")?);
        if a == b { Err(unknown("reading.same_corner", "edit.to", to)) } else { Ok((a, b)) }
    }

    /// The wall from a corner to the next one.
    pub(crate) fn wall(&self, from: &str, to: &str) -> Result<(ItemId, ItemId), Problem> {
        let (a, b) = (self.place(from, "edit.from")?, self.place(to, "edit.to")?);
        let next = |i: usize| (i + 1) % self.walk.len();
        let wrong = |code| Problem::new(code, "edit.to").with("from", from).with("to", to);
        if next(b) == a && next(a) != b {
            return Err(wrong("room.wall_reversed"));
        }
        if next(a) != b {
            return Err(wrong("room.not_a_wall"));
        }
        Ok((self.walk[a].0.clone(), self.walk[b].0.clone()))
    }

    /// Whether two corners are neighbours.
    pub(crate) fn are_neighbours(&self, a: &ItemId, b: &ItemId) -> bool {
        let place = |id: &ItemId| self.walk.iter().position(|(other, _)| other == id);
        let n = self.walk.len();
        matches!((place(a), place(b)), (Some(i), Some(j)) if (i + 1) % n == j || (j + 1) % n == i)
    }

    /// The first letter that no corner has or had.
    pub(crate) fn free(&self) -> String {
        let used = |label: &String| self.walk.iter().chain(&self.gone).any(|(_, other)| other == label);
        (0..).map(letter).find(|label| !used(label)).unwrap_or_default()
    }
}

/// A, B, … Z, AA, AB, …
pub(crate) fn letter(mut n: usize) -> String {
    let mut text = Vec::new();
    loop {
        text.push(char::from(b'A' + u8::try_from(n % 26).unwrap_or(0)));
        match n / 26 {
            0 => break,
            rest => n = rest - 1,
        }
    }
    text.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([0, 25, 26, 51, 52, 702].map(letter), ["A", "Z", "AA", "AZ", "BA", "AAA"]);
    }
}
