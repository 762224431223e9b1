//! Objects of the format whose fields are laid down once: the type, its schema and its reader come from one list.

/// Whether a field says nothing and is left out when the sheet is written.
pub(super) fn is_nothing<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

/// Words of the format: an enumeration whose cases are written as words.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident by $reader:ident { $($(#[$case_doc:meta])* $case:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, schemars::JsonSchema)]
        pub enum $name { $($(#[$case_doc])* #[serde(rename = $word)] $case),+ }

        impl $name {
            /// Every case, in the order laid down.
            pub const ALL: &'static [Self] = &[$(Self::$case),+];
            /// The case as a word.
            pub fn word(self) -> &'static str {
                match self { $(Self::$case => $word),+ }
            }
            /// The case that has this word.
            pub fn from_word(word: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|case| case.word() == word)
            }
        }

        pub(super) fn $reader(item: $crate::sheet::fields::Item<'_>) -> Option<$name> {
            item.choice(&[$(($word, $name::$case)),+])
        }
    };
}
pub(super) use words;

/// An object of the format: `must` fields are asked for, `may` fields are left out where they say nothing.
macro_rules! object {
    (
        $(#[$doc:meta])* $name:ident by $reader:ident
        must { $($(#[$must_doc:meta])* $must:ident: $must_type:ty = $must_read:expr;)* }
        may { $($(#[$may_doc:meta])* $may:ident: $may_type:ty = $may_read:expr;)* }
    ) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, serde::Serialize, schemars::JsonSchema)]
        #[schemars(extend("additionalProperties" = false))]
        pub struct $name {
            $($(#[$must_doc])* pub $must: $must_type,)*
            $(
                $(#[$may_doc])*
                #[serde(skip_serializing_if = "crate::sheet::object::is_nothing")]
                #[schemars(default)]
                pub $may: $may_type,
            )*
            /// Fields of a newer minor version.
            #[serde(flatten)]
            #[schemars(skip)]
            pub extra: $crate::sheet::Extra,
        }

        pub(super) fn $reader(item: $crate::sheet::fields::Item<'_>) -> Option<$name> {
            let mut f = item.object()?;
            $(let $must = f.required(stringify!($must), $must_read);)*
            $(let $may: $may_type = f.optional(stringify!($may), $may_read).map(Into::into).unwrap_or_default();)*
            let extra = f.rest();
            Some($name { $($must: $must?,)* $($may,)* extra })
        }
    };
}
pub(super) use object;
