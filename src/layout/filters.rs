//! The filters of the layout language.
//!
//! In: the template engine of a layout. Out: the engine with our filters added and those taken
//! away that would pass money through binary fractions; the tables that documentation and hints
//! read; and what `template` needs at a fault: unknown names found before a run, ways out, cuts.
//! Not here: running templates (`bind`).

mod compare;
mod day;
mod fault;
mod locale;
mod money;
mod number;
mod scan;
mod shelf;
mod shorten;
mod speech;
mod table;
#[cfg(test)]
mod tests;
mod words;

use minijinja::value::ValueKind;
use minijinja::{Environment, Error, Output, State, Value, escape_formatter};

pub(crate) use day::unknown_day;
pub(super) use fault::filter_hint;
pub(crate) use locale::LANGUAGE;
pub(super) use scan::{
    NameKind, Written, count_parts, find_printed_names, find_text_arithmetic, find_unknown_filters,
    spell_out_comparisons,
};
pub(crate) use shelf::compare_shelves;
pub(crate) use shorten::CutLog;
pub(crate) use speech::{fill_plain, find_unfilled, phrase_value};
pub use table::{BUILTIN_FILTERS, FILTERS, Filter};

use crate::words::nearest;
use table::{OTHER_BUILTINS, TESTS};

/// The engine's filters that are taken away, and what to use instead. `int` and `float` read text
/// as binary fractions, `int` even drops the cents; `sum` has no word on a value that is missing.
const REMOVED: &[(&str, &str)] = &[
    ("float", "numbers stay exact without it; reckon with `plus`, `minus`, `times` and `round`"),
    ("int", "it would drop decimals unseen; write `round`"),
    ("sum", "write `sum_of`, as in `items | sum_of('total')`"),
];

/// The filters whose outcome is a decimal number in text.
const NUMBER_FILTERS: &[&str] = &["minus", "plus", "round", "sum_of", "times"];

/// Adds our filters and takes away those of the engine that are not exact.
pub(super) fn add_filters(env: &mut Environment<'static>) {
    for (name, _) in REMOVED {
        env.remove_filter(name);
    }
    env.set_formatter(print_value);
    compare::add_comparisons(env);
    env.add_filter("by_shelf", shelf::by_shelf);
    env.add_filter("day", day::day);
    env.add_filter("fill", speech::fill);
    env.add_filter("first_of", words::first_of);
    env.add_filter("grams", number::grams);
    env.add_filter("gs1_link", words::gs1_link);
    env.add_filter("initials", words::initials);
    env.add_filter("join_given", words::join_given);
    env.add_filter("minus", number::minus);
    env.add_filter("money", money::money);
    env.add_filter("number", number::number);
    env.add_filter("plural", words::plural);
    env.add_filter("plus", number::plus);
    env.add_filter("plus_days", day::plus_days);
    // In place of the engine's own, which knows binary fractions only.
    env.add_filter("round", number::round);
    env.add_filter("shorten", shorten::shorten);
    env.add_filter("sum_of", number::sum_of);
    env.add_filter("times", number::times);
}

/// Prints a value; a list or a group of fields would be a program's way of writing it.
fn print_value(
    out: &mut Output<'_>,
    state: &mut State<'_, '_>,
    value: &Value,
) -> Result<(), Error> {
    let hint = match value.kind() {
        ValueKind::Seq | ValueKind::Iterable => {
            "join its values with `join_given`, or go over it with `each`"
        }
        ValueKind::Map => "name one of its fields, as in `ship_to.name`",
        _ => return escape_formatter(out, state, value),
    };
    let found = fault::describe_value(value);
    Err(fault::refuse(format!("expected text to print, found {found}"), hint.to_owned()))
}

/// What to write in place of the name of a filter or test that does not exist.
fn hint_for(kind: NameKind, name: &str) -> Option<String> {
    if kind == NameKind::Test {
        let near = nearest(name, TESTS.iter().copied());
        return near.map(|near| format!("did you mean `{near}`?"));
    }
    if let Some((_, instead)) = REMOVED.iter().find(|(removed, _)| *removed == name) {
        return Some((*instead).to_owned());
    }
    let documented = FILTERS.iter().chain(BUILTIN_FILTERS).map(|filter| filter.name);
    let near = nearest(name, documented.chain(OTHER_BUILTINS.iter().copied()));
    near.map(|near| format!("did you mean `{near}`?"))
}
