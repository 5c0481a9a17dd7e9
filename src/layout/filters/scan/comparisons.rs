//! Comparisons spelled out as calls of a function of ours, so that amounts compare by their value.
//!
//! In: the source of a template or an expression that has been parsed already. Out: the same
//! source with `a < b` as `COMPARE(a, '<', b)`, for to the engine every text, amounts among them,
//! comes after every number. A chain is one call: `1 < a < 5`. Not here: the comparing (`compare`).

use std::ops::Range;

use super::super::NUMBER_FILTERS;
use super::super::compare::{COMPARE, KNOWN_NUMBER};
use super::tokens::{TemplateToken, TokenKind, split_source};
use super::{Written, end_of_call};

/// What a token is to the comparisons around it.
enum TokenRole {
    /// It begins a value or a statement of a template.
    Opens,
    /// It opens a bracket.
    Bracket,
    /// It closes a bracket.
    EndBracket,
    /// It binds weaker than a comparison, or stands between values.
    Parts,
    /// It compares: the sign, and how many tokens it has.
    Compares(&'static str, usize),
    /// It belongs to a value, or to an operator that was met already.
    Belongs,
}

/// An operator inside a segment.
struct ComparisonSign {
    /// How it is written, with one space inside.
    text: &'static str,
    /// Its first token.
    first: usize,
    /// Its last token.
    last: usize,
}

/// Values with nothing but comparisons between them.
#[derive(Default)]
struct ComparedValues {
    /// The first and the last token so far.
    ends: Option<(usize, usize)>,
    /// The comparisons, in their order.
    signs: Vec<ComparisonSign>,
}

/// A piece of the source that is replaced; an empty one is where something is put in.
struct SourceEdit {
    /// Its bytes.
    range: Range<usize>,
    /// What comes there.
    text: String,
}

/// A way through the tokens of a source.
struct Walk<'t, 's> {
    /// The tokens of the whole source, text around braces left out.
    tokens: &'t [TemplateToken<'s>],
    /// The names of fields whose values are decimal numbers in text.
    fields: &'t [&'t str],
    /// The segments that are open, the innermost last.
    open: Vec<ComparedValues>,
    /// Whether the `in` of a loop is still to come.
    awaits_in: bool,
    /// What is to be changed.
    edits: Vec<SourceEdit>,
}

/// The source with its comparisons spelled out; `None` when it has none. `fields` are those whose
/// values are decimal numbers in text.
pub(in crate::layout) fn spell_out_comparisons(
    source: &str,
    written: Written,
    fields: &[&str],
) -> Option<String> {
    let tokens = split_source(source, written == Written::Template);
    let open = vec![ComparedValues::default()];
    let mut walk = Walk { tokens: &tokens, fields, open, awaits_in: false, edits: Vec::new() };
    for at in 0..tokens.len() {
        walk.take(at);
    }
    walk.close_all();
    let mut edits = walk.edits;
    if edits.is_empty() {
        return None;
    }
    edits.sort_by_key(|edit| edit.range.start);
    let mut made = String::with_capacity(source.len() + 16 * edits.len());
    let mut done = 0;
    for edit in &edits {
        made.push_str(&source[done..edit.range.start]);
        made.push_str(&edit.text);
        done = edit.range.end;
    }
    made.push_str(&source[done..]);
    Some(made)
}

impl Walk<'_, '_> {
    /// Takes in one token.
    fn take(&mut self, at: usize) {
        match self.role(at) {
            TokenRole::Opens => {
                self.close_all();
                self.open.push(ComparedValues::default());
                let word = self.tokens.get(at + 1).map(|token| token.kind);
                self.awaits_in = self.tokens[at].kind == TokenKind::Block
                    && word == Some(TokenKind::Word("for"));
            }
            TokenRole::Bracket => {
                self.extend(at);
                self.open.push(ComparedValues::default());
            }
            TokenRole::EndBracket => {
                self.close();
                if self.open.is_empty() {
                    self.open.push(ComparedValues::default());
                }
                self.extend(at);
            }
            TokenRole::Parts => {
                self.close();
                self.open.push(ComparedValues::default());
            }
            TokenRole::Compares(text, length) => {
                let last = at + length - 1;
                if let Some(segment) = self.open.last_mut() {
                    segment.signs.push(ComparisonSign { text, first: at, last });
                }
            }
            TokenRole::Belongs => self.extend(at),
        }
    }

    /// What a token is where it stands.
    fn role(&mut self, at: usize) -> TokenRole {
        let kind =
            |place: Option<usize>| place.and_then(|it| self.tokens.get(it)).map(|it| it.kind);
        let before = kind(at.checked_sub(1));
        match self.tokens[at].kind {
            TokenKind::Block | TokenKind::Opening => TokenRole::Opens,
            TokenKind::Number | TokenKind::Text => TokenRole::Belongs,
            TokenKind::Sign(sign) => self.role_of_sign(sign),
            // The name of a statement, of a field, a filter or a test.
            TokenKind::Word(_) if before == Some(TokenKind::Block) => TokenRole::Parts,
            TokenKind::Word(_) if matches!(before, Some(TokenKind::Sign("." | "|"))) => {
                TokenRole::Belongs
            }
            TokenKind::Word(_) if self.asks(at.checked_sub(1)) => TokenRole::Belongs,
            TokenKind::Word("and" | "or" | "if" | "elif" | "else") => TokenRole::Parts,
            TokenKind::Word("not") if kind(Some(at + 1)) == Some(TokenKind::Word("in")) => {
                TokenRole::Compares("not in", 2)
            }
            TokenKind::Word("not") => TokenRole::Parts,
            // The second word of `not in`, or a test after `is not`.
            TokenKind::Word("in") if before == Some(TokenKind::Word("not")) => {
                match kind(at.checked_sub(2)) {
                    Some(TokenKind::Sign(".")) => TokenRole::Compares("in", 1),
                    _ if self.asks(at.checked_sub(2)) => TokenRole::Belongs,
                    _ => TokenRole::Compares("", 1),
                }
            }
            TokenKind::Word("in") if self.awaits_in && self.open.len() == 1 => {
                self.awaits_in = false;
                TokenRole::Parts
            }
            TokenKind::Word("in") => TokenRole::Compares("in", 1),
            TokenKind::Word(_) => TokenRole::Belongs,
        }
    }

    /// Whether the token at a place is the `is` that a test follows, and no field of this name.
    fn asks(&self, place: Option<usize>) -> bool {
        let Some(at) = place else { return false };
        let before = at.checked_sub(1).map(|before| self.tokens[before].kind);
        self.tokens[at].kind == TokenKind::Word("is")
            && before.is_some_and(TokenKind::ends_value)
            && before != Some(TokenKind::Sign("."))
    }

    /// What a sign is.
    fn role_of_sign(&self, sign: &str) -> TokenRole {
        let is_first = self.open.last().is_none_or(|segment| segment.ends.is_none());
        match sign {
            "(" | "[" | "{" => TokenRole::Bracket,
            ")" | "]" | "}" => TokenRole::EndBracket,
            "," | ":" | "=" => TokenRole::Parts,
            // Arguments handed on: `f(*list)`.
            "*" | "**" if is_first => TokenRole::Parts,
            "==" => TokenRole::Compares("==", 1),
            "!=" => TokenRole::Compares("!=", 1),
            "<" => TokenRole::Compares("<", 1),
            "<=" => TokenRole::Compares("<=", 1),
            ">" => TokenRole::Compares(">", 1),
            ">=" => TokenRole::Compares(">=", 1),
            _ => TokenRole::Belongs,
        }
    }

    /// Adds a token to the innermost segment.
    fn extend(&mut self, at: usize) {
        if let Some(segment) = self.open.last_mut() {
            let first = segment.ends.map_or(at, |(first, _)| first);
            segment.ends = Some((first, at));
        }
    }

    /// Ends all segments.
    fn close_all(&mut self) {
        while !self.open.is_empty() {
            self.close();
        }
    }

    /// Ends the innermost segment and notes what is to be changed in it.
    fn close(&mut self) {
        let Some(ComparedValues { ends, mut signs }) = self.open.pop() else { return };
        // The second word of `not in` was no operator of its own.
        signs.retain(|sign| !sign.text.is_empty());
        let Some((first, last)) = ends else { return };
        if signs.iter().all(|sign| matches!(sign.text, "in" | "not in")) {
            return;
        }
        // Where a value is missing the engine has said so.
        let starts = signs.iter().map(|sign| sign.last + 1);
        let ends = signs.iter().map(|sign| sign.first).chain([last + 1]);
        if [first].into_iter().chain(starts).zip(ends).any(|(start, end)| start >= end) {
            return;
        }
        let insert = |at: usize, text: String| SourceEdit { range: at..at, text };
        let start = self.tokens[first].range.start;
        self.edits.push(insert(start, format!("{COMPARE}(")));
        let mut operand = first;
        for (place, sign) in signs.iter().enumerate() {
            let end = signs.get(place + 1).map_or(last + 1, |next| next.first);
            let known = self.is_number(operand, sign.first) || self.is_number(sign.last + 1, end);
            let mark = if known { KNOWN_NUMBER } else { "" };
            let space = |at: usize| self.tokens.get(at).map_or(0..0, |token| token.range.clone());
            let range = space(sign.first - 1).end..space(sign.last + 1).start;
            self.edits.push(SourceEdit { range, text: format!(", '{}{mark}', ", sign.text) });
            operand = sign.last + 1;
        }
        self.edits.push(insert(self.tokens[last].range.end, ")".to_owned()));
    }

    /// Whether the tokens from one up to another are known to give a decimal number: a field that
    /// holds one, or what a filter for numbers makes.
    fn is_number(&self, mut start: usize, mut end: usize) -> bool {
        let sign = |at: usize| self.tokens.get(at).map(|token| token.kind);
        while start + 1 < end
            && sign(start) == Some(TokenKind::Sign("("))
            && end_of_bracket(self.tokens, start) == Some(end - 1)
        {
            (start, end) = (start + 1, end - 1);
        }
        let Some(last) = end.checked_sub(1).filter(|last| *last > start) else { return false };
        let is_field = matches!(sign(last), Some(TokenKind::Word(name)) if self.fields.contains(&name))
            && self.is_path(start, last);
        is_field
            || (start..last).any(|at| {
                let named = match sign(at + 1) {
                    Some(TokenKind::Word(name)) => NUMBER_FILTERS.contains(&name),
                    _ => false,
                };
                sign(at) == Some(TokenKind::Sign("|"))
                    && named
                    && end_of_call(self.tokens, at + 1) == last
            })
    }

    /// Whether the tokens from one to another lead to a field: `item.price`, `items[0].price`. Of
    /// fields of the seller's own nobody knows what they hold.
    fn is_path(&self, start: usize, last: usize) -> bool {
        let mut depth = 0_usize;
        let only_leads = self.tokens[start..last].iter().all(|token| {
            match token.kind {
                TokenKind::Sign("[") => depth += 1,
                TokenKind::Sign("]") => depth = depth.saturating_sub(1),
                TokenKind::Sign(".") | TokenKind::Number => {}
                TokenKind::Word(word) => return depth > 0 || !matches!(word, "is" | "own"),
                _ => return depth > 0,
            }
            true
        });
        only_leads && self.tokens[last - 1].kind == TokenKind::Sign(".")
    }
}

/// The token that closes the bracket at a place.
fn end_of_bracket(tokens: &[TemplateToken<'_>], open: usize) -> Option<usize> {
    let mut depth = 0_usize;
    for (at, token) in tokens.iter().enumerate().skip(open) {
        match token.kind {
            TokenKind::Sign("(" | "[" | "{") => depth += 1,
            TokenKind::Sign(")" | "]" | "}") => depth = depth.checked_sub(1)?,
            _ => {}
        }
        if depth == 0 {
            return Some(at);
        }
    }
    None
}
