//! Papers that were made on this device: which files they are, where they lie, and what they were made from.

use crate::Problem;
use crate::desk::Desk;
use crate::papers::PaperFile;
use crate::show::iso;
use crate::views::photos::size_words;
use crate::wire::{PaperFileView, PaperMade, Stamp};
use drylay_document::Timestamp;
use drylay_store::{FileHash, Op};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// What is kept of a paper that was made.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct Made {
    folder: PathBuf,
    files: Vec<MadeFile>,
    /// The hash of what it was made from.
    of: String,
    utc_ms: i64,
    zone_minutes: i16,
}

#[derive(Debug, Serialize, Deserialize)]
struct MadeFile {
    name: String,
    hash: String,
    bytes: u64,
}

/// The setting of this device that keeps what was made of a kind for a job.
fn key(job: &str, kind: &str) -> String {
    format!("paper.{job}.{kind}")
}

impl Made {
    /// Papers that lie in a folder, made now from what has this hash.
    pub(crate) fn new(folder: &Path, files: &[PaperFile], of: String, now: Timestamp) -> Self {
        let file = |file: &PaperFile| MadeFile {
            name: file.name.clone(),
            hash: FileHash::of(&file.bytes).to_string(),
            bytes: file.bytes.len() as u64,
        };
        let files = files.iter().map(file).collect();
        Self { folder: folder.to_owned(), files, of, utc_ms: now.utc_ms, zone_minutes: now.zone_minutes }
    }

    /// Whether all of its files are still there, as large as they were.
    fn is_there(&self) -> bool {
        let there = |file: &MadeFile| {
            let found = std::fs::metadata(self.folder.join(&file.name));
            found.is_ok_and(|found| found.is_file() && found.len() == file.bytes)
        };
        !self.files.is_empty() && self.files.iter().all(there)
    }

    /// For the screens; `of` is the hash of what it would be made from now.
    pub(crate) fn view(&self, of: &str, by: &str) -> PaperMade {
        let file = |file: &MadeFile| PaperFileView {
            name: file.name.clone(),
            path: self.folder.join(&file.name).display().to_string(),
            size_text: size_words(file.bytes as f64),
        };
        let stamp = Stamp { by: by.to_owned(), at: iso(self.utc_ms), zone_minutes: self.zone_minutes };
        PaperMade { files: self.files.iter().map(file).collect(), stamp, same: self.of == of }
    }

    /// The path of one of its files, if it is still as it was made.
    fn file(&self, name: &str) -> Option<(PathBuf, Vec<u8>)> {
        let file = self.files.iter().find(|file| file.name == name)?;
        let path = self.folder.join(&file.name);
        let bytes = std::fs::read(&path).ok()?;
        (FileHash::of(&bytes).to_string() == file.hash).then_some((path, bytes))
    }
}

impl Desk {
    /// What was last made of a kind, if it is still there.
    pub(crate) fn made(&self, job: &str, kind: &str) -> Result<Option<Made>, Problem> {
        let kept = self.store.setting(&key(job, kind))?;
        let read = kept.and_then(|text| serde_json::from_str::<Made>(&text).ok());
        Ok(read.filter(Made::is_there))
    }

    /// Keeps what was made.
    pub(crate) fn keep_made(&mut self, job: &str, kind: &str, made: &Made) -> Result<(), Problem> {
        let text = serde_json::to_string(made).map_err(|error| Problem::internal(&error.to_string()))?;
        self.store.write(&[Op::Set { key: &key(job, kind), value: Some(&text) }])?;
        Ok(())
    }

    /// A file that was made for a job, by its name: where it lies, and its bytes. `None` if there is none, or somebody
    /// changed it since.
    pub(crate) fn made_file(&self, job: &str, name: &str, kinds: &[&str]) -> Option<(PathBuf, Vec<u8>)> {
        kinds.iter().find_map(|kind| self.made(job, kind).ok().flatten()?.file(name))
    }
}
