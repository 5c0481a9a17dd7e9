//! The names that a template uses, and what it prints of them as they are.
//!
//! In: a template that has been parsed, and the names known where it stands. Out: findings on names
//! that are not known, on lists and groups that are printed, and on curly quotes. Not here: filters
//! and operators.

use super::super::filters::{Written, find_printed_names};
use super::super::scope::{Scope, UnknownName};
use super::super::variables::VARIABLES;
use super::TemplatePlace;
use crate::findings::{Finding, rules};
use crate::tree::Value;
use crate::words::{did_you_mean, nearest};

/// Names that templates may call without our giving them.
const FUNCTIONS: &[&str] = &["range", "dict", "loop"];

/// Reports the names that no variable has; returns whether all are known.
pub(super) fn check_names(
    names: &[String],
    scope: &Scope,
    place: &TemplatePlace<'_>,
    out: &mut Vec<Finding>,
) -> bool {
    let before = out.len();
    for name in names {
        if FUNCTIONS.contains(&name.split('.').next().unwrap_or_default()) {
            continue;
        }
        let Some(unknown) = scope.find_unknown(name) else { continue };
        let hint = hint_at_name(name, &unknown, scope);
        out.push(
            Finding::new(&rules::UNKNOWN_VARIABLE, format!("there is no variable `{name}`"))
                .at(place.name(&unknown.part))
                .hint_if(hint),
        );
    }
    out.len() == before
}

/// Reports lists and groups of fields that are printed as they are; returns whether there are none.
pub(super) fn check_printed(
    names: &[String],
    scope: &Scope,
    place: &TemplatePlace<'_>,
    out: &mut Vec<Finding>,
) -> bool {
    let before = out.len();
    for (name, range) in find_printed_names(place.text, Written::Template) {
        // The template may mean something of its own by it.
        let shape = if names.contains(&name) { scope.find_shape(&name) } else { None };
        let Some((is_list, fields)) = shape else { continue };
        let usual = ["title", "name", "id", "file", "ribbon"];
        let field = usual.into_iter().find(|field| fields.contains(field));
        let field = field.or(fields.first().copied());
        let (kind, hint) = match (is_list, field) {
            (true, None) => ("a list", format!("join its values: `{{{{ {name} | join_given }}}}`")),
            (true, Some(field)) => {
                let join = format!("`{{{{ {name} | map(attribute='{field}') | join_given }}}}`");
                (
                    "a list",
                    format!("go over it with `each: {name}`, or join a field of each: {join}"),
                )
            }
            (false, field) => {
                let field = field.unwrap_or("ribbon");
                (
                    "a group of fields",
                    format!("name one of them, such as `{{{{ {name}.{field} }}}}`"),
                )
            }
        };
        let message = format!("`{name}` is {kind}, which has no text to print");
        out.push(
            Finding::new(&rules::TEMPLATE, message)
                .at(place.part(range.start, range.end))
                .hint(hint),
        );
    }
    out.len() == before
}

/// Warns of a text in curly quotes, which to YAML are letters like any other.
pub(super) fn warn_of_curly_quotes(place: &TemplatePlace<'_>, out: &mut Vec<Finding>) {
    let inner = place.text.trim();
    let is_quoted = inner.starts_with(['“', '”', '„', '‘', '‚'])
        && inner.ends_with(['“', '”', '‘', '’'])
        && matches!(place.node.value, Value::Bare(_));
    if is_quoted {
        let message = "the curly quotes around this text are printed";
        let hint = "write `\"` in their place; where they are meant, put `\"` around them";
        out.push(Finding::new(&rules::CURLY_QUOTES, message).at(place.node.span).hint(hint));
    }
}

/// Names that are there in some places only, and where.
const ELSEWHERE: &[(&str, &str)] = &[
    ("copy", "it is there on pages of a layout with `copies`, at the top of the file"),
    ("copies", "it is there on pages of a layout with `copies`, at the top of the file"),
    ("item", "it is there in what `table: items` or `each: items` repeats, and with `per: item`"),
    ("page", "it is there in the `head` and the `foot` of the layout"),
    ("pages", "it is there in the `head` and the `foot` of the layout"),
    ("piece", "it is there with `per: piece` at the top of the file, a page for each piece"),
    ("pieces", "it is there with `per: piece` at the top of the file, a page for each piece"),
    ("rest", "it is there in the `more` of an `each` with `most`"),
    ("row", "it is there in what a `table` or an `each` repeats"),
];

/// A way out for a name that no variable has.
fn hint_at_name(name: &str, unknown: &UnknownName, scope: &Scope) -> Option<String> {
    if name == "namespace" {
        let hint = "no value is carried from one round of a loop to the next";
        return Some(format!("{hint}: add up with `sum_of`, count with `loop.index`"));
    }
    // `order.note` and `orders.note` both mean the parcel's own `note`.
    let last = name.rsplit('.').next().unwrap_or_default();
    if name.contains('.') && scope.is_variable(last) {
        return Some(format!("did you mean `{last}`?"));
    }
    if let Some(list) = &unknown.of_list {
        return Some(format!("`{list}` is a list: go over it with `each: {list}`"));
    }
    let first = name.split('.').next().unwrap_or_default();
    // A loop that calls its value otherwise.
    if let Some(loop_name) = (first == "item").then(|| scope.find_entry_with(last)).flatten() {
        return Some(format!("did you mean `{loop_name}.{last}`?"));
    }
    let elsewhere = ELSEWHERE.iter().find(|(known, _)| first == *known && unknown.part == *known);
    if let Some((_, hint)) = elsewhere {
        return Some((*hint).to_owned());
    }
    let of_parcel = |word: &str| VARIABLES.iter().any(|variable| variable.name == word);
    if first == unknown.part && of_parcel(first) {
        // Known on a parcel's page, so this is a document about the whole batch.
        let hint = "this document is about the whole batch: go over `parcels`";
        return Some(format!("{hint} with `table` or `each`, and write `item.{name}` there"));
    }
    let known: Vec<&str> = unknown.known.iter().map(String::as_str).collect();
    match nearest(name, known.iter().copied()) {
        None if first == "words" => {
            let key = &unknown.part;
            Some(format!("a word of your own goes into this file: `words: {{en: {{{key}: …}}}}`"))
        }
        Some(near) => Some(format!("did you mean `{near}`?")),
        None => did_you_mean(&unknown.part, &known),
    }
}
