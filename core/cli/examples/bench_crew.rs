//! What the crew's network costs, between two keepers in networks of their own: an edit, the first time level, and
//! photos over a link of 50 Mbit/s beside a plain copy over the same. `bench_crew` writes the figures, one a line
//! (`name<TAB>figure`, seconds or bytes). It needs root and iproute2, and the program `drylay` built beside it.
#![expect(clippy::print_stdout, reason = "the figures are what it is for")]

#[allow(dead_code, reason = "the tests use all of it")]
#[path = "../tests/lab/mod.rs"]
mod lab;

use lab::link::{PORT, Weather, within};
use lab::{Keeper, Lab, SIDES, noise};
use serde_json::{Value, json};
use std::io::{Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::time::{Duration, Instant};

const EDITS: u32 = 41;
/// 50 Mbit/s, in bytes.
const RATE: f64 = 6.25e6;
/// The sides of the pictures, each of about three times its square in bytes.
const PICTURES: [u32; 8] = [1000, 1001, 1002, 1003, 1004, 1005, 1006, 1007];
/// What of a full TCP segment is content: 1500 less IPv4, TCP and its time stamps (RFC 791, RFC 9293, RFC 7323).
const SEGMENT: f64 = 1448.0;

fn main() {
    cable();
    link();
}

/// The first keeper lets the second in.
fn let_in(inviter: &mut Keeper, joiner: &mut Keeper) {
    let crew = inviter.call("crew.invite", json!({}));
    let mut asked = false;
    inviter.until("somebody who asks", |now| {
        if !asked {
            asked = joiner.ask("crew.join", json!({ "text": crew["invitation"]["text"] })).is_ok();
        }
        !now["asks"].is_null()
    });
    inviter.call("crew.answer", json!({ "yes": true }));
}

/// Two keepers on one cable: the first time level, and edits.
fn cable() {
    let lab = Lab::new("m", 2);
    lab.join(0, 1);
    let (mut ana, mut ben) = (lab.keeper(0), lab.keeper(1));
    let job = ana.call("jobs.demo", json!({}))["id"].clone();
    let copy = ana.call("jobs.export", json!({ "job": job }))["sheet"].clone();
    (0..20).for_each(|_| drop(ana.call("jobs.import", json!({ "sheet": copy }))));
    let list = ana.call("jobs.list", json!({}))["jobs"].clone();
    let file = lab.folder.join("job.drylay");
    let written = list.as_array().expect("jobs").iter().map(|job| {
        let ask = json!({ "job": job["id"], "path": file });
        ana.call("handover.write", ask)["bytes"].as_f64().expect("bytes")
    });
    let compact: f64 = written.sum();
    let before = lab.received(1, 0) + lab.received(0, 1);
    let_in(&mut ana, &mut ben);
    ben.level_with(1);
    ana.level_with(1);
    say("first time level, bytes", (lab.received(1, 0) + lab.received(0, 1) - before) as f64);
    say("compact documents, bytes", compact);

    let changed = json!({ "kind": "changed", "job": job, "room": null });
    let (mut times, mut bytes) = (Vec::new(), Vec::new());
    for n in 0..EDITS {
        ben.call("crew.view", json!({}));
        ben.events.clear();
        let before = lab.received(1, 0) + lab.received(0, 1);
        let begun = Instant::now();
        ana.call("jobs.edit", json!({ "job": job, "site": format!("{n} Long Lane") }));
        times.push((ben.event(|event| *event == changed) - begun).as_secs_f64());
        // What answers it comes a moment later.
        std::thread::sleep(Duration::from_millis(100));
        bytes.push((lab.received(1, 0) + lab.received(0, 1) - before) as f64);
    }
    say("edit there, median", median(times));
    say("edit, bytes both ways with all headers, median", median(bytes));
}

/// Photos over a limited link, and as many bytes by a plain copy.
fn link() {
    let lab = Lab::new("n", 3);
    let link = lab.poor_link(Weather { rate: Some(RATE), ..Weather::FAIR }, 5);
    let (mut ana, mut ben) = (lab.keeper(0), lab.keeper(2));
    let ask = json!({ "name": "Photos", "client": "", "site": "", "units": "metric" });
    let job = ana.call("jobs.create", ask)["id"].clone();
    let paths: Vec<_> = PICTURES.iter().map(|side| lab.folder.join(format!("{side}.png"))).collect();
    paths.iter().zip(PICTURES).for_each(|(path, side)| noise(path, side, side));
    let task = ana.call("photos.add", json!({ "job": job, "paths": paths, "pin": { "what": "job" } }));
    ana.event(|event| event["kind"] == json!("finished") && event["task"] == task["task"]);
    let all: u64 = paths.iter().map(|path| std::fs::metadata(path).expect("a picture").len()).sum();
    let_in(&mut ana, &mut ben);
    // From the first bytes of the first on: joining is not what is measured.
    while ben.under_way() == 0 {
        std::thread::sleep(Duration::from_millis(1));
    }
    let (begun, had) = (Instant::now(), ben.under_way());
    loop {
        let seen = ben.ask("photos.list", json!({ "job": job })).unwrap_or(Value::Null);
        let here = seen["photos"].as_array().into_iter().flatten().filter(|it| it["here"] == json!(true));
        if here.count() == PICTURES.len() {
            break;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    let (took, bytes) = (begun.elapsed(), usize::try_from(all - had).expect("a few megabytes"));
    drop((ana, ben, link));
    say("photos over 50 Mbit/s", took.as_secs_f64());
    let plain = plain_copy(&lab.names, [Ipv4Addr::new(10, 77, 12, 2), SIDES[1]], RATE, bytes);
    say("plain copy over 50 Mbit/s", plain.as_secs_f64());
}

fn median(mut figures: Vec<f64>) -> f64 {
    figures.sort_unstable_by(f64::total_cmp);
    figures[figures.len() / 2]
}

fn say(name: &str, figure: f64) {
    println!("{name}\t{figure:.7}");
}

/// How long a plain copy of so many bytes by TCP takes over a link of that rate, from one network to another by way
/// of a forwarder in the one between.
fn plain_copy(networks: &[String], to: [Ipv4Addr; 2], rate: f64, bytes: usize) -> Duration {
    const AT_ONCE: usize = 8 << 10;
    let listen = |network: &str| {
        within(network, || TcpListener::bind((Ipv4Addr::UNSPECIFIED, PORT)).expect("a free port"))
    };
    let (there, between) = (listen(&networks[2]), listen(&networks[1]));
    let taking = std::thread::spawn(move || {
        let (mut stream, _) = there.accept().expect("somebody who copies");
        let mut buffer = vec![0; 1 << 16];
        let mut got = 0;
        while got < bytes {
            got += stream.read(&mut buffer).expect("bytes");
        }
        stream.write_all(&[1]).expect("it waits for the end");
    });
    let (near, middle, far) = (networks[0].clone(), networks[1].clone(), to);
    let forwarding = std::thread::spawn(move || {
        let (mut come, _) = between.accept().expect("somebody who copies");
        let mut go = within(&middle, move || TcpStream::connect((far[1], PORT)).expect("it listens"));
        let mut buffer = vec![0; AT_ONCE];
        let (mut free, mut passed) = (Instant::now(), 0);
        while passed < bytes {
            let read = come.read(&mut buffer).expect("bytes");
            let on_the_wire = read as f64 * 1500.0 / SEGMENT;
            free = free.max(Instant::now()) + Duration::from_secs_f64(on_the_wire / rate);
            std::thread::sleep(free.saturating_duration_since(Instant::now()));
            go.write_all(&buffer[..read]).expect("it takes them");
            passed += read;
        }
        let mut end = [0];
        go.read_exact(&mut end).expect("the end");
        come.write_all(&end).expect("it waits for the end");
    });
    let content = vec![7; bytes];
    let begun = Instant::now();
    let mut stream =
        within(&near, move || TcpStream::connect(SocketAddr::from((far[0], PORT))).expect("it listens"));
    stream.write_all(&content).expect("it takes them");
    stream.read_exact(&mut [0]).expect("the end");
    let took = begun.elapsed();
    forwarding.join().expect("it ends");
    taking.join().expect("it ends");
    took
}
