//! The key that a device is known by, and what it signs.

use std::fmt;

use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};

use crate::bytes::hex;

/// A device's public key (Ed25519, RFC 8032): its name on the network, which the connection itself proves.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PublicKey(pub [u8; 32]);

impl PublicKey {
    /// Whether this key signed these bytes. Strict: no small-order keys, one signature for one message.
    pub fn signed(&self, message: &[u8], signature: &[u8; 64]) -> bool {
        VerifyingKey::from_bytes(&self.0)
            .is_ok_and(|key| key.verify_strict(message, &Signature::from_bytes(signature)).is_ok())
    }

    /// The first digits, for people.
    pub fn short(&self) -> String {
        hex(&self.0[..4])
    }

    /// Reads 64 hexadecimal digits.
    pub fn parse(text: &str) -> Option<Self> {
        let hash = blake3::Hash::from_hex(text).ok()?;
        Some(Self(*hash.as_bytes()))
    }
}

impl fmt::Display for PublicKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex(&self.0))
    }
}

impl fmt::Debug for PublicKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "PublicKey({})", self.short())
    }
}

/// A device's secret key. It is never printed, and never leaves the device.
#[derive(Clone)]
pub struct SecretKey(SigningKey);

impl SecretKey {
    /// The key that follows from 32 random bytes.
    pub fn from_seed(seed: [u8; 32]) -> Self {
        Self(SigningKey::from_bytes(&seed))
    }

    /// The public half.
    pub fn public(&self) -> PublicKey {
        PublicKey(self.0.verifying_key().to_bytes())
    }

    /// Signs.
    pub fn sign(&self, message: &[u8]) -> [u8; 64] {
        self.0.sign(message).to_bytes()
    }

    /// The 32 bytes it follows from, for whoever keeps it and for the network's own handshake.
    pub fn seed(&self) -> [u8; 32] {
        self.0.to_bytes()
    }
}

impl fmt::Debug for SecretKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "SecretKey(of {})", self.public().short())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bytes<const N: usize>(text: &str) -> [u8; N] {
        let digits = |n: usize| u8::from_str_radix(&text[2 * n..2 * n + 2], 16).unwrap();
        std::array::from_fn(digits)
    }

    /// RFC 8032 (January 2017), section 7.1, tests 1 and 2 for Ed25519: an empty message and the one byte 72.
    #[test]
    fn signatures_are_those_of_rfc_8032() {
        let cases: [(&str, &str, &[u8], &str); 2] = [
            (
                "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
                "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
                &[],
                "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
            ),
            (
                "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
                "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
                &[0x72],
                "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
            ),
        ];
        for (seed, public, message, signature) in cases {
            let key = SecretKey::from_seed(bytes(seed));
            assert_eq!(key.public().to_string(), public);
            assert_eq!(key.sign(message), bytes(signature));
            assert!(key.public().signed(message, &bytes(signature)));
            assert!(!key.public().signed(b"another", &bytes(signature)));
        }
    }
}
