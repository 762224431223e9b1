//! Settings of this device, and drafts: what was being typed when the app was killed.

use rusqlite::{OptionalExtension, Transaction};

use crate::error::StoreError;
use crate::migrations::Migration;
use crate::store::Store;

pub(crate) const MIGRATIONS: &[Migration] = &[Migration {
    name: "2026-11-25 settings and drafts",
    sql: "
        CREATE TABLE setting (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
        CREATE TABLE draft (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;",
    older_may_write: true,
}];

impl Store {
    /// A setting.
    ///
    /// # Errors
    /// Says why it cannot be read.
    pub fn setting(&self, key: &str) -> Result<Option<String>, StoreError> {
        let mut statement = self.connection.prepare_cached("SELECT value FROM setting WHERE key = ?1")?;
        Ok(statement.query_row([key], |row| row.get(0)).optional()?)
    }

    /// The drafts whose keys begin with `prefix`, by key.
    ///
    /// # Errors
    /// Says why they cannot be read.
    pub fn drafts(&self, prefix: &str) -> Result<Vec<(String, String)>, StoreError> {
        let sql = "SELECT key, value FROM draft WHERE substr(key, 1, length(?1)) = ?1 ORDER BY key";
        let mut statement = self.connection.prepare_cached(sql)?;
        let rows = statement.query_map([prefix], |row| Ok((row.get(0)?, row.get(1)?)))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

/// Sets a key of one of the two tables, or clears it.
pub(crate) fn set(
    transaction: &Transaction<'_>,
    table: &str,
    key: &str,
    value: Option<&str>,
) -> Result<(), StoreError> {
    match value {
        Some(value) => {
            let sql = format!("INSERT OR REPLACE INTO {table} (key, value) VALUES (?1, ?2)");
            transaction.prepare_cached(&sql)?.execute([key, value])?;
        }
        None => {
            transaction.prepare_cached(&format!("DELETE FROM {table} WHERE key = ?1"))?.execute([key])?;
        }
    }
    Ok(())
}
