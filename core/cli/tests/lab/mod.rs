//! Networks of their own for processes: namespaces of the kernel, joined by virtual cables, or by a poor link.

pub(crate) mod link;

use link::{Link, Weather};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Write};
use std::net::Ipv4Addr;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// Namespaces and the folder of their devices' stores; all gone afterwards.
pub(crate) struct Lab {
    tag: String,
    /// What the networks are called.
    pub(crate) names: Vec<String>,
    pub(crate) folder: PathBuf,
    /// One lab at a time: devices wait for each other, and three labs at once keep two processors from answering.
    _alone: MutexGuard<'static, ()>,
}

/// Where the two devices of a poor link are.
pub(crate) const SIDES: [Ipv4Addr; 2] = [Ipv4Addr::new(10, 77, 12, 1), Ipv4Addr::new(10, 77, 23, 2)];

static ALONE: Mutex<()> = Mutex::new(());

fn ip(words: &str) {
    let output = Command::new("ip").args(words.split(' ')).output();
    let output = output.expect("iproute2 is installed (`cargo xtask setup`)");
    let why = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(
        output.status.success(),
        "ip {words}: {why} Networks of their own need root; `cargo xtask test` does without."
    );
}

/// The program: that of the tests, or the one that lies above an example.
fn program() -> PathBuf {
    match option_env!("CARGO_BIN_EXE_drylay") {
        Some(path) => path.into(),
        None => {
            let example = std::env::current_exe().expect("a path");
            example.ancestors().nth(2).expect("a folder above").join("drylay")
        }
    }
}

impl Lab {
    /// `count` networks without any cable.
    pub(crate) fn new(test: &str, count: usize) -> Self {
        let alone = ALONE.lock().unwrap_or_else(PoisonError::into_inner);
        let tag = format!("{}{test}", std::process::id());
        let names: Vec<String> = (0..count).map(|n| format!("drylay-{tag}-{n}")).collect();
        let folder = std::env::temp_dir().join(format!("drylay-lab-{tag}"));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).expect("a folder");
        for name in &names {
            ip(&format!("netns add {name}"));
            ip(&format!("-n {name} link set lo up"));
        }
        Self { tag, names, folder, _alone: alone }
    }

    /// The cable's end in the network `n` of the one that goes to `to`.
    fn cable(&self, n: usize, to: usize) -> String {
        format!("d{}{n}{to}", self.tag)
    }

    /// Joins two networks by a cable.
    pub(crate) fn join(&self, one: usize, other: usize) {
        let (near, far) = (self.cable(one, other), self.cable(other, one));
        ip(&format!(
            "-n {} link add {near} type veth peer name {far} netns {}",
            self.names[one], self.names[other]
        ));
        for (n, to, host) in [(one, other, 1), (other, one, 2)] {
            let (name, cable) = (&self.names[n], self.cable(n, to));
            ip(&format!("-n {name} addr add 10.77.{}{}.{host}/24 dev {cable}", one + 1, other + 1));
            ip(&format!("-n {name} link set {cable} up"));
        }
    }

    /// Pulls the cable out at one end, or puts it in again.
    pub(crate) fn set(&self, one: usize, other: usize, up: bool) {
        let state = if up { "up" } else { "down" };
        ip(&format!("-n {} link set {} {state}", self.names[one], self.cable(one, other)));
    }

    /// Puts a poor link between the networks 0 and 2. The network 1 is the gateway of both; nothing passes it but what
    /// the link sends on.
    pub(crate) fn poor_link(&self, weather: Weather, seed: u64) -> Link {
        self.join(0, 1);
        self.join(1, 2);
        ip(&format!("-n {} route add default via 10.77.12.2", self.names[0]));
        ip(&format!("-n {} route add default via 10.77.23.1", self.names[2]));
        let closed = self.within(1, "sh").args(["-c", "echo 0 > /proc/sys/net/ipv4/ip_forward"]).status();
        assert!(closed.is_ok_and(|it| it.success()), "the kernel itself must not forward");
        Link::begin(&self.names[1], SIDES, weather, seed)
    }

    /// Gives the network `n` another address on the cable to `to`.
    pub(crate) fn move_to(&self, n: usize, to: usize, address: &str) {
        let (name, cable) = (&self.names[n], self.cable(n, to));
        ip(&format!("-n {name} addr flush dev {cable}"));
        ip(&format!("-n {name} addr add {address} dev {cable}"));
    }

    /// Bytes that went over a cable into network `n`.
    pub(crate) fn received(&self, n: usize, from: usize) -> u64 {
        let path = format!("/sys/class/net/{}/statistics/rx_bytes", self.cable(n, from));
        let output = self.within(n, "cat").arg(path).output().expect("a number");
        String::from_utf8_lossy(&output.stdout).trim().parse().expect("a number")
    }

    /// A program that will run in a network.
    fn within(&self, n: usize, program: &str) -> Command {
        let mut command = Command::new("ip");
        command.args(["netns", "exec", &self.names[n], program]);
        command
    }

    /// The program `drylay`, to be run in a network.
    pub(crate) fn drylay(&self, n: usize, words: &[&str]) -> Command {
        let mut command = self.within(n, program().to_str().expect("a path"));
        command.args(words);
        command
    }

    /// A device's store.
    pub(crate) fn store(&self, n: usize) -> PathBuf {
        self.folder.join(format!("store-{n}"))
    }

    /// Starts a keeper in a network.
    pub(crate) fn keeper(&self, n: usize) -> Keeper {
        Keeper::start(self, n)
    }
}

impl Drop for Lab {
    fn drop(&mut self) {
        for name in &self.names {
            let _ = Command::new("ip").args(["netns", "del", name]).output();
        }
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

/// A keeper that is talked to by lines.
pub(crate) struct Keeper {
    child: Child,
    input: ChildStdin,
    lines: Receiver<(Instant, Value)>,
    /// Events that came and were not looked at.
    pub(crate) events: Vec<(Instant, Value)>,
    store: PathBuf,
}

/// How long anything is waited for; what goes well takes a fraction of it, also on a machine with much else to do.
const PATIENCE: Duration = Duration::from_secs(180);

impl Keeper {
    fn start(lab: &Lab, n: usize) -> Self {
        let store = lab.store(n);
        let words = ["keep", "--lines", "--store", store.to_str().expect("a path")];
        let mut child = lab
            .drylay(n, &words)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let input = child.stdin.take().expect("piped");
        let output = BufReader::new(child.stdout.take().expect("piped"));
        let (sender, lines) = channel();
        std::thread::spawn(move || {
            for line in output.lines().map_while(Result::ok) {
                let line: Value = serde_json::from_str(&line).expect("a line of JSON");
                if sender.send((Instant::now(), line)).is_err() {
                    return;
                }
            }
        });
        let mut keeper = Self { child, input, lines, events: Vec::new(), store };
        assert!(keeper.next(|line| line.get("ready").is_some()).1["ready"].is_array());
        keeper
    }

    /// The next line of a kind; events on the way are kept.
    fn next(&mut self, wanted: impl Fn(&Value) -> bool) -> (Instant, Value) {
        loop {
            let (at, line) = self.lines.recv_timeout(PATIENCE).expect("an answer in time");
            if wanted(&line) {
                return (at, line);
            }
            self.events.push((at, line));
        }
    }

    /// Asks, and gets an answer or a problem.
    pub(crate) fn ask(&mut self, name: &str, args: Value) -> Result<Value, Value> {
        writeln!(self.input, "{}", json!({ "call": name, "args": args })).expect("it listens");
        let (_, line) = self.next(|line| line.get("event").is_none());
        match line.get("answer") {
            Some(answer) => Ok(answer.clone()),
            None => Err(line["problem"].clone()),
        }
    }

    /// Asks for what must go well.
    pub(crate) fn call(&mut self, name: &str, args: Value) -> Value {
        self.ask(name, args).unwrap_or_else(|problem| panic!("{name}: {problem}"))
    }

    /// When the next event came that is wanted.
    pub(crate) fn event(&mut self, wanted: impl Fn(&Value) -> bool) -> Instant {
        if let Some(at) = self.events.iter().position(|(_, line)| wanted(&line["event"])) {
            return self.events.remove(at).0;
        }
        self.next(|line| line.get("event").is_some_and(&wanted)).0
    }

    /// Waits until the crew looks as it should.
    pub(crate) fn until(&mut self, what: &str, mut look: impl FnMut(&Value) -> bool) -> Value {
        let begun = Instant::now();
        loop {
            let crew = self.call("crew.view", json!({}));
            if look(&crew) {
                return crew;
            }
            assert!(begun.elapsed() < PATIENCE, "{what} did not come: {crew:#}");
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Waits until it is level with `count` devices.
    pub(crate) fn level_with(&mut self, count: usize) -> Value {
        self.until("coming level", |crew| {
            let devices = crew["devices"].as_array().expect("devices");
            devices.iter().filter(|device| device["level"] == json!(true)).count() == count
        })
    }

    /// Ends it without a word.
    pub(crate) fn kill(mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }

    /// Bytes of files that have come and are not whole.
    pub(crate) fn under_way(&self) -> u64 {
        let folder = self.store.join("files/unfinished");
        let sizes = std::fs::read_dir(folder).into_iter().flatten().flatten();
        sizes.filter_map(|entry| entry.metadata().ok()).map(|it| it.len()).sum()
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A picture of noise, which no packing makes smaller.
pub(crate) fn noise(path: &Path, side: u32, seed: u32) {
    let mut state = seed.wrapping_mul(2_654_435_769) | 1;
    let picture = image::RgbImage::from_fn(side, side, |_, _| {
        // Xorshift (Marsaglia 2003).
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        let [r, g, b, _] = state.to_le_bytes();
        image::Rgb([r, g, b])
    });
    picture.save(path).expect("a picture");
}
