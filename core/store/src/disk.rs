//! Writing beside the database: the few things that a disk is asked for, and the order in which that is safe.
//!
//! A disk may lose what it was not told to keep: bytes of a file before [`Growing::keep`], names in a folder before
//! [`Disk::keep_names`]. So a file is written under another name, kept, given its name, and the names are kept; and a
//! new folder's own name is kept before anything is put into it. The tests have a disk that loses all it may.

use std::fmt;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// A place for files and folders.
pub trait Disk: fmt::Debug + Send + Sync {
    /// Makes one folder; the one above it is there.
    ///
    /// # Errors
    /// Says why, also where it is there already.
    fn make_folder(&self, path: &Path) -> io::Result<()>;

    /// Begins a file, in the place of one that has the name.
    ///
    /// # Errors
    /// Says why it cannot be written.
    fn create(&self, path: &Path, readers: Readers) -> io::Result<Box<dyn Growing>>;

    /// Goes on with a file, which is made if it is not there, from `length` bytes on: what lies behind is gone.
    ///
    /// # Errors
    /// Says why it cannot be written; `UnexpectedEof` if it is shorter than that.
    fn go_on(&self, path: &Path, length: u64) -> io::Result<Box<dyn Growing>>;

    /// Makes the content of a file durable that was written before.
    ///
    /// # Errors
    /// Says why that is not sure.
    fn keep(&self, path: &Path) -> io::Result<()>;

    /// Gives a file or a folder another name, in the place of a file that has it.
    ///
    /// # Errors
    /// Says why; then both names are as they were.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;

    /// Makes the names in a folder durable.
    ///
    /// # Errors
    /// Says why that is not sure.
    fn keep_names(&self, folder: &Path) -> io::Result<()>;

    /// Takes a file away.
    ///
    /// # Errors
    /// Says why it is still there.
    fn remove(&self, path: &Path) -> io::Result<()>;

    /// Takes an empty folder away.
    ///
    /// # Errors
    /// Says why it is still there.
    fn remove_folder(&self, path: &Path) -> io::Result<()>;
}

/// A file that is being written.
pub trait Growing: Write + Send {
    /// Makes its content durable.
    ///
    /// # Errors
    /// Says why that is not sure.
    fn keep(&mut self) -> io::Result<()>;
}

/// Who may read a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Readers {
    /// Whoever may read what lies beside it.
    Usual,
    /// Only the user whose it is, where the system knows users.
    OnlyUser,
}

/// The disk of this device.
#[derive(Clone, Copy, Debug, Default)]
pub struct RealDisk;

impl Disk for RealDisk {
    fn make_folder(&self, path: &Path) -> io::Result<()> {
        fs::create_dir(path)
    }

    fn create(&self, path: &Path, readers: Readers) -> io::Result<Box<dyn Growing>> {
        let mut options = OpenOptions::new();
        options.write(true).create(true).truncate(true);
        if readers == Readers::OnlyUser {
            // One that is there already may be open to others.
            let _ = fs::remove_file(path);
            only_user(&mut options);
        }
        Ok(Box::new(options.open(path)?))
    }

    fn go_on(&self, path: &Path, length: u64) -> io::Result<Box<dyn Growing>> {
        let mut file = File::options().create(true).truncate(false).write(true).open(path)?;
        if file.metadata()?.len() < length {
            return Err(io::ErrorKind::UnexpectedEof.into());
        }
        file.set_len(length)?;
        file.seek(SeekFrom::Start(length))?;
        Ok(Box::new(file))
    }

    fn keep(&self, path: &Path) -> io::Result<()> {
        File::options().write(true).open(path)?.sync_all()
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    /// Where folders cannot be opened, the system does that by itself. One that is not ours to read (the folders above
    /// a phone's storage) or lies where that cannot be asked (a card, a share) is no reason to refuse either.
    fn keep_names(&self, folder: &Path) -> io::Result<()> {
        use io::ErrorKind::{InvalidInput, PermissionDenied, Unsupported};
        if !cfg!(unix) {
            return Ok(());
        }
        match File::open(folder).and_then(|folder| folder.sync_all()) {
            Err(error) if matches!(error.kind(), PermissionDenied | InvalidInput | Unsupported) => Ok(()),
            other => other,
        }
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        fs::remove_dir(path)
    }
}

impl Growing for File {
    fn keep(&mut self) -> io::Result<()> {
        self.sync_all()
    }
}

#[cfg(unix)]
fn only_user(options: &mut OpenOptions) {
    use std::os::unix::fs::OpenOptionsExt;
    options.mode(0o600);
}

#[cfg(not(unix))]
fn only_user(_options: &mut OpenOptions) {}

/// Puts a file there, so that after a crash its name has all of it, or what it had before.
///
/// # Errors
/// Says why; then the name has what it had before.
pub fn put_whole(disk: &dyn Disk, path: &Path, readers: Readers, bytes: &[u8]) -> io::Result<()> {
    let part = beside(path, "part");
    let written = write(disk, &part, readers, bytes).and_then(|()| publish(disk, &part, path));
    if written.is_err() {
        let _ = disk.remove(&part);
    }
    written
}

/// Writes a file and makes its content durable; its name is not yet.
///
/// # Errors
/// Says why.
pub fn write(disk: &dyn Disk, path: &Path, readers: Readers, bytes: &[u8]) -> io::Result<()> {
    let mut file = disk.create(path, readers)?;
    file.write_all(bytes)?;
    file.keep()
}

/// Gives a finished file its name, so that it is there whole after a crash or not at all.
///
/// # Errors
/// Says why.
pub fn publish(disk: &dyn Disk, finished: &Path, path: &Path) -> io::Result<()> {
    disk.rename(finished, path)?;
    disk.keep_names(folder_of(path))
}

/// Makes a folder and those above it, as far as they are missing, each with a name that stays.
///
/// # Errors
/// Says why.
pub fn make_folders(disk: &dyn Disk, path: &Path) -> io::Result<()> {
    if path.as_os_str().is_empty() || path.is_dir() {
        return Ok(());
    }
    let above = folder_of(path);
    make_folders(disk, above)?;
    match disk.make_folder(path) {
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists && path.is_dir() => {}
        other => other?,
    }
    disk.keep_names(above)
}

/// The folder that a path lies in.
pub(crate) fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        Some(_) => Path::new("."),
        None => path,
    }
}

/// A name in the same folder, for what is not finished.
pub fn beside(path: &Path, suffix: &str) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!(".{name}.{suffix}"))
}
