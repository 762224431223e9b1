//! What the crates below refuse, as problems with their place.

use crate::Problem;
use drylay_document::EditError;
use drylay_geometry::LengthError;
use drylay_geometry::Reason;
use drylay_store::{OpenError, StoreError};

impl Problem {
    /// A fault of the program itself.
    pub fn internal(what: &str) -> Self {
        Self::new("program.fault", "").with("what", what)
    }
}

/// Why a text is no length, at `place`. The parameter `at` counts characters from 1.
pub(crate) fn length_problem(error: LengthError, found: &str, place: &str) -> Problem {
    let code = match error.reason {
        Reason::Empty => "length.empty",
        Reason::NumberExpected => "length.number_expected",
        Reason::UnitMissing => "length.unit_missing",
        Reason::UnitUnknown => "length.unit_unknown",
        Reason::CommaAmbiguous => "length.comma_ambiguous",
        Reason::SeveralMarks => "length.several_marks",
        Reason::InchesOverTwelve => "length.inches_over_twelve",
        Reason::BrokenFeet => "length.broken_feet",
        Reason::Fraction => "length.fraction",
        Reason::Trailing => "length.trailing",
        Reason::TooLong => "length.too_long",
    };
    Problem::new(code, place).with("found", found).with("at", error.at + 1)
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::DiskFull => Self::new("store.full", ""),
            StoreError::ReadOnly { .. } => Self::new("store.newer", ""),
            StoreError::Damaged(why) => Self::new("store.damaged", "").with("why", why),
            StoreError::DamagedFile { path } => {
                Self::new("store.damaged_file", "").with("path", path.display())
            }
            StoreError::NoFile(name) => Self::new("store.no_file", "").with("name", name),
            StoreError::Io { path, source } => {
                Self::new("store.io", "").with("path", path.display()).with("why", source)
            }
            StoreError::Database(error) => Self::new("store.database", "").with("why", error),
        }
    }
}

impl From<OpenError> for Problem {
    fn from(error: OpenError) -> Self {
        match error {
            OpenError::InUse(path) => Self::new("store.in_use", "").with("path", path.display()),
            OpenError::SessionUsed => Self::internal("a session's name was drawn twice"),
            OpenError::Store(error) => error.into(),
        }
    }
}

impl From<EditError> for Problem {
    fn from(error: EditError) -> Self {
        match error {
            EditError::Newer { .. } => Self::new("document.newer", ""),
            EditError::TooLarge { bytes, .. } => Self::new("document.too_large", "").with("bytes", bytes),
            EditError::Overtaken { since, .. } => Self::new("undo.overtaken", "")
                .with("by", &since.by.name)
                .with("at", crate::show::iso(since.at.utc_ms)),
            EditError::Unknown { id, .. } => Self::new("entry.unknown", "").with("name", id),
            other => Self::internal(&other.to_string()),
        }
    }
}

/// There is no such thing in the job.
pub(crate) fn unknown(code: &str, place: &str, name: &str) -> Problem {
    Problem::new(code, place).with("name", name)
}
