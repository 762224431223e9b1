//! What a survey is good for, what may be ordered from it, and what it lacks, in words.

use crate::words::say;
use drylay_survey::tape::{GoodFor, Lack};

/// What a survey may be used for, as a word of the wire.
pub(crate) fn good_for_word(good_for: GoodFor) -> &'static str {
    match good_for {
        GoodFor::Nothing => "nothing",
        GoodFor::Quote => "quote",
        GoodFor::SettingOut => "setting_out",
    }
}

/// What a survey may be used for, in words.
pub(crate) fn good_for_words(good_for: GoodFor) -> String {
    say(&format!("good_for.{}", good_for_word(good_for)), &[])
}

/// What a survey lacks to be good for setting out, in words.
pub(crate) fn lack_words(lack: Lack, length: impl Fn(f64) -> String) -> String {
    match lack {
        Lack::Readings => say("lack.readings", &[]),
        Lack::Agreement => say("lack.agreement", &[]),
        Lack::OneShape => say("lack.one_shape", &[]),
        Lack::Checks => say("lack.checks", &[]),
        Lack::BareWalls => say("lack.bare_walls", &[]),
        Lack::Sharpness { sd } => say("lack.sharpness", &[("sd", &length(sd))]),
    }
}
