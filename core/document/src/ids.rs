//! Names of documents, copies and contents, and places in an order that several people extend at once.

use std::fmt;

use crate::value::hex;

/// Names a document: 128 random bits from whoever makes it. Nothing in this crate draws lots.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DocumentId(pub [u8; 16]);

impl DocumentId {
    /// Reads 32 hexadecimal digits.
    pub fn parse(text: &str) -> Option<Self> {
        let wide = u128::from_str_radix(text, 16).ok().filter(|_| text.len() == 32)?;
        Some(Self(wide.to_be_bytes()))
    }
}

impl fmt::Display for DocumentId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex(&self.0))
    }
}

impl fmt::Debug for DocumentId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "DocumentId({self})")
    }
}

/// Names one opened copy of a document: 128 random bits, **new at every opening**. Two copies that wrote under
/// one actor (a restored backup, a cloned folder) could never be merged again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Actor(pub [u8; 16]);

/// BLAKE3 of some bytes kept beside the documents: a photo, an issued plan, a signed quote.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ContentHash(pub [u8; 32]);

impl ContentHash {
    /// The hash of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(*blake3::hash(bytes).as_bytes())
    }
}

impl fmt::Display for ContentHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex(&self.0))
    }
}

impl fmt::Debug for ContentHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "ContentHash({self})")
    }
}

/// A place in an order, compared as bytes: corners in walking order, rooms in a list.
///
/// Why not a list of the document: moving an element of a list is deleting and inserting it, and two people who
/// move the same corner would have it twice. A place is one scalar: concurrent moves are a visible conflict of
/// one value, concurrent inserts both stay. A place ends in four bytes of the item's own hash, so two inserts
/// between the same neighbours differ and something still fits between them; an insert extends its left
/// neighbour's place, so a run of corners typed by one person is not mixed with another's.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Place(pub(crate) Vec<u8>);

impl Place {
    /// The first step, in the middle of the range, so that there is room on both sides.
    const START: u32 = 0x8000_0000;
    /// The distance of items appended one after the other.
    const STEP: u32 = 0x0001_0000;

    /// A place for the item `id` after `left` and before `right`; `None` is the respective end.
    pub fn between(left: Option<&Self>, right: Option<&Self>, id: &str) -> Self {
        let mut bytes = match (left, right) {
            (None, None) => Self::START.to_be_bytes().to_vec(),
            (Some(left), None) => left.step(),
            (left, Some(right)) => left.map_or_else(Vec::new, |l| l.0.clone()).under(right),
        };
        bytes.extend(&blake3::hash(id.as_bytes()).as_bytes()[..4]);
        Self(bytes)
    }

    /// The `n`th of places laid out in one go.
    pub fn nth(n: u32, id: &str) -> Self {
        let mut bytes = Self::START.saturating_add(n.saturating_mul(Self::STEP)).to_be_bytes().to_vec();
        bytes.extend(&blake3::hash(id.as_bytes()).as_bytes()[..4]);
        Self(bytes)
    }

    fn step(&self) -> Vec<u8> {
        let mut first = [0; 4];
        let n = self.0.len().min(4);
        first[..n].copy_from_slice(&self.0[..n]);
        match u32::from_be_bytes(first).checked_add(Self::STEP) {
            Some(next) => next.to_be_bytes().to_vec(),
            None => [self.0.as_slice(), &[0x80]].concat(),
        }
    }
}

/// Bytes that sort after `self` and before another place.
trait Under {
    fn under(self, right: &Place) -> Vec<u8>;
}

impl Under for Vec<u8> {
    fn under(mut self, right: &Place) -> Vec<u8> {
        // Where the right place does not begin with the left one, anything that extends the left one is before it.
        let mut ahead = right.0.strip_prefix(self.as_slice()).unwrap_or(&[0xff]).iter();
        loop {
            match ahead.next() {
                Some(0) => self.push(0),
                Some(1) => {
                    self.extend([0, 0x80]);
                    return self;
                }
                Some(b) => {
                    self.push(b / 2);
                    return self;
                }
                None => return self,
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// A thousand inserts at any place keep the order that a plain list has.
        #[test]
        fn inserts_keep_their_order(spots in prop::collection::vec(any::<prop::sample::Index>(), 1..200)) {
            let mut places: Vec<Place> = Vec::new();
            for (n, spot) in spots.iter().enumerate() {
                let at = spot.index(places.len() + 1);
                let left = at.checked_sub(1).map(|i| &places[i]);
                let place = Place::between(left, places.get(at), &format!("c{n}"));
                places.insert(at, place);
            }
            prop_assert!(places.windows(2).all(|p| p[0] < p[1]));
        }
    }

    #[test]
    fn two_runs_between_the_same_corners_are_not_mixed() {
        let (a, b) = (Place::nth(0, "A"), Place::nth(1, "B"));
        let run = |names: [&str; 3]| {
            let mut left = a.clone();
            names.map(|n| {
                left = Place::between(Some(&left), Some(&b), n);
                (left.clone(), n.to_owned())
            })
        };
        let mut all = [run(["x1", "x2", "x3"]), run(["y1", "y2", "y3"])].concat();
        all.sort();
        let names: Vec<&str> = all.iter().map(|(_, n)| &n[..1]).collect();
        assert!(names.concat() == "xxxyyy" || names.concat() == "yyyxxx", "{names:?}");
    }

    #[test]
    fn document_ids_print_and_read() {
        let id = DocumentId([0xab; 16]);
        assert_eq!(DocumentId::parse(&id.to_string()), Some(id));
        assert_eq!(
            DocumentId::parse("+bababababababababababababababab"),
            DocumentId::parse("0bababababababababababababababab")
        );
        assert_eq!(DocumentId::parse("ab"), None);
    }
}
