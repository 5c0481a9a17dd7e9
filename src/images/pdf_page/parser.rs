//! Tokens to values.
//!
//! In: a lexer at the start of a value. Out: the [`Object`] there. Not here: where values are
//! (`reader`).

use super::error::{Result, broken};
use super::fuel::Fuel;
use super::lexer::{Lexer, PdfToken, digits_value};
use super::limits::DEPTH;
use super::object::{Dict, Object, ObjectId};

/// The value at the lexer's place, paid for from `fuel`.
pub(super) fn parse_object(lexer: &mut Lexer<'_>, fuel: &mut Fuel) -> Result<Object> {
    let start = lexer.at();
    let token = lexer.next()?;
    let object = parse_from(token, lexer, fuel, DEPTH)?;
    fuel.spend(lexer.at() - start)?;
    Ok(object)
}

/// The value that starts with `token`, at most `depth` levels deep.
fn parse_from(
    token: PdfToken<'_>,
    lexer: &mut Lexer<'_>,
    fuel: &mut Fuel,
    depth: usize,
) -> Result<Object> {
    fuel.hold_token()?;
    if depth == 0 {
        return Err(broken(format!("values are nested more than {DEPTH} deep")));
    }
    Ok(match token {
        PdfToken::Number(digits) => match parse_reference(digits, lexer) {
            Some(id) => Object::Ref(id),
            None => Object::Number(digits.into()),
        },
        PdfToken::Name(name) => Object::Name(name.into()),
        PdfToken::Text(text) => Object::Text(text.into()),
        PdfToken::ArrayStart => {
            let mut values = Vec::new();
            loop {
                match lexer.next()? {
                    PdfToken::ArrayEnd => break Object::Array(values),
                    token => values.push(parse_from(token, lexer, fuel, depth - 1)?),
                }
            }
        }
        PdfToken::DictStart => Object::Dict(parse_entries(lexer, fuel, depth - 1)?),
        PdfToken::Word(b"true") => Object::Bool(true),
        PdfToken::Word(b"false") => Object::Bool(false),
        PdfToken::Word(b"null") => Object::Null,
        PdfToken::Word(word) => {
            let shown: String = String::from_utf8_lossy(word).chars().take(20).collect();
            return Err(broken(format!("expected a value, found `{shown}`")));
        }
        PdfToken::ArrayEnd | PdfToken::DictEnd => {
            return Err(broken("expected a value, found a bracket"));
        }
        PdfToken::End => return Err(broken("it ends in the middle of a value")),
    })
}

/// The entries of a dictionary whose opening bracket is passed.
fn parse_entries(lexer: &mut Lexer<'_>, fuel: &mut Fuel, depth: usize) -> Result<Dict> {
    let mut entries = Vec::new();
    loop {
        match lexer.next()? {
            PdfToken::DictEnd => return Ok(Dict { entries }),
            PdfToken::Name(key) => {
                let token = lexer.next()?;
                entries.push((key.into(), parse_from(token, lexer, fuel, depth)?));
            }
            _ => return Err(broken("expected a name in a dictionary, found something else")),
        }
    }
}

/// The reference whose first number is `digits`, if generation and `R` follow; otherwise the
/// lexer stays in place.
fn parse_reference(digits: &[u8], lexer: &mut Lexer<'_>) -> Option<ObjectId> {
    let number = u32::try_from(digits_value(digits)?).ok()?;
    let before = lexer.at();
    let generation = lexer.take_count().and_then(|value| u16::try_from(value).ok());
    if let Some(generation) = generation
        && lexer.take_word("R")
    {
        return Some(ObjectId { number, generation });
    }
    lexer.go_to(before);
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The value of `text`.
    fn parse(text: &str) -> Result<Object> {
        parse_object(&mut Lexer::new(text.as_bytes(), 0), &mut Fuel::new())
    }

    #[test]
    fn references_are_told_from_numbers() {
        let Ok(Object::Array(values)) = parse("[1 2 3 0 R 4 5]") else { panic!("no array") };
        assert_eq!(values.len(), 5);
        assert_eq!(values[2], Object::Ref(ObjectId { number: 3, generation: 0 }));
        assert_eq!(values[4].integer(), Some(5));
    }

    #[test]
    fn deep_nesting_ends_in_an_error() {
        assert!(parse(&"[".repeat(100_000)).is_err());
        assert!(parse(&"<</A".repeat(100_000)).is_err());
        assert!(parse(&format!("{}{}", "[".repeat(60), "]".repeat(60))).is_ok());
    }
}
