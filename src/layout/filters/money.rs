//! Amounts of money in words.
//!
//! In: a decimal amount, a currency and a language. Out: the amount with the currency's decimals
//! and its sign or code, in the language's marks. An amount with more decimals than its currency
//! has is printed whole, never rounded. Not here: sums (`number`).

use minijinja::value::Kwargs;
use minijinja::{Error, Value};
use rust_decimal::Decimal;

use super::fault::refuse;
use super::language::{Language, NO_BREAK_SPACE, SignSeat};
use super::number::read_number;
use super::signs::find_sign;
use crate::fields::{CURRENCY_CODES, CurrencyCode};
use crate::words::nearest;

/// The currencies with other than two decimals: the minor units of ISO 4217, list one of
/// 2024-06-25, as npm's currency-codes 2.2.0 carries it; only currencies in [`CURRENCY_CODES`].
#[rustfmt::skip]
const MINOR_UNITS: &[(&str, u32)] = &[
    ("BHD", 3), ("BIF", 0), ("CLP", 0), ("DJF", 0), ("GNF", 0), ("IQD", 3), ("ISK", 0), ("JOD", 3),
    ("JPY", 0), ("KMF", 0), ("KRW", 0), ("KWD", 3), ("LYD", 3), ("OMR", 3), ("PYG", 0), ("RWF", 0),
    ("TND", 3), ("UGX", 0), ("VND", 0), ("VUV", 0), ("XAF", 0), ("XOF", 0), ("XPF", 0),
];

/// How many decimals a currency has.
pub(super) fn minor_units(currency: &str) -> u32 {
    MINOR_UNITS.iter().find(|(code, _)| *code == currency).map_or(2, |(_, units)| *units)
}

/// The filter `money`.
pub(super) fn money(
    value: &Value,
    currency: Option<&Value>,
    language: Option<&str>,
    options: Kwargs,
) -> Result<String, Error> {
    let language = Language::choose(language, &options)?;
    let Some(amount) = read_number("money", value)? else { return Ok(String::new()) };
    let currency = find_currency(currency, amount)?;
    Ok(write_money(amount, currency.as_str(), language))
}

/// The currency by its code.
fn find_currency(currency: Option<&Value>, amount: Decimal) -> Result<CurrencyCode, Error> {
    let text = currency.map(ToString::to_string).unwrap_or_default();
    if text.trim().is_empty() {
        return Err(refuse(
            format!("the amount `{amount}` has no currency"),
            "give the order a `currency`, or name it here: `money('EUR')`".to_owned(),
        ));
    }
    CurrencyCode::parse(&text).ok_or_else(|| {
        let upper = text.to_uppercase();
        let near = match CurrencyCode::parse(&upper) {
            Some(_) => Some(upper.as_str()),
            None => nearest(&upper, CURRENCY_CODES.iter().copied()),
        };
        let hint = match near {
            Some(near) => format!("did you mean `{near}`?"),
            None => "use its three capitals in ISO 4217, such as `EUR` or `USD`".into(),
        };
        refuse(format!("there is no currency `{text}`"), hint)
    })
}

/// An amount in a currency and a language.
fn write_money(amount: Decimal, currency: &str, language: &Language) -> String {
    let figures = write_figures(amount, minor_units(currency), language);
    let minus = if amount.is_sign_negative() && !amount.is_zero() { "-" } else { "" };
    let sign = find_sign(currency, language);
    let name = sign.unwrap_or(currency);
    let space = NO_BREAK_SPACE;
    match language.seat {
        SignSeat::Before if sign.is_some() => format!("{minus}{name}{figures}"),
        // The minus stays with the figures: before a code it would read as a dash.
        SignSeat::Before | SignSeat::BeforeSpaced => format!("{name}{space}{minus}{figures}"),
        SignSeat::After => format!("{minus}{figures}{space}{name}"),
    }
}

/// The digits of an amount with at least so many decimals, in groups of three, without a sign; an
/// amount of too few digits for its language stays in one piece.
fn write_figures(amount: Decimal, least: u32, language: &Language) -> String {
    let shortest = amount.normalize();
    let scale = shortest.scale() as usize;
    let digits = format!("{:0>1$}", shortest.mantissa().unsigned_abs(), scale + 1);
    let (whole, fraction) = digits.split_at(digits.len() - scale);
    let is_grouped = whole.len() >= 3 + language.least_before_group;
    let mut figures = String::with_capacity(digits.len() + 8);
    for (place, digit) in whole.chars().enumerate() {
        if is_grouped && place > 0 && (whole.len() - place).is_multiple_of(3) {
            figures.push(language.group);
        }
        figures.push(digit);
    }
    let decimals = scale.max(least as usize);
    if decimals > 0 {
        figures.push(language.decimal);
        figures.push_str(&format!("{fraction:0<decimals$}"));
    }
    figures
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tables_name_currencies_in_use_and_are_sorted() {
        assert!(MINOR_UNITS.is_sorted());
        for (code, _) in MINOR_UNITS {
            assert!(CurrencyCode::parse(code).is_some(), "{code}");
        }
        assert!(MINOR_UNITS.iter().all(|(_, units)| *units != 2));
    }
}
