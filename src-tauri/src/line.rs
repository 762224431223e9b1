//! The line to the crew: the network for as long as the app runs, begun anew where the system binds it elsewhere.

use crate::door::Core;
use drylay_transport::{Network, Options};
use std::sync::{Mutex, PoisonError};

/// The network, if there is one.
pub(crate) struct Line {
    core: Core,
    network: Mutex<Option<Network>>,
}

impl Line {
    /// Meets the crew. Without a network, or with a store that is only read, it goes without.
    pub(crate) fn new(core: &Core) -> Self {
        Self { core: core.clone(), network: Mutex::new(begin(core)) }
    }

    /// The way to the others may be another one now.
    #[cfg(target_os = "android")]
    pub(crate) fn changed(&self) {
        if let Some(network) = &*self.network.lock().unwrap_or_else(PoisonError::into_inner) {
            network.changed();
        }
    }

    /// Ends it and begins it again: sockets stay on the network that they were opened on.
    #[cfg_attr(
        not(target_os = "android"),
        allow(dead_code, reason = "only a phone binds programs to networks")
    )]
    pub(crate) fn again(&self) {
        let mut network = self.network.lock().unwrap_or_else(PoisonError::into_inner);
        // The port must be free before it is taken again.
        drop(network.take());
        *network = begin(&self.core);
    }
}

fn begin(core: &Core) -> Option<Network> {
    let engine = core.session()?.engine().ok()?;
    match Network::start(engine, Options::default()) {
        Ok(network) => Some(network),
        Err(error) => {
            core.note(&format!("no network for the crew: {error}"));
            None
        }
    }
}
