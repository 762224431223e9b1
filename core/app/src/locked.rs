//! A file locked with a passphrase: whoever finds it on a card or in a messenger's memory reads nothing of it.
//!
//! ```text
//! "DRYLAYLK" version:u16  memory:u32 passes:u32 lanes:u32 salt:16 nonce:24
//! the locked bytes and their tag of 16
//! blake3 of all before:32
//! ```
//! Numbers are little-endian. The key comes from the passphrase by Argon2id with the second set of figures that
//! RFC 9106 (September 2021), section 4, recommends; they stand in the file, so that later ones can be stronger. The
//! bytes are locked with XChaCha20-Poly1305, and so is everything before them against changes.

use crate::Problem;
use argon2::{Algorithm, Argon2, Params, Version};
use chacha20poly1305::aead::AeadInPlace;
use chacha20poly1305::{KeyInit, XChaCha20Poly1305};
use drylay_store::FileHash;

const MAGIC: &[u8; 8] = b"DRYLAYLK";
const VERSION: u16 = 1;
/// Everything before the locked bytes.
const HEAD: usize = 8 + 2 + 3 * 4 + 16 + 24;
const CHECKSUM: usize = 32;
/// The fewest characters of a passphrase.
const LEAST: usize = 8;

/// How much work it is to make a key of a passphrase.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Work {
    memory_kib: u32,
    passes: u32,
    lanes: u32,
}

const RECOMMENDED: Work = Work { memory_kib: 64 * 1024, passes: 3, lanes: 4 };
/// The most that a file may ask of the device that reads it: an older phone has little more to give.
const MOST: Work = Work { memory_kib: 256 * 1024, passes: 16, lanes: 16 };

/// Random bytes for one locking.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Chance {
    pub(crate) salt: [u8; 16],
    pub(crate) nonce: [u8; 24],
}

/// Locks bytes.
pub(crate) fn lock(bytes: Vec<u8>, passphrase: &str, chance: Chance) -> Result<Vec<u8>, Problem> {
    lock_with(bytes, passphrase, chance, RECOMMENDED)
}

/// Locks bytes with the least work there is, which keeps nobody out: for tests that unlock thousands of times.
pub(crate) fn lock_lightly(bytes: Vec<u8>, passphrase: &str, chance: Chance) -> Result<Vec<u8>, Problem> {
    lock_with(bytes, passphrase, chance, Work { memory_kib: 8, passes: 1, lanes: 1 })
}

fn lock_with(mut bytes: Vec<u8>, passphrase: &str, chance: Chance, work: Work) -> Result<Vec<u8>, Problem> {
    if passphrase.trim().chars().count() < LEAST {
        return Err(Problem::new("handover.passphrase_short", "passphrase").with("least", LEAST));
    }
    let Work { memory_kib, passes, lanes } = work;
    let mut out = MAGIC.to_vec();
    out.extend(VERSION.to_le_bytes());
    [memory_kib, passes, lanes].iter().for_each(|n| out.extend(n.to_le_bytes()));
    out.extend(chance.salt);
    out.extend(chance.nonce);
    let cipher = cipher(passphrase, &chance.salt, work)?;
    cipher
        .encrypt_in_place(&chance.nonce.into(), &out, &mut bytes)
        .map_err(|_| Problem::internal("a file too large to be locked"))?;
    out.append(&mut bytes);
    let checksum = FileHash::of(&out);
    out.extend(checksum.0);
    Ok(out)
}

/// Whether these are the bytes of a locked file.
pub(crate) fn is_locked(bytes: &[u8]) -> bool {
    bytes.starts_with(MAGIC)
}

/// Unlocks a file.
pub(crate) fn unlock(bytes: &[u8], passphrase: Option<&str>) -> Result<Vec<u8>, Problem> {
    let wrong = |code: &str| Problem::new(code, "path");
    let version = bytes.get(8..10).and_then(|it| it.try_into().ok()).map(u16::from_le_bytes);
    if version.is_some_and(|version| version > VERSION) {
        return Err(wrong("handover.newer"));
    }
    let (all, checksum) = bytes.split_last_chunk::<CHECKSUM>().ok_or_else(|| wrong("handover.cut_off"))?;
    let (head, locked) = all.split_at_checked(HEAD).ok_or_else(|| wrong("handover.cut_off"))?;
    if FileHash::of(all).0 != *checksum {
        return Err(wrong("handover.damaged"));
    }
    let number =
        |at: usize| head.get(at..at + 4).and_then(|it| it.try_into().ok()).map_or(0, u32::from_le_bytes);
    let work = Work { memory_kib: number(10), passes: number(14), lanes: number(18) };
    let too_much = work.memory_kib > MOST.memory_kib || work.passes > MOST.passes || work.lanes > MOST.lanes;
    let (Ok(salt), Ok(nonce), false) =
        (<[u8; 16]>::try_from(&head[22..38]), <[u8; 24]>::try_from(&head[38..HEAD]), too_much)
    else {
        return Err(wrong("handover.malformed").with("why", "its key would take more than a device has"));
    };
    let passphrase = passphrase.filter(|it| !it.trim().is_empty());
    let passphrase = passphrase.ok_or_else(|| Problem::new("handover.locked", "passphrase"))?;
    let mut plain = locked.to_vec();
    cipher(passphrase, &salt, work)?
        .decrypt_in_place(&nonce.into(), head, &mut plain)
        .map_err(|_| Problem::new("handover.passphrase_wrong", "passphrase"))?;
    Ok(plain)
}

/// Spaces at the ends are not meant, whoever typed them.
fn cipher(passphrase: &str, salt: &[u8; 16], work: Work) -> Result<XChaCha20Poly1305, Problem> {
    let fault = |error: argon2::Error| Problem::new("handover.malformed", "path").with("why", error);
    let params = Params::new(work.memory_kib, work.passes, work.lanes, Some(32)).map_err(fault)?;
    let mut key = [0; 32];
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
        .hash_password_into(passphrase.trim().as_bytes(), salt, &mut key)
        .map_err(fault)?;
    Ok(XChaCha20Poly1305::new(&key.into()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const CHANCE: Chance = Chance { salt: [1; 16], nonce: [2; 24] };

    /// RFC 9106, section 5.3: Argon2id with 32 KiB, 3 passes, 4 lanes, and all inputs; the tag of 32 bytes.
    #[test]
    fn the_key_is_made_as_rfc_9106_says() {
        let params = argon2::ParamsBuilder::new()
            .m_cost(32)
            .t_cost(3)
            .p_cost(4)
            .data(argon2::AssociatedData::new(&[4; 12]).expect("short"))
            .output_len(32)
            .build()
            .expect("figures");
        let argon =
            Argon2::new_with_secret(&[3; 8], Algorithm::Argon2id, Version::V0x13, params).expect("a secret");
        let mut tag = [0; 32];
        argon.hash_password_into(&[1; 32], &[2; 16], &mut tag).expect("a tag");
        let digits: String = tag.iter().map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(digits, "0d640df58d78766c08c037a34a8b53c9d01ef0452d75b65eb52520e96b01e659");
    }

    #[test]
    fn what_was_locked_opens_with_its_words_and_no_others() {
        let file = lock(b"DRYLAYHO and the rest".to_vec(), "seven wet tiles", CHANCE).expect("locked");
        assert!(is_locked(&file) && !file.windows(8).any(|part| part == b"DRYLAYHO"));
        assert_eq!(unlock(&file, Some(" seven wet tiles ")), Ok(b"DRYLAYHO and the rest".to_vec()));
        let code = |bytes: &[u8], words: Option<&str>| unlock(bytes, words).expect_err("no").code;
        assert_eq!(code(&file, Some("eight wet tiles")), "handover.passphrase_wrong");
        assert_eq!(code(&file, None), "handover.locked");
        assert_eq!(code(&file, Some(" ")), "handover.locked");
        for cut in [8, 20, HEAD, file.len() - 1] {
            assert!(["handover.cut_off", "handover.damaged"].contains(&code(&file[..cut], None).as_str()));
        }
        for at in [10, 30, HEAD + 3, file.len() - 1] {
            let mut bad = file.clone();
            bad[at] ^= 1;
            assert_eq!(code(&bad, Some("seven wet tiles")), "handover.damaged", "byte {at}");
        }
        let newer = [&file[..8], &[9, 0], &file[10..]].concat();
        assert_eq!(code(&newer, None), "handover.newer");
        let short = lock(Vec::new(), "tiles", CHANCE).expect_err("too short");
        assert_eq!(short.code, "handover.passphrase_short");
    }

    /// Somebody who rewrites the checksum too still changes nothing unseen, and asks for no more work than there is.
    #[test]
    fn a_changed_file_with_a_right_checksum_does_not_open() {
        let file = lock(b"the bytes".to_vec(), "seven wet tiles", CHANCE).expect("locked");
        let forged = |at: usize, byte: u8| {
            let mut bad = file[..file.len() - CHECKSUM].to_vec();
            bad[at] = byte;
            let checksum = FileHash::of(&bad);
            bad.extend(checksum.0);
            unlock(&bad, Some("seven wet tiles")).expect_err("no").code
        };
        assert_eq!(forged(HEAD, file[HEAD] ^ 1), "handover.passphrase_wrong");
        assert_eq!(forged(40, file[40] ^ 1), "handover.passphrase_wrong");
        assert_eq!(forged(13, 0xff), "handover.malformed");
        assert_eq!(forged(18, 0), "handover.malformed");
    }
}
