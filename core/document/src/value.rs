//! What one cell of a document can hold, and its bytes.
//!
//! The bytes are this crate's own: a tag, then the content, counts as LEB128. They are read with every bound
//! checked, because they come from files and peers.

use drylay_geometry::Length;

/// How deep lists and records may nest; deeper bytes are refused, so that reading them cannot exhaust the stack.
const DEEPEST: u8 = 8;

/// A value as stored. The distinction between texts matters for [anonymising](crate::anonymise): free words are
/// replaced, words of the schema and names of items are not or consistently so.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Value {
    /// Not answered, or taken back.
    Nothing,
    /// Yes or no.
    Flag(bool),
    /// A whole number: a count, or a time in ms.
    Whole(i64),
    /// A length as typed and in nanometres.
    Length {
        /// The text as it was typed.
        text: String,
        /// Its exact length.
        length: Length,
    },
    /// A decimal number as typed: degrees, per cents, sd.
    Number(String),
    /// An amount of money as a decimal number.
    Money(String),
    /// Words a person wrote.
    Text(String),
    /// Words that never leave in an export: lock codes.
    Secret(String),
    /// The name of an item of this document.
    Id(String),
    /// A word out of a list that the schema fixes.
    Word(String),
    /// A BLAKE3 hash.
    Hash([u8; 32]),
    /// Opaque bytes: document ids, change hashes, places in an order.
    Bytes(Vec<u8>),
    /// Several values in order.
    List(Vec<Value>),
    /// Named values.
    Record(Vec<(String, Value)>),
}

impl Value {
    /// The value of a record's field.
    pub fn field(&self, name: &str) -> Option<&Value> {
        match self {
            Self::Record(fields) => fields.iter().find(|(n, _)| n == name).map(|(_, v)| v),
            _ => None,
        }
    }

    /// The value in plain words, for showing two versions side by side.
    pub fn plain(&self) -> String {
        match self {
            Self::Nothing => "–".to_owned(),
            Self::Flag(yes) => if *yes { "yes" } else { "no" }.to_owned(),
            Self::Whole(n) => n.to_string(),
            Self::Length { text, .. } => text.clone(),
            Self::Number(t) | Self::Money(t) | Self::Text(t) | Self::Id(t) | Self::Word(t) => t.clone(),
            Self::Secret(_) => "••••".to_owned(),
            Self::Hash(h) => hex(&h[..8]),
            Self::Bytes(b) => hex(&b[..b.len().min(8)]),
            Self::List(items) => items.iter().map(Self::plain).collect::<Vec<_>>().join(", "),
            Self::Record(fields) => {
                fields.iter().map(|(n, v)| format!("{n} {}", v.plain())).collect::<Vec<_>>().join(", ")
            }
        }
    }

    pub(crate) fn write(&self, out: &mut Vec<u8>) {
        match self {
            Self::Nothing => out.push(0),
            Self::Flag(yes) => out.extend([1, u8::from(*yes)]),
            Self::Whole(n) => {
                out.push(2);
                write_signed(out, *n);
            }
            Self::Length { text, length } => {
                out.push(3);
                write_text(out, text);
                write_signed(out, length.nanometres());
            }
            Self::Number(t) => tagged(out, 4, t.as_bytes()),
            Self::Money(t) => tagged(out, 5, t.as_bytes()),
            Self::Text(t) => tagged(out, 6, t.as_bytes()),
            Self::Secret(t) => tagged(out, 7, t.as_bytes()),
            Self::Id(t) => tagged(out, 8, t.as_bytes()),
            Self::Word(t) => tagged(out, 9, t.as_bytes()),
            Self::Hash(h) => {
                out.push(10);
                out.extend(h);
            }
            Self::Bytes(b) => tagged(out, 11, b),
            Self::List(items) => {
                out.push(12);
                write_count(out, items.len());
                items.iter().for_each(|v| v.write(out));
            }
            Self::Record(fields) => {
                out.push(13);
                write_count(out, fields.len());
                for (name, value) in fields {
                    write_text(out, name);
                    value.write(out);
                }
            }
        }
    }
}

fn tagged(out: &mut Vec<u8>, tag: u8, bytes: &[u8]) {
    out.push(tag);
    write_bytes(out, bytes);
}

pub(crate) fn write_count(out: &mut Vec<u8>, count: usize) {
    write_unsigned(out, count as u64);
}

pub(crate) fn write_unsigned(out: &mut Vec<u8>, mut n: u64) {
    while n >= 0x80 {
        out.push((n & 0x7f) as u8 | 0x80);
        n >>= 7;
    }
    out.push((n & 0x7f) as u8);
}

/// Zigzag, so that small negative numbers stay short.
pub(crate) fn write_signed(out: &mut Vec<u8>, n: i64) {
    write_unsigned(out, n.wrapping_shl(1).cast_unsigned() ^ (n >> 63).cast_unsigned());
}

pub(crate) fn write_bytes(out: &mut Vec<u8>, bytes: &[u8]) {
    write_count(out, bytes.len());
    out.extend(bytes);
}

pub(crate) fn write_text(out: &mut Vec<u8>, text: &str) {
    write_bytes(out, text.as_bytes());
}

/// Lower-case hexadecimal digits.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

/// Reads bytes from the front; every method answers `None` at the first thing that cannot be.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Reader<'a> {
    rest: &'a [u8],
    depth: u8,
}

impl<'a> Reader<'a> {
    pub(crate) fn new(bytes: &'a [u8]) -> Self {
        Self { rest: bytes, depth: 0 }
    }
    pub(crate) fn is_at_end(&self) -> bool {
        self.rest.is_empty()
    }
    pub(crate) fn left(&self) -> usize {
        self.rest.len()
    }
    pub(crate) fn take(&mut self, n: usize) -> Option<&'a [u8]> {
        let (head, tail) = self.rest.split_at_checked(n)?;
        self.rest = tail;
        Some(head)
    }
    pub(crate) fn array<const N: usize>(&mut self) -> Option<[u8; N]> {
        self.take(N)?.try_into().ok()
    }
    pub(crate) fn byte(&mut self) -> Option<u8> {
        self.array::<1>().map(|[b]| b)
    }
    pub(crate) fn unsigned(&mut self) -> Option<u64> {
        let mut n = 0_u64;
        for shift in (0..64).step_by(7) {
            let byte = self.byte()?;
            let part = u64::from(byte & 0x7f);
            if shift == 63 && part > 1 {
                return None;
            }
            n |= part << shift;
            if byte & 0x80 == 0 {
                return Some(n);
            }
        }
        None
    }
    pub(crate) fn signed(&mut self) -> Option<i64> {
        let n = self.unsigned()?;
        Some((n >> 1).cast_signed() ^ -(n & 1).cast_signed())
    }
    /// A count of things that each take at least one byte, so it cannot exceed what is left.
    pub(crate) fn count(&mut self) -> Option<usize> {
        let n = usize::try_from(self.unsigned()?).ok()?;
        (n <= self.rest.len()).then_some(n)
    }
    pub(crate) fn bytes(&mut self) -> Option<&'a [u8]> {
        let n = self.count()?;
        self.take(n)
    }
    pub(crate) fn text(&mut self) -> Option<String> {
        String::from_utf8(self.bytes()?.to_vec()).ok()
    }
    pub(crate) fn value(&mut self) -> Option<Value> {
        Some(match self.byte()? {
            0 => Value::Nothing,
            1 => Value::Flag(self.byte()? != 0),
            2 => Value::Whole(self.signed()?),
            3 => Value::Length { text: self.text()?, length: Length::from_nanometres(self.signed()?) },
            4 => Value::Number(self.text()?),
            5 => Value::Money(self.text()?),
            6 => Value::Text(self.text()?),
            7 => Value::Secret(self.text()?),
            8 => Value::Id(self.text()?),
            9 => Value::Word(self.text()?),
            10 => Value::Hash(self.array()?),
            11 => Value::Bytes(self.bytes()?.to_vec()),
            12 => Value::List(self.nested(Self::value)?),
            13 => Value::Record(self.nested(|r| Some((r.text()?, r.value()?)))?),
            _ => return None,
        })
    }
    fn nested<T>(&mut self, item: impl Fn(&mut Self) -> Option<T>) -> Option<Vec<T>> {
        let n = self.count()?;
        self.depth = self.depth.checked_add(1).filter(|d| *d <= DEEPEST)?;
        let items = (0..n).map(|_| item(self)).collect();
        self.depth -= 1;
        items
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn any_value() -> impl Strategy<Value = Value> {
        let leaf = prop_oneof![
            Just(Value::Nothing),
            any::<bool>().prop_map(Value::Flag),
            any::<i64>().prop_map(Value::Whole),
            (".*", any::<i64>())
                .prop_map(|(text, nm)| Value::Length { text, length: Length::from_nanometres(nm) }),
            ".*".prop_map(Value::Text),
            ".*".prop_map(Value::Secret),
            any::<[u8; 32]>().prop_map(Value::Hash),
            any::<Vec<u8>>().prop_map(Value::Bytes),
        ];
        leaf.prop_recursive(3, 20, 4, |inner| {
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..4).prop_map(Value::List),
                prop::collection::vec(("[a-z]*", inner), 0..4).prop_map(Value::Record),
            ]
        })
    }

    proptest! {
        #[test]
        fn every_value_comes_back(value in any_value()) {
            let mut bytes = Vec::new();
            value.write(&mut bytes);
            let mut reader = Reader::new(&bytes);
            prop_assert_eq!(reader.value(), Some(value));
            prop_assert!(reader.is_at_end());
        }

        #[test]
        fn any_bytes_are_read_or_refused(bytes in any::<Vec<u8>>()) {
            let _ = Reader::new(&bytes).value();
        }
    }

    #[test]
    fn nesting_without_end_is_refused() {
        assert_eq!(Reader::new(&[12, 1].repeat(100_000)).value(), None);
    }

    /// LEB128 as in the DWARF 4 standard, figure 22 (unsigned: 2, 127, 128, 129, 130, 12857).
    #[test]
    fn counts_are_leb128() {
        let cases: [(u64, &[u8]); 6] = [
            (2, &[2]),
            (127, &[127]),
            (128, &[0x80, 1]),
            (129, &[0x81, 1]),
            (130, &[0x82, 1]),
            (12857, &[0xb9, 0x64]),
        ];
        for (n, bytes) in cases {
            let mut out = Vec::new();
            write_unsigned(&mut out, n);
            assert_eq!(out, bytes);
        }
    }
}
