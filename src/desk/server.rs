//! The server: a thread a connection, a request a connection.
//!
//! In: a [`DeskRoom`] and its [`Bulletin`]. Out: answers on the loopback address, and on no other. Whatever
//! takes long in one thread stops no other. Not here: what may be asked (`request`, `guard`) and what is
//! answered (rooms).

use std::io::{self, Read as _};
use std::net::{Ipv4Addr, Shutdown, TcpListener, TcpStream};
use std::sync::Arc;
use std::thread;
use std::time::{Duration, Instant};

use super::answer::HttpAnswer;
use super::assets::find_asset;
use super::bulletin::Bulletin;
use super::guard::Guard;
use super::request::{DeskLimits, HttpRequest, Method, NoRequest, read_request};
use super::seats::{DeskSeat, DeskSeats};

/// How long an answer may take to be taken.
const DELIVERY: Duration = Duration::from_secs(10);

/// How long what is still being sent is looked at and thrown away, so that a refusal arrives: closing
/// with bytes unread would take it back.
const LEFTOVERS: Duration = Duration::from_secs(1);

/// Where pages listen for news.
const NEWS: &str = "/news";

/// Where the entrance leads to: the room's own first page.
const FRONT: &str = "/";

/// What answers for its own addresses.
pub(crate) trait DeskRoom: Send + Sync {
    /// The address of the page that the entrance leads to.
    fn front(&self) -> &'static str;

    /// How many bytes may be sent along with a request, where that is not what requests may send.
    fn most_bytes(&self, _request: &HttpRequest) -> Option<usize> {
        None
    }

    /// The answer to a request that may be asked; none when the address is not its own.
    fn answer(&self, request: &HttpRequest) -> Option<HttpAnswer>;
}

/// A server that listens and does not answer yet.
#[derive(Debug)]
pub(crate) struct DeskServer {
    /// Bound to the loopback address alone.
    listener: TcpListener,
    /// Who gets an answer.
    guard: Guard,
    /// What one may ask for.
    limits: DeskLimits,
}

impl DeskServer {
    /// Listens on the loopback address, at a port of the system's choice when it is 0.
    ///
    /// # Errors
    /// When the port is taken.
    pub(crate) fn open(port: u16) -> io::Result<DeskServer> {
        DeskServer::with_limits(port, DeskLimits::default())
    }

    /// The same with other limits.
    pub(super) fn with_limits(port: u16, limits: DeskLimits) -> io::Result<DeskServer> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))?;
        let guard = Guard::new(listener.local_addr()?.port());
        Ok(DeskServer { listener, guard, limits })
    }

    /// The address that lets a browser in.
    pub(crate) fn address(&self) -> String {
        self.guard.address()
    }

    /// Answers from now on, in threads of its own.
    pub(crate) fn start(self, room: Arc<dyn DeskRoom>, bulletin: Arc<Bulletin>) {
        let DeskServer { listener, guard, limits } = self;
        let seats = Arc::new(DeskSeats::default());
        let desk = Arc::new(OpenDesk { guard, limits, room, bulletin });
        thread::spawn(move || {
            for stream in listener.incoming() {
                // Out of handles: the next one may have more luck when others are closed.
                let Ok(stream) = stream else {
                    thread::sleep(Duration::from_millis(20));
                    continue;
                };
                let Some(seat) = seats.take(&stream, desk.limits.connections) else { continue };
                let desk = Arc::clone(&desk);
                let serve = move || desk.serve(stream, &seat);
                // Without a thread the connection is closed, and the seat free again.
                let _ = thread::Builder::new().stack_size(512 << 10).spawn(serve);
            }
        });
    }
}

/// What all connections share.
struct OpenDesk {
    /// Who gets an answer.
    guard: Guard,
    /// What one may ask for.
    limits: DeskLimits,
    /// What answers.
    room: Arc<dyn DeskRoom>,
    /// The news.
    bulletin: Arc<Bulletin>,
}

impl OpenDesk {
    /// Serves a connection; one that is gone is nobody's concern.
    fn serve(&self, mut stream: TcpStream, seat: &DeskSeat) {
        let _ = stream.set_write_timeout(Some(DELIVERY));
        let _ = stream.set_nodelay(true);
        // Who may not ask sends nothing that is kept.
        let gate = |request: &HttpRequest| {
            self.guard.check(request)?;
            Ok(self.room.most_bytes(request).unwrap_or(self.limits.body_bytes))
        };
        let answer = match read_request(&mut stream, &self.limits, gate) {
            Err(NoRequest::Gone) => return,
            Err(NoRequest::Refused(answer)) => answer,
            Ok(request) if request.path == NEWS => {
                seat.listen(self.limits.listeners);
                let _ = self.bulletin.write_news(&mut stream, self.limits.heartbeat);
                return;
            }
            Ok(request) => {
                seat.keep();
                self.answer(&request)
            }
        };
        if answer.write(&mut stream).is_ok() {
            let _ = stream.shutdown(Shutdown::Write);
            throw_away_rest(&mut stream);
        }
    }

    /// The answer to a request that may be asked.
    fn answer(&self, request: &HttpRequest) -> HttpAnswer {
        let path = if request.path == FRONT { self.room.front() } else { &request.path };
        let asset = || find_asset(path).filter(|_| request.method == Method::Get);
        self.room.answer(request).or_else(asset).unwrap_or_else(HttpAnswer::nothing_there)
    }
}

/// Reads what is still being sent, for a moment.
fn throw_away_rest(stream: &mut TcpStream) {
    let until = Instant::now() + LEFTOVERS;
    let mut bytes = [0; 4096];
    loop {
        let left = until.saturating_duration_since(Instant::now());
        if left.is_zero() || stream.set_read_timeout(Some(left)).is_err() {
            return;
        }
        match stream.read(&mut bytes) {
            Ok(0) | Err(_) => return,
            Ok(_) => {}
        }
    }
}
