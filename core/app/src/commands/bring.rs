//! Taking in a file that came from elsewhere: its first bytes say whether it is a hand-over or a job sheet.

use super::{handover, sheets};
use crate::Problem;
use crate::locked;
use crate::session::Session;
use crate::wire::{FileBring, FileBrought, HandOverRead, SheetAsk};
use drylay_document::handover::HandOver;
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// The largest job sheet that is read, in bytes. One with a thousand rooms has a tenth of it.
const MOST_BYTES: u64 = 64 << 20;
/// How many bytes say what a file is.
const HEAD: u64 = 64;

pub(crate) fn bring(session: &Session, ask: FileBring) -> Result<FileBrought, Problem> {
    let path = handover::whole(&ask.path)?;
    let head = read(&path, HEAD)?;
    if HandOver::looks_like(&head) || locked::is_locked(&head) {
        let done = handover::read(session, HandOverRead { path: ask.path, passphrase: ask.passphrase })?;
        return Ok(FileBrought { jobs: done.jobs, words: done.signed_words });
    }
    let bytes = read(&path, MOST_BYTES + 1)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(Problem::new("bring.too_large", "path").with("most", MOST_BYTES));
    }
    let foreign = || Problem::new("bring.foreign", "path");
    let text = String::from_utf8(bytes).map_err(|_| foreign())?;
    let text = text.trim_start_matches('\u{feff}').trim_start();
    if !text.starts_with('{') {
        return Err(foreign());
    }
    let job = sheets::import(session, SheetAsk { sheet: text.to_owned() })?;
    Ok(FileBrought { jobs: vec![job], words: String::new() })
}

fn read(path: &Path, most: u64) -> Result<Vec<u8>, Problem> {
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(most).read_to_end(&mut bytes))
        .map_err(|error| handover::refused(path, &error))?;
    Ok(bytes)
}
