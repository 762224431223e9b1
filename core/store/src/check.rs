//! Looking over a store: which rows and files are intact.

use std::fs;

use rusqlite::Row;

use crate::chunks::DamagedRow;
use crate::error::StoreError;
use crate::files::{FileHash, path_in};
use crate::store::Store;
use crate::{DocumentKey, chunks};

/// What a check found.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Report {
    /// Rows of documents that are intact.
    pub intact_rows: usize,
    /// Rows that are not, by document.
    pub damaged_rows: Vec<(DocumentKey, DamagedRow)>,
    /// Files that are intact.
    pub intact_files: usize,
    /// Files whose content does not match their name.
    pub damaged_files: Vec<FileHash>,
    /// Files that are named in a row and not there.
    pub missing_files: Vec<FileHash>,
    /// Rows that an earlier compaction set aside because they were damaged.
    pub set_aside: i64,
    /// What the database says of its own pages; empty if they are in order.
    pub pages: Vec<String>,
}

impl Report {
    /// Whether everything is intact.
    pub fn is_clean(&self) -> bool {
        let Self { damaged_rows, damaged_files, missing_files, set_aside, pages, .. } = self;
        let files = damaged_files.is_empty() && missing_files.is_empty();
        damaged_rows.is_empty() && files && *set_aside == 0 && pages.is_empty()
    }
}

impl Store {
    /// Reads everything once and says what is intact.
    ///
    /// # Errors
    /// Where not even the list of documents can be read.
    pub fn check(&self) -> Result<Report, StoreError> {
        let mut report = Report { pages: self.check_pages(), ..Report::default() };
        for info in self.documents()? {
            let loaded = chunks::load(&self.connection, info.document)?;
            report.intact_rows += loaded.chunks.len();
            report.damaged_rows.extend(loaded.damaged.into_iter().map(|row| (info.document, row)));
        }
        for info in self.files()? {
            match fs::read(path_in(&self.folder, info.hash)) {
                Err(_) => report.missing_files.push(info.hash),
                Ok(bytes) if FileHash::of(&bytes) == info.hash => report.intact_files += 1,
                Ok(_) => report.damaged_files.push(info.hash),
            }
        }
        let count = "SELECT count(*) FROM doc_set_aside";
        report.set_aside = self.connection.query_row(count, [], |row| row.get(0))?;
        Ok(report)
    }

    fn check_pages(&self) -> Vec<String> {
        let text = |row: &Row<'_>| row.get::<_, String>(0);
        let lines = self.connection.prepare("PRAGMA integrity_check").and_then(|mut statement| {
            let rows = statement.query_map([], text)?;
            rows.collect::<rusqlite::Result<Vec<_>>>()
        });
        match lines {
            Ok(lines) => lines.into_iter().filter(|line| line != "ok").collect(),
            Err(error) => vec![error.to_string()],
        }
    }
}
