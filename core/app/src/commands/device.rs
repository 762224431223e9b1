//! This device: its person, its store, its last crash; a backup and a copy for a report.

use super::jobs::said;
use crate::Problem;
use crate::language::Language;
use crate::session::Session;
use crate::wire::{
    BackupAsk, BackupDone, CheckView, DeviceRename, DeviceSpeak, DeviceView, Nothing, OfJob, ReportText,
};
use crate::words::say;
use drylay_document::anonymise::Anonymiser;
use drylay_document::{JobView, Kind, RoomView};
use drylay_store::{Op, Standing};
use std::path::{Path, PathBuf};

/// The report of the last crash in the store's folder, written by the window.
const REPORT: &str = "last-report.txt";
/// Where the language is kept among the store's settings.
pub(crate) const LANGUAGE: &str = "device.language";

pub(crate) fn view(session: &Session, _ask: Nothing) -> Result<DeviceView, Problem> {
    let desk = session.desk();
    let (jobs, documents) = (desk.store.jobs()?.len(), desk.store.documents()?.len());
    let folder = desk.store.folder();
    let counts = [
        ("jobs", jobs.to_string()),
        ("documents", documents.to_string()),
        ("folder", folder.display().to_string()),
    ];
    Ok(DeviceView {
        name: desk.me.name.clone(),
        store_words: say("device.store", &counts.each_ref().map(|(name, value)| (*name, value.as_str()))),
        photos_text: desk.photos_text()?.1,
        space_warning: desk.space_warning(),
        readonly: desk.store.standing() != Standing::Writable,
        version: env!("CARGO_PKG_VERSION").to_owned(),
        last_report: std::fs::read_to_string(folder.join(REPORT)).ok(),
    })
}

pub(crate) fn rename(session: &Session, ask: DeviceRename) -> Result<DeviceView, Problem> {
    let name = said(&ask.name).filter(|name| name.chars().count() <= 200);
    let name = name.ok_or_else(|| Problem::new("sheet.name", "name"))?;
    let mut desk = session.desk();
    desk.store.write(&[Op::Set { key: "device.name", value: Some(&name) }])?;
    desk.me.name.clone_from(&name);
    drop(desk);
    session.with_crew(|state, _| {
        state.crew.rename(&name);
        Ok(())
    })?;
    view(session, Nothing {})
}

/// Speaks another language from now on, and whenever this store is opened.
pub(crate) fn speak(session: &Session, ask: DeviceSpeak) -> Result<DeviceView, Problem> {
    let unknown = || Problem::new("device.language", "language").with("name", &ask.language);
    let language = Language::of_code(&ask.language).ok_or_else(unknown)?;
    session.desk().store.write(&[Op::Set { key: LANGUAGE, value: Some(language.code()) }])?;
    language.speak();
    session.plans().forget();
    view(session, Nothing {})
}

pub(crate) fn clear_report(session: &Session, _ask: Nothing) -> Result<DeviceView, Problem> {
    let report = session.desk().store.folder().join(REPORT);
    match std::fs::remove_file(&report) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
            Err(Problem::new("store.io", "").with("path", report.display()).with("why", error))
        }
        _ => view(session, Nothing {}),
    }
}

/// The job and its rooms with every name replaced, as text that a person can read before sending it.
pub(crate) fn anonymised(session: &Session, ask: OfJob) -> Result<ReportText, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let mut anonymiser = Anonymiser::new();
    let fault = |error: &dyn std::fmt::Display| Problem::internal(&error.to_string());
    let mut text = format!("Drylay {}\n", env!("CARGO_PKG_VERSION"));
    if let Some(document) = desk.document(job.id, Kind::Job)? {
        let copy = anonymiser.document(document).map_err(|e| fault(&e))?;
        text += &format!("\njob\n{:#?}\n", JobView::read(&copy).map_err(|e| fault(&e))?);
    }
    for held in job.view.room_list() {
        if let Some(document) = desk.document(held.value.document, Kind::Room)? {
            let copy = anonymiser.document(document).map_err(|e| fault(&e))?;
            text += &format!("\nroom\n{:#?}\n", RoomView::read(&copy).map_err(|e| fault(&e))?);
        }
    }
    Ok(ReportText { text })
}

/// Reads everything once and says what is intact.
pub(crate) fn check(session: &Session, _ask: Nothing) -> Result<CheckView, Problem> {
    let report = session.desk().store.check()?;
    let count = |code: &str, n: usize| (n > 0).then(|| say(code, &[("n", &n.to_string())]));
    let mut lines: Vec<String> = [
        Some(say("check.rows", &[("n", &report.intact_rows.to_string())])),
        Some(say("check.files", &[("n", &report.intact_files.to_string())])),
        count("check.damaged_rows", report.damaged_rows.len()),
        count("check.damaged_files", report.damaged_files.len()),
        count("check.missing_files", report.missing_files.len()),
        count("check.set_aside", usize::try_from(report.set_aside).unwrap_or(0)),
    ]
    .into_iter()
    .flatten()
    .collect();
    lines.extend(report.pages.iter().map(|why| say("check.pages", &[("why", why)])));
    Ok(CheckView { clean: report.is_clean(), lines })
}

pub(crate) fn backup(session: &Session, ask: BackupAsk) -> Result<BackupDone, Problem> {
    let path = PathBuf::from(&ask.path);
    let usable = path.is_absolute() && path.file_name().is_some();
    if !usable {
        return Err(Problem::new("backup.path", "path").with("path", &ask.path));
    }
    session.desk().store.backup(&path)?;
    Ok(BackupDone { bytes: size(&path)? })
}

fn size(path: &Path) -> Result<u64, Problem> {
    let wrong = |error| Problem::new("store.io", "path").with("path", path.display()).with("why", error);
    std::fs::metadata(path).map(|it| it.len()).map_err(wrong)
}
