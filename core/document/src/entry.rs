//! Tables and their entries: the bridge between the schema's plain structs and cells.

use crate::stamp::Stamp;
use crate::value::{Reader, Value};

/// The kinds of documents.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The crew, its products, prices and rates.
    Shop,
    /// One job: everything but the rooms' readings.
    Job,
    /// One room: its shape, its floor, and what was read there.
    Room,
}

impl Kind {
    /// The kind as a word, as stored.
    pub fn word(self) -> &'static str {
        match self {
            Self::Shop => "shop",
            Self::Job => "job",
            Self::Room => "room",
        }
    }
    /// The kind that has this word.
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Shop, Self::Job, Self::Room].into_iter().find(|k| k.word() == word)
    }
}

/// How the entries of a table live.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Style {
    /// Something seen or done: written once in one cell, never overwritten, corrected by a new entry.
    Record,
    /// Something that is changed field by field: each field is a cell, so changes to different fields merge.
    Thing,
    /// The one thing of its table, under the id [`SINGLE`]; it need not be added.
    Single,
}

/// The id of the only entry of a [`Style::Single`] table.
pub const SINGLE: &str = "this";

/// A table of a document.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Table {
    /// Its name in the document.
    pub name: &'static str,
    /// How its entries live.
    pub style: Style,
}

/// The fields of an entry as read from a document.
#[derive(Clone, Copy, Debug)]
pub enum Fields<'a> {
    /// Those of a record's content.
    Content(&'a [(String, Value)]),
    /// Those of a thing, a cell each.
    Cells(&'a Row),
}

impl<'a> Fields<'a> {
    /// The value of a field; of a name that stands there twice, the later.
    pub fn get(&self, name: &str) -> Option<&'a Value> {
        match self {
            Self::Content(fields) => {
                fields.iter().rev().find(|(field, _)| field == name).map(|(_, value)| value)
            }
            Self::Cells(cells) => cells.get(name).map(|cell| &cell.value),
        }
    }
}

/// The cells of one entry by field, in the order of the fields; the empty field is the record's content or the thing's
/// presence. A list: most entries have one cell or a few, and a room has a thousand entries.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Row(Vec<(String, Cell)>);

impl Row {
    /// The cell of a field.
    pub(crate) fn get(&self, field: &str) -> Option<&Cell> {
        self.0.iter().find(|(name, _)| name == field).map(|(_, cell)| cell)
    }

    /// Field and cell, one after the other.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (&str, &Cell)> {
        self.0.iter().map(|(field, cell)| (field.as_str(), cell))
    }

    /// Field and cell of what is not the entry itself.
    pub(crate) fn named(&self) -> impl Iterator<Item = (&str, &Cell)> {
        self.iter().filter(|(field, _)| !field.is_empty())
    }

    /// Puts a cell last: fields come in their order, each once.
    pub(crate) fn push(&mut self, field: &str, cell: Cell) {
        self.0.push((field.to_owned(), cell));
    }
}

/// A field that is missing or holds something of another type: the entry came from a damaged or newer document.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the field {field} is missing or of another type")]
pub struct FieldError {
    /// The field.
    pub field: &'static str,
}

/// A plain struct that is kept in a table.
pub trait Entry: Clone + PartialEq + Sized {
    /// Where it is kept.
    const TABLE: Table;
    /// Its fields in the order of the schema.
    fn fields(&self) -> Vec<(&'static str, Value)>;
    /// The struct from its fields.
    ///
    /// # Errors
    /// Names the first field that is missing or of another type.
    fn from_fields(fields: Fields<'_>) -> Result<Self, FieldError>;
}

/// All entries that one kind of document can hold.
pub trait EntrySet: Clone + std::fmt::Debug {
    /// The kind of document.
    const KIND: Kind;
    /// Its tables, in the fixed order in which the genesis change makes them.
    const TABLES: &'static [Table];
    /// The table of this entry.
    fn table(&self) -> Table;
    /// The entry's fields.
    fn fields(&self) -> Vec<(&'static str, Value)>;
}

/// Separates an entry's id from a field's name in a key. Ids must not hold it.
pub(crate) const SEPARATOR: char = '\u{1f}';
/// The field that says a record was withdrawn.
pub(crate) const WITHDRAWN: &str = "withdrawn";
/// The field of a record that names the records it corrects.
pub(crate) const SUPERSEDES: &str = "supersedes";

/// The key of a cell. Without a field: a record's content, or a thing's presence.
pub(crate) fn key(id: &str, field: Option<&str>) -> String {
    field.map_or_else(|| id.to_owned(), |f| format!("{id}{SEPARATOR}{f}"))
}

/// The id and the field of a key.
pub(crate) fn split_key(key: &str) -> (&str, Option<&str>) {
    key.split_once(SEPARATOR).map_or((key, None), |(id, field)| (id, Some(field)))
}

/// A value with who put it there and when: the one scalar that the documents hold.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Cell {
    pub(crate) stamp: Stamp,
    pub(crate) value: Value,
}

impl Cell {
    /// The layout of the bytes.
    const LAYOUT: u8 = 1;

    pub(crate) fn to_bytes(&self) -> Vec<u8> {
        let mut out = vec![Self::LAYOUT];
        self.stamp.write(&mut out);
        self.value.write(&mut out);
        out
    }

    pub(crate) fn from_bytes(bytes: &[u8]) -> Option<Self> {
        let mut reader = Reader::new(bytes);
        reader.byte().filter(|layout| *layout == Self::LAYOUT)?;
        let stamp = Stamp::read(&mut reader)?;
        let value = reader.value()?;
        reader.is_at_end().then_some(Self { stamp, value })
    }
}

/// Lays down one entry: a struct with its table.
macro_rules! entry {
    (
        $(#[$doc:meta])* $style:ident $name:ident in $table:ident {
            $($(#[$field_doc:meta])* $field:ident: $type:ty),+ $(,)?
        }
    ) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq)]
        pub struct $name { $($(#[$field_doc])* pub $field: $type),+ }

        impl $crate::entry::Entry for $name {
            const TABLE: $crate::entry::Table = $crate::entry::Table {
                name: stringify!($table),
                style: $crate::entry::Style::$style,
            };
            fn fields(&self) -> Vec<(&'static str, $crate::value::Value)> {
                vec![$((stringify!($field), $crate::stored::Stored::store(&self.$field))),+]
            }
            fn from_fields(fields: $crate::entry::Fields<'_>) -> Result<Self, $crate::entry::FieldError> {
                Ok(Self { $(
                    $field: $crate::stored::Stored::fetch(fields.get(stringify!($field)))
                        .ok_or($crate::entry::FieldError { field: stringify!($field) })?
                ),+ })
            }
        }
    };
}
pub(crate) use entry;

/// Gathers the entries of one kind of document: the enum of them all, and the view.
macro_rules! entry_set {
    (
        $(#[$set_doc:meta])* $set:ident, $(#[$view_doc:meta])* $view:ident for $kind:ident;
        $( $(#[$doc:meta])* $style:ident $name:ident in $table:ident; )+
    ) => {
        $(
            impl From<$name> for $set {
                fn from(entry: $name) -> Self {
                    Self::$name(Box::new(entry))
                }
            }
        )+

        $(#[$set_doc])*
        #[derive(Clone, Debug, PartialEq)]
        pub enum $set { $( $(#[$doc])* $name(Box<$name>) ),+ }

        impl $crate::entry::EntrySet for $set {
            const KIND: $crate::entry::Kind = $crate::entry::Kind::$kind;
            const TABLES: &'static [$crate::entry::Table] =
                &[$(<$name as $crate::entry::Entry>::TABLE),+];
            fn table(&self) -> $crate::entry::Table {
                match self { $(Self::$name(_) => <$name as $crate::entry::Entry>::TABLE),+ }
            }
            fn fields(&self) -> Vec<(&'static str, $crate::value::Value)> {
                match self { $(Self::$name(entry) => $crate::entry::Entry::fields(entry.as_ref())),+ }
            }
        }

        $(#[$view_doc])*
        #[derive(Clone, Debug, PartialEq)]
        pub struct $view { $(
            $(#[$doc])*
            pub $table: $crate::entry::entry_set!(@view $style $name)
        ),+ }

        impl $view {
            /// Reads the document as it stands.
            ///
            /// # Errors
            /// [`WrongKind`](crate::document::WrongKind) if it is another kind of document.
            pub fn read(
                document: &$crate::document::Document,
            ) -> Result<Self, $crate::document::WrongKind> {
                document.expect_kind($crate::entry::Kind::$kind)?;
                Ok(Self { $($table: $crate::view::ReadTable::read_table(document)),+ })
            }
        }
    };
    (@view Record $name:ident) => { $crate::view::Records<$name> };
    (@view Thing $name:ident) => { $crate::view::Things<$name> };
    (@view Single $name:ident) => { $crate::view::Single<$name> };
}
pub(crate) use entry_set;
