//! Words that a seller types of a parcel, an order or a sitting: held to what the same words may be in orders.
//!
//! In: a text as it was typed. Out: the text without white space around it, or what stops the verb. Not here: what
//! it is about.

use super::super::halt::Halt;
use crate::fields::LINE;
use crate::tree::Value;

/// Reads a word or a few in one line; `what` names it in sentences, such as `the reason`.
///
/// # Errors
/// When nothing is said, or it cannot be printed as it stands: control characters, what turns text around, lines,
/// and more than orders may have.
pub(super) fn read_words<'a>(what: &str, typed: &'a str) -> Result<&'a str, Halt> {
    let text = typed.trim();
    if text.is_empty() {
        return Err(Halt::usage(format!("{what}: expected a word or two, found nothing"))
            .hint("say it in one line"));
    }
    match (LINE.accepts)(&Value::Text(text.into())) {
        Ok(()) => Ok(text),
        Err(refusal) => {
            let message = refusal.message.unwrap_or_else(|| "expected text".to_owned());
            Err(Halt::usage(format!("{what}: {message}")).hint_if(refusal.hint))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_printed_as_it_stands_is_refused() {
        assert_eq!(read_words("the reason", " sold out ").ok(), Some("sold out"));
        assert_eq!(read_words("the reason", "אזל המלאי").ok(), Some("אזל המלאי"));
        for text in ["", " ", "a\nb", "a\u{1b}b", "a\u{202e}b", "\u{2067}a", "a\tb"] {
            assert!(read_words("the reason", text).is_err(), "{text:?}");
        }
        assert!(read_words("the reason", &"x".repeat(201)).is_err());
    }
}
