//! However the network behaves, everybody ends with the same, and nothing that was acknowledged is lost.

use super::device::{Device, Disk, key, named};
use super::net::Net;
use crate::{Claim, Input, Kept, Roster};
use drylay_document::{DocumentId, Kind};
use fastrand::Rng;
use std::collections::BTreeSet;

/// How many made-up networks are lived through; `DRYLAY_SYNC_RUNS=10000` for the long run.
fn runs() -> u64 {
    std::env::var("DRYLAY_SYNC_RUNS").ok().and_then(|text| text.parse().ok()).unwrap_or(500)
}

/// What a crew of so many devices keeps, each let in by the one before it.
pub(super) fn crew_of(count: u8) -> Kept {
    let mut roster = Roster::found(&key(0), [7; 16], named(0), 0);
    for n in 1..count {
        let claim = Claim::Add { key: key(n).public(), device: named(n), may_remove: false };
        roster.say(&key(n - 1), 0, claim);
    }
    Kept { crew: roster.crew(), statements: roster.to_list(), shop: None }
}

/// A crew that lives through a day of bad network.
struct Day {
    net: Net,
    acknowledged: BTreeSet<String>,
    jobs: Vec<DocumentId>,
    rooms: Vec<DocumentId>,
    copies: Vec<Option<Disk>>,
    entries: u32,
    files: u32,
}

impl Day {
    fn new(seed: u64, kept: &[Kept]) -> Self {
        let mut rng = Rng::with_seed(seed);
        let count = rng.u8(2..=6);
        let kept = &kept[usize::from(count)];
        let devices = (0..count).map(|n| Device::new(n, seed, Some(kept.clone()))).collect();
        Self {
            net: Net::new(devices, seed ^ 0x5eed),
            acknowledged: BTreeSet::new(),
            jobs: Vec::new(),
            rooms: Vec::new(),
            copies: vec![None; usize::from(count)],
            entries: 0,
            files: 0,
        }
    }

    fn any_device(&mut self) -> u8 {
        let count = self.net.count();
        self.net.rng.u8(..count)
    }

    fn new_id(&mut self) -> DocumentId {
        let mut id = [0; 16];
        self.net.rng.fill(&mut id);
        DocumentId(id)
    }

    fn step(&mut self) {
        let n = self.any_device();
        match self.net.rng.u8(..100) {
            0..4 => self.make_job(n),
            4..10 => self.make_room(n),
            10..34 => self.measure(n),
            34..40 => self.photograph(n),
            40..45 => {
                let other = self.any_device();
                if other != n {
                    self.net.cut(n, other);
                }
            }
            45..52 => self.net.cut.clear(),
            52..56 => {
                let conns: Vec<u64> = self.net.conns.keys().copied().collect();
                if let Some(conn) = self.net.rng.choice(conns) {
                    self.net.break_conn(conn);
                }
            }
            56..58 => self.restart(n),
            58..60 => {
                self.copies[usize::from(n)] = Some(self.net.devices[usize::from(n)].rack.disk.clone());
            }
            60..61 => self.restart_from_a_copy(n),
            61..63 => self.fill_disk(n),
            63..70 => self.net.pass(700),
            _ => {
                let steps = self.net.rng.usize(1..20);
                self.net.live(steps);
            }
        }
    }

    fn make_job(&mut self, n: u8) {
        let id = self.new_id();
        self.net.devices[usize::from(n)].make(Kind::Job, id, None);
        self.jobs.push(id);
        self.net.input(n, Input::Changed { document: id });
    }

    fn make_room(&mut self, n: u8) {
        let (id, job) = (self.new_id(), self.net.rng.choice(self.jobs.clone()));
        self.net.devices[usize::from(n)].make(Kind::Room, id, job);
        self.rooms.push(id);
        self.net.input(n, Input::Changed { document: id });
    }

    fn held(&mut self, n: u8, all: &[DocumentId]) -> Option<DocumentId> {
        let disk = &self.net.devices[usize::from(n)].rack.disk;
        let here: Vec<DocumentId> =
            all.iter().copied().filter(|id| disk.documents.contains_key(id)).collect();
        self.net.rng.choice(here)
    }

    fn measure(&mut self, n: u8) {
        let Some(room) = self.held(n, &self.rooms.clone()) else { return };
        self.entries += 1;
        let entry = format!("reading {}", self.entries);
        self.net.devices[usize::from(n)].measure(room, &entry);
        self.acknowledged.insert(entry);
        self.net.input(n, Input::Changed { document: room });
    }

    fn photograph(&mut self, n: u8) {
        let Some(job) = self.held(n, &self.jobs.clone()) else { return };
        self.files += 1;
        let entry = format!("photo {}", self.files);
        let size = self.net.rng.usize(..220_000);
        let mut content = vec![0; size];
        self.net.rng.fill(&mut content[..size.min(16)]);
        self.net.devices[usize::from(n)].photograph(job, &entry, content);
        self.acknowledged.insert(entry);
        self.net.input(n, Input::Changed { document: job });
    }

    fn fill_disk(&mut self, n: u8) {
        self.net.devices[usize::from(n)].rack.full = true;
        self.net.live(10);
        self.net.devices[usize::from(n)].rack.full = false;
    }

    fn restart(&mut self, n: u8) {
        let disk = self.net.devices[usize::from(n)].rack.disk.clone();
        self.net.drop_conns_of(n);
        self.net.devices[usize::from(n)].restart(disk);
        self.net.drain(n);
    }

    /// What a device had only on its own disk is lost with it; nothing else is.
    fn restart_from_a_copy(&mut self, n: u8) {
        let Some(disk) = self.copies[usize::from(n)].clone() else { return };
        self.net.drop_conns_of(n);
        self.net.devices[usize::from(n)].restart(disk);
        let kept: BTreeSet<String> = self.net.devices.iter_mut().flat_map(Device::entries).collect();
        self.acknowledged.retain(|entry| kept.contains(entry));
        self.net.drain(n);
    }

    fn come_together(&mut self) {
        self.net.cut.clear();
        self.net.settle();
    }

    fn check(&mut self, seed: u64) {
        let first = self.net.devices[0].heads();
        for device in &mut self.net.devices {
            assert_eq!(device.heads(), first, "seed {seed}: device {} differs", device.n);
            let entries: BTreeSet<String> = device.entries().into_iter().collect();
            let lost: Vec<&String> = self.acknowledged.difference(&entries).collect();
            assert!(lost.is_empty(), "seed {seed}: device {} lost {lost:?}", device.n);
        }
        // Files that some device still has are everywhere, and are what their names say.
        let all: BTreeSet<[u8; 32]> =
            self.net.devices.iter().flat_map(|device| device.rack.disk.files.keys().copied()).collect();
        let named: BTreeSet<[u8; 32]> = self.net.devices[0].named_files();
        for device in &mut self.net.devices {
            for hash in all.intersection(&named) {
                let content = device.rack.disk.files.get(hash);
                let content = content.unwrap_or_else(|| panic!("seed {seed}: {} lacks a file", device.n));
                assert_eq!(blake3::hash(content).as_bytes(), hash);
            }
            if named.is_subset(&all) {
                let peers = device.crew.peers();
                assert!(peers.iter().all(|peer| peer.level), "seed {seed}: {} {peers:#?}", device.n);
            }
        }
    }
}

#[test]
fn everybody_ends_level_and_nothing_acknowledged_is_lost() {
    let kept: Vec<Kept> = (0..=6).map(|count| crew_of(count.max(1))).collect();
    let (runs, first) = (runs(), std::env::var("DRYLAY_SYNC_SEED").ok().and_then(|it| it.parse().ok()));
    let seeds = first.map_or(0..runs, |first: u64| first..first + 1);
    let (mut acknowledged, mut files) = (0, 0);
    for seed in seeds {
        let mut day = Day::new(seed, &kept);
        let steps = day.net.rng.usize(40..160);
        (0..steps).for_each(|_| day.step());
        day.come_together();
        day.check(seed);
        acknowledged += day.acknowledged.len();
        files += day.files;
    }
    assert!(first.is_some() || (acknowledged > 10 && files > 5), "hardly anything was done");
}
