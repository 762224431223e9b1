//! A whole store as one file, and a new store from it.
//!
//! ```text
//! "DRYLAYBK" version:u16  { name_len:u16 name  bytes_len:u64 bytes }*  0:u16  blake3 of all before:32
//! ```
//! Numbers are little-endian. The database comes first, as one consistent copy; then the files. The archive is
//! written beside its place and renamed, so it is there whole or not at all; restoring makes the new folder beside
//! its place and renames it after the last checksum has been compared.

use std::fs::{self, File};
use std::io::{self, BufReader, BufWriter, Read, Write};
use std::path::{Path, PathBuf};

use crate::disk::{self, Disk, Growing, Readers, RealDisk, beside, folder_of};
use crate::error::StoreError;
use crate::files::{self, FileHash};
use crate::store::{DATABASE, Store};

const MAGIC: &[u8; 8] = b"DRYLAYBK";
const VERSION: u16 = 1;

/// Why a backup could not be restored. The place it was to go to is as it was.
#[derive(Debug, thiserror::Error)]
pub enum RestoreError {
    /// Another sort of file.
    #[error("this is no backup of a store")]
    Foreign,
    /// A newer program wrote it.
    #[error("a newer program wrote this backup (version {0}): update this one")]
    Newer(u16),
    /// It ends too early, or its checksum does not match.
    #[error("the backup is damaged: {0}")]
    Damaged(String),
    /// There is something already where it should go.
    #[error("{0} is not empty: a backup is restored into a new folder")]
    Occupied(PathBuf),
    /// The file system or the database refused.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Store {
    /// Writes the whole store into one file.
    ///
    /// # Errors
    /// Says why; then there is no such file, or the one from before.
    pub fn backup(&self, to: &Path) -> Result<(), StoreError> {
        let (database, unfinished) = (beside(to, "db"), beside(to, "part"));
        let name = || disk::publish(&*self.disk, &unfinished, to).map_err(StoreError::io(to));
        let done = disk::make_folders(&*self.disk, folder_of(to)).map_err(StoreError::io(to));
        let done = done.and_then(|()| self.write_archive(&database, &unfinished)).and_then(|()| name());
        // The database wrote its copy itself.
        let _ = fs::remove_file(database);
        if done.is_err() {
            let _ = self.disk.remove(&unfinished);
        }
        done
    }

    fn write_archive(&self, database: &Path, unfinished: &Path) -> Result<(), StoreError> {
        let _ = fs::remove_file(database);
        let name = database.to_string_lossy();
        self.connection.execute("VACUUM INTO ?1", [name.as_ref()])?;
        let file = self.disk.create(unfinished, Readers::Usual).map_err(StoreError::io(unfinished))?;
        let mut out = Hashed { inner: BufWriter::new(file), hasher: blake3::Hasher::new() };
        let write = |out: &mut Archive| {
            out.write_all(MAGIC)?;
            out.write_all(&VERSION.to_le_bytes())?;
            write_entry(out, DATABASE, database)
        };
        write(&mut out).map_err(StoreError::io(unfinished))?;
        for info in self.files()? {
            let path = files::path_in(&self.folder, info.hash);
            write_entry(&mut out, &info.hash.to_string(), &path).map_err(StoreError::io(&path))?;
        }
        finish(out).map_err(StoreError::io(unfinished))
    }
}

/// An archive that is being written.
type Archive = Hashed<BufWriter<Box<dyn Growing>>>;

fn finish(mut out: Archive) -> io::Result<()> {
    out.write_all(&0_u16.to_le_bytes())?;
    let hash = out.hasher.finalize();
    out.inner.write_all(hash.as_bytes())?;
    out.inner.flush()?;
    out.inner.get_mut().keep()
}

fn write_entry(out: &mut impl Write, name: &str, path: &Path) -> io::Result<()> {
    let file = File::open(path)?;
    let bytes = file.metadata()?.len();
    out.write_all(&u16::try_from(name.len()).unwrap_or(u16::MAX).to_le_bytes())?;
    out.write_all(name.as_bytes())?;
    out.write_all(&bytes.to_le_bytes())?;
    let copied = io::copy(&mut file.take(bytes), out)?;
    if copied == bytes { Ok(()) } else { Err(io::ErrorKind::UnexpectedEof.into()) }
}

/// Makes a new store from a backup. The sessions of the old one stay used up, so its documents get new actors.
///
/// # Errors
/// Says why; then the folder is as it was.
pub fn restore(from: &Path, folder: &Path) -> Result<(), RestoreError> {
    restore_on(&RealDisk, from, folder)
}

pub(crate) fn restore_on(disk: &dyn Disk, from: &Path, folder: &Path) -> Result<(), RestoreError> {
    let occupied = fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_some());
    if occupied {
        return Err(RestoreError::Occupied(folder.to_path_buf()));
    }
    let unfinished = beside(folder, "restoring");
    clear(disk, &unfinished);
    let done = unpack(disk, from, &unfinished).and_then(|()| move_into_place(disk, &unfinished, folder));
    if done.is_err() {
        clear(disk, &unfinished);
    }
    done
}

/// Takes away what was begun, as far as it can be.
fn clear(disk: &dyn Disk, folder: &Path) {
    for entry in fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok) {
        if entry.file_type().is_ok_and(|kind| kind.is_dir()) {
            clear(disk, &entry.path());
        } else {
            let _ = disk.remove(&entry.path());
        }
    }
    let _ = disk.remove_folder(folder);
}

fn move_into_place(disk: &dyn Disk, unfinished: &Path, folder: &Path) -> Result<(), RestoreError> {
    if folder.exists() {
        disk.remove_folder(folder).map_err(StoreError::io(folder))?;
    }
    Ok(disk::publish(disk, unfinished, folder).map_err(StoreError::io(folder))?)
}

fn unpack(disk: &dyn Disk, from: &Path, into: &Path) -> Result<(), RestoreError> {
    let file = File::open(from).map_err(StoreError::io(from))?;
    let mut input = Hashed { inner: BufReader::new(file), hasher: blake3::Hasher::new() };
    let magic: [u8; 8] = take(&mut input).map_err(|_| RestoreError::Foreign)?;
    if magic != *MAGIC {
        return Err(RestoreError::Foreign);
    }
    let version = u16::from_le_bytes(take(&mut input)?);
    if version > VERSION {
        return Err(RestoreError::Newer(version));
    }
    disk::make_folders(disk, into).map_err(StoreError::io(into))?;
    while let Some(path) = next_name(&mut input, into)? {
        unpack_entry(disk, &mut input, &path)?;
    }
    let expected = input.hasher.finalize();
    let found: [u8; 32] = take(&mut input)?;
    if *expected.as_bytes() == found { Ok(()) } else { Err(damaged("its checksum does not match")) }
}

/// The place of the next entry; `None` at the end. Names are only ever the database or a hash, so an archive from
/// a stranger cannot write elsewhere.
fn next_name(input: &mut impl Read, into: &Path) -> Result<Option<PathBuf>, RestoreError> {
    let length = u16::from_le_bytes(take(input)?);
    if length == 0 {
        return Ok(None);
    }
    let mut name = vec![0; usize::from(length)];
    input.read_exact(&mut name).map_err(|_| damaged("it ends too early"))?;
    let name = String::from_utf8(name).map_err(|_| damaged("a name is not text"))?;
    if name == DATABASE {
        return Ok(Some(into.join(DATABASE)));
    }
    let hash = FileHash::parse(&name).ok_or_else(|| damaged("it holds a file that is none of a store"))?;
    Ok(Some(files::path_in(into, hash)))
}

fn unpack_entry(disk: &dyn Disk, input: &mut impl Read, path: &Path) -> Result<(), RestoreError> {
    let length = u64::from_le_bytes(take(input)?);
    let folder = folder_of(path);
    disk::make_folders(disk, folder).map_err(StoreError::io(folder))?;
    let mut file = disk.create(path, Readers::Usual).map_err(StoreError::io(path))?;
    let copied = io::copy(&mut input.take(length), &mut file).map_err(StoreError::io(path))?;
    if copied != length {
        return Err(damaged("it ends too early"));
    }
    file.keep().map_err(StoreError::io(path))?;
    disk.keep_names(folder).map_err(StoreError::io(folder))?;
    Ok(())
}

fn take<const N: usize>(input: &mut impl Read) -> Result<[u8; N], RestoreError> {
    let mut bytes = [0; N];
    input.read_exact(&mut bytes).map_err(|_| damaged("it ends too early"))?;
    Ok(bytes)
}

fn damaged(why: &str) -> RestoreError {
    RestoreError::Damaged(why.to_owned())
}

/// Passes bytes on and hashes them.
struct Hashed<T> {
    inner: T,
    hasher: blake3::Hasher,
}

impl<T: Write> Write for Hashed<T> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let n = self.inner.write(bytes)?;
        self.hasher.update(&bytes[..n]);
        Ok(n)
    }
    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

impl<T: Read> Read for Hashed<T> {
    fn read(&mut self, bytes: &mut [u8]) -> io::Result<usize> {
        let n = self.inner.read(bytes)?;
        self.hasher.update(&bytes[..n]);
        Ok(n)
    }
}
