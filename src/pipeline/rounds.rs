//! Numbered steps made in rounds and handed over in order.
//!
//! In: a worker for each thread, how many steps there are, and how a step is made. Out: what each
//! step made, in order, whatever thread made it: several (`lanes`), or this one alone, which is all
//! there is without the feature `threads`. Not here: what a step is.

#[cfg(feature = "threads")]
mod lanes;

use std::io;
use std::num::NonZeroUsize;

/// Steps that one thread makes in a round.
const ROUND: usize = 64;

/// How many threads make steps when `wanted` are asked for, or nobody says how many.
pub(super) fn count_threads(wanted: Option<NonZeroUsize>) -> NonZeroUsize {
    #[cfg(feature = "threads")]
    let threads = wanted.unwrap_or_else(lanes::count_cores);
    #[cfg(not(feature = "threads"))]
    let threads = wanted.map_or(NonZeroUsize::MIN, |_| NonZeroUsize::MIN);
    threads
}

/// Makes the steps from 0 to `total`: `make` runs on a thread a worker, `take` and `progress` on
/// this one. `progress` hears after each round how many steps are done.
///
/// # Errors
/// Only those of `take`; nothing is made after one.
pub(super) fn make_in_rounds<W: Send, M: Send>(
    mut workers: Vec<W>,
    total: usize,
    make: impl Fn(&mut W, usize) -> M + Sync,
    mut take: impl FnMut(M) -> io::Result<()>,
    progress: impl Fn(usize),
) -> io::Result<()> {
    let length = workers.len().max(1) * ROUND;
    let rounds = (0..total).step_by(length).map(|start| start..(start + length).min(total));
    #[cfg(feature = "threads")]
    if workers.len() > 1 {
        return lanes::make_on_lanes(workers, rounds, make, take, progress);
    }
    let Some(worker) = workers.first_mut() else { return Ok(()) };
    for round in rounds {
        let end = round.end;
        round.into_iter().try_for_each(|step| take(make(worker, step)))?;
        progress(end);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_come_in_order_from_any_number_of_threads() {
        for threads in 1..=count_threads(NonZeroUsize::new(4)).get() {
            for total in [0, 1, 63, 64, 65, 129, 1000] {
                let (mut taken, heard) = (Vec::new(), std::cell::Cell::new(0));
                let take = |step| {
                    taken.push(step);
                    Ok(())
                };
                let make = |made: &mut usize, step: usize| {
                    *made += 1;
                    step
                };
                let workers = vec![0; threads];
                make_in_rounds(workers, total, make, take, |done| heard.set(done)).unwrap();
                assert_eq!(taken, (0..total).collect::<Vec<_>>(), "{threads} {total}");
                assert_eq!(heard.get(), total);
            }
        }
    }

    #[test]
    fn nothing_is_taken_after_an_error() {
        for threads in 1..=count_threads(NonZeroUsize::new(3)).get() {
            let mut taken = 0;
            let take = |step| {
                taken += 1;
                if step == 100 { Err(io::Error::other("full")) } else { Ok(()) }
            };
            let result = make_in_rounds(vec![(); threads], 5000, |(), step| step, take, |_| {});
            assert_eq!(result.unwrap_err().to_string(), "full");
            assert_eq!(taken, 101);
        }
    }

    #[test]
    #[cfg(feature = "threads")]
    #[should_panic(expected = "a scoped thread panicked")]
    fn a_panic_of_a_thread_is_not_lost() {
        let make = |(): &mut (), step: usize| assert!(step != 300, "made to fail");
        let _ = make_in_rounds(vec![(); 2], 1000, make, |()| Ok(()), |_| {});
    }
}
