//! What the core cannot know by itself: the time, and chance. Whoever opens a session gives them.

use drylay_document::Timestamp;
use std::fmt::Debug;
use std::path::Path;

/// The outside world as far as the core needs it.
pub trait World: Send + Sync + Debug {
    /// The time by this device's clock, and its zone. It may be wrong, so nothing is ever decided by it.
    fn now(&self) -> Timestamp;
    /// 128 random bits, never the same twice.
    fn random_id(&self) -> [u8; 16];
    /// How many bytes can still be written where a folder is; `None` where nobody can say.
    fn free_bytes(&self, folder: &Path) -> Option<u64> {
        let _ = folder;
        None
    }
    /// Where the system keeps secrets; `None` where it has no such place.
    fn lockbox(&self) -> Option<&dyn Lockbox> {
        None
    }
}

/// A place of the system's own for secrets: a keyring that is open while its user is there, or a phone's keystore.
/// Failures are told in words of the system's.
pub trait Lockbox: Send + Sync + Debug {
    /// What the place is called in a key's file, in letters and dashes.
    fn name(&self) -> &'static str;

    /// Puts a secret away and gives back one word by which it is found; `None` where nothing can be put there now.
    ///
    /// # Errors
    /// Why the system did not take it.
    fn put(&self, secret: &[u8; 32]) -> Result<Option<String>, String>;

    /// The secret of that word. A person may be asked to unlock the place first.
    ///
    /// # Errors
    /// Why the system did not give it.
    fn take(&self, word: &str) -> Result<[u8; 32], String>;
}
