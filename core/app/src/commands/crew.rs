//! The crew: who belongs to it and how they stand, letting a device in, joining, removing.

use crate::Problem;
use crate::crew::State;
use crate::crew::key::Place;
use crate::desk::Desk;
use crate::session::Session;
use crate::wire::{
    CrewAnswer, CrewAsks, CrewDevice, CrewInvitation, CrewInvite, CrewJoin, CrewView, Nothing, OfDevice,
    QrView,
};
use crate::words::say;
use drylay_sync::{CrewError, PeerView, PublicKey, SCHEME, Why};
use qrcodegen::{QrCode, QrCodeEcc, QrSegment};

pub(crate) fn view(session: &Session, _ask: Nothing) -> Result<CrewView, Problem> {
    let network = session.has_network();
    Ok(seen(&session.aboard().state(), network))
}

pub(crate) fn invite(session: &Session, ask: CrewInvite) -> Result<CrewView, Problem> {
    expect_network(session)?;
    session.with_crew(|state, desk| {
        if state.crew.roster().is_none() {
            let shop = desk.shop_id()?;
            let now = desk.world.now().utc_ms;
            state.crew.found(desk.world.random_id(), shop, now)?;
        }
        state.shown = Some(state.crew.invite(chance(desk), ask.may_remove)?);
        Ok(())
    })?;
    view(session, Nothing {})
}

pub(crate) fn agree(session: &Session, _ask: Nothing) -> Result<CrewView, Problem> {
    session.with_crew(|state, _| {
        state.crew.agree();
        Ok(())
    })?;
    view(session, Nothing {})
}

pub(crate) fn close(session: &Session, _ask: Nothing) -> Result<CrewView, Problem> {
    session.with_crew(|state, _| {
        state.crew.close_invitation();
        state.crew.stop_joining();
        state.shown = None;
        Ok(())
    })?;
    view(session, Nothing {})
}

pub(crate) fn answer(session: &Session, ask: CrewAnswer) -> Result<CrewView, Problem> {
    session.with_crew(|state, desk| Ok(state.crew.answer(ask.yes, desk.world.now().utc_ms)?))?;
    view(session, Nothing {})
}

pub(crate) fn join(session: &Session, ask: CrewJoin) -> Result<CrewView, Problem> {
    expect_network(session)?;
    session.with_crew(|state, _| {
        state.not_joined = None;
        Ok(state.crew.join(&ask.text)?)
    })?;
    view(session, Nothing {})
}

pub(crate) fn remove(session: &Session, ask: OfDevice) -> Result<CrewView, Problem> {
    let whom = PublicKey::parse(&ask.device).ok_or(CrewError::NoSuchDevice)?;
    session.with_crew(|state, desk| Ok(state.crew.remove(whom, desk.world.now().utc_ms)?))?;
    view(session, Nothing {})
}

pub(crate) fn leave(session: &Session, _ask: Nothing) -> Result<CrewView, Problem> {
    session.with_crew(|state, desk| {
        state.crew.leave(desk.world.now().utc_ms)?;
        state.shown = None;
        Ok(())
    })?;
    view(session, Nothing {})
}

/// Without a network nobody could come, and an invitation would say nowhere to go.
fn expect_network(session: &Session) -> Result<(), Problem> {
    if session.has_network() { Ok(()) } else { Err(Problem::new("crew.no_network", "")) }
}

fn chance(desk: &Desk) -> [u8; 32] {
    let (one, other) = (desk.world.random_id(), desk.world.random_id());
    std::array::from_fn(|n| if n < 16 { one[n] } else { other[n - 16] })
}

fn seen(state: &State, network: bool) -> CrewView {
    let crew = &state.crew;
    let me = crew.public();
    let standing = crew.roster().and_then(|roster| roster.members().get(&me));
    let founder = standing.is_some_and(|member| member.founder);
    let may_remove =
        |whom: PublicKey| crew.roster().is_some_and(|roster| roster.may_remove(me, whom) && whom != me);
    let mut devices: Vec<CrewDevice> =
        crew.peers().into_iter().map(|peer| device(&peer, may_remove(peer.key))).collect();
    devices.sort_by(|a, b| (&a.name, &a.id).cmp(&(&b.name, &b.id)));
    let words = match (crew.roster().is_some(), crew.is_member()) {
        (false, _) => "crew.none",
        (true, false) => "crew.removed",
        (true, true) if devices.is_empty() => "crew.alone",
        (true, true) => "crew.member",
    };
    CrewView {
        name: crew.name().to_owned(),
        key: me.short(),
        key_place: say(key_place(state.key_place), &[]),
        member: crew.is_member(),
        words: say(words, &[("count", &devices.len().to_string())]),
        founder,
        network,
        invitation: state.shown.as_ref().zip(crew.invitation_stands_ms()).map(invitation),
        asks: crew.who_asks().map(|(name, key)| CrewAsks { name, key: key.short() }),
        joining: crew.is_joining(),
        not_joined: state.not_joined.map(|why| say(not_joined(why), &[])),
        files_wanted: u32::try_from(crew.files_wanted()).unwrap_or(u32::MAX),
        devices,
    }
}

fn key_place(place: Place) -> &'static str {
    match place {
        Place::File => "crew.key_in_file",
        Place::Lockbox => "crew.key_in_lockbox",
        Place::Memory => "crew.key_nowhere",
    }
}

fn not_joined(why: Why) -> &'static str {
    match why {
        Why::NoInvitation => "crew.not_let_in",
        Why::OtherVersion => "crew.other_version",
        _ => "crew.nobody_answered",
    }
}

fn device(peer: &PeerView, may_remove: bool) -> CrewDevice {
    CrewDevice {
        id: peer.key.to_string(),
        name: peer.name.clone(),
        words: state_words(peer),
        connected: peer.connected,
        level: peer.level,
        agreed: peer.agreed,
        founder: peer.founder,
        may_remove,
    }
}

/// How a device stands, in plain words.
fn state_words(peer: &PeerView) -> String {
    let (documents, files) = (peer.documents_behind.to_string(), peer.files_there.to_string());
    let counts = [("documents", documents.as_str()), ("files", files.as_str())];
    match (peer.connected, peer.level_ago_ms, peer.seen_ago_ms) {
        (true, ..) if peer.level => say("crew.level", &[]),
        (true, ..) if peer.documents_behind > 0 => say("crew.behind", &counts),
        (true, ..) if peer.files_there > 0 => say("crew.files_there", &counts),
        (true, ..) => say("crew.files_here", &[]),
        (false, ..) if peer.turned_away => say("crew.turned_away", &[]),
        (false, Some(ms), _) => say("crew.was_level", &[("ago", &ago(ms))]),
        (false, None, Some(ms)) => say("crew.was_here", &[("ago", &ago(ms))]),
        (false, None, None) => say("crew.not_met", &[]),
    }
}

fn ago(ms: u64) -> String {
    let (minutes, hours, days) = (ms / 60_000, ms / 3_600_000, ms / 86_400_000);
    match (minutes, hours) {
        _ if days > 1 => say("ago.days", &[("n", &days.to_string())]),
        (0, _) => say("ago.now", &[]),
        (_, 0) => say("ago.minutes", &[("n", &minutes.to_string())]),
        _ => say("ago.hours", &[("n", &hours.to_string())]),
    }
}

fn invitation((shown, stands_ms): (&drylay_sync::Shown, u64)) -> CrewInvitation {
    CrewInvitation {
        code: shown.code.clone(),
        text: shown.text.clone(),
        picture: picture(&shown.text),
        seconds: u32::try_from(stands_ms.div_ceil(1000)).unwrap_or(u32::MAX),
    }
}

/// The text as a QR code, as a link: a phone's own camera hands it to the app that knows its scheme. An invitation is
/// far shorter than the most that one holds. Letters and digits of the text take half the room that the scheme does.
fn picture(text: &str) -> QrView {
    let scheme = QrSegment::make_bytes(format!("{SCHEME}:").as_bytes());
    let parts: Vec<QrSegment> = std::iter::once(scheme).chain(QrSegment::make_segments(text)).collect();
    let Ok(code) = QrCode::encode_segments(&parts, QrCodeEcc::Medium) else {
        return QrView { size: 0, rows: Vec::new() };
    };
    let row = |y| (0..code.size()).map(|x| if code.get_module(x, y) { '#' } else { '.' }).collect();
    QrView { size: u32::try_from(code.size()).unwrap_or(0), rows: (0..code.size()).map(row).collect() }
}

impl From<CrewError> for Problem {
    fn from(error: CrewError) -> Self {
        let code = match error {
            CrewError::NoCrew => "crew.no_crew",
            CrewError::NotAMember => "crew.not_a_member",
            CrewError::NoSuchDevice => "crew.no_such_device",
            CrewError::MayNotRemove => "crew.may_not_remove",
            CrewError::NoInvitation => "crew.no_invitation",
            CrewError::NobodyAsks => "crew.nobody_asks",
            CrewError::HasCrew => "crew.has_crew",
        };
        Self::new(code, "")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO/IEC 18004:2015, 5.3.2 and 6.3.3: three finder patterns, each a dark ring, a light one and a dark square of
    /// 3 × 3; a side has 17 + 4 times the version modules.
    #[test]
    fn a_text_becomes_a_square_with_three_finders() {
        let view = picture("DRYLAY1ABCDEFGHIJKLMNOPQRSTUVWXYZ234567");
        let size = usize::try_from(view.size).expect("small");
        assert!(size >= 21 && (size - 17) % 4 == 0 && view.rows.len() == size);
        let at = |x: usize, y: usize| view.rows[y].as_bytes()[x] == b'#';
        for (left, top) in [(0, 0), (size - 7, 0), (0, size - 7)] {
            for (x, y) in (0..7).flat_map(|x| (0..7).map(move |y| (x, y))) {
                let ring = x.min(6 - x).min(y.min(6 - y));
                assert_eq!(at(left + x, top + y), ring != 1, "{x} {y}");
            }
        }
    }

    #[test]
    fn how_a_device_stands_is_said_in_plain_words() {
        let peer = PeerView {
            key: PublicKey([1; 32]),
            name: "Ana".into(),
            founder: true,
            may_remove: true,
            connected: true,
            level: true,
            agreed: true,
            turned_away: false,
            documents_behind: 0,
            files_there: 0,
            level_ago_ms: Some(0),
            seen_ago_ms: Some(0),
        };
        let away = PeerView { connected: false, level: false, level_ago_ms: Some(130_000), ..peer.clone() };
        let long = PeerView { level_ago_ms: Some(3 * 86_400_000), ..away.clone() };
        assert_eq!(state_words(&long), "Level with you 3 days ago; not here now.");
        let out = PeerView { turned_away: true, ..away.clone() };
        let never = PeerView { level_ago_ms: None, seen_ago_ms: None, ..away.clone() };
        let behind = PeerView { level: false, documents_behind: 3, ..peer.clone() };
        let told = [peer, away, never, behind, out].map(|peer| state_words(&peer));
        assert_eq!(told[0], "Level with you.");
        assert_eq!(told[1], "Level with you 2 min ago; not here now.");
        assert!(told[2].starts_with("Not met"), "{}", told[2]);
        assert!(told[3].contains('3'), "{}", told[3]);
        assert!(told[4].contains("may have been removed"), "{}", told[4]);
    }
}
