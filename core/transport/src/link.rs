//! One connection: what is said goes out on two streams, what is heard comes in on two.
//!
//! A stream's first byte says which of the two it is. Nothing waits for anything else: files never hold up a
//! reading, and a stream that nobody speaks on does not exist.

use std::sync::Arc;
use std::time::Duration;

use drylay_sync::{Channel, ConnId, Input, Purpose, Why};
use iroh::endpoint::{Connection, ConnectionError, SendStream};
use tokio::runtime::Handle;
use tokio::sync::Semaphore;
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};

use crate::admit::number;
use crate::driver::{Ears, Event};
use crate::frames::{self, Limit, NoFrame};

/// How many frames of one connection wait for the driver before no more are read.
const WAITING: usize = 8;
/// How long an ending connection waits for what it has still to say.
const LAST_WORDS: Duration = Duration::from_secs(2);

/// A connection that stands.
#[derive(Debug)]
pub(crate) struct Link {
    connection: Connection,
    talk: UnboundedSender<Vec<u8>>,
    files: UnboundedSender<Vec<u8>>,
    speakers: Vec<tokio::task::JoinHandle<()>>,
}

/// What is known of a connection that stands.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Which {
    pub(crate) conn: ConnId,
    pub(crate) dialled: bool,
    pub(crate) purpose: Purpose,
}

impl Link {
    /// Begins to speak and to hear.
    pub(crate) fn begin(runtime: &Handle, connection: Connection, which: Which, ears: &Ears) -> Self {
        let (talk, to_talk) = unbounded_channel();
        let (files, to_files) = unbounded_channel();
        let speakers = vec![
            runtime.spawn(speak(connection.clone(), Channel::Talk, to_talk)),
            runtime.spawn(speak(connection.clone(), Channel::Files, to_files)),
        ];
        runtime.spawn(hear(connection.clone(), which, ears.clone()));
        runtime.spawn(watch(connection.clone(), which.conn, ears.clone()));
        Self { connection, talk, files, speakers }
    }

    /// Sends a frame. On a connection that has ended it goes nowhere.
    pub(crate) fn send(&self, channel: Channel, bytes: Vec<u8>) {
        let stream = match channel {
            Channel::Talk => &self.talk,
            Channel::Files => &self.files,
        };
        let _ = stream.send(bytes);
    }

    /// Ends it because the program ends.
    pub(crate) fn leave(&self) {
        self.connection.close(number(Why::Done), b"");
    }

    /// Ends it. One that has done its service first says what it has still to say.
    pub(crate) fn close(self, runtime: &Handle, why: Why) {
        let Self { connection, talk, files, speakers } = self;
        if why != Why::Done {
            connection.close(number(why), b"");
            return;
        }
        drop((talk, files));
        runtime.spawn(async move {
            let said = async {
                for speaker in speakers {
                    let _ = speaker.await;
                }
            };
            let _ = tokio::time::timeout(LAST_WORDS, said).await;
            connection.close(number(why), b"");
        });
    }
}

fn mark(channel: Channel) -> u8 {
    match channel {
        Channel::Talk => 0,
        Channel::Files => 1,
    }
}

/// Speaks on one stream until nobody has anything more to say, and then until the other side has all of it.
async fn speak(connection: Connection, channel: Channel, mut frames: UnboundedReceiver<Vec<u8>>) {
    let mut stream: Option<SendStream> = None;
    while let Some(bytes) = frames.recv().await {
        let open = match stream.take() {
            Some(open) => Some(open),
            None => begin(&connection, channel).await,
        };
        let Some(mut open) = open else { return };
        if frames::write(&mut open, &bytes).await.is_err() {
            return;
        }
        stream = Some(open);
    }
    if let Some(mut open) = stream {
        let _ = open.finish();
        let _ = open.stopped().await;
    }
}

async fn begin(connection: &Connection, channel: Channel) -> Option<SendStream> {
    let mut stream = connection.open_uni().await.ok()?;
    stream.set_priority(1 - i32::from(mark(channel))).ok()?;
    stream.write_all(&[mark(channel)]).await.ok()?;
    Some(stream)
}

/// Hears both streams.
async fn hear(connection: Connection, which: Which, ears: Ears) {
    let room = Arc::new(Semaphore::new(WAITING));
    while let Ok(mut stream) = connection.accept_uni().await {
        let (connection, ears, room) = (connection.clone(), ears.clone(), room.clone());
        tokio::spawn(async move {
            let mut first = [0];
            let channel = match stream.read_exact(&mut first).await {
                Ok(()) => [Channel::Talk, Channel::Files].into_iter().find(|it| mark(*it) == first[0]),
                Err(_) => return,
            };
            let Some(channel) = channel else { return connection.close(number(Why::Garbled), b"") };
            let mut stranger = !which.dialled && which.purpose != Purpose::Crew;
            loop {
                let conn = which.conn;
                let heard = || ears.tell(Event::Happened(Input::Heard { conn }));
                match frames::read(&mut stream, Limit { stranger }, heard).await {
                    Ok(bytes) => {
                        let Ok(place) = room.clone().acquire_owned().await else { return };
                        ears.tell(Event::Frame { conn, channel, bytes, place });
                    }
                    Err(NoFrame::TooLong) => return connection.close(number(Why::Garbled), b""),
                    Err(NoFrame::Ended) => return,
                }
                stranger = which.purpose == Purpose::Join && !which.dialled;
            }
        });
    }
}

/// Tells when it has ended, and whether the other side does not know this device.
async fn watch(connection: Connection, conn: ConnId, ears: Ears) {
    let refused = match connection.closed().await {
        ConnectionError::ApplicationClosed(close) => close.error_code == number(Why::NotOfCrew),
        _ => false,
    };
    ears.tell(Event::Happened(Input::Closed { conn, refused }));
}
