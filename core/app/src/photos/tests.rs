//! Pictures made here, with records as cameras write them.

use super::*;
use exif::{Field, In, Rational, Tag, Value, experimental::Writer};
use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use std::io::Cursor;

/// A camera's Exif record: orientation, time, and where it was.
fn camera_record(orientation: u16) -> Vec<u8> {
    let field = |tag, value| Field { tag, ifd_num: In::PRIMARY, value };
    let text = |text: &str| Value::Ascii(vec![text.as_bytes().to_vec()]);
    let degree = |n| Rational { num: n, denom: 1 };
    let fields = [
        field(Tag::Orientation, Value::Short(vec![orientation])),
        field(Tag::Model, text("Pocket camera of the mill")),
        field(Tag::DateTimeOriginal, text("2026:05:06 07:08:09")),
        field(Tag::OffsetTimeOriginal, text("+02:00")),
        field(Tag::GPSLatitudeRef, text("N")),
        field(Tag::GPSLatitude, Value::Rational(vec![degree(47), degree(11), degree(13)])),
    ];
    let mut writer = Writer::new();
    fields.iter().for_each(|field| writer.push_field(field));
    let mut record = Cursor::new(Vec::new());
    writer.write(&mut record, true).expect("a record");
    record.into_inner()
}

/// Four quarters of different colours, in rows from the top left: red, green, blue, white.
fn quarters() -> RgbImage {
    RgbImage::from_fn(64, 32, |x, y| match (x < 32, y < 16) {
        (true, true) => Rgb([250, 0, 0]),
        (false, true) => Rgb([0, 250, 0]),
        (true, false) => Rgb([0, 0, 250]),
        (false, false) => Rgb([250, 250, 250]),
    })
}

fn encoded(picture: &RgbImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    DynamicImage::ImageRgb8(picture.clone()).write_to(&mut bytes, format).expect("encoded");
    bytes.into_inner()
}

fn segment(marker: u8, says: &[u8], data: &[u8]) -> Vec<u8> {
    let length = u16::try_from(says.len() + data.len() + 2).expect("short");
    [&[0xff, marker], &length.to_be_bytes()[..], says, data].concat()
}

/// A photo as a phone writes it: Exif, another record with the position in words, and a film behind the picture.
fn photo(picture: &RgbImage, orientation: u16) -> Vec<u8> {
    let plain = encoded(picture, ImageFormat::Jpeg);
    let exif = segment(0xe1, b"Exif\0\0", &camera_record(orientation));
    let words = segment(0xe1, b"http://ns.adobe.com/xap/1.0/\0", b"<x exif:GPSLatitude=\"47,11.2N\"/>");
    [&plain[..2], &exif, &words, &plain[2..], b"film with GPSLatitude 47"].concat()
}

fn holds(bytes: &[u8], words: &[u8]) -> bool {
    bytes.windows(words.len()).any(|window| window == words)
}

/// Where the red quarter is seen: to the left, and above.
fn red_is(picture: &DynamicImage) -> (bool, bool) {
    let rgb = picture.to_rgb8();
    let (w, h) = rgb.dimensions();
    let at = |left: bool, top: bool| {
        let pixel = rgb.get_pixel(if left { w / 4 } else { 3 * w / 4 }, if top { h / 4 } else { 3 * h / 4 });
        pixel[0] > 150 && pixel[1] < 100 && pixel[2] < 100
    };
    let found: Vec<(bool, bool)> = [(true, true), (false, true), (true, false), (false, false)]
        .into_iter()
        .filter(|&(l, t)| at(l, t))
        .collect();
    assert_eq!(found.len(), 1, "{found:?}");
    found[0]
}

/// The tag says where row 0 and column 0 of the stored picture are seen (JEITA CP-3451, Exif 2.2, p. 18): 1 top
/// left, 2 top right, 3 bottom right, 4 bottom left, 5 left top, 6 right top, 7 right bottom, 8 left bottom. So the
/// corner at row 0, column 0, which is red here, is seen at:
const RED: [(u16, bool, bool); 8] = [
    (1, true, true),
    (2, false, true),
    (3, false, false),
    (4, true, false),
    (5, true, true),
    (6, false, true),
    (7, false, false),
    (8, true, false),
];

#[test]
fn all_eight_orientations_are_seen_upright_and_stay_so() {
    for (orientation, left, top) in RED {
        let bytes = photo(&quarters(), orientation);
        let facts = facts(&bytes);
        assert_eq!(u16::from(facts.orientation), orientation);
        let seen = decode(&bytes, &facts).expect("a picture");
        assert_eq!(red_is(&seen), (left, top), "orientation {orientation}");
        // From 5 on rows are columns: width and height change places.
        let upright = if orientation < 5 { (64, 32) } else { (32, 64) };
        assert_eq!((seen.width(), seen.height()), upright);
        let cleaned = clean(Kind::Jpeg, &bytes, &facts).expect("cleaned");
        assert_eq!(super::facts(&cleaned), facts);
        assert_eq!(decode(&cleaned, &facts).expect("a picture"), seen);
    }
}

#[test]
fn nothing_of_where_it_was_taken_is_left() {
    let bytes = photo(&quarters(), 6);
    assert!(holds(&bytes, b"GPSLatitude") && holds(&bytes, b"Pocket camera"));
    let cleaned = clean(Kind::Jpeg, &bytes, &facts(&bytes)).expect("cleaned");
    for words in [&b"GPS"[..], b"Pocket camera", b"adobe.com/xap", b"film"] {
        assert!(!holds(&cleaned, words), "{}", String::from_utf8_lossy(words));
    }
    let read = exif::Reader::new().read_from_container(&mut Cursor::new(&cleaned)).expect("a record");
    let tags: Vec<Tag> = read.fields().map(|field| field.tag).collect();
    assert_eq!(tags, [Tag::Orientation, Tag::DateTimeOriginal, Tag::OffsetTimeOriginal]);
}

#[test]
fn the_compressed_picture_is_kept_byte_for_byte() {
    let plain = encoded(&quarters(), ImageFormat::Jpeg);
    let scan = plain.windows(2).position(|pair| pair == [0xff, 0xda]).expect("a scan");
    let bytes = photo(&quarters(), 3);
    let cleaned = clean(Kind::Jpeg, &bytes, &facts(&bytes)).expect("cleaned");
    assert!(cleaned.ends_with(&plain[scan..]));
}

#[test]
fn time_is_read_with_its_zone_or_with_that_of_whoever_brings_it() {
    let with = facts(&photo(&quarters(), 1));
    // 2026-05-06 07:08:09 at +02:00 is 05:08:09 UTC: 20,579 days and 18,489 s after 1970.
    assert_eq!(with.taken_ms(0), Some((20_579 * 86_400 + 18_489) * 1000));
    let without = Facts { offset: None, ..with };
    assert_eq!(without.taken_ms(120), Some((20_579 * 86_400 + 18_489) * 1000));
    assert_eq!(Facts { taken: Some("2026:13:40 99:00:00".into()), ..without.clone() }.taken_ms(0), None);
    assert_eq!(Facts { taken: None, ..without }.taken_ms(0), None);
}

#[test]
fn texts_and_records_of_other_containers_stay_out() {
    let plain = encoded(&quarters(), ImageFormat::Png);
    let chunk = |name: &[u8; 4], data: &[u8]| {
        let body = [name, data].concat();
        let length = u32::try_from(data.len()).expect("short").to_be_bytes();
        [&length[..], &body, &crc32fast::hash(&body).to_be_bytes()].concat()
    };
    let header = 8 + 25;
    let png = [
        &plain[..header],
        &chunk(b"tEXt", b"Where\0GPS 47 N"),
        &chunk(b"eXIf", &camera_record(8)),
        &plain[header..],
    ]
    .concat();
    let told = facts(&png);
    assert_eq!((told.orientation, told.taken.as_deref()), (8, Some("2026:05:06 07:08:09")));
    let cleaned = clean(Kind::Png, &png, &told).expect("cleaned");
    assert!(!holds(&cleaned, b"GPS") && !holds(&cleaned, b"Pocket"));
    assert_eq!(facts(&cleaned), told);
    assert_eq!(red_is(&decode(&cleaned, &told).expect("a picture")), (true, false));

    let simple = encoded(&quarters(), ImageFormat::WebP);
    assert_eq!(clean(Kind::Webp, &simple, &facts(&simple)).as_deref(), Some(&simple[..]));
    // The extended header (RFC 9649, 2.7): flags, three reserved bytes, width and height less one in 24 bits each.
    let extended =
        |flags: u8| [b"VP8X", &10_u32.to_le_bytes()[..], &[flags, 0, 0, 0, 63, 0, 0, 31, 0, 0]].concat();
    let mut record = camera_record(6);
    record.resize(record.len().next_multiple_of(2), 0);
    let length = u32::try_from(record.len()).expect("short").to_le_bytes();
    let body = [&extended(0x08)[..], &simple[12..], b"EXIF", &length[..], &record].concat();
    let size = u32::try_from(body.len() + 4).expect("short").to_le_bytes();
    let webp = [b"RIFF", &size[..], b"WEBP", &body].concat();
    let told = facts(&webp);
    assert_eq!(told.orientation, 6);
    let cleaned = clean(Kind::Webp, &webp, &told).expect("cleaned");
    assert!(!holds(&cleaned, b"GPS") && !holds(&cleaned, b"Pocket"));
    assert_eq!(facts(&cleaned), told);
    assert_eq!(red_is(&decode(&cleaned, &told).expect("a picture")), (false, true));
}

#[test]
fn smaller_copies_keep_the_shape_and_never_grow() {
    let large = DynamicImage::ImageRgb8(RgbImage::from_fn(2000, 1000, |x, _| {
        Rgb([u8::try_from(x % 256).unwrap_or(0), 0, 0])
    }));
    for (size, width, height) in [(Size::Small, 320, 160), (Size::Medium, 1600, 800)] {
        let copy = image::load_from_memory(&smaller(&large, size).expect("a copy")).expect("a picture");
        assert_eq!((copy.width(), copy.height()), (width, height));
    }
    let tiny = DynamicImage::ImageRgb8(quarters());
    let copy = image::load_from_memory(&smaller(&tiny, Size::Small).expect("a copy")).expect("a picture");
    assert_eq!((copy.width(), copy.height()), (64, 32));
}

#[test]
fn truncated_and_mangled_pictures_are_refused_and_break_nothing() {
    let whole = photo(&quarters(), 6);
    let told = facts(&whole);
    for length in 0..whole.len() {
        let cut = &whole[..length];
        let _ = (
            facts(cut),
            clean(Kind::Jpeg, cut, &told),
            clean(Kind::Png, cut, &told),
            clean(Kind::Webp, cut, &told),
        );
    }
    for at in 2..whole.len().min(900) {
        let mut bent = whole.clone();
        bent[at] ^= 0xff;
        let _ = (facts(&bent), clean(Kind::Jpeg, &bent, &told), decode(&bent, &told));
    }
    assert!(decode(&whole[..200], &told).is_err());
    assert_eq!(Kind::of(b"GIF89a"), None);
}
