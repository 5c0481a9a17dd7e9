//! Steps made on several threads, handed over in order.
//!
//! In: rounds of steps, and a worker for each thread. Out: what each step made. While one round is
//! handed over, the next is being made, so no more than two of them are in memory. This file is all
//! that the engine has of threads; the feature `threads` leaves it out.

use std::io;
use std::mem;
use std::num::NonZeroUsize;
use std::ops::Range;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{self, Scope};

/// How many threads this machine runs at once.
pub(super) fn count_cores() -> NonZeroUsize {
    thread::available_parallelism().unwrap_or(NonZeroUsize::MIN)
}

/// Makes rounds of steps: `make` runs on a thread a worker, `take` and `progress` on this one.
///
/// # Errors
/// Only those of `take`; nothing is made after one.
pub(super) fn make_on_lanes<W: Send, M: Send>(
    workers: Vec<W>,
    rounds: impl Iterator<Item = Range<usize>>,
    make: impl Fn(&mut W, usize) -> M + Sync,
    mut take: impl FnMut(M) -> io::Result<()>,
    progress: impl Fn(usize),
) -> io::Result<()> {
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
