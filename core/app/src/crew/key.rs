//! The device's secret key: in the system's own place for secrets where it has one, else in a file that only its user can
//! read.
//!
//! The file `device.key` in the store's folder holds one line: the key itself (64 hexadecimal digits), or the name of the
//! place and the word by which the key is found there. A place that takes no key leaves it to the file; a key that lies in
//! a place stays there, and no other is drawn where the place does not give it.
//!
//! The file is no part of a backup, so that a store that was restored is another device and has to join anew: two devices
//! with one key would each be taken for the other.

use crate::Problem;
use crate::world::Lockbox;
use drylay_store::disk::{self, Readers, RealDisk};
use drylay_sync::{PublicKey, SecretKey};
use std::fs;
use std::io::ErrorKind;
use std::path::Path;

/// The file's name within the store's folder.
const NAME: &str = "device.key";

/// A key, where it lies, and whether it was drawn just now.
pub(crate) struct Found {
    pub(crate) key: SecretKey,
    pub(crate) place: Place,
    pub(crate) new: bool,
}

/// Where a key lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Place {
    /// In the file itself.
    File,
    /// Where the system keeps secrets.
    Lockbox,
    /// Nowhere: it ends with the session.
    Memory,
}

/// The key in a folder; drawn from `chance` and put away if there is none.
pub(crate) fn find(folder: &Path, chance: [u8; 32], lockbox: Option<&dyn Lockbox>) -> Result<Found, Problem> {
    let path = folder.join(NAME);
    match fs::read_to_string(&path) {
        Ok(text) => {
            let (seed, place) = read(&path, text.trim(), lockbox)?;
            close_to_others(&path).map_err(refused(&path))?;
            Ok(Found { key: SecretKey::from_seed(seed), place, new: false })
        }
        Err(error) if error.kind() == ErrorKind::NotFound => {
            let place = put(&path, chance, lockbox).map_err(refused(&path))?;
            Ok(Found { key: SecretKey::from_seed(chance), place, new: true })
        }
        Err(error) => Err(refused(&path)(error)),
    }
}

fn refused(path: &Path) -> impl Fn(std::io::Error) -> Problem {
    move |error| Problem::new("store.io", "").with("path", path.display()).with("why", error)
}

fn read(path: &Path, line: &str, lockbox: Option<&dyn Lockbox>) -> Result<([u8; 32], Place), Problem> {
    let problem = |code: &str| Problem::new(code, "").with("path", path.display());
    // Public keys are written alike.
    if let Some(read) = PublicKey::parse(line) {
        return Ok((read.0, Place::File));
    }
    let (name, word) = line.split_once(' ').ok_or_else(|| problem("crew.key_damaged"))?;
    let Some(lockbox) = lockbox.filter(|it| it.name() == name) else {
        return Err(problem("crew.key_elsewhere").with("place", name));
    };
    let seed = lockbox.take(word).map_err(|why| problem("crew.key_locked").with("why", why))?;
    Ok((seed, Place::Lockbox))
}

/// There is never half a key under the name, and no key twice.
fn put(path: &Path, seed: [u8; 32], lockbox: Option<&dyn Lockbox>) -> std::io::Result<Place> {
    let word = lockbox.and_then(|it| Some(format!("{} {}", it.name(), it.put(&seed).ok()??)));
    let place = if word.is_some() { Place::Lockbox } else { Place::File };
    let line = word.unwrap_or_else(|| PublicKey(seed).to_string());
    disk::put_whole(&RealDisk, path, Readers::OnlyUser, format!("{line}\n").as_bytes())?;
    Ok(place)
}

/// A file that was copied about may have become readable to others.
#[cfg(unix)]
fn close_to_others(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    let open = fs::metadata(path)?.permissions().mode() & 0o077 != 0;
    if open { fs::set_permissions(path, fs::Permissions::from_mode(0o600)) } else { Ok(()) }
}

#[cfg(not(unix))]
fn close_to_others(_path: &Path) -> std::io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::PathBuf;
    use std::sync::Mutex;

    /// A folder that goes when the test is over.
    struct Folder(PathBuf);

    impl Folder {
        fn new(name: &str) -> Self {
            let folder = std::env::temp_dir().join(format!("drylay-key-{name}-{}", std::process::id()));
            let _ = fs::remove_dir_all(&folder);
            fs::create_dir_all(&folder).expect("a folder");
            Self(folder)
        }

        fn written(&self) -> String {
            fs::read_to_string(self.0.join(NAME)).expect("the file")
        }
    }

    impl Drop for Folder {
        fn drop(&mut self) {
            let _ = fs::remove_dir_all(&self.0);
        }
    }

    /// A place that is open, shut, or takes nothing.
    #[derive(Debug, Default)]
    struct Chest {
        secrets: Mutex<Vec<[u8; 32]>>,
        full: bool,
        shut: Mutex<bool>,
    }

    impl Lockbox for Chest {
        fn name(&self) -> &'static str {
            "a-box"
        }

        fn put(&self, secret: &[u8; 32]) -> Result<Option<String>, String> {
            let mut secrets = self.secrets.lock().expect("secrets");
            secrets.push(*secret);
            Ok((!self.full).then(|| (secrets.len() - 1).to_string()))
        }

        fn take(&self, word: &str) -> Result<[u8; 32], String> {
            if *self.shut.lock().expect("a lock") {
                return Err("it is shut".into());
            }
            let secrets = self.secrets.lock().expect("secrets");
            word.parse().ok().and_then(|n: usize| secrets.get(n).copied()).ok_or("no such".into())
        }
    }

    #[test]
    fn a_key_is_drawn_once_and_only_its_user_can_read_it() {
        let folder = Folder::new("file");
        let find = |chance| find(&folder.0, [chance; 32], None);
        let first = find(7).expect("a key");
        assert!(first.new && first.place == Place::File);
        let again = find(8).expect("a key");
        assert!(!again.new && again.key.public() == first.key.public());
        let path = folder.0.join(NAME);
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = || fs::metadata(&path).expect("the file").permissions().mode() & 0o777;
            assert_eq!(mode(), 0o600);
            fs::set_permissions(&path, fs::Permissions::from_mode(0o644)).expect("opened");
            find(9).expect("a key");
            assert_eq!(mode(), 0o600, "closed again");
        }
        fs::write(&path, "not-a-key").expect("a file");
        assert_eq!(find(9).err().expect("no key").code, "crew.key_damaged");
    }

    #[test]
    fn a_key_in_a_lockbox_is_not_in_the_file() {
        let (folder, lockbox) = (Folder::new("box"), Chest::default());
        let find = |chance, lockbox| find(&folder.0, [chance; 32], lockbox);
        let first = find(7, Some(&lockbox)).expect("a key");
        assert!(first.new && first.place == Place::Lockbox);
        assert_eq!(folder.written(), "a-box 0\n");
        let again = find(8, Some(&lockbox)).expect("a key");
        assert!(!again.new && again.place == Place::Lockbox && again.key.public() == first.key.public());

        let elsewhere = find(9, None).err().expect("no key without its box");
        assert_eq!(
            (elsewhere.code.as_str(), elsewhere.params["place"].as_str()),
            ("crew.key_elsewhere", "a-box")
        );
        *lockbox.shut.lock().expect("a lock") = true;
        let shut = find(9, Some(&lockbox)).err().expect("no key from a box that is shut");
        assert_eq!((shut.code.as_str(), shut.params["why"].as_str()), ("crew.key_locked", "it is shut"));
        assert_eq!(folder.written(), "a-box 0\n", "and no other was drawn");
    }

    #[test]
    fn a_lockbox_that_takes_nothing_leaves_the_key_to_the_file_which_stays() {
        let (folder, mut lockbox) = (Folder::new("full"), Chest { full: true, ..Chest::default() });
        let first = find(&folder.0, [7; 32], Some(&lockbox)).expect("a key");
        assert_eq!(first.place, Place::File);
        lockbox.full = false;
        let again = find(&folder.0, [8; 32], Some(&lockbox)).expect("a key");
        assert!(again.place == Place::File && again.key.public() == first.key.public());
    }
}
