//! What the bridge is started with.

use std::path::PathBuf;

const USAGE: &str = "drylay-bridge [--port N] [--store DIR] [--ui DIR] [--crew]";

/// The options of a start.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Options {
    /// `--port`: on 127.0.0.1; 0 takes any free one.
    pub(crate) port: u16,
    /// `--store`: the folder of the data.
    pub(crate) store: PathBuf,
    /// `--ui`: the folder of the built screens.
    pub(crate) ui: PathBuf,
    /// `--crew`: meets the other devices of the crew on the network.
    pub(crate) crew: bool,
}

impl Options {
    /// Reads the words after the program's name.
    ///
    /// # Errors
    /// Says what is wrong, and how it is used.
    pub(crate) fn read(mut words: impl Iterator<Item = String>) -> Result<Self, String> {
        let mut options = Self {
            port: 4577,
            store: PathBuf::from("target/bridge-store"),
            ui: PathBuf::from("ui/dist-bridge"),
            crew: false,
        };
        while let Some(word) = words.next() {
            let mut value = || words.next().ok_or_else(|| format!("{word} needs a value.\n{USAGE}"));
            match word.as_str() {
                "--port" => {
                    let text = value()?;
                    options.port = text.parse().map_err(|_| format!("{text} is no port.\n{USAGE}"))?;
                }
                "--store" => options.store = value()?.into(),
                "--crew" => options.crew = true,
                "--ui" => options.ui = value()?.into(),
                _ => return Err(format!("{word} is no option.\n{USAGE}")),
            }
        }
        Ok(options)
    }
}

#[cfg(test)]
mod tests {
    use super::Options;

    #[test]
    fn options_are_read_and_mistakes_named() {
        let read = |words: &[&str]| Options::read(words.iter().map(|word| (*word).to_owned()));
        assert_eq!(
            read(&["--port", "0", "--store", "/tmp/x"]).map(|o| (o.port, o.store)),
            Ok((0, "/tmp/x".into()))
        );
        assert!(read(&["--port"]).is_err_and(|words| words.starts_with("--port needs a value")));
        assert!(read(&["--port", "http"]).is_err_and(|words| words.starts_with("http is no port")));
        assert!(read(&["--host", "0.0.0.0"]).is_err_and(|words| words.starts_with("--host is no option")));
    }
}
