//! A printer that says what it is told to say: a listener on this machine, and a writer of answers that
//! shares nothing with ours.

use std::io::{Read as _, Write as _};
use std::net::{TcpListener, TcpStream};
use std::sync::{Arc, Mutex};
use std::thread;

/// What a printer was asked.
#[derive(Clone, Debug)]
pub(crate) struct Asked {
    /// The operation's number.
    pub(crate) operation: u16,
    /// The whole body: request and document.
    pub(crate) body: Vec<u8>,
}

impl Asked {
    /// The document behind the request, which begins with one of its formats' first bytes.
    pub(crate) fn document(&self) -> &[u8] {
        let begins = |at: &usize| {
            let rest = &self.body[*at..];
            rest.starts_with(b"RaS2") || rest.starts_with(b"%PDF-")
        };
        (0..self.body.len()).find(begins).map_or(&[], |at| &self.body[at..])
    }

    /// Whether the request holds an attribute with a value of so many bytes, whatever its kind.
    pub(crate) fn has(&self, name: &str, value: &[u8]) -> bool {
        let wanted = [length(name), name.as_bytes().to_vec(), length_of(value), value.to_vec()];
        let wanted = wanted.concat();
        self.body.windows(wanted.len()).any(|window| window == wanted)
    }

    /// Whether a member of a collection has a number.
    pub(crate) fn has_member(&self, name: &str, number: i32) -> bool {
        let value = [&[0x21, 0, 0, 0, 4][..], &number.to_be_bytes()].concat();
        let wanted = [length(name), name.as_bytes().to_vec(), value].concat();
        self.body.windows(wanted.len()).any(|window| window == wanted)
    }
}

/// The length of a name, in two bytes.
fn length(name: &str) -> Vec<u8> {
    length_of(name.as_bytes())
}

/// The length of a value, in two bytes.
fn length_of(value: &[u8]) -> Vec<u8> {
    u16::try_from(value.len()).unwrap().to_be_bytes().to_vec()
}

/// What comes back.
#[derive(Clone, Debug)]
pub(crate) enum Reply {
    /// A message of the protocol.
    Ipp(Vec<u8>),
    /// The same in pieces, as servers send what they make while they send it.
    Chunked(Vec<u8>),
    /// Anything.
    Raw(Vec<u8>),
    /// Nothing: the connection ends.
    Nothing,
}

/// An answer that is being put together.
#[derive(Clone)]
pub(crate) struct Answer(Vec<u8>);

impl Answer {
    /// An answer of a status, without groups.
    pub(crate) fn of(status: u16) -> Answer {
        let mut bytes = vec![2, 0];
        bytes.extend(status.to_be_bytes());
        bytes.extend([0, 0, 0, 1, 1]);
        let answer = Answer(bytes).put(0x47, "attributes-charset", b"utf-8");
        answer.put(0x48, "attributes-natural-language", b"en")
    }

    /// Begins a group.
    pub(crate) fn group(mut self, about: u8) -> Answer {
        self.0.push(about);
        self
    }

    /// Adds a value; without a name one more of the attribute before.
    pub(crate) fn put(mut self, tag: u8, name: &str, value: &[u8]) -> Answer {
        self.0.push(tag);
        self.0.extend(length(name));
        self.0.extend(name.as_bytes());
        self.0.extend(length_of(value));
        self.0.extend(value);
        self
    }

    /// Adds keywords.
    pub(crate) fn words(self, name: &str, words: &[&str]) -> Answer {
        let names = std::iter::once(name).chain(std::iter::repeat(""));
        let pairs = words.iter().zip(names);
        pairs.fold(self, |answer, (word, name)| answer.put(0x44, name, word.as_bytes()))
    }

    /// Adds a number of a list of states.
    pub(crate) fn state(self, name: &str, number: i32) -> Answer {
        self.put(0x23, name, &number.to_be_bytes())
    }

    /// Adds dots an inch.
    pub(crate) fn dpi(self, name: &str, dpi: i32) -> Answer {
        let dots = dpi.to_be_bytes();
        self.put(0x32, name, &[&dots[..], &dots[..], &[3]].concat())
    }

    /// Ends it.
    pub(crate) fn end(mut self) -> Vec<u8> {
        self.0.push(3);
        self.0
    }
}

/// What a printer does: the reply to what it is asked, which comes for the so-manieth time.
type Manner = Box<dyn Fn(&Asked, usize) -> Reply + Send>;

/// A printer.
pub(crate) struct StandIn {
    /// Its port.
    pub(crate) port: u16,
    /// What it does.
    manner: Arc<Mutex<Manner>>,
    /// What it was asked.
    asked: Arc<Mutex<Vec<Asked>>>,
}

impl StandIn {
    /// Switches it on; it does nothing yet.
    pub(crate) fn start() -> StandIn {
        let listener = TcpListener::bind(("127.0.0.1", 0)).unwrap();
        let port = listener.local_addr().unwrap().port();
        let manner: Arc<Mutex<Manner>> = Arc::new(Mutex::new(Box::new(|_, _| Reply::Nothing)));
        let asked = Arc::new(Mutex::new(Vec::new()));
        let own = (Arc::clone(&manner), Arc::clone(&asked));
        thread::spawn(move || {
            for stream in listener.incoming() {
                serve(stream.unwrap(), &own.0, &own.1);
            }
        });
        StandIn { port, manner, asked }
    }

    /// Tells it what to do from now on; what it was asked before is forgotten.
    pub(crate) fn behave(&self, manner: impl Fn(&Asked, usize) -> Reply + Send + 'static) {
        *self.manner.lock().unwrap() = Box::new(manner);
        self.asked.lock().unwrap().clear();
    }

    /// What it was asked since.
    pub(crate) fn asked(&self) -> Vec<Asked> {
        self.asked.lock().unwrap().clone()
    }
}

/// Answers one request.
fn serve(mut stream: TcpStream, manner: &Mutex<Manner>, asked: &Mutex<Vec<Asked>>) {
    let Some(body) = read_body(&mut stream) else { return };
    let operation = u16::from_be_bytes([body[2], body[3]]);
    let now = Asked { operation, body };
    let mut all = asked.lock().unwrap();
    all.push(now.clone());
    let times = all.iter().filter(|it| it.operation == operation).count();
    drop(all);
    let reply = (manner.lock().unwrap())(&now, times);
    let head = "HTTP/1.1 200 OK\r\nContent-Type: application/ipp\r\n";
    let bytes = match reply {
        Reply::Nothing => return,
        Reply::Raw(bytes) => bytes,
        Reply::Ipp(body) => {
            let head = format!("{head}Content-Length: {}\r\n\r\n", body.len());
            [head.into_bytes(), body].concat()
        }
        Reply::Chunked(body) => {
            let head =
                format!("HTTP/1.1 100 Continue\r\n\r\n{head}Transfer-Encoding: chunked\r\n\r\n");
            let mut bytes = head.into_bytes();
            for piece in body.chunks(97) {
                bytes.extend(format!("{:x}\r\n", piece.len()).into_bytes());
                bytes.extend(piece);
                bytes.extend(b"\r\n");
            }
            bytes.extend(b"0\r\n\r\n");
            bytes
        }
    };
    let _ = stream.write_all(&bytes);
}

/// The body of a request, whose length is said.
fn read_body(stream: &mut TcpStream) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    let mut piece = [0; 65536];
    loop {
        let head = bytes.windows(4).position(|four| four == b"\r\n\r\n");
        if let Some(end) = head {
            let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
            let (_, rest) = head.split_once("Content-Length: ").unwrap();
            let length: usize = rest.lines().next().unwrap().parse().unwrap();
            if bytes.len() >= end + 4 + length {
                return Some(bytes.split_off(end + 4));
            }
        }
        match stream.read(&mut piece) {
            Ok(0) | Err(_) => return None,
            Ok(count) => bytes.extend(&piece[..count]),
        }
    }
}
