//! The list of jobs, one line each, so that a thousand jobs are listed without loading a document.

use rusqlite::{Row, Transaction};

use crate::DocumentKey;
use crate::error::StoreError;
use crate::migrations::Migration;
use crate::store::Store;

pub(crate) const MIGRATIONS: &[Migration] = &[Migration {
    name: "2026-11-25 job summaries",
    sql: "
        CREATE TABLE job_summary (
            job BLOB PRIMARY KEY,
            name TEXT NOT NULL,
            client TEXT NOT NULL,
            site TEXT NOT NULL,
            units TEXT NOT NULL,
            rooms INTEGER NOT NULL,
            area_m2 REAL,
            tiles INTEGER,
            cartons INTEGER,
            changed_utc_ms INTEGER NOT NULL,
            changed_zone_minutes INTEGER NOT NULL,
            changed_by TEXT NOT NULL,
            put_away INTEGER NOT NULL
        ) WITHOUT ROWID;",
    older_may_write: false,
}];

/// A job's line in the list, worked out by whoever writes the job. It can be made again at any time.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary {
    /// The job's document.
    pub job: DocumentKey,
    /// What the crew calls it.
    pub name: String,
    /// Whom it is for.
    pub client: String,
    /// Where it is.
    pub site: String,
    /// How its lengths are shown: a word of whoever writes it.
    pub units: String,
    /// How many rooms.
    pub rooms: i64,
    /// Area of its rooms in m², as far as computed.
    pub area_m2: Option<f64>,
    /// Tiles of its plans, as far as computed.
    pub tiles: Option<i64>,
    /// Cartons of its plans, as far as computed.
    pub cartons: Option<i64>,
    /// When it was last changed, in ms since 1970 by the clock of whoever did.
    pub changed_utc_ms: i64,
    /// The zone of that clock, minutes east of Greenwich.
    pub changed_zone_minutes: i16,
    /// By whom.
    pub changed_by: String,
    /// Whether it is over and put away.
    pub put_away: bool,
}

impl Store {
    /// The jobs, last changed first, then by id.
    ///
    /// # Errors
    /// Says why they cannot be listed.
    pub fn jobs(&self) -> Result<Vec<Summary>, StoreError> {
        let mut statement = self.connection.prepare_cached(
            "SELECT job, name, client, site, units, rooms, area_m2, tiles, cartons, changed_utc_ms,
                    changed_zone_minutes, changed_by, put_away
             FROM job_summary ORDER BY changed_utc_ms DESC, job",
        )?;
        let rows = statement.query_map([], summary_of)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

fn summary_of(row: &Row<'_>) -> rusqlite::Result<Summary> {
    Ok(Summary {
        job: DocumentKey(row.get(0)?),
        name: row.get(1)?,
        client: row.get(2)?,
        site: row.get(3)?,
        units: row.get(4)?,
        rooms: row.get(5)?,
        area_m2: row.get(6)?,
        tiles: row.get(7)?,
        cartons: row.get(8)?,
        changed_utc_ms: row.get(9)?,
        changed_zone_minutes: row.get(10)?,
        changed_by: row.get(11)?,
        put_away: row.get(12)?,
    })
}

pub(crate) fn put(transaction: &Transaction<'_>, line: &Summary) -> Result<(), StoreError> {
    let sql =
        "INSERT OR REPLACE INTO job_summary VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)";
    transaction.prepare_cached(sql)?.execute(rusqlite::params![
        line.job.0,
        line.name,
        line.client,
        line.site,
        line.units,
        line.rooms,
        line.area_m2,
        line.tiles,
        line.cartons,
        line.changed_utc_ms,
        line.changed_zone_minutes,
        line.changed_by,
        line.put_away,
    ])?;
    Ok(())
}

pub(crate) fn remove(transaction: &Transaction<'_>, job: DocumentKey) -> Result<(), StoreError> {
    transaction.execute("DELETE FROM job_summary WHERE job = ?1", [job.0])?;
    Ok(())
}
