//! Amounts of money in words.
//!
//! In: a decimal amount and a currency. Out: the amount with the currency's decimals and its sign or
//! code, as the language of the page or another writes it (`language`). An amount with more decimals
//! than its currency has is printed whole, never rounded. Not here: sums (`number`).

use minijinja::value::Kwargs;
use minijinja::{Error, State, Value};
use rust_decimal::Decimal;

use super::fault::refuse;
use super::locale::choose_locale;
use super::number::read_number;
use crate::fields::{CURRENCY_CODES, CurrencyCode};
use crate::words::nearest;

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
    Ok(locale.write_money(amount, currency.as_str(), currency.decimals()))
}

/// What an amount is in; text that is no code of ISO 4217 is refused.
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
