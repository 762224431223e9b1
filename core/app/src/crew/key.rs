//! The device's secret key: a file in the store's folder that only its user can read.
//!
//! It is no part of a backup, so that a store that was restored is another device and has to join anew: two devices
//! with one key would each be taken for the other.

use crate::Problem;
use drylay_store::disk::{self, Readers, RealDisk};
use drylay_sync::{PublicKey, SecretKey};
use std::fs;
use std::io::ErrorKind;
use std::path::Path;

/// The file's name within the store's folder.
const NAME: &str = "device.key";

/// A key, and whether it was drawn just now.
pub(crate) struct Found {
    pub(crate) key: SecretKey,
    pub(crate) new: bool,
}

/// The key in a folder; drawn from `chance` and stored if there is none.
pub(crate) fn find(folder: &Path, chance: [u8; 32]) -> Result<Found, Problem> {
    let path = folder.join(NAME);
    match fs::read_to_string(&path) {
        Ok(text) => {
            let seed = read(&text)
                .ok_or_else(|| Problem::new("crew.key_damaged", "").with("path", path.display()))?;
            close_to_others(&path).map_err(refused(&path))?;
            Ok(Found { key: SecretKey::from_seed(seed), new: false })
        }
        Err(error) if error.kind() == ErrorKind::NotFound => {
            let key = SecretKey::from_seed(chance);
            write(&path, &key).map_err(refused(&path))?;
            Ok(Found { key, new: true })
        }
        Err(error) => Err(refused(&path)(error)),
    }
}

fn refused(path: &Path) -> impl Fn(std::io::Error) -> Problem {
    move |error| Problem::new("store.io", "").with("path", path.display()).with("why", error)
}

/// 64 hexadecimal digits; those of a public key are written alike.
fn read(text: &str) -> Option<[u8; 32]> {
    PublicKey::parse(text.trim()).map(|read| read.0)
}

/// There is never half a key under the name.
fn write(path: &Path, key: &SecretKey) -> std::io::Result<()> {
    let text = format!("{}\n", PublicKey(key.seed()));
    disk::put_whole(&RealDisk, path, Readers::OnlyUser, text.as_bytes())
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

    #[test]
    fn a_key_is_drawn_once_and_only_its_user_can_read_it() {
        let folder = std::env::temp_dir().join(format!("drylay-key-{}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).expect("a folder");
        let first = find(&folder, [7; 32]).expect("a key");
        assert!(first.new);
        let again = find(&folder, [8; 32]).expect("a key");
        assert!(!again.new && again.key.public() == first.key.public());
        let path = folder.join(NAME);
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = || fs::metadata(&path).expect("the file").permissions().mode() & 0o777;
            assert_eq!(mode(), 0o600);
            fs::set_permissions(&path, fs::Permissions::from_mode(0o644)).expect("opened");
            find(&folder, [9; 32]).expect("a key");
            assert_eq!(mode(), 0o600, "closed again");
        }
        fs::write(&path, "not a key").expect("a file");
        let wrong = find(&folder, [9; 32]).err().expect("no key");
        assert_eq!(wrong.code, "crew.key_damaged");
        let _ = fs::remove_dir_all(&folder);
    }
}
