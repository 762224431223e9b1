//! Commands on a store: the keeper, joining a crew, coming level, looking over, backing up.

use crate::crew;
use crate::reach::Reach;
use crate::{Failure, complain, print, print_json};
use drylay_app::system::WithLockbox;
use drylay_app::{Problem, Session, restore};
use drylay_lockbox::Keyring;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The commands.
#[derive(clap::Subcommand)]
pub(crate) enum Command {
    /// Be a device of the crew that is always on, until it is ended
    Keep(crew::Keep),
    /// Invite another device into the crew, which is founded if there is none, and ask whether to let it in
    Invite(crew::Invite),
    /// Join a crew by an invitation that another device shows: its code of eight digits, or its text
    Join(crew::Join),
    /// Come level with the devices that are near, and end
    Sync(crew::Sync),
    /// Say who belongs to the crew
    Crew(At),
    /// Remove a device from the crew; what it holds stays with it
    Remove(crew::Remove),
    /// List the jobs
    Jobs(Jobs),
    /// Read everything once and say what is intact; exit 1 if something is not
    CheckStore(At),
    /// Write the whole store into one file
    Backup(Backup),
    /// Make a new store from a backup
    Restore(Restore),
}

/// Where the store is.
#[derive(clap::Args, Clone)]
pub(crate) struct At {
    /// The folder of the store; made if it is not there
    #[arg(long, value_name = "DIR")]
    pub(crate) store: PathBuf,
}

#[derive(clap::Args)]
pub(crate) struct Jobs {
    #[command(flatten)]
    at: At,
    /// As JSON
    #[arg(long)]
    json: bool,
}

#[derive(clap::Args)]
pub(crate) struct Backup {
    #[command(flatten)]
    at: At,
    /// The file
    file: PathBuf,
}

#[derive(clap::Args)]
pub(crate) struct Restore {
    /// The folder of the new store
    #[arg(long, value_name = "DIR")]
    store: PathBuf,
    /// The backup
    file: PathBuf,
}

/// Does one of them.
pub(crate) fn run(command: Command) -> Result<(), Failure> {
    match command {
        Command::Keep(ask) => crew::keep(&ask),
        Command::Invite(ask) => crew::invite(&ask),
        Command::Join(ask) => crew::join(&ask),
        Command::Sync(ask) => crew::sync(&ask),
        Command::Crew(at) => print(&crew::told(&at.reach()?.call("crew.view", json!({}))?)),
        Command::Remove(ask) => crew::remove(&ask),
        Command::Jobs(ask) => jobs(&ask),
        Command::CheckStore(at) => check(&at),
        Command::Backup(ask) => {
            let file = std::path::absolute(&ask.file).map_err(|error| cannot(&ask.file, &error))?;
            ask.at.reach()?.call("store.backup", json!({ "path": file }))?;
            complain(&format!("Wrote {}.", file.display()));
            Ok(())
        }
        Command::Restore(ask) => {
            restore(&ask.file, &ask.store)?;
            complain(&format!("Made {}. It is a new device: let it join the crew.", ask.store.display()));
            Ok(())
        }
    }
}

fn cannot(path: &Path, error: &std::io::Error) -> Failure {
    Failure::Other(format!("{} cannot be used: {error}.", path.display()))
}

impl At {
    /// Opens the store.
    pub(crate) fn open(&self) -> Result<Session, Failure> {
        self.opened().map_err(|problem| self.not_opened(problem))
    }

    /// Opens the store, or reaches the keeper that has it open.
    pub(crate) fn reach(&self) -> Result<Reach, Failure> {
        match self.opened() {
            Ok(session) => Ok(Reach::Here(session)),
            Err(problem) if problem.code == IN_USE => {
                Reach::keeper(&self.store).ok_or_else(|| self.not_opened(problem))
            }
            Err(problem) => Err(problem.into()),
        }
    }

    fn opened(&self) -> Result<Session, Problem> {
        Session::open(&self.store, Arc::new(WithLockbox(Keyring::that_only_gives())))
    }

    fn not_opened(&self, problem: Problem) -> Failure {
        match problem.code.as_str() {
            IN_USE => Failure::Other(format!(
                "{} is in use by another program that cannot be asked: the app, or a keeper. End that first \
                 (`systemctl stop drylay`), then try again.",
                self.store.display()
            )),
            _ => problem.into(),
        }
    }
}

/// What a store says that another program has open.
const IN_USE: &str = "store.in_use";

fn jobs(ask: &Jobs) -> Result<(), Failure> {
    let list = ask.at.reach()?.call("jobs.list", json!({}))?;
    if ask.json {
        return print_json(&list["jobs"]);
    }
    let jobs = list["jobs"].as_array().cloned().unwrap_or_default();
    let lines = jobs.iter().map(|job| {
        let text = |key: &str| job[key].as_str().unwrap_or_default();
        let changed = &job["changed"];
        let by = [&changed["at"], &changed["by"]].map(|it| it.as_str().unwrap_or_default());
        format!("{}  {}  {}  {} {}\n", text("id"), text("name"), text("area_text"), by[0], by[1])
    });
    print(&lines.collect::<String>())
}

fn check(at: &At) -> Result<(), Failure> {
    let found = at.reach()?.call("store.check", json!({}))?;
    let lines = found["lines"].as_array().cloned().unwrap_or_default();
    let text: String = lines.iter().filter_map(Value::as_str).map(|line| format!("{line}\n")).collect();
    print(&text)?;
    if found["clean"] == json!(true) {
        Ok(())
    } else {
        Err(Failure::Other("The store is damaged: see above.".to_owned()))
    }
}
