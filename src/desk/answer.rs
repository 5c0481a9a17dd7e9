//! What is answered, and what every answer says of itself.

use std::borrow::Cow;
use std::io::{self, Write};

/// What a page may do: show, style and ask what comes from here, and nothing else. Nothing that stands
/// in a page's text is ever run or obeyed (Content Security Policy Level 3, W3C).
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; \
    connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// What a browser gets for a request.
#[derive(Clone, Debug)]
pub(crate) struct HttpAnswer {
    /// The status (RFC 9110, 15).
    status: u16,
    /// The kind of its body.
    kind: &'static str,
    /// What follows its head.
    body: Cow<'static, [u8]>,
    /// The key that the browser keeps from now on.
    cookie: Option<String>,
}

impl HttpAnswer {
    /// What was asked for.
    pub(crate) fn of(kind: &'static str, body: impl Into<Cow<'static, [u8]>>) -> HttpAnswer {
        HttpAnswer { status: 200, kind, body: body.into(), cookie: None }
    }

    /// A value for programs of pages.
    pub(crate) fn json(value: &serde_json::Value) -> HttpAnswer {
        HttpAnswer::of("application/json", value.to_string().into_bytes())
    }

    /// A sentence, mostly on why there is nothing else.
    pub(crate) fn words(status: u16, words: &str) -> HttpAnswer {
        let body = Cow::Owned(format!("{words}\n").into_bytes());
        HttpAnswer { status, kind: "text/plain; charset=utf-8", body, cookie: None }
    }

    /// There is nothing at this address.
    pub(crate) fn nothing_there() -> HttpAnswer {
        HttpAnswer::words(404, "there is nothing at this address")
    }

    /// The same with another status.
    pub(super) fn with_status(mut self, status: u16) -> HttpAnswer {
        self.status = status;
        self
    }

    /// The same, and the browser keeps a key.
    pub(super) fn with_cookie(mut self, cookie: String) -> HttpAnswer {
        self.cookie = Some(cookie);
        self
    }

    /// The number that tests compare.
    #[cfg(test)]
    pub(super) fn status(&self) -> u16 {
        self.status
    }

    /// Writes it; the connection ends with it.
    ///
    /// # Errors
    /// When nobody is there any more.
    pub(super) fn write(&self, out: &mut impl Write) -> io::Result<()> {
        let mut head = start_answer(self.status, self.kind);
        head += &format!("Content-Length: {}\r\n", self.body.len());
        if let Some(cookie) = &self.cookie {
            head += &format!("Set-Cookie: {cookie}\r\n");
        }
        head += "\r\n";
        out.write_all(&[head.as_bytes(), &self.body].concat())
    }
}

/// The line and the headers that every answer begins with.
pub(super) fn start_answer(status: u16, kind: &str) -> String {
    let reason = match status {
        200 => "OK",
        400 => "Bad Request",
        401 => "Unauthorized",
        403 => "Forbidden",
        404 => "Not Found",
        405 => "Method Not Allowed",
        411 => "Length Required",
        413 => "Content Too Large",
        421 => "Misdirected Request",
        431 => "Request Header Fields Too Large",
        500 => "Internal Server Error",
        503 => "Service Unavailable",
        _ => "Answer",
    };
    format!(
        "HTTP/1.1 {status} {reason}\r\nConnection: close\r\nContent-Type: {kind}\r\n\
         Content-Security-Policy: {POLICY}\r\nX-Content-Type-Options: nosniff\r\n\
         Cross-Origin-Resource-Policy: same-origin\r\nCross-Origin-Opener-Policy: same-origin\r\n\
         Referrer-Policy: no-referrer\r\nCache-Control: no-store\r\n"
    )
}
