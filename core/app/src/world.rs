//! What the core cannot know by itself: the time, and chance. Whoever opens a session gives them.

use drylay_document::Timestamp;

/// The outside world as far as the core needs it.
pub trait World: Send + Sync + std::fmt::Debug {
    /// The time by this device's clock, and its zone. It may be wrong, so nothing is ever decided by it.
    fn now(&self) -> Timestamp;
    /// 128 random bits, never the same twice.
    fn random_id(&self) -> [u8; 16];
}
