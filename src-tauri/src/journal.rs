//! The log on the device: what was asked and how it went, never what was typed. It turns over by size, so that it
//! can neither fill a phone nor lose the last hour.

use crate::clock;
use std::fs::{File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// When a file is turned over, in bytes.
const FULL: u64 = 512 * 1024;
/// How many older files are kept: `drylay.log.1` is the youngest.
const KEPT: u32 = 3;

/// A log in a folder of its own.
#[derive(Debug)]
pub(crate) struct Journal {
    folder: PathBuf,
    full: u64,
    file: Mutex<Option<File>>,
}

impl Journal {
    /// A log in that folder, which is made when it is missing. A log that cannot be written is none: it stops nobody.
    pub(crate) fn open(folder: &Path) -> Self {
        Self::with_size(folder, FULL)
    }

    fn with_size(folder: &Path, full: u64) -> Self {
        let file = std::fs::create_dir_all(folder).and_then(|()| append(&current(folder))).ok();
        Self { folder: folder.to_path_buf(), full, file: Mutex::new(file) }
    }

    /// Adds a line with the time before it.
    pub(crate) fn note(&self, words: &str) {
        let mut file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(open) = file.as_mut() else { return };
        let line = format!("{} {}\n", clock::written(clock::now()), words.replace('\n', "\\n"));
        // A full disk must not stop the work; the core reports it where it matters.
        let _ = open.write_all(line.as_bytes());
        if open.metadata().is_ok_and(|it| it.len() >= self.full) {
            *file = self.turn_over().ok();
        }
    }

    fn turn_over(&self) -> std::io::Result<File> {
        for number in (1..KEPT).rev() {
            let _ = std::fs::rename(older(&self.folder, number), older(&self.folder, number + 1));
        }
        std::fs::rename(current(&self.folder), older(&self.folder, 1))?;
        append(&current(&self.folder))
    }
}

fn current(folder: &Path) -> PathBuf {
    folder.join("drylay.log")
}

fn older(folder: &Path, number: u32) -> PathBuf {
    folder.join(format!("drylay.log.{number}"))
}

fn append(path: &Path) -> std::io::Result<File> {
    OpenOptions::new().create(true).append(true).open(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder(name: &str) -> PathBuf {
        let folder = std::env::temp_dir().join(format!("drylay-journal-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        folder
    }

    #[test]
    fn it_turns_over_and_keeps_the_youngest() {
        let folder = folder("turn");
        let journal = Journal::with_size(&folder, 200);
        (0..100).for_each(|number| journal.note(&format!("call number {number:03}")));
        let mut names: Vec<String> = std::fs::read_dir(&folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        assert_eq!(names, ["drylay.log", "drylay.log.1", "drylay.log.2", "drylay.log.3"]);
        let kept: String =
            names.iter().map(|name| std::fs::read_to_string(folder.join(name)).unwrap()).collect();
        assert!(kept.contains("call number 099") && !kept.contains("call number 050"));
        assert!(names.iter().all(|name| std::fs::metadata(folder.join(name)).unwrap().len() < 300));
        std::fs::remove_dir_all(folder).unwrap();
    }

    #[test]
    fn a_line_stays_one_line() {
        let folder = folder("line");
        Journal::open(&folder).note("first\nsecond");
        let text = std::fs::read_to_string(folder.join("drylay.log")).unwrap();
        assert_eq!(text.lines().count(), 1);
        assert!(text.trim_end().ends_with("first\\nsecond"));
        std::fs::remove_dir_all(folder).unwrap();
    }

    #[test]
    fn without_a_folder_it_is_silent() {
        let journal = Journal::open(Path::new("/dev/null/nowhere"));
        journal.note("lost, and nobody is stopped");
        assert!(journal.file.lock().unwrap().is_none());
    }
}
