//! Running tests with one mutant on, as far as the first that fails.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use crate::tree::TestProgram;

/// How a test program ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Ending {
    /// All its tests passed.
    Passed,
    /// A test failed, or the program broke off; which.
    Failed(String),
    /// It was ended because it took too long.
    TimedOut,
}

/// No program of tests may take more memory than that, in KiB: a broken line may ask for any amount.
const MEMORY_KIB: u64 = 4 * 1024 * 1024;

/// Runs a program of tests. It is ended at the first test that fails, or when `limit` has passed.
pub(crate) fn run(
    program: &TestProgram,
    settings: &[(&str, String)],
    limit: Duration,
) -> Result<(Ending, Duration), String> {
    let started = Instant::now();
    let mut command = limited(&program.path);
    command.arg("--test-threads=2").current_dir(&program.folder).stdin(Stdio::null());
    command.stdout(Stdio::piped()).stderr(Stdio::null());
    command.env("PROPTEST_DISABLE_FAILURE_PERSISTENCE", "1").env("PROPTEST_MAX_SHRINK_ITERS", "0");
    command.envs(settings.iter().map(|(name, value)| (*name, value.as_str())));
    let mut child = command.spawn().map_err(|error| format!("{}: {error}", program.path.display()))?;
    let ending = watch(&mut child, started, limit);
    let _ = child.kill();
    let _ = child.wait();
    Ok((ending, started.elapsed()))
}

fn watch(child: &mut Child, started: Instant, limit: Duration) -> Ending {
    let (sender, lines) = mpsc::channel();
    if let Some(stdout) = child.stdout.take() {
        std::thread::spawn(move || {
            let all = BufReader::new(stdout).lines().map_while(Result::ok);
            all.take_while(|line| sender.send(line.clone()).is_ok()).for_each(drop);
        });
    }
    loop {
        let left = limit.saturating_sub(started.elapsed());
        match lines.recv_timeout(left) {
            Ok(line) => {
                if let Some(name) =
                    line.strip_prefix("test ").and_then(|rest| rest.strip_suffix(" ... FAILED"))
                {
                    return Ending::Failed(name.to_owned());
                }
            }
            Err(mpsc::RecvTimeoutError::Timeout) => return Ending::TimedOut,
            Err(mpsc::RecvTimeoutError::Disconnected) => {
                return match child.wait() {
                    Ok(status) if status.success() => Ending::Passed,
                    Ok(status) => Ending::Failed(format!("the program broke off ({status})")),
                    Err(error) => Ending::Failed(error.to_string()),
                };
            }
        }
    }
}

/// The program under a limit of memory, where there is a shell to set it.
fn limited(program: &Path) -> Command {
    if cfg!(unix) {
        let mut command = Command::new("sh");
        command.arg("-c").arg(format!("ulimit -v {MEMORY_KIB}; exec \"$0\" \"$@\"")).arg(program);
        command
    } else {
        Command::new(program)
    }
}
