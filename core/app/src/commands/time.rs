//! Time in one tap, or typed, and materials that were used.

use super::jobs::said;
use crate::Problem;
use crate::desk::SeenJob;
use crate::refusal::unknown;
use crate::session::Session;
use crate::views::time as views;
use crate::wire::{OfJob, OfJobItem, TimeAdd, TimeSettle, TimeStart, TimeStop, TimeUsed, TimeView};
use crate::words::say;
use chrono::NaiveDate;
use drylay_document::time::{Spent, spent};
use drylay_document::{Decimal, Edit, Entry, Expense, JobEntry, TimeSpent};
use drylay_geometry::ItemId;

/// The most hours of one person at one stretch that can be typed.
const MOST_HOURS: f64 = 24.0;
/// The most people of one entry.
const MOST_PEOPLE: i64 = 50;

pub(crate) fn view(session: &Session, ask: OfJob) -> Result<TimeView, Problem> {
    views::view(session, &ask.job)
}

fn changed(
    session: &Session,
    job: &SeenJob,
    words: String,
    edits: &[Edit<JobEntry>],
) -> Result<TimeView, Problem> {
    session.change(job.id, words, |change| change.apply(job.id, edits))?;
    views::view(session, &job.id.to_string())
}

/// Hours as typed: `1.5`, `1,5`, `1:30` or `90 min`. In minutes, more than nothing.
pub(crate) fn minutes(text: &str, place: &str) -> Result<i64, Problem> {
    let typed = text.trim().to_lowercase();
    let number = |text: &str| {
        let found = Decimal::parse(&text.trim().replacen(',', ".", 1)).map(|n| n.to_f64());
        found.filter(|n| *n >= 0.0)
    };
    let whole = |text: &str| number(text).filter(|n| n.fract() == 0.0);
    let bare = typed.strip_suffix('h').unwrap_or(&typed);
    let found = if let Some(minutes) = typed.strip_suffix("min") {
        number(minutes)
    } else if let Some((hours, minutes)) = bare.split_once(':') {
        let minutes = whole(minutes).filter(|n| *n < 60.0 && minutes.trim().len() == 2);
        whole(hours).zip(minutes).map(|(hours, minutes)| hours * 60.0 + minutes)
    } else {
        number(bare).map(|hours| hours * 60.0)
    };
    let found = found.map(f64::round).filter(|n| (1.0..=MOST_HOURS * 60.0).contains(n));
    #[expect(clippy::cast_possible_truncation, reason = "a whole number of minutes of a day")]
    let minutes = found.map(|n| n as i64);
    minutes.ok_or_else(|| Problem::new("time.no_hours", place).with("found", text.trim()))
}

fn task(session: &Session, job: &SeenJob, task: &str) -> Result<(), Problem> {
    let books = session.desk().books()?;
    let known = views::tasks(job, &books).iter().any(|known| known.value == task);
    if known { Ok(()) } else { Err(unknown("time.unknown_task", "task", task)) }
}

/// A stretch of time by the id of its entry.
fn stretch(job: &SeenJob, id: &str) -> Result<Spent, Problem> {
    let id = ItemId::new(id);
    let found = spent(&job.view.time).into_iter().find(|one| one.ids.contains(&id));
    found.ok_or_else(|| unknown("entry.unknown", "id", id.as_str()))
}

/// The edit that says how long a stretch was, whatever was said of it before.
fn lasted(session: &Session, one: &Spent, minutes: i64) -> Edit<JobEntry> {
    let entry = TimeSpent { minutes, who: Some(one.who().to_owned()), ..one.held.value.clone() };
    Edit::Correct { id: session.desk().new_id(), entry: entry.into(), supersedes: one.ids.clone() }
}

/// What the clock says, in minutes; or why it is not believed.
fn by_clock(session: &Session, one: &Spent) -> Result<i64, String> {
    let desk = session.desk();
    let now = desk.world.now().utc_ms;
    match views::asks(one, now, desk.me.device) {
        Some(why) => Err(why),
        None => Ok(((now - one.held.value.began_ms.unwrap_or(now) + 30_000) / 60_000).max(1)),
    }
}

/// Starts a clock for whoever is at this device; the one that runs for that person here is stopped by the same tap.
pub(crate) fn start(session: &Session, ask: TimeStart) -> Result<TimeView, Problem> {
    let job = session.desk().job(&ask.job)?;
    task(session, &job, &ask.task)?;
    let desk = session.desk();
    let (id, now, me) = (desk.new_id(), desk.world.now(), desk.me.clone());
    drop(desk);
    let mut edits: Vec<Edit<JobEntry>> = Vec::new();
    for one in spent(&job.view.time) {
        if !one.runs() || one.who() != me.name {
            continue;
        }
        if one.held.value.task == ask.task && one.stamp().by.device == me.device {
            // A thumb that came down twice.
            return views::view(session, &ask.job);
        }
        let minutes =
            by_clock(session, &one).map_err(|why| Problem::new("time.ask_first", "task").with("why", why))?;
        edits.push(lasted(session, &one, minutes));
    }
    let name = views::task_name(&job, &ask.task);
    let clock = TimeSpent {
        task: ask.task,
        minutes: 0,
        people: 1,
        day: Some(views::day_text(now)),
        done: None,
        who: Some(me.name),
        began_ms: Some(now.utc_ms),
    };
    edits.push(Edit::add(id, clock));
    changed(session, &job, say("what.time_started", &[("task", &name)]), &edits)
}

/// Stops a clock: by what it says if that can be believed, else by what is typed.
pub(crate) fn stop(session: &Session, ask: TimeStop) -> Result<TimeView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let one = stretch(&job, &ask.id)?;
    if !one.runs() {
        // Somebody else was sooner, or a thumb came down twice: what was said stands.
        return views::view(session, &ask.job);
    }
    let minutes = match ask.hours.trim() {
        "" => by_clock(session, &one).map_err(|why| Problem::new("time.ask", "hours").with("why", why))?,
        typed => minutes(typed, "hours")?,
    };
    let name = views::task_name(&job, &one.held.value.task);
    let words = say("what.time", &[("task", &name), ("hours", &views::hours(minutes))]);
    changed(session, &job, words, &[lasted(session, &one, minutes)])
}

pub(crate) fn settle(session: &Session, ask: TimeSettle) -> Result<TimeView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let one = stretch(&job, &ask.id)?;
    let minutes = minutes(&ask.hours, "hours")?;
    changed(session, &job, say("what.settled", &[]), &[lasted(session, &one, minutes)])
}

pub(crate) fn add(session: &Session, ask: TimeAdd) -> Result<TimeView, Problem> {
    let job = session.desk().job(&ask.job)?;
    task(session, &job, &ask.task)?;
    let minutes = minutes(&ask.hours, "hours")?;
    let people = match ask.people.trim() {
        "" => 1,
        text => {
            let people = text.parse().ok().filter(|n| (1..=MOST_PEOPLE).contains(n));
            people.ok_or_else(|| Problem::new("time.no_people", "people").with("found", text))?
        }
    };
    let desk = session.desk();
    let (id, now, me) = (desk.new_id(), desk.world.now(), desk.me.name.clone());
    drop(desk);
    let day = match ask.day.trim() {
        "" => views::day_text(now),
        text => match NaiveDate::parse_from_str(text, "%Y-%m-%d") {
            Ok(day) => day.format("%Y-%m-%d").to_string(),
            Err(_) => return Err(Problem::new("day.unknown", "day").with("found", text)),
        },
    };
    let done = match ask.done.trim() {
        "" => None,
        text => Some(positive(text, "done")?),
    };
    let name = views::task_name(&job, &ask.task);
    let words = say("what.time", &[("task", &name), ("hours", &views::hours(minutes * people))]);
    let who = Some(said(&ask.who).unwrap_or(me));
    let entry = TimeSpent { task: ask.task, minutes, people, day: Some(day), done, who, began_ms: None };
    changed(session, &job, words, &[Edit::add(id, entry)])
}

/// A number of more than nothing, with a point or a comma.
fn positive(text: &str, place: &str) -> Result<Decimal, Problem> {
    let found = Decimal::parse(&text.trim().replacen(',', ".", 1)).map(|number| number.shifted(0));
    let found = found.filter(|number| number.to_f64() > 0.0 && number.as_str().len() <= 12);
    found.ok_or_else(|| Problem::new("time.no_amount", place).with("found", text.trim()))
}

/// What was used of a material of the quote.
pub(crate) fn used(session: &Session, ask: TimeUsed) -> Result<TimeView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let used = positive(&ask.used, "used")?;
    let known = views::view(session, &ask.job)?.materials;
    let material = known.into_iter().find(|one| one.id == ask.product && one.typed);
    let material = material.ok_or_else(|| unknown("time.unknown_material", "product", &ask.product))?;
    let words = say("what.used", &[("count", used.as_str()), ("name", &material.name)]);
    let product = ItemId::new(&ask.product);
    let entry = Expense { product, used: Some(used), broken: None, left: None, words: None };
    let id = session.desk().new_id();
    changed(session, &job, words, &[Edit::add(id, entry)])
}

/// Takes back time or material that was written down: what it was stays in the history.
pub(crate) fn forget(session: &Session, ask: OfJobItem) -> Result<TimeView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let id = ItemId::new(&ask.id);
    let edits: Vec<Edit<JobEntry>> = match job.view.expenses.get(&id) {
        Some(_) => vec![Edit::Withdraw { table: Expense::TABLE, id }],
        None => {
            let ids = stretch(&job, &ask.id)?.ids;
            ids.into_iter().map(|id| Edit::Withdraw { table: TimeSpent::TABLE, id }).collect()
        }
    };
    changed(session, &job, say("what.work_forgotten", &[]), &edits)
}

#[cfg(test)]
mod tests {
    use super::minutes;

    #[test]
    fn hours_are_read_as_people_write_them() {
        let read = |text| minutes(text, "hours").ok();
        for (text, n) in [("1.5", 90), ("1,5", 90), ("1:30", 90), ("90 min", 90), ("8", 480), ("7:05 h", 425)]
        {
            assert_eq!(read(text), Some(n), "{text}");
        }
        for wrong in ["", "0", "all day", "25", "-1", "1:5", "1:60", "1.5:30", "0 min", "1501 min"] {
            assert_eq!(read(wrong), None, "{wrong}");
        }
    }
}
