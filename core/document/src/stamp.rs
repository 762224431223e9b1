//! Who put a value there, and when.

use crate::value::{Reader, write_signed, write_text};

/// A device of the crew: 128 random bits, chosen once when the app is set up on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DeviceId(pub [u8; 16]);

/// The person at a device.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Author {
    /// The device.
    pub device: DeviceId,
    /// The person's name as shown to the crew.
    pub name: String,
}

/// A moment by the device's clock, which may be wrong: shown to people, never used to decide between values.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Timestamp {
    /// Milliseconds since 1970-01-01T00:00Z.
    pub utc_ms: i64,
    /// The device's zone: minutes east of Greenwich.
    pub zone_minutes: i16,
}

/// Who and when.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stamp {
    /// When, by the author's device.
    pub at: Timestamp,
    /// Who.
    pub by: Author,
}

impl Stamp {
    pub(crate) fn write(&self, out: &mut Vec<u8>) {
        out.extend(self.by.device.0);
        write_text(out, &self.by.name);
        write_signed(out, self.at.utc_ms);
        write_signed(out, i64::from(self.at.zone_minutes));
    }

    pub(crate) fn read(reader: &mut Reader<'_>) -> Option<Self> {
        let by = Author { device: DeviceId(reader.array()?), name: reader.text()? };
        let at = Timestamp { utc_ms: reader.signed()?, zone_minutes: i16::try_from(reader.signed()?).ok()? };
        Some(Self { at, by })
    }
}
