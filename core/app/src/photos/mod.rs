//! Photos on their way in: what is kept of a picture's bytes, which way is up, when it was taken, and the smaller
//! pictures that screens show first.
//!
//! The original's compressed picture is kept byte for byte. What is written around it is not: everything that is
//! not needed to show the picture (position, maker's notes, pictures within the picture, films behind it) is left
//! out, and a short Exif record with orientation and time is put in its place.

mod clean;
mod exif_data;
mod smaller;

pub(crate) use clean::{Kind, clean};
pub(crate) use exif_data::{Facts, facts};
pub(crate) use smaller::{Size, decode, for_paper, smaller};

#[cfg(test)]
mod tests;
