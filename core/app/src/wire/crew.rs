//! The crew: who belongs to it, how each device stands, an invitation, and who asks to join.

use super::{request, wire};

wire! {
    /// The crew as this device sees it.
    pub struct CrewView {
        /// What this device is called.
        pub name: String,
        /// The first digits of its key.
        pub key: String,
        /// Where the secret half of its key lies, in words.
        pub key_place: String,
        /// Whether it belongs to a crew.
        pub member: bool,
        /// How it stands with its crew, in words.
        pub words: String,
        /// Whether it may let in devices that may remove others.
        pub founder: bool,
        /// Whether there is a network to meet the others on.
        pub network: bool,
        /// The other devices of the crew, by name.
        pub devices: Vec<CrewDevice>,
        /// The invitation that stands.
        pub invitation: Option<CrewInvitation>,
        /// A device that has shown that it was invited: a person decides.
        pub asks: Option<CrewAsks>,
        /// Whether this device waits to be let in.
        pub joining: bool,
        /// Why joining came to nothing, the last time.
        pub not_joined: Option<String>,
        /// Photos and papers that are named in the jobs and not here yet.
        pub files_wanted: u32,
    }
}

wire! {
    /// Another device of the crew.
    pub struct CrewDevice {
        /// Its key.
        pub id: String,
        /// What it is called.
        pub name: String,
        /// How it stands, in words.
        pub words: String,
        /// Whether it is here.
        pub connected: bool,
        /// Whether it has all that this device has, and the other way round.
        pub level: bool,
        /// Whether it has said so too, where it was asked.
        pub agreed: bool,
        /// Whether it founded the crew.
        pub founder: bool,
        /// Whether this device may remove it.
        pub may_remove: bool,
    }
}

wire! {
    /// An invitation for one device.
    pub struct CrewInvitation {
        /// To be typed on the other device.
        pub code: String,
        /// To be read by the other device.
        pub text: String,
        /// The text as a QR code (ISO/IEC 18004), as a link: its scheme, a colon, the text.
        pub picture: QrView,
        /// How long it stands, in seconds.
        pub seconds: u32,
    }
}

wire! {
    /// A QR code without the quiet zone of four modules around it.
    pub struct QrView {
        /// Modules along a side.
        pub size: u32,
        /// Row by row, from above; `#` is dark, `.` is light.
        pub rows: Vec<String>,
    }
}

wire! {
    /// A device that asks to join.
    pub struct CrewAsks {
        /// What it is called.
        pub name: String,
        /// The first digits of its key, as its own screen shows them.
        pub key: String,
    }
}

request! {
    /// Invites a device; founds the crew if there is none.
    pub struct CrewInvite {
        /// Whether the device may remove others; only the founder gives that.
        #[serde(default)]
        #[ts(optional, as = "Option<bool>")]
        pub may_remove: bool,
    }
}

request! {
    /// What a person decided about the device that asks.
    pub struct CrewAnswer {
        /// Whether it is let in.
        pub yes: bool,
    }
}

request! {
    /// Joins a crew.
    pub struct CrewJoin {
        /// The text of an invitation's picture, or its code of eight digits.
        pub text: String,
    }
}

request! {
    /// Names a device of the crew.
    pub struct OfDevice {
        /// Its key.
        pub device: String,
    }
}
