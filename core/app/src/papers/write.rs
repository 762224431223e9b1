//! Writing files so that none is ever half there: each under another name first, then all of them to their own.

use super::{PaperFile, unwritable};
use crate::Problem;
use drylay_store::disk::{self, Disk, Readers, RealDisk};
use std::path::{Path, PathBuf};

/// Writes files into a folder, which is made if it is not there; what bore their names is replaced. Answers with their
/// paths.
///
/// # Errors
/// The place that cannot be written, and why. No file is half written then: all of them are on the disk under other
/// names before the first gets its own.
pub fn write_all(folder: &Path, files: &[PaperFile]) -> Result<Vec<PathBuf>, Problem> {
    disk::make_folders(&RealDisk, folder).map_err(|error| unwritable(folder, &error))?;
    let mut beside = Vec::new();
    for file in files {
        let path = disk::beside(&folder.join(&file.name), "part");
        let written = disk::write(&RealDisk, &path, Readers::Usual, &file.bytes);
        beside.push(path);
        if let Err(error) = written {
            sweep(&beside);
            return Err(unwritable(&folder.join(&file.name), &error));
        }
    }
    let mut paths = Vec::new();
    for (file, part) in files.iter().zip(&beside) {
        let path = folder.join(&file.name);
        if let Err(error) = RealDisk.rename(part, &path) {
            sweep(&beside);
            return Err(unwritable(&path, &error));
        }
        paths.push(path);
    }
    RealDisk.keep_names(folder).map_err(|error| unwritable(folder, &error))?;
    Ok(paths)
}

/// Takes away what was begun.
fn sweep(parts: &[PathBuf]) {
    parts.iter().for_each(|part| drop(RealDisk.remove(part)));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(name: &str, bytes: &[u8]) -> PaperFile {
        PaperFile { name: name.to_owned(), media: "text/csv", bytes: bytes.to_vec() }
    }

    fn names(folder: &Path) -> Vec<String> {
        let entries = std::fs::read_dir(folder).expect("a folder");
        let mut names: Vec<String> = entries
            .map(|entry| entry.expect("readable").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn all_files_are_written_or_none_is() {
        let folder = std::env::temp_dir().join(format!("drylay-papers-{}", std::process::id()));
        let files = [file("a.csv", b"one"), file("b.csv", b"two")];
        assert_eq!(write_all(&folder, &files).expect("written").len(), 2);
        assert_eq!(names(&folder), ["a.csv", "b.csv"]);
        // A folder stands where the second file would go: the first stays as it was.
        std::fs::create_dir(folder.join(".b.csv.part")).expect("a folder");
        let found =
            write_all(&folder, &[file("a.csv", b"three"), file("b.csv", b"four")]).expect_err("blocked");
        assert_eq!(found.code, "papers.unwritable");
        assert!(found.place.ends_with("b.csv"), "{}", found.place);
        assert_eq!(std::fs::read(folder.join("a.csv")).expect("there"), b"one");
        let not_a_folder = folder.join("a.csv");
        assert!(write_all(&not_a_folder.join("in"), &files).is_err());
        std::fs::remove_dir_all(&folder).expect("tidied");
    }
}
