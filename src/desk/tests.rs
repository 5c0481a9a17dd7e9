//! The server as strangers meet it: other sites' pages, names bent to this machine, those without the
//! key, those who send too much, too slowly, or too often.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::sync::Arc;
use std::time::{Duration, Instant};

use super::answer::HttpAnswer;
use super::bulletin::Bulletin;
use super::request::{DeskLimits, HttpRequest, Method};
use super::server::{DeskRoom, DeskServer};

/// A room that says what it was asked, and takes its time where it is told to.
struct Echo;

impl DeskRoom for Echo {
    fn front(&self) -> &'static str {
        "/preview"
    }

    fn answer(&self, request: &HttpRequest) -> Option<HttpAnswer> {
        match (request.method, &*request.path) {
            (Method::Get, "/slow") => {
                std::thread::sleep(Duration::from_secs(2));
                Some(HttpAnswer::words(200, "late"))
            }
            (Method::Get, "/echo") => Some(HttpAnswer::words(200, "here")),
            (Method::Post, "/echo") => {
                Some(HttpAnswer::words(200, &format!("{} bytes", request.body.len())))
            }
            _ => None,
        }
    }
}

/// An open desk.
struct TestDesk {
    /// Host and port.
    authority: String,
    /// The key of this start.
    key: String,
    /// Its news.
    bulletin: Arc<Bulletin>,
}

/// Opens a desk with limits that a test can wait for.
fn open() -> TestDesk {
    let limits = DeskLimits {
        body_bytes: 1000,
        arrival: Duration::from_millis(300),
        connections: 16,
        listeners: 2,
        heartbeat: Duration::from_millis(50),
        ..DeskLimits::default()
    };
    let server = DeskServer::with_limits(0, limits).unwrap();
    let address = server.address();
    let (authority, rest) = address.strip_prefix("http://").unwrap().split_once('/').unwrap();
    let key = rest.strip_prefix("enter?key=").unwrap().to_owned();
    let (authority, bulletin) = (authority.to_owned(), Arc::new(Bulletin::default()));
    server.start(Arc::new(Echo), Arc::clone(&bulletin));
    TestDesk { authority, key, bulletin }
}

impl TestDesk {
    /// A connection.
    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(&self.authority).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(5))).unwrap();
        stream
    }

    /// The cookie that the entrance gives.
    fn cookie(&self) -> String {
        let port = self.authority.rsplit_once(':').unwrap().1;
        format!("slipwright-{port}={}", self.key)
    }

    /// What is answered to a line and headers; `HOST`, `ORIGIN` and `COOKIE` stand for the right ones.
    fn ask(&self, request: &str) -> String {
        let request = request
            .replace("HOST", &self.authority)
            .replace("ORIGIN", &format!("http://{}", self.authority))
            .replace("COOKIE", &self.cookie())
            .replace("KEY", &self.key);
        let mut stream = self.connect();
        stream.write_all(request.replace('\n', "\r\n").as_bytes()).unwrap();
        let mut answer = String::new();
        let _ = stream.read_to_string(&mut answer);
        answer
    }

    /// The status that is answered.
    fn status(&self, request: &str) -> String {
        self.ask(request).split(' ').nth(1).unwrap_or("closed").to_owned()
    }
}

#[test]
fn who_holds_the_key_is_answered() {
    let desk = open();
    let answer = desk.ask("GET /echo HTTP/1.1\nHost: HOST\nCookie: a=b; COOKIE\n\n");
    assert!(answer.starts_with("HTTP/1.1 200 OK\r\n") && answer.ends_with("\r\n\r\nhere\n"));
    for header in [
        "Content-Security-Policy: default-src 'none'; script-src 'self'; style-src 'self';",
        "X-Content-Type-Options: nosniff",
        "Cross-Origin-Resource-Policy: same-origin",
        "Referrer-Policy: no-referrer",
        "Cache-Control: no-store",
    ] {
        assert!(answer.contains(header), "{header}\n{answer}");
    }
    assert!(!answer.contains("unsafe"));
}

#[test]
fn the_entrance_gives_the_key_to_who_has_it_and_to_nobody_else() {
    let desk = open();
    let answer = desk.ask("GET /enter?key=KEY HTTP/1.1\nHost: HOST\n\n");
    let cookie = format!("Set-Cookie: {}; Path=/; HttpOnly; SameSite=Strict", desk.cookie());
    assert!(answer.starts_with("HTTP/1.1 200") && answer.contains(&cookie), "{answer}");
    // A link in a mail or on another site may lead there.
    let link = "Sec-Fetch-Site: cross-site\nSec-Fetch-Mode: navigate";
    assert_eq!(desk.status(&format!("GET /enter?key=KEY HTTP/1.1\nHost: HOST\n{link}\n\n")), "200");
    for query in ["", "?key=", "?key=00000000000000000000000000000000", "?other=KEY"] {
        let answer = desk.ask(&format!("GET /enter{query} HTTP/1.1\nHost: HOST\n\n"));
        assert!(answer.starts_with("HTTP/1.1 401") && !answer.contains("Set-Cookie"), "{query}");
    }
}

#[test]
fn a_missing_or_stale_key_is_told_what_to_do() {
    let desk = open();
    let other = open();
    let foreign = format!("GET /echo HTTP/1.1\nHost: HOST\nCookie: {}\n\n", other.cookie());
    let port = desk.authority.rsplit_once(':').unwrap().1;
    let stale =
        format!("GET /echo HTTP/1.1\nHost: HOST\nCookie: slipwright-{port}={}\n\n", other.key);
    for request in ["GET /echo HTTP/1.1\nHost: HOST\n\n", &foreign, &stale] {
        let answer = desk.ask(request);
        assert!(answer.starts_with("HTTP/1.1 401") && answer.contains("Open the whole address"));
        assert!(!answer.contains("here"));
    }
}

#[test]
fn names_bent_to_this_machine_are_refused() {
    let desk = open();
    let port = desk.authority.rsplit_once(':').unwrap().1;
    for host in
        ["evil.example", &format!("evil.example:{port}"), &format!("localhost:{port}"), "127.0.0.1"]
    {
        let status = desk.status(&format!("GET /echo HTTP/1.1\nHost: {host}\nCookie: COOKIE\n\n"));
        assert_eq!(status, "421", "{host}");
    }
    assert_eq!(desk.status("GET /echo HTTP/1.1\nCookie: COOKIE\n\n"), "421");
}

#[test]
fn other_sites_neither_read_nor_post() {
    let desk = open();
    let elsewhere = ["http://evil.example", "null", "https://HOST", "http://HOST.evil.example"];
    for origin in elsewhere {
        for method in ["GET", "POST"] {
            let request = format!(
                "{method} /echo HTTP/1.1\nHost: HOST\nOrigin: {origin}\nCookie: COOKIE\n\n"
            );
            assert_eq!(desk.status(&request), "403", "{method} {origin}");
        }
    }
    for site in ["cross-site", "same-site"] {
        let request =
            format!("GET /echo HTTP/1.1\nHost: HOST\nSec-Fetch-Site: {site}\nCookie: COOKIE\n\n");
        assert_eq!(desk.status(&request), "403", "{site}");
    }
    // A form of another site sends no origin in old browsers; nothing of ours posts without one.
    assert_eq!(desk.status("POST /echo HTTP/1.1\nHost: HOST\nCookie: COOKIE\n\n"), "403");
    let ours = "POST /echo HTTP/1.1\nHost: HOST\nOrigin: ORIGIN\nCookie: COOKIE\nContent-Length: 4\n\nabcd";
    assert!(desk.ask(ours).ends_with("4 bytes\n"));
}

#[test]
fn no_path_leads_to_a_file() {
    let desk = open();
    for path in [
        "/../Cargo.toml",
        "/pages/../../Cargo.toml",
        "/pages/%2e%2e/Cargo.toml",
        "//etc/passwd",
        "/pages/dom.js/",
        "/pages/",
        "/etc/passwd",
        "/pages/..\\Cargo.toml",
    ] {
        let status = desk.status(&format!("GET {path} HTTP/1.1\nHost: HOST\nCookie: COOKIE\n\n"));
        assert_eq!(status, "404", "{path}");
    }
    assert_eq!(desk.status("GET /pages/dom.js HTTP/1.1\nHost: HOST\nCookie: COOKIE\n\n"), "200");
}

#[test]
fn what_is_too_large_is_refused_before_it_is_read() {
    let desk = open();
    let head = "POST /echo HTTP/1.1\nHost: HOST\nOrigin: ORIGIN\nCookie: COOKIE\n";
    let length =
        |count: usize| format!("{head}Content-Length: {count}\n\n{}", "x".repeat(count.min(5000)));
    assert!(desk.ask(&length(1000)).ends_with("1000 bytes\n"));
    assert_eq!(desk.status(&length(1001)), "413");
    assert_eq!(desk.status(&length(999_999_999)), "413");
    assert_eq!(desk.status(&format!("{head}Transfer-Encoding: chunked\n\n5\nhello\n0\n\n")), "411");
    let long = format!("GET /echo HTTP/1.1\nHost: HOST\nX-Long: {}\n\n", "x".repeat(20_000));
    assert_eq!(desk.status(&long), "431");
}

#[test]
fn who_sends_too_slowly_is_hung_up_on() {
    let desk = open();
    let mut stream = desk.connect();
    let began = Instant::now();
    // A byte now and then does not lengthen the time.
    while began.elapsed() < Duration::from_secs(4) && stream.write_all(b"G").is_ok() {
        std::thread::sleep(Duration::from_millis(40));
    }
    assert!(began.elapsed() < Duration::from_secs(3), "{:?}", began.elapsed());
    // Half a body, and then nothing.
    let half =
        "POST /echo HTTP/1.1\nHost: HOST\nOrigin: ORIGIN\nCookie: COOKIE\nContent-Length: 9\n\nabc";
    assert_eq!(desk.ask(half), "");
}

#[test]
fn a_thousand_connections_that_say_nothing_keep_nobody_out() {
    let desk = open();
    let mut idle = Vec::new();
    for _ in 0..1000 {
        // The system may have no more handles; what there are is enough.
        idle.extend(TcpStream::connect(&desk.authority));
    }
    let began = Instant::now();
    assert_eq!(desk.status("GET /echo HTTP/1.1\nHost: HOST\nCookie: COOKIE\n\n"), "200");
    assert!(began.elapsed() < Duration::from_secs(3), "{:?}", began.elapsed());
    assert!(idle.len() > 100);
}

#[test]
fn what_takes_long_stops_nobody_else() {
    let desk = Arc::new(open());
    let (other, began) = (Arc::clone(&desk), Instant::now());
    let slow = std::thread::spawn(move || {
        other.status("GET /slow HTTP/1.1\nHost: HOST\nCookie: COOKIE\n\n")
    });
    std::thread::sleep(Duration::from_millis(50));
    assert_eq!(desk.status("GET /echo HTTP/1.1\nHost: HOST\nCookie: COOKIE\n\n"), "200");
    assert!(began.elapsed() < Duration::from_millis(1900), "{:?}", began.elapsed());
    assert_eq!(slow.join().unwrap(), "200");
}

#[test]
fn news_reach_who_listens_and_the_first_of_too_many_goes() {
    let desk = open();
    let listen = || {
        let mut stream = desk.connect();
        let request = format!(
            "GET /news HTTP/1.1\r\nHost: {}\r\nCookie: {}\r\n\r\n",
            desk.authority,
            desk.cookie()
        );
        stream.write_all(request.as_bytes()).unwrap();
        read_until(&mut stream, "data: ");
        stream
    };
    let mut first = listen();
    desk.bulletin.tell();
    assert!(read_until(&mut first, "data: 1\n\n"));
    let mut others = [listen(), listen()];
    desk.bulletin.tell();
    assert!(others.iter_mut().all(|stream| read_until(stream, "data: 2\n\n")));
    let mut rest = String::new();
    let _ = first.read_to_string(&mut rest);
    assert!(!rest.contains("data: 2"), "the first of three was closed: {rest}");
}

/// Reads until some text has come; whether it did.
fn read_until(stream: &mut TcpStream, text: &str) -> bool {
    let mut read = Vec::new();
    let mut byte = [0];
    while stream.read(&mut byte).is_ok_and(|count| count == 1) {
        read.push(byte[0]);
        if read.ends_with(text.as_bytes()) {
            return true;
        }
    }
    false
}
