//! `drylay-bridge`: the command table over HTTP on this machine only, so that the screens run in an ordinary browser
//! against the real core, without the window.
//!
//! `POST /call/<name>` takes a command's arguments as JSON and answers 200 with its answer or 422 with a problem;
//! `GET /events` is the stream of events; `GET /photo/<hash>` a stored picture, `GET /paper/<job>/<file>` a paper that was made;
//! everything else a file of the screens.

mod answer;
mod files;
mod options;
mod outlet;

use drylay_app::Session;
use drylay_app::system::System;
use drylay_transport::Network;
use options::Options;
use std::process::ExitCode;
use std::sync::Arc;
use tiny_http::Server;

/// How many requests are answered at once. Streams of events have threads of their own.
const WORKERS: usize = 4;

fn main() -> ExitCode {
    match Options::read(std::env::args().skip(1)).and_then(|options| serve(&options)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(words) => {
            eprintln!("{words}");
            ExitCode::FAILURE
        }
    }
}

fn serve(options: &Options) -> Result<(), String> {
    let session = Session::open(&options.store, Arc::new(System)).map_err(|problem| problem.to_string())?;
    session.give_outlet(Arc::new(outlet::Folder::within(&options.store)));
    let network = options.crew.then(|| network(&session)).transpose()?;
    let server = Server::http(("127.0.0.1", options.port)).map_err(|error| error.to_string())?;
    println_address(&server);
    let server = Arc::new(server);
    let work = || {
        let (server, session, ui) = (server.clone(), session.clone(), options.ui.clone());
        std::thread::spawn(move || {
            server.incoming_requests().for_each(|request| answer::answer(request, &session, &ui));
        })
    };
    let workers: Vec<_> = (0..WORKERS).map(|_| work()).collect();
    let done =
        workers.into_iter().try_for_each(|worker| worker.join().map_err(|_| "a worker stopped".to_owned()));
    drop(network);
    done
}

fn network(session: &Session) -> Result<Network, String> {
    let engine = session.engine().map_err(|problem| problem.to_string())?;
    Network::start(engine, drylay_transport::Options::default()).map_err(|error| error.to_string())
}

/// The address on standard output, so that a test that asked for port 0 learns which it got.
#[expect(clippy::print_stdout, reason = "whoever starts the bridge reads the address from here")]
fn println_address(server: &Server) {
    println!("http://{}", server.server_addr());
}
