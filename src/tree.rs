//! Data files as one spanned tree, whatever notation they came in.
//!
//! In: JSON ([`json`]) or YAML ([`yaml`]) text. Out: a [`Node`] that knows for every value and
//! every key where it stood, so that any later complaint can point there. Values keep their
//! literal digits: nothing passes through a float on the way. Not here: which fields a file may
//! have (`record`), and what they mean.

pub(crate) mod json;
pub(crate) mod yaml;

use crate::source::Span;
use crate::words::shorten;

/// A value with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Where it stands.
    pub span: Span,
    /// What stands there.
    pub value: Value,
}

/// A map's key with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Key {
    /// The key as text.
    pub name: String,
    /// Where it stands.
    pub span: Span,
}

/// What a node can be.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Nothing: JSON's `null`, or nothing at all after a YAML key.
    Null,
    /// JSON's `true` or `false`.
    Bool(bool),
    /// A JSON number by its literal digits.
    Number(String),
    /// Text in quotes, or a YAML block of text.
    Text(String),
    /// A YAML scalar without quotes; what it means is up to whoever asks.
    Bare(String),
    /// Values in order.
    List(Vec<Node>),
    /// Keys and values in the order they were written; keys are unique.
    Map(Vec<(Key, Node)>),
}

impl Value {
    /// What kind of value this is, as messages call it.
    #[must_use]
    pub fn describe(&self) -> String {
        let shown = |text: &str| format!("`{}`", shorten(text));
        match self {
            Value::Null => "nothing".into(),
            Value::Bool(value) => format!("`{value}`"),
            Value::Number(digits) => format!("the number {digits}"),
            Value::Text(text) if text.is_empty() => "empty text".into(),
            Value::Text(text) => format!("the text {}", shown(text)),
            Value::Bare(text) => shown(text),
            Value::List(_) => "a list".into(),
            Value::Map(_) => "a map".into(),
        }
    }
}

impl Node {
    /// The value of a key, when this is a map that has it.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Node> {
        self.entries().iter().find(|(key, _)| key.name == name).map(|(_, node)| node)
    }

    /// Keys and values, none unless this is a map.
    #[must_use]
    pub fn entries(&self) -> &[(Key, Node)] {
        match &self.value {
            Value::Map(entries) => entries,
            _ => &[],
        }
    }

    /// The values of a list, none unless this is one.
    #[must_use]
    pub fn items(&self) -> &[Node] {
        match &self.value {
            Value::List(items) => items,
            _ => &[],
        }
    }

    /// A scalar as the text or literal digits it was written with.
    #[must_use]
    pub fn literal(&self) -> Option<&str> {
        match &self.value {
            Value::Number(text) | Value::Text(text) | Value::Bare(text) => Some(text),
            Value::Bool(true) => Some("true"),
            Value::Bool(false) => Some("false"),
            Value::Null | Value::List(_) | Value::Map(_) => None,
        }
    }

    /// Whether nothing stands here.
    #[must_use]
    pub fn is_null(&self) -> bool {
        self.value == Value::Null
    }
}
