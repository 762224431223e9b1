//! The call-back: what is known of one tile years later, what may have caused it, and how one tile is replaced.

use super::jobs::said;
use super::work::laying;
use crate::Problem;
use crate::answers::{Finding, Standing, Topic, subfloor};
use crate::desk::SeenJob;
use crate::given_out::PlanPiece;
use crate::laying::Laying;
use crate::refusal::unknown;
use crate::session::Session;
use crate::show::{day, iso, stamp};
use crate::views::work as work_views;
use crate::wire::{CallbackAsk, CallbackRecord, CallbackSet, CallbackView, CauseView, CautionView};
use crate::words::say;
use drylay_document::marks::Done;
use drylay_document::{Callback, Edit, Held, JobEntry, Pin, PinKind};
use drylay_geometry::{ItemId, Point, Ring};

/// Wider than any joint between tiles, in mm.
const JOINT: f64 = 20.0;
/// What is reported, each with what it comes from as a rule, the likeliest first. Common practice of the trade.
const SYMPTOMS: [(&str, &[&str]); 5] = [
    ("loose", &["rail", "dip", "pinned", "moisture"]),
    ("cracked", &["dip", "load", "rail", "seam"]),
    ("lip", &["rail", "dip", "moisture", "pinned"]),
    ("gap", &["pinned", "rail", "climate", "dip"]),
    ("hollow", &["dip", "moisture", "rail", "load"]),
];

/// What speaks for a cause in what was written down of this job.
struct Evidence {
    cause: &'static str,
    words: String,
}

pub(crate) fn view(session: &Session, ask: CallbackAsk) -> Result<CallbackView, Problem> {
    let (job, laying) = laying(session, &ask.job, &ask.area)?;
    let piece = laying.piece(&ask.piece)?;
    let usual = SYMPTOMS.iter().find(|(symptom, _)| *symptom == ask.symptom);
    let (_, usual) = usual.ok_or_else(|| unknown("callback.unknown_symptom", "symptom", &ask.symptom))?;
    let (room, findings) = base(session, &job, &laying, piece);
    let evidence = evidence(&job, &laying, piece, &findings);
    let mut causes: Vec<(usize, &str)> = usual.iter().copied().enumerate().collect();
    // What something speaks for comes before what is only usual.
    causes.sort_by_key(|(usual, cause)| (!evidence.iter().any(|one| one.cause == *cause), *usual));
    let because = |cause: &str| {
        let of = evidence.iter().filter(|one| one.cause == cause).map(|one| one.words.clone());
        of.collect::<Vec<_>>().join(" ")
    };
    let first = causes.first().map_or("", |(_, cause)| *cause);
    let floating = laying.plan.product.interlock;
    let steps: &[&str] = if floating {
        &["grout", "cut", "lift", "trim", "dry", "bond", "regrout"]
    } else {
        &["grout", "chip", "clean", "dry", "bed", "regrout"]
    };
    let cautions = ["eyes", "saw_dust"].map(|code| CautionView {
        words: say(&format!("caution.{code}"), &[]),
        source: say(&format!("caution.{code}_source"), &[]),
    });
    Ok(CallbackView {
        piece: piece.id.clone(),
        known: known(session, &job, (&laying, piece), &room, &findings)?,
        causes: causes
            .iter()
            .map(|(_, cause)| CauseView {
                words: say(&format!("cause.{cause}"), &[]),
                because: because(cause),
            })
            .collect(),
        first: say(&format!("cause.{first}_first"), &[]),
        steps: steps
            .iter()
            .map(|step| say(&format!("replace.{}{step}", if floating { "" } else { "set_" }), &[]))
            .collect(),
        steps_source: say("replace.source", &[]),
        cautions: cautions.to_vec(),
        records: records(&job, &ask.area, &piece.id),
    })
}

/// The room that a piece lies in, by the frozen outline of the floor's rooms, and what was found of its base.
fn base(session: &Session, job: &SeenJob, laying: &Laying, piece: &PlanPiece) -> (String, Vec<Finding>) {
    let id = laying.plan.room_at(middle(piece)).unwrap_or_default();
    let mut desk = session.desk();
    let mut sheet = desk.sheet_of(job, None).sheet;
    let today = iso(desk.world.now().utc_ms);
    drop(desk);
    sheet.job.day.get_or_insert_with(|| today.chars().take(10).collect());
    let findings =
        subfloor(&sheet).ok().and_then(|answer| answer.rooms.into_iter().find(|room| room.id == id));
    (id, findings.map(|room| room.findings).unwrap_or_default())
}

fn middle(piece: &PlanPiece) -> Point {
    let ring: Vec<Point> = piece.outline.iter().filter_map(|p| Point::from_mm_rounded(p[0], p[1])).collect();
    let (a, b) = Ring::new(ring).bounds().unwrap_or_default();
    Point { x: i64::midpoint(a.x, b.x), y: i64::midpoint(a.y, b.y) }
}

fn is_bad(finding: &Finding) -> bool {
    matches!(finding.verdict, Standing::Stop | Standing::Fail | Standing::Unsure)
}

fn evidence(job: &SeenJob, laying: &Laying, piece: &PlanPiece, findings: &[Finding]) -> Vec<Evidence> {
    let mut all = Vec::new();
    let near = |id: &str| {
        laying.plan.piece(id).is_some_and(|other| {
            other.row.abs_diff(piece.row) <= 1
                && (other.row != piece.row || other.place.abs_diff(piece.place) <= 1)
                && touches(other, piece)
        })
    };
    let before = format!("{}/", laying.area);
    for held in &job.view.problems.live {
        let item = held.value.pin.as_ref().filter(|pin| pin.what == PinKind::Piece);
        let item = item.and_then(|pin| pin.item.as_ref()).map_or("", ItemId::as_str);
        let Some(id) = item.strip_prefix(&before).filter(|id| near(id)) else { continue };
        let cause = match held.value.what {
            drylay_document::ProblemKind::Chipped => "rail",
            drylay_document::ProblemKind::Lippage => "dip",
            _ => continue,
        };
        let what = say(&format!("noted.{}", held.value.what.word()), &[]);
        all.push(Evidence { cause, words: say("cause.noted", &[("what", &what), ("piece", id)]) });
    }
    for finding in findings.iter().filter(|finding| is_bad(finding)) {
        let cause = match finding.topic {
            Topic::Moisture => "moisture",
            Topic::Seam => "seam",
            Topic::Heavy => "pinned",
            Topic::Sheathing | Topic::Structure => "load",
            _ => continue,
        };
        all.push(Evidence { cause, words: finding.says.message.clone() });
    }
    all
}

/// Whether two pieces lie beside each other: their outlines come within a joint of each other.
fn touches(one: &PlanPiece, other: &PlanPiece) -> bool {
    let bounds = |piece: &PlanPiece| {
        let (mut least, mut most) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for p in &piece.outline {
            for k in 0..2 {
                least[k] = least[k].min(p[k]);
                most[k] = most[k].max(p[k]);
            }
        }
        (least, most)
    };
    let ((a0, a1), (b0, b1)) = (bounds(one), bounds(other));
    (0..2).all(|k| a0[k] - JOINT <= b1[k] && b0[k] - JOINT <= a1[k])
}

/// What is known of the tile: product, lot, who laid it when, what is left of it, and what was under it.
fn known(
    session: &Session,
    job: &SeenJob,
    (laying, piece): (&Laying, &PlanPiece),
    room: &str,
    findings: &[Finding],
) -> Result<Vec<String>, Problem> {
    let mut said = Vec::new();
    let product = laying.plan.in_sheet();
    let name = product.map_or_else(String::new, |product| match product.name.as_str() {
        "" => product.id.to_string(),
        name => name.to_owned(),
    });
    let title = laying.plan.sheet.rooms.iter().find(|one| one.id.as_str() == room);
    let title = title.map(|room| room.title().to_owned()).unwrap_or_default();
    let cut = say(&format!("cut.{}", piece.cut), &[]);
    said.push(say("callback.tile", &[("name", &name), ("cut", &cut), ("room", &title)]));
    let row = i64::try_from(piece.row).unwrap_or(i64::MAX);
    let lots: Vec<&str> = job
        .view
        .lots
        .live
        .iter()
        .filter(|held| {
            held.value.area == laying.area && (held.value.first_row..=held.value.last_row).contains(&row)
        })
        .map(|held| held.value.lot.as_str())
        .collect();
    said.push(match lots.is_empty() {
        true => say("callback.no_lot", &[]),
        false => say("callback.lot", &[("lot", &lots.join(", "))]),
    });
    let standing = laying.standing.get(&piece.id).filter(|one| one.done == Done::Laid);
    for by in standing.map(|one| one.by.as_slice()).unwrap_or_default() {
        said.push(say("callback.laid", &[("by", &by.by.name), ("day", &day(by.at))]));
    }
    let work = work_views::view(session, job, Some(&laying.area))?;
    if let Some(area) = &work.area {
        let left = area.stock.left.max(0).to_string();
        let code = if area.stock.delivered > 0 { "callback.left" } else { "callback.left_unknown" };
        said.push(say(code, &[("left", &left)]));
    }
    let seen = job.view.rooms.get(&ItemId::new(room));
    let seen = seen.and_then(|held| session.desk().room(job, held.value.document).ok());
    if seen.is_some_and(|seen| seen.view.floor.value.as_ref().is_some_and(|floor| floor.heated == Some(true)))
    {
        said.push(say("callback.heated", &[]));
    }
    let under = findings.iter().filter(|finding| {
        is_bad(finding)
            && matches!(finding.topic, Topic::Moisture | Topic::Seam | Topic::Layer | Topic::Heavy)
    });
    said.extend(under.map(|finding| say("callback.under", &[("what", &finding.says.message)])));
    Ok(said)
}

fn of_piece<'j>(job: &'j SeenJob, area: &str, piece: &str) -> Vec<&'j Held<Callback>> {
    let item = ItemId::new(format!("{area}/{piece}"));
    let here =
        |held: &&Held<Callback>| held.value.pin.as_ref().is_some_and(|pin| pin.item.as_ref() == Some(&item));
    let mut held: Vec<_> = job.view.callbacks.live.iter().filter(here).collect();
    held.sort_by_key(|held| (std::cmp::Reverse(held.added.at.utc_ms), held.id.clone()));
    held
}

fn records(job: &SeenJob, area: &str, piece: &str) -> Vec<CallbackRecord> {
    let record = |held: &&Held<Callback>| CallbackRecord {
        id: held.id.to_string(),
        reported: held.value.reported.clone(),
        found: held.value.found.clone().unwrap_or_default(),
        done: held.value.done.clone().unwrap_or_default(),
        stamp: stamp(&held.added),
    };
    of_piece(job, area, piece).iter().map(record).collect()
}

/// Writes a call-back down, or what was found and done about it.
pub(crate) fn set(session: &Session, ask: CallbackSet) -> Result<CallbackView, Problem> {
    let (job, laying) = laying(session, &ask.job, &ask.area)?;
    let piece = laying.piece(&ask.piece)?.id.clone();
    let reported = said(&ask.reported).ok_or_else(|| Problem::new("note.empty", "reported"))?;
    let (fresh_id, now) = {
        let desk = session.desk();
        (desk.new_id(), desk.world.now().utc_ms)
    };
    let item = ItemId::new(format!("{}/{piece}", ask.area));
    let done = said(&ask.done);
    let fresh = Callback {
        reported,
        pin: Some(Pin { what: PinKind::Piece, room: None, item: Some(item), at: None }),
        found: said(&ask.found),
        done_ms: done.as_ref().map(|_| now),
        done,
    };
    let edit: Edit<JobEntry> = match &ask.id {
        None => Edit::add(fresh_id, fresh),
        Some(id) => {
            let held = job.view.callbacks.get(&ItemId::new(id));
            let before = held.ok_or_else(|| unknown("entry.unknown", "id", id))?.value.clone();
            let done_ms = before.done_ms.filter(|_| fresh.done == before.done).or(fresh.done_ms);
            Edit::change(ItemId::new(id), before, Callback { done_ms, ..fresh })
        }
    };
    session
        .change(job.id, say("what.callback", &[("piece", &piece)]), |change| change.apply(job.id, &[edit]))?;
    let CallbackSet { job, area, symptom, .. } = ask;
    view(session, CallbackAsk { job, area, piece, symptom })
}
