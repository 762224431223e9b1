//! Damaging an input: a few small changes of the kinds that readers stumble over.

use fastrand::Rng;

/// Numbers at the edges of what types hold.
const EDGES: [u64; 14] = [
    0,
    1,
    0x7f,
    0x80,
    0xff,
    0x7fff,
    0x8000,
    0xffff,
    0x7fff_ffff,
    0x8000_0000,
    0xffff_ffff,
    0x7fff_ffff_ffff_ffff,
    0x8000_0000_0000_0000,
    u64::MAX,
];

/// Numbers as people and programs write them.
const NUMBERS: [&str; 16] = [
    "0",
    "-0",
    "-1",
    "1/0",
    "0.1",
    "1e9",
    "1e308",
    "-1e-308",
    "255",
    "65536",
    "4294967295",
    "4294967296",
    "9223372036854775807",
    "-9223372036854775808",
    "18446744073709551616",
    "99999999999999999999999999999999999999999",
];

/// Words that mean something in many formats, or come from other scripts.
const WORDS: [&str; 16] = [
    "", " ", "\u{feff}", "\0", "\n", "\r\n", "é", "½", "″", "𝟙", "\u{202e}", "null", "{}", "[]", "\"",
    "\\u0000",
];

/// Damages inputs.
#[derive(Debug)]
pub struct Mutator {
    /// Where its chance comes from.
    pub rng: Rng,
    words: &'static [&'static str],
}

impl Mutator {
    /// One that knows the words of a format.
    pub fn new(rng: Rng, words: &'static [&'static str]) -> Self {
        Self { rng, words }
    }

    /// One of the inputs, changed in one to five places.
    pub fn damaged(&mut self, inputs: &[Vec<u8>]) -> Vec<u8> {
        let mut input = self.one_of(inputs);
        for _ in 0..self.rng.usize(1..=5) {
            self.change(&mut input, inputs);
        }
        input
    }

    fn one_of(&mut self, inputs: &[Vec<u8>]) -> Vec<u8> {
        self.rng.choice(inputs).cloned().unwrap_or_default()
    }

    fn change(&mut self, input: &mut Vec<u8>, inputs: &[Vec<u8>]) {
        match self.rng.u8(..14) {
            0 | 1 => self.flip(input),
            2 => self.overwrite(input),
            3 => input.truncate(self.rng.usize(..=input.len())),
            4 => drop(input.drain(self.stretch(input.len(), 64))),
            5 => self.repeat(input),
            6 => self.splice(input, inputs),
            7 | 8 => self.length(input),
            9 | 10 => self.number(input),
            11 | 12 => self.word(input),
            _ => self.nest(input),
        }
    }

    /// A stretch of at most `most` bytes; mostly a short one.
    fn stretch(&mut self, length: usize, most: usize) -> std::ops::Range<usize> {
        let start = self.rng.usize(..=length);
        let most = if self.rng.bool() { 4 } else { most };
        start..start + self.rng.usize(..=most.min(length - start))
    }

    fn flip(&mut self, input: &mut [u8]) {
        if !input.is_empty() {
            let at = self.rng.usize(..input.len());
            input[at] ^= 1 << self.rng.u8(..8);
        }
    }

    fn overwrite(&mut self, input: &mut [u8]) {
        let at = self.stretch(input.len(), 16);
        self.rng.fill(&mut input[at]);
    }

    fn repeat(&mut self, input: &mut Vec<u8>) {
        let range = self.stretch(input.len(), 64);
        let part = input[range.clone()].repeat(self.rng.usize(1..=8));
        input.splice(range.end..range.end, part);
    }

    /// The front of this one and the back of another.
    fn splice(&mut self, input: &mut Vec<u8>, inputs: &[Vec<u8>]) {
        let other = self.one_of(inputs);
        input.truncate(self.rng.usize(..=input.len()));
        input.extend_from_slice(&other[self.rng.usize(..=other.len())..]);
    }

    /// A number of 2, 4 or 8 bytes becomes one at the edge of a type, or a little more or less.
    fn length(&mut self, input: &mut [u8]) {
        let width = [1, 2, 4, 8][self.rng.usize(..4)];
        if input.len() < width {
            return;
        }
        let at = self.rng.usize(..=input.len() - width);
        let little = self.rng.bool();
        let mut bytes = [0; 8];
        let place = &mut bytes[if little { 0..width } else { 8 - width..8 }];
        place.copy_from_slice(&input[at..at + width]);
        let was = if little { u64::from_le_bytes(bytes) } else { u64::from_be_bytes(bytes) };
        let step = self.rng.u64(1..=4);
        let now = match self.rng.u8(..4) {
            0 => was.wrapping_add(step),
            1 => was.wrapping_sub(step),
            _ => EDGES[self.rng.usize(..EDGES.len())].wrapping_add(was % 2),
        };
        let bytes = if little { now.to_le_bytes() } else { now.to_be_bytes() };
        let place = if little { &bytes[..width] } else { &bytes[8 - width..] };
        input[at..at + width].copy_from_slice(place);
    }

    /// A number that is written in digits becomes another.
    fn number(&mut self, input: &mut Vec<u8>) {
        if input.is_empty() {
            return;
        }
        let from = self.rng.usize(..input.len());
        let digit = |byte: &u8| byte.is_ascii_digit();
        let Some(start) = input[from..].iter().position(digit).map(|at| from + at) else { return };
        let end = input[start..].iter().position(|byte| !digit(byte)).map_or(input.len(), |at| start + at);
        let number = NUMBERS[self.rng.usize(..NUMBERS.len())];
        input.splice(start..end, number.bytes());
    }

    fn word(&mut self, input: &mut Vec<u8>) {
        let count = self.words.len() + WORDS.len();
        let pick = self.rng.usize(..count);
        let word = self.words.get(pick).copied().unwrap_or_else(|| WORDS[pick - self.words.len()]);
        let range = self.stretch(input.len(), 8);
        let range = if self.rng.bool() { range.start..range.start } else { range };
        input.splice(range, word.bytes());
    }

    /// Opens the same thing again and again.
    fn nest(&mut self, input: &mut Vec<u8>) {
        let open: &[u8] = [&b"["[..], b"{\"a\":", b"(", b"((", b"\"", b"-", b"\xff"][self.rng.usize(..7)];
        let times = [2, 20, 200, 20_000][self.rng.usize(..4)];
        let at = self.rng.usize(..=input.len());
        input.splice(at..at, open.repeat(times));
    }
}
