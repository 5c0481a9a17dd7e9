//! `slipwright desk` for tests: the server on a desk's folder, and what its addresses answer.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::process::Child;
use std::time::Duration;

use serde_json::Value;

use crate::command::Desk;

/// A desk that is open until the test ends.
pub(crate) struct OpenDesk {
    /// The command.
    child: Child,
    /// Host and port.
    pub(crate) authority: String,
    /// The cookie with its key.
    pub(crate) cookie: String,
}

impl Drop for OpenDesk {
    fn drop(&mut self) {
        self.kill();
    }
}

impl OpenDesk {
    /// Opens it, and goes in by the address that it prints.
    pub(crate) fn open(place: &Desk) -> OpenDesk {
        OpenDesk::open_as(place, &[".", "--no-open"])
    }

    /// The same with other arguments.
    pub(crate) fn open_as(place: &Desk, arguments: &[&str]) -> OpenDesk {
        let mut child = place.start(&[&["desk"], arguments].concat());
        let mut line = String::new();
        BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().strip_prefix("http://").unwrap_or_else(|| panic!("{line}"));
        let (authority, path) = address.split_once('/').unwrap();
        let (authority, cookie) = (authority.to_owned(), String::new());
        let mut desk = OpenDesk { child, authority, cookie };
        let entered = desk.ask(&format!("GET /{path}"), "", b"");
        let (_, rest) = entered.split_once("Set-Cookie: ").unwrap();
        desk.cookie = rest.split(';').next().unwrap().to_owned();
        desk
    }

    /// Ends it as a pulled plug does.
    pub(crate) fn kill(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }

    /// A connection on which something is asked.
    pub(crate) fn connect(&self, line: &str, headers: &str, body: &[u8]) -> TcpStream {
        let mut stream = TcpStream::connect(&self.authority).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(120))).unwrap();
        let (host, cookie, length) = (&self.authority, &self.cookie, body.len());
        let head = format!(
            "{line} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nCookie: {cookie}\r\n\
             Content-Length: {length}\r\n{headers}\r\n"
        );
        let _ = stream.write_all(&[head.as_bytes(), body].concat());
        stream
    }

    /// What is answered, with its headers.
    pub(crate) fn ask(&self, line: &str, headers: &str, body: &[u8]) -> String {
        let mut answer = Vec::new();
        let _ = self.connect(line, headers, body).read_to_end(&mut answer);
        String::from_utf8_lossy(&answer).into_owned()
    }

    /// The JSON at an address.
    pub(crate) fn json(&self, line: &str, body: &[u8]) -> Value {
        let answer = self.ask(line, "", body);
        assert!(answer.starts_with("HTTP/1.1 200"), "{line}: {answer}");
        serde_json::from_str(answer.split_once("\r\n\r\n").unwrap().1).unwrap()
    }

    /// Does a verb.
    pub(crate) fn act(&self, verb: &str, given: Value) -> Value {
        self.json(&format!("POST /act/{verb}"), given.to_string().as_bytes())
    }

    /// The status that a request is answered with.
    pub(crate) fn status(&self, line: &str, headers: &str, body: &[u8]) -> String {
        self.ask(line, headers, body).split(' ').nth(1).unwrap_or("closed").to_owned()
    }
}

/// A place with a shop file and a ledger in which twelve orders wait.
pub(crate) fn prepared() -> Desk {
    let place = Desk::new();
    place.sample("evening.json").sample("shop.yaml");
    place.done(&["ledger", "take-in", "evening.json"]);
    place
}

/// The bytes of a sample.
pub(crate) fn sample(name: &str) -> Vec<u8> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    std::fs::read(root.join("samples").join(name)).unwrap()
}
