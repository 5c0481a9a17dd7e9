//! One request read from a connection.
//!
//! In: bytes as they come. Out: a request whose head and body are whole and within their limits, or why
//! not. Only what our own pages send is understood: HTTP/1.1 (RFC 9112) with one request a connection
//! and bodies whose length is said. A body in pieces of unknown length or a header said twice is refused,
//! so that nothing can be read in two ways; the form of the head is judged by the parser of hyper. Not here: who may ask (`guard`).

use std::io::{self, Read};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use super::answer::HttpAnswer;

/// Headers of one request. Ours: browsers send about twenty.
const MOST_HEADERS: usize = 64;

/// What one connection may ask for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct DeskLimits {
    /// Bytes of a request's line and headers.
    pub(super) head_bytes: usize,
    /// Bytes behind the headers, where a room does not allow more.
    pub(super) body_bytes: usize,
    /// How long it may take to arrive, from the first byte to the last.
    pub(super) arrival: Duration,
    /// How many connections are held at once.
    pub(super) connections: usize,
    /// How many of them wait for news.
    pub(super) listeners: usize,
    /// How often a listener that has no news is written to, to find out whether it is still there.
    pub(super) heartbeat: Duration,
}

impl Default for DeskLimits {
    /// Ours. A page's largest request so far is a few hundred bytes; browsers hold six connections to one
    /// place at most, so sixty-four are ten browsers.
    fn default() -> DeskLimits {
        DeskLimits {
            head_bytes: 16 << 10,
            body_bytes: 1 << 20,
            arrival: Duration::from_secs(5),
            connections: 64,
            listeners: 8,
            heartbeat: Duration::from_secs(15),
        }
    }
}

/// What a request does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Method {
    /// Asks for something.
    Get,
    /// Changes something.
    Post,
}

/// What a browser asks, with what it sends along.
#[derive(Clone, Debug)]
pub(crate) struct HttpRequest {
    /// What it does.
    pub(crate) method: Method,
    /// The address without its query, as it was sent: nothing in it is decoded.
    pub(crate) path: String,
    /// What stands behind the question mark.
    query: String,
    /// Names in small letters with their values.
    headers: Vec<(String, String)>,
    /// What was sent along.
    pub(crate) body: Vec<u8>,
}

impl HttpRequest {
    /// A header's value, by its name in small letters.
    pub(super) fn header(&self, name: &str) -> Option<&str> {
        self.headers.iter().find(|(known, _)| known == name).map(|(_, value)| &**value)
    }

    /// A value of the query, as it was sent.
    pub(crate) fn query(&self, name: &str) -> Option<&str> {
        let pairs = self.query.split('&').filter_map(|pair| pair.split_once('='));
        pairs.into_iter().find(|(known, _)| *known == name).map(|(_, value)| value)
    }
}

/// Why there is no request.
#[derive(Debug)]
pub(super) enum NoRequest {
    /// Whoever called hung up or took too long: nobody is there to answer.
    Gone,
    /// It is answered with a refusal.
    Refused(HttpAnswer),
}

/// A refusal.
fn refuse(status: u16, words: &str) -> NoRequest {
    NoRequest::Refused(HttpAnswer::words(status, words))
}

/// Reads a request; `gate` looks at its head, and says how many bytes may follow it or what is answered
/// instead.
///
/// # Errors
/// When none arrives whole, in time, within the limits and in a form that is understood, or the gate is
/// shut.
pub(super) fn read_request(
    stream: &mut TcpStream,
    limits: &DeskLimits,
    gate: impl FnOnce(&HttpRequest) -> Result<usize, HttpAnswer>,
) -> Result<HttpRequest, NoRequest> {
    let mut arriving =
        Arriving { stream, until: Instant::now() + limits.arrival, bytes: Vec::new() };
    let (mut request, start) = loop {
        if let Some(read) = read_head(&arriving.bytes)? {
            break read;
        }
        if arriving.bytes.len() >= limits.head_bytes {
            return Err(refuse(431, "the request's headers are too long"));
        }
        arriving.more()?;
    };
    let most = gate(&request).map_err(NoRequest::Refused)?;
    let length = body_length(&request)?;
    if length > most {
        return Err(refuse(413, "that is more than this page takes"));
    }
    while arriving.bytes.len() < start + length {
        arriving.more()?;
    }
    request.body = arriving.bytes[start..start + length].to_vec();
    Ok(request)
}

/// Bytes as they come.
struct Arriving<'a> {
    /// Where they come from.
    stream: &'a mut TcpStream,
    /// When all of them must be there: a sender of a byte a second gets no longer for it.
    until: Instant,
    /// What has come.
    bytes: Vec<u8>,
}

impl Arriving<'_> {
    /// Waits for more.
    fn more(&mut self) -> Result<(), NoRequest> {
        let left = self.until.saturating_duration_since(Instant::now());
        // A limit of nothing would be none at all.
        if left.is_zero() || self.stream.set_read_timeout(Some(left)).is_err() {
            return Err(NoRequest::Gone);
        }
        let mut piece = [0; 4096];
        match self.stream.read(&mut piece) {
            Ok(0) => Err(NoRequest::Gone),
            Ok(count) => {
                self.bytes.extend(&piece[..count]);
                Ok(())
            }
            Err(error) if error.kind() == io::ErrorKind::Interrupted => Ok(()),
            Err(_) => Err(NoRequest::Gone),
        }
    }
}

/// Reads a request's line and headers, and where they end; none while they are not all there.
fn read_head(bytes: &[u8]) -> Result<Option<(HttpRequest, usize)>, NoRequest> {
    let unclear = || refuse(400, "this is no request that a page of ours makes");
    let mut headers = [httparse::EMPTY_HEADER; MOST_HEADERS];
    let mut head = httparse::Request::new(&mut headers);
    let end = match head.parse(bytes) {
        Ok(httparse::Status::Complete(end)) => end,
        Ok(httparse::Status::Partial) => return Ok(None),
        Err(httparse::Error::TooManyHeaders) => {
            return Err(refuse(431, "the request has too many headers"));
        }
        Err(_) => return Err(unclear()),
    };
    if head.version != Some(1) {
        return Err(unclear());
    }
    let method = match head.method {
        Some("GET") => Method::Get,
        Some("POST") => Method::Post,
        _ => return Err(refuse(405, "only GET and POST are known")),
    };
    let target = head.path.filter(|target| target.starts_with('/') && target.is_ascii());
    let (path, query) =
        target.map(|it| it.split_once('?').unwrap_or((it, ""))).ok_or_else(unclear)?;
    let (path, query) = (path.to_owned(), query.to_owned());
    let headers = read_headers(head.headers).ok_or_else(unclear)?;
    Ok(Some((HttpRequest { method, path, query, headers, body: Vec::new() }, end)))
}

/// Headers as text; none when one is said twice, which could be read as the one or the other, or is
/// not plain.
fn read_headers(headers: &[httparse::Header<'_>]) -> Option<Vec<(String, String)>> {
    let mut read: Vec<(String, String)> = Vec::with_capacity(headers.len());
    for header in headers {
        let name = header.name.to_ascii_lowercase();
        let value = std::str::from_utf8(header.value).ok().filter(|value| value.is_ascii())?;
        if read.iter().any(|(known, _)| *known == name) {
            return None;
        }
        read.push((name, value.trim().to_owned()));
    }
    Some(read)
}

/// How many bytes follow the head.
fn body_length(request: &HttpRequest) -> Result<usize, NoRequest> {
    if request.header("transfer-encoding").is_some() {
        return Err(refuse(411, "say how long it is"));
    }
    match request.header("content-length") {
        None => Ok(0),
        Some(digits) if digits.len() <= 12 && digits.bytes().all(|byte| byte.is_ascii_digit()) => {
            digits.parse().map_err(|_| refuse(413, "that is more than this page takes"))
        }
        Some(_) => Err(refuse(400, "this is no length")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The status that a head is refused with; none when it is read.
    fn refusal(head: &str) -> Option<u16> {
        let head = format!("{head}\r\n\r\n");
        match read_head(head.as_bytes()).and_then(|read| body_length(&read.unwrap().0)) {
            Ok(_) => None,
            Err(NoRequest::Refused(answer)) => Some(answer.status()),
            Err(NoRequest::Gone) => unreachable!(),
        }
    }

    #[test]
    fn what_a_browser_sends_is_read() {
        let head = "GET /preview/pages/3.svg?drawing=7&x=1 HTTP/1.1\r\nHost: 127.0.0.1:8000\r\nCookie: a=b\r\n\r\n";
        let (request, end) = read_head(head.as_bytes()).unwrap().unwrap();
        assert_eq!(end, head.len());
        assert!(read_head(&head.as_bytes()[..end - 1]).unwrap().is_none());
        assert_eq!((request.method, &*request.path), (Method::Get, "/preview/pages/3.svg"));
        assert_eq!(request.query("drawing"), Some("7"));
        assert_eq!(
            (request.header("host"), request.header("origin")),
            (Some("127.0.0.1:8000"), None)
        );
    }

    #[test]
    fn what_could_be_read_in_two_ways_is_refused() {
        for (head, status) in [
            ("GET / HTTP/1.0", 400),
            ("GET / HTTP/1.1 x", 400),
            ("GET http://elsewhere/ HTTP/1.1", 400),
            ("DELETE / HTTP/1.1", 405),
            ("GET / HTTP/1.1\r\nHost: a\r\nHost: b", 400),
            ("GET / HTTP/1.1\r\nHost: a\r\n folded", 400),
            ("GET / HTTP/1.1\r\nHost : a", 400),
            ("GET / HTTP/1.1\r\nHost: \u{e9}", 400),
            ("POST / HTTP/1.1\r\nTransfer-Encoding: chunked", 411),
            ("POST / HTTP/1.1\r\nContent-Length: +5", 400),
            ("POST / HTTP/1.1\r\nContent-Length: 5, 5", 400),
            ("POST / HTTP/1.1\r\nContent-Length: 9999999999999", 400),
        ] {
            assert_eq!(refusal(head), Some(status), "{head}");
        }
        assert_eq!(refusal("POST / HTTP/1.1\r\nContent-Length: 5"), None);
    }
}
