//! Two devices: what is sent, how much of it, and what is told of it.

use super::converging::crew_of;
use super::device::{Device, key};
use super::net::Net;
use crate::{Input, News, PIECE, Purpose, SILENCE_MS};
use drylay_document::{DocumentId, Kind};

const JOB: DocumentId = DocumentId([1; 16]);
const ROOM: DocumentId = DocumentId([2; 16]);

/// Two devices of one crew that know where the other is; the first has a job with a room.
pub(super) fn two() -> Net {
    let kept = crew_of(2);
    let mut devices: Vec<Device> = (0..2).map(|n| Device::new(n, 1, Some(kept.clone()))).collect();
    devices[0].make(Kind::Job, JOB, None);
    devices[0].make(Kind::Room, ROOM, Some(JOB));
    (0..200).for_each(|n| devices[0].measure(ROOM, &format!("r{n}")));
    Net::new(devices, 3)
}

fn level(net: &Net) -> bool {
    net.devices.iter().all(|device| device.crew.peers().iter().all(|peer| peer.level))
}

#[test]
fn an_empty_device_gets_compact_documents_in_one_piece() {
    let mut net = two();
    net.settle();
    assert!(level(&net));
    assert_eq!(net.devices[0].heads(), net.devices[1].heads());
    let compact: usize = net.devices[0].rack.disk.documents.values().map(|row| row.2.len()).sum();
    let mut whole = net.devices[1].rack.disk.documents.values();
    assert!(whole.all(|row| row.1 == Some(JOB) || row.0 == Kind::Job), "rooms know their job");
    // Everything that was said in that time, pings and greetings too.
    let compact = compact.max(1) as f64;
    assert!(net.sent as f64 <= 1.3 * compact + 4_000.0, "{} bytes for {compact}", net.sent);
}

#[test]
fn what_is_made_while_two_devices_greet_each_other_comes_over_too() {
    let mut net = two();
    let conn = net.connect(0, 1, Purpose::Crew);
    // It has told what it holds, and has not heard what the other holds.
    let told = |net: &Net| {
        net.devices[0].crew.conns.get(&conn).is_some_and(|it| !it.talks.is_empty() && !it.told_all)
    };
    while !told(&net) {
        assert!(net.deliver(), "the greeting goes on");
    }
    let late = DocumentId([9; 16]);
    net.devices[0].make(Kind::Job, late, None);
    net.input(0, Input::Changed { document: late });
    while net.deliver() {}
    assert!(net.devices[1].rack.disk.documents.contains_key(&late), "on the same connection");
    net.settle();
    assert!(level(&net));
    assert_eq!(net.devices[0].heads(), net.devices[1].heads());
}

#[test]
fn an_edit_costs_less_than_700_bytes_both_ways() {
    let mut net = two();
    net.settle();
    let mut costs = Vec::new();
    for n in 0..21_u8 {
        let before = net.sent;
        let by = n % 2;
        net.devices[usize::from(by)].measure(ROOM, &format!("live {n}"));
        net.input(by, Input::Changed { document: ROOM });
        while net.deliver() {}
        costs.push(net.sent - before);
        assert_eq!(net.devices[0].heads(), net.devices[1].heads());
    }
    costs.sort_unstable();
    // The rest up to 700 is for the heads of four packets (Ethernet, IPv4, UDP, QUIC and its seal, 80 bytes each).
    assert!(costs[10] < 380, "{costs:?}");
    net.settle();
    assert!(level(&net));
}

#[test]
fn what_was_said_apart_is_there_on_both_after_a_meeting() {
    let mut net = two();
    net.settle();
    net.cut(0, 1);
    net.devices[0].measure(ROOM, "hers");
    net.devices[1].measure(ROOM, "his");
    (0..2).for_each(|n| net.input(n, Input::Changed { document: ROOM }));
    (0..20).for_each(|_| net.pass(500));
    assert!(!net.connected(0, 1));
    assert!(net.devices.iter().all(|device| device.crew.peers().iter().all(|peer| !peer.connected)));
    net.cut.clear();
    net.settle();
    for device in &mut net.devices {
        let entries = device.entries();
        assert!(entries.contains(&"hers".into()) && entries.contains(&"his".into()));
    }
}

#[test]
fn a_peer_that_falls_silent_is_left_after_five_seconds_and_dialled_again() {
    let mut net = two();
    net.settle();
    // The connection is gone and nobody was told.
    net.pipes.clear();
    net.conns.clear();
    let begun = net.now;
    while net.devices[0].crew.peers()[0].connected {
        net.pass(500);
        net.pipes.clear();
        assert!(net.now - begun <= SILENCE_MS + 1_000, "still held to be connected");
    }
    net.settle();
    assert!(net.connected(0, 1) && level(&net));
}

#[test]
fn a_photo_goes_on_where_it_was_cut_off() {
    let mut net = two();
    net.settle();
    let content: Vec<u8> = (0..40 * PIECE).map(|n| u8::try_from(n % 251).expect("small")).collect();
    let hash = net.devices[0].photograph(JOB, "p", content.clone());
    net.input(0, Input::Changed { document: JOB });
    let part = |net: &Net| net.devices[1].rack.disk.parts.get(&hash).map_or(0, Vec::len);
    while part(&net) < content.len() / 2 {
        if !net.deliver() {
            net.pass(500);
        }
    }
    // The receiver is killed: what had come is on its disk.
    let (came, before) = (part(&net), net.sent);
    let disk = net.devices[1].rack.disk.clone();
    net.drop_conns_of(1);
    net.devices[1].restart(disk);
    net.drain(1);
    net.settle();
    assert_eq!(net.devices[1].rack.disk.files.get(&hash), Some(&content));
    let again = usize::try_from(net.sent - before).expect("small");
    assert!(again < content.len() - came + 60_000, "{again} bytes again, {came} had come");
    assert!(net.news.contains(&(1, News::File(hash))));
}

#[test]
fn a_file_that_is_not_what_its_name_says_is_thrown_away_and_got_from_another() {
    let kept = crew_of(3);
    let mut devices: Vec<Device> = (0..3).map(|n| Device::new(n, 1, Some(kept.clone()))).collect();
    devices[0].make(Kind::Job, JOB, None);
    let hash = devices[0].photograph(JOB, "p", vec![5; 100_000]);
    devices[2].rack.disk.files.insert(hash, vec![5; 100_000]);
    devices[0].rack.disk.files.insert(hash, vec![6; 100_000]);
    let mut net = Net::new(devices, 5);
    net.settle();
    let got = net.devices[1].rack.disk.files.get(&hash).expect("the file");
    assert!(*got == vec![5; 100_000] && net.devices[1].rack.disk.parts.is_empty());
}

#[test]
fn a_full_disk_is_told_and_nothing_half_taken_is_shown() {
    let mut net = two();
    net.settle();
    net.devices[1].rack.full = true;
    net.devices[0].measure(ROOM, "more");
    net.input(0, Input::Changed { document: ROOM });
    net.live(200);
    assert!(net.news.iter().any(|(n, news)| *n == 1 && matches!(news, News::Trouble(_))));
    assert!(!net.devices[1].entries().contains(&"more".into()));
    net.devices[1].rack.full = false;
    net.settle();
    assert!(net.devices[1].entries().contains(&"more".into()));
}

#[test]
fn who_is_level_and_since_when_is_told() {
    let mut net = two();
    net.settle();
    let peer = net.devices[0].crew.peers()[0].clone();
    assert_eq!((peer.name.as_str(), peer.level, peer.level_ago_ms), ("device 1", true, Some(0)));
    net.cut(0, 1);
    (0..40).for_each(|_| net.pass(3_000));
    let peer = net.devices[0].crew.peers()[0].clone();
    assert!(!peer.connected && !peer.level);
    assert!(peer.level_ago_ms.is_some_and(|ms| (110_000..=120_000).contains(&ms)), "{peer:?}");
    assert_eq!(net.who(key(1).public()), Some(1));
}

#[test]
fn who_wants_to_go_waits_until_the_other_holds_the_same() {
    let mut net = two();
    net.settle();
    let told = |net: &Net, n: usize| {
        let peer = net.devices[n].crew.peers()[0].clone();
        (peer.level, peer.agreed)
    };
    assert_eq!(told(&net, 1), (true, false), "nobody was asked");
    net.devices[1].crew.agree();
    // A new room leaves, and is not there yet: it seems level from here, and no more than that.
    let room = DocumentId([7; 16]);
    net.devices[1].make(Kind::Room, room, Some(JOB));
    net.input(1, Input::Changed { document: room });
    net.input(1, Input::Tick);
    assert_eq!(told(&net, 1), (true, false));
    while net.deliver() {}
    assert!(net.devices[0].heads().iter().any(|(id, _)| *id == room), "it has come");
    net.settle();
    assert_eq!(told(&net, 1), (true, true));
    assert!(told(&net, 0).0, "who was asked knows it too");
    // A change makes it open again until the other has said so anew.
    net.devices[1].measure(room, "later");
    net.input(1, Input::Changed { document: room });
    assert!(!told(&net, 1).1);
    net.settle();
    assert_eq!(told(&net, 1), (true, true));
}
