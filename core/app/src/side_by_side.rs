//! The same work on many things, some of them at once.

use std::panic::resume_unwind;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::channel;
use std::thread;

/// How many are worked on at once at most: each may need some ten megabytes meanwhile.
const MOST: usize = 4;

/// What `work` says of each thing, in the order of the things. `done` is told how many are done and whether to go on;
/// `None` where it ends the work. What stops one of them stops all, as if it were done here.
pub(crate) fn side_by_side<T: Sync, R: Send>(
    things: &[T],
    work: impl Fn(&T) -> R + Sync,
    done: &mut dyn FnMut(usize) -> bool,
) -> Option<Vec<R>> {
    let cores = thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let next = AtomicUsize::new(0);
    let (mut found, mut ended): (Vec<Option<R>>, bool) = (things.iter().map(|_| None).collect(), false);
    thread::scope(|scope| {
        let (sender, results) = channel();
        let worker = || {
            let sender = sender.clone();
            let (next, work) = (&next, &work);
            scope.spawn(move || {
                while let Some((i, thing)) = {
                    let i = next.fetch_add(1, Ordering::Relaxed);
                    things.get(i).map(|thing| (i, thing))
                } {
                    // Nobody listens any more where the work was ended.
                    let _ = sender.send((i, work(thing)));
                }
            })
        };
        let workers: Vec<_> = (0..things.len().min(cores).min(MOST)).map(|_| worker()).collect();
        drop(sender);
        for (before, (i, result)) in results.iter().enumerate() {
            found[i] = Some(result);
            if !done(before + 1) {
                ended = true;
                next.store(things.len(), Ordering::Relaxed);
                break;
            }
        }
        for worker in workers {
            worker.join().unwrap_or_else(|stopped| resume_unwind(stopped));
        }
    });
    if ended { None } else { found.into_iter().collect() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::panic::catch_unwind;
    use std::time::Duration;

    #[test]
    fn answers_come_in_the_order_of_the_things_whichever_is_done_first() {
        let things: Vec<u64> = (0..20).collect();
        let mut told = Vec::new();
        let late = |n: &u64| {
            thread::sleep(Duration::from_millis(n % 3 * 2));
            n * n
        };
        let found = side_by_side(&things, late, &mut |count| {
            told.push(count);
            true
        });
        assert_eq!(found, Some(things.iter().map(|n| n * n).collect()));
        assert_eq!(told, (1..=20).collect::<Vec<_>>());
        assert_eq!(side_by_side(&[], late, &mut |_| false), Some(Vec::new()));
    }

    #[test]
    fn an_ended_work_begins_nothing_more_and_says_nothing() {
        // All of them would take half a minute.
        let (begun, things) = (AtomicUsize::new(0), vec![0; 100_000]);
        let count = |_: &i32| {
            thread::sleep(Duration::from_millis(1));
            begun.fetch_add(1, Ordering::Relaxed)
        };
        assert_eq!(side_by_side(&things, count, &mut |done| done < 3), None);
        assert!(begun.load(Ordering::Relaxed) < things.len());
    }

    #[test]
    fn what_stops_one_stops_all() {
        let odd = |n: &i32| assert!(n % 2 == 0, "an odd one");
        assert!(catch_unwind(|| side_by_side(&[2, 4, 5, 6], odd, &mut |_| true)).is_err());
        assert!(catch_unwind(|| side_by_side(&[2, 4, 6], odd, &mut |_| true)).is_ok());
    }
}
