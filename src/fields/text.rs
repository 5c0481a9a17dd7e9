//! Text: how long, on how many lines, and without control characters.

use std::borrow::Cow;

use crate::record::{Refusal, Scalar};
use crate::tree::{Node, Value};

/// Text on one line, such as a name or a town: at most 200 characters.
pub(crate) static LINE: Scalar = Scalar {
    expected: "text",
    accepts: accept_line::<200>,
    schema: r#"{"type": "string", "maxLength": 200}"#,
};

/// Text on one line that is short by nature, such as a shelf or a telephone number: at most 60
/// characters.
pub(crate) static SHORT_LINE: Scalar = Scalar {
    expected: "text",
    accepts: accept_line::<60>,
    schema: r#"{"type": "string", "maxLength": 60}"#,
};

/// Text on one line that may be long, such as an item's title: at most 500 characters.
pub(crate) static LONG_LINE: Scalar = Scalar {
    expected: "text",
    accepts: accept_line::<500>,
    schema: r#"{"type": "string", "maxLength": 500}"#,
};

/// A number of someone else's making that must keep every letter, such as a tracking number or a
/// stock-keeping number: at most 100 characters, and in quotes because zeros may lead it.
pub(crate) static LONG_ID: Scalar = Scalar {
    expected: "text",
    accepts: accept_line::<100>,
    schema: r#"{"type": "string", "maxLength": 100}"#,
};

/// A part of an address that may itself be several lines, each of at most 200 characters.
pub(crate) static STREET_LINE: Scalar =
    Scalar { expected: "text", accepts: accept_street, schema: r#"{"type": "string"}"# };

/// Text of several lines, such as a message: at most 5,000 characters.
pub(crate) static PARAGRAPH: Scalar = Scalar {
    expected: "text",
    accepts: |value| {
        let text = expect_text(value)?;
        check_length(text, 5_000)?;
        refuse_controls(text, LineCount::Several)
    },
    schema: r#"{"type": "string", "maxLength": 5000}"#,
};

/// A postcode: text of at most 20 characters. Whether its shape suits the country is checked
/// where addresses are written out.
pub(crate) static POSTCODE: Scalar = Scalar {
    expected: "a postcode in quotes",
    accepts: |value| match value {
        Value::Number(digits) => Err(Refusal::hint(format!(
            "write `\"{digits}\"`, and put back the zeros in front if it had any"
        ))),
        value => accept_line::<20>(value),
    },
    schema: r#"{"type": "string", "maxLength": 20}"#,
};

/// Accepts text on one line of at most `MAX` characters.
pub(super) fn accept_line<const MAX: usize>(value: &Value) -> Result<(), Refusal> {
    let text = expect_text(value)?;
    check_length(text, MAX)?;
    refuse_controls(text, LineCount::One)
}

/// Accepts text whose lines are each of at most 200 characters.
fn accept_street(value: &Value) -> Result<(), Refusal> {
    let text = expect_text(value)?;
    text.split(is_line_end).try_for_each(|line| check_length(line.trim(), 200))?;
    refuse_controls(text, LineCount::Several)
}

/// The text of a value, without the white space around it.
pub(super) fn expect_text(value: &Value) -> Result<&str, Refusal> {
    match value {
        Value::Text(text) | Value::Bare(text) => Ok(text.trim()),
        Value::Number(digits) => Err(Refusal::hint(format!("put it in quotes: `\"{digits}\"`"))),
        Value::Bool(value) => Err(Refusal::hint(format!("put it in quotes: `\"{value}\"`"))),
        _ => Err(Refusal::default()),
    }
}

/// Refuses text of more than `max` characters.
fn check_length(text: &str, max: usize) -> Result<(), Refusal> {
    let length = text.chars().count();
    if length <= max {
        return Ok(());
    }
    let start: String = text.chars().take(20).collect();
    Err(Refusal::new(
        format!("expected at most {max} characters, found {length}"),
        format!("shorten `{start}…` by {} characters", length - max),
    ))
}

/// Whether a character ends a line.
pub(super) fn is_line_end(c: char) -> bool {
    matches!(c, '\n' | '\r' | '\u{2028}' | '\u{2029}' | '\u{85}')
}

/// Whether a character turns the text after it around unseen: embeddings, overrides and isolates of
/// UAX #9, section 2. Two different names could look the same with them.
fn turns_text(c: char) -> bool {
    matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// How many lines a text may have.
#[derive(Clone, Copy, PartialEq, Eq)]
enum LineCount {
    /// No line may end in it.
    One,
    /// As many as its length allows.
    Several,
}

/// Refuses characters that cannot be printed; line ends only where there is one line.
fn refuse_controls(text: &str, lines: LineCount) -> Result<(), Refusal> {
    let refused = |c: &char| {
        (c.is_control() || is_line_end(*c) || turns_text(*c))
            && !(lines == LineCount::Several && is_line_end(*c))
    };
    let Some(found) = text.chars().find(refused) else { return Ok(()) };
    if is_line_end(found) {
        let joined: String = text.split(is_line_end).collect::<Vec<_>>().join(" ");
        let joined: String = joined.chars().take(40).collect();
        return Err(Refusal::new(
            "expected text on one line, found a line break",
            format!("write it on one line: `{}`", joined.trim()),
        ));
    }
    let name = match found {
        '\t' => "a tab".into(),
        other if turns_text(other) => {
            format!("U+{:04X}, which turns text around", u32::from(other))
        }
        other => format!("the control character U+{:04X}", u32::from(other)),
    };
    let way_out = if found == '\t' { "put a space in its place" } else { "delete it" };
    Err(Refusal::new(format!("expected text that can be printed, found {name}"), way_out))
}

/// A field's text without the white space around it; empty when it is not given.
pub(crate) fn text_of<'a>(node: &'a Node, name: &str) -> &'a str {
    node.get(name).and_then(Node::literal).map(str::trim).unwrap_or_default()
}

/// As [`text_of`], as a value of its own.
pub(crate) fn read_text(node: &Node, name: &str) -> Box<str> {
    text_of(node, name).into()
}

/// As [`text_of`], with every kind of line end written as `\n`.
pub(crate) fn read_paragraph<'a>(node: &'a Node, name: &str) -> Cow<'a, str> {
    let text = text_of(node, name);
    if text.contains(|c| c != '\n' && is_line_end(c)) {
        text.replace("\r\n", "\n").replace(is_line_end, "\n").into()
    } else {
        text.into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refusal(scalar: &Scalar, text: &str) -> Option<String> {
        let refusal = (scalar.accepts)(&Value::Text(text.into())).err()?;
        Some(refusal.message.unwrap_or_default())
    }

    #[test]
    fn control_characters_do_not_pass() {
        assert_eq!(refusal(&LINE, " Ada Nyström \n"), None);
        for text in ["a\u{0}b", "a\u{1b}[2Jb", "a\tb", "a\u{7f}b", "a\u{9b}b"] {
            assert!(refusal(&LINE, text).is_some(), "{text:?}");
            assert!(refusal(&PARAGRAPH, text).is_some(), "{text:?}");
            assert!(refusal(&STREET_LINE, text).is_some(), "{text:?}");
        }
        for text in ["\u{202e}eviL", "\u{2067}a\u{2069}", "a\u{202a}b\u{202c}"] {
            assert!(refusal(&LINE, text).unwrap().contains("turns text around"), "{text:?}");
            assert!(refusal(&PARAGRAPH, text).is_some(), "{text:?}");
        }
        for text in ["a\nb", "a\r\nb", "a\u{2028}b"] {
            assert!(refusal(&LINE, text).unwrap().contains("one line"), "{text:?}");
            assert_eq!(refusal(&PARAGRAPH, text), None, "{text:?}");
            assert_eq!(refusal(&STREET_LINE, text), None, "{text:?}");
        }
    }

    #[test]
    fn lengths_are_counted_in_characters() {
        assert_eq!(refusal(&LINE, &"é".repeat(200)), None);
        assert_eq!(
            refusal(&LINE, &"é".repeat(201)).as_deref(),
            Some("expected at most 200 characters, found 201")
        );
        assert_eq!(refusal(&STREET_LINE, &["x".repeat(200), "y".repeat(200)].join("\n")), None);
    }
}
