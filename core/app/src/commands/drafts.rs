//! What is being typed: reading it as it grows, and keeping it until it is entered.

use crate::Problem;
use crate::commands::device::LANGUAGE;
use crate::session::Session;
use crate::wire::{Done, DraftPut, Drafts, LengthAsk, Nothing, Typed};
use drylay_store::Op;

/// The most bytes of a draft and of its key.
const MOST_BYTES: usize = 64 * 1024;

pub(crate) fn read_length(_session: &Session, ask: LengthAsk) -> Result<Typed, Problem> {
    let typed = match ask.reading {
        true => ask.units.read_reading(&ask.text, "text")?,
        false => ask.units.read(&ask.text, "text")?,
    };
    Ok(Typed { text: ask.units.exact(typed.length()), mm: typed.length().mm() })
}

pub(crate) fn put(session: &Session, ask: DraftPut) -> Result<Done, Problem> {
    if ask.key.is_empty() || ask.key.len() > 1000 || ask.text.len() > MOST_BYTES {
        return Err(Problem::new("draft.too_long", "text").with("most", MOST_BYTES));
    }
    let text = Some(ask.text.as_str()).filter(|text| !text.is_empty());
    session.desk().store.write(&[Op::Draft { key: &ask.key, text }])?;
    Ok(Done {})
}

pub(crate) fn list(session: &Session, _ask: Nothing) -> Result<Drafts, Problem> {
    let store = &session.desk().store;
    let drafts = store.drafts("")?.into_iter().collect();
    Ok(Drafts { drafts, language: store.setting(LANGUAGE)? })
}
