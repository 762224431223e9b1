//! The picture without what it does not need: containers are taken apart into their parts, and only parts that are
//! known to be needed go into the copy. So what a camera adds tomorrow is left out too.

use super::Facts;

/// What sort of picture file it is, by its first bytes: JPEG by ITU-T T.81 (B.1.1.3), PNG by its specification
/// (5.2), WebP by RFC 9649.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Jpeg,
    Png,
    Webp,
}

impl Kind {
    pub(crate) fn of(bytes: &[u8]) -> Option<Self> {
        match bytes {
            [0xff, 0xd8, 0xff, ..] => Some(Self::Jpeg),
            [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', ..] => Some(Self::Png),
            [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Some(Self::Webp),
            _ => None,
        }
    }
}

/// The same picture with nothing around it but orientation and time; `None` where its parts do not fit together.
pub(crate) fn clean(kind: Kind, bytes: &[u8], facts: &Facts) -> Option<Vec<u8>> {
    match kind {
        Kind::Jpeg => jpeg(bytes, facts),
        Kind::Png => png(bytes, facts),
        Kind::Webp => webp(bytes, facts),
    }
}

fn be16(bytes: &[u8], at: usize) -> Option<usize> {
    let pair = bytes.get(at..at.checked_add(2)?)?;
    Some(usize::from(pair[0]) << 8 | usize::from(pair[1]))
}

fn be32(bytes: &[u8], at: usize) -> Option<usize> {
    Some(be16(bytes, at)? << 16 | be16(bytes, at.checked_add(2)?)?)
}

fn le32(bytes: &[u8], at: usize) -> Option<usize> {
    let four = bytes.get(at..at.checked_add(4)?)?;
    Some(four.iter().rev().fold(0, |sum, byte| sum << 8 | usize::from(*byte)))
}

/// Segments up to the end of the first picture (ITU-T T.81, B.1.1); pictures and films behind it stay out.
fn jpeg(bytes: &[u8], facts: &Facts) -> Option<Vec<u8>> {
    let mut out = vec![0xff, 0xd8];
    let mut at = 2;
    let mut told = false;
    loop {
        let marker = marker_at(bytes, &mut at)?;
        if marker == 0xd9 {
            out.extend([0xff, 0xd9]);
            return Some(out);
        }
        let segment = bytes.get(at..at.checked_add(be16(bytes, at)?)?).filter(|it| it.len() >= 2)?;
        // The JFIF header, where there is one, stays first.
        if marker != 0xe0 && !told {
            out.extend(exif_segment(facts));
            told = true;
        }
        if is_needed(marker, segment) {
            out.extend([0xff, marker]);
            out.extend(segment);
        }
        at += segment.len();
        if marker == 0xda {
            let scan = scan_length(bytes.get(at..)?)?;
            out.extend(&bytes[at..at + scan]);
            at += scan;
        }
    }
}

/// The next marker's code; `at` goes behind it. Bytes of 255 before it are fill (B.1.1.2).
fn marker_at(bytes: &[u8], at: &mut usize) -> Option<u8> {
    if *bytes.get(*at)? != 0xff {
        return None;
    }
    while *bytes.get(*at)? == 0xff {
        *at += 1;
    }
    let code = *bytes.get(*at)?;
    *at += 1;
    Some(code)
}

/// Quantisation, coding and frame; of the applications' own segments the JFIF header, the colour profile, and
/// what says how colours are coded.
fn is_needed(marker: u8, segment: &[u8]) -> bool {
    let says = segment.get(2..).unwrap_or_default();
    match marker {
        0xe0 => says.starts_with(b"JFIF\0"),
        0xe2 => says.starts_with(b"ICC_PROFILE\0"),
        0xee => says.starts_with(b"Adobe"),
        0xe1..=0xef | 0xfe => false,
        _ => true,
    }
}

fn exif_segment(facts: &Facts) -> Vec<u8> {
    let Some(record) = facts.record() else { return Vec::new() };
    let Ok(length) = u16::try_from(record.len() + 8) else { return Vec::new() };
    let mut segment = vec![0xff, 0xe1];
    segment.extend(length.to_be_bytes());
    segment.extend(b"Exif\0\0");
    segment.extend(record);
    segment
}

/// How long coded data goes on: up to a marker that is neither a stuffed byte nor a restart (B.1.1.5).
fn scan_length(data: &[u8]) -> Option<usize> {
    data.windows(2).position(|pair| pair[0] == 0xff && !matches!(pair[1], 0 | 0xd0..=0xd7 | 0xff))
}

/// Chunks that the picture needs (PNG specification, third edition, 11): no texts, no Exif, nothing private.
fn png(bytes: &[u8], facts: &Facts) -> Option<Vec<u8>> {
    const NEEDED: [&[u8; 4]; 12] = [
        b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT", b"bKGD",
        b"pHYs",
    ];
    let mut out = bytes.get(..8)?.to_vec();
    let mut at = 8_usize;
    loop {
        let whole = bytes.get(at..at.checked_add(be32(bytes, at)?)?.checked_add(12)?)?;
        let name = whole.get(4..8)?;
        if NEEDED.iter().any(|needed| *needed == name) {
            out.extend(whole);
        }
        if name == b"IHDR" {
            out.extend(facts.record().map(|record| png_chunk(b"eXIf", &record)).unwrap_or_default());
        }
        at += whole.len();
        if name == b"IEND" {
            return Some(out);
        }
    }
}

fn png_chunk(name: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let mut chunk = u32::try_from(data.len()).unwrap_or(0).to_be_bytes().to_vec();
    chunk.extend(name);
    chunk.extend(data);
    let sum = crc32fast::hash(&chunk[4..]);
    chunk.extend(sum.to_be_bytes());
    chunk
}

/// Chunks that the picture needs (RFC 9649, 2.7), with the header's flags brought into line.
fn webp(bytes: &[u8], facts: &Facts) -> Option<Vec<u8>> {
    const EXIF_FLAG: u8 = 0x08;
    const XMP_FLAG: u8 = 0x04;
    let end = le32(bytes, 4)?.checked_add(8)?;
    let bytes = bytes.get(..end)?;
    let mut out = bytes.get(..12)?.to_vec();
    let mut at = 12;
    let mut extended = None;
    while at < bytes.len() {
        let length = le32(bytes, at + 4)?;
        let whole = bytes.get(at..at.checked_add(8)?.checked_add(length)?.checked_add(length % 2)?)?;
        match &whole[..4] {
            b"VP8X" => {
                extended = Some(out.len() + 8);
                out.extend(whole);
            }
            b"VP8 " | b"VP8L" | b"ALPH" | b"ICCP" => out.extend(whole),
            _ => {}
        }
        at += whole.len();
    }
    // Only a picture with the extended header can have said anything (2.7).
    if let Some(flags) = extended {
        *out.get_mut(flags)? &= !(EXIF_FLAG | XMP_FLAG);
        if let Some(mut record) = facts.record() {
            *out.get_mut(flags)? |= EXIF_FLAG;
            out.extend(b"EXIF");
            out.extend(u32::try_from(record.len()).ok()?.to_le_bytes());
            if record.len() % 2 == 1 {
                record.push(0);
            }
            out.extend(record);
        }
    }
    let length = u32::try_from(out.len() - 8).ok()?;
    out[4..8].copy_from_slice(&length.to_le_bytes());
    Some(out)
}
