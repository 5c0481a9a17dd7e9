//! Data files held to their tables.
//!
//! In: a [`Node`] and the [`Record`] or [`Kind`] that it should be. Out: every fault in it, each with its
//! place and its path. Not here: what the tables are made of (`record`).

use std::fmt;

use super::{Field, Kind, Record, Scalar};
use crate::findings::{Finding, Severity, rules};
use crate::limits::RECORD_FAULTS;
use crate::source::Span;
use crate::tree::{Node, Value};
use crate::words::{did_you_mean, list_words, nearest, shorten_to};

/// How a check goes about it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RecordCheck {
    /// What an unknown field is: an export may have more than we read, a layout may not.
    pub unknown: Severity,
    /// The way out of an unknown field. An export has the same ones in each order, so that it is
    /// dearer to look for it than all the rest of a check.
    pub hint_unknown: fn(&str, &Record) -> Option<String>,
}

impl RecordCheck {
    /// Nothing that is unknown is taken.
    pub(crate) const STRICT: RecordCheck =
        RecordCheck { unknown: Severity::Error, hint_unknown: hint_at_field };
}

/// The field of a record that an unknown name is meant for.
pub(crate) fn hint_at_field(name: &str, record: &Record) -> Option<String> {
    let known: Vec<_> = record.fields.iter().map(|field| field.name).collect();
    did_you_mean(name, &known)
}

/// The longest key that a message shows whole.
const SHOWN_KEY: usize = 80;

/// The way to a node, written out only once there is something to say about it: most files are
/// good.
#[derive(Clone, Copy)]
enum Path<'p> {
    /// As its caller has it; empty at the top of a file.
    Text(&'p str),
    /// A field of a map.
    Field(&'p Path<'p>, &'p str),
    /// An element of a list, counted from 0.
    Element(&'p Path<'p>, usize),
}

impl fmt::Display for Path<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Path::Text(text) => f.write_str(text),
            Path::Field(Path::Text(""), name) => f.write_str(&shorten_to(name, SHOWN_KEY)),
            Path::Field(map, name) => write!(f, "{map}.{}", shorten_to(name, SHOWN_KEY)),
            Path::Element(list, index) => write!(f, "{list}[{index}]"),
        }
    }
}

/// Reports everything in `node` that the record does not allow; returns whether it will do.
///
/// `path` is the path to the node inside its file, empty at the top. A field that is there but
/// null counts as missing, as exports write it.
pub(crate) fn check(
    node: &Node,
    record: &'static Record,
    path: &str,
    how: RecordCheck,
    out: &mut Vec<Finding>,
) -> bool {
    let before = out.len();
    check_map(node, record, Path::Text(path), how, out);
    !out[before..].iter().any(Finding::is_error)
}

/// Checks one map against its fields.
fn check_map(
    node: &Node,
    record: &Record,
    path: Path<'_>,
    how: RecordCheck,
    out: &mut Vec<Finding>,
) {
    let Value::Map(entries) = &node.value else {
        let wanted = format!("a map with the fields of one {}", record.name);
        out.push(wrong_type(&wanted, node, path));
        return;
    };
    for (key, value) in entries {
        if is_full(key.span, out) {
            return;
        }
        let path = Path::Field(&path, &key.name);
        match record.fields.iter().find(|field| field.name == key.name) {
            Some(_) if value.is_null() => {}
            Some(field) => check_at(value, field.kind, path, how, out),
            None => {
                let name = shorten_to(&key.name, SHOWN_KEY);
                let message = format!("unknown field `{name}` in {}", record.name);
                out.push(
                    Finding::new(&rules::UNKNOWN_FIELD, message)
                        .weighing(how.unknown)
                        .at(key.span)
                        .path(path.to_string())
                        .hint_if((how.hint_unknown)(&name, record)),
                );
            }
        }
    }
    for field in record.fields.iter().filter(|field| field.required) {
        if node.get(field.name).is_none_or(Node::is_null) {
            out.push(missing_field(node, record, field, path));
        }
    }
}

/// Whether so much was found that no more is looked at, which is told once.
fn is_full(next: Span, out: &mut Vec<Finding>) -> bool {
    if out.len() < RECORD_FAULTS {
        return false;
    }
    if !out.iter().any(|it| it.is(&rules::FILE_LIMIT)) {
        let message = format!("more than {RECORD_FAULTS} faults: nothing from here on was read");
        let hint = "mend what most of them have in common, and try again";
        out.push(Finding::new(&rules::FILE_LIMIT, message).at(next).hint(hint));
    }
    true
}

/// The complaint about a field that must be there.
fn missing_field(node: &Node, record: &Record, field: &Field, path: Path<'_>) -> Finding {
    let path = path.to_string();
    let message = format!("this {} has no `{}`", record.name, field.name);
    Finding::new(&rules::MISSING_FIELD, message)
        .at(node.span)
        .path(if path.is_empty() { field.name.to_owned() } else { path })
        .hint(format!("add `{}`: {}", field.name, field.doc))
}

/// Checks a value that stands at `path` against its kind.
pub(crate) fn check_kind(
    node: &Node,
    kind: Kind,
    path: &str,
    how: RecordCheck,
    out: &mut Vec<Finding>,
) {
    check_at(node, kind, Path::Text(path), how, out);
}

/// Checks a value against its kind.
fn check_at(node: &Node, kind: Kind, path: Path<'_>, how: RecordCheck, out: &mut Vec<Finding>) {
    match kind {
        Kind::Scalar(scalar) => check_scalar(node, scalar, path, out),
        Kind::Word(words) => check_word(node, words, path, out),
        Kind::List(inner) => match &node.value {
            Value::List(items) => check_items(items, *inner, path, how, out),
            _ => out.push(wrong_type("a list", node, path)),
        },
        Kind::Row(count, inner) => match &node.value {
            Value::List(items) if items.len() == count => {
                check_items(items, *inner, path, how, out);
            }
            _ => out.push(wrong_count(node, count, path)),
        },
        Kind::Map(record) => check_map(node, record, path, how, out),
        Kind::Named(inner) => match &node.value {
            Value::Map(entries) => {
                for (key, value) in entries {
                    if is_full(key.span, out) {
                        return;
                    }
                    check_at(value, *inner, Path::Field(&path, &key.name), how, out);
                }
            }
            _ => out.push(wrong_type("a map of names", node, path)),
        },
        Kind::Either(kinds) => check_either(node, kinds, path, how, out),
        Kind::Other(_) => {}
    }
}

/// Checks the values of a list, each against the same kind.
fn check_items(
    items: &[Node],
    inner: Kind,
    path: Path<'_>,
    how: RecordCheck,
    out: &mut Vec<Finding>,
) {
    for (index, item) in items.iter().enumerate() {
        if is_full(item.span, out) {
            return;
        }
        check_at(item, inner, Path::Element(&path, index), how, out);
    }
}

/// Checks a value against the first of several kinds whose form it has.
fn check_either(
    node: &Node,
    kinds: &[Kind],
    path: Path<'_>,
    how: RecordCheck,
    out: &mut Vec<Finding>,
) {
    if let Some(kind) = kinds.iter().find(|kind| has_form(node, **kind)) {
        return check_at(node, *kind, path, how, out);
    }
    // A single value that is wrong in itself is told what is wrong with it.
    let single = kinds.iter().find_map(|kind| match kind {
        Kind::Scalar(scalar) if node.literal().is_some() => Some(scalar),
        _ => None,
    });
    if let Some(scalar) = single {
        return check_scalar(node, scalar, path, out);
    }
    let forms: Vec<_> = kinds.iter().map(|kind| describe_kind(*kind)).collect();
    out.push(wrong_type(&forms.join(" or "), node, path));
}

/// Checks a single value.
fn check_scalar(node: &Node, scalar: &Scalar, path: Path<'_>, out: &mut Vec<Finding>) {
    let Err(refusal) = (scalar.accepts)(&node.value) else { return };
    let message = refusal.message.unwrap_or_else(|| {
        format!("expected {}, found {}", scalar.expected, node.value.describe())
    });
    out.push(
        Finding::new(&rules::WRONG_VALUE, message)
            .at(node.span)
            .path(path.to_string())
            .hint_if(refusal.hint),
    );
}

/// Checks a value that must be one of a few words.
fn check_word(node: &Node, words: &[&str], path: Path<'_>, out: &mut Vec<Finding>) {
    let text = match &node.value {
        Value::Text(text) | Value::Bare(text) => Some(text.as_str()),
        _ => None,
    };
    if text.is_some_and(|text| words.contains(&text)) {
        return;
    }
    let listed = list_words(words.iter().copied());
    let message = format!("expected one of {listed}, found {}", node.value.describe());
    let near = text.and_then(|text| nearest(text, words.iter().copied()));
    out.push(
        Finding::new(&rules::WRONG_VALUE, message)
            .at(node.span)
            .path(path.to_string())
            .hint_if(near.map(|near| format!("did you mean `{near}`?"))),
    );
}

/// Whether a value has the outer form of a kind.
fn has_form(node: &Node, kind: Kind) -> bool {
    match (&node.value, kind) {
        (Value::List(_), Kind::List(_)) => true,
        (Value::List(items), Kind::Row(count, _)) => items.len() == count,
        (Value::Map(_), Kind::Map(_) | Kind::Named(_) | Kind::Other(_)) => true,
        (Value::Map(_) | Value::List(_), _) => false,
        (value, Kind::Scalar(scalar)) => (scalar.accepts)(value).is_ok(),
        (_, Kind::Word(words)) => node.literal().is_some_and(|text| words.contains(&text)),
        _ => false,
    }
}

/// A kind in a few words.
fn describe_kind(kind: Kind) -> String {
    match kind {
        Kind::Scalar(scalar) => scalar.expected.to_owned(),
        Kind::Word(words) => list_words(words.iter().copied()),
        Kind::List(_) => "a list".into(),
        Kind::Row(count, _) => format!("a list of {count} values"),
        Kind::Map(record) => format!("a map of {}", record.name),
        Kind::Named(_) => "a map".into(),
        Kind::Either(kinds) => {
            kinds.iter().map(|kind| describe_kind(*kind)).collect::<Vec<_>>().join(" or ")
        }
        Kind::Other(name) => format!("a {name}"),
    }
}

/// The complaint about a value of the wrong form.
fn wrong_type(expected: &str, node: &Node, path: Path<'_>) -> Finding {
    let path = path.to_string();
    let found = node.value.describe();
    let finding = Finding::new(&rules::WRONG_TYPE, format!("expected {expected}, found {found}"))
        .at(node.span);
    if path.is_empty() { finding } else { finding.path(path) }
}

/// The complaint about a list of another length, or about what is no list.
fn wrong_count(node: &Node, count: usize, path: Path<'_>) -> Finding {
    let wanted = format!("a list of {count} values");
    let fault = wrong_type(&wanted, node, path);
    match &node.value {
        Value::List(items) => {
            Finding { message: format!("expected {wanted}, found {}", items.len()), ..fault }
        }
        _ => fault,
    }
}

#[cfg(test)]
mod tests {
    use super::super::TEXT;
    use super::*;
    use crate::source::Sources;
    use crate::tree::json;

    static INNER: Record = Record {
        name: "pen",
        doc: "A pen.",
        fields: &[Field {
            name: "nib",
            kind: Kind::Word(&["fine", "broad"]),
            required: true,
            doc: "how wide it writes",
        }],
    };
    static OUTER: Record = Record {
        name: "case",
        doc: "A case.",
        fields: &[
            Field { name: "pens", kind: Kind::List(&Kind::Map(&INNER)), required: true, doc: "" },
            Field { name: "label", kind: Kind::Scalar(&TEXT), required: false, doc: "" },
        ],
    };

    fn complaints(text: &str) -> Vec<String> {
        let mut sources = Sources::new();
        let file = sources.add("t", text);
        let node = json::read_values(text, file).unwrap()[0].to_node().unwrap();
        let mut out = Vec::new();
        let how = RecordCheck { unknown: Severity::Warning, ..RecordCheck::STRICT };
        check(&node, &OUTER, "", how, &mut out);
        out.into_iter()
            .map(|it| format!("{} {}", it.path.unwrap_or_default(), it.message))
            .collect()
    }

    #[test]
    fn all_faults_are_found_at_once() {
        let found = complaints(r#"{"pens": [{"nib": "fin"}, {}, 3], "label": 7, "lable": "x"}"#);
        assert_eq!(
            found,
            [
                "pens[0].nib expected one of `fine`, `broad`, found the text `fin`",
                "pens[1] this pen has no `nib`",
                "pens[2] expected a map with the fields of one pen, found the number 3",
                "label expected text, found the number 7",
                "lable unknown field `lable` in case",
            ]
        );
    }

    #[test]
    fn null_is_as_good_as_nothing() {
        assert_eq!(complaints(r#"{"pens": [], "label": null}"#), [""; 0]);
        assert_eq!(complaints(r#"{"pens": null}"#), ["pens this case has no `pens`"]);
    }
}
