//! The upright picture, and smaller copies of it.

use super::Facts;
use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageError, ImageReader, Limits};
use std::io::Cursor;

/// The longest side of any picture that is taken in, in pixels.
const MOST_SIDE: u32 = 30_000;
/// The most memory that decoding may take: a picture of some 200 million pixels.
const MOST_BYTES: u64 = 800 << 20;
/// The quality of smaller copies, from 1 to 100.
const QUALITY: u8 = 82;

/// A size in which a picture is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Size {
    /// In a list.
    Small,
    /// On a whole screen.
    Medium,
}

impl Size {
    pub(crate) const ALL: [Self; 2] = [Self::Small, Self::Medium];

    /// Its longest side in pixels.
    pub(crate) fn side(self) -> u32 {
        match self {
            Self::Small => 320,
            Self::Medium => 1600,
        }
    }

    /// Its word in addresses and file names.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Small => "small",
            Self::Medium => "medium",
        }
    }
}

/// The picture as it is to be seen.
///
/// # Errors
/// Says what is wrong with the bytes.
pub(crate) fn decode(bytes: &[u8], facts: &Facts) -> Result<DynamicImage, ImageError> {
    let mut reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format()?;
    let mut limits = Limits::default();
    limits.max_image_width = Some(MOST_SIDE);
    limits.max_image_height = Some(MOST_SIDE);
    limits.max_alloc = Some(MOST_BYTES);
    reader.limits(limits);
    let mut picture = reader.decode()?;
    picture.apply_orientation(Orientation::from_exif(facts.orientation).unwrap_or(Orientation::NoTransforms));
    Ok(picture)
}

/// The longest side of a picture on paper, in pixels: some 300 to the inch where two stand beside each other.
const PAPER_SIDE: u32 = 1000;
/// The quality of a picture on paper, from 1 to 100: sixty of them must go by mail.
const PAPER_QUALITY: u8 = 76;

/// A copy for paper, as JPEG.
///
/// # Errors
/// Says why it cannot be written.
pub(crate) fn for_paper(picture: &DynamicImage) -> Result<Vec<u8>, ImageError> {
    copy(picture, PAPER_SIDE, PAPER_QUALITY)
}

/// A copy that is no longer than `size` on any side, as JPEG; a small picture is not made larger.
///
/// # Errors
/// Says why it cannot be written.
pub(crate) fn smaller(picture: &DynamicImage, size: Size) -> Result<Vec<u8>, ImageError> {
    copy(picture, size.side(), QUALITY)
}

fn copy(picture: &DynamicImage, side: u32, quality: u8) -> Result<Vec<u8>, ImageError> {
    let copy = match picture.width() > side || picture.height() > side {
        true => picture.thumbnail(side, side).to_rgb8(),
        false => picture.to_rgb8(),
    };
    let mut bytes = Vec::new();
    copy.write_with_encoder(JpegEncoder::new_with_quality(&mut bytes, quality))?;
    Ok(bytes)
}
