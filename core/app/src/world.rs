//! What the core cannot know by itself: the time, and chance. Whoever opens a session gives them.

use drylay_document::Timestamp;
use std::path::Path;

/// The outside world as far as the core needs it.
pub trait World: Send + Sync + std::fmt::Debug {
    /// The time by this device's clock, and its zone. It may be wrong, so nothing is ever decided by it.
    fn now(&self) -> Timestamp;
    /// 128 random bits, never the same twice.
    fn random_id(&self) -> [u8; 16];
    /// How many bytes can still be written where a folder is; `None` where nobody can say.
    fn free_bytes(&self, folder: &Path) -> Option<u64> {
        let _ = folder;
        None
    }
}
