//! Tables of the fields that a data file may have: one table checks the file, makes its JSON
//! Schema and lists its fields in the documentation, so the three cannot drift apart.
//!
//! In: nothing. Out: the tables, and every fault that a [`Node`](crate::tree::Node) has by them
//! ([`check()`]); after a clean check the reading code may take each field as its table says. Not here:
//! what a value means beyond its own text (that a country exists, that an id is unique), unless a
//! [`Scalar`] can tell.

mod check;
mod schema;

pub(crate) use check::{RecordCheck, check, check_kind, hint_at_field};
pub(crate) use schema::{OtherFields, kind_schema, name_parts, record_schema};

use crate::tree::Value;

/// The fields of one kind of map.
#[derive(Debug)]
pub struct Record {
    /// What the map is called, such as `order`; also its name in the schema.
    pub name: &'static str,
    /// One sentence on what it holds.
    pub doc: &'static str,
    /// Its fields, in the order the documentation lists them.
    pub fields: &'static [Field],
}

/// One field of a record.
#[derive(Debug)]
pub struct Field {
    /// The key.
    pub name: &'static str,
    /// What stands after it.
    pub kind: Kind,
    /// Whether the record is wrong without it.
    pub required: bool,
    /// One sentence: what it is, its unit, its default.
    pub doc: &'static str,
}

/// A field that must be there.
pub(crate) const fn required(name: &'static str, kind: Kind, doc: &'static str) -> Field {
    Field { name, kind, required: true, doc }
}

/// A field that may be left out.
pub(crate) const fn optional(name: &'static str, kind: Kind, doc: &'static str) -> Field {
    Field { name, kind, required: false, doc }
}

/// A single value that may be left out.
pub(crate) const fn scalar(
    name: &'static str,
    scalar: &'static Scalar,
    doc: &'static str,
) -> Field {
    optional(name, Kind::Scalar(scalar), doc)
}

/// What may stand in a field.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// A single value.
    Scalar(&'static Scalar),
    /// One of a few words.
    Word(&'static [&'static str]),
    /// Any number of values of one kind.
    List(&'static Kind),
    /// Exactly this many values of one kind.
    Row(usize, &'static Kind),
    /// A map with fields of its own.
    Map(&'static Record),
    /// A map from names of the user's choosing to values of one kind.
    Named(&'static Kind),
    /// Any of several kinds; the first whose outer form fits (scalar, list or map) is taken.
    Either(&'static [Kind]),
    /// Something that another table describes and its owner checks; the name is its schema's.
    Other(&'static str),
}

/// A kind of single value.
#[derive(Debug)]
pub struct Scalar {
    /// What was expected, as an error puts it after "expected".
    pub expected: &'static str,
    /// Whether a value will do; if not, why.
    pub accepts: fn(&Value) -> Result<(), Refusal>,
    /// Its JSON Schema, as JSON text.
    pub schema: &'static str,
}

/// Why a value will not do.
#[derive(Debug, Default)]
pub struct Refusal {
    /// A message better than "expected X, found Y".
    pub message: Option<String>,
    /// A way out.
    pub hint: Option<String>,
}

impl Refusal {
    /// A refusal with a way out.
    #[must_use]
    pub fn hint(hint: impl Into<String>) -> Refusal {
        Refusal { message: None, hint: Some(hint.into()) }
    }

    /// A refusal with its own words and a way out.
    #[must_use]
    pub fn new(message: impl Into<String>, hint: impl Into<String>) -> Refusal {
        Refusal { message: Some(message.into()), hint: Some(hint.into()) }
    }
}

/// A path with one more step.
pub(crate) fn join(path: &str, name: &str) -> String {
    if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") }
}

/// Text in quotes, or a bare YAML scalar as it is written.
pub(crate) static TEXT: Scalar = Scalar {
    expected: "text",
    accepts: |value| match value {
        Value::Text(_) | Value::Bare(_) => Ok(()),
        Value::Number(digits) => Err(Refusal::hint(format!("put it in quotes: `\"{digits}\"`"))),
        _ => Err(Refusal::default()),
    },
    schema: r#"{"type": "string"}"#,
};

/// Yes or no.
pub(crate) static FLAG: Scalar = Scalar {
    expected: "`true` or `false`",
    accepts: |value| match value {
        Value::Bool(_) => Ok(()),
        Value::Bare(word) if word == "true" || word == "false" => Ok(()),
        _ => Err(Refusal::default()),
    },
    schema: r#"{"type": "boolean"}"#,
};

/// A whole number from 1 up, of at most nine digits.
pub(crate) static COUNT: Scalar = Scalar {
    expected: "a whole number from 1 up",
    accepts: |value| match value {
        Value::Number(text) | Value::Bare(text) if is_count(text) => Ok(()),
        _ => Err(Refusal::default()),
    },
    schema: r#"{"type": "integer", "minimum": 1, "maximum": 999999999}"#,
};

/// Whether text is a whole number from 1 to 999,999,999.
fn is_count(text: &str) -> bool {
    text.len() <= 9
        && text.bytes().all(|byte| byte.is_ascii_digit())
        && text.parse::<u32>().is_ok_and(|count| count > 0)
}
