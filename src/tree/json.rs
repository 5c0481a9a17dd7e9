//! JSON text to nodes, lazily: a [`JsonPiece`] is a slice of the file whose syntax is known to be
//! good, opened one level at a time. A list of a hundred thousand orders is walked without ever
//! holding more than one of them as a tree.
//!
//! `serde_json` does the reading; its raw values are slices of the text, so their addresses give
//! the places.

mod quick;

use std::collections::HashMap;
use std::fmt;
use std::ops::ControlFlow;

use serde_json::value::RawValue;
use serde_json::{Deserializer, Error};

use serde::de::{Deserialize, DeserializeSeed, MapAccess, SeqAccess, Visitor};

use super::{Key, Node, Value};
use crate::findings::{Finding, rules};
use crate::limits::{DATA_DEPTH, MAP_KEYS, ORDER_ERRORS, ORDERS};
use crate::source::{FileId, Span};

/// A JSON value inside a text.
#[derive(Clone, Copy, Debug)]
pub(crate) struct JsonPiece<'a> {
    /// The value's text, without white space around it.
    raw: &'a str,
    /// Where findings point.
    file: FileId,
    /// Where it starts in that file, in bytes.
    start: usize,
}

/// What a [`JsonPiece`] is, told by its first character.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum JsonKind {
    /// Names with values, between `{` and `}`.
    Map,
    /// Values in order, between `[` and `]`.
    List,
    /// Anything else.
    Scalar,
}

/// A file's values, each after the other, as a JSON stream or one value a line holds them.
///
/// # Errors
/// The first fault in the syntax, with its place; values before it are lost with it.
pub(crate) fn read_values(text: &str, file: FileId) -> Result<Vec<JsonPiece<'_>>, Finding> {
    let mut stream = Deserializer::from_str(text).into_iter::<&RawValue>();
    let mut pieces = Vec::new();
    loop {
        let before = stream.byte_offset();
        match stream.next() {
            None => return Ok(pieces),
            Some(Ok(raw)) => {
                let piece = JsonPiece::within(raw.get(), text, file);
                if pieces.len() == ORDERS {
                    return Err(too_many_values(piece.span()));
                }
                pieces.push(piece);
            }
            Some(Err(error)) => return Err(explain(&error, text, before, file)),
        }
    }
}

/// A file's values, one a line; a line at fault does not keep the others from being read.
#[must_use]
pub(crate) fn read_lines(text: &str, file: FileId) -> (Vec<JsonPiece<'_>>, Vec<Finding>) {
    let mut pieces = Vec::new();
    let mut faults = Vec::new();
    for line in text.lines().filter(|line| !line.trim().is_empty()) {
        let start = line.as_ptr() as usize - text.as_ptr() as usize;
        let place = Span::new(file, start, start + line.len());
        if faults.len() == ORDER_ERRORS || pieces.len() == ORDERS {
            let is_wrong = faults.len() == ORDER_ERRORS;
            faults.push(if is_wrong { too_many_errors(place) } else { too_many_values(place) });
            break;
        }
        match serde_json::from_str::<&RawValue>(line) {
            Ok(raw) => pieces.push(JsonPiece::within(raw.get(), text, file)),
            Err(error) => {
                let at = start + error.column().saturating_sub(1).min(line.len());
                let words =
                    strip_place(&error).replace("EOF while parsing", "the line stops inside");
                let fault = Finding::new(&rules::JSON_SYNTAX, words);
                faults.push(if error.is_eof() {
                    fault
                        .at(Span::new(file, start + line.len(), start + line.len()))
                        .label("the line stops here")
                        .hint("put the whole order on one line")
                } else {
                    fault
                        .at(Span::new(file, at, at + 1))
                        .hint("mend this line; the others are read")
                });
            }
        }
    }
    (pieces, faults)
}

impl<'a> JsonPiece<'a> {
    /// The piece for a slice of a file's whole text.
    fn within(raw: &'a str, text: &'a str, file: FileId) -> JsonPiece<'a> {
        JsonPiece { raw, file, start: raw.as_ptr() as usize - text.as_ptr() as usize }
    }

    /// The piece for a slice of this piece.
    fn inside(self, raw: &'a str) -> JsonPiece<'a> {
        let ahead = raw.as_ptr() as usize - self.raw.as_ptr() as usize;
        JsonPiece { raw, file: self.file, start: self.start + ahead }
    }

    /// Where it stands.
    #[must_use]
    pub(crate) fn span(self) -> Span {
        Span::new(self.file, self.start, self.start + self.raw.len())
    }

    /// By its first character; whether the rest is right shows when it is read.
    #[must_use]
    pub(crate) fn kind(self) -> JsonKind {
        match self.raw.as_bytes().first() {
            Some(b'{') => JsonKind::Map,
            Some(b'[') => JsonKind::List,
            _ => JsonKind::Scalar,
        }
    }

    /// Gives the values of a list one after the other, until one is not wanted any more; none unless
    /// it is one. A list of millions is never held as a whole.
    pub(crate) fn walk_elements(self, take: impl FnMut(JsonPiece<'a>) -> ControlFlow<()>) {
        if self.kind() == JsonKind::List {
            let mut list = Deserializer::from_str(self.raw);
            // Its syntax is known to be good, so all that can end it is that no more is wanted.
            let _ = Elements { list: self, take }.deserialize(&mut list);
        }
    }

    /// The values of a list; none unless it is one.
    ///
    /// # Errors
    /// When the text is not good JSON, which [`read_values`] has ruled out.
    pub(crate) fn elements(self) -> Result<Vec<JsonPiece<'a>>, Finding> {
        if self.kind() != JsonKind::List {
            return Ok(Vec::new());
        }
        let raws: Vec<&'a RawValue> = self.decode()?;
        Ok(raws.into_iter().map(|raw| self.inside(raw.get())).collect())
    }

    /// The keys and values of a map; none unless it is one.
    ///
    /// # Errors
    /// When a key is written twice, or is no Unicode text.
    pub(crate) fn entries(self) -> Result<Vec<(Key, JsonPiece<'a>)>, Finding> {
        if self.kind() != JsonKind::Map {
            return Ok(Vec::new());
        }
        let Entries(raws) = self.decode()?;
        if raws.len() > MAP_KEYS {
            let (key, _) = raws[MAP_KEYS];
            return Err(too_many_keys(self.inside(key.get()).span()));
        }
        let mut entries: Vec<(Key, JsonPiece<'a>)> = Vec::with_capacity(raws.len());
        // Comparing each key with all before it is quickest for the few that a map has.
        let mut index = (raws.len() > 32).then(HashMap::<String, Span>::new);
        for (key, value) in raws {
            let key = self.inside(key.get());
            let name = key.to_text()?;
            let first = match &mut index {
                Some(index) => index.insert(name.clone(), key.span()),
                None => entries.iter().find(|(known, _)| known.name == name).map(|it| it.0.span),
            };
            if let Some(first) = first {
                return Err(repeated_key(&name, first, key.span()));
            }
            entries.push((Key { name, span: key.span() }, self.inside(value.get())));
        }
        Ok(entries)
    }

    /// The value of a map's key, when the key is there once, whatever is wrong with the others.
    #[must_use]
    pub(crate) fn find(self, name: &str) -> Option<JsonPiece<'a>> {
        let Entries(raws) =
            if self.kind() == JsonKind::Map { self.decode().ok()? } else { return None };
        let is_name = |key: &RawValue| self.inside(key.get()).to_text().is_ok_and(|it| it == name);
        let mut values = raws.into_iter().filter(|(key, _)| is_name(key)).map(|(_, value)| value);
        let only = values.next().filter(|_| values.next().is_none())?;
        Some(self.inside(only.get()))
    }

    /// The whole value as a tree.
    ///
    /// # Errors
    /// When it nests deeper than [`DATA_DEPTH`], or a text or key in it is at fault.
    pub(crate) fn to_node(self) -> Result<Node, Finding> {
        quick::read_tree(self).map_or_else(|| self.to_node_at(0), Ok)
    }

    /// The tree of a value that lies `depth` levels down.
    fn to_node_at(self, depth: usize) -> Result<Node, Finding> {
        if depth > DATA_DEPTH {
            return Err(too_deep(self.span()));
        }
        let value = match self.kind() {
            JsonKind::Map => {
                let entries = self.entries()?.into_iter();
                let nodes = entries.map(|(key, piece)| Ok((key, piece.to_node_at(depth + 1)?)));
                Value::Map(nodes.collect::<Result<_, Finding>>()?)
            }
            JsonKind::List => {
                let nodes = self.elements()?.into_iter().map(|piece| piece.to_node_at(depth + 1));
                Value::List(nodes.collect::<Result<_, _>>()?)
            }
            JsonKind::Scalar => self.to_scalar()?,
        };
        Ok(Node { span: self.span(), value })
    }

    /// What stands there, if it is no list and no map; numbers stay the digits they are.
    fn to_scalar(self) -> Result<Value, Finding> {
        Ok(match self.raw {
            "null" => Value::Null,
            "true" => Value::Bool(true),
            "false" => Value::Bool(false),
            text if text.starts_with('"') => Value::Text(self.to_text()?),
            digits => Value::Number(digits.to_owned()),
        })
    }

    /// The text of a value or key in quotes.
    fn to_text(self) -> Result<String, Finding> {
        let inner = self.raw.strip_prefix('"').and_then(|rest| rest.strip_suffix('"'));
        match inner {
            // Its syntax is known to be good, so without an escape it stands for itself.
            Some(inner) if !inner.contains('\\') => Ok(inner.to_owned()),
            _ => self.decode(),
        }
    }

    /// Reads the piece as a Rust value.
    fn decode<T: Deserialize<'a>>(self) -> Result<T, Finding> {
        serde_json::from_str(self.raw).map_err(|error| {
            let message = strip_place(&error);
            Finding::new(&rules::JSON_SYNTAX, message).at(self.span())
        })
    }
}

/// A walk over a list: what it gives its values to.
struct Elements<'a, T> {
    /// What is walked over.
    list: JsonPiece<'a>,
    /// Takes a value, and says whether there is use for another.
    take: T,
}

impl<'a, T: FnMut(JsonPiece<'a>) -> ControlFlow<()>> DeserializeSeed<'a> for Elements<'a, T> {
    type Value = ();

    fn deserialize<D: serde::Deserializer<'a>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_seq(self)
    }
}

impl<'a, T: FnMut(JsonPiece<'a>) -> ControlFlow<()>> Visitor<'a> for Elements<'a, T> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list")
    }

    fn visit_seq<A: SeqAccess<'a>>(mut self, mut list: A) -> Result<(), A::Error> {
        while let Some(raw) = list.next_element::<&'a RawValue>()? {
            if (self.take)(self.list.inside(raw.get())).is_break() {
                break;
            }
        }
        Ok(())
    }
}

/// A map's keys and values, unread and in order.
struct Entries<'a>(Vec<(&'a RawValue, &'a RawValue)>);

impl<'de> Deserialize<'de> for Entries<'de> {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        /// Takes names and values as they come, none of them read.
        struct Collect;
        impl<'de> Visitor<'de> for Collect {
            type Value = Entries<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a map")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut entries = Vec::new();
                while let Some(entry) = map.next_entry()? {
                    entries.push(entry);
                }
                Ok(Entries(entries))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, _: A) -> Result<Self::Value, A::Error> {
                Err(serde::de::Error::custom("expected a map"))
            }
        }
        deserializer.deserialize_map(Collect)
    }
}

/// The complaint about a key written twice.
pub(super) fn repeated_key(name: &str, first: Span, second: Span) -> Finding {
    Finding::new(&rules::REPEATED_KEY, format!("`{name}` is given twice"))
        .at(second)
        .related(first, "it was first given here")
        .hint(format!("keep one `{name}` and delete the other"))
}

/// The complaint about a map of more keys than any has.
fn too_many_keys(key: Span) -> Finding {
    Finding::new(&rules::FILE_LIMIT, format!("this map has more than {MAP_KEYS} keys"))
        .at(key)
        .label("one more than is read")
        .hint("no order has so many fields: is this the file you meant?")
}

/// The complaint about a file that has nothing but errors in it.
pub(crate) fn too_many_errors(next: Span) -> Finding {
    let message = format!("more than {ORDER_ERRORS} errors: nothing from here on was read");
    Finding::new(&rules::FILE_LIMIT, message)
        .at(Span { end: next.end.min(next.start + 1), ..next })
        .hint("mend what most of them have in common, and try again")
}

/// The complaint about more values than any batch has.
pub(crate) fn too_many_values(value: Span) -> Finding {
    Finding::new(&rules::FILE_LIMIT, format!("this file has more than {ORDERS} orders"))
        .at(Span { end: value.end.min(value.start + 1), ..value })
        .hint("divide it into several files")
}

/// The complaint about a value nested too deeply.
pub(super) fn too_deep(span: Span) -> Finding {
    Finding::new(&rules::TOO_DEEP, format!("values nest deeper than {DATA_DEPTH} levels")).at(span)
}

/// `serde_json`'s words without the place they end with, which the span says better.
fn strip_place(error: &Error) -> String {
    let text = error.to_string();
    text.rfind(" at line ").map_or(text.as_str(), |at| &text[..at]).to_owned()
}

/// A fault in the syntax as a finding at its place.
fn explain(error: &Error, text: &str, value_start: usize, file: FileId) -> Finding {
    let at = byte_of(text, error.line(), error.column());
    let words = strip_place(error).replace("EOF while parsing", "the file stops inside");
    let finding = Finding::new(&rules::JSON_SYNTAX, words);
    if error.is_eof() {
        let start = text.len() - text[value_start.min(text.len())..].trim_start().len();
        let end = text.trim_end().len();
        return finding
            .at(Span::new(file, end, end))
            .label("the file stops here")
            .related(Span::new(file, start, start + 1), "inside the value that starts here")
            .hint("the file was probably cut short; export or copy it again");
    }
    finding
        .at(Span::new(file, at, at + 1))
        .hint("the data must be JSON: `{\"orders\": [ … ]}`, a list `[ … ]`, or one order a line")
}

/// The byte of a line and column as `serde_json` counts them: from 1, columns in bytes.
fn byte_of(text: &str, line: usize, column: usize) -> usize {
    let line_start = match line {
        0 | 1 => 0,
        _ => text.match_indices('\n').nth(line - 2).map_or(text.len(), |(at, _)| at + 1),
    };
    (line_start + column.saturating_sub(1)).min(text.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::Sources;

    fn read(text: &str) -> Result<Vec<Node>, Finding> {
        let mut sources = Sources::new();
        let file = sources.add("t", text);
        let text = sources.get(file).shared_text();
        read_values(&text, file)?.iter().map(|piece| piece.to_node()).collect()
    }

    #[test]
    fn places_and_literals_survive() {
        let text = " {\"é\": [1.10, \"x\\u00e9\", null, true] } ";
        let nodes = read(text).unwrap();
        let list = nodes[0].get("é").unwrap();
        assert_eq!(list.items()[0].value, Value::Number("1.10".into()));
        assert_eq!(list.items()[1].value, Value::Text("xé".into()));
        let span = list.items()[1].span;
        assert_eq!(&text[span.start as usize..span.end as usize], "\"x\\u00e9\"");
        let key = nodes[0].entries()[0].0.span;
        assert_eq!(&text[key.start as usize..key.end as usize], "\"é\"");
    }

    #[test]
    fn values_may_follow_one_another() {
        assert_eq!(read("{\"a\":1}\n{\"a\":2}\n").unwrap().len(), 2);
        assert_eq!(read("").unwrap().len(), 0);
    }

    #[test]
    fn faults_have_places() {
        let cut = read("[{\"id\": \"a\"},\n {\"id\":").unwrap_err();
        assert_eq!((cut.rule.name, cut.span.unwrap().start), ("json-syntax", 21));
        let wrong = read("[1,\n  x]").unwrap_err();
        assert_eq!(wrong.span.unwrap().start, 6);
        let twice = read("{\"a\":1,\"a\":2}").unwrap_err();
        assert_eq!((twice.rule.name, twice.span.unwrap().start), ("repeated-key", 7));
        let surrogate = read("{\"a\":\"\\ud800\"}").unwrap_err();
        assert_eq!(surrogate.span.unwrap().start, 5);
    }

    #[test]
    fn a_line_at_fault_does_not_hide_the_others() {
        let text = "{\"a\":1}\n{\"a\":x}\n\n {\"a\":2}\r\n{\"a\":";
        let file = Sources::new().add("t", text);
        let (pieces, faults) = read_lines(text, file);
        let starts: Vec<_> = pieces.iter().map(|piece| piece.span().start).collect();
        assert_eq!(starts, [0, 18]);
        let places: Vec<_> = faults.iter().map(|fault| fault.span.unwrap().start).collect();
        assert_eq!(places, [13, 32]);
    }

    #[test]
    fn a_map_of_very_many_keys_is_read_in_step_with_its_length() {
        let map = |count: usize| {
            let keys: Vec<_> = (0..count).map(|key| format!("\"{key}\":0")).collect();
            format!("{{{}}}", keys.join(","))
        };
        assert_eq!(read(&map(MAP_KEYS)).unwrap()[0].entries().len(), MAP_KEYS);
        let twice = map(MAP_KEYS - 1).replace('}', ",\"7\":0}");
        assert_eq!(read(&twice).unwrap_err().rule, "repeated-key");
        for count in [MAP_KEYS + 1, 600_000] {
            assert_eq!(read(&map(count)).unwrap_err().rule, "file-limit");
        }
    }

    #[test]
    fn a_list_is_walked_until_no_more_is_wanted() {
        let text = format!("[{}1]", "1,".repeat(9_999));
        let piece = read_values(&text, Sources::new().add("t", "")).unwrap()[0];
        let mut seen = Vec::new();
        piece.walk_elements(|element| {
            seen.push(element.span().start);
            if seen.len() == 3 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        assert_eq!(seen, [1, 3, 5]);
    }

    #[test]
    fn depth_ends_in_an_error_and_not_in_a_full_stack() {
        let text = format!("{}1{}", "[".repeat(100_000), "]".repeat(100_000));
        assert_eq!(read(&text).unwrap_err().rule, "too-deep");
    }
}
