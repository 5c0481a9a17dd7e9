//! What a filter says when it cannot do its work.
//!
//! In: a message and a way out. Out: the template engine's error that carries both, and the way
//! out again. Not here: the place in the layout, which `template` knows.

use std::error::Error as _;
use std::fmt;

use minijinja::value::ValueKind;
use minijinja::{Error, ErrorKind, State, Value};

/// The way out of an error, carried as its source.
#[derive(Debug)]
struct Hint(String);

impl fmt::Display for Hint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Hint {}

/// An error with a way out.
pub(super) fn refuse(message: impl Into<String>, hint: impl Into<Option<String>>) -> Error {
    let error = Error::new(ErrorKind::InvalidOperation, message.into());
    match hint.into() {
        Some(hint) => error.with_source(Hint(hint)),
        None => error,
    }
}

/// The way out that a filter gave, if this is a filter's error and it gave one.
pub(in crate::layout) fn filter_hint(error: &Error) -> Option<&str> {
    let mut source = error.source();
    while let Some(cause) = source {
        if let Some(Hint(hint)) = cause.downcast_ref() {
            return Some(hint);
        }
        source = cause.source();
    }
    None
}

/// An error for a value that does not exist at all.
pub(super) fn expect_defined(value: &Value) -> Result<(), Error> {
    match value.is_undefined() {
        true => Err(Error::from(ErrorKind::UndefinedError)),
        false => Ok(()),
    }
}

/// Whether a value says nothing: blank text, none, or an empty list or map.
pub(super) fn is_empty(value: &Value) -> bool {
    match value.kind() {
        ValueKind::Undefined | ValueKind::None => true,
        ValueKind::String => value.as_str().is_some_and(|text| text.trim().is_empty()),
        ValueKind::Seq | ValueKind::Map | ValueKind::Iterable => value.len() == Some(0),
        _ => false,
    }
}

/// A value for "found …": text and numbers as they are, the rest by its kind.
pub(super) fn describe_value(value: &Value) -> String {
    match value.kind() {
        _ if value.as_str().is_some_and(|text| text.trim().is_empty()) => "empty text".into(),
        ValueKind::String | ValueKind::Number => format!("`{value}`"),
        ValueKind::Bool => format!("`{}`", value.is_true()),
        ValueKind::Seq | ValueKind::Iterable => "a list".into(),
        ValueKind::Map => "a group of fields".into(),
        ValueKind::None => "nothing".into(),
        kind => kind.to_string(),
    }
}

/// The text of a value; an error for anything but text and numbers.
pub(super) fn expect_text(filter: &str, value: &Value) -> Result<String, Error> {
    expect_defined(value)?;
    match value.kind() {
        ValueKind::String | ValueKind::Number => Ok(value.to_string()),
        ValueKind::None => Ok(String::new()),
        _ => {
            let found = describe_value(value);
            Err(refuse(format!("expected text for `{filter}`, found {found}"), None))
        }
    }
}

/// The values of a list, each of which costs a step; an error for anything else.
pub(super) fn expect_list(
    state: &State<'_, '_>,
    filter: &str,
    value: &Value,
) -> Result<Vec<Value>, Error> {
    expect_defined(value)?;
    match value.kind() {
        ValueKind::Seq | ValueKind::Iterable => {
            let step = |entry| state.consume_fuel(1).map(|()| entry);
            value.try_iter()?.map(step).collect()
        }
        _ => {
            let found = describe_value(value);
            let hint = format!("put a list before it, as in `items | {filter}(…)`");
            Err(refuse(format!("expected a list for `{filter}`, found {found}"), hint))
        }
    }
}
