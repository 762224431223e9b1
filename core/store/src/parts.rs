//! Files on their way in: what has come of one lies under its hash and is gone on with after a cut or a kill.

use std::fs::{self, File};
use std::io::{Read, Seek, SeekFrom};
use std::path::PathBuf;

use crate::disk;
use crate::error::StoreError;
use crate::files::{FOLDER, FileHash, UNFINISHED, hash_of};
use crate::store::Store;

impl Store {
    /// How many bytes of a file have come.
    ///
    /// # Errors
    /// Says why that cannot be read.
    pub fn part(&self, hash: FileHash) -> Result<u64, StoreError> {
        let path = self.part_path(hash);
        match fs::metadata(&path) {
            Ok(found) => Ok(found.len()),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(0),
            Err(error) => Err(StoreError::io(&path)(error)),
        }
    }

    /// Adds bytes at a place; whatever lay beyond it is gone, so that a file never has a gap or a double piece.
    /// They are on the disk for good only with [`Store::finish_part`].
    ///
    /// # Errors
    /// Says why they were not added; the place must not lie behind the end of what has come.
    pub fn append_part(&mut self, hash: FileHash, offset: u64, bytes: &[u8]) -> Result<(), StoreError> {
        self.expect_writable()?;
        let path = self.part_path(hash);
        let add = || {
            disk::make_folders(&*self.disk, disk::folder_of(&path))?;
            self.disk.go_on(&path, offset)?.write_all(bytes)
        };
        add().map_err(StoreError::io(&path))
    }

    /// Ends a file: if its content is what its name says it is one of the store's from then on; if not, what came is
    /// thrown away. Says which.
    ///
    /// # Errors
    /// Says why it could not be stored; what came stays.
    pub fn finish_part(&mut self, hash: FileHash, label: &str) -> Result<bool, StoreError> {
        self.expect_writable()?;
        let path = self.part_path(hash);
        if !path.exists() {
            return Ok(false);
        }
        self.disk.keep(&path).map_err(StoreError::io(&path))?;
        let (found, bytes) = hash_of(&path)?;
        if found != hash {
            self.disk.remove(&path).map_err(StoreError::io(&path))?;
            return Ok(false);
        }
        self.claim(&path, hash, bytes, label)?;
        Ok(true)
    }

    /// Bytes of a file that the store holds: its whole size, and at most so many from a place on. `None` if it is not
    /// here. They are not checked against the name: whoever gets the whole file does that.
    ///
    /// # Errors
    /// Says why they cannot be read.
    pub fn piece(
        &self,
        hash: FileHash,
        offset: u64,
        most: u32,
    ) -> Result<Option<(u64, Vec<u8>)>, StoreError> {
        let Some(path) = self.file_path(hash)? else { return Ok(None) };
        let read = || {
            let mut file = File::open(&path)?;
            let total = file.metadata()?.len();
            file.seek(SeekFrom::Start(offset))?;
            let mut bytes = Vec::new();
            file.take(u64::from(most)).read_to_end(&mut bytes)?;
            Ok((total, bytes))
        };
        read().map(Some).map_err(StoreError::io(&path))
    }

    fn part_path(&self, hash: FileHash) -> PathBuf {
        self.folder.join(FOLDER).join(UNFINISHED).join(format!("{hash}.part"))
    }
}
