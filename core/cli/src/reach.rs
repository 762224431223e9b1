//! How a command reaches a store: by opening it, or through the keeper that has it open.
//!
//! A keeper listens on a Unix socket in a folder of its store that only its user can enter. Over it go the same lines
//! as on its standard input: `{"call": NAME, "args": {…}}` there, `{"answer": …}` or `{"problem": …}` back. Whoever
//! can open the socket could open the store's files as well, so it lets in nobody whom the files would not.

use crate::{Failure, complain};
use drylay_app::{Problem, Session};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// A store that is open here, or open at a keeper.
pub(crate) enum Reach {
    /// In this program.
    Here(Session),
    /// In the keeper's.
    #[cfg(unix)]
    Keeper(std::cell::RefCell<unix::Wire>),
}

impl Reach {
    /// Does a command of the table.
    pub(crate) fn call(&self, name: &str, args: Value) -> Result<Value, Failure> {
        match self {
            Self::Here(session) => Ok(session.call(name, args)?),
            #[cfg(unix)]
            Self::Keeper(wire) => wire.borrow_mut().call(name, &args),
        }
    }

    /// The keeper of a store, if one answers.
    #[cfg(unix)]
    pub(crate) fn keeper(store: &Path) -> Option<Self> {
        unix::Wire::open(store).map(|wire| Self::Keeper(wire.into()))
    }

    /// The keeper of a store; none is to be reached on this system.
    #[cfg(not(unix))]
    pub(crate) fn keeper(_store: &Path) -> Option<Self> {
        None
    }
}

/// Does what a line asks, and answers with what goes back as a line.
pub(crate) fn answer(session: &Session, line: &str) -> Value {
    let asked: Value = match serde_json::from_str(line) {
        Ok(asked) => asked,
        Err(error) => return json!({ "problem": { "code": "command.args", "message": error.to_string() } }),
    };
    let args = match &asked["args"] {
        Value::Null => json!({}),
        args => args.clone(),
    };
    match session.call(asked["call"].as_str().unwrap_or_default(), args) {
        Ok(answer) => json!({ "answer": answer }),
        Err(problem) => json!({ "problem": problem }),
    }
}

/// A keeper's socket, which is gone with it.
pub(crate) struct Open(Option<PathBuf>);

impl Open {
    /// Lets other commands reach the session; where that does not go, says so and does without.
    pub(crate) fn begin(session: &Session, store: &Path) -> Self {
        #[cfg(unix)]
        match unix::listen(session.clone(), store) {
            Ok(path) => return Self(Some(path)),
            Err(error) => complain(&format!("Other commands cannot reach this keeper: {error}.")),
        }
        #[cfg(not(unix))]
        let _ = (session, store, complain);
        Self(None)
    }
}

impl Drop for Open {
    fn drop(&mut self) {
        if let Some(path) = &self.0 {
            let _ = std::fs::remove_file(path);
        }
    }
}

/// What a keeper said was wrong, as its own program would say it.
fn told(problem: Value) -> Failure {
    match serde_json::from_value::<Problem>(problem.clone()) {
        Ok(problem) => problem.into(),
        Err(_) => Failure::Other(problem["message"].as_str().unwrap_or("The keeper refused.").to_owned()),
    }
}

#[cfg(unix)]
mod unix {
    use super::{Failure, Session, Value, answer, json, told};
    use std::fs;
    use std::io::{BufRead, BufReader, Error, ErrorKind, Result, Write};
    use std::os::unix::fs::{DirBuilderExt, PermissionsExt};
    use std::os::unix::net::{UnixListener, UnixStream};
    use std::path::{Path, PathBuf};
    use std::time::Duration;

    /// The folder within the store's.
    const FOLDER: &str = "keeper";
    const SOCKET: &str = "socket";
    /// How long after a refusal it is listened again.
    const AGAIN: Duration = Duration::from_secs(1);

    fn path(store: &Path) -> PathBuf {
        store.join(FOLDER).join(SOCKET)
    }

    /// Listens, on threads of its own. Who calls has the store open alone, so that a socket that is there is left
    /// over from a keeper that was killed.
    pub(super) fn listen(session: Session, store: &Path) -> Result<PathBuf> {
        let (folder, path) = (store.join(FOLDER), path(store));
        match fs::DirBuilder::new().mode(0o700).create(&folder) {
            Err(error) if error.kind() != ErrorKind::AlreadyExists => return Err(error),
            _ => fs::set_permissions(&folder, fs::Permissions::from_mode(0o700))?,
        }
        match fs::remove_file(&path) {
            Err(error) if error.kind() != ErrorKind::NotFound => return Err(error),
            _ => {}
        }
        let listener = UnixListener::bind(&path)?;
        std::thread::Builder::new().name("drylay-lines".to_owned()).spawn(move || {
            loop {
                match listener.accept() {
                    Ok((stream, _)) => {
                        let session = session.clone();
                        std::thread::spawn(move || serve(&session, &stream));
                    }
                    // The system has no room for another: that passes.
                    Err(_) => std::thread::sleep(AGAIN),
                }
            }
        })?;
        Ok(path)
    }

    fn serve(session: &Session, stream: &UnixStream) -> Result<()> {
        for line in BufReader::new(stream).lines() {
            let answer = answer(session, &line?);
            let mut stream = stream;
            stream.write_all(format!("{answer}\n").as_bytes())?;
        }
        Ok(())
    }

    /// A line to a keeper.
    pub(crate) struct Wire(BufReader<UnixStream>);

    impl Wire {
        pub(super) fn open(store: &Path) -> Option<Self> {
            UnixStream::connect(path(store)).ok().map(|stream| Self(BufReader::new(stream)))
        }

        pub(super) fn call(&mut self, name: &str, args: &Value) -> std::result::Result<Value, Failure> {
            let mut said = String::new();
            let asked = format!("{}\n", json!({ "call": name, "args": args }));
            let sent = self.0.get_mut().write_all(asked.as_bytes());
            let heard = sent.and_then(|()| self.0.read_line(&mut said)).and_then(|length| match length {
                0 => Err(Error::from(ErrorKind::UnexpectedEof)),
                _ => Ok(serde_json::from_str::<Value>(&said)?),
            });
            let mut heard =
                heard.map_err(|error| Failure::Other(format!("The keeper does not answer: {error}.")))?;
            match heard.get_mut("answer") {
                Some(answer) => Ok(answer.take()),
                None => Err(told(heard["problem"].take())),
            }
        }
    }
}
