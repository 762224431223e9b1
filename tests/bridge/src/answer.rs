//! One request, one answer; or a stream of events that lasts as long as somebody listens.

use crate::files;
use drylay_app::{Problem, Session};
use serde_json::{Value, json};
use std::io::{Read, Write};
use std::path::Path;
use std::sync::mpsc::RecvTimeoutError;
use std::time::Duration;
use tiny_http::{Header, Method, Request, Response, StatusCode};

/// The longest body that is read: an imported sheet is the largest thing sent.
const MOST_BYTES: u64 = 64 * 1024 * 1024;
/// How often a silent stream is spoken into, so that a listener who went away is noticed.
const STILL: Duration = Duration::from_secs(10);

/// Answers a request. A client that has gone away is no mistake.
pub(crate) fn answer(request: Request, session: &Session, ui: &Path) {
    let path = request.url().split(['?', '#']).next().unwrap_or("").to_owned();
    let _ = match (request.method(), path.as_str()) {
        (Method::Post, path) if path.starts_with("/call/") => call(request, session, &path["/call/".len()..]),
        (Method::Get, "/events") => {
            let session = session.clone();
            std::thread::spawn(move || stream(request, &session));
            Ok(())
        }
        (Method::Get, path) if path.starts_with("/photo/") => {
            photo(request, session, &path["/photo/".len()..])
        }
        (Method::Get | Method::Head, path) => page(request, ui, path),
        _ => request.respond(Response::empty(405)),
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
    match answer {
        Ok(answer) => request.respond(json_response(&answer, 200)),
        Err(problem) => request.respond(json_response(&json!(problem), 422)),
    }
}

fn json_response(value: &Value, status: u16) -> Response<std::io::Cursor<Vec<u8>>> {
    let response = Response::from_string(value.to_string()).with_status_code(StatusCode(status));
    with(response, "content-type", "application/json")
}

fn with<R: Read>(response: Response<R>, name: &str, value: &str) -> Response<R> {
    match Header::from_bytes(name, value) {
        Ok(header) => response.with_header(header),
        Err(()) => response,
    }
}

fn page(request: Request, ui: &Path, path: &str) -> std::io::Result<()> {
    let opened =
        files::file(ui, path).and_then(|path| std::fs::File::open(&path).ok().map(|file| (path, file)));
    match opened {
        Some((path, file)) if path.is_file() => {
            let response = with(Response::from_file(file), "content-type", files::kind(&path));
            request.respond(with(response, "cache-control", "no-cache"))
        }
        _ => request.respond(Response::from_string("Not found").with_status_code(404)),
    }
}

fn photo(request: Request, session: &Session, hash: &str) -> std::io::Result<()> {
    match session.photo(hash) {
        Some(bytes) => {
            let response = Response::from_data(bytes);
            request.respond(with(response, "cache-control", "private, max-age=31536000, immutable"))
        }
        None => request.respond(Response::from_string("Not found").with_status_code(404)),
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
