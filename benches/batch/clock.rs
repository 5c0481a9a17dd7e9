//! CPU time: on a machine with other work the wall clock lies.

use std::fs;

use rustix::time::{ClockId, clock_gettime};

/// The CPU time of the thread at hand, in seconds; only differences mean something.
fn thread_seconds() -> f64 {
    let time = clock_gettime(ClockId::ThreadCPUTime);
    time.tv_sec as f64 + time.tv_nsec as f64 / 1e9
}

/// Runs something and adds its CPU time to a sum.
pub(crate) fn time<T>(sum: &mut f64, run: impl FnOnce() -> T) -> T {
    let start = thread_seconds();
    let made = run();
    *sum += thread_seconds() - start;
    made
}

/// The CPU time of all children that have ended, in seconds, to a hundredth; 0 where the system
/// does not tell.
pub(crate) fn children_seconds() -> f64 {
    let status = fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // proc(5), fields 16 and 17; the second field is a name in brackets that may hold anything.
    let fields = status.rsplit_once(") ").map_or("", |(_, fields)| fields).split(' ');
    let ticks = fields.skip(16 - 3).take(2).filter_map(|word| word.parse::<f64>().ok());
    ticks.sum::<f64>() / 100.0
}
