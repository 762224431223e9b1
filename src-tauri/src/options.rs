//! What the program was started with.

/// The options of a start.
#[derive(Debug, Default, PartialEq, Eq)]
pub(crate) struct Options {
    /// `--phone`: a window of the size of a phone.
    pub(crate) phone: bool,
    /// `--demo`: the demo job is put into a store that holds no job.
    pub(crate) demo: bool,
    /// What is left: files and links to open, and whatever belongs to the window system.
    pub(crate) words: Vec<String>,
}

impl Options {
    /// Reads the words after the program's name.
    pub(crate) fn read(words: impl Iterator<Item = String>) -> Self {
        let mut options = Self::default();
        for word in words {
            match word.as_str() {
                "--phone" => options.phone = true,
                "--demo" => options.demo = true,
                _ => options.words.push(word),
            }
        }
        options
    }
}

#[cfg(test)]
mod tests {
    use super::Options;

    #[test]
    fn known_words_are_read_and_others_left() {
        let read = |words: &[&str]| Options::read(words.iter().map(|word| (*word).to_owned()));
        assert_eq!(read(&[]), Options::default());
        let words = vec!["--gtk-debug=x".to_owned(), "job.json".to_owned()];
        assert_eq!(
            read(&["--gtk-debug=x", "--demo", "job.json"]),
            Options { phone: false, demo: true, words }
        );
        assert_eq!(read(&["--phone", "--demo"]), Options { phone: true, demo: true, words: vec![] });
    }
}
