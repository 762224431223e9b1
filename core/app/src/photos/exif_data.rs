//! What a picture's Exif record says that is kept: which way is up, and when it was taken.

use exif::experimental::Writer;
use exif::{DateTime, Field, In, Reader, Tag, Value};
use std::io::Cursor;

/// What is kept of a picture's Exif record (JEITA CP-3451, Exif 2.2).
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Facts {
    /// The tag Orientation, 1 to 8; 1 where there is none or another value.
    pub(crate) orientation: u8,
    /// The tag DateTimeOriginal as written, such as `2026:11:25 09:30:00`.
    pub(crate) taken: Option<String>,
    /// The tag OffsetTimeOriginal as written, such as `+02:00`.
    pub(crate) offset: Option<String>,
}

/// Reads it. A record that cannot be read counts as none: the picture is still a picture.
pub(crate) fn facts(bytes: &[u8]) -> Facts {
    let read = Reader::new().read_from_container(&mut Cursor::new(bytes));
    let Ok(read) = read else { return Facts { orientation: 1, taken: None, offset: None } };
    let turned = read.get_field(Tag::Orientation, In::PRIMARY).and_then(|field| field.value.get_uint(0));
    let text = |tag| read.get_field(tag, In::PRIMARY).and_then(|field| ascii(&field.value));
    Facts {
        orientation: turned.and_then(|n| u8::try_from(n).ok()).filter(|n| (1..=8).contains(n)).unwrap_or(1),
        taken: text(Tag::DateTimeOriginal).filter(|taken| DateTime::from_ascii(taken.as_bytes()).is_ok()),
        offset: text(Tag::OffsetTimeOriginal).filter(|offset| minutes(offset).is_some()),
    }
}

fn ascii(value: &Value) -> Option<String> {
    let Value::Ascii(parts) = value else { return None };
    let text = String::from_utf8(parts.first()?.clone()).ok()?;
    Some(text.trim_end_matches('\0').trim().to_owned())
}

/// `+02:00` in minutes.
fn minutes(offset: &str) -> Option<i64> {
    let (sign, rest) = match offset.split_at_checked(1)? {
        ("+", rest) => (1, rest),
        ("-", rest) => (-1, rest),
        _ => return None,
    };
    let (hours, minutes) = rest.split_once(':')?;
    let (hours, minutes): (u8, u8) = (hours.parse().ok()?, minutes.parse().ok()?);
    (hours <= 15 && minutes < 60).then(|| sign * (i64::from(hours) * 60 + i64::from(minutes)))
}

impl Facts {
    /// When the picture was taken, in ms since 1970. A camera that does not say its zone is taken to be in that of
    /// whoever brings the picture in.
    pub(crate) fn taken_ms(&self, zone_minutes: i16) -> Option<i64> {
        let taken = DateTime::from_ascii(self.taken.as_ref()?.as_bytes()).ok()?;
        let day = chrono::NaiveDate::from_ymd_opt(
            i32::from(taken.year),
            u32::from(taken.month),
            u32::from(taken.day),
        )?;
        let time =
            day.and_hms_opt(u32::from(taken.hour), u32::from(taken.minute), u32::from(taken.second))?;
        let zone = self.offset.as_deref().and_then(minutes).unwrap_or(i64::from(zone_minutes));
        Some(time.and_utc().timestamp_millis() - zone * 60_000)
    }

    /// A new record that says only this; `None` where there is nothing to say.
    pub(crate) fn record(&self) -> Option<Vec<u8>> {
        if self.orientation == 1 && self.taken.is_none() {
            return None;
        }
        let field = |tag, value| Field { tag, ifd_num: In::PRIMARY, value };
        let text = |text: &String| Value::Ascii(vec![text.clone().into_bytes()]);
        let mut fields = vec![field(Tag::Orientation, Value::Short(vec![u16::from(self.orientation)]))];
        fields.extend(self.taken.as_ref().map(|taken| field(Tag::DateTimeOriginal, text(taken))));
        fields.extend(self.offset.as_ref().map(|offset| field(Tag::OffsetTimeOriginal, text(offset))));
        let mut writer = Writer::new();
        fields.iter().for_each(|field| writer.push_field(field));
        let mut record = Cursor::new(Vec::new());
        writer.write(&mut record, true).ok().map(|()| record.into_inner())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_offset_is_read_and_one_with_two_signs_is_none() {
        assert_eq!(minutes("+02:00"), Some(120));
        assert_eq!(minutes("-03:30"), Some(-210));
        assert_eq!(minutes("+-9223372036854775807:00"), None);
        assert_eq!(minutes("+-2:00"), None);
    }
}
