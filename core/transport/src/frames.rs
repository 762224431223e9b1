//! Frames on a stream: four bytes of length, little-endian, and as many bytes.

use std::time::{Duration, Instant};

use drylay_sync::{LONGEST_FRAME, LONGEST_FRAME_OF_A_STRANGER};
use iroh::endpoint::{RecvStream, SendStream, WriteError};

/// The most bytes read at once.
const AT_ONCE: usize = 256 << 10;
/// How often it is told that a long frame goes on coming.
const TOLD_EVERY: Duration = Duration::from_millis(500);

/// Why no frame was read.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum NoFrame {
    /// The stream has ended.
    Ended,
    /// It would be longer than any frame is.
    TooLong,
}

/// How long a frame may be.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limit {
    /// Somebody who has not shown who they are: only their first frame counts as a stranger's, since the connection
    /// ends with it if it does not show that.
    pub(crate) stranger: bool,
}

impl Limit {
    /// Whether a frame of that length may come.
    pub(crate) fn allows(self, length: usize) -> bool {
        length <= if self.stranger { LONGEST_FRAME_OF_A_STRANGER } else { LONGEST_FRAME }
    }
}

/// Reads the next frame. `heard` is called while a long one is coming.
pub(crate) async fn read(
    stream: &mut RecvStream,
    limit: Limit,
    heard: impl Fn(),
) -> Result<Vec<u8>, NoFrame> {
    let mut head = [0; 4];
    stream.read_exact(&mut head).await.map_err(|_| NoFrame::Ended)?;
    let length = usize::try_from(u32::from_le_bytes(head)).unwrap_or(usize::MAX);
    if !limit.allows(length) {
        return Err(NoFrame::TooLong);
    }
    // Room is made as bytes come: a length that is only claimed costs nothing.
    let mut bytes = Vec::new();
    let mut told = Instant::now();
    while bytes.len() < length {
        let most = AT_ONCE.min(length - bytes.len());
        let chunk = stream.read_chunk(most).await.ok().flatten().ok_or(NoFrame::Ended)?;
        bytes.extend_from_slice(&chunk);
        if told.elapsed() >= TOLD_EVERY {
            told = Instant::now();
            heard();
        }
    }
    Ok(bytes)
}

/// Writes a frame.
pub(crate) async fn write(stream: &mut SendStream, bytes: &[u8]) -> Result<(), WriteError> {
    let length = u32::try_from(bytes.len()).unwrap_or(u32::MAX);
    stream.write_all(&length.to_le_bytes()).await?;
    stream.write_all(bytes).await
}
