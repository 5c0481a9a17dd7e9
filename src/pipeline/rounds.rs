//! Numbered steps made on several threads and handed over in order.
//!
//! In: a worker for each thread, how many steps there are, and how a step is made. Out: what each
//! step made, in order, whatever thread made it. Steps are made in rounds: while one round is handed
//! over, the next is being made, so no more than two of them are in memory. Not here: what a step is.

use std::io;
use std::mem;
use std::ops::Range;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{self, Scope};

/// Steps that one thread makes in a round.
const ROUND: usize = 64;

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
    if let [only] = &mut workers[..] {
        for round in rounds {
            let end = round.end;
            round.into_iter().try_for_each(|step| take(make(only, step)))?;
            progress(end);
        }
        return Ok(());
    }
    thread::scope(|scope| {
        let start = |worker| Lane::start(scope, worker, &make);
        let lanes: Vec<Lane<M>> = workers.into_iter().map(start).collect();
        let mut before = None;
        for round in rounds.map(Some).chain([None]) {
            if let Some(round) = &round {
                ask_for(round, &lanes);
            }
            let Some(done) = mem::replace(&mut before, round) else { continue };
            for lane in &lanes {
                // A thread that is gone has panicked, and its panic goes on at the end of the scope.
                let Ok(made) = lane.made.recv() else { return Ok(()) };
                made.into_iter().try_for_each(&mut take)?;
            }
            progress(done.end);
        }
        Ok(())
    })
}

/// A thread that makes steps.
struct Lane<M> {
    /// Which steps it is to make next; it ends when this is dropped.
    wanted: Sender<Range<usize>>,
    /// What it made, in order, one list for each time it was asked.
    made: Receiver<Vec<M>>,
}

impl<M: Send> Lane<M> {
    /// Starts a thread with its worker.
    fn start<'scope, 'env, W: Send + 'scope>(
        scope: &'scope Scope<'scope, 'env>,
        mut worker: W,
        make: &'scope (impl Fn(&mut W, usize) -> M + Sync),
    ) -> Lane<M>
    where
        M: 'scope,
    {
        let (wanted, asked) = channel::<Range<usize>>();
        let (give, made) = channel();
        scope.spawn(move || {
            for steps in asked {
                let list = steps.map(|step| make(&mut worker, step)).collect();
                if give.send(list).is_err() {
                    return;
                }
            }
        });
        Lane { wanted, made }
    }
}

/// Asks each thread for its share of a round; the last ones may have none.
fn ask_for<M>(round: &Range<usize>, lanes: &[Lane<M>]) {
    let share = round.len().div_ceil(lanes.len().max(1));
    for (place, lane) in lanes.iter().enumerate() {
        let start = (round.start + place * share).min(round.end);
        // A thread that is gone is found out when it is to hand over.
        let _ = lane.wanted.send(start..(start + share).min(round.end));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_come_in_order_from_any_number_of_threads() {
        for threads in 1..5 {
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
        for threads in 1..4 {
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
    #[should_panic(expected = "a scoped thread panicked")]
    fn a_panic_of_a_thread_is_not_lost() {
        let make = |(): &mut (), step: usize| assert!(step != 300, "made to fail");
        let _ = make_in_rounds(vec![(); 2], 1000, make, |()| Ok(()), |_| {});
    }
}
