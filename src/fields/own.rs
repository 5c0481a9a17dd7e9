//! Fields of the seller's own: names of her choosing with single values, typed by what stands there.
//!
//! In: the map under `own` of an order, an item or the shop. Out: [`OwnFields`]. Not here: what they
//! mean, which only the seller and her layouts know.

use std::sync::Arc;

use crate::findings::{Finding, rules};
use crate::record::{Kind, Refusal, Scalar, join};
use crate::tree::{Node, Value};
use crate::words::is_digits;

use super::text::PARAGRAPH;

/// What stands under `own`.
pub(crate) const OWN: Kind = Kind::Named(&Kind::Scalar(&OWN_VALUE));

/// A value under `own`.
static OWN_VALUE: Scalar = Scalar {
    expected: "text, a number, `true` or `false`",
    accepts: accept_own,
    schema: r#"{"type": ["string", "number", "boolean", "null"]}"#,
};

/// One value under a name of the seller's own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OwnValue {
    /// Text, without white space around it.
    Text(Box<str>),
    /// A number, by its digits.
    Number(Box<str>),
    /// Yes or no.
    Flag(bool),
}

impl OwnValue {
    /// What templates see of it.
    #[must_use]
    pub fn to_text(&self) -> String {
        match self {
            OwnValue::Text(text) | OwnValue::Number(text) => text.to_string(),
            OwnValue::Flag(flag) => flag.to_string(),
        }
    }
}

/// Fields of the seller's own, in the order in which they stand.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OwnFields(Option<Arc<OwnList>>);

/// Names with their values; behind one pointer, because most orders and items have none.
type OwnList = Vec<(Box<str>, OwnValue)>;

impl OwnFields {
    /// No fields.
    pub(crate) const NONE: OwnFields = OwnFields(None);

    /// Fields with their values.
    fn new(fields: OwnList) -> OwnFields {
        OwnFields((!fields.is_empty()).then(|| Arc::new(fields)))
    }

    /// The value of a name, if it has one.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&OwnValue> {
        self.iter().find(|(known, _)| *known == name).map(|(_, value)| value)
    }

    /// The fields of several: one that differs has each of its values on a line, as text.
    #[must_use]
    pub fn join<'o>(all: impl Iterator<Item = &'o OwnFields>) -> OwnFields {
        let mut joined: Vec<(Box<str>, Vec<OwnValue>)> = Vec::new();
        for (name, value) in all.flat_map(OwnFields::iter) {
            match joined.iter_mut().find(|(known, _)| **known == *name) {
                Some((_, values)) if values.contains(value) => {}
                Some((_, values)) => values.push(value.clone()),
                None => joined.push((name.into(), vec![value.clone()])),
            }
        }
        let join = |(name, mut values): (Box<str>, Vec<OwnValue>)| match values.len() {
            1 => (name, values.remove(0)),
            _ => {
                let lines: Vec<String> = values.iter().map(OwnValue::to_text).collect();
                (name, OwnValue::Text(lines.join("\n").into()))
            }
        };
        OwnFields::new(joined.into_iter().map(join).collect())
    }

    /// All names with their values.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &OwnValue)> {
        self.0.iter().flat_map(|fields| fields.iter()).map(|(name, value)| (&**name, value))
    }
}

/// Whether a value will do: single, and no longer than a paragraph.
fn accept_own(value: &Value) -> Result<(), Refusal> {
    match value {
        Value::Text(_) | Value::Bare(_) => (PARAGRAPH.accepts)(value),
        Value::Number(_) | Value::Bool(_) | Value::Null => Ok(()),
        _ => Err(Refusal::hint("write one value, or several fields with a name each")),
    }
}

/// Reports names that no template could ask for; `path` is the path to what has the `own`.
pub(crate) fn check_own(node: &Node, path: &str, out: &mut Vec<Finding>) {
    if let Some(own) = node.get("own") {
        check_own_names(own, &join(path, "own"), out);
    }
}

/// Reports names in a map that no template could ask for; `path` is the path to the map.
pub(crate) fn check_own_names(own: &Node, path: &str, out: &mut Vec<Finding>) {
    for (key, _) in own.entries() {
        let name = &key.name;
        if is_name(name) {
            continue;
        }
        let message = format!("expected a name of small letters, figures and `_`, found `{name}`");
        out.push(Finding::new(&rules::WRONG_VALUE, message).at(key.span).path(path).hint(format!(
            "call it `{}`, and ask for it as `own.{}`",
            mend(name),
            mend(name)
        )));
    }
}

/// Whether a template can ask for a name.
pub(crate) fn is_name(name: &str) -> bool {
    let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
    name.starts_with(|c: char| c.is_ascii_lowercase()) && name.chars().all(fits)
}

/// A name that a template can ask for, as near to another as can be.
fn mend(name: &str) -> String {
    let lower = name.trim().to_lowercase();
    let fit = |c: char| if c.is_ascii_lowercase() || c.is_ascii_digit() { c } else { '_' };
    let fitting: String = lower.chars().take(30).map(fit).collect();
    match is_name(&fitting) {
        true => fitting,
        false => format!("field_{}", fitting.trim_matches('_')),
    }
}

/// The fields under `own` that have a value.
pub(crate) fn read_own(node: &Node) -> OwnFields {
    let entries = node.get("own").map(Node::entries).unwrap_or_default();
    let read = |value: &Node| match &value.value {
        Value::Text(text) => Some(OwnValue::Text(text.trim().into())),
        Value::Number(digits) => Some(OwnValue::Number(digits.as_str().into())),
        Value::Bool(flag) => Some(OwnValue::Flag(*flag)),
        Value::Bare(text) => Some(read_bare(text.trim())),
        _ => None,
    };
    let fields = entries.iter().filter_map(|(key, value)| {
        let name = Box::from(key.name.as_str());
        Some((name, read(value)?)).filter(|(name, _)| is_name(name))
    });
    OwnFields::new(fields.collect())
}

/// A value that stands without quotes, or in a cell, as data has it.
pub(crate) fn type_own(text: &str) -> Value {
    match read_bare(text.trim()) {
        OwnValue::Text(text) => Value::Text(text.into()),
        OwnValue::Number(digits) => Value::Number(digits.into()),
        OwnValue::Flag(flag) => Value::Bool(flag),
    }
}

/// A value without quotes: `true` and `false` are flags, what is written like a number is one.
fn read_bare(text: &str) -> OwnValue {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, "0"));
    let is_number =
        is_digits(whole) && is_digits(fraction) && (whole == "0" || !whole.starts_with('0'));
    match text {
        "true" | "false" => OwnValue::Flag(text == "true"),
        _ if is_number => OwnValue::Number(text.into()),
        _ => OwnValue::Text(text.into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_a_template_cannot_ask_for_are_mended() {
        for (name, mended) in [
            ("colour", "colour"),
            ("Gift wrap", "gift_wrap"),
            ("2nd line", "field_2nd_line"),
            ("Größe", "gr__e"),
            ("", "field_"),
        ] {
            assert_eq!(mend(name), mended);
            assert_eq!(is_name(name), name == "colour");
        }
    }

    #[test]
    fn values_without_quotes_are_what_they_look_like() {
        let number = |digits: &str| OwnValue::Number(digits.into());
        let text = |text: &str| OwnValue::Text(text.into());
        for (bare, value) in [
            ("12", number("12")),
            ("-0.5", number("-0.5")),
            ("007", text("007")),
            ("1.2.3", text("1.2.3")),
            ("no", text("no")),
            ("true", OwnValue::Flag(true)),
        ] {
            assert_eq!(read_bare(bare), value, "{bare}");
        }
    }

    #[test]
    fn fields_of_several_are_joined_and_none_is_lost() {
        let fields = |all: &[(&str, OwnValue)]| {
            OwnFields::new(
                all.iter().map(|(name, value)| ((*name).into(), value.clone())).collect(),
            )
        };
        let text = |text: &str| OwnValue::Text(text.into());
        let one = fields(&[("wrap", text("red")), ("vip", OwnValue::Flag(true))]);
        let other = fields(&[("wrap", text("blue")), ("vip", OwnValue::Flag(true))]);
        let joined = OwnFields::join([&one, &other].into_iter());
        assert_eq!(joined.get("wrap"), Some(&text("red\nblue")));
        assert_eq!(joined.get("vip"), Some(&OwnValue::Flag(true)));
        assert_eq!(joined.get("none"), None);
    }
}
