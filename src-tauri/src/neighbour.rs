//! Another copy of the program that already runs on this store: what this one was started with is handed to it, by a
//! socket in the data folder, and it comes to the front. One whose window is closed takes nothing more. Only where the
//! system has sockets in folders; elsewhere the second copy says that the store is in use.

use crate::arrivals::{self, Arrival};
use std::io::{BufRead, BufReader, Write};
use std::os::unix::net::{UnixListener, UnixStream};
use std::path::{Path, PathBuf};
use std::time::Duration;
use tauri::{AppHandle, Manager, Runtime};

/// How long a copy that hangs is waited for.
const PATIENCE: Duration = Duration::from_secs(2);
/// How long nobody is listened to after one could not be let in.
const PAUSE: Duration = Duration::from_millis(100);
/// The most that is read of one message, in bytes.
const MOST: u64 = 1 << 20;

fn place(data: &Path) -> PathBuf {
    data.join("window.socket")
}

/// Hands words to the copy that runs; says whether there is one and it has taken them.
pub(crate) fn tell(data: &Path, words: &[String]) -> bool {
    let told = UnixStream::connect(place(data)).and_then(|mut stream| {
        stream.set_write_timeout(Some(PATIENCE))?;
        stream.set_read_timeout(Some(PATIENCE))?;
        stream.write_all(words.join("\n").as_bytes())?;
        stream.shutdown(std::net::Shutdown::Write)?;
        let mut answer = String::new();
        BufReader::new(stream).read_line(&mut answer)?;
        Ok(answer)
    });
    told.is_ok_and(|answer| answer == TAKEN)
}

/// What is answered to words that were taken.
const TAKEN: &str = "taken\n";

/// Listens for other copies, for as long as the app runs. A folder that takes no socket is no reason not to start.
pub(crate) fn listen<R: Runtime>(app: &AppHandle<R>, data: &Path) {
    let app = app.clone();
    let data = data.to_path_buf();
    let Some(listener) = bind(&data) else { return };
    std::thread::spawn(move || {
        for stream in listener.incoming() {
            let Ok(stream) = stream else {
                // A system that is out of something gets time to find it again.
                std::thread::sleep(PAUSE);
                continue;
            };
            // Without a window this copy is about to end: the other one is not answered, and opens the store after it.
            let Some(window) = app.get_webview_window("main") else { continue };
            for arrival in hear(stream, &data) {
                arrivals::hand_on(&app, arrival);
            }
            // It has nothing to lose by staying where it is.
            let _ = window.unminimize();
            let _ = window.set_focus();
        }
    });
}

/// Takes the place over from a copy that has ended without tidying up.
fn bind(data: &Path) -> Option<UnixListener> {
    let place = place(data);
    if UnixStream::connect(&place).is_err() {
        let _ = std::fs::remove_file(&place);
    }
    UnixListener::bind(place).ok()
}

fn hear(stream: UnixStream, here: &Path) -> Vec<Arrival> {
    let heard = stream.set_read_timeout(Some(PATIENCE)).and_then(|()| stream.try_clone());
    let Ok(copy) = heard else { return vec![] };
    let lines = BufReader::new(std::io::Read::take(copy, MOST)).lines().map_while(Result::ok);
    let found = lines.filter_map(|word| Arrival::read(&word, here)).collect();
    let mut stream = stream;
    // Whoever does not wait for the answer loses nothing by it.
    let _ = stream.write_all(TAKEN.as_bytes());
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_reach_the_copy_that_runs_and_nobody_else() {
        let data = std::env::temp_dir().join(format!("drylay-neighbour-{}", std::process::id()));
        std::fs::create_dir_all(&data).unwrap();
        let file = data.join("job.json");
        std::fs::write(&file, "{}").unwrap();
        let words = [file.to_string_lossy().into_owned(), "drylay:X".to_owned(), "no such file".to_owned()];
        assert!(!tell(&data, &words), "nobody listens yet");
        let listener = bind(&data).expect("a socket");
        let here = data.clone();
        let ear = std::thread::spawn(move || hear(listener.accept().unwrap().0, &here));
        assert!(tell(&data, &words));
        assert_eq!(ear.join().unwrap(), [Arrival::File(file), Arrival::Link("drylay:X".into())]);
        assert!(!tell(&data, &words), "it listens no more");
        let listener = bind(&data).expect("the place again");
        let here = data.clone();
        let ear = std::thread::spawn(move || hear(listener.accept().unwrap().0, &here));
        assert!(tell(&data, &[]), "a second start without a file is answered too");
        assert_eq!(ear.join().unwrap(), []);
        assert!(bind(&data).is_some(), "a place that was left is taken over");
        std::fs::remove_dir_all(data).unwrap();
    }
}
