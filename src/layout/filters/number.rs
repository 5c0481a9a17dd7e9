//! Decimal numbers in templates: read, added, multiplied, summed and rounded, all exactly.
//!
//! In: decimal text such as `12.50`, or whole numbers. Out: decimal text again, so that filters
//! chain. Floating-point numbers are refused on sight. Not here: currencies (`money`).

use minijinja::value::{Kwargs, ValueKind};
use minijinja::{Error, State, Value};
use rust_decimal::{Decimal, RoundingStrategy};

use super::fault::{describe_value, expect_defined, expect_list, is_empty, refuse};
use super::locale::choose_locale;
use crate::words::{did_you_mean, is_digits};

/// The most decimals a number can have, those of `Decimal`.
const MOST_DECIMALS: u32 = 28;

/// The number of a value; none when it is empty. `filter` is named in errors.
pub(super) fn read_number(filter: &str, value: &Value) -> Result<Option<Decimal>, Error> {
    expect_defined(value)?;
    if is_empty(value) && matches!(value.kind(), ValueKind::String | ValueKind::None) {
        return Ok(None);
    }
    if let Some(text) = value.as_str() {
        return parse_decimal(filter, text.trim()).map(Some);
    }
    let is_number = value.kind() == ValueKind::Number;
    if is_number && value.is_integer() {
        let whole = i128::try_from(value.clone()).ok();
        let number = whole.and_then(|whole| Decimal::try_from_i128_with_scale(whole, 0).ok());
        return number.map(Some).ok_or_else(|| too_long(filter, &value.to_string()));
    }
    let found = describe_value(value);
    if is_number {
        return Err(refuse(
            format!("expected an exact number for `{filter}`, found the binary fraction {found}"),
            format!("put it in quotes: `'{value}'`"),
        ));
    }
    Err(refuse(format!("expected a number for `{filter}`, found {found}"), None))
}

/// The number of a value that must not be empty.
fn expect_number(filter: &str, value: &Value) -> Result<Decimal, Error> {
    read_number(filter, value)?.ok_or_else(|| {
        let hint = "say what counts in its place: `… | first_of('0')`".to_owned();
        refuse(format!("expected a number for `{filter}`, found empty text"), hint)
    })
}

/// The number that digits with an optional minus and point mean.
fn parse_decimal(filter: &str, text: &str) -> Result<Decimal, Error> {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, "0"));
    if is_digits(whole) && is_digits(fraction) {
        return Decimal::from_str_exact(text).map_err(|_| too_long(filter, text));
    }
    let with_point = text.replacen(',', ".", 1);
    let hint = match with_point != text && parse_decimal(filter, &with_point).is_ok() {
        true => format!("write it with a point: `{with_point}`"),
        false => "write digits with a point before the decimals: `12.50`".into(),
    };
    Err(refuse(format!("expected a number for `{filter}`, found `{text}`"), hint))
}

/// An error for a number that cannot be held exactly.
fn too_long(filter: &str, text: &str) -> Error {
    let message = format!("`{text}` has more digits than `{filter}` can keep exactly");
    refuse(message, format!("shorten it to {MOST_DECIMALS} digits"))
}

/// A number of so many units of the last decimal; trailing zeros that find no room are dropped.
fn compose(mut units: i128, mut scale: u32) -> Option<Decimal> {
    loop {
        if let Ok(number) = Decimal::try_from_i128_with_scale(units, scale) {
            return Some(number);
        }
        if scale == 0 || units % 10 != 0 {
            return None;
        }
        units /= 10;
        scale -= 1;
    }
}

/// The exact sum: the library's own would round one that is too long.
fn add_exactly(a: Decimal, b: Decimal) -> Option<Decimal> {
    let scale = a.scale().max(b.scale());
    let units = |number: Decimal| {
        number.mantissa().checked_mul(10_i128.checked_pow(scale - number.scale())?)
    };
    compose(units(a)?.checked_add(units(b)?)?, scale)
}

/// The exact product: the library's own would round one that is too long.
fn multiply_exactly(a: Decimal, b: Decimal) -> Option<Decimal> {
    compose(a.mantissa().checked_mul(b.mantissa())?, a.scale() + b.scale())
}

/// A number as the text that filters take in again.
fn number_text(number: Decimal) -> String {
    // A zero has no sign, whatever it was made of.
    if number.is_zero() { number.abs().to_string() } else { number.to_string() }
}

/// The filter `plus`.
pub(super) fn plus(value: &Value, other: &Value) -> Result<String, Error> {
    let (a, b) = (expect_number("plus", value)?, expect_number("plus", other)?);
    let sum = add_exactly(a, b).ok_or_else(|| too_long("plus", &format!("{a} + {b}")))?;
    Ok(number_text(sum))
}

/// The filter `minus`.
pub(super) fn minus(value: &Value, other: &Value) -> Result<String, Error> {
    let (a, b) = (expect_number("minus", value)?, expect_number("minus", other)?);
    let difference = add_exactly(a, -b).ok_or_else(|| too_long("minus", &format!("{a} - {b}")))?;
    Ok(number_text(difference))
}

/// The filter `times`: an empty value stays empty, so that a price that is not known gives a total
/// that is not known.
pub(super) fn times(value: &Value, other: &Value) -> Result<String, Error> {
    let b = expect_number("times", other)?;
    let Some(a) = read_number("times", value)? else { return Ok(String::new()) };
    let product = multiply_exactly(a, b).ok_or_else(|| too_long("times", &format!("{a} × {b}")))?;
    Ok(number_text(product))
}

/// The filter `round`: to so many decimals, halves away from zero, as tills do.
pub(super) fn round(value: &Value, places: Option<&Value>) -> Result<String, Error> {
    let places = places.map_or(Ok(0), read_places)?;
    let Some(number) = read_number("round", value)? else { return Ok(String::new()) };
    let rounded =
        number.round_dp_with_strategy(places, RoundingStrategy::MidpointAwayFromZero).normalize();
    // Figures line up: the decimals asked for are written even when they are zeros.
    let text = number_text(rounded);
    let lacking = places.saturating_sub(rounded.scale()) as usize;
    Ok(match (lacking, rounded.scale()) {
        (0, _) => text,
        (_, 0) => format!("{text}.{}", "0".repeat(lacking)),
        _ => text + &"0".repeat(lacking),
    })
}

/// How many decimals `round` is asked for.
fn read_places(places: &Value) -> Result<u32, Error> {
    let count = expect_number("round", places)?;
    let whole = if count.fract().is_zero() { u32::try_from(count).ok() } else { None };
    whole.filter(|count| *count <= MOST_DECIMALS).ok_or_else(|| {
        let found = describe_value(places);
        let message = format!("expected 0 to {MOST_DECIMALS} decimals for `round`, found {found}");
        refuse(message, "write `round(2)` for two".to_owned())
    })
}

/// The filter `sum_of`: the sum of one field of every entry, or of the entries themselves.
pub(super) fn sum_of(
    state: &State<'_, '_>,
    list: &Value,
    field: Option<&str>,
    options: Kwargs,
) -> Result<String, Error> {
    let skips = read_missing(options.get("missing")?)?;
    options.assert_all_used()?;
    let entries = expect_list(state, "sum_of", list)?;
    let mut sum = Decimal::ZERO;
    let mut counted = 0;
    for (place, entry) in entries.iter().enumerate() {
        let value = match field {
            Some(field) => read_field(entry, field, place + 1)?,
            None => entry.clone(),
        };
        let number = read_number("sum_of", &value).map_err(|error| {
            let hint = super::filter_hint(&error).map(str::to_owned);
            let detail = error.detail().unwrap_or_default();
            refuse(format!("{} of the list: {detail}", name_entry(entry, place + 1)), hint)
        })?;
        match number {
            Some(number) => {
                sum = add_exactly(sum, number)
                    .ok_or_else(|| too_long("sum_of", &format!("{sum} + {number}")))?;
                counted += 1;
            }
            None if skips => {}
            None => return Err(lacks_value(entry, field, place + 1)),
        }
    }
    // Where nothing is known of any entry, a zero would be a claim.
    if counted == 0 && !entries.is_empty() {
        return Ok(String::new());
    }
    Ok(number_text(sum))
}

/// Whether entries without a value are passed over.
fn read_missing(missing: Option<&str>) -> Result<bool, Error> {
    match missing {
        None => Ok(false),
        Some("skip") => Ok(true),
        Some(other) => Err(refuse(
            format!("expected `skip` for `missing`, found `{other}`"),
            "write `missing='skip'`, or leave it out".to_owned(),
        )),
    }
}

/// The field of an entry, which may lie deeper: `address.city`.
fn read_field(entry: &Value, field: &str, place: usize) -> Result<Value, Error> {
    let mut value = entry.clone();
    for part in field.split('.') {
        let inner = value.get_attr(part).unwrap_or(Value::UNDEFINED);
        if inner.is_undefined() {
            let keys: Vec<Value> = match value.kind() {
                ValueKind::Map => value.try_iter().map(Iterator::collect).unwrap_or_default(),
                _ => Vec::new(),
            };
            let known: Vec<&str> = keys.iter().filter_map(Value::as_str).collect();
            let message = format!("{} has no field `{part}`", name_entry(entry, place));
            return Err(refuse(message, did_you_mean(part, &known)));
        }
        value = inner;
    }
    Ok(value)
}

/// An error for an entry whose value is empty.
fn lacks_value(entry: &Value, field: Option<&str>, place: usize) -> Error {
    let entry = name_entry(entry, place);
    let (what, call) = match field {
        Some(field) => (format!("no `{field}`"), format!("sum_of('{field}', missing='skip')")),
        None => ("no value".to_owned(), "sum_of(missing='skip')".to_owned()),
    };
    let message = format!("{entry} has {what} to sum up");
    refuse(message, format!("fill it in, or leave such entries out: `{call}`"))
}

/// What messages call an entry of a list: its number, and its name if it has one.
fn name_entry(entry: &Value, place: usize) -> String {
    let named = ["title", "name", "sku", "id"].into_iter().find_map(|field| {
        let name = entry.get_attr(field).ok()?;
        let name = name.as_str()?.trim();
        (!name.is_empty()).then(|| name.to_owned())
    });
    match named {
        Some(name) => format!("entry {place}, `{name}`,"),
        None => format!("entry {place}"),
    }
}

/// The filter `number`: a decimal number in the figures of the page's language.
pub(super) fn number(
    state: &State<'_, '_>,
    value: &Value,
    language: Option<&str>,
    options: Kwargs,
) -> Result<String, Error> {
    let locale = choose_locale(state, language, &options)?;
    let number = read_number("number", value)?;
    Ok(number.map(|number| locale.write_number(number)).unwrap_or_default())
}

/// The filter `grams`: a weight in words, in the unit that suits it or the one asked for.
pub(super) fn grams(
    state: &State<'_, '_>,
    value: &Value,
    unit: Option<&str>,
    options: Kwargs,
) -> Result<String, Error> {
    let locale = choose_locale(state, None, &options)?;
    // 1 lb is 453.592 37 g exactly, 1 oz a sixteenth of it (NIST SP 811, appendix B).
    let divided = |grams: Decimal, unit: Decimal, places| {
        let number = grams.checked_div(unit).unwrap_or_default();
        let strategy = RoundingStrategy::MidpointAwayFromZero;
        format!("{:.places$}", number.round_dp_with_strategy(places as u32, strategy))
    };
    let grams = read_number("grams", value)?;
    let unit = match (unit, grams) {
        (Some(unit), _) => unit,
        (None, Some(grams)) if grams.abs() >= Decimal::ONE_THOUSAND => "kg",
        _ => "g",
    };
    let pound = Decimal::from_i128_with_scale(45_359_237, 5);
    let ounce = Decimal::from_i128_with_scale(28_349_523_125, 9);
    let write = |grams: Decimal| match unit {
        "kg" => multiply_exactly(grams, Decimal::from_i128_with_scale(1, 3))
            .map(|kilograms| number_text(kilograms.normalize())),
        "g" => Some(number_text(grams.normalize())),
        "lb" => Some(divided(grams, pound, 2)),
        "oz" => Some(divided(grams, ounce, 1)),
        _ => None,
    };
    if write(Decimal::ZERO).is_none() {
        let hint = did_you_mean(unit, &["g", "kg", "lb", "oz"]);
        return Err(refuse(format!("there is no unit of weight `{unit}`"), hint));
    }
    let Some(grams) = grams else { return Ok(String::new()) };
    let number = write(grams).ok_or_else(|| too_long("grams", &grams.to_string()))?;
    Ok(locale.write_measure(&format!("{number} {unit}")))
}
