//! One request, one answer; or a stream of events that lasts as long as somebody listens.

use crate::files;
use drylay_app::{Problem, Session};
use serde_json::{Value, json};
use std::io::{Read, Write};
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::RecvTimeoutError;
use std::time::Duration;
use tiny_http::{Method, Request, StatusCode};

/// The longest body that is read: an imported sheet is the largest thing sent.
const MOST_BYTES: u64 = 64 * 1024 * 1024;
/// How often a silent stream is spoken into, so that a listener who went away is noticed.
const STILL: Duration = Duration::from_secs(10);

/// Answers a request. A client that has gone away is no mistake.
pub(crate) fn answer(request: Request, session: &Session, ui: &Path) {
    let path = request.url().split(['?', '#']).next().unwrap_or("").to_owned();
    let _ = match (request.method(), path.as_str()) {
        (Method::Post, path) if path.starts_with("/call/") => call(request, session, &path["/call/".len()..]),
        (Method::Post, "/upload") => upload(request),
        (Method::Get, "/events") => {
            let session = session.clone();
            std::thread::spawn(move || stream(request, &session));
            Ok(())
        }
        (Method::Get, path) if path.starts_with("/passed/") => passed(request, &path["/passed/".len()..]),
        (Method::Get, path) if path.starts_with("/photo/") => {
            photo(request, session, &path["/photo/".len()..])
        }
        (Method::Get, path) if path.starts_with("/paper/") => {
            paper(request, session, &path["/paper/".len()..])
        }
        (Method::Get | Method::Head, path) => page(request, ui, path),
        _ => send(request, 405, "text/plain", "no-store", b""),
    };
}

fn call(mut request: Request, session: &Session, name: &str) -> std::io::Result<()> {
    let mut body = String::new();
    let read = request.as_reader().take(MOST_BYTES).read_to_string(&mut body);
    let args = match read {
        Ok(_) if body.trim().is_empty() => Ok(json!({})),
        Ok(_) => serde_json::from_str(&body).map_err(|error| error.to_string()),
        Err(error) => Err(error.to_string()),
    };
    let answer = args
        .map_err(|why| Problem::new("command.args", "").with("why", why))
        .and_then(|args: Value| session.call(name, args));
    let (status, body) = match answer {
        Ok(answer) => (200, json!(answer)),
        Err(problem) => (422, json!(problem)),
    };
    send(request, status, "application/json", "no-store", body.to_string().as_bytes())
}

/// Answers and ends the connection. The server gives each connection a thread of a pool, and two that come at once can
/// be given the same: kept open, the first would make the second wait for as long as it lasts.
fn send(request: Request, status: u16, kind: &str, cache: &str, body: &[u8]) -> std::io::Result<()> {
    let reason = StatusCode(status).default_reason_phrase();
    let head = format!(
        "HTTP/1.1 {status} {reason}\r\ncontent-type: {kind}\r\ncache-control: {cache}\r\ncontent-length: {}\r\nconnection: close\r\n\r\n",
        body.len()
    );
    let without_body = *request.method() == Method::Head;
    let mut writer = request.into_writer();
    writer.write_all(head.as_bytes())?;
    if !without_body {
        writer.write_all(body)?;
    }
    writer.flush()
}

/// Keeps the bytes of a picture in the system's folder for passing things and answers with the path: a browser names
/// none, and the core takes pictures by path.
fn upload(mut request: Request) -> std::io::Result<()> {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let mut bytes = Vec::new();
    request.as_reader().take(MOST_BYTES).read_to_end(&mut bytes)?;
    let ending = if bytes.starts_with(b"\x89PNG") { "png" } else { "jpg" };
    let n = COUNT.fetch_add(1, Ordering::Relaxed);
    let path = std::env::temp_dir().join(format!("drylay-bridge-{}-{n}.{ending}", std::process::id()));
    std::fs::write(&path, bytes)?;
    send(request, 200, "application/json", "no-store", json!({ "path": path }).to_string().as_bytes())
}

/// Gives back a file of that folder, for a browser to keep: only one whose path this bridge gave out itself.
fn passed(request: Request, name: &str) -> std::io::Result<()> {
    let own = name.strip_prefix(&format!("drylay-bridge-{}-", std::process::id()));
    let own = own.filter(|rest| rest.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'.'));
    match own.and_then(|_| std::fs::read(std::env::temp_dir().join(name)).ok()) {
        Some(bytes) => send(request, 200, "application/octet-stream", "no-store", &bytes),
        None => send(request, 404, "text/plain", "no-store", b"Not found"),
    }
}

fn page(request: Request, ui: &Path, path: &str) -> std::io::Result<()> {
    let read = files::file(ui, path).and_then(|path| std::fs::read(&path).ok().map(|bytes| (path, bytes)));
    match read {
        Some((path, bytes)) => send(request, 200, files::kind(&path), "no-cache", &bytes),
        None => send(request, 404, "text/plain", "no-store", b"Not found"),
    }
}

fn photo(request: Request, session: &Session, hash: &str) -> std::io::Result<()> {
    match session.photo(hash) {
        Some(bytes) => {
            let kind = if bytes.starts_with(b"\x89PNG") { "image/png" } else { "image/jpeg" };
            send(request, 200, kind, "private, max-age=31536000, immutable", &bytes)
        }
        None => send(request, 404, "text/plain", "no-store", b"Not found"),
    }
}

/// A paper by its job and its file. It may be made again under the same name, so nothing keeps it.
fn paper(request: Request, session: &Session, name: &str) -> std::io::Result<()> {
    match session.paper(name) {
        Some(bytes) => send(request, 200, files::kind(Path::new(name)), "no-store", &bytes),
        None => send(request, 404, "text/plain", "no-store", b"Not found"),
    }
}

/// Server-sent events (WHATWG HTML, section 9.2): one `data:` line for each event.
fn stream(request: Request, session: &Session) -> std::io::Result<()> {
    let events = session.subscribe();
    let mut writer = request.into_writer();
    let head = "HTTP/1.1 200 OK\r\ncontent-type: text/event-stream\r\ncache-control: no-store\r\nconnection: close\r\n\r\n";
    writer.write_all(head.as_bytes())?;
    writer.write_all(b": listening\n\n")?;
    writer.flush()?;
    loop {
        match events.recv_timeout(STILL) {
            Ok(event) => writer.write_all(format!("data: {}\n\n", json!(event)).as_bytes())?,
            Err(RecvTimeoutError::Timeout) => writer.write_all(b": still here\n\n")?,
            Err(RecvTimeoutError::Disconnected) => return Ok(()),
        }
        writer.flush()?;
    }
}
