//! Small work on words: counts, choices, initials, lists, links.
//!
//! In: text, numbers and lists. Out: text, or one of the values as it came. Not here: cutting
//! text short (`shorten`), which must be reported.

use minijinja::value::{Rest, ValueKind};
use minijinja::{Error, State, Value};
use rust_decimal::Decimal;

use super::fault::{describe_value, expect_defined, expect_list, expect_text, is_empty, refuse};
use super::number::read_number;
use super::shorten::split_clusters;
use crate::codes::ElementStrings;
use crate::limits::TEMPLATE_TEXT;

/// The filter `plural`: a count with the word for one or for any other number.
pub(super) fn plural(value: &Value, one: &str, many: &str) -> Result<String, Error> {
    let Some(count) = read_number("plural", value)? else { return Ok(String::new()) };
    // `1.0` is not one thing counted but a measure, and takes the other word.
    let word = if count == Decimal::ONE && count.scale() == 0 { one } else { many };
    Ok(format!("{count} {word}"))
}

/// The filter `first_of`: the first value that is not empty.
pub(super) fn first_of(value: &Value, others: Rest<Value>) -> Result<Value, Error> {
    if others.is_empty() {
        let hint = "name what may stand in its place: `first_of(ship_to.company, 'none')`";
        return Err(refuse("`first_of` has nothing to choose from", hint.to_owned()));
    }
    let all: Vec<&Value> = std::iter::once(value).chain(others.iter()).collect();
    all.iter().try_for_each(|value| expect_defined(value))?;
    let found = all.into_iter().find(|value| !is_empty(value));
    Ok(found.cloned().unwrap_or_else(|| Value::from("")))
}

/// The filter `initials`: the first letter or digit of every word, as it is written.
pub(super) fn initials(value: &Value) -> Result<String, Error> {
    let text = expect_text("initials", value)?;
    let words =
        text.split(|c: char| c.is_whitespace() || matches!(c, '-' | '\u{2010}' | '\u{2011}'));
    Ok(words
        .filter_map(|word| {
            let starts = |cluster: &&str| cluster.chars().next().is_some_and(char::is_alphanumeric);
            split_clusters(word).into_iter().find(starts)
        })
        .collect())
}

/// The filter `join_given`: the values of a list that are not empty, in one text.
pub(super) fn join_given(
    state: &State<'_, '_>,
    value: &Value,
    joint: Option<&str>,
) -> Result<String, Error> {
    let mut given = Vec::new();
    for entry in expect_list(state, "join_given", value)? {
        expect_defined(&entry)?;
        if matches!(entry.kind(), ValueKind::Seq | ValueKind::Map | ValueKind::Iterable) {
            let found = describe_value(&entry);
            return Err(refuse(
                format!("expected a list of texts for `join_given`, found {found} in it"),
                "choose a field first: `items | map(attribute='title') | join_given`".to_owned(),
            ));
        }
        if !is_empty(&entry) {
            given.push(entry.to_string());
        }
    }
    let joint = joint.unwrap_or(", ");
    // The engine counts what a filter has made only afterwards, which is too late for a text of
    // many gigabytes.
    let length = given.iter().map(String::len).sum::<usize>() + joint.len() * given.len();
    if length > TEMPLATE_TEXT {
        let message = format!("`join_given` would make a text of {length} bytes");
        let hint = format!("join fewer values: a text has at most {TEMPLATE_TEXT} bytes");
        return Err(refuse(message, hint));
    }
    Ok(given.join(joint))
}

/// The filter `gs1_link`: a bracketed GS1 element string as a GS1 Digital Link.
pub(super) fn gs1_link(value: &Value, domain: &str) -> Result<String, Error> {
    let text = expect_text("gs1_link", value)?;
    let text = text.trim();
    if text.is_empty() {
        return Ok(String::new());
    }
    ElementStrings::parse(text)
        .and_then(|elements| elements.to_digital_link(domain))
        .map_err(|fault| refuse(format!("`{text}` makes no GS1 link: {fault}"), None))
}
