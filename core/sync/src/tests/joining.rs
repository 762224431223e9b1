//! A device comes into the crew, or does not.

use super::device::Device;
use super::net::Net;
use crate::{CrewError, Input, Invitation, News, Purpose, STANDS_MS, Shown, Why};
use drylay_document::{DocumentId, Kind};

const JOB: DocumentId = DocumentId([1; 16]);

/// A founder with a job, and others that belong to no crew.
fn founder_and_strangers(others: u8) -> Net {
    let mut devices: Vec<Device> = (0..=others).map(|n| Device::new(n, 1, None)).collect();
    devices[0].make(Kind::Job, JOB, None);
    devices[0].crew.found([5; 16], None, 0).expect("no crew yet");
    Net::new(devices, 3)
}

fn invite(net: &mut Net, chance: u8) -> Shown {
    let shown = net.devices[0].crew.invite([chance; 32], false).expect("an invitation");
    net.drain(0);
    shown
}

fn join(net: &mut Net, n: u8, text: &str) {
    net.devices[usize::from(n)].crew.join(text).expect("a text");
    net.input(n, Input::Tick);
}

fn near(net: &mut Net, n: u8, other: u8) {
    let peer = super::device::key(other).public();
    net.input(n, Input::Found { peer, addresses: Vec::new() });
}

fn run(net: &mut Net) {
    while net.step() {}
}

fn answer(net: &mut Net, yes: bool) {
    net.devices[0].crew.answer(yes, 0).expect("somebody asks");
    net.drain(0);
    run(net);
}

#[test]
fn a_device_joins_by_the_text_once_a_person_has_said_yes() {
    let mut net = founder_and_strangers(1);
    let shown = invite(&mut net, 1);
    join(&mut net, 1, &shown.text);
    run(&mut net);
    assert_eq!(net.devices[0].crew.who_asks().map(|it| it.0), Some("device 1".to_owned()));
    assert!(!net.devices[1].crew.is_member(), "nothing before the person has decided");
    answer(&mut net, true);
    assert!(net.devices[1].crew.is_member());
    assert!(net.news.contains(&(1, News::Joined)));
    net.settle();
    assert_eq!(net.devices[0].heads(), net.devices[1].heads());
    assert_eq!(net.devices[1].crew.join(&shown.text), Err(CrewError::HasCrew));
}

#[test]
fn a_device_joins_by_the_code_typed_as_it_is_shown() {
    let mut net = founder_and_strangers(2);
    let shown = invite(&mut net, 1);
    // Another device near by that invites nobody is tried and left.
    near(&mut net, 1, 2);
    near(&mut net, 1, 0);
    join(&mut net, 1, &shown.code);
    (0..10).for_each(|_| {
        run(&mut net);
        net.pass(1_000);
    });
    answer(&mut net, true);
    net.settle();
    assert!(net.devices[1].crew.is_member() && !net.devices[2].crew.is_member());
    assert_eq!(net.devices[0].heads(), net.devices[1].heads());
}

#[test]
fn no_is_no() {
    let mut net = founder_and_strangers(1);
    let shown = invite(&mut net, 1);
    join(&mut net, 1, &shown.text);
    run(&mut net);
    answer(&mut net, false);
    net.settle();
    assert!(!net.devices[1].crew.is_member() && net.devices[1].heads().is_empty());
    assert!(net.news.contains(&(1, News::NotJoined(Why::NoInvitation))));
}

#[test]
fn an_invitation_that_was_used_or_has_expired_lets_nobody_in() {
    let mut net = founder_and_strangers(2);
    let shown = invite(&mut net, 1);
    join(&mut net, 1, &shown.text);
    run(&mut net);
    answer(&mut net, true);
    join(&mut net, 2, &shown.text);
    net.settle();
    assert!(!net.devices[2].crew.is_member());

    let late = invite(&mut net, 2);
    net.pass(STANDS_MS + 1);
    assert!(net.news.contains(&(0, News::InvitationClosed)));
    net.settle();
    join(&mut net, 2, &late.text);
    net.settle();
    assert!(!net.devices[2].crew.is_member());
}

#[test]
fn three_wrong_secrets_close_the_invitation() {
    let mut net = founder_and_strangers(1);
    let right = invite(&mut net, 1);
    let mut wrong = Invitation::parse(&right.text).expect("an invitation");
    wrong.secret[0] ^= 1;
    for _ in 0..3 {
        join(&mut net, 1, &wrong.to_text());
        run(&mut net);
    }
    assert!(net.news.contains(&(0, News::InvitationClosed)));
    join(&mut net, 1, &right.text);
    net.settle();
    assert!(!net.devices[1].crew.is_member());
}

#[test]
fn three_guesses_at_the_code_close_the_invitation() {
    let mut net = founder_and_strangers(1);
    let right = invite(&mut net, 1);
    near(&mut net, 1, 0);
    let wrong = if right.code == "1234 5678" { "8765 4321" } else { "1234 5678" };
    for _ in 0..3 {
        join(&mut net, 1, wrong);
        run(&mut net);
    }
    net.pass(1);
    assert!(net.news.contains(&(0, News::InvitationClosed)));
    assert_eq!(net.devices[0].crew.who_asks(), None);
    join(&mut net, 1, &right.code);
    net.settle();
    assert!(!net.devices[1].crew.is_member());
}

#[test]
fn somebody_who_looks_over_a_shoulder_does_not_come_in_second() {
    let mut net = founder_and_strangers(2);
    let shown = invite(&mut net, 1);
    join(&mut net, 1, &shown.text);
    join(&mut net, 2, &shown.text);
    run(&mut net);
    let (_, first) = net.devices[0].crew.who_asks().expect("one asks");
    answer(&mut net, true);
    net.settle();
    let members = (1..=2).filter(|n| net.devices[*n].crew.is_member()).count();
    assert_eq!(members, 1);
    assert!(net.devices[0].crew.roster().expect("a crew").is_member(first));
}

#[test]
fn a_member_that_the_other_has_not_heard_of_shows_how_it_came_in() {
    let mut net = founder_and_strangers(2);
    for n in 1..=2 {
        let shown = invite(&mut net, n);
        // The second joins while the first is away.
        if n == 2 {
            net.cut(0, 1);
            net.cut(1, 2);
        }
        join(&mut net, n, &shown.text);
        run(&mut net);
        answer(&mut net, true);
        net.settle();
    }
    assert!(!net.devices[1].crew.roster().expect("a crew").is_member(super::device::key(2).public()));
    net.cut.clear();
    net.cut(0, 1);
    net.cut(0, 2);
    net.settle();
    assert!(net.connected(1, 2));
    assert!(net.devices[1].crew.peers().iter().any(|peer| peer.name == "device 2" && peer.level));
}

#[test]
fn a_removed_device_is_cut_off_at_once_and_learns_nothing_more() {
    let mut net = founder_and_strangers(2);
    for n in 1..=2 {
        let shown = invite(&mut net, n);
        join(&mut net, n, &shown.text);
        run(&mut net);
        answer(&mut net, true);
        net.settle();
    }
    let gone = super::device::key(2).public();
    assert_eq!(net.devices[1].crew.remove(gone, 0), Err(CrewError::MayNotRemove));
    net.devices[0].crew.remove(gone, 0).expect("the founder may");
    net.drain(0);
    assert!(!net.connected(0, 2), "its connection is closed");
    net.settle();
    assert!(!net.connected(1, 2), "and everybody's who has heard of it");
    let before = net.devices[2].heads();
    let secret = DocumentId([9; 16]);
    net.devices[0].make(Kind::Job, secret, None);
    net.input(0, Input::Changed { document: secret });
    net.settle();
    assert!(net.devices[1].heads().iter().any(|(id, _)| *id == secret));
    assert_eq!(net.devices[2].heads(), before);
    // What it holds stays with it, and it cannot bring itself back.
    let sent = net.sent;
    net.connect(2, 0, Purpose::Introduce);
    run(&mut net);
    assert!(!net.connected(0, 2));
    assert!(net.sent > sent && !net.devices[0].crew.roster().expect("a crew").is_member(gone));
    // It is not left to guess why nobody comes level any more.
    let told = net.devices[2].crew.peers();
    assert!(told.iter().all(|peer| !peer.connected && peer.turned_away), "{told:?}");
}

#[test]
fn whoever_leaves_is_out_and_may_come_back_by_an_invitation() {
    let mut net = founder_and_strangers(1);
    for n in 1..=2 {
        let shown = invite(&mut net, n);
        join(&mut net, 1, &shown.text);
        run(&mut net);
        answer(&mut net, true);
        net.settle();
        assert!(net.connected(0, 1));
        if n == 1 {
            net.devices[1].crew.leave(0).expect("it may");
            net.drain(1);
            net.settle();
            assert!(!net.connected(0, 1) && !net.devices[1].crew.is_member());
        }
    }
}
