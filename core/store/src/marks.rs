//! How far each document is, in bytes that mean something to the caller: so that it can say so without loading any.

use rusqlite::Transaction;

use crate::DocumentKey;
use crate::error::StoreError;
use crate::migrations::Migration;

pub(crate) const MIGRATIONS: &[Migration] = &[Migration {
    name: "2026-11-29 marks",
    sql: "CREATE TABLE doc_mark (doc BLOB PRIMARY KEY, mark BLOB NOT NULL) WITHOUT ROWID;",
    // A program that does not know marks would leave them behind what it writes.
    older_may_write: false,
}];

pub(crate) fn set(
    transaction: &Transaction<'_>,
    document: DocumentKey,
    mark: &[u8],
) -> Result<(), StoreError> {
    let sql = "INSERT OR REPLACE INTO doc_mark (doc, mark) VALUES (?1, ?2)";
    transaction.prepare_cached(sql)?.execute((document.0, mark))?;
    Ok(())
}
