//! The language of what the core says. A device has one person and one language, so a process has one; the store keeps
//! it. What was frozen or written on paper stays in the language it was made in.

use crate::{german, messages, words};
use std::sync::atomic::{AtomicU8, Ordering};

/// A language that the catalogue is complete in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Language {
    /// English as the trade in North America speaks it.
    #[default]
    English,
    /// German.
    German,
}

/// Every language, English first.
pub const LANGUAGES: [Language; 2] = [Language::English, Language::German];

static NOW: AtomicU8 = AtomicU8::new(0);

impl Language {
    /// The language that is spoken now.
    pub fn now() -> Self {
        LANGUAGES.into_iter().nth(usize::from(NOW.load(Ordering::Relaxed))).unwrap_or_default()
    }

    /// Speaks it from now on.
    pub(crate) fn speak(self) {
        let place = LANGUAGES.into_iter().zip(0_u8..).find(|(one, _)| *one == self);
        NOW.store(place.map_or(0, |(_, place)| place), Ordering::Relaxed);
    }

    /// Its code by ISO 639-1.
    pub fn code(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
        }
    }

    /// The language of a code.
    pub fn of_code(code: &str) -> Option<Self> {
        LANGUAGES.into_iter().find(|language| language.code() == code)
    }

    /// Its table of messages.
    pub fn messages(self) -> &'static [messages::Entry] {
        match self {
            Self::English => messages::ENGLISH,
            Self::German => german::MESSAGES,
        }
    }

    /// Its table of words.
    pub fn words(self) -> &'static [(&'static str, &'static str)] {
        match self {
            Self::English => words::ENGLISH,
            Self::German => german::WORDS,
        }
    }
}
