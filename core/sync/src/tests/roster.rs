//! Who belongs to the crew.

use crate::keys::SecretKey;
use crate::roster::{Roster, RosterError};
use crate::statement::{Claim, DeviceName, Statement};
use proptest::prelude::*;
use std::collections::BTreeSet;

fn key(n: u8) -> SecretKey {
    SecretKey::from_seed([n; 32])
}

fn named(n: u8) -> DeviceName {
    DeviceName { id: [n; 16], name: format!("device {n}") }
}

fn add(n: u8) -> Claim {
    Claim::Add { key: key(n).public(), device: named(n), may_remove: false }
}

fn trust(n: u8) -> Claim {
    Claim::Add { key: key(n).public(), device: named(n), may_remove: true }
}

fn remove(n: u8) -> Claim {
    Claim::Remove { key: key(n).public() }
}

fn founded() -> Roster {
    Roster::found(&key(1), [9; 16], named(1), 0)
}

fn who(roster: &Roster) -> Vec<u8> {
    roster
        .members()
        .values()
        .map(|member| member.device.id[0])
        .collect::<BTreeSet<u8>>()
        .into_iter()
        .collect()
}

fn join(one: &mut Roster, other: &Roster) {
    let list = other.to_list();
    one.take(list.iter().map(Vec::as_slice)).expect("sound statements");
}

#[test]
fn members_let_others_in_and_the_founder_removes_them() {
    let mut roster = founded();
    roster.say(&key(1), 1, add(2));
    roster.say(&key(2), 2, add(3));
    assert_eq!(who(&roster), [1, 2, 3]);
    roster.say(&key(1), 3, remove(2));
    // What the removed device had done before stays done.
    assert_eq!(who(&roster), [1, 3]);
    assert_eq!(roster.removed().len(), 1);
}

#[test]
fn a_stranger_lets_nobody_in_and_removes_nobody() {
    let mut roster = founded();
    roster.say(&key(1), 1, add(2));
    roster.say(&key(7), 2, add(8));
    roster.say(&key(7), 2, add(7));
    roster.say(&key(7), 3, remove(2));
    assert_eq!(who(&roster), [1, 2]);
    let other = Roster::found(&key(7), [9; 16], named(7), 0);
    let list = other.to_list();
    assert_eq!(roster.take(list.iter().map(Vec::as_slice)), Err(RosterError::OtherCrew));
}

#[test]
fn only_trusted_devices_remove_and_nobody_removes_the_founder() {
    let mut roster = founded();
    roster.say(&key(1), 1, trust(2));
    roster.say(&key(1), 1, add(3));
    roster.say(&key(3), 2, add(4));
    roster.say(&key(3), 3, remove(4));
    assert_eq!(who(&roster), [1, 2, 3, 4], "a member that is not trusted removes nobody");
    roster.say(&key(2), 4, remove(4));
    roster.say(&key(2), 4, remove(1));
    assert_eq!(who(&roster), [1, 2, 3]);
    assert!(roster.may_remove(key(2).public(), key(3).public()));
    assert!(!roster.may_remove(key(3).public(), key(2).public()));
    assert!(!roster.may_remove(key(2).public(), key(1).public()));
    roster.say(&key(3), 5, remove(3));
    assert_eq!(who(&roster), [1, 2], "everybody may leave");
}

#[test]
fn trust_given_by_anybody_but_the_founder_is_none() {
    let mut roster = founded();
    roster.say(&key(1), 1, add(2));
    roster.say(&key(2), 2, trust(3));
    roster.say(&key(3), 3, remove(2));
    assert_eq!(who(&roster), [1, 2, 3]);
}

#[test]
fn a_removed_device_lets_nobody_in_however_it_dates_it() {
    let mut roster = founded();
    roster.say(&key(1), 1, add(2));
    // The device that will be removed prepares a friend on a copy of its own, and the friend another.
    let mut apart = roster.clone();
    apart.say(&key(2), -1_000_000, add(5));
    apart.say(&key(5), -1_000_000, add(6));
    roster.say(&key(1), 9, remove(2));
    join(&mut roster, &apart);
    assert_eq!(who(&roster), [1]);
    // In knowledge of the removal it says something on: still nothing.
    roster.say(&key(2), 10, add(7));
    assert_eq!(who(&roster), [1]);
}

#[test]
fn an_addition_made_in_knowledge_of_the_removal_brings_a_device_back() {
    let mut roster = founded();
    roster.say(&key(1), 1, add(2));
    let mut apart = roster.clone();
    roster.say(&key(1), 2, remove(2));
    apart.say(&key(1), 2, add(2));
    join(&mut roster, &apart);
    assert_eq!(who(&roster), [1], "an addition that knew nothing of the removal does not");
    roster.say(&key(1), 3, add(2));
    assert_eq!(who(&roster), [1, 2]);
    roster.say(&key(2), 4, add(3));
    assert_eq!(who(&roster), [1, 2, 3]);
}

#[test]
fn a_statement_that_was_tampered_with_is_refused() {
    let mut roster = founded();
    let said = roster.say(&key(1), 1, add(2)).to_bytes();
    for at in 0..said.len() {
        let mut bad = said.clone();
        bad[at] ^= 1;
        assert_eq!(Statement::read(&bad), None, "byte {at}");
    }
    assert_eq!(Statement::read(&said[..said.len() - 1]), None);
}

#[derive(Clone, Debug)]
enum Step {
    Say { on: usize, by: u8, claim: u8, whom: u8 },
    Meet { one: usize, other: usize },
}

fn step() -> impl Strategy<Value = Step> {
    prop_oneof![
        (0..3_usize, 1..7_u8, 0..4_u8, 1..7_u8).prop_map(|(on, by, claim, whom)| Step::Say {
            on,
            by,
            claim,
            whom
        }),
        (0..3_usize, 0..3_usize).prop_map(|(one, other)| Step::Meet { one, other }),
    ]
}

proptest! {
    /// Whatever anybody says apart, the same statements give the same crew in every order, the founder stays, and
    /// whoever was never let in by a member is none.
    #[test]
    fn everybody_works_out_the_same_crew(steps in prop::collection::vec(step(), 1..40), seed in any::<u64>()) {
        let mut copies = vec![founded(); 3];
        for step in steps {
            match step {
                Step::Say { on, by, claim, whom } => {
                    let claim = match claim { 0 => add(whom), 1 => trust(whom), _ => remove(whom) };
                    copies[on].say(&key(by), 0, claim);
                }
                Step::Meet { one, other } => {
                    let other = copies[other].clone();
                    join(&mut copies[one], &other);
                }
            }
        }
        let mut all: Vec<Vec<u8>> = copies.iter().flat_map(Roster::to_list).collect();
        let reckon = |order: &[Vec<u8>]| {
            let mut roster = Roster::of(founded().crew());
            for bytes in order {
                roster.take([bytes.as_slice()]).expect("sound");
            }
            roster.members().clone()
        };
        let one = reckon(&all);
        fastrand::Rng::with_seed(seed).shuffle(&mut all);
        prop_assert_eq!(&one, &reckon(&all));
        prop_assert!(one.contains_key(&key(1).public()));
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        prop_assert_eq!(Statement::read(&bytes), None);
    }
}
