//! What came from outside: files that somebody opened with the app, pictures that another app sent, invitations, and what
//! could not be taken in. It waits here until the screens fetch it, so that nothing is lost that comes before they are there.

use drylay_app::Problem;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use tauri::{AppHandle, Emitter, Manager, Runtime, State, Url};

/// The event that tells the screens to fetch.
const EVENT: &str = "drylay-arrived";
/// The scheme of invitations; the tidy check holds it against the core's.
const SCHEME: &str = "drylay";
/// The most that wait.
const MOST: usize = 100;

/// Something that came.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Arrival {
    /// A file to be taken in.
    File(PathBuf),
    /// A picture, to be put where somebody says.
    #[cfg_attr(
        not(target_os = "android"),
        allow(dead_code, reason = "elsewhere pictures are chosen where they belong")
    )]
    Picture(PathBuf),
    /// An invitation, as a link.
    Link(String),
    /// Something that could not be taken in, and why.
    Lost(String),
}

impl Arrival {
    /// Reads a word of a command line or of another copy of the program: a link, an address of a file, or a path, which
    /// is taken from `here`. `None` if there is nothing of the kind.
    pub(crate) fn read(word: &str, here: &Path) -> Option<Self> {
        if word.split_once(':').is_some_and(|(scheme, _)| scheme.eq_ignore_ascii_case(SCHEME)) {
            return Some(Self::Link(word.to_owned()));
        }
        let path = match Url::parse(word) {
            Ok(address) if address.scheme() == "file" => address.to_file_path().ok()?,
            _ => here.join(word),
        };
        path.is_file().then_some(Self::File(path))
    }

    fn told(&self) -> Value {
        match self {
            Self::File(path) => json!({ "kind": "file", "text": path.to_string_lossy() }),
            Self::Picture(path) => json!({ "kind": "picture", "text": path.to_string_lossy() }),
            Self::Link(text) => json!({ "kind": "link", "text": text }),
            Self::Lost(why) => json!({ "kind": "lost", "text": why }),
        }
    }
}

/// What waits for the screens.
#[derive(Debug, Default)]
pub(crate) struct Arrivals(Mutex<Vec<Arrival>>);

impl Arrivals {
    /// What waits at the start.
    pub(crate) fn new(found: Vec<Arrival>) -> Self {
        Self(Mutex::new(found))
    }

    fn put(&self, arrival: Arrival) {
        let mut waiting = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if waiting.contains(&arrival) {
            return;
        }
        match waiting.len() {
            ..MOST => waiting.push(arrival),
            // Said once, in the place after the last.
            MOST => {
                waiting.push(Arrival::Lost(Problem::new("arrived.too_many", "").with("most", MOST).message))
            }
            _ => {}
        }
    }

    fn take(&self) -> Vec<Arrival> {
        std::mem::take(&mut *self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

/// Keeps what came, and tells the screens, if they are there.
pub(crate) fn hand_on<R: Runtime>(app: &AppHandle<R>, arrival: Arrival) {
    app.state::<Arrivals>().put(arrival);
    // Without a window there is nobody to tell; it fetches when it opens.
    let _ = app.emit(EVENT, ());
}

/// The command by which the screens fetch what came; each of it is given out once.
#[tauri::command]
pub(crate) fn arrived(arrivals: State<'_, Arrivals>) -> Vec<Value> {
    arrivals.take().iter().map(Arrival::told).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn links_addresses_and_paths_are_told_apart() {
        let folder = std::env::temp_dir().join(format!("drylay arrivals {}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let file = folder.join("a job.json");
        std::fs::write(&file, "{}").unwrap();
        let read = |word: &str| Arrival::read(word, &folder);
        assert_eq!(read("drylay:DRYLAY1ABC"), Some(Arrival::Link("drylay:DRYLAY1ABC".into())));
        assert_eq!(read("DRYLAY:x"), Some(Arrival::Link("DRYLAY:x".into())));
        assert_eq!(read("a job.json"), Some(Arrival::File(file.clone())));
        let address = Url::from_file_path(&file).unwrap().to_string();
        assert!(address.contains("%20"));
        assert_eq!(read(&address), Some(Arrival::File(file)));
        for nothing in ["--phone", "https://example.org/job.json", "file:///no/such/file", "other.json", "."]
        {
            assert_eq!(read(nothing), None, "{nothing}");
        }
        std::fs::remove_dir_all(folder).unwrap();
    }

    /// Words put together by chance from what such words are made of, beside a file that is there.
    #[test]
    fn whatever_word_comes_is_a_link_a_file_that_is_there_or_nothing() {
        const PARTS: &str = "drylay|DryLay|:|file|://|//|/|\\|..|.|a job.json|a%20job.json|%00|\0|%|%zz|#|?x=|localhost|\
            [::1|@| |\u{202e}ü|--phone";
        let known: Vec<&str> = PARTS.split('|').collect();
        let folder = std::env::temp_dir().join(format!("drylay words {}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let file = folder.join("a job.json");
        std::fs::write(&file, "{}").unwrap();
        let (mut chance, mut links, mut files) = (fastrand::Rng::with_seed(5), 0, 0);
        let whole = Url::from_directory_path(&folder).unwrap().to_string();
        for _ in 0..20_000 {
            let start = if chance.u8(..8) == 0 { whole.as_str() } else { "" };
            let parts = (0..chance.usize(1..6)).map(|_| known[chance.usize(..known.len())]);
            let word: String = std::iter::once(start).chain(parts).collect();
            match Arrival::read(&word, &folder) {
                Some(Arrival::Link(text)) => {
                    assert!(text == word && text[..7].eq_ignore_ascii_case("drylay:"), "{word:?}");
                    links += 1;
                }
                Some(Arrival::File(path)) => {
                    assert_eq!(path.canonicalize().unwrap(), file.canonicalize().unwrap(), "{word:?}");
                    files += 1;
                }
                Some(other) => panic!("{word:?} is read as {other:?}"),
                None => {}
            }
        }
        assert!(links > 100 && files > 100, "{links} links and {files} files");
        std::fs::remove_dir_all(folder).unwrap();
    }

    #[test]
    fn what_came_is_given_out_once_and_not_twice() {
        let arrivals = Arrivals::new(vec![Arrival::Link("drylay:a".into())]);
        arrivals.put(Arrival::Link("drylay:a".into()));
        arrivals.put(Arrival::Picture("/tmp/a.jpg".into()));
        arrivals.put(Arrival::Lost("too large".into()));
        let told: Vec<Value> = arrivals.take().iter().map(Arrival::told).collect();
        assert_eq!(
            told,
            [
                json!({ "kind": "link", "text": "drylay:a" }),
                json!({ "kind": "picture", "text": "/tmp/a.jpg" }),
                json!({ "kind": "lost", "text": "too large" })
            ]
        );
        assert!(arrivals.take().is_empty());
    }

    #[test]
    fn what_cannot_wait_is_not_left_out_in_silence() {
        let arrivals = Arrivals::default();
        for n in 0..MOST + 7 {
            arrivals.put(Arrival::Picture(format!("/tmp/{n}.jpg").into()));
        }
        let taken = arrivals.take();
        assert_eq!(taken.len(), MOST + 1);
        assert_eq!(taken[MOST - 1], Arrival::Picture(format!("/tmp/{}.jpg", MOST - 1).into()));
        let Some(Arrival::Lost(why)) = taken.last() else { panic!("{:?}", taken.last()) };
        assert!(why.contains("100"), "{why}");
    }
}
