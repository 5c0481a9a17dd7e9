//! Who gets an answer.
//!
//! In: a request. Out: that it comes from a page of ours in a browser that holds the key, or what it is
//! answered instead. Any web page can make a browser call this machine, so the address alone proves
//! nothing: the name it was called by tells a name that was bent to this machine (DNS rebinding), the
//! origin and the fetch metadata tell another site's page, and the key tells everyone else.

use std::collections::hash_map::RandomState;
use std::fs::File;
use std::hash::{BuildHasher as _, Hasher as _};
use std::io::Read as _;

use super::answer::HttpAnswer;
use super::assets::{ENTER, NO_KEY};
use super::request::{HttpRequest, Method};

/// Where the key is handed over.
pub(super) const ENTRANCE: &str = "/enter";

/// What tells our own pages from others.
#[derive(Clone, Debug)]
pub(super) struct Guard {
    /// Host and port, as a browser names them.
    authority: String,
    /// The port, which also names the cookie: cookies know no ports, and two desks may be open.
    port: u16,
    /// The key of this start.
    key: String,
}

impl Guard {
    /// A guard with a new key.
    pub(super) fn new(port: u16) -> Guard {
        Guard { authority: format!("127.0.0.1:{port}"), port, key: make_key() }
    }

    /// The address that lets a browser in.
    pub(super) fn address(&self) -> String {
        format!("http://{}{ENTRANCE}?key={}", self.authority, self.key)
    }

    /// Lets a request pass, or says what it is answered.
    pub(super) fn check(&self, request: &HttpRequest) -> Result<(), HttpAnswer> {
        if request.header("host").is_none_or(|host| !host.eq_ignore_ascii_case(&self.authority)) {
            return Err(HttpAnswer::words(421, "this is another place"));
        }
        let is_entrance = request.path == ENTRANCE && request.method == Method::Get;
        if !self.is_from_here(request, is_entrance) {
            return Err(HttpAnswer::words(403, "another page may not ask this"));
        }
        if is_entrance {
            return Err(self.let_in(request));
        }
        let name = format!("slipwright-{}", self.port);
        let cookies = request.header("cookie").unwrap_or_default().split(';');
        let mut pairs = cookies.filter_map(|pair| pair.trim().split_once('='));
        match pairs.any(|(known, key)| known == name && is_same(key, &self.key)) {
            true => Ok(()),
            false => Err(no_key()),
        }
    }

    /// Whether a request is made by a page of ours, or by the seller who opens the entrance: by a link
    /// in another program too, which hands over the key and shows nothing.
    fn is_from_here(&self, request: &HttpRequest, is_entrance: bool) -> bool {
        let ours = format!("http://{}", self.authority);
        let origin = match request.header("origin") {
            Some(origin) => origin.eq_ignore_ascii_case(&ours),
            None => request.method == Method::Get,
        };
        // Fetch Metadata Request Headers (W3C): what a browser says of who asks.
        let site = match request.header("sec-fetch-site") {
            None | Some("same-origin" | "none") => true,
            Some(_) => is_entrance && request.header("sec-fetch-mode") == Some("navigate"),
        };
        origin && site
    }

    /// Hands the key to a browser whose address has it. The page goes on by itself: a cookie for this
    /// site alone would not be sent along when another site's link is answered by a redirect.
    fn let_in(&self, request: &HttpRequest) -> HttpAnswer {
        if !request.query("key").is_some_and(|key| is_same(key, &self.key)) {
            return no_key();
        }
        let cookie =
            format!("slipwright-{}={}; Path=/; HttpOnly; SameSite=Strict", self.port, self.key);
        HttpAnswer::of("text/html; charset=utf-8", ENTER.as_bytes()).with_cookie(cookie)
    }
}

/// What those without a key are shown.
fn no_key() -> HttpAnswer {
    HttpAnswer::of("text/html; charset=utf-8", NO_KEY.as_bytes()).with_status(401)
}

/// Compares two keys in the same time wherever they differ.
fn is_same(one: &str, other: &str) -> bool {
    let differing = one.bytes().zip(other.bytes()).fold(0, |all, (a, b)| all | (a ^ b));
    one.len() == other.len() && differing == 0
}

/// A key that nobody can guess: 128 bits of the system's, as hexadecimal digits. Where the system has no
/// such file, they are made of the keys that it gives the standard library for its hash tables.
fn make_key() -> String {
    let mut bytes = [0; 16];
    let read = File::open("/dev/urandom").and_then(|mut file| file.read_exact(&mut bytes));
    if read.is_err() {
        for half in bytes.chunks_mut(8) {
            let number = RandomState::new().build_hasher().finish();
            half.copy_from_slice(&number.to_le_bytes());
        }
    }
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_long_and_never_the_same() {
        let (one, other) = (make_key(), make_key());
        assert_eq!((one.len(), other.len()), (32, 32));
        assert_ne!(one, other);
        assert!(is_same(&one, &one) && !is_same(&one, &other) && !is_same(&one, &one[..31]));
    }
}
