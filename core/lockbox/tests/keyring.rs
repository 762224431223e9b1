//! A keyring as desktops have it (gnome-keyring, one of those that serve the Secret Service), on a bus and in a home of its
//! own. `cargo xtask setup` installs it.
#![cfg(target_os = "linux")]

use drylay_app::Lockbox;
use drylay_lockbox::Keyring;
use std::path::PathBuf;
use std::process::{Command, Output};

const SECRET: [u8; 32] = [0xa7; 32];

/// A home that goes when the test is over.
struct Home(PathBuf);

impl Home {
    fn new(name: &str) -> Self {
        let home = std::env::temp_dir().join(format!("drylay-keyring-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&home);
        std::fs::create_dir_all(&home).expect("a folder");
        Self(home)
    }

    /// Runs one of the tests below that are ignored otherwise, on a bus of its own, after `before`.
    fn run(&self, before: &str, test: &str) -> Output {
        let me = std::env::current_exe().expect("the test's own program");
        let line = format!("{before}\nexec \"$0\" --ignored --exact --nocapture {test}");
        let mut call = Command::new("dbus-run-session");
        call.args(["--", "sh", "-c", &line]).arg(me).env("HOME", &self.0).env("XDG_RUNTIME_DIR", &self.0);
        call.env_remove("XDG_DATA_HOME").env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY");
        call.output().expect("dbus-run-session, which `cargo xtask setup` installs")
    }

    fn passes(&self, before: &str, test: &str) {
        let done = self.run(before, test);
        let said =
            String::from_utf8_lossy(&done.stdout).into_owned() + &String::from_utf8_lossy(&done.stderr);
        assert!(done.status.success() && said.contains("1 passed"), "{said}");
    }
}

impl Drop for Home {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// Opens the keyring with the password of a session.
const OPEN: &str = "printf secret | gnome-keyring-daemon --unlock --components=secrets >/dev/null || exit 9";
/// Starts it as it is, shut.
const SHUT: &str = "gnome-keyring-daemon --start --components=secrets >/dev/null || exit 9";

#[test]
fn a_secret_outlives_the_session_and_stays_within_a_keyring_that_is_shut() {
    let home = Home::new("kept");
    home.passes(OPEN, "inside_an_open_keyring");
    home.passes(OPEN, "inside_the_next_session");
    home.passes(SHUT, "inside_a_shut_keyring");
}

#[test]
fn without_a_keyring_nothing_is_taken() {
    Home::new("none").passes("", "inside_a_session_without_one");
}

/// A bus that takes the call and never says a word must not keep a program from starting.
#[test]
fn a_bus_that_never_answers_is_not_waited_for() {
    let home = Home::new("mute");
    let socket = home.0.join("bus");
    let _mute = std::os::unix::net::UnixListener::bind(&socket).expect("a socket");
    let mut call = Command::new(std::env::current_exe().expect("the test's own program"));
    call.args(["--ignored", "--exact", "--nocapture", "inside_a_session_with_a_mute_bus"]);
    let done = call.env("DBUS_SESSION_BUS_ADDRESS", format!("unix:path={}", socket.display())).output();
    let said = done.map(|done| String::from_utf8_lossy(&done.stdout).into_owned()).expect("it runs");
    assert!(said.contains("1 passed"), "{said}");
}

#[test]
#[ignore = "run by the test above, on a bus that is mute"]
fn inside_a_session_with_a_mute_bus() {
    let why = Keyring::default().put(&SECRET).expect_err("nobody answers");
    // A person would have been waited for much longer.
    let limit = drylay_lockbox::PROMPTNESS.as_secs();
    assert!(why.contains(&format!("did not answer within {limit} seconds")), "{why}");
}

fn kept_word() -> PathBuf {
    PathBuf::from(std::env::var_os("HOME").expect("a home")).join("word")
}

#[test]
#[ignore = "run by the tests above, on a bus of its own"]
fn inside_an_open_keyring() {
    let word = Keyring::default().put(&SECRET).expect("it takes it").expect("a word");
    let other = Keyring::default().put(&[1; 32]).expect("it takes another").expect("a word");
    assert_ne!(word, other);
    assert_eq!(Keyring::default().take(&word), Ok(SECRET));
    assert_eq!(Keyring::default().take(&other), Ok([1; 32]));
    assert_eq!(Keyring::that_only_gives().put(&SECRET), Ok(None));
    let unknown = Keyring::default().take("0123").expect_err("nobody put that there");
    assert!(unknown.contains("does not hold"), "{unknown}");
    std::fs::write(kept_word(), word).expect("a file");
}

#[test]
#[ignore = "run by the tests above, on a bus of its own"]
fn inside_the_next_session() {
    let word = std::fs::read_to_string(kept_word()).expect("the first session's word");
    assert_eq!(Keyring::that_only_gives().take(&word), Ok(SECRET));
}

/// Nobody can be asked for a password here, so it stays shut.
#[test]
#[ignore = "run by the tests above, on a bus of its own"]
fn inside_a_shut_keyring() {
    let word = std::fs::read_to_string(kept_word()).expect("the first session's word");
    let refused = Keyring::default().take(&word).expect_err("it is shut");
    assert!(!refused.is_empty());
    assert_eq!(Keyring::default().put(&SECRET), Ok(None), "and a new key goes into the file");
}

#[test]
#[ignore = "run by the tests above, on a bus of its own"]
fn inside_a_session_without_one() {
    assert_eq!(Keyring::default().put(&SECRET), Ok(None));
    assert!(Keyring::default().take("0123").is_err());
}
