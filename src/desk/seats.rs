//! How many connections there are at once.
//!
//! In: connections. Out: a [`DeskSeat`] for each, given up by itself. When all are taken, the one that has
//! said nothing worth an answer for longest loses its seat: whoever opens a thousand connections and
//! says nothing only pushes out their own.

use std::collections::BTreeMap;
use std::net::{Shutdown, TcpStream};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// What a connection does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Doing {
    /// It has not yet shown that it may ask.
    Arriving,
    /// Its answer is being made or written.
    Answered,
    /// It waits for news.
    Listening,
}

/// Who is connected; there are only so many seats.
#[derive(Debug, Default)]
pub(super) struct DeskSeats {
    /// Who sits there, in the order of their coming.
    taken: Mutex<BTreeMap<u64, (Doing, TcpStream)>>,
}

impl DeskSeats {
    /// Who sits there.
    fn lock(&self) -> MutexGuard<'_, BTreeMap<u64, (Doing, TcpStream)>> {
        self.taken.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Gives a connection a seat; none when all are taken by those who may ask.
    pub(super) fn take(self: &Arc<DeskSeats>, stream: &TcpStream, most: usize) -> Option<DeskSeat> {
        let stream = stream.try_clone().ok()?;
        let mut taken = self.lock();
        if taken.len() >= most {
            hang_up_first(&mut taken, Doing::Arriving)?;
        }
        let number = taken.last_key_value().map_or(0, |(last, _)| last + 1);
        taken.insert(number, (Doing::Arriving, stream));
        Some(DeskSeat { seats: Arc::clone(self), number })
    }
}

/// Hangs up on the first connection that does something; none when nobody does.
fn hang_up_first(taken: &mut BTreeMap<u64, (Doing, TcpStream)>, doing: Doing) -> Option<()> {
    let number = *taken.iter().find(|(_, (known, _))| *known == doing)?.0;
    let (_, stream) = taken.remove(&number)?;
    let _ = stream.shutdown(Shutdown::Both);
    Some(())
}

/// A connection's seat.
pub(super) struct DeskSeat {
    /// All of them.
    seats: Arc<DeskSeats>,
    /// By which it is found among the others.
    number: u64,
}

impl DeskSeat {
    /// Keeps the seat of one that may ask.
    pub(super) fn keep(&self) {
        self.change(Doing::Answered);
    }

    /// Keeps the seat of one that waits for news; the first of too many goes.
    pub(super) fn listen(&self, most: usize) {
        self.change(Doing::Listening);
        let mut taken = self.seats.lock();
        if taken.values().filter(|(doing, _)| *doing == Doing::Listening).count() > most {
            hang_up_first(&mut taken, Doing::Listening);
        }
    }

    /// Notes what the connection does.
    fn change(&self, doing: Doing) {
        if let Some((known, _)) = self.seats.lock().get_mut(&self.number) {
            *known = doing;
        }
    }
}

impl Drop for DeskSeat {
    /// Gives it up.
    fn drop(&mut self) {
        self.seats.lock().remove(&self.number);
    }
}
