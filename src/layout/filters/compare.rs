//! Comparisons by value: `<`, `==` and the like, the tests of these names, and the order of lists.
//!
//! In: values of templates. Out: whether they compare as asked. A decimal number in text counts as
//! the number it is, exactly; to the engine alone every text comes after every number. Not here:
//! where in a source operators stand (`scan`), and sorting by `sort_by` (`bind`).

use std::cmp::Ordering;
use std::str::FromStr;

use minijinja::value::{Kwargs, Rest, ValueKind};
use minijinja::{Environment, Error, State, Value, filters, tests};
use rust_decimal::Decimal;

use super::fault::{describe_value, expect_defined, expect_list, is_empty, refuse};
use crate::words::is_digits;

/// The function that operators are spelled out as; no layout can give a name capitals.
pub(super) const COMPARE: &str = "COMPARE";

/// Stands behind an operator's sign when one side of it is known to be a number.
pub(super) const KNOWN_NUMBER: &str = "#";

/// The tests that compare: how they are named, and the operator each of them is.
const TESTS: &[(&str, &str)] = &[
    ("!=", "!="),
    ("<", "<"),
    ("<=", "<="),
    ("==", "=="),
    (">", ">"),
    (">=", ">="),
    ("eq", "=="),
    ("equalto", "=="),
    ("ge", ">="),
    ("greaterthan", ">"),
    ("gt", ">"),
    ("le", "<="),
    ("lessthan", "<"),
    ("lt", "<"),
    ("ne", "!="),
];

/// Puts our comparisons in place of the engine's.
pub(super) fn add_comparisons(env: &mut Environment<'static>) {
    env.add_function(COMPARE, compare_chain);
    for &(name, sign) in TESTS {
        env.add_test(name, move |state: &State<'_, '_>, value: &Value, other: &Value| {
            holds(state, sign, value, other)
        });
    }
    env.add_filter("max", max);
    env.add_filter("min", min);
    env.add_filter("sort", sort);
}

/// Values with the signs of operators between them: whether all of the comparisons hold.
fn compare_chain(state: &State<'_, '_>, parts: Rest<Value>) -> Result<bool, Error> {
    let [first, rest @ ..] = &parts[..] else { return Ok(true) };
    let mut left = first;
    for pair in rest.chunks_exact(2) {
        let [sign, right] = pair else { break };
        expect_defined(left)?;
        expect_defined(right)?;
        if !holds(state, sign.as_str().unwrap_or_default(), left, right)? {
            return Ok(false);
        }
        left = right;
    }
    Ok(true)
}

/// Whether two values compare as an operator says.
fn holds(state: &State<'_, '_>, sign: &str, value: &Value, other: &Value) -> Result<bool, Error> {
    let (sign, is_number) = match sign.strip_suffix(KNOWN_NUMBER) {
        Some(sign) => (sign, true),
        None => (sign, false),
    };
    charge(state, value, other)?;
    match sign {
        "==" => Ok(is_equal(value, other, is_number)),
        "!=" => Ok(!is_equal(value, other, is_number)),
        "in" => tests::is_in(state, value, other),
        "not in" => tests::is_in(state, value, other).map(|found| !found),
        _ => {
            let order = order_values(sign, value, other)?;
            Ok(order.is_some_and(|order| match sign {
                "<" => order.is_lt(),
                "<=" => order.is_le(),
                ">" => order.is_gt(),
                _ => order.is_ge(),
            }))
        }
    }
}

/// Takes the steps that a comparison of lists costs, as the engine does for its own.
fn charge(state: &State<'_, '_>, value: &Value, other: &Value) -> Result<(), Error> {
    if value.as_object().is_none() || other.as_object().is_none() {
        return Ok(());
    }
    let steps = value.len().unwrap_or(0).min(other.len().unwrap_or(0));
    state.consume_fuel(u64::try_from(steps).unwrap_or(u64::MAX))
}

/// Whether two values are equal. Two texts are when they are the same, unless one is known to be a
/// number: `1.10` and `1.1` may be the numbers of two articles.
fn is_equal(value: &Value, other: &Value, is_number: bool) -> bool {
    let by_value = || Some(exact(value)? == exact(other)?);
    match (value.kind(), other.kind()) {
        (ValueKind::String, ValueKind::String) => {
            value == other || (is_number && by_value() == Some(true))
        }
        (ValueKind::String, ValueKind::Number) => !is_padded(value) && by_value() == Some(true),
        (ValueKind::Number, ValueKind::String) => !is_padded(other) && by_value() == Some(true),
        _ => value == other,
    }
}

/// The order of two values; none when one of them is not known.
fn order_values(sign: &str, value: &Value, other: &Value) -> Result<Option<Ordering>, Error> {
    expect_defined(value)?;
    expect_defined(other)?;
    let is_bare = |kind| matches!(kind, ValueKind::Number | ValueKind::Bool);
    match (value.kind(), other.kind()) {
        (ValueKind::None, _) | (_, ValueKind::None) => Ok(None),
        (ValueKind::String, ValueKind::String) => match (exact(value), exact(other)) {
            (Some(one), Some(two)) => Ok(Some(one.cmp(&two))),
            (Some(_), None) if is_empty(other) => Ok(None),
            (None, Some(_)) if is_empty(value) => Ok(None),
            _ => Ok(Some(value.cmp(other))),
        },
        (ValueKind::String, ValueKind::Number) => {
            Ok(expect_exact(sign, value, other)?.zip(exact(other)).map(|(a, b)| a.cmp(&b)))
        }
        (ValueKind::Number, ValueKind::String) => {
            Ok(exact(value).zip(expect_exact(sign, other, value)?).map(|(a, b)| a.cmp(&b)))
        }
        (one, two) if is_bare(one) && is_bare(two) => Ok(Some(value.cmp(other))),
        (one, two) => {
            let found = format!("{} and {}", describe_value(value), describe_value(other));
            let message = format!("`{sign}` compares two numbers or two texts, found {found}");
            let hint = (is_list(one) || is_list(two))
                .then(|| format!("count a list: `(items | length) {sign} 2`"));
            Err(refuse(message, hint))
        }
    }
}

/// The number of a text that is compared with a number; none when it is empty.
fn expect_exact(sign: &str, text: &Value, number: &Value) -> Result<Option<Decimal>, Error> {
    if is_empty(text) {
        return Ok(None);
    }
    let found = exact(text);
    found.map(Some).ok_or_else(|| {
        let message =
            format!("`{sign}` cannot compare the text `{text}` with the number `{number}`");
        refuse(message, "name a value that is a number, or compare text with `==`".to_owned())
    })
}

/// The number that a value is; text is one when it has digits, a point and a minus only.
fn exact(value: &Value) -> Option<Decimal> {
    let written = match value.as_str() {
        Some(text) => {
            let digits = text.strip_prefix('-').unwrap_or(text);
            let (whole, fraction) = digits.split_once('.').unwrap_or((digits, "0"));
            if !is_digits(whole) || !is_digits(fraction) {
                return None;
            }
            text.to_owned()
        }
        None if value.kind() == ValueKind::Number => value.to_string(),
        None => return None,
    };
    // More digits than fit are rounded: no price has them.
    Decimal::from_str_exact(&written).or_else(|_| Decimal::from_str(&written)).ok()
}

/// Whether a text begins with a zero too many, as numbers of articles do and amounts do not.
fn is_padded(text: &Value) -> bool {
    let text = text.as_str().unwrap_or_default().trim_start_matches('-');
    text.starts_with('0') && text.len() > 1 && !text.starts_with("0.")
}

/// Whether a value of a kind is a list.
fn is_list(kind: ValueKind) -> bool {
    matches!(kind, ValueKind::Seq | ValueKind::Iterable)
}

/// The values of a list with the numbers they go by, those that are not known last; `None` when
/// there is no amount among them, or anything that is no number: the engine's order holds then.
fn read_amounts(values: &[Value], field: Option<&str>) -> Option<Vec<(Option<Decimal>, Value)>> {
    let mut has_amount = false;
    let mut read = Vec::with_capacity(values.len());
    for value in values {
        let key = match field {
            Some(field) => field.split('.').try_fold(value.clone(), |inner, part| {
                inner.get_attr(part).ok().filter(|it| !it.is_undefined())
            })?,
            None => value.clone(),
        };
        let number = exact(&key);
        let is_text = key.kind() == ValueKind::String;
        has_amount |= is_text && number.is_some();
        if number.is_none() && !(is_text && is_empty(&key)) {
            return None;
        }
        read.push((number, value.clone()));
    }
    has_amount.then_some(read)
}

/// The filter `sort`: a list in order, amounts by what they are.
fn sort(state: &State<'_, '_>, value: Value, options: Kwargs) -> Result<Value, Error> {
    if !is_list(value.kind()) {
        return filters::sort(state, value, options);
    }
    let field = options.get::<Option<&str>>("attribute")?;
    if let Some((first, rest)) = field.and_then(|field| field.split_once(',')) {
        let with_field = |field: &str| -> Result<Kwargs, Error> {
            let others = options.args().filter(|name| *name != "attribute");
            let others = others.map(|name| Ok((name, options.get::<Value>(name)?)));
            let others = others.collect::<Result<Vec<_>, Error>>()?;
            Ok(others.into_iter().chain([("attribute", Value::from(field.trim()))]).collect())
        };
        // Values that are equal stay as they were: the last field first.
        let sorted = sort(state, value, with_field(rest)?)?;
        return sort(state, sorted, with_field(first)?);
    }
    let entries = expect_list(state, "sort", &value)?;
    let Some(mut keyed) = read_amounts(&entries, field) else {
        return filters::sort(state, Value::from(entries), options);
    };
    let is_backward = options.get::<Option<bool>>("reverse")?.unwrap_or(false);
    options.get::<Option<bool>>("case_sensitive")?;
    options.assert_all_used()?;
    keyed.sort_by(|(one, _), (two, _)| match (one, two) {
        (Some(one), Some(two)) if is_backward => two.cmp(one),
        (Some(one), Some(two)) => one.cmp(two),
        // What is not known comes last either way.
        _ => one.is_none().cmp(&two.is_none()),
    });
    Ok(keyed.into_iter().map(|(_, entry)| entry).collect())
}

/// The filter `max`: the largest value, amounts by what they are.
fn max(state: &State<'_, '_>, value: Value, options: Kwargs) -> Result<Value, Error> {
    match find_extreme(state, "max", &value, &options, Ordering::is_gt)? {
        Some(found) => Ok(found),
        None => filters::max(state, value, options),
    }
}

/// The filter `min`: the smallest value, amounts by what they are.
fn min(state: &State<'_, '_>, value: Value, options: Kwargs) -> Result<Value, Error> {
    match find_extreme(state, "min", &value, &options, Ordering::is_lt)? {
        Some(found) => Ok(found),
        None => filters::min(state, value, options),
    }
}

/// The first value that goes before all others among amounts; `None` when the engine's order holds.
fn find_extreme(
    state: &State<'_, '_>,
    filter: &str,
    value: &Value,
    options: &Kwargs,
    is_better: fn(Ordering) -> bool,
) -> Result<Option<Value>, Error> {
    if !is_list(value.kind()) {
        return Ok(None);
    }
    let entries = expect_list(state, filter, value)?;
    let field = options.get::<Option<&str>>("attribute")?;
    let Some(keyed) = read_amounts(&entries, field) else { return Ok(None) };
    options.get::<Option<bool>>("case_sensitive")?;
    options.assert_all_used()?;
    let known = keyed.into_iter().filter_map(|(number, entry)| Some((number?, entry)));
    let best = known.reduce(|best, next| if is_better(next.0.cmp(&best.0)) { next } else { best });
    Ok(best.map(|(_, entry)| entry))
}
