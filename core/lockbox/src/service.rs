//! The Secret Service, asked over the bus.

use secret_service::blocking::SecretService;
use secret_service::{EncryptionType, Error};
use std::collections::HashMap;

/// What an item of ours is found by, beside its word.
const APPLICATION: (&str, &str) = ("application", "app.drylay.field");
/// What a person reads in the list of the keyring.
const LABEL: &str = "Drylay: key of this device";
/// The number of characters of a word.
const WORD: usize = 32;

fn attributes(word: &str) -> HashMap<&str, &str> {
    HashMap::from([APPLICATION, ("device", word)])
}

/// Puts a secret into the default keyring if that is open.
pub(crate) fn put(secret: &[u8; 32]) -> Result<Option<String>, String> {
    let Ok(service) = SecretService::connect(EncryptionType::Dh) else { return Ok(None) };
    let keyring = match service.get_default_collection() {
        Ok(keyring) => keyring,
        Err(Error::NoResult | Error::Unavailable) => return Ok(None),
        Err(error) => return Err(error.to_string()),
    };
    if keyring.is_locked().map_err(said)? {
        return Ok(None);
    }
    let word = new_word()?;
    let text = hex(secret);
    // Whoever reads keyrings by other programs reads text there.
    keyring.create_item(LABEL, attributes(&word), text.as_bytes(), false, "text/plain").map_err(said)?;
    Ok(Some(word))
}

/// The secret of that word; the desktop asks for the keyring's password if it is shut.
pub(crate) fn take(word: &str) -> Result<[u8; 32], String> {
    let service = SecretService::connect(EncryptionType::Dh).map_err(said)?;
    let found = service.search_items(attributes(word)).map_err(said)?;
    let shut = || {
        let item = found.locked.first()?;
        Some(item.unlock().map(|()| item))
    };
    let item = match found.unlocked.first() {
        Some(item) => item,
        None => shut().ok_or("the keyring does not hold it")?.map_err(said)?,
    };
    let text = item.get_secret().map_err(said)?;
    unhex(&text).ok_or_else(|| "what the keyring holds is no key".into())
}

fn said(error: Error) -> String {
    match error {
        Error::Unavailable => "this session has no keyring".into(),
        Error::Prompt | Error::Locked => "the keyring was not opened".into(),
        other => other.to_string(),
    }
}

/// A word that was never used.
fn new_word() -> Result<String, String> {
    let mut random = [0; WORD / 2];
    getrandom::fill(&mut random).map_err(|error| error.to_string())?;
    Ok(hex(&random))
}

fn hex(bytes: &[u8]) -> String {
    data_encoding::HEXLOWER.encode(bytes)
}

fn unhex(text: &[u8]) -> Option<[u8; 32]> {
    data_encoding::HEXLOWER.decode(text).ok()?.try_into().ok()
}
