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

/// How often it is looked how far a program is.
const LOOK_EVERY: Duration = Duration::from_secs(1);
/// By the clock a program may take so many times its limit of processor time: one that waits for ever takes none.
const WAITING: u32 = 20;

/// Runs a program of tests. It is ended at the first test that fails, or when it has taken `limit` of processor time:
/// by the clock, whatever else the machine does would kill mutants. Tells how it ended and the processor time it took.
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
    let (ending, took) = watch(&mut child, started, limit);
    let _ = child.kill();
    let _ = child.wait();
    Ok((ending, took))
}

/// The processor time that a program has taken, all its threads together: of the fields of `/proc/PID/stat` the 14th and
/// 15th, in hundredths of a second (proc(5)). Where the system says no such thing, the time by the clock.
fn taken(child: &Child, started: Instant) -> Duration {
    let stat = std::fs::read_to_string(format!("/proc/{}/stat", child.id())).unwrap_or_default();
    stat_time(&stat).unwrap_or_else(|| started.elapsed())
}

fn stat_time(stat: &str) -> Option<Duration> {
    // The second field is the program's name in parentheses, which may hold anything.
    let mut fields = stat.rsplit_once(')')?.1.split_whitespace().skip(11);
    let mut hundredths = || fields.next()?.parse::<u64>().ok();
    Some(Duration::from_millis(10 * (hundredths()? + hundredths()?)))
}

fn watch(child: &mut Child, started: Instant, limit: Duration) -> (Ending, Duration) {
    let (sender, lines) = mpsc::channel();
    if let Some(stdout) = child.stdout.take() {
        std::thread::spawn(move || {
            let all = BufReader::new(stdout).lines().map_while(Result::ok);
            all.take_while(|line| sender.send(line.clone()).is_ok()).for_each(drop);
        });
    }
    loop {
        let said = lines.recv_timeout(LOOK_EVERY);
        let took = taken(child, started);
        match said {
            Ok(line) => {
                if let Some(name) =
                    line.strip_prefix("test ").and_then(|rest| rest.strip_suffix(" ... FAILED"))
                {
                    return (Ending::Failed(name.to_owned()), took);
                }
            }
            Err(mpsc::RecvTimeoutError::Timeout) => {}
            Err(mpsc::RecvTimeoutError::Disconnected) => {
                let ending = match child.wait() {
                    Ok(status) if status.success() => Ending::Passed,
                    Ok(status) => Ending::Failed(format!("the program broke off ({status})")),
                    Err(error) => Ending::Failed(error.to_string()),
                };
                return (ending, took);
            }
        }
        if took > limit || started.elapsed() > limit * WAITING {
            return (Ending::TimedOut, took);
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn processor_time_is_read_whatever_a_program_is_called() {
        let stat = "4242 (a) b) (c) S 1 2 3 4 5 6 7 8 9 10 250 31 0 0 20 0 3 0 77 0 0";
        assert_eq!(stat_time(stat), Some(Duration::from_millis(2810)));
        assert_eq!(stat_time(""), None);
        assert_eq!(stat_time("4242 (x) S 1 2"), None);
    }

    /// A program without an end is ended once it has taken its limit, and what it took is told.
    #[cfg(target_os = "linux")]
    #[test]
    fn what_computes_is_ended_by_its_own_time() {
        let mut busy = Command::new("sh").args(["-c", "while :; do :; done"]).spawn().expect("a shell");
        let started = Instant::now();
        let (ending, took) = watch(&mut busy, started, Duration::from_millis(300));
        busy.kill().expect("it still runs");
        busy.wait().expect("ended");
        assert_eq!(ending, Ending::TimedOut);
        assert!(took > Duration::from_millis(300) && took <= started.elapsed() * 2, "{took:?}");
    }
}
