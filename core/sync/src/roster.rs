//! Who belongs to the crew, worked out from signed statements, the same on every device in whatever order they came.
//!
//! 1. The founder's key is in the crew's id; what the founder says always counts. So nobody can remove the founder.
//!    Where that device is lost, the others found a new crew: the jobs are theirs.
//! 2. Every member may add a device.
//! 3. The founder may remove any device; a device that the founder trusts with it may remove any that is not
//!    trusted; every device may remove itself.
//! 4. A removal beats whatever the removed device signs without the removal having been built on it: a removed
//!    device, or whoever has its key, can date things back as it likes and adds nobody. Only an addition that was
//!    made in knowledge of the removal brings a device back.
//! 5. A statement whose forerunners are not known yet waits.

use std::collections::{BTreeMap, BTreeSet};

use crate::keys::{PublicKey, SecretKey};
use crate::statement::{Claim, CrewId, DeviceName, Statement, ends};

/// The most statements that a crew has; a crew of ten that changes its phones every year needs some hundred years.
pub const MOST_STATEMENTS: usize = 4096;

/// All statements that are known, and what follows from them.
#[derive(Clone, Debug)]
pub struct Roster {
    crew: CrewId,
    statements: BTreeMap<[u8; 32], Statement>,
    members: BTreeMap<PublicKey, Member>,
    removed: BTreeMap<PublicKey, Member>,
}

/// A device of the crew.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Member {
    /// What it is called.
    pub device: DeviceName,
    /// Whether it founded the crew.
    pub founder: bool,
    /// Whether it may remove others.
    pub may_remove: bool,
    /// Who let it in.
    pub added_by: PublicKey,
    /// When, by the clock of who let it in.
    pub added_utc_ms: i64,
}

/// Why a statement was not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RosterError {
    /// It is no statement, or its signature is wrong.
    #[error("this is no signed statement")]
    Unreadable,
    /// It is about another crew.
    #[error("this statement is about another crew")]
    OtherCrew,
    /// There are too many.
    #[error("the crew has more statements than can be")]
    TooMany,
}

impl Roster {
    /// A crew with its founder.
    pub fn found(key: &SecretKey, nonce: [u8; 16], device: DeviceName, utc_ms: i64) -> Self {
        let crew = CrewId::of(key.public(), &nonce);
        let first = Statement::sign(crew, key, utc_ms, Vec::new(), Claim::Found { nonce, device });
        let mut roster = Self::of(crew);
        roster.statements.insert(first.hash(), first);
        roster.reckon();
        roster
    }

    /// A crew of which nothing is known but its id.
    pub fn of(crew: CrewId) -> Self {
        Self { crew, statements: BTreeMap::new(), members: BTreeMap::new(), removed: BTreeMap::new() }
    }

    /// The crew's id.
    pub fn crew(&self) -> CrewId {
        self.crew
    }

    /// Takes in statements as bytes, in any order, twice or again; says whether any was new.
    ///
    /// # Errors
    /// Says why one was not taken; those before it were.
    pub fn take<'b>(&mut self, statements: impl IntoIterator<Item = &'b [u8]>) -> Result<bool, RosterError> {
        let before = self.statements.len();
        let taken = statements.into_iter().try_for_each(|bytes| self.take_one(bytes));
        if self.statements.len() > before {
            self.reckon();
        }
        taken.map(|()| self.statements.len() > before)
    }

    fn take_one(&mut self, bytes: &[u8]) -> Result<(), RosterError> {
        let hash = *blake3::hash(bytes).as_bytes();
        if self.statements.contains_key(&hash) {
            return Ok(());
        }
        if self.statements.len() >= MOST_STATEMENTS {
            return Err(RosterError::TooMany);
        }
        let statement = Statement::read(bytes).ok_or(RosterError::Unreadable)?;
        if statement.crew != self.crew {
            return Err(RosterError::OtherCrew);
        }
        self.statements.insert(hash, statement);
        Ok(())
    }

    /// All statements as bytes, for a peer or for the disk.
    pub fn to_list(&self) -> Vec<Vec<u8>> {
        self.statements.values().map(Statement::to_bytes).collect()
    }

    /// The devices that belong to the crew, by key.
    pub fn members(&self) -> &BTreeMap<PublicKey, Member> {
        &self.members
    }

    /// The devices that once did.
    pub fn removed(&self) -> &BTreeMap<PublicKey, Member> {
        &self.removed
    }

    /// Whether this key is a member's.
    pub fn is_member(&self, key: PublicKey) -> bool {
        self.members.contains_key(&key)
    }

    /// Whether one member may remove another.
    pub fn may_remove(&self, who: PublicKey, whom: PublicKey) -> bool {
        let (Some(who_is), Some(whom_is)) = (self.members.get(&who), self.members.get(&whom)) else {
            return false;
        };
        !whom_is.founder && (who == whom || who_is.founder || (who_is.may_remove && !whom_is.may_remove))
    }

    /// Says and signs something, and takes it in.
    pub fn say(&mut self, key: &SecretKey, utc_ms: i64, claim: Claim) -> Statement {
        let known = self.complete();
        let known = known.iter().filter_map(|hash| Some((*hash, self.statements.get(hash)?)));
        let before = ends(known);
        let said = Statement::sign(self.crew, key, utc_ms, before, claim);
        self.statements.insert(said.hash(), said.clone());
        self.reckon();
        said
    }

    /// The statements all of whose forerunners are known, each after its forerunners.
    fn complete(&self) -> Vec<[u8; 32]> {
        let mut done: BTreeSet<[u8; 32]> = BTreeSet::new();
        let mut order = Vec::new();
        loop {
            let ready: Vec<[u8; 32]> = self
                .statements
                .iter()
                .filter(|(hash, it)| !done.contains(*hash) && it.before.iter().all(|h| done.contains(h)))
                .map(|(hash, _)| *hash)
                .collect();
            if ready.is_empty() {
                return order;
            }
            done.extend(&ready);
            order.extend(ready);
        }
    }

    fn reckon(&mut self) {
        let reckoning = Reckoning::of(self);
        let (members, removed) = (reckoning.members(true), reckoning.members(false));
        (self.members, self.removed) = (members, removed);
    }
}

/// What follows from the statements, step by step.
struct Reckoning<'r> {
    founder: Option<PublicKey>,
    order: Vec<&'r Statement>,
    /// For each statement, which of those before it in the order it builds on, directly or not.
    past: Vec<BTreeSet<usize>>,
    removals: Vec<usize>,
    additions: Vec<usize>,
}

impl<'r> Reckoning<'r> {
    fn of(roster: &'r Roster) -> Self {
        let order = roster.complete();
        let place: BTreeMap<[u8; 32], usize> = order.iter().enumerate().map(|(n, hash)| (*hash, n)).collect();
        let order: Vec<&Statement> = order.iter().filter_map(|hash| roster.statements.get(hash)).collect();
        let mut past: Vec<BTreeSet<usize>> = Vec::new();
        for statement in &order {
            let direct = statement.before.iter().filter_map(|hash| place.get(hash));
            past.push(direct.flat_map(|n| past[*n].iter().copied().chain([*n])).collect());
        }
        let founded = |it: &&&Statement| matches!(&it.claim, Claim::Found { nonce, .. } if CrewId::of(it.by, nonce) == roster.crew);
        let founder = order.iter().find(founded).map(|it| it.by);
        let mut reckoning = Self { founder, order, past, removals: Vec::new(), additions: Vec::new() };
        reckoning.count_removals();
        reckoning.count_additions();
        reckoning
    }

    fn count_removals(&mut self) {
        let all: Vec<(usize, PublicKey)> = (0..self.order.len())
            .filter_map(|n| match self.order[n].claim {
                Claim::Remove { key } if Some(key) != self.founder => Some((n, key)),
                _ => None,
            })
            .collect();
        let by = |n: usize| self.order[n].by;
        let sure = all.iter().filter(|(n, key)| Some(by(*n)) == self.founder || by(*n) == *key);
        self.removals = sure.map(|(n, _)| *n).collect();
        // Trust comes from the founder alone, so whose removals count never depends on other trusted devices'.
        self.additions = (0..self.order.len()).filter(|n| self.gives_trust(*n).is_some()).collect();
        let trusted: BTreeSet<PublicKey> =
            self.additions.iter().filter_map(|n| self.gives_trust(*n)).collect();
        let more = all.iter().filter(|(n, key)| {
            !self.removals.contains(n) && !trusted.contains(key) && self.speaks_for_the_crew(*n)
        });
        let more: Vec<usize> = more.map(|(n, _)| *n).collect();
        self.removals.extend(more);
    }

    fn count_additions(&mut self) {
        self.additions = Vec::new();
        for n in 0..self.order.len() {
            let counts = match self.order[n].claim {
                Claim::Found { .. } => Some(self.order[n].by) == self.founder,
                Claim::Add { .. } => self.speaks_for_the_crew(n),
                Claim::Remove { .. } => false,
            };
            if counts {
                self.additions.push(n);
            }
        }
    }

    fn gives_trust(&self, n: usize) -> Option<PublicKey> {
        match self.order[n].claim {
            Claim::Add { key, may_remove: true, .. } if Some(self.order[n].by) == self.founder => Some(key),
            _ => None,
        }
    }

    /// Whether the signer of a statement belonged to the crew as far as the statement itself knew, and no removal
    /// of the signer stands against it.
    fn speaks_for_the_crew(&self, n: usize) -> bool {
        let by = self.order[n].by;
        let stands_against = |addition: usize| {
            self.removals_of(by).any(|r| !self.past[r].contains(&n) && !self.past[addition].contains(&r))
        };
        Some(by) == self.founder
            || self.additions_of(by).any(|a| self.past[n].contains(&a) && !stands_against(a))
    }

    fn removals_of(&self, whom: PublicKey) -> impl Iterator<Item = usize> {
        let of = move |n: &usize| self.order[*n].claim == Claim::Remove { key: whom };
        self.removals.iter().copied().filter(of)
    }

    fn additions_of(&self, whom: PublicKey) -> impl Iterator<Item = usize> {
        let of = move |n: &usize| self.entry(*n).is_some_and(|(key, _)| key == whom);
        self.additions.iter().copied().filter(of)
    }

    /// Whom a statement lets in.
    fn entry(&self, n: usize) -> Option<(PublicKey, Member)> {
        let it = self.order[n];
        let (key, device, trusted) = match &it.claim {
            Claim::Found { device, .. } => (it.by, device, true),
            Claim::Add { key, device, may_remove } => {
                (*key, device, *may_remove && Some(it.by) == self.founder)
            }
            Claim::Remove { .. } => return None,
        };
        let founder = Some(key) == self.founder;
        let member = Member {
            device: device.clone(),
            founder,
            may_remove: trusted || founder,
            added_by: it.by,
            added_utc_ms: it.utc_ms,
        };
        Some((key, member))
    }

    /// Those who belong to the crew, or those who were let in once and no longer do.
    fn members(&self, belonging: bool) -> BTreeMap<PublicKey, Member> {
        let mut members: BTreeMap<PublicKey, Member> = BTreeMap::new();
        let all: BTreeSet<PublicKey> =
            self.additions.iter().filter_map(|n| self.entry(*n)).map(|(key, _)| key).collect();
        for key in all {
            let standing = |a: &usize| {
                Some(key) == self.founder || self.removals_of(key).all(|r| self.past[*a].contains(&r))
            };
            let belongs = self.additions_of(key).any(|a| standing(&a));
            for (key, member) in self
                .additions_of(key)
                .filter(|a| belongs == belonging && (!belonging || standing(a)))
                .filter_map(|a| self.entry(a))
            {
                // The latest entry gives the name; trust that was given once stays.
                let trusted = member.may_remove || members.get(&key).is_some_and(|known| known.may_remove);
                members.insert(key, Member { may_remove: trusted, ..member });
            }
        }
        members
    }
}
