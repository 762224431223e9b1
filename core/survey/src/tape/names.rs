//! Corners by name: readings name them some hundred times.

use drylay_geometry::CornerId;

/// The names of a room's corners.
#[derive(Clone, Debug)]
pub(crate) struct Names<'a> {
    corners: &'a [CornerId],
    fronts: Vec<u64>,
}

/// The first eight bytes of a name as a number: names that differ there, as nearly all do, are told apart by one
/// comparison.
fn front(name: &CornerId) -> u64 {
    name.as_str().bytes().zip(0..8).fold(0, |front, (byte, place)| front | u64::from(byte) << (8 * place))
}

impl<'a> Names<'a> {
    pub(crate) fn of(corners: &'a [CornerId]) -> Self {
        Self { corners, fronts: corners.iter().map(front).collect() }
    }

    /// The place of the corner with that name; of several the first.
    pub(crate) fn place(&self, name: &CornerId) -> Option<usize> {
        let wanted = front(name);
        let mut places = (0..self.fronts.len()).filter(|&i| self.fronts[i] == wanted);
        places.find(|&i| self.corners[i] == *name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn names_are_found_as_by_looking_through_all(
            names in prop::collection::vec("[ABab]{0,2}|[a-c]{7,10}|[äß]{1,5}", 0..12),
            other in "[ABab]{0,2}|[a-c]{7,10}",
        ) {
            let corners: Vec<CornerId> = names.iter().map(|name| name.as_str().into()).collect();
            let known = Names::of(&corners);
            for name in corners.iter().chain([&other.as_str().into()]) {
                prop_assert_eq!(known.place(name), corners.iter().position(|corner| corner == name));
            }
        }
    }
}
