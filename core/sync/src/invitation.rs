//! Letting a device in: the invitation that is shown, and the secret that both sides prove to each other.
//!
//! # What is proved
//!
//! The connection (TLS 1.3 with raw keys) proves each side's key to the other. What it cannot prove is that the key
//! on the other side belongs to the device that a person is looking at. For that both hold a secret: 128 random bits
//! that one screen shows and the other reads, or a short code that a person types, from which SPAKE2 makes a
//! strong one without giving anybody a second guess (RFC 9382 describes it; what the library hashes follows an older
//! draft). Each sends a keyed hash over both keys and over *keying material exported from this very connection* (RFC 8446, section 7.5): whoever stands in the middle has two
//! connections, so proofs of one do not fit the other. An invitation is used once, for two minutes, with three tries.

use std::fmt;
use std::net::SocketAddr;

use data_encoding::BASE32_NOPAD;
use rand_core::{CryptoRng, RngCore};
use spake2::{Ed25519Group, Identity, Password, Spake2};

use crate::bytes::{Reader, Writer};
use crate::keys::PublicKey;
use crate::statement::CrewId;

/// How long an invitation stands, in milliseconds.
pub const STANDS_MS: u64 = 120_000;
/// How many wrong proofs close it.
pub(crate) const TRIES: u8 = 3;
/// The digits of a typed code.
const CODE_DIGITS: usize = 8;
/// What the text of an invitation begins with.
const MARK: &str = "DRYLAY1";
/// The scheme of an invitation as a link, which a phone's own camera hands to the app.
pub const SCHEME: &str = "drylay";
/// The most addresses in an invitation.
const MOST_ADDRESSES: usize = 8;

/// What one screen shows and the other reads: upper-case letters and digits, which a QR code packs well.
#[derive(Clone, PartialEq, Eq)]
pub struct Invitation {
    /// The device that invites.
    pub inviter: PublicKey,
    /// The crew.
    pub crew: CrewId,
    /// The secret.
    pub(crate) secret: [u8; 16],
    /// Where the inviter can be reached just now.
    pub addresses: Vec<SocketAddr>,
}

impl fmt::Debug for Invitation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Invitation(by {:?})", self.inviter)
    }
}

impl Invitation {
    /// As text.
    pub fn to_text(&self) -> String {
        let mut out = Writer::default();
        out.raw(&self.inviter.0).raw(&self.crew.0).raw(&self.secret);
        for address in self.addresses.iter().take(MOST_ADDRESSES) {
            match address {
                SocketAddr::V4(v4) => out.byte(4).raw(&v4.ip().octets()),
                SocketAddr::V6(v6) => out.byte(6).raw(&v6.ip().octets()),
            };
            out.raw(&address.port().to_le_bytes());
        }
        format!("{MARK}{}", BASE32_NOPAD.encode(&out.0))
    }

    /// Reads a text or a link; spaces, hyphens and small letters do no harm.
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        let link = text.split_once(':').filter(|(scheme, _)| scheme.eq_ignore_ascii_case(SCHEME));
        let plain: String = link
            .map_or(text, |(_, text)| text)
            .chars()
            .filter(|c| !c.is_whitespace() && *c != '-')
            .map(|c| c.to_ascii_uppercase())
            .take(2000)
            .collect();
        let bytes = BASE32_NOPAD.decode(plain.strip_prefix(MARK)?.as_bytes()).ok()?;
        let mut reader = Reader::new(&bytes);
        let (inviter, crew) = (PublicKey(reader.array()?), CrewId(reader.array()?));
        let secret = reader.array()?;
        let mut addresses = Vec::new();
        while !reader.is_at_end() && addresses.len() < MOST_ADDRESSES {
            addresses.push(address(&mut reader)?);
        }
        reader.is_at_end().then_some(Self { inviter, crew, secret, addresses })
    }
}

fn address(reader: &mut Reader<'_>) -> Option<SocketAddr> {
    let ip: std::net::IpAddr = match reader.byte()? {
        4 => reader.array::<4>()?.into(),
        6 => reader.array::<16>()?.into(),
        _ => return None,
    };
    Some(SocketAddr::new(ip, reader.u16()?))
}

/// An invitation that stands.
#[derive(Clone)]
pub(crate) struct Open {
    pub(crate) secret: [u8; 16],
    pub(crate) code: String,
    pub(crate) until: u64,
    pub(crate) tries: u8,
    pub(crate) may_remove: bool,
}

impl fmt::Debug for Open {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Open(until {}, {} tries)", self.until, self.tries)
    }
}

impl Open {
    pub(crate) fn new(now: u64, chance: [u8; 32], may_remove: bool) -> Self {
        let mut drawn = Drawn::from(chance);
        let mut secret = [0; 16];
        drawn.fill_bytes(&mut secret);
        let code = (0..CODE_DIGITS).map(|_| digit(&mut drawn)).collect();
        Self { secret, code, until: now + STANDS_MS, tries: TRIES, may_remove }
    }
}

/// A digit, each as likely as the other.
fn digit(drawn: &mut Drawn) -> char {
    loop {
        let mut byte = [0];
        drawn.fill_bytes(&mut byte);
        if byte[0] < 250 {
            return char::from(b'0' + byte[0] % 10);
        }
    }
}

/// The digits of a code as somebody typed it.
pub(crate) fn plain_code(typed: &str) -> Option<String> {
    let digits: String = typed.chars().filter(|c| !c.is_whitespace() && *c != '-').collect();
    (digits.len() == CODE_DIGITS && digits.bytes().all(|b| b.is_ascii_digit())).then_some(digits)
}

/// What both sides of a joining connection know and a third cannot.
#[derive(Clone, Copy)]
pub(crate) struct Bond<'b> {
    /// Keying material exported from the connection.
    pub(crate) exported: &'b [u8; 32],
    pub(crate) inviter: PublicKey,
    pub(crate) joiner: PublicKey,
}

/// Which side proves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Side {
    Joiner,
    Inviter,
}

impl Bond<'_> {
    /// The proof that a side knows the secret, bound to the connection, both keys and what is said with it.
    pub(crate) fn proof(&self, side: Side, secret: &[u8], said: &[u8]) -> blake3::Hash {
        let purpose = match side {
            Side::Joiner => "drylay 2026-11 joiner knows the secret",
            Side::Inviter => "drylay 2026-11 inviter knows the secret",
        };
        let key = blake3::derive_key(purpose, secret);
        let mut hasher = blake3::Hasher::new_keyed(&key);
        hasher.update(self.exported).update(&self.inviter.0).update(&self.joiner.0).update(said);
        hasher.finalize()
    }

    fn identities(&self) -> (Identity, Identity) {
        (Identity::new(&self.joiner.0), Identity::new(&self.inviter.0))
    }
}

/// One side of the exchange for a typed code.
pub(crate) struct Exchange(Spake2<Ed25519Group>);

impl fmt::Debug for Exchange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Exchange")
    }
}

impl Exchange {
    /// Begins; what goes to the other side comes with it.
    pub(crate) fn begin(side: Side, bond: &Bond<'_>, code: &str, chance: [u8; 32]) -> (Self, Vec<u8>) {
        let (joiner, inviter) = bond.identities();
        let (password, drawn) = (Password::new(code.as_bytes()), Drawn::from(chance));
        let (state, half) = match side {
            Side::Joiner => Spake2::<Ed25519Group>::start_a_with_rng(&password, &joiner, &inviter, drawn),
            Side::Inviter => Spake2::<Ed25519Group>::start_b_with_rng(&password, &joiner, &inviter, drawn),
        };
        (Self(state), half)
    }

    /// The secret that both have if both had the same code; `None` where the other half is none.
    pub(crate) fn finish(self, half: &[u8]) -> Option<Vec<u8>> {
        self.0.finish(half).ok()
    }
}

/// Random numbers stretched from 32 random bytes that were passed in.
struct Drawn(blake3::OutputReader);

impl From<[u8; 32]> for Drawn {
    fn from(chance: [u8; 32]) -> Self {
        let mut hasher = blake3::Hasher::new_derive_key("drylay 2026-11 numbers drawn for an invitation");
        hasher.update(&chance);
        Self(hasher.finalize_xof())
    }
}

impl RngCore for Drawn {
    fn next_u32(&mut self) -> u32 {
        let mut bytes = [0; 4];
        self.fill_bytes(&mut bytes);
        u32::from_le_bytes(bytes)
    }
    fn next_u64(&mut self) -> u64 {
        let mut bytes = [0; 8];
        self.fill_bytes(&mut bytes);
        u64::from_le_bytes(bytes)
    }
    fn fill_bytes(&mut self, dest: &mut [u8]) {
        self.0.fill(dest);
    }
    fn try_fill_bytes(&mut self, dest: &mut [u8]) -> Result<(), rand_core::Error> {
        self.fill_bytes(dest);
        Ok(())
    }
}

impl CryptoRng for Drawn {}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn invitation() -> Invitation {
        Invitation {
            inviter: PublicKey([1; 32]),
            crew: CrewId([2; 32]),
            secret: [3; 16],
            addresses: vec!["192.168.7.4:47777".parse().unwrap(), "[fe80::1]:9".parse().unwrap()],
        }
    }

    #[test]
    fn an_invitation_is_read_as_it_was_shown_or_typed() {
        let text = invitation().to_text();
        assert!(text.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit()), "{text}");
        assert_eq!(Invitation::parse(&text), Some(invitation()));
        let broken: String = text.to_lowercase().chars().flat_map(|c| [c, '-']).collect();
        assert_eq!(Invitation::parse(&broken), Some(invitation()));
        assert_eq!(Invitation::parse(&format!("{SCHEME}:{text}")), Some(invitation()));
        assert_eq!(Invitation::parse(&format!(" Drylay:{broken} ")), Some(invitation()));
        assert_eq!(Invitation::parse(&format!("other:{text}")), None);
        assert_eq!(Invitation::parse(&text[..text.len() - 1]), None);
        assert_eq!(Invitation::parse("12345678"), None);
    }

    #[test]
    fn a_code_is_eight_digits_however_they_are_grouped() {
        assert_eq!(plain_code(" 1234-5678 "), Some("12345678".to_owned()));
        for bad in ["1234567", "123456789", "1234567a", ""] {
            assert_eq!(plain_code(bad), None, "{bad}");
        }
        let code = Open::new(0, [7; 32], false).code;
        assert_eq!(plain_code(&code), Some(code.clone()));
        assert_ne!(code, Open::new(0, [8; 32], false).code);
    }

    fn shared(mine: &str, theirs: &str) -> (Vec<u8>, Vec<u8>) {
        let bond = Bond { exported: &[1; 32], inviter: PublicKey([2; 32]), joiner: PublicKey([3; 32]) };
        let (joiner, out) = Exchange::begin(Side::Joiner, &bond, mine, [4; 32]);
        let (inviter, back) = Exchange::begin(Side::Inviter, &bond, theirs, [5; 32]);
        (joiner.finish(&back).unwrap(), inviter.finish(&out).unwrap())
    }

    #[test]
    fn the_same_code_gives_the_same_secret_and_another_code_another() {
        let (one, other) = shared("12345678", "12345678");
        assert_eq!(one, other);
        let (one, other) = shared("12345678", "12345679");
        assert_ne!(one, other);
    }

    #[test]
    fn a_proof_fits_one_connection_one_pair_of_keys_and_one_side() {
        let base = Bond { exported: &[1; 32], inviter: PublicKey([2; 32]), joiner: PublicKey([3; 32]) };
        let proof = base.proof(Side::Joiner, b"secret", b"Ben");
        for other in [
            Bond { exported: &[9; 32], ..base }.proof(Side::Joiner, b"secret", b"Ben"),
            Bond { inviter: PublicKey([9; 32]), ..base }.proof(Side::Joiner, b"secret", b"Ben"),
            Bond { joiner: PublicKey([9; 32]), ..base }.proof(Side::Joiner, b"secret", b"Ben"),
            base.proof(Side::Inviter, b"secret", b"Ben"),
            base.proof(Side::Joiner, b"secreu", b"Ben"),
            base.proof(Side::Joiner, b"secret", b"Eve"),
        ] {
            assert_ne!(proof, other);
        }
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused(text in ".{0,300}") {
            let _ = Invitation::parse(&text);
            let _ = Invitation::parse(&format!("{MARK}{text}"));
            let _ = plain_code(&text);
        }

        #[test]
        fn any_half_is_taken_or_refused(half in prop::collection::vec(any::<u8>(), 0..80)) {
            let bond = Bond { exported: &[1; 32], inviter: PublicKey([2; 32]), joiner: PublicKey([3; 32]) };
            let (exchange, _) = Exchange::begin(Side::Joiner, &bond, "12345678", [4; 32]);
            let _ = exchange.finish(&half);
        }
    }
}
