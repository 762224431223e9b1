//! Where a desktop keeps secrets: the keyring behind the Secret Service (freedesktop.org, Secret Service API 0.2) on the
//! bus of the session. On other systems there is nothing here, and a device's key stays in its file.
//!
//! # From a new key to the next start
//!
//! 1. The core has drawn a device's key and asks its [`Lockbox`] to put it away. The [`Keyring`] does so only in the default
//!    keyring, and only while that is open. Without one, or where it does not answer within [`PROMPTNESS`], it says that it
//!    did not, and the core leaves the key in a file.
//! 2. The secret goes over the bus encrypted for that session, as the standard has it (`service`). The core keeps the word
//!    by which it is found again.
//! 3. At the next start the core asks by that word. If the keyring is shut the desktop asks for its password; whoever does
//!    not answer within [`PATIENCE`] is told so.
//!
//! The window puts keys away; `drylay` only fetches them ([`Keyring::that_only_gives`]): a keeper starts with the machine,
//! when nobody is there to open a keyring.
//!
//! **Invariants.** Nobody is asked for a password to put something away. Nothing waits for the bus for ever. Nothing is
//! written to a disk here, and a key that is not given is a refusal, never a new key.

use drylay_app::Lockbox;
use std::time::Duration;

#[cfg(target_os = "linux")]
mod service;

/// How long a person has to open the keyring.
pub const PATIENCE: Duration = Duration::from_secs(60);
/// How long the keyring has to take a secret: nobody is asked for anything then, and a program waits to start.
pub const PROMPTNESS: Duration = Duration::from_secs(3);

/// The keyring of this session.
#[derive(Clone, Copy, Debug, Default)]
pub struct Keyring {
    only_gives: bool,
}

impl Keyring {
    /// One that takes no new secrets.
    pub const fn that_only_gives() -> Self {
        Self { only_gives: true }
    }
}

impl Lockbox for Keyring {
    fn name(&self) -> &'static str {
        "secret-service"
    }

    #[cfg(target_os = "linux")]
    fn put(&self, secret: &[u8; 32]) -> Result<Option<String>, String> {
        if self.only_gives {
            return Ok(None);
        }
        let secret = *secret;
        in_time(PROMPTNESS, move || service::put(&secret))
    }

    #[cfg(target_os = "linux")]
    fn take(&self, word: &str) -> Result<[u8; 32], String> {
        let word = word.to_owned();
        in_time(PATIENCE, move || service::take(&word))
    }

    #[cfg(not(target_os = "linux"))]
    fn put(&self, _secret: &[u8; 32]) -> Result<Option<String>, String> {
        let _ = self.only_gives;
        Ok(None)
    }

    #[cfg(not(target_os = "linux"))]
    fn take(&self, _word: &str) -> Result<[u8; 32], String> {
        Err("this system has no Secret Service".into())
    }
}

/// Does something that may never come to an end.
#[cfg(target_os = "linux")]
fn in_time<T: Send + 'static>(
    limit: Duration,
    act: impl FnOnce() -> Result<T, String> + Send + 'static,
) -> Result<T, String> {
    let (done, waiting) = std::sync::mpsc::channel();
    std::thread::spawn(move || done.send(act()));
    let late = |_| Err(format!("it did not answer within {} seconds", limit.as_secs()));
    waiting.recv_timeout(limit).unwrap_or_else(late)
}
