//! That there is something new: a number that grows, and who waits for it.

use std::io::{self, Write};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use super::answer::start_answer;

/// What is known of the news.
#[derive(Debug, Default)]
struct BulletinState {
    /// The number of the last news.
    number: u64,
    /// How many listeners there are.
    listeners: usize,
}

/// A board that one side writes to and pages listen at.
#[derive(Debug, Default)]
pub(crate) struct Bulletin {
    /// What is on it.
    state: Mutex<BulletinState>,
    /// Wakes who waits.
    changed: Condvar,
}

impl Bulletin {
    /// The state; one that somebody broke off at is still a number.
    fn lock(&self) -> MutexGuard<'_, BulletinState> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Says that there is something new.
    pub(crate) fn tell(&self) {
        self.lock().number += 1;
        self.changed.notify_all();
    }

    /// Whether anybody listens.
    pub(crate) fn is_heard(&self) -> bool {
        self.lock().listeners > 0
    }

    /// Writes every news to a listener until it is gone: as server-sent events (HTML Standard, 9.2),
    /// each with the number alone; what is new, the page asks for.
    ///
    /// # Errors
    /// When it is gone.
    pub(super) fn write_news(&self, out: &mut impl Write, heartbeat: Duration) -> io::Result<()> {
        let _listener = Listener::new(self);
        out.write_all(format!("{}\r\n", start_answer(200, "text/event-stream")).as_bytes())?;
        let mut told = None;
        loop {
            let state = self.lock();
            let is_old = |state: &mut BulletinState| told == Some(state.number);
            let waited = self.changed.wait_timeout_while(state, heartbeat, is_old);
            let (state, timeout) = waited.unwrap_or_else(PoisonError::into_inner);
            let number = state.number;
            drop(state);
            match timeout.timed_out() {
                true => out.write_all(b": nothing new\n\n")?,
                false => out.write_all(format!("data: {number}\n\n").as_bytes())?,
            }
            told = Some(number);
        }
    }
}

/// Somebody who listens, counted as long as it lasts.
struct Listener<'a> {
    /// Where.
    bulletin: &'a Bulletin,
}

impl Listener<'_> {
    /// Counts a listener.
    fn new(bulletin: &Bulletin) -> Listener<'_> {
        bulletin.lock().listeners += 1;
        Listener { bulletin }
    }
}

impl Drop for Listener<'_> {
    /// Counts it no longer.
    fn drop(&mut self) {
        self.bulletin.lock().listeners -= 1;
    }
}
