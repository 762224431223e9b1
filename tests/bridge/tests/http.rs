//! The bridge as a browser meets it: calls, problems, events, files.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};

struct Bridge {
    child: Child,
    address: String,
    folder: PathBuf,
}

impl Bridge {
    fn start(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("drylay-bridge-{}-{name}", std::process::id()));
        std::fs::create_dir_all(folder.join("ui")).expect("a folder");
        std::fs::write(folder.join("ui/index.html"), "<title>screens</title>").expect("a file");
        std::fs::write(folder.join("secret.txt"), "secret").expect("a file");
        let mut call = Command::new(env!("CARGO_BIN_EXE_drylay-bridge"));
        call.args(["--port", "0", "--store"]).arg(folder.join("store")).arg("--ui").arg(folder.join("ui"));
        let mut child = call.stdout(Stdio::piped()).spawn().expect("the bridge starts");
        let mut said = String::new();
        let out = child.stdout.as_mut().expect("its output");
        BufReader::new(out).read_line(&mut said).expect("its address");
        let address = said.trim().strip_prefix("http://").expect("an address").to_owned();
        Self { child, address, folder }
    }

    fn ask(&self, head: &str, body: &str) -> TcpStream {
        let mut stream = TcpStream::connect(&self.address).expect("the bridge listens");
        let length = body.len();
        let request = format!(
            "{head} HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Length: {length}\r\n\r\n{body}"
        );
        stream.write_all(request.as_bytes()).expect("a request");
        stream
    }

    /// The status and the body of an answer.
    fn answer(&self, head: &str, body: &str) -> (u16, String) {
        let mut text = String::new();
        self.ask(head, body).read_to_string(&mut text).expect("an answer");
        let (head, body) = text.split_once("\r\n\r\n").expect("a head and a body");
        let status = head.split(' ').nth(1).and_then(|it| it.parse().ok()).expect("a status");
        (status, body.to_owned())
    }
}

impl Drop for Bridge {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

#[test]
fn calls_answer_and_problems_say_so() {
    let bridge = Bridge::start("calls");
    assert!(bridge.address.starts_with("127.0.0.1:"), "{}", bridge.address);
    assert_eq!(bridge.answer("POST /call/jobs.list", "{}"), (200, "{\"jobs\":[]}".to_owned()));
    let (status, body) = bridge.answer("POST /call/jobs.create", "{\"name\":1}");
    assert_eq!((status, body.contains("\"code\":\"command.args\"")), (422, true), "{body}");
    let (status, body) = bridge.answer("POST /call/jobs.list", "{");
    assert_eq!((status, body.contains("command.args")), (422, true), "{body}");
    let (status, body) = bridge.answer("POST /call/no.such", "{}");
    assert_eq!((status, body.contains("command.unknown")), (422, true), "{body}");
    assert_eq!(bridge.answer("DELETE /call/jobs.list", "").0, 405);
}

#[test]
fn an_answer_ends_its_connection_so_that_no_other_waits_behind_it() {
    let bridge = Bridge::start("close");
    for head in ["POST /call/jobs.list", "POST /call/no.such", "GET /", "GET /nothing.js"] {
        let mut text = String::new();
        bridge.ask(head, "{}").read_to_string(&mut text).expect("an answer");
        assert!(text.contains("\r\nconnection: close\r\n"), "{head}: {text}");
    }
}

#[test]
fn screens_are_served_and_nothing_beside_them() {
    let bridge = Bridge::start("files");
    assert_eq!(bridge.answer("GET /", ""), (200, "<title>screens</title>".to_owned()));
    for path in [
        "/../secret.txt",
        "/..%2fsecret.txt",
        "/nothing.js",
        "//etc/passwd",
        "/photo/../secret.txt",
        "/paper/../secret.txt",
        "/paper/x",
    ] {
        assert_eq!(bridge.answer(&format!("GET {path}"), "").0, 404, "{path}");
    }
}

#[test]
fn what_a_browser_passed_in_it_gets_back_and_nothing_beside_it() {
    let bridge = Bridge::start("passed");
    let (status, body) = bridge.answer("POST /upload", "a hand-over");
    assert_eq!(status, 200, "{body}");
    let name = body.rsplit('/').next().and_then(|rest| rest.strip_suffix("\"}")).expect("a path");
    assert_eq!(bridge.answer(&format!("GET /passed/{name}"), ""), (200, "a hand-over".to_owned()));
    for other in ["passwd", "../etc/passwd", &name[1..], &format!("{name}/x"), "drylay-bridge-1-0.jpg"] {
        assert_eq!(bridge.answer(&format!("GET /passed/{other}"), "").0, 404, "{other}");
    }
}

#[test]
fn every_listener_hears_of_a_change() {
    let bridge = Bridge::start("events");
    let listen = || {
        let mut lines = BufReader::new(bridge.ask("GET /events", "")).lines().map_while(Result::ok);
        assert!(lines.any(|line| line.starts_with(": listening")), "the stream begins");
        lines
    };
    let listeners = [listen(), listen()];
    let ask = "{\"name\":\"Attic\",\"client\":\"\",\"site\":\"\",\"units\":\"metric\"}";
    assert_eq!(bridge.answer("POST /call/jobs.create", ask).0, 200);
    for mut lines in listeners {
        let event = lines.find(|line| line.starts_with("data: ")).expect("an event");
        assert!(event.contains("\"kind\":\"changed\""), "{event}");
    }
}

/// The events of a stream, from now on.
fn events(bridge: &Bridge) -> impl Iterator<Item = String> {
    let mut lines = BufReader::new(bridge.ask("GET /events", "")).lines().map_while(Result::ok);
    assert!(lines.any(|line| line.starts_with(": listening")), "the stream begins");
    lines.filter_map(|line| line.strip_prefix("data: ").map(str::to_owned))
}

#[test]
fn a_paper_is_set_by_the_press_and_fetched() {
    let bridge = Bridge::start("paper");
    let sheet = r#"{ "drylay": 1, "job": { "name": "Küche, 石" }, "units": "imperial",
        "products": [ { "id": "t", "name": "Tile", "face": { "length": 600, "width": 300 }, "offsets": ["1/3"], "joint": 3, "edge_gap": 8, "kerf": 2, "carton": { "tiles": 6 } } ],
        "rooms": [ { "id": "den", "name": "Den", "outline": [[0,0],[3000,0],[3000,2000],[0,2000]] } ],
        "areas": [ { "id": "a", "rooms": ["den"], "product": "t", "layout": { "along": ["A", "B"], "offset": "1/3", "first_row": 300, "shift": 400 } } ] }"#;
    let ask = serde_json::json!({ "sheet": sheet }).to_string();
    let (status, card) = bridge.answer("POST /call/jobs.import", &ask);
    assert_eq!(status, 200, "{card}");
    let card: serde_json::Value = serde_json::from_str(&card).expect("a card");
    let job = card["id"].as_str().expect("an id");
    let mut heard = events(&bridge);
    let ask = serde_json::json!({ "job": job, "kinds": ["order"] }).to_string();
    let (status, task) = bridge.answer("POST /call/papers.make", &ask);
    assert_eq!(status, 200, "{task}");
    let end = heard.find(|event| !event.contains("\"kind\":\"progress\"")).expect("the task ends");
    assert!(end.contains("\"kind\":\"finished\""), "{end}");
    let mut bytes = Vec::new();
    bridge.ask(&format!("GET /paper/{job}/order.pdf"), "").read_to_end(&mut bytes).expect("an answer");
    let at = bytes.windows(4).position(|four| four == b"\r\n\r\n").expect("a head and a body");
    let (head, body) = (String::from_utf8_lossy(&bytes[..at]).into_owned(), &bytes[at + 4..]);
    assert!(head.starts_with("HTTP/1.1 200") && head.contains("content-type: application/pdf"), "{head}");
    // ISO 32000-1, 7.5.2 and 7.5.5: how a PDF begins and ends.
    assert!(
        body.starts_with(b"%PDF-1.") && body.trim_ascii_end().ends_with(b"%%EOF"),
        "{} bytes",
        body.len()
    );
    assert_eq!(bridge.answer(&format!("GET /paper/{job}/quote.pdf"), "").0, 404);
}
