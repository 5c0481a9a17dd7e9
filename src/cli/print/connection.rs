//! One request to a printer over HTTP, one connection a request (RFC 8010 §4).
//!
//! In: a request with the document behind it. Out: the answer's bytes, or what became of the connection.
//! Every wait has an end, and no answer is longer than [`ANSWER_BYTES`]. Not here: what the bytes say
//! (`ipp`).

use std::io::{self, Read, Write as _};
use std::net::{TcpStream, ToSocketAddrs as _};
use std::time::{Duration, Instant};

use super::address::QueueAddress;

/// The most bytes of an answer. Ours: a queue tells 2 KB of itself, so that a thousand of them have room.
const ANSWER_BYTES: usize = 4 << 20;

/// The most bytes of what stands before an answer; printers send some hundred.
const HEAD_BYTES: usize = 16 << 10;

/// How long is waited for what.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CallPatience {
    /// Until somebody takes the connection.
    pub(crate) connect: Duration,
    /// While a printer takes nothing more of a document: one without much memory takes the next page when
    /// it has printed one.
    pub(crate) stall: Duration,
    /// Until the answer is there.
    pub(crate) answer: Duration,
}

impl Default for CallPatience {
    /// Ours: nobody sits before a silent command for longer without thinking that it hangs, and a printer
    /// that needs more has stopped.
    fn default() -> CallPatience {
        CallPatience {
            connect: Duration::from_secs(5),
            stall: Duration::from_secs(120),
            answer: Duration::from_secs(30),
        }
    }
}

/// What became of a request that got no answer.
#[derive(Debug)]
pub(super) enum CallFault {
    /// There is no such machine.
    NoMachine,
    /// Nobody takes connections there.
    NobodyThere,
    /// Nothing was said in time.
    Silent,
    /// The connection broke off.
    BrokeOff,
    /// The answer is one of HTTP, with a status that is none of success.
    Refused(u16),
    /// The answer is none that a printer gives, with what is wrong.
    Garbled(&'static str),
}

/// Sends a request and gets the answer's body.
pub(super) fn call(
    address: &QueueAddress,
    patience: &CallPatience,
    request: &[u8],
    document: &[u8],
) -> Result<Vec<u8>, CallFault> {
    let mut stream = connect(address, patience)?;
    let _ = stream.set_nodelay(true);
    stream.set_write_timeout(Some(patience.stall)).map_err(|_| CallFault::NobodyThere)?;
    let (path, host) = (&address.path, address.authority());
    let length = request.len() + document.len();
    let head = format!(
        "POST {path} HTTP/1.1\r\nHost: {host}\r\nUser-Agent: slipwright\r\n\
         Content-Type: application/ipp\r\nContent-Length: {length}\r\nConnection: close\r\n\r\n"
    );
    let first = [head.as_bytes(), request].concat();
    let sent = stream.write_all(&first).and_then(|()| stream.write_all(document));
    // Who refuses a request may say why before all of it is sent, and close.
    let answer = AnswerReader::new(stream, patience.answer).read();
    match (sent, answer) {
        (_, Ok(body)) => Ok(body),
        (_, Err(CallFault::Refused(status))) => Err(CallFault::Refused(status)),
        (Err(error), _) if is_late(&error) => Err(CallFault::Silent),
        (Err(_), _) => Err(CallFault::BrokeOff),
        (Ok(()), Err(fault)) => Err(fault),
    }
}

/// A connection to the first of a machine's places that takes one.
fn connect(address: &QueueAddress, patience: &CallPatience) -> Result<TcpStream, CallFault> {
    let places = (&*address.host, address.port).to_socket_addrs();
    let mut fault = CallFault::NoMachine;
    for place in places.map_err(|_| CallFault::NoMachine)? {
        match TcpStream::connect_timeout(&place, patience.connect) {
            Ok(stream) => return Ok(stream),
            Err(_) => fault = CallFault::NobodyThere,
        }
    }
    Err(fault)
}

/// Whether an error says that a wait is over.
fn is_late(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::WouldBlock | io::ErrorKind::TimedOut)
}

/// An answer that is coming in.
struct AnswerReader {
    /// The connection.
    stream: TcpStream,
    /// When the wait is over.
    until: Instant,
    /// What has come in and is not used.
    buffer: Vec<u8>,
}

/// How an answer's body ends (RFC 9112 §6.3).
#[derive(Clone, Copy)]
enum BodyEnd {
    /// After so many bytes.
    After(usize),
    /// With a chunk of length 0.
    Chunked,
    /// With the connection.
    Closed,
}

impl AnswerReader {
    /// An answer that has not begun.
    fn new(stream: TcpStream, patience: Duration) -> AnswerReader {
        AnswerReader { stream, until: Instant::now() + patience, buffer: Vec::new() }
    }

    /// The answer's body.
    fn read(mut self) -> Result<Vec<u8>, CallFault> {
        loop {
            let (status, end) = self.read_head()?;
            match status {
                // Not the answer yet, such as "100 Continue".
                100..=199 => {}
                200 => return self.read_body(end),
                _ => return Err(CallFault::Refused(status)),
            }
        }
    }

    /// Reads more; whether there was any.
    fn more(&mut self) -> Result<bool, CallFault> {
        let left = self.until.saturating_duration_since(Instant::now());
        if left.is_zero() || self.stream.set_read_timeout(Some(left)).is_err() {
            return Err(CallFault::Silent);
        }
        let mut piece = [0; 8192];
        match self.stream.read(&mut piece) {
            Ok(count) => {
                self.buffer.extend_from_slice(&piece[..count]);
                Ok(count > 0)
            }
            Err(error) if error.kind() == io::ErrorKind::Interrupted => Ok(true),
            Err(error) if is_late(&error) => Err(CallFault::Silent),
            Err(_) => Err(CallFault::BrokeOff),
        }
    }

    /// The status, and how the body ends.
    fn read_head(&mut self) -> Result<(u16, BodyEnd), CallFault> {
        loop {
            let mut headers = [httparse::EMPTY_HEADER; 64];
            let mut response = httparse::Response::new(&mut headers);
            match response.parse(&self.buffer) {
                Err(_) => return Err(CallFault::Garbled("it does not speak HTTP")),
                Ok(httparse::Status::Complete(used)) => {
                    let head = (response.code.unwrap_or_default(), body_end(response.headers)?);
                    self.buffer.drain(..used);
                    return Ok(head);
                }
                Ok(httparse::Status::Partial) if self.buffer.len() > HEAD_BYTES => {
                    return Err(CallFault::Garbled("its answer has no end"));
                }
                Ok(httparse::Status::Partial) => {
                    if !self.more()? {
                        return Err(CallFault::BrokeOff);
                    }
                }
            }
        }
    }

    /// What follows the head, as far as the head says that it goes.
    fn read_body(mut self, end: BodyEnd) -> Result<Vec<u8>, CallFault> {
        match end {
            BodyEnd::After(length) => self.take(length),
            BodyEnd::Closed => {
                while self.more()? {
                    refuse_long(self.buffer.len())?;
                }
                Ok(self.buffer)
            }
            BodyEnd::Chunked => {
                let mut body = Vec::new();
                loop {
                    let length = self.read_chunk_length()?;
                    refuse_long(body.len().saturating_add(length))?;
                    if length == 0 {
                        return Ok(body);
                    }
                    body.extend(self.take(length)?);
                    self.take(2)?;
                }
            }
        }
    }

    /// So many bytes.
    fn take(&mut self, count: usize) -> Result<Vec<u8>, CallFault> {
        refuse_long(count)?;
        while self.buffer.len() < count {
            if !self.more()? {
                return Err(CallFault::BrokeOff);
            }
        }
        let rest = self.buffer.split_off(count);
        Ok(std::mem::replace(&mut self.buffer, rest))
    }

    /// The length that stands before a chunk, on a line of its own.
    fn read_chunk_length(&mut self) -> Result<usize, CallFault> {
        let garbled = CallFault::Garbled("its answer comes in pieces that cannot be put together");
        loop {
            match httparse::parse_chunk_size(&self.buffer) {
                Ok(httparse::Status::Complete((used, length))) => {
                    self.buffer.drain(..used);
                    return usize::try_from(length).map_err(|_| garbled);
                }
                Ok(httparse::Status::Partial) if self.buffer.len() < 1024 => {
                    if !self.more()? {
                        return Err(CallFault::BrokeOff);
                    }
                }
                _ => return Err(garbled),
            }
        }
    }
}

/// Refuses an answer that is too long.
fn refuse_long(length: usize) -> Result<(), CallFault> {
    match length > ANSWER_BYTES {
        true => Err(CallFault::Garbled("its answer is longer than any that a printer gives")),
        false => Ok(()),
    }
}

/// How a body ends, as the headers say.
fn body_end(headers: &[httparse::Header<'_>]) -> Result<BodyEnd, CallFault> {
    let find = |name: &str| headers.iter().find(|it| it.name.eq_ignore_ascii_case(name));
    let text = |header: &httparse::Header<'_>| {
        String::from_utf8_lossy(header.value).trim().to_ascii_lowercase()
    };
    if find("transfer-encoding").is_some_and(|it| text(it).contains("chunked")) {
        return Ok(BodyEnd::Chunked);
    }
    let Some(length) = find("content-length") else { return Ok(BodyEnd::Closed) };
    let length = text(length).parse();
    length.map(BodyEnd::After).map_err(|_| CallFault::Garbled("its answer has no length"))
}
