//! What of the crew is kept on the disk, as bytes.

use drylay_document::DocumentId;

use crate::bytes::{Reader, Writer};
use crate::statement::CrewId;

/// The version of these bytes.
const VERSION: u8 = 1;

/// What of the crew is kept on the disk.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Its id.
    pub crew: CrewId,
    /// All statements.
    pub statements: Vec<Vec<u8>>,
    /// The crew's shop document, if there is one.
    pub shop: Option<DocumentId>,
}

impl Kept {
    /// Its bytes.
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut out = Writer::default();
        out.byte(VERSION).raw(&self.crew.0).option(self.shop.as_ref().map(|id| &id.0[..]));
        out.list(&self.statements);
        out.0
    }

    /// Reads bytes; `None` where they are none of these.
    pub fn read(bytes: &[u8]) -> Option<Self> {
        let mut reader = Reader::new(bytes);
        reader.byte().filter(|version| *version == VERSION)?;
        let crew = CrewId(reader.array()?);
        let shop = reader.option(|reader| reader.array().map(DocumentId))?;
        let statements = reader.list(|reader| reader.bytes().map(<[u8]>::to_vec))?;
        reader.is_at_end().then_some(Self { crew, statements, shop })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_kept_comes_back_whole_or_not_at_all() {
        for shop in [None, Some(DocumentId([3; 16]))] {
            let kept = Kept { crew: CrewId([1; 32]), statements: vec![vec![1, 2], Vec::new()], shop };
            let bytes = kept.to_bytes();
            assert_eq!(Kept::read(&bytes), Some(kept));
            (0..bytes.len()).for_each(|end| assert_eq!(Kept::read(&bytes[..end]), None, "cut at {end}"));
            assert_eq!(Kept::read(&[bytes, vec![0]].concat()), None);
        }
    }
}
