//! Opening a store, and writing to it.

use std::fs::{File, TryLockError};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use rusqlite::{Connection, OpenFlags, Transaction};

use crate::disk::{self, Disk, RealDisk};
use crate::error::{OpenError, StoreError};
use crate::files;
use crate::migrations::{self, Migration};
use crate::summary::Summary;
use crate::{DocumentKey, chunks, marks, settings, summary};

/// The database's name within the store's folder.
pub(crate) const DATABASE: &str = "drylay.db";
const LOCK: &str = "lock";
/// How often a lock is tried for, and how long after one another: a process that was just killed may still wait for the
/// disk, and holds its files until then.
const TRIES: u32 = 60;
const BETWEEN_TRIES: Duration = Duration::from_millis(50);

/// A store that is open.
#[derive(Debug)]
pub struct Store {
    pub(crate) connection: Connection,
    pub(crate) folder: PathBuf,
    pub(crate) disk: Arc<dyn Disk>,
    standing: Standing,
    session: [u8; 16],
    /// Held as long as the store is open.
    _lock: File,
}

/// Whether a store can be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Read and written.
    Writable,
    /// Written by a newer program: only read.
    Newer {
        /// The store's version.
        found: i64,
        /// The newest version that this program knows.
        known: i64,
    },
}

/// One thing to be written. All of one [`Store::write`] are stored together or not at all.
#[derive(Clone, Copy, Debug)]
pub enum Op<'a> {
    /// Says what a document is, in a word of the caller's, and which document it belongs to.
    Describe {
        /// The document.
        document: DocumentKey,
        /// The word.
        label: &'a str,
        /// The document it belongs to.
        parent: Option<DocumentKey>,
    },
    /// Adds a chunk to a document.
    Append {
        /// The document.
        document: DocumentKey,
        /// The bytes.
        chunk: &'a [u8],
    },
    /// Puts a snapshot in the place of all chunks of a document.
    Compact {
        /// The document.
        document: DocumentKey,
        /// The bytes that say the same as all chunks so far.
        snapshot: &'a [u8],
    },
    /// Says how far a document is, in bytes of the caller's.
    Mark {
        /// The document.
        document: DocumentKey,
        /// The bytes.
        mark: &'a [u8],
    },
    /// Puts a job's line in the list of jobs.
    Summarise(&'a Summary),
    /// Takes a job's line out of the list.
    Forget(DocumentKey),
    /// Sets a setting, or clears it.
    Set {
        /// Which.
        key: &'a str,
        /// Its value.
        value: Option<&'a str>,
    },
    /// Keeps what is being typed, or drops it because it was entered.
    Draft {
        /// Where it is being typed.
        key: &'a str,
        /// The text so far.
        text: Option<&'a str>,
    },
}

/// What was written.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Written {
    /// Documents whose chunks have outgrown their snapshot: time for [`Op::Compact`].
    pub compaction_due: Vec<DocumentKey>,
}

impl Store {
    /// Opens the store in a folder, making it if there is none. `session` must be new random bits at every call.
    ///
    /// # Errors
    /// Says whether it is in use, damaged, or the name of the session is used up.
    pub fn open(folder: &Path, session: [u8; 16]) -> Result<Self, OpenError> {
        Self::open_with(folder, session, &migrations::all(), Arc::new(RealDisk))
    }

    pub(crate) fn open_with(
        folder: &Path,
        session: [u8; 16],
        steps: &[Migration],
        disk: Arc<dyn Disk>,
    ) -> Result<Self, OpenError> {
        disk::make_folders(&*disk, folder).map_err(StoreError::io(folder))?;
        keep_folders(&*disk, folder)?;
        let lock = lock(folder)?;
        let mut connection = connect(folder)?;
        let known = i64::try_from(steps.len()).unwrap_or(i64::MAX);
        let found = migrations::version(&connection)?;
        let standing = if found > known && !migrations::older_may_write(&connection, known) {
            connection.pragma_update(None, "query_only", true)?;
            Standing::Newer { found, known }
        } else {
            prepare(&mut connection, steps, session)?;
            Standing::Writable
        };
        Ok(Self { connection, folder: folder.to_path_buf(), disk, standing, session, _lock: lock })
    }

    /// Whether it can be written.
    pub fn standing(&self) -> Standing {
        self.standing
    }

    /// The name of this session, used once: actors of documents are made from it.
    pub fn session(&self) -> [u8; 16] {
        self.session
    }

    /// The folder that holds it.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Stores all of it or nothing, and returns when the disk has it.
    ///
    /// # Errors
    /// Says why nothing was stored.
    pub fn write(&mut self, ops: &[Op<'_>]) -> Result<Written, StoreError> {
        self.expect_writable()?;
        let transaction = self.connection.transaction()?;
        let mut written = Written::default();
        for op in ops {
            run(&transaction, op, &mut written)?;
        }
        transaction.commit()?;
        written.compaction_due.sort_unstable();
        written.compaction_due.dedup();
        Ok(written)
    }

    pub(crate) fn expect_writable(&self) -> Result<(), StoreError> {
        match self.standing {
            Standing::Writable => Ok(()),
            Standing::Newer { found, known } => Err(StoreError::ReadOnly { found, known }),
        }
    }
}

fn run(transaction: &Transaction<'_>, op: &Op<'_>, written: &mut Written) -> Result<(), StoreError> {
    match *op {
        Op::Describe { document, label, parent } => chunks::describe(transaction, document, label, parent)?,
        Op::Append { document, chunk } => {
            if chunks::append(transaction, document, chunk)? {
                written.compaction_due.push(document);
            }
        }
        Op::Compact { document, snapshot } => {
            chunks::compact(transaction, document, snapshot)?;
            written.compaction_due.retain(|due| *due != document);
        }
        Op::Mark { document, mark } => marks::set(transaction, document, mark)?,
        Op::Summarise(line) => summary::put(transaction, line)?,
        Op::Forget(job) => summary::remove(transaction, job)?,
        Op::Set { key, value } => settings::set(transaction, "setting", key, value)?,
        Op::Draft { key, text } => settings::set(transaction, "draft", key, text)?,
    }
    Ok(())
}

/// A process that was killed may have made folders whose names were not kept yet.
fn keep_folders(disk: &dyn Disk, folder: &Path) -> Result<(), StoreError> {
    let files = folder.join(files::FOLDER);
    let made = [disk::folder_of(folder), folder, &files];
    for one in made.into_iter().filter(|one| one.is_dir()) {
        disk.keep_names(one).map_err(StoreError::io(one))?;
    }
    Ok(())
}

fn lock(folder: &Path) -> Result<File, OpenError> {
    let path = folder.join(LOCK);
    let file = File::options().create(true).truncate(false).write(true).open(&path);
    let file = file.map_err(StoreError::io(&path))?;
    for _ in 0..TRIES {
        match file.try_lock() {
            Ok(()) => return Ok(file),
            Err(TryLockError::WouldBlock) => std::thread::sleep(BETWEEN_TRIES),
            Err(TryLockError::Error(source)) => {
                return Err(OpenError::Store(StoreError::io(&path)(source)));
            }
        }
    }
    Err(OpenError::InUse(folder.to_path_buf()))
}

fn connect(folder: &Path) -> Result<Connection, StoreError> {
    let flags =
        OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(folder.join(DATABASE), flags)?;
    connection.busy_timeout(Duration::from_secs(5))?;
    Ok(connection)
}

fn prepare(connection: &mut Connection, steps: &[Migration], session: [u8; 16]) -> Result<(), OpenError> {
    let _: String = connection.query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    connection.pragma_update(None, "foreign_keys", true)?;
    let transaction = connection.transaction()?;
    migrations::run(&transaction, steps)?;
    let used = transaction.execute("INSERT OR IGNORE INTO session (name) VALUES (?1)", [session])? == 0;
    if used {
        return Err(OpenError::SessionUsed);
    }
    transaction.commit()?;
    Ok(())
}
