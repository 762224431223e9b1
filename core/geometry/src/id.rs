//! Names of things: one type for each kind, so that a room's name cannot stand where a corner's is expected.

macro_rules! id_type {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(String);

        impl $name {
            /// Makes the name from any text; whether it is well chosen is for whoever read it to check.
            pub fn new(text: impl Into<String>) -> Self {
                Self(text.into())
            }
            /// The name as text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }
        impl From<&str> for $name {
            fn from(text: &str) -> Self {
                Self(text.to_owned())
            }
        }
    };
}

id_type!(
    /// Names a room within a job.
    RoomId
);
id_type!(
    /// Names a corner within a room, as written at the walkthrough: `A`, `B`, …
    CornerId
);
id_type!(
    /// Names a product within a job or a shop.
    ProductId
);
id_type!(
    /// Names anything else that a room holds: a keep-out, an opening, a rod reading.
    ItemId
);
