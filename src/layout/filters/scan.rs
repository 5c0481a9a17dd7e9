//! Finds what the template engine would find only when a template runs: filters and tests that do
//! not exist, and numbers in text that operators would take for words.
//!
//! In: the source of a template or an expression that has been parsed already. Out: names and
//! their places in it. Strings, comments and raw blocks are respected. Not here: the syntax, which
//! the engine checks; where it is broken the scan ends early.

use std::ops::Range;

use minijinja::{Environment, Value};

use super::{NUMBER_FILTERS, hint_for};
pub(in crate::layout) use comparisons::spell_out_comparisons;
use tokens::{TemplateToken, TokenKind, split_source};

mod comparisons;
#[cfg(test)]
mod tests;
mod tokens;

/// How a source is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::layout) enum Written {
    /// As a template: text with `{{ }}` and `{% %}` in it.
    Template,
    /// As an expression, without braces.
    Expression,
}

/// What a name stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::layout) enum NameKind {
    /// A filter, after `|`.
    Filter,
    /// A test, after `is`.
    Test,
}

/// The name of a filter or test that does not exist.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::layout) struct FilterName {
    /// Whether it stands for a filter or a test.
    pub(in crate::layout) kind: NameKind,
    /// What the template calls it by.
    pub(in crate::layout) name: String,
    /// Its bytes in the source.
    pub(in crate::layout) range: Range<usize>,
}

impl FilterName {
    /// What is wrong with it.
    pub(in crate::layout) fn message(&self) -> String {
        let kind = match self.kind {
            NameKind::Filter => "filter",
            NameKind::Test => "test",
        };
        format!("there is no {kind} `{}`", self.name)
    }

    /// What to write in its place.
    pub(in crate::layout) fn hint(&self) -> Option<String> {
        hint_for(self.kind, &self.name)
    }
}

/// A decimal number that an operator would take for a word: `'12.50' * 2` is `12.5012.50`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::layout) struct TextArithmetic {
    /// What stands before or after the operator, as it is written.
    pub(in crate::layout) operand: String,
    /// Such as `*` or `+`.
    pub(in crate::layout) operator: String,
    /// The operator's bytes in the source.
    pub(in crate::layout) range: Range<usize>,
}

impl TextArithmetic {
    /// What is wrong with it.
    pub(in crate::layout) fn message(&self) -> String {
        let TextArithmetic { operand, operator, .. } = self;
        format!("`{operand}` is a decimal number in text, which `{operator}` cannot reckon with")
    }

    /// What to write in its place.
    pub(in crate::layout) fn hint(&self) -> String {
        let operand = &self.operand;
        match self.operator.as_str() {
            "+" => format!("write `{operand} | plus(…)`"),
            "-" => format!("write `{operand} | minus(…)`"),
            "*" => format!("write `{operand} | times(…)`"),
            _ => "reckon with `times`, `plus` and `minus`, which are exact".into(),
        }
    }
}

/// How many words, strings and signs the code of a source has; text around braces has none.
pub(in crate::layout) fn count_parts(source: &str, written: Written) -> usize {
    split_source(source, written == Written::Template).len()
}

/// The names that a template prints as they are, `{{ items }}`, with their bytes in it.
pub(in crate::layout) fn find_printed_names(
    source: &str,
    written: Written,
) -> Vec<(String, Range<usize>)> {
    let tokens = split_source(source, written == Written::Template);
    let mut names = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        let Some((range, next)) = read_name(&tokens, at + 1) else { continue };
        let ends = tokens
            .get(next)
            .is_none_or(|it| matches!(it.kind, TokenKind::Block | TokenKind::Opening));
        if token.kind == TokenKind::Opening && ends {
            names.push((source[range.clone()].to_owned(), range));
        }
    }
    names
}

/// The filters and tests of a source that `env` does not have, in their order.
pub(in crate::layout) fn find_unknown_filters(
    env: &Environment<'_>,
    source: &str,
    written: Written,
) -> Vec<FilterName> {
    let mut found = list_names(source, written);
    let mut state = env.empty_state();
    found.retain(|named| {
        let question = match named.kind {
            NameKind::Filter => "filter",
            NameKind::Test => "test",
        };
        // An engine that cannot be asked knows nothing: the name is reported.
        !state.perform_test(question, &[Value::from(&*named.name)]).unwrap_or(false)
    });
    found
}

/// All filters and tests that a source names.
fn list_names(source: &str, written: Written) -> Vec<FilterName> {
    let tokens = split_source(source, written == Written::Template);
    let mut names = Vec::new();
    for at in 0..tokens.len() {
        let Some((kind, start)) = name_after(&tokens, at) else { continue };
        let Some((name, next)) = read_name(&tokens, start) else { continue };
        names.push(FilterName { kind, name: source[name.clone()].to_owned(), range: name.clone() });
        if kind == NameKind::Filter {
            names.extend(name_in_arguments(source, &tokens, &source[name], next));
        }
    }
    names
}

/// Whether the name of a filter or variable follows the token at a place: its kind, and where it
/// begins.
fn name_after(tokens: &[TemplateToken], at: usize) -> Option<(NameKind, usize)> {
    let previous = at.checked_sub(1).map(|before| tokens[before].kind);
    let next = tokens.get(at + 1)?;
    match tokens[at].kind {
        TokenKind::Sign("|") => Some((NameKind::Filter, at + 1)),
        TokenKind::Word("filter") if previous == Some(TokenKind::Block) => {
            Some((NameKind::Filter, at + 1))
        }
        TokenKind::Word("is") if previous.is_some_and(TokenKind::ends_value) => {
            match next.kind {
                // `is=` names an argument.
                TokenKind::Sign("=") => None,
                TokenKind::Word("not") => Some((NameKind::Test, at + 2)),
                _ => Some((NameKind::Test, at + 1)),
            }
        }
        _ => None,
    }
}

/// The bytes of a name that begins at a token, its dotted parts included, and the token after it.
fn read_name(tokens: &[TemplateToken], at: usize) -> Option<(Range<usize>, usize)> {
    let is_word = |token: &TemplateToken| matches!(token.kind, TokenKind::Word(_));
    let first = tokens.get(at).filter(|token| is_word(token))?;
    let (mut range, mut next) = (first.range.clone(), at + 1);
    while let [dot, part, ..] = tokens.get(next..)? {
        if dot.kind != TokenKind::Sign(".") || !is_word(part) {
            break;
        }
        range.end = part.range.end;
        next += 2;
    }
    Some((range, next))
}

/// The filter or test that a filter takes by name: `map('upper')`, `select('odd')`,
/// `selectattr('qty', 'odd')`. A name that is put together is left for the run.
fn name_in_arguments(
    source: &str,
    tokens: &[TemplateToken],
    filter: &str,
    open: usize,
) -> Option<FilterName> {
    let (kind, place) = match filter {
        "map" => (NameKind::Filter, 1),
        "select" | "reject" => (NameKind::Test, 1),
        "selectattr" | "rejectattr" => (NameKind::Test, 3),
        _ => return None,
    };
    let is = |at: usize, sign| tokens.get(at).is_some_and(|t| t.kind == TokenKind::Sign(sign));
    let is_alone = is(open, "(")
        && (place == 1 || is(open + 2, ","))
        && (is(open + place + 1, ",") || is(open + place + 1, ")"));
    let named = tokens.get(open + place).filter(|token| token.kind == TokenKind::Text)?;
    let range = named.range.start + 1..named.range.end - 1;
    let name = source.get(range.clone())?;
    (is_alone && !name.contains('\\')).then(|| FilterName { kind, name: name.to_owned(), range })
}

/// The operators beside a decimal number in text: one of the `fields`, as in `item.price`, or what
/// a filter for numbers gives. Numbers that reach an operator through a variable are not seen.
pub(in crate::layout) fn find_text_arithmetic(
    source: &str,
    written: Written,
    fields: &[&str],
) -> Vec<TextArithmetic> {
    let tokens = split_source(source, written == Written::Template);
    let mut found: Vec<TextArithmetic> = Vec::new();
    for at in 0..tokens.len() {
        let TokenKind::Word(word) = tokens[at].kind else { continue };
        let previous = at.checked_sub(1).map(|before| tokens[before].kind);
        let (first, last) = match previous {
            Some(TokenKind::Sign(".")) if fields.contains(&word) => {
                let start = start_of_path(&tokens, at);
                // Of a field of the seller's own nobody knows what it holds.
                if tokens[start..at].iter().any(|token| token.kind == TokenKind::Word("own")) {
                    continue;
                }
                (start, at)
            }
            Some(TokenKind::Sign("|")) if NUMBER_FILTERS.contains(&word) => {
                (at, end_of_call(&tokens, at))
            }
            _ => continue,
        };
        let before = first.checked_sub(1).filter(|_| previous == Some(TokenKind::Sign(".")));
        let beside = [before, Some(last + 1)];
        for operator in beside.into_iter().flatten().filter_map(|place| tokens.get(place)) {
            let TokenKind::Sign(sign) = operator.kind else { continue };
            let is_new = found.iter().all(|known| known.range != operator.range);
            if ARITHMETIC.contains(&sign) && is_new {
                found.push(TextArithmetic {
                    operand: source[tokens[first].range.start..tokens[last].range.end].to_owned(),
                    operator: sign.to_owned(),
                    range: operator.range.clone(),
                });
            }
        }
    }
    found
}

/// The operators that mistake a number in text for a word.
const ARITHMETIC: &[&str] = &["+", "-", "*", "/", "//", "%", "**"];

/// The token at which a dotted path begins that ends at a token.
fn start_of_path(tokens: &[TemplateToken], end: usize) -> usize {
    let mut first = end;
    while first >= 2
        && tokens[first - 1].kind == TokenKind::Sign(".")
        && matches!(tokens[first - 2].kind, TokenKind::Word(_))
    {
        first -= 2;
    }
    first
}

/// The last token of a filter's call: its closing bracket, or its name where it has no arguments.
fn end_of_call(tokens: &[TemplateToken], name: usize) -> usize {
    let mut depth = 0_usize;
    for (at, token) in tokens.iter().enumerate().skip(name + 1) {
        match token.kind {
            TokenKind::Sign("(" | "[" | "{") => depth += 1,
            TokenKind::Sign(")" | "]" | "}") if depth > 0 => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return if token.kind == TokenKind::Sign(")") && at > name + 1 { at } else { name };
        }
    }
    name
}
