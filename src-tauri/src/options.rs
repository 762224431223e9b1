//! What the program was started with.

/// The options of a start.
#[derive(Debug, Default, PartialEq, Eq)]
pub(crate) struct Options {
    /// `--phone`: a window of the size of a phone.
    pub(crate) phone: bool,
    /// `--demo`: the demo job is put into a store that holds no job.
    pub(crate) demo: bool,
}

impl Options {
    /// Reads the words after the program's name; words it does not know belong to the window system.
    pub(crate) fn read(words: impl Iterator<Item = String>) -> Self {
        words.fold(Self::default(), |options, word| match word.as_str() {
            "--phone" => Self { phone: true, ..options },
            "--demo" => Self { demo: true, ..options },
            _ => options,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::Options;

    #[test]
    fn known_words_are_read_and_others_left() {
        let read = |words: &[&str]| Options::read(words.iter().map(|word| (*word).to_owned()));
        assert_eq!(read(&[]), Options::default());
        assert_eq!(read(&["--gtk-debug=x", "--demo"]), Options { phone: false, demo: true });
        assert_eq!(read(&["--phone", "--demo"]), Options { phone: true, demo: true });
    }
}
