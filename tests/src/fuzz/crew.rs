//! What other devices say: frames of the protocol, signed statements, what is kept of the crew.

use std::fs;

use drylay_app::{Lockbox, outside};
use drylay_document::{Document, DocumentId, Kind};
use drylay_sync::{
    Adopted, Channel, Claim, Crew, CrewId, DeviceName, Held, Input, Kept, Named, Output, PublicKey, Purpose,
    Roster, SecretKey, Shelf, Statement, Trouble, said_again, welcome_again,
};

use super::{Scratch, Target};

pub(super) fn targets() -> Vec<Target> {
    vec![
        Target {
            name: "talk",
            about: "frames of the crew's protocol",
            seeds: frames,
            words: &[],
            mend: None,
            memory: 1 << 20,
            runs: 2000,
            look: frame,
        },
        Target {
            name: "statements",
            about: "signed statements, and what is kept of the crew",
            seeds: statements,
            words: &[],
            mend: None,
            memory: 1 << 20,
            runs: 400,
            look: statement,
        },
        Target {
            name: "joining",
            about: "what is said while a device joins, heard by either side",
            seeds: meetings,
            words: &["A phone", "\u{1}", "!\0\0\0"],
            mend: None,
            memory: 1 << 20,
            runs: 400,
            look: meeting,
        },
        Target {
            name: "welcome",
            about: "what a device is told that was let in",
            seeds: welcomes,
            words: &[],
            mend: None,
            memory: 1 << 20,
            runs: 400,
            look: welcome,
        },
        Target {
            name: "device-key",
            about: "the file of the device's key",
            seeds: key_files,
            words: &["a-box ", "another-box ", "0", "\n", "00000000000000000000000000000000"],
            mend: None,
            memory: 1 << 20,
            runs: 400,
            look: key_file,
        },
    ]
}

fn crew() -> Roster {
    let (one, two) = (SecretKey::from_seed([1; 32]), SecretKey::from_seed([2; 32]));
    let named = |n: u8| DeviceName { id: [n; 16], name: format!("Device {n}") };
    let mut roster = Roster::found(&one, [7; 16], named(1), 0);
    roster.say(&one, 1, Claim::Add { key: two.public(), device: named(2), may_remove: true });
    roster.say(&one, 2, Claim::Remove { key: two.public() });
    roster
}

fn counted(bytes: &[u8]) -> Vec<u8> {
    [&u32::try_from(bytes.len()).unwrap_or(0).to_le_bytes()[..], bytes].concat()
}

/// One frame of every kind, byte by byte as `core/sync/src/message.rs` lays them down.
fn frames() -> Vec<Vec<u8>> {
    let list: Vec<u8> = crew().to_list().iter().flat_map(|one| counted(one)).collect();
    let list = [&3_u32.to_le_bytes()[..], &list].concat();
    let (id, hash) = ([5; 16], [6; 32]);
    let name = counted(b"Ana's phone");
    let entry = [&[1][..], &id, &[1], &id, &id].concat();
    vec![
        [&[0, 1, 0][..], &name, &id, &[1], &id, &list].concat(),
        [&[1][..], &list].concat(),
        [&[2, 1][..], &1_u32.to_le_bytes(), &entry].concat(),
        [&[3][..], &id].concat(),
        [&[4, 1][..], &id, &[0], &counted(b"a document")].concat(),
        [&[5, 2][..], &id, &counted(b"a message")].concat(),
        vec![6],
        vec![7],
        vec![8, 3, 0, 0, 0],
        [&[9][..], &hash].concat(),
        [&[10][..], &id, &id, &[1]].concat(),
        [&[11][..], &id, &[0]].concat(),
        [&[16][..], &hash, &[0; 8]].concat(),
        [&[17][..], &hash, &[0; 8], &9_u64.to_le_bytes(), &counted(b"a picture")].concat(),
        [&[18][..], &hash].concat(),
        [&[32, 1][..], &counted(&[9; 33]), &id, &name].concat(),
        [&[33][..], &counted(&[9; 33])].concat(),
        [&[34][..], &hash].concat(),
        [&[35][..], &hash, &counted(b"the crew")].concat(),
    ]
}

fn frame(input: &[u8]) -> bool {
    let Some(again) = said_again(input) else { return false };
    assert_eq!(said_again(&again).as_ref(), Some(&again));
    assert!(again.len() <= input.len(), "{} bytes became {}", input.len(), again.len());
    true
}

fn statements() -> Vec<Vec<u8>> {
    let roster = crew();
    let mut all = roster.to_list();
    all.push(Kept { crew: roster.crew(), statements: all.clone(), shop: None }.to_bytes());
    all
}

fn statement(input: &[u8]) -> bool {
    let mut roster = crew();
    let before = roster.to_list();
    let _ = roster.take([input]);
    let after = roster.to_list();
    assert!(before.iter().all(|one| after.contains(one)), "a statement was lost");
    assert!(after.len() <= before.len() + 1, "one statement became several");
    let stated = Statement::read(input).is_some_and(|read| {
        assert_eq!(read.to_bytes(), input);
        true
    });
    let kept = Kept::read(input).is_some_and(|read| {
        assert_eq!(read.to_bytes(), input);
        let mut other = Roster::of(CrewId([1; 32]));
        let _ = other.take(read.statements.iter().map(Vec::as_slice));
        true
    });
    stated || kept
}

/// A device without documents.
struct Bare;

impl Shelf for Bare {
    fn documents(&mut self) -> Result<Vec<Held>, Trouble> {
        Ok(Vec::new())
    }

    fn held(&mut self, _: DocumentId) -> Result<Option<Held>, Trouble> {
        Ok(None)
    }

    fn document(&mut self, _: DocumentId) -> Result<Option<&mut Document>, Trouble> {
        Ok(None)
    }

    fn keep(&mut self, _: DocumentId) -> Result<(), Trouble> {
        Ok(())
    }

    fn adopt(&mut self, _: Kind, _: DocumentId, _: Option<DocumentId>, _: &[u8]) -> Result<Adopted, Trouble> {
        Ok(Adopted::Refused)
    }

    fn missing_files(&mut self, _: DocumentId) -> Result<Vec<Named>, Trouble> {
        Ok(Vec::new())
    }

    fn piece(&mut self, _: [u8; 32], _: u64, _: u32) -> Result<Option<(u64, Vec<u8>)>, Trouble> {
        Ok(None)
    }

    fn part(&mut self, _: [u8; 32]) -> Result<u64, Trouble> {
        Ok(0)
    }

    fn append(&mut self, _: [u8; 32], _: u64, _: &[u8]) -> Result<(), Trouble> {
        Ok(())
    }

    fn finish(&mut self, _: [u8; 32]) -> Result<bool, Trouble> {
        Ok(false)
    }
}

/// Who hears what is said: the first byte of a meeting.
const INVITER: u8 = 0;
const BY_TEXT: u8 = 1;
const BY_CODE: u8 = 2;
/// The connection on which they meet.
const CONN: u64 = 1;

fn a_device(n: u8) -> Crew {
    Crew::new(SecretKey::from_seed([n; 32]), DeviceName { id: [n; 16], name: format!("Device {n}") }, None)
}

/// A device that invites and one that joins by what it shows, connected.
fn connected(by_code: bool) -> (Crew, Crew) {
    let (mut inviter, mut joiner) = (a_device(1), a_device(2));
    inviter.found([3; 16], Some(DocumentId([8; 16])), 0).unwrap_or_else(|error| panic!("{error}"));
    let shown = inviter.invite([9; 32], false).unwrap_or_else(|error| panic!("{error}"));
    joiner.join(if by_code { &shown.code } else { &shown.text }).unwrap_or_else(|error| panic!("{error}"));
    let (one, other) = (inviter.public(), joiner.public());
    joiner.input(1, Input::Found { peer: one, addresses: Vec::new() }, &mut Bare);
    joiner.input(1, Input::Tick, &mut Bare);
    for (crew, peer, dialled) in [(&mut inviter, other, false), (&mut joiner, one, true)] {
        crew.outputs();
        let (purpose, chance) = (Purpose::Join, [5 + u8::from(dialled); 32]);
        crew.input(
            1,
            Input::Opened { conn: CONN, peer, dialled, purpose, exported: [4; 32], chance },
            &mut Bare,
        );
    }
    (inviter, joiner)
}

fn hear(crew: &mut Crew, bytes: &[u8]) {
    crew.input(2, Input::Frame { conn: CONN, channel: Channel::Talk, bytes: bytes.to_vec() }, &mut Bare);
}

fn frames_of(crew: &mut Crew) -> Vec<Vec<u8>> {
    let sent = |output| if let Output::Send { bytes, .. } = output { Some(bytes) } else { None };
    crew.outputs().into_iter().filter_map(sent).collect()
}

/// What each side hears, the inviter first, until the other is let in.
fn heard(by_code: bool) -> [Vec<Vec<u8>>; 2] {
    let (mut inviter, mut joiner) = connected(by_code);
    let (mut to_inviter, mut to_joiner) = (Vec::new(), Vec::new());
    for _ in 0..4 {
        for frame in frames_of(&mut joiner) {
            hear(&mut inviter, &frame);
            to_inviter.push(frame);
        }
        let _ = inviter.answer(true, 1);
        for frame in frames_of(&mut inviter) {
            hear(&mut joiner, &frame);
            to_joiner.push(frame);
        }
    }
    [to_inviter, to_joiner]
}

fn meetings() -> Vec<Vec<u8>> {
    let said = |who: u8, frames: &[Vec<u8>]| {
        let frames: Vec<u8> = frames.iter().flat_map(|frame| counted(frame)).collect();
        [&[who][..], &frames].concat()
    };
    let ([text, back], [code, coded]) = (heard(false), heard(true));
    vec![said(INVITER, &text), said(INVITER, &code), said(BY_TEXT, &back), said(BY_CODE, &coded)]
}

/// Whether somebody was let in by it.
fn meeting(input: &[u8]) -> bool {
    let Some((who, mut rest)) = input.split_first() else { return false };
    let (mut inviter, mut joiner) = connected(*who == BY_CODE);
    let before = inviter.roster().map(Roster::to_list);
    let crew = if *who == INVITER { &mut inviter } else { &mut joiner };
    let mut sent = 0;
    while let Some((length, behind)) = rest.split_first_chunk::<4>() {
        let length = usize::try_from(u32::from_le_bytes(*length)).unwrap_or(usize::MAX).min(behind.len());
        hear(crew, &behind[..length]);
        rest = &behind[length..];
        sent += frames_of(crew).len();
    }
    let asked = crew.who_asks().is_some();
    if asked {
        assert_eq!(crew.answer(true, 1), Ok(()));
        return inviter.roster().is_some_and(|roster| roster.is_member(joiner.public()));
    }
    if *who == INVITER {
        assert_eq!(inviter.roster().map(Roster::to_list), before, "somebody was let in whom nobody answered");
        assert!(sent <= 1, "before the proof it has nothing to say but its half of the exchange");
        return false;
    }
    assert_eq!(joiner.is_member(), joiner.roster().is_some());
    joiner.is_member()
}

/// What is said in the frame that lets somebody in (kind, proof, length, body), by the text and by the code.
fn welcomes() -> Vec<Vec<u8>> {
    let frames = [heard(false), heard(true)].concat().concat();
    let mut all: Vec<Vec<u8>> =
        frames.iter().filter(|frame| frame.first() == Some(&35)).map(|frame| frame[37..].to_vec()).collect();
    let roster = crew();
    let list: Vec<u8> = roster.to_list().iter().flat_map(|one| counted(one)).collect();
    all.push([&roster.crew().0[..], &[0], &3_u32.to_le_bytes(), &list].concat());
    all
}

fn welcome(input: &[u8]) -> bool {
    let Some(again) = welcome_again(input) else { return false };
    assert_eq!(welcome_again(&again).as_ref(), Some(&again));
    assert!(again.len() <= input.len(), "{} bytes became {}", input.len(), again.len());
    true
}

/// A place for secrets that holds one.
#[derive(Debug)]
struct Chest;

impl Lockbox for Chest {
    fn name(&self) -> &'static str {
        "a-box"
    }

    fn put(&self, _: &[u8; 32]) -> Result<Option<String>, String> {
        Ok(Some("0".to_owned()))
    }

    fn take(&self, word: &str) -> Result<[u8; 32], String> {
        if word == "0" { Ok([7; 32]) } else { Err("no such secret".to_owned()) }
    }
}

fn key_files() -> Vec<Vec<u8>> {
    vec![format!("{}\n", PublicKey([0xab; 32])).into_bytes(), b"a-box 0\n".to_vec()]
}

fn key_file(input: &[u8]) -> bool {
    let scratch = Scratch::new("device-key");
    let path = scratch.0.join("device.key");
    if fs::write(&path, input).is_err() {
        return false;
    }
    let found = outside::device_key(&scratch.0, [9; 32], &Chest);
    assert_eq!(fs::read(&path).ok().as_deref(), Some(input), "the file was written over");
    match found {
        Ok((key, new)) => {
            assert!(!new && key != SecretKey::from_seed([9; 32]).public(), "another key was drawn");
            true
        }
        Err(problem) => {
            let known = ["crew.key_damaged", "crew.key_elsewhere", "crew.key_locked", "store.io"];
            assert!(known.contains(&problem.code.as_str()), "{problem}");
            false
        }
    }
}
