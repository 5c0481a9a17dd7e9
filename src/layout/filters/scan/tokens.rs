//! The code inside templates and expressions as words, strings and signs.
//!
//! In: a source. Out: its tokens with their places; text, comments and raw blocks are left out.
//! Not here: what the tokens mean. The rules are those of the template engine's own lexer, tested
//! against it.

use std::ops::Range;

/// One word, string or sign.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct TemplateToken<'s> {
    /// What kind of token it is.
    pub(super) kind: TokenKind<'s>,
    /// Its bytes in the source.
    pub(super) range: Range<usize>,
}

/// The kinds of tokens that are told apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum TokenKind<'s> {
    /// The opening of a statement, `{%`.
    Block,
    /// The opening of a value, `{{`.
    Opening,
    /// A name or a keyword.
    Word(&'s str),
    /// A number, or the part of it before or after the point.
    Number,
    /// A string, quotes included.
    Text,
    /// An operator or bracket.
    Sign(&'s str),
}

impl TokenKind<'_> {
    /// Whether a value can end here, so that an operator may follow.
    pub(super) fn ends_value(self) -> bool {
        match self {
            TokenKind::Word(_) | TokenKind::Number | TokenKind::Text => true,
            TokenKind::Sign(sign) => matches!(sign, ")" | "]" | "}"),
            TokenKind::Block | TokenKind::Opening => false,
        }
    }
}

/// The signs of two characters.
const DOUBLE_SIGNS: &[&str] = &["//", "**", "==", "!=", ">=", "<="];

/// The tokens of a source, up to the first thing that no token can be.
pub(super) fn split_source(source: &str, is_template: bool) -> Vec<TemplateToken<'_>> {
    let mut tokens = Vec::new();
    if !is_template {
        split_code(source, 0, None, &mut tokens);
        return tokens;
    }
    let mut at = 0;
    while let Some(found) = source[at..].find('{') {
        let open = at + found;
        let inside = open + 2;
        let next = match source.as_bytes().get(open + 1) {
            Some(b'#') => source[inside..].find("#}").map(|end| inside + end + 2),
            Some(b'%') => match skip_raw(source, inside) {
                Some(end) => end,
                None => {
                    tokens.push(TemplateToken { kind: TokenKind::Block, range: open..inside });
                    split_code(source, skip_sign(source, inside), Some("%}"), &mut tokens)
                }
            },
            Some(b'{') => {
                tokens.push(TemplateToken { kind: TokenKind::Opening, range: open..inside });
                split_code(source, skip_sign(source, inside), Some("}}"), &mut tokens)
            }
            _ => Some(open + 1),
        };
        let Some(next) = next else { break };
        at = next;
    }
    tokens
}

/// The place after the sign that governs white space, if there is one.
fn skip_sign(source: &str, at: usize) -> usize {
    at + usize::from(matches!(source.as_bytes().get(at), Some(b'-' | b'+')))
}

/// The place after a raw block whose inside begins here; the inner `None` when it does not end, the
/// outer one when this is no raw block.
fn skip_raw(source: &str, inside: usize) -> Option<Option<usize>> {
    let mut at = skip_tag(source, inside, "raw")?;
    while let Some(open) = source[at..].find("{%") {
        at += open + 2;
        if let Some(end) = skip_tag(source, at, "endraw") {
            return Some(Some(end));
        }
    }
    Some(None)
}

/// The place after a tag that holds one word and nothing else.
fn skip_tag(source: &str, inside: usize, name: &str) -> Option<usize> {
    let skip_space =
        |text: &'_ str| text.trim_start_matches(|c: char| c.is_ascii_whitespace()).len();
    let length = source.len();
    let at = length - skip_space(&source[skip_sign(source, inside)..]);
    let rest = source[at..].strip_prefix(name)?;
    let at = skip_sign(source, length - skip_space(rest));
    source[at..].starts_with("%}").then_some(at + 2)
}

/// Takes code apart; returns the place after `close`, which counts only outside brackets.
fn split_code<'s>(
    source: &'s str,
    mut at: usize,
    close: Option<&str>,
    tokens: &mut Vec<TemplateToken<'s>>,
) -> Option<usize> {
    let mut depth = 0_i32;
    loop {
        let rest = &source[at..];
        let first = *rest.as_bytes().first()?;
        if first.is_ascii_whitespace() {
            at += 1;
            continue;
        }
        if let Some(close) = close.filter(|_| depth == 0) {
            let end = skip_sign(source, at);
            if rest.starts_with(close) {
                return Some(at + close.len());
            }
            if source[end..].starts_with(close) {
                return Some(end + close.len());
            }
        }
        let (kind, length) = split_token(rest, first)?;
        match kind {
            TokenKind::Sign("(" | "[" | "{") => depth += 1,
            TokenKind::Sign(")" | "]" | "}") => depth -= 1,
            _ => {}
        }
        tokens.push(TemplateToken { kind, range: at..at + length });
        at += length;
    }
}

/// The token at the beginning of code, and its length.
fn split_token(rest: &str, first: u8) -> Option<(TokenKind<'_>, usize)> {
    let word = || {
        let is_inside = |byte: &u8| byte.is_ascii_alphanumeric() || *byte == b'_';
        rest.bytes().take_while(|byte| is_inside(byte)).count()
    };
    match first {
        b'"' | b'\'' => length_of_string(rest, first).map(|length| (TokenKind::Text, length)),
        b'0'..=b'9' => Some((TokenKind::Number, word())),
        b'_' | b'a'..=b'z' | b'A'..=b'Z' => {
            let length = word();
            Some((TokenKind::Word(&rest[..length]), length))
        }
        _ => {
            let length = match rest.get(..2) {
                Some(pair) if DOUBLE_SIGNS.contains(&pair) => 2,
                _ if first.is_ascii_punctuation() => 1,
                _ => return None,
            };
            Some((TokenKind::Sign(&rest[..length]), length))
        }
    }
}

/// How many bytes a string takes with its quotes; none when it never closes.
fn length_of_string(rest: &str, quote: u8) -> Option<usize> {
    let mut escaped = false;
    for (at, byte) in rest.bytes().enumerate().skip(1) {
        match byte {
            _ if escaped => escaped = false,
            b'\\' => escaped = true,
            _ if byte == quote => return Some(at + 1),
            _ => {}
        }
    }
    None
}
