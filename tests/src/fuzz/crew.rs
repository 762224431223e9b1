//! What other devices say: frames of the protocol, signed statements, what is kept of the crew.

use drylay_sync::{Claim, CrewId, DeviceName, Kept, Roster, SecretKey, Statement, said_again};

use super::Target;

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
    assert!(roster.to_list().starts_with(&before) || roster.to_list().len() >= before.len());
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
