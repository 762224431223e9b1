//! Frames on a stream: four bytes of length, little-endian, and as many bytes.

use std::time::{Duration, Instant};

use drylay_sync::{LONGEST_FRAME, LONGEST_FRAME_OF_A_STRANGER};
use iroh::endpoint::{SendStream, WriteError};
use tokio::io::{AsyncRead, AsyncReadExt};

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
    stream: &mut (impl AsyncRead + Unpin),
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
        let most = AT_ONCE.min(length - bytes.len()) as u64;
        if stream.take(most).read_buf(&mut bytes).await.unwrap_or(0) == 0 {
            return Err(NoFrame::Ended);
        }
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::future::Future;
    use std::pin::pin;
    use std::task::{Context, Poll, Waker};

    /// Reads the next frame of what has all come.
    fn next(stream: &mut &[u8], stranger: bool) -> Result<Vec<u8>, NoFrame> {
        let mut reading = pin!(read(stream, Limit { stranger }, || ()));
        match reading.as_mut().poll(&mut Context::from_waker(Waker::noop())) {
            Poll::Ready(read) => read,
            Poll::Pending => panic!("bytes that are there are waited for"),
        }
    }

    #[test]
    fn a_frame_ends_where_it_says_and_may_be_empty() {
        let mut stream = &[2, 0, 0, 0, b'a', b'b', 0, 0, 0, 0, 1, 0, 0][..];
        assert_eq!(next(&mut stream, true), Ok(b"ab".to_vec()));
        assert_eq!(next(&mut stream, true), Ok(Vec::new()));
        assert_eq!(next(&mut stream, true), Err(NoFrame::Ended), "cut off in the length");
    }

    proptest! {
        #[test]
        fn any_bytes_are_frames_or_refused(
            bytes in prop::collection::vec(prop_oneof![Just(0), Just(1), any::<u8>()], 0..2000),
            stranger in any::<bool>(),
        ) {
            let (mut stream, mut again) = (&bytes[..], Vec::new());
            let end = loop {
                match next(&mut stream, stranger) {
                    Ok(frame) => {
                        again.extend(u32::try_from(frame.len()).unwrap().to_le_bytes());
                        again.extend(frame);
                    }
                    Err(end) => break end,
                }
            };
            prop_assert!(bytes.starts_with(&again), "frames are what came, one behind the other");
            let head = bytes[again.len()..].first_chunk::<4>().map(|head| u32::from_le_bytes(*head));
            let claimed = usize::try_from(head.unwrap_or(0)).unwrap();
            let most = if stranger { LONGEST_FRAME_OF_A_STRANGER } else { LONGEST_FRAME };
            prop_assert_eq!(end == NoFrame::TooLong, claimed > most, "{} bytes are claimed", claimed);
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(32))]
        #[test]
        fn frames_of_any_length_come_one_behind_the_other(lengths in prop::collection::vec(0..700_000_usize, 1..4)) {
            let frames: Vec<Vec<u8>> = lengths.iter().map(|n| vec![u8::try_from(n % 251).unwrap(); *n]).collect();
            let head = |frame: &Vec<u8>| u32::try_from(frame.len()).unwrap().to_le_bytes().to_vec();
            let bytes: Vec<u8> = frames.iter().flat_map(|frame| [head(frame), frame.clone()].concat()).collect();
            let mut stream = &bytes[..];
            for frame in &frames {
                let read = next(&mut stream, true);
                prop_assert_eq!(read.as_ref(), Ok(frame));
            }
            prop_assert_eq!(next(&mut stream, true), Err(NoFrame::Ended));
        }
    }
}
