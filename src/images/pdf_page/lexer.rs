//! The tokens of PDF syntax, ISO 32000-1 §7.2 and §7.3.
//!
//! In: bytes of a file, of an object stream or of a content stream. Out: one token after the
//! other, each a slice of the input. Not here: what the tokens build (`parser`, `scan`).

use super::error::{Result, broken};

/// What content and objects are written in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum PdfToken<'a> {
    /// A number, or what starts like one.
    Number(&'a [u8]),
    /// A name, without its slash.
    Name(&'a [u8]),
    /// A string, with its brackets.
    Text(&'a [u8]),
    /// `[`
    ArrayStart,
    /// `]`
    ArrayEnd,
    /// `<<`
    DictStart,
    /// `>>`
    DictEnd,
    /// Any other run of regular characters, or a brace.
    Word(&'a [u8]),
    /// The input is used up.
    End,
}

/// A place in bytes from which tokens are read.
#[derive(Clone, Debug)]
pub(super) struct Lexer<'a> {
    /// What is read from; tokens are parts of it.
    bytes: &'a [u8],
    /// Where the next token is looked for.
    at: usize,
}

/// Whether `byte` is white space.
pub(super) fn is_space(byte: u8) -> bool {
    matches!(byte, 0 | b'\t' | b'\n' | 12 | b'\r' | b' ')
}

/// Whether `byte` ends a token and is one itself.
fn is_delimiter(byte: u8) -> bool {
    matches!(byte, b'(' | b')' | b'<' | b'>' | b'[' | b']' | b'{' | b'}' | b'/' | b'%')
}

/// Whether `byte` goes on with a name, number or word.
pub(super) fn is_regular(byte: u8) -> bool {
    !is_space(byte) && !is_delimiter(byte)
}

impl<'a> Lexer<'a> {
    /// Reads `bytes` from the place `at`.
    pub(super) fn new(bytes: &'a [u8], at: usize) -> Lexer<'a> {
        Lexer { bytes, at: at.min(bytes.len()) }
    }

    /// Where the next token is looked for.
    pub(super) fn at(&self) -> usize {
        self.at
    }

    /// Goes to another place.
    pub(super) fn go_to(&mut self, at: usize) {
        self.at = at.min(self.bytes.len());
    }

    /// Everything not read yet.
    pub(super) fn rest(&self) -> &'a [u8] {
        &self.bytes[self.at..]
    }

    /// Passes white space and comments.
    pub(super) fn skip_space(&mut self) {
        let mut in_comment = false;
        for &byte in self.rest() {
            in_comment = match byte {
                b'\n' | b'\r' => false,
                b'%' => true,
                _ if in_comment || is_space(byte) => in_comment,
                _ => return,
            };
            self.at += 1;
        }
    }

    /// Reads on past white space and comments.
    pub(super) fn next(&mut self) -> Result<PdfToken<'a>> {
        self.skip_space();
        let rest = self.rest();
        let (token, length) = match rest {
            [] => (PdfToken::End, 0),
            [b'/', name @ ..] => {
                let length = regular_run(name);
                (PdfToken::Name(&name[..length]), length + 1)
            }
            [b'(', ..] => {
                let length = literal_length(rest)?;
                (PdfToken::Text(&rest[..length]), length)
            }
            [b'<', b'<', ..] => (PdfToken::DictStart, 2),
            [b'>', b'>', ..] => (PdfToken::DictEnd, 2),
            [b'<', ..] => {
                let end = rest.iter().position(|&byte| byte == b'>');
                let length = end.ok_or_else(|| broken("a string has no end"))? + 1;
                (PdfToken::Text(&rest[..length]), length)
            }
            [b'[', ..] => (PdfToken::ArrayStart, 1),
            [b']', ..] => (PdfToken::ArrayEnd, 1),
            [b'{' | b'}', ..] => (PdfToken::Word(&rest[..1]), 1),
            [b')' | b'>', ..] => return Err(broken("a closing bracket has no opening one")),
            [b'0'..=b'9' | b'+' | b'-' | b'.', ..] => {
                let length = regular_run(rest);
                (PdfToken::Number(&rest[..length]), length)
            }
            _ => {
                let length = regular_run(rest);
                (PdfToken::Word(&rest[..length]), length)
            }
        };
        self.at += length;
        Ok(token)
    }

    /// Passes the next token if it is `word`, a run of regular characters.
    pub(super) fn take_word(&mut self, word: &str) -> bool {
        let before = self.at;
        self.skip_space();
        let run = &self.rest()[..regular_run_within(self.rest(), word.len())];
        let found = run == word.as_bytes();
        self.at = if found { self.at + run.len() } else { before };
        found
    }

    /// The next token's value if it is a whole number without a sign; otherwise stays in place.
    pub(super) fn take_count(&mut self) -> Option<u64> {
        let before = self.at;
        self.skip_space();
        let run = &self.rest()[..regular_run_within(self.rest(), 20)];
        let value = digits_value(run);
        self.at = if value.is_some() { self.at + run.len() } else { before };
        value
    }
}

/// How many regular characters `bytes` starts with, counted no further than one past `most`.
fn regular_run_within(bytes: &[u8], most: usize) -> usize {
    regular_run(&bytes[..bytes.len().min(most + 1)])
}

/// How many regular characters `bytes` starts with.
fn regular_run(bytes: &[u8]) -> usize {
    bytes.iter().position(|&byte| !is_regular(byte)).unwrap_or(bytes.len())
}

/// The length of the bracketed string that `bytes` starts with.
fn literal_length(bytes: &[u8]) -> Result<usize> {
    let mut depth = 0usize;
    let mut escaped = false;
    for (at, &byte) in bytes.iter().enumerate() {
        match byte {
            _ if escaped => escaped = false,
            b'\\' => escaped = true,
            b'(' => depth += 1,
            b')' if depth == 1 => return Ok(at + 1),
            b')' => depth -= 1,
            _ => {}
        }
    }
    Err(broken("a string has no end"))
}

/// The value of a token made of digits only, if it fits.
pub(super) fn digits_value(digits: &[u8]) -> Option<u64> {
    if digits.is_empty() {
        return None;
    }
    digits.iter().try_fold(0u64, |value, &digit| {
        let digit = digit.is_ascii_digit().then(|| u64::from(digit - b'0'))?;
        value.checked_mul(10)?.checked_add(digit)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tokens_are_slices_of_the_input() {
        let mut lexer = Lexer::new(b"<</A#20(x\\)(y))%no\n/B<4 1>-.5 true[]>>", 0);
        let mut tokens = Vec::new();
        loop {
            match lexer.next() {
                Ok(PdfToken::End) => break,
                token => tokens.push(token.expect("a token")),
            }
        }
        assert_eq!(
            tokens,
            [
                PdfToken::DictStart,
                PdfToken::Name(b"A#20"),
                PdfToken::Text(b"(x\\)(y))"),
                PdfToken::Name(b"B"),
                PdfToken::Text(b"<4 1>"),
                PdfToken::Number(b"-.5"),
                PdfToken::Word(b"true"),
                PdfToken::ArrayStart,
                PdfToken::ArrayEnd,
                PdfToken::DictEnd,
            ]
        );
    }

    #[test]
    fn open_ends_are_errors() {
        for text in [&b"(a"[..], b"<4", b")", b">", b"(\\)"] {
            assert!(Lexer::new(text, 0).next().is_err(), "{}", text.escape_ascii());
        }
    }
}
