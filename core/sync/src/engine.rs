//! What stands between the network and the crew: whoever holds the documents.

use crate::crew::{Input, Output};
use crate::keys::SecretKey;

/// What a way of telling the network that something happened on this device looks like.
pub type Wake = Box<dyn Fn(Input) + Send + Sync>;

/// The device's side of the network: takes what happened, answers what is to be done. It keeps what is to be kept and
/// tells what is to be told by itself; what it answers may be sent.
pub trait Engine: Send + Sync + 'static {
    /// The device's key, which the network's own handshake proves.
    fn key(&self) -> SecretKey;

    /// Something happened at a time, in milliseconds of a clock that never goes back.
    fn input(&self, now_ms: u64, input: Input) -> Vec<Output>;

    /// From now on `wake` is to be called when something happened on the device itself.
    fn listen(&self, wake: Wake);
}
