//! Photos and frozen records: files under the hash of their content.
//!
//! Written beside under another name, flushed, renamed, the folder flushed, and only then named in a row. So a
//! row's file is whole, and a file without a row is a leftover of a crash that the same bytes will claim again.

use std::fmt;
use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use rusqlite::{OptionalExtension, Row};

use crate::disk::{self, Disk, Growing, Readers};
use crate::error::StoreError;
use crate::migrations::Migration;
use crate::store::Store;

pub(crate) const MIGRATIONS: &[Migration] = &[Migration {
    name: "2026-11-25 files",
    sql: "
        CREATE TABLE file (
            hash BLOB PRIMARY KEY,
            bytes INTEGER NOT NULL,
            label TEXT NOT NULL
        ) WITHOUT ROWID;",
    older_may_write: false,
}];

/// The folder of the files within the store's.
pub(crate) const FOLDER: &str = "files";
pub(crate) const UNFINISHED: &str = "unfinished";

/// BLAKE3 of a file's content.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileHash(pub [u8; 32]);

impl FileHash {
    /// The hash of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(*blake3::hash(bytes).as_bytes())
    }

    /// Reads 64 lower-case hexadecimal digits.
    pub fn parse(text: &str) -> Option<Self> {
        let lower = text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
        let hash = lower.then(|| blake3::Hash::from_hex(text).ok())??;
        Some(Self(*hash.as_bytes()))
    }
}

impl fmt::Display for FileHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(blake3::Hash::from_bytes(self.0).to_hex().as_str())
    }
}

impl fmt::Debug for FileHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "FileHash({self})")
    }
}

/// A file that the store holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileInfo {
    /// Its hash.
    pub hash: FileHash,
    /// Its size in bytes.
    pub bytes: i64,
    /// What it is, in a word of the caller's: `photo`, `image/jpeg`.
    pub label: String,
}

impl Store {
    /// Stores a file; the same content a second time is the same file.
    ///
    /// # Errors
    /// Says why it was not stored; nothing half-written is left.
    pub fn put_file(&mut self, bytes: &[u8], label: &str) -> Result<FileHash, StoreError> {
        self.put_file_from(&mut &*bytes, label)
    }

    /// Stores what a reader yields, without holding it in memory.
    ///
    /// # Errors
    /// Says why it was not stored; nothing half-written is left.
    pub fn put_file_from(&mut self, from: &mut dyn Read, label: &str) -> Result<FileHash, StoreError> {
        self.expect_writable()?;
        let unfinished = self.folder.join(FOLDER).join(UNFINISHED);
        disk::make_folders(&*self.disk, &unfinished).map_err(StoreError::io(&unfinished))?;
        // One process writes at a time and `self` is exclusive, so one name is enough; a leftover is overwritten.
        let temporary = unfinished.join("incoming");
        let stored = self.receive(from, &temporary, label);
        if stored.is_err() {
            let _ = self.disk.remove(&temporary);
        }
        stored
    }

    fn receive(
        &mut self,
        from: &mut dyn Read,
        temporary: &Path,
        label: &str,
    ) -> Result<FileHash, StoreError> {
        let (hash, bytes) = copy_hashed(&*self.disk, from, temporary)?;
        self.claim(temporary, hash, bytes, label)?;
        Ok(hash)
    }

    /// Makes a finished file one of the store's.
    pub(crate) fn claim(
        &mut self,
        temporary: &Path,
        hash: FileHash,
        bytes: i64,
        label: &str,
    ) -> Result<(), StoreError> {
        let path = path_in(&self.folder, hash);
        let published = disk::make_folders(&*self.disk, disk::folder_of(&path))
            .and_then(|()| disk::publish(&*self.disk, temporary, &path));
        published.map_err(StoreError::io(&path))?;
        let sql = "INSERT OR IGNORE INTO file (hash, bytes, label) VALUES (?1, ?2, ?3)";
        self.connection.execute(sql, (hash.0, bytes, label))?;
        Ok(())
    }

    /// Where a file is, if the store holds it.
    ///
    /// # Errors
    /// Says why the database cannot be read.
    pub fn file_path(&self, hash: FileHash) -> Result<Option<PathBuf>, StoreError> {
        let mut statement = self.connection.prepare_cached("SELECT 1 FROM file WHERE hash = ?1")?;
        let there: Option<i64> = statement.query_row([hash.0], |row| row.get(0)).optional()?;
        Ok(there.map(|_| path_in(&self.folder, hash)))
    }

    /// A file's content, checked against its name.
    ///
    /// # Errors
    /// Says whether it is missing or damaged.
    pub fn read_file(&self, hash: FileHash) -> Result<Vec<u8>, StoreError> {
        let path = self.file_path(hash)?.ok_or_else(|| StoreError::NoFile(hash.to_string()))?;
        let bytes = fs::read(&path).map_err(StoreError::io(&path))?;
        if FileHash::of(&bytes) == hash { Ok(bytes) } else { Err(StoreError::DamagedFile { path }) }
    }

    /// The files held, by hash.
    ///
    /// # Errors
    /// Says why they cannot be listed.
    pub fn files(&self) -> Result<Vec<FileInfo>, StoreError> {
        let mut statement =
            self.connection.prepare_cached("SELECT hash, bytes, label FROM file ORDER BY hash")?;
        let info = |row: &Row<'_>| {
            Ok(FileInfo { hash: FileHash(row.get(0)?), bytes: row.get(1)?, label: row.get(2)? })
        };
        let rows = statement.query_map([], info)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

/// Where the file with this hash lies in a store's folder.
pub(crate) fn path_in(folder: &Path, hash: FileHash) -> PathBuf {
    let name = hash.to_string();
    folder.join(FOLDER).join(&name[..2]).join(name)
}

/// Writes what a reader yields to a new file and flushes it; its hash and size.
fn copy_hashed(disk: &dyn Disk, from: &mut dyn Read, to: &Path) -> Result<(FileHash, i64), StoreError> {
    let mut file = disk.create(to, Readers::Usual).map_err(StoreError::io(to))?;
    let mut hasher = blake3::Hasher::new();
    let mut tee = Tee { file: &mut *file, hasher: &mut hasher };
    let bytes = io::copy(from, &mut tee).map_err(StoreError::io(to))?;
    file.keep().map_err(StoreError::io(to))?;
    Ok((FileHash(*hasher.finalize().as_bytes()), i64::try_from(bytes).unwrap_or(i64::MAX)))
}

/// The hash and the size of a file that lies on the disk.
pub(crate) fn hash_of(path: &Path) -> Result<(FileHash, i64), StoreError> {
    let mut hasher = blake3::Hasher::new();
    let mut file = File::open(path).map_err(StoreError::io(path))?;
    let bytes = io::copy(&mut file, &mut hasher).map_err(StoreError::io(path))?;
    Ok((FileHash(*hasher.finalize().as_bytes()), i64::try_from(bytes).unwrap_or(i64::MAX)))
}

struct Tee<'a> {
    file: &'a mut dyn Growing,
    hasher: &'a mut blake3::Hasher,
}

impl Write for Tee<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let n = self.file.write(bytes)?;
        self.hasher.update(&bytes[..n]);
        Ok(n)
    }
    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}
