//! What can go wrong, and what is intact then.

use std::io;
use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;

/// Why something was not stored or read. After any of these, everything acknowledged before is still there.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// There is no room left. Nothing of this was stored; everything acknowledged before is intact.
    #[error("the disk is full: nothing of this was stored, and everything stored before is intact")]
    DiskFull,
    /// A newer program wrote the store.
    #[error(
        "a newer version ({found}) wrote this store, and this program knows up to {known}: it can only be read"
    )]
    ReadOnly {
        /// The store's version.
        found: i64,
        /// The newest version known.
        known: i64,
    },
    /// The database file does not hold together.
    #[error("the store's database is damaged: {0}")]
    Damaged(String),
    /// A file does not have the content that its name promises.
    #[error("{path} is damaged: its content does not match its name")]
    DamagedFile {
        /// The file.
        path: PathBuf,
    },
    /// A file that should be there is not.
    #[error("there is no file {0}")]
    NoFile(String),
    /// The file system refused.
    #[error("{path}: {source}")]
    Io {
        /// The file or folder.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// The database refused.
    #[error("the store's database refused: {0}")]
    Database(rusqlite::Error),
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Self::DiskFull,
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => Self::Damaged(error.to_string()),
            _ => Self::Database(error),
        }
    }
}

impl StoreError {
    pub(crate) fn io(path: &Path) -> impl FnOnce(io::Error) -> Self + '_ {
        move |source| match source.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::DiskFull,
            _ => Self::Io { path: path.to_path_buf(), source },
        }
    }
}

/// Why a store was not opened.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// Another process has it open for writing.
    #[error("{0} is in use by another running copy of the program")]
    InUse(PathBuf),
    /// The session's name was used before in this store: two copies must never write under one name.
    #[error("the name of this session was used before in this store: draw a new one")]
    SessionUsed,
    /// It could not be read or made.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl From<rusqlite::Error> for OpenError {
    fn from(error: rusqlite::Error) -> Self {
        Self::Store(error.into())
    }
}
