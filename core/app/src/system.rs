//! The real world: the system's clock and its random numbers. Only programs use it; tests bring their own.

use crate::world::{Lockbox, World};
use drylay_document::Timestamp;
use std::path::Path;

/// This device.
#[derive(Clone, Copy, Debug, Default)]
pub struct System;

impl World for System {
    fn now(&self) -> Timestamp {
        let now = chrono::Local::now();
        let zone_minutes = i16::try_from(now.offset().local_minus_utc() / 60).unwrap_or(0);
        Timestamp { utc_ms: now.timestamp_millis(), zone_minutes }
    }

    fn random_id(&self) -> [u8; 16] {
        let mut id = [0; 16];
        getrandom::fill(&mut id).expect("without the system's random numbers no id would be safe");
        id
    }

    fn free_bytes(&self, folder: &Path) -> Option<u64> {
        fs4::available_space(folder).ok()
    }
}

/// This device, and the place where its system keeps secrets.
#[derive(Clone, Copy, Debug)]
pub struct WithLockbox<L>(pub L);

impl<L: Lockbox> World for WithLockbox<L> {
    fn now(&self) -> Timestamp {
        System.now()
    }

    fn random_id(&self) -> [u8; 16] {
        System.random_id()
    }

    fn free_bytes(&self, folder: &Path) -> Option<u64> {
        System.free_bytes(folder)
    }

    fn lockbox(&self) -> Option<&dyn Lockbox> {
        Some(&self.0)
    }
}
