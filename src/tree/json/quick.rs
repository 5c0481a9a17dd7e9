//! The tree of a JSON value in one pass, where nothing is wrong with it or out of the ordinary.
//!
//! In: a value whose syntax is known to be good. Out: the same tree that opening it level by level gives;
//! nothing where that would find a fault, or where it has more to look at: an escape in a key, a map of
//! many keys, deep nesting. Whoever gets nothing goes the long way, which alone says what is wrong.

use super::JsonPiece;
use crate::limits::DATA_DEPTH;
use crate::source::Span;
use crate::tree::{Key, Node, Value};

/// Most keys of a map that are compared with each other.
const FEW_KEYS: usize = 32;

/// Room that a map or list starts with: most have as much.
const USUAL_LENGTH: usize = 8;

/// The tree of a value, if nothing is wrong with it or out of the ordinary.
pub(super) fn read_tree(piece: JsonPiece<'_>) -> Option<Node> {
    TreeReader { piece, at: 0 }.read_value(0)
}

/// Reads a value from its beginning to its end.
struct TreeReader<'a> {
    /// The whole value.
    piece: JsonPiece<'a>,
    /// How far it has been read, in bytes.
    at: usize,
}

impl<'a> TreeReader<'a> {
    /// The next byte.
    fn peek(&self) -> Option<u8> {
        self.piece.raw.as_bytes().get(self.at).copied()
    }

    /// Passes white space by and tells what follows.
    fn pass_space(&mut self) -> Option<u8> {
        while let Some(b' ' | b'\n' | b'\r' | b'\t') = self.peek() {
            self.at += 1;
        }
        self.peek()
    }

    /// Takes the next byte behind white space if it is this one.
    fn take(&mut self, byte: u8) -> Option<()> {
        (self.pass_space()? == byte).then(|| self.at += 1)
    }

    /// The place from a byte of the value to where it has been read.
    fn span_from(&self, start: usize) -> Span {
        let JsonPiece { file, start: first, .. } = self.piece;
        Span::new(file, first + start, first + self.at)
    }

    /// Reads a value that lies `depth` levels down.
    fn read_value(&mut self, depth: usize) -> Option<Node> {
        if depth > DATA_DEPTH {
            return None;
        }
        let first = self.pass_space()?;
        let start = self.at;
        let value = match first {
            b'{' => Value::Map(self.read_map(depth)?),
            b'[' => Value::List(self.read_list(depth)?),
            b'"' => Value::Text(self.read_text()?),
            _ => self.read_word(),
        };
        Some(Node { span: self.span_from(start), value })
    }

    /// Reads entries up to their closing brace; nothing where two have one key.
    fn read_map(&mut self, depth: usize) -> Option<Vec<(Key, Node)>> {
        self.at += 1;
        let mut entries: Vec<(Key, Node)> = Vec::new();
        if self.pass_space()? == b'}' {
            self.at += 1;
            return Some(entries);
        }
        entries.reserve(USUAL_LENGTH);
        loop {
            self.pass_space()?;
            let start = self.at;
            let name = self.read_plain_text()?;
            let span = self.span_from(start);
            if entries.len() == FEW_KEYS || entries.iter().any(|(known, _)| known.name == name) {
                return None;
            }
            self.take(b':')?;
            let value = self.read_value(depth + 1)?;
            entries.push((Key { name: name.to_owned(), span }, value));
            if self.take(b',').is_none() {
                self.take(b'}')?;
                return Some(entries);
            }
        }
    }

    /// Reads items up to their closing bracket.
    fn read_list(&mut self, depth: usize) -> Option<Vec<Node>> {
        self.at += 1;
        let mut items = Vec::new();
        if self.pass_space()? == b']' {
            self.at += 1;
            return Some(items);
        }
        loop {
            items.push(self.read_value(depth + 1)?);
            if self.take(b',').is_none() {
                self.take(b']')?;
                return Some(items);
            }
        }
    }

    /// Reads what stands between quotation marks, its escapes resolved.
    fn read_text(&mut self) -> Option<String> {
        let start = self.at;
        if let Some(plain) = self.read_plain_text() {
            return Some(plain.to_owned());
        }
        // Up to the quotation mark that no backslash stands before.
        self.at = start + 1;
        loop {
            match self.peek()? {
                b'"' => break,
                b'\\' => self.at += 2,
                _ => self.at += 1,
            }
        }
        self.at += 1;
        serde_json::from_str(&self.piece.raw[start..self.at]).ok()
    }

    /// Reads a text that has no escapes; it stands for itself.
    fn read_plain_text(&mut self) -> Option<&'a str> {
        let text = self.piece.raw.get(self.at..)?.strip_prefix('"')?;
        let end = text.bytes().position(|byte| byte == b'"' || byte == b'\\')?;
        let plain = text.get(..end).filter(|_| text.as_bytes()[end] == b'"')?;
        self.at += end + 2;
        Some(plain)
    }

    /// Reads a word or a number.
    fn read_word(&mut self) -> Value {
        let rest = &self.piece.raw[self.at..];
        let ends = |c: char| matches!(c, ',' | ']' | '}' | ' ' | '\n' | '\r' | '\t');
        let word = &rest[..rest.find(ends).unwrap_or(rest.len())];
        self.at += word.len();
        match word {
            "null" => Value::Null,
            "true" => Value::Bool(true),
            "false" => Value::Bool(false),
            digits => Value::Number(digits.to_owned()),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::{JsonPiece, read_values};
    use super::read_tree;
    use crate::source::Sources;

    /// Values as they may stand in an order, some with faults that no syntax knows.
    fn json_text() -> impl Strategy<Value = String> {
        let leaf = prop_oneof![
            Just("null".to_owned()),
            Just("true".to_owned()),
            Just(" false\t".to_owned()),
            Just(r#""\ud800""#.to_owned()),
            Just(r#""a\"b\\""#.to_owned()),
            (-1_000_000_i64..1_000_000).prop_map(|number| number.to_string()),
            "-?[1-9][0-9]{0,3}\\.[0-9]{1,3}(e[+-]?[1-9])?".prop_map(|number| format!(" {number}")),
            "[a-zé 日]{0,6}".prop_map(|text| format!("\"{text}\"")),
        ];
        leaf.prop_recursive(4, 24, 5, |inner| {
            let key = prop_oneof!["[a-c]{1,2}", Just("\\u0061".to_owned())];
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..5)
                    .prop_map(|items| format!("[ {}]", items.join(" ,\n"))),
                prop::collection::vec((key, inner), 0..5).prop_map(|entries| {
                    let entries = entries.iter().map(|(key, value)| format!("\"{key}\" :{value}"));
                    format!("{{{} }}", entries.collect::<Vec<_>>().join(", "))
                }),
            ]
        })
    }

    proptest! {
        #[test]
        fn the_short_way_gives_what_the_long_way_gives(text in json_text()) {
            let text = format!(" {text}");
            let file = Sources::new().add("orders.json", "");
            let piece: JsonPiece<'_> = read_values(&text, file).unwrap()[0];
            let quick = read_tree(piece);
            let whole = piece.to_node_at(0);
            match quick {
                Some(quick) => prop_assert_eq!(Ok(quick), whole),
                // It gives up only where there is a fault or an escape.
                None => prop_assert!(whole.is_err() || text.contains('\\')),
            }
        }
    }

    #[test]
    fn many_keys_and_deep_nesting_are_left_to_the_long_way() {
        let file = Sources::new().add("orders.json", "");
        let keys: Vec<String> = (0..33).map(|key| format!("\"{key}\": 1")).collect();
        let deep = format!("{}{}", "[".repeat(200), "]".repeat(200));
        for text in [format!("{{{}}}", keys.join(",")), deep] {
            assert_eq!(read_tree(read_values(&text, file).unwrap()[0]), None);
        }
    }
}
