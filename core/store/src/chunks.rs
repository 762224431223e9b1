//! Documents as rows of chunks.
//!
//! A torn end of an append-only file makes a whole document unreadable, and loading chunk by chunk costs
//! milliseconds each; so every chunk is a row with a checksum of its own, and a document is loaded from all of them
//! joined in order.

use rusqlite::{Connection, OptionalExtension, Row, Transaction};

use crate::DocumentKey;
use crate::error::StoreError;
use crate::migrations::Migration;
use crate::store::Store;

pub(crate) const MIGRATIONS: &[Migration] = &[Migration {
    name: "2026-11-25 documents",
    sql: "
        CREATE TABLE doc (doc BLOB PRIMARY KEY, label TEXT NOT NULL, parent BLOB) WITHOUT ROWID;
        CREATE TABLE doc_chunk (
            id INTEGER PRIMARY KEY,
            doc BLOB NOT NULL,
            seq INTEGER NOT NULL,
            snap INTEGER NOT NULL,
            bytes BLOB NOT NULL,
            blake3 BLOB NOT NULL,
            UNIQUE (doc, seq)
        );
        CREATE TABLE doc_set_aside (
            id INTEGER PRIMARY KEY, doc BLOB NOT NULL, seq INTEGER NOT NULL, snap INTEGER NOT NULL,
            bytes BLOB NOT NULL, blake3 BLOB NOT NULL
        );",
    older_may_write: false,
}];

/// Below this many bytes of chunks a document is not compacted: it would save nothing.
const SMALLEST_COMPACTION: i64 = 64 * 1024;

/// A document's rows, in order.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Loaded {
    /// The chunks that are intact.
    pub chunks: Vec<Vec<u8>>,
    /// The rows that are not.
    pub damaged: Vec<DamagedRow>,
}

impl Loaded {
    /// The intact chunks joined, as a document is loaded in one call.
    pub fn joined(&self) -> Vec<u8> {
        self.chunks.concat()
    }
}

/// A row that cannot be trusted or read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DamagedRow {
    /// Its number within the document; `None` where not even that can be read.
    pub seq: Option<i64>,
    /// Its bytes as found, empty where they cannot be read.
    pub bytes: Vec<u8>,
    /// What is wrong.
    pub why: String,
}

/// A document that the store holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DocumentInfo {
    /// The document.
    pub document: DocumentKey,
    /// What it was described as; empty if it was not.
    pub label: String,
    /// The document it belongs to.
    pub parent: Option<DocumentKey>,
    /// How far it is, if that was said when it was last written.
    pub mark: Option<Vec<u8>>,
}

impl Store {
    /// Reads a document's rows. None at all: the store does not hold it.
    ///
    /// # Errors
    /// Only where nothing can be read; single damaged rows are listed in the answer.
    pub fn load(&self, document: DocumentKey) -> Result<Loaded, StoreError> {
        load(&self.connection, document)
    }

    /// The documents that were described with that label, by id.
    ///
    /// # Errors
    /// Says why they cannot be listed.
    pub fn labelled(&self, label: &str) -> Result<Vec<DocumentKey>, StoreError> {
        let mut statement =
            self.connection.prepare_cached("SELECT doc FROM doc WHERE label = ?1 ORDER BY doc")?;
        let rows = statement.query_map([label], |row| row.get(0).map(DocumentKey))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The documents held, by id.
    ///
    /// # Errors
    /// Says why they cannot be listed.
    pub fn documents(&self) -> Result<Vec<DocumentInfo>, StoreError> {
        let mut statement = self.connection.prepare_cached(
            "SELECT d.doc, coalesce(doc.label, ''), doc.parent, doc_mark.mark
             FROM (SELECT DISTINCT doc FROM doc_chunk) d
             LEFT JOIN doc ON doc.doc = d.doc LEFT JOIN doc_mark ON doc_mark.doc = d.doc ORDER BY d.doc",
        )?;
        let rows = statement.query_map([], info)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// One of them.
    ///
    /// # Errors
    /// Says why it cannot be looked for.
    pub fn info(&self, document: DocumentKey) -> Result<Option<DocumentInfo>, StoreError> {
        let mut statement = self.connection.prepare_cached(
            "SELECT d.doc, coalesce(doc.label, ''), doc.parent, doc_mark.mark
             FROM (SELECT doc FROM doc_chunk WHERE doc = ?1 LIMIT 1) d
             LEFT JOIN doc ON doc.doc = d.doc LEFT JOIN doc_mark ON doc_mark.doc = d.doc",
        )?;
        Ok(statement.query_row([document.0], info).optional()?)
    }
}

fn info(row: &Row<'_>) -> rusqlite::Result<DocumentInfo> {
    Ok(DocumentInfo {
        document: DocumentKey(row.get(0)?),
        label: row.get(1)?,
        parent: row.get::<_, Option<_>>(2)?.map(DocumentKey),
        mark: row.get(3)?,
    })
}

pub(crate) fn describe(
    transaction: &Transaction<'_>,
    document: DocumentKey,
    label: &str,
    parent: Option<DocumentKey>,
) -> Result<(), StoreError> {
    let sql = "INSERT INTO doc (doc, label, parent) VALUES (?1, ?2, ?3)
               ON CONFLICT (doc) DO UPDATE SET label = ?2, parent = ?3";
    transaction.prepare_cached(sql)?.execute((document.0, label, parent.map(|p| p.0)))?;
    Ok(())
}

/// Adds a row; says whether the chunks have outgrown the snapshot.
pub(crate) fn append(
    transaction: &Transaction<'_>,
    document: DocumentKey,
    chunk: &[u8],
) -> Result<bool, StoreError> {
    insert(transaction, document, chunk, false)?;
    let sql = "SELECT coalesce(sum(length(bytes)) FILTER (WHERE snap = 0), 0),
                      coalesce(sum(length(bytes)) FILTER (WHERE snap = 1), 0) FROM doc_chunk WHERE doc = ?1";
    let sizes =
        transaction.prepare_cached(sql)?.query_row([document.0], |row| Ok((row.get(0)?, row.get(1)?)));
    let (chunks, snapshot): (i64, i64) = sizes?;
    Ok(chunks > SMALLEST_COMPACTION.max(snapshot.saturating_mul(2)))
}

/// Puts a snapshot in the place of all rows. Rows whose checksum fails are set aside, since the snapshot cannot
/// say what they said.
pub(crate) fn compact(
    transaction: &Transaction<'_>,
    document: DocumentKey,
    snapshot: &[u8],
) -> Result<(), StoreError> {
    let last: i64 = next_seq(transaction, document)? - 1;
    insert(transaction, document, snapshot, true)?;
    for row in load(transaction, document)?.damaged {
        transaction.execute(
            "INSERT INTO doc_set_aside (doc, seq, snap, bytes, blake3)
             SELECT doc, seq, snap, bytes, blake3 FROM doc_chunk WHERE doc = ?1 AND seq = ?2",
            (document.0, row.seq),
        )?;
    }
    transaction.execute("DELETE FROM doc_chunk WHERE doc = ?1 AND seq <= ?2", (document.0, last))?;
    Ok(())
}

fn next_seq(connection: &Connection, document: DocumentKey) -> Result<i64, StoreError> {
    let sql = "SELECT coalesce(max(seq), 0) + 1 FROM doc_chunk WHERE doc = ?1";
    Ok(connection.prepare_cached(sql)?.query_row([document.0], |row| row.get(0))?)
}

fn insert(
    transaction: &Transaction<'_>,
    document: DocumentKey,
    bytes: &[u8],
    snap: bool,
) -> Result<(), StoreError> {
    let seq = next_seq(transaction, document)?;
    let sql = "INSERT INTO doc_chunk (doc, seq, snap, bytes, blake3) VALUES (?1, ?2, ?3, ?4, ?5)";
    let hash = row_hash(document, seq, bytes);
    transaction.prepare_cached(sql)?.execute((document.0, seq, snap, bytes, hash))?;
    Ok(())
}

/// The checksum covers the row's place too, so that a row that strays into another document is found.
fn row_hash(document: DocumentKey, seq: i64, bytes: &[u8]) -> [u8; 32] {
    let mut hasher = blake3::Hasher::new();
    hasher.update(&document.0).update(&seq.to_le_bytes()).update(bytes);
    *hasher.finalize().as_bytes()
}

/// A row: its number and its bytes, or what is wrong with it.
type Checked = Result<(i64, Vec<u8>), DamagedRow>;

pub(crate) fn load(connection: &Connection, document: DocumentKey) -> Result<Loaded, StoreError> {
    let sql = "SELECT seq, bytes, blake3 FROM doc_chunk WHERE doc = ?1 ORDER BY seq";
    let (mut rows, error) = read_until_error(connection, sql, document)?;
    if let Some(error) = error {
        // A damaged page stops the reading there; from the other end the rows behind it can still be reached.
        let (behind, _) = read_until_error(connection, &format!("{sql} DESC"), document)?;
        rows.push(Err(DamagedRow { seq: None, bytes: Vec::new(), why: error.to_string() }));
        rows.extend(behind);
    }
    let mut loaded = Loaded::default();
    let mut intact = Vec::new();
    for row in rows {
        match row {
            Ok(chunk) => intact.push(chunk),
            Err(damaged) if !loaded.damaged.contains(&damaged) => loaded.damaged.push(damaged),
            Err(_) => {}
        }
    }
    intact.sort_unstable();
    intact.dedup();
    loaded.chunks = intact.into_iter().map(|(_, bytes)| bytes).collect();
    Ok(loaded)
}

fn read_until_error(
    connection: &Connection,
    sql: &str,
    document: DocumentKey,
) -> Result<(Vec<Checked>, Option<rusqlite::Error>), StoreError> {
    let mut statement = connection.prepare_cached(sql)?;
    let mut rows = statement.query([document.0])?;
    let mut found = Vec::new();
    loop {
        match rows.next() {
            Ok(Some(row)) => found.push(checked(row, document)),
            Ok(None) => return Ok((found, None)),
            Err(error) => return Ok((found, Some(error))),
        }
    }
}

fn checked(row: &Row<'_>, document: DocumentKey) -> Checked {
    let read = || Ok((row.get(0)?, row.get(1)?, row.get(2)?));
    let read: rusqlite::Result<(i64, Vec<u8>, Vec<u8>)> = read();
    match read {
        Ok((seq, bytes, hash)) if row_hash(document, seq, &bytes)[..] == hash[..] => Ok((seq, bytes)),
        Ok((seq, bytes, _)) => {
            Err(DamagedRow { seq: Some(seq), bytes, why: "its checksum does not match".to_owned() })
        }
        Err(error) => Err(DamagedRow { seq: row.get(0).ok(), bytes: Vec::new(), why: error.to_string() }),
    }
}
