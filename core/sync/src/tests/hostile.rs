//! Devices that mean harm, or are broken.

use super::device::{Device, key};
use super::net::Net;
use super::two::two;
use crate::message::Message;
use crate::{Channel, Input, LONGEST_FRAME_OF_A_STRANGER, Purpose, Roster, Why};
use drylay_document::{DocumentId, Kind};

/// Two members that are level, and a stranger.
fn with_a_stranger() -> (Net, u8) {
    let mut net = two();
    net.settle();
    net.devices.push(Device::new(9, 4, None));
    (net, 9)
}

/// A stranger's connection to the first device as that device sees it.
fn stranger_dials(net: &mut Net, purpose: Purpose) -> u64 {
    let conn = 1_000_000 + net.now;
    let opened = Input::Opened {
        conn,
        peer: key(9).public(),
        dialled: false,
        purpose,
        exported: [1; 32],
        chance: [2; 32],
    };
    net.input(0, opened);
    conn
}

fn says(net: &mut Net, conn: u64, bytes: Vec<u8>) {
    net.input(0, Input::Frame { conn, channel: Channel::Talk, bytes });
}

fn hello(roster: Vec<Vec<u8>>) -> Vec<u8> {
    Message::Hello { version: 1, name: "x".into(), device: [9; 16], shop: None, roster }.to_bytes()
}

/// What the first device sends on a connection shows up as bytes sent in the made-up network only if the connection
/// is known there; here the outputs themselves are looked at.
fn outputs_to(net: &mut Net, conn: u64, input: Input) -> Vec<Vec<u8>> {
    let device = &mut net.devices[0];
    device.crew.input(net.now, input, &mut device.rack);
    let outputs = device.crew.outputs();
    outputs
        .into_iter()
        .filter_map(|output| match output {
            crate::Output::Send { conn: to, bytes, .. } if to == conn => Some(bytes),
            _ => None,
        })
        .collect()
}

#[test]
fn a_stranger_is_told_nothing_whatever_it_says() {
    let (mut net, _) = with_a_stranger();
    let founder = Roster::found(&key(9), [1; 16], super::device::named(9), 0);
    let ours = net.devices[0].crew.roster().expect("a crew").clone();
    let mut forged = ours.clone();
    let claim = crate::Claim::Add { key: key(9).public(), device: super::device::named(9), may_remove: true };
    forged.say(&key(9), 0, claim);
    let words = [
        hello(Vec::new()),
        hello(founder.to_list()),
        hello(ours.to_list()),
        hello(forged.to_list()),
        Message::Want { id: DocumentId([1; 16]) }.to_bytes(),
        Message::Ask { hash: [0; 32], offset: 0 }.to_bytes(),
        Message::Shelf { entries: Vec::new(), last: true }.to_bytes(),
        vec![0xff; 50],
        Vec::new(),
        hello(vec![vec![0; LONGEST_FRAME_OF_A_STRANGER]]),
    ];
    for purpose in [Purpose::Introduce, Purpose::Join, Purpose::Crew] {
        for word in &words {
            net.now += 1;
            let conn = 2_000_000 + net.now;
            let opened = Input::Opened {
                conn,
                peer: key(9).public(),
                dialled: false,
                purpose,
                exported: [1; 32],
                chance: [2; 32],
            };
            let mut told = outputs_to(&mut net, conn, opened);
            let frame = Input::Frame { conn, channel: Channel::Talk, bytes: word.clone() };
            told.extend(outputs_to(&mut net, conn, frame));
            assert!(told.is_empty(), "{purpose:?} {word:?}: {told:?}");
        }
    }
    assert!(!net.devices[0].crew.roster().expect("a crew").is_member(key(9).public()));
}

#[test]
fn a_proof_that_was_seen_on_one_connection_is_worth_nothing_on_another() {
    let mut net = Net::new(vec![Device::new(0, 1, None), Device::new(1, 1, None)], 3);
    net.devices[0].crew.found([5; 16], None, 0).expect("no crew");
    let shown = net.devices[0].crew.invite([1; 32], false).expect("an invitation");
    net.drain(0);
    net.devices[1].crew.join(&shown.text).expect("a text");
    net.input(1, Input::Tick);
    // The joiner's frames are taken down on their way, and its connection cut.
    while net.pipes.is_empty() {
        net.step();
    }
    let seen: Vec<Vec<u8>> = net.pipes.values().flatten().cloned().collect();
    assert_eq!(seen.len(), 2, "who asks, and the proof");
    net.cut(0, 1);
    let conn = stranger_dials(&mut net, Purpose::Join);
    seen.into_iter().for_each(|bytes| says(&mut net, conn, bytes));
    assert_eq!(net.devices[0].crew.who_asks(), None);
    assert!(net.closes.contains(&(0, Why::NoInvitation)));
}

#[test]
fn a_connection_that_says_nothing_is_closed() {
    let (mut net, _) = with_a_stranger();
    stranger_dials(&mut net, Purpose::Introduce);
    net.closes.clear();
    (0..12).for_each(|_| {
        net.now += 500;
        net.input(0, Input::Tick);
    });
    assert!(net.closes.contains(&(0, Why::Silent)));
}

/// A member whose device is broken sends damaged, cut, doubled and replayed frames: it may lose its connection and
/// nothing more.
#[test]
fn damaged_and_replayed_frames_of_a_member_do_no_harm() {
    for seed in 0..12 {
        let mut net = two();
        net.rng = fastrand::Rng::with_seed(seed);
        let mut seen: Vec<Vec<u8>> = Vec::new();
        for round in 0..300 {
            if !net.step() {
                net.pass(600);
            }
            if round % 40 == 7 {
                net.devices[0].measure(DocumentId([2; 16]), &format!("x{round}"));
                net.input(0, Input::Changed { document: DocumentId([2; 16]) });
            }
            let (at, flip) = (net.rng.usize(..), net.rng.u8(1..));
            let pick = net.rng.u8(..);
            let Some(queue) = net.pipes.values_mut().find(|queue| !queue.is_empty()) else { continue };
            let mut bytes = queue[0].clone();
            seen.push(bytes.clone());
            match pick % 12 {
                0 => {
                    let n = bytes.len();
                    bytes[at % n] ^= flip;
                    queue[0] = bytes;
                }
                1 => bytes.truncate(at % bytes.len()),
                2 => queue.push_front(bytes),
                3 => queue.push_front(seen[at % seen.len()].clone()),
                _ => {}
            }
        }
        // Repaired, it comes level again; both still have everything.
        net.pipes.clear();
        let conns: Vec<u64> = net.conns.keys().copied().collect();
        conns.into_iter().for_each(|conn| net.break_conn(conn));
        net.settle();
        assert_eq!(net.devices[0].heads(), net.devices[1].heads(), "seed {seed}");
        let entries = net.devices[1].entries();
        assert!((0..200).all(|n| entries.contains(&format!("r{n}"))), "seed {seed}");
    }
}

#[test]
fn a_document_under_a_wrong_name_is_refused() {
    let mut net = two();
    net.settle();
    let bytes = net.devices[0].rack.disk.documents[&DocumentId([1; 16])].2.clone();
    let conn = *net.conns.keys().next().expect("connected");
    let whole = Message::Whole { kind: Kind::Job, id: DocumentId([8; 16]), parent: None, bytes };
    net.closes.clear();
    says(&mut net, conn, whole.to_bytes());
    assert_eq!(net.closes.first(), Some(&(0, Why::Garbled)));
    assert!(!net.devices[0].heads().iter().any(|(id, _)| *id == DocumentId([8; 16])));
}
