//! That there is something new: a number that grows, and who waits for it.

use std::io::{self, Write};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use super::answer::start_answer;

/// A board that one side writes to and pages listen at.
#[derive(Debug, Default)]
pub(crate) struct Bulletin {
    /// The number of the last news.
    number: Mutex<u64>,
    /// Wakes who waits.
    changed: Condvar,
}

impl Bulletin {
    /// The number; one that somebody broke off at is still a number.
    fn lock(&self) -> MutexGuard<'_, u64> {
        self.number.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Says that there is something new.
    pub(crate) fn tell(&self) {
        *self.lock() += 1;
        self.changed.notify_all();
    }

    /// Writes every news to a listener until it is gone: as server-sent events (HTML Standard, 9.2),
    /// each with the number alone; what is new, the page asks for.
    ///
    /// # Errors
    /// When it is gone.
    pub(super) fn write_news(&self, out: &mut impl Write, heartbeat: Duration) -> io::Result<()> {
        out.write_all(format!("{}\r\n", start_answer(200, "text/event-stream")).as_bytes())?;
        let mut told = None;
        loop {
            let is_old = |number: &mut u64| told == Some(*number);
            let waited = self.changed.wait_timeout_while(self.lock(), heartbeat, is_old);
            let (last, timeout) = waited.unwrap_or_else(PoisonError::into_inner);
            let number = *last;
            drop(last);
            match timeout.timed_out() {
                true => out.write_all(b": nothing new\n\n")?,
                false => out.write_all(format!("data: {number}\n\n").as_bytes())?,
            }
            told = Some(number);
        }
    }
}
