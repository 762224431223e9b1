//! The device as one of a crew: the keeper, inviting, joining, coming level, removing.

use crate::reach::{Open, Reach, answer};
use crate::store::At;
use crate::{Failure, complain, print};
use drylay_app::Session;
use drylay_app::wire::Event;
use drylay_transport::{Network, Options, PORT};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::io::{BufRead, IsTerminal};
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

/// How it meets the others.
#[derive(clap::Args)]
pub(crate) struct Net {
    /// The UDP port; another one is taken where it is not free
    #[arg(long, default_value_t = PORT)]
    port: u16,
    /// Neither announce this device on the network nor listen for others
    #[arg(long)]
    silent: bool,
}

#[derive(clap::Args)]
pub(crate) struct Keep {
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    net: Net,
    /// Take commands as lines of JSON on standard input, {"call": NAME, "args": {…}}, and answer each with a line
    /// {"answer": …} or {"problem": …}; what happens is told in lines {"event": …}. Ends with the input
    #[arg(long)]
    lines: bool,
}

#[derive(clap::Args)]
pub(crate) struct Invite {
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    net: Net,
    /// Let the device remove others; only the founder may give that
    #[arg(long)]
    may_remove: bool,
    /// Let in whoever knows the code, without asking
    #[arg(long)]
    yes: bool,
}

#[derive(clap::Args)]
pub(crate) struct Join {
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    net: Net,
    /// The code, or the text of the picture
    #[arg(required = true)]
    invitation: Vec<String>,
    /// What this device is called from now on
    #[arg(long)]
    name: Option<String>,
}

#[derive(clap::Args)]
pub(crate) struct Sync {
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    net: Net,
    /// How many seconds to go on at most
    #[arg(long, default_value_t = 60)]
    patience: u64,
}

#[derive(clap::Args)]
pub(crate) struct Remove {
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    net: Net,
    /// Its name, or the first digits of its key
    device: String,
}

/// How often it is looked how things stand where no event told of it.
const LOOK: Duration = Duration::from_millis(500);
/// How long a device that was just let in or removed is given to hear of it.
const FAREWELL: Duration = Duration::from_secs(3);

/// A session with its network.
struct Own {
    session: Session,
    events: Receiver<Event>,
    // Ends before the session does.
    network: Network,
}

impl Own {
    fn begin(session: Session, net: &Net) -> Result<Self, Failure> {
        let events = session.subscribe();
        let options = Options { port: net.port, announce: !net.silent };
        let network = Network::start(session.engine()?, options)
            .map_err(|error| Failure::Other(format!("{error}. Is there a network?")))?;
        Ok(Self { session, events, network })
    }

    /// Waits until something happens, or a moment; trouble is told at once.
    fn wait(&self) {
        match self.events.recv_timeout(LOOK) {
            Ok(Event::Trouble { words }) => complain(&words),
            Ok(_) | Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => {}
        }
    }
}

/// A device with its network: this program's own, or that of the keeper that has the store open.
enum Aboard {
    Own(Own),
    Keeper(Reach),
}

impl Aboard {
    fn open(at: &At, net: &Net) -> Result<Self, Failure> {
        match at.reach()? {
            Reach::Here(session) => Ok(Self::Own(Own::begin(session, net)?)),
            #[cfg(unix)]
            keeper @ Reach::Keeper(_) => Ok(Self::Keeper(keeper)),
        }
    }

    fn call(&self, name: &str, args: Value) -> Result<Value, Failure> {
        match self {
            Self::Own(own) => Ok(own.session.call(name, args)?),
            Self::Keeper(reach) => reach.call(name, args),
        }
    }

    fn crew(&self) -> Result<Value, Failure> {
        self.call("crew.view", json!({}))
    }

    fn wait(&self) {
        match self {
            Self::Own(own) => own.wait(),
            // Trouble is told where the keeper runs.
            Self::Keeper(_) => std::thread::sleep(LOOK),
        }
    }

    /// Looks again and again until there is something, or time is over.
    fn until<T>(
        &self,
        patience: Duration,
        mut look: impl FnMut(&Value) -> Result<Option<T>, Failure>,
    ) -> Result<Option<T>, Failure> {
        let begun = Instant::now();
        while begun.elapsed() < patience {
            if let Some(found) = look(&self.crew()?)? {
                return Ok(Some(found));
            }
            self.wait();
        }
        Ok(None)
    }
}

/// The keeper.
pub(crate) fn keep(ask: &Keep) -> Result<(), Failure> {
    let own = Own::begin(ask.at.open()?, &ask.net)?;
    let _open = Open::begin(&own.session, &ask.at.store);
    if ask.lines {
        return lines(&own);
    }
    complain(&format!("Keeping {} at {:?}.", ask.at.store.display(), own.network.addresses()));
    let mut shown = String::new();
    loop {
        let told = told(&own.session.call("crew.view", json!({}))?);
        if told != shown {
            print(&told)?;
            shown = told;
        }
        own.wait();
    }
}

/// Commands come as lines on standard input; answers and events go out as lines.
fn lines(own: &Own) -> Result<(), Failure> {
    let events = own.session.subscribe();
    std::thread::spawn(move || {
        for event in events {
            if print(&format!("{}\n", json!({ "event": event }))).is_err() {
                return;
            }
        }
    });
    print(&format!("{}\n", json!({ "ready": own.network.addresses() })))?;
    for line in std::io::stdin().lock().lines() {
        let line = line.map_err(|error| Failure::Other(format!("The input cannot be read: {error}.")))?;
        print(&format!("{}\n", answer(&own.session, &line)))?;
    }
    Ok(())
}

/// Invites one device, asks, and waits until it is level.
pub(crate) fn invite(ask: &Invite) -> Result<(), Failure> {
    let aboard = Aboard::open(&ask.at, &ask.net)?;
    let crew = aboard.call("crew.invite", json!({ "may_remove": ask.may_remove }))?;
    let invitation = &crew["invitation"];
    let text = |key: &str| invitation[key].as_str().unwrap_or_default().to_owned();
    print(&format!("{}Code: {}\n{}\n", blocks(&invitation["picture"]), text("code"), text("text")))?;
    complain("On the other device: `drylay join CODE --store DIR`, or Join on its crew screen.");
    let asks = aboard.until(Duration::from_secs(125), |crew| match (&crew["asks"], &crew["invitation"]) {
        (Value::Null, Value::Null) => Err(Failure::Other("Nobody came: the invitation is closed.".into())),
        (Value::Null, _) => Ok(None),
        (asks, _) => Ok(Some(asks.clone())),
    })?;
    let Some(asks) = asks else { return Err(Failure::Other("Nobody came.".into())) };
    let (name, key) = (asks["name"].as_str().unwrap_or_default(), asks["key"].as_str().unwrap_or_default());
    let yes = ask.yes || person_says_yes(&format!("{name} (key {key}…) asks to join. Let it in? [y/N] "));
    aboard.call("crew.answer", json!({ "yes": yes }))?;
    if !yes {
        return Err(Failure::Other(format!("{name} was not let in.")));
    }
    complain(&format!("{name} belongs to the crew now."));
    come_level(&aboard, Duration::from_secs(60))?;
    Ok(())
}

fn person_says_yes(question: &str) -> bool {
    if !std::io::stdin().is_terminal() {
        complain("Nobody is here to ask: use --yes to let in whoever knows the code.");
        return false;
    }
    complain(question);
    let mut said = String::new();
    std::io::stdin().read_line(&mut said).is_ok() && said.trim().eq_ignore_ascii_case("y")
}

/// A QR code for a terminal: two modules for each character, with the quiet zone around it.
fn blocks(picture: &Value) -> String {
    let rows: Vec<&str> =
        picture["rows"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
    let size = rows.len();
    let dark = |x: usize, y: usize| {
        let inside = (4..size + 4).contains(&x) && (4..size + 4).contains(&y);
        inside && rows[y - 4].as_bytes().get(x - 4) == Some(&b'#')
    };
    let mut out = String::new();
    for y in (0..size + 8).step_by(2) {
        for x in 0..size + 8 {
            out.push(match (dark(x, y), dark(x, y + 1)) {
                (true, true) => ' ',
                (true, false) => '▄',
                (false, true) => '▀',
                (false, false) => '█',
            });
        }
        out.push('\n');
    }
    out
}

/// Joins, and comes level.
pub(crate) fn join(ask: &Join) -> Result<(), Failure> {
    let aboard = Aboard::open(&ask.at, &ask.net)?;
    if let Some(name) = &ask.name {
        aboard.call("device.rename", json!({ "name": name }))?;
    }
    let crew = aboard.call("crew.join", json!({ "text": ask.invitation.concat() }))?;
    complain(&format!(
        "Looking for the device that invites. It will ask about {} (key {}…).",
        crew["name"].as_str().unwrap_or_default(),
        crew["key"].as_str().unwrap_or_default()
    ));
    let joined = aboard.until(Duration::from_secs(125), |crew| {
        if crew["member"] == json!(true) {
            return Ok(Some(()));
        }
        match crew["not_joined"].as_str() {
            Some(words) => Err(Failure::Other(words.to_owned())),
            None => Ok(None),
        }
    })?;
    if joined.is_none() {
        return Err(Failure::Other("Nobody let this device in.".to_owned()));
    }
    complain("This device belongs to the crew now.");
    if !come_level(&aboard, Duration::from_secs(600))? {
        complain("Not everything is here yet: `drylay sync` or `drylay keep` goes on.");
    }
    Ok(())
}

/// Comes level with whoever is near.
pub(crate) fn sync(ask: &Sync) -> Result<(), Failure> {
    let aboard = Aboard::open(&ask.at, &ask.net)?;
    if aboard.crew()?["member"] != json!(true) {
        let crew = aboard.crew()?;
        return Err(Failure::Other(crew["words"].as_str().unwrap_or_default().to_owned()));
    }
    let level = come_level(&aboard, Duration::from_secs(ask.patience))?;
    print(&told(&aboard.crew()?))?;
    if level { Ok(()) } else { Err(Failure::Other("Not level with anybody yet.".to_owned())) }
}

/// Waits until somebody is here and everybody who is here says that it holds the same; whether that came.
fn come_level(aboard: &Aboard, patience: Duration) -> Result<bool, Failure> {
    aboard.call("crew.agree", json!({}))?;
    let found = aboard.until(patience, |crew| {
        let devices = crew["devices"].as_array().cloned().unwrap_or_default();
        let here: Vec<&Value> = devices.iter().filter(|it| it["connected"] == json!(true)).collect();
        let level = here.iter().all(|device| device["agreed"] == json!(true));
        Ok((!here.is_empty() && level).then_some(()))
    })?;
    Ok(found.is_some())
}

/// Removes a device, and tells those who are near.
pub(crate) fn remove(ask: &Remove) -> Result<(), Failure> {
    let aboard = Aboard::open(&ask.at, &ask.net)?;
    let crew = aboard.crew()?;
    let devices = crew["devices"].as_array().cloned().unwrap_or_default();
    let text = |device: &Value, key: &str| device[key].as_str().unwrap_or_default().to_owned();
    let named = devices.iter().filter(|it| {
        text(it, "name") == ask.device || text(it, "id").starts_with(&ask.device.to_lowercase())
    });
    let named: Vec<&Value> = named.collect();
    let [device] = named[..] else {
        return Err(Failure::Other(format!(
            "{} devices of the crew are called {}; give the first digits of its key.\n{}",
            named.len(),
            ask.device,
            told(&crew)
        )));
    };
    aboard.call("crew.remove", json!({ "device": device["id"] }))?;
    let begun = Instant::now();
    while begun.elapsed() < FAREWELL {
        aboard.wait();
    }
    complain(&format!(
        "{} no longer belongs to the crew. It gets nothing more from any device that has heard of this; what it \
         holds it keeps.",
        text(device, "name")
    ));
    Ok(())
}

/// The crew in words.
pub(crate) fn told(crew: &Value) -> String {
    let text = |value: &Value, key: &str| value[key].as_str().unwrap_or_default().to_owned();
    let mut out = format!("{} (key {}…): {}\n", text(crew, "name"), text(crew, "key"), text(crew, "words"));
    for device in crew["devices"].as_array().into_iter().flatten() {
        let key: String = text(device, "id").chars().take(8).collect();
        let _ = writeln!(out, "  {} (key {key}…): {}", text(device, "name"), text(device, "words"));
    }
    out
}
