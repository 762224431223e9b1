//! Bringing a store's tables up to date. Each table's file holds its own dated migrations; this one runs them.

use rusqlite::{Connection, Transaction};

use crate::{chunks, files, marks, settings, summary};

/// One step of the tables' history. A step that has landed is never edited.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Migration {
    /// The day it was written, and its name: the order of steps.
    pub(crate) name: &'static str,
    /// What it does.
    pub(crate) sql: &'static str,
    /// Whether a program that does not know the step may still write the store.
    pub(crate) older_may_write: bool,
}

/// All steps in order. `user_version` counts those that a store has taken, so a later step goes to the end of the
/// whole list, whichever table it changes.
pub(crate) fn all() -> Vec<Migration> {
    [
        FORMAT,
        chunks::MIGRATIONS,
        summary::MIGRATIONS,
        settings::MIGRATIONS,
        files::MIGRATIONS,
        marks::MIGRATIONS,
    ]
    .concat()
}

const FORMAT: &[Migration] = &[Migration {
    name: "2026-11-25 format and sessions",
    sql: "
        CREATE TABLE format (
            version INTEGER PRIMARY KEY,
            name TEXT NOT NULL,
            older_may_write INTEGER NOT NULL
        );
        CREATE TABLE session (n INTEGER PRIMARY KEY, name BLOB NOT NULL UNIQUE);",
    older_may_write: false,
}];

/// The number of steps the store has taken.
pub(crate) fn version(connection: &Connection) -> rusqlite::Result<i64> {
    connection.query_row("PRAGMA user_version", [], |row| row.get(0))
}

/// Takes the steps that are missing, all or none.
pub(crate) fn run(transaction: &Transaction<'_>, steps: &[Migration]) -> rusqlite::Result<()> {
    let taken = version(transaction)?;
    let numbered = (1_i64..).zip(steps).skip_while(|(number, _)| *number <= taken);
    for (number, step) in numbered {
        transaction.execute_batch(step.sql)?;
        transaction.execute(
            "INSERT INTO format (version, name, older_may_write) VALUES (?1, ?2, ?3)",
            (number, step.name, step.older_may_write),
        )?;
        transaction.pragma_update(None, "user_version", number)?;
    }
    Ok(())
}

/// Whether a program that knows `known` steps may write a store that has taken more. A store whose own record of
/// its steps cannot be read is not written.
pub(crate) fn older_may_write(connection: &Connection, known: i64) -> bool {
    let refusals: rusqlite::Result<i64> = connection.query_row(
        "SELECT count(*) FROM format WHERE version > ?1 AND older_may_write = 0",
        [known],
        |row| row.get(0),
    );
    refusals.is_ok_and(|n| n == 0)
}
