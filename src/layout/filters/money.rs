//! Amounts of money in words.
//!
//! In: a decimal amount and a currency. Out: the amount with the currency's decimals and its sign or
//! code, as the language of the page or another writes it (`language`). An amount with more decimals
//! than its currency has is printed whole, never rounded. Not here: sums (`number`).

use minijinja::value::Kwargs;
use minijinja::{Error, State, Value};
use rust_decimal::Decimal;

use super::fault::refuse;
use super::number::read_number;
use super::speech::choose_locale;
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
    state: &State<'_, '_>,
    value: &Value,
    currency: Option<&Value>,
    language: Option<&str>,
    options: Kwargs,
) -> Result<String, Error> {
    let locale = choose_locale(state, language, &options)?;
    let Some(amount) = read_number("money", value)? else { return Ok(String::new()) };
    let currency = find_currency(currency, amount)?;
    let code = currency.as_str();
    Ok(locale.write_money(amount, code, minor_units(code)))
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
