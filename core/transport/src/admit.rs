//! Who may connect, decided where the handshake ends: a device that may not come in sees a closed door and a number.

use std::sync::{Arc, PoisonError, RwLock};

use drylay_sync::{Admission, PublicKey, Purpose, Why};
use iroh::endpoint::{AfterHandshakeOutcome, Connection, EndpointHooks, Side, VarInt};

/// The word for a connection's purpose in the handshake.
pub(crate) fn word(purpose: Purpose) -> &'static [u8] {
    match purpose {
        Purpose::Crew => b"drylay/crew/1",
        Purpose::Introduce => b"drylay/introduce/1",
        Purpose::Join => b"drylay/join/1",
    }
}

/// All purposes.
pub(crate) const PURPOSES: [Purpose; 3] = [Purpose::Crew, Purpose::Introduce, Purpose::Join];

/// The purpose that a word of the handshake stands for.
pub(crate) fn purpose(said: &[u8]) -> Option<Purpose> {
    PURPOSES.into_iter().find(|purpose| word(*purpose) == said)
}

/// The number that the other side is told when a connection is ended. Only two of them matter to it: that it does not
/// belong here, and everything else.
pub(crate) fn number(why: Why) -> VarInt {
    VarInt::from_u32(match why {
        Why::Done => 0,
        Why::Double => 1,
        Why::Silent => 2,
        Why::Trouble => 3,
        Why::Garbled => 400,
        Why::NoInvitation => 401,
        Why::NotOfCrew => 403,
        Why::OtherVersion => 505,
    })
}

/// The door, shared between the endpoint and the driver.
#[derive(Clone, Debug, Default)]
pub(crate) struct Door(Arc<RwLock<Admission>>);

impl Door {
    /// Says who may come from now on.
    pub(crate) fn set(&self, admission: Admission) {
        *self.0.write().unwrap_or_else(PoisonError::into_inner) = admission;
    }

    fn refuses(&self, key: PublicKey, said: &[u8]) -> Option<Why> {
        let admission = self.0.read().unwrap_or_else(PoisonError::into_inner);
        match purpose(said) {
            Some(Purpose::Crew) => (!admission.members.contains(&key)).then_some(Why::NotOfCrew),
            Some(Purpose::Introduce) => (!admission.introductions).then_some(Why::NotOfCrew),
            Some(Purpose::Join) => (!admission.joining).then_some(Why::NoInvitation),
            None => Some(Why::OtherVersion),
        }
    }
}

impl EndpointHooks for Door {
    async fn after_handshake<'a>(&'a self, connection: &'a Connection) -> AfterHandshakeOutcome {
        if connection.side() == Side::Client {
            return AfterHandshakeOutcome::accept();
        }
        match self.refuses(PublicKey(*connection.remote_id().as_bytes()), connection.alpn()) {
            None => AfterHandshakeOutcome::accept(),
            Some(why) => AfterHandshakeOutcome::Reject { error_code: number(why), reason: Vec::new() },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_members_come_as_members_and_strangers_only_while_it_is_open_to_them() {
        let door = Door::default();
        let (member, stranger) = (PublicKey([1; 32]), PublicKey([2; 32]));
        for said in PURPOSES {
            assert!(door.refuses(member, word(said)).is_some(), "nobody comes before the crew has spoken");
        }
        door.set(Admission { members: [member].into(), introductions: true, joining: false });
        assert_eq!(door.refuses(member, word(Purpose::Crew)), None);
        assert_eq!(door.refuses(stranger, word(Purpose::Crew)), Some(Why::NotOfCrew));
        assert_eq!(door.refuses(stranger, word(Purpose::Introduce)), None);
        assert_eq!(door.refuses(stranger, word(Purpose::Join)), Some(Why::NoInvitation));
        assert_eq!(door.refuses(member, b"another protocol"), Some(Why::OtherVersion));
        door.set(Admission { joining: true, ..Admission::default() });
        assert_eq!(door.refuses(stranger, word(Purpose::Join)), None);
        assert_eq!(door.refuses(stranger, word(Purpose::Introduce)), Some(Why::NotOfCrew));
    }
}
