//! Currencies in cells: their codes in any case, and the signs that stand beside prices.
//!
//! In: what stands before or after a price. Out: the currencies that it can be. Not here: the price.

use crate::fields::CurrencyCode;

/// A sign of money in small letters, the currency that it means where nothing else tells, and those
/// that it may stand for beside one that is told.
type Sign = (&'static str, Option<&'static str>, &'static [&'static str]);

/// The signs; those that several currencies share mean none by themselves.
#[rustfmt::skip]
const SIGNS: &[Sign] = &[
    ("€", Some("EUR"), &[]), ("euro", Some("EUR"), &[]), ("£", Some("GBP"), &["FKP", "GIP", "SHP"]),
    ("$", None, &["USD", "CAD", "AUD", "NZD", "SGD", "HKD", "MXN", "ARS", "CLP", "COP", "TWD"]),
    ("us$", Some("USD"), &[]), ("c$", Some("CAD"), &[]), ("ca$", Some("CAD"), &[]),
    ("a$", Some("AUD"), &[]), ("au$", Some("AUD"), &[]), ("nz$", Some("NZD"), &[]),
    ("hk$", Some("HKD"), &[]), ("s$", Some("SGD"), &[]), ("r$", Some("BRL"), &[]),
    ("kr", None, &["SEK", "NOK", "DKK", "ISK"]), ("kr.", None, &["DKK", "SEK", "NOK", "ISK"]),
    ("¥", None, &["JPY", "CNY"]), ("￥", None, &["JPY", "CNY"]), ("円", Some("JPY"), &[]),
    ("zł", Some("PLN"), &[]), ("kč", Some("CZK"), &[]), ("ft", Some("HUF"), &[]),
    ("lei", Some("RON"), &[]), ("fr", Some("CHF"), &[]), ("fr.", Some("CHF"), &[]),
    ("sfr.", Some("CHF"), &[]), ("₹", Some("INR"), &[]), ("₺", Some("TRY"), &[]),
    ("₴", Some("UAH"), &[]), ("₩", Some("KRW"), &[]), ("₪", Some("ILS"), &[]),
    ("₽", Some("RUB"), &[]),
];

/// What a sign or code of money means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Money {
    /// The sign as it was written.
    pub(crate) sign: String,
    /// The currency that it means where nothing else tells.
    pub(crate) alone: Option<&'static str>,
    /// All that it may stand for.
    pub(crate) any: Vec<&'static str>,
}

/// The meaning of a sign or code.
pub(crate) fn read_money(text: &str) -> Option<Money> {
    let sign = text.trim();
    let upper = sign.to_uppercase();
    let known = crate::fields::CURRENCY_CODES;
    if CurrencyCode::parse(&upper).is_some()
        && let Ok(at) = known.binary_search(&upper.as_str())
    {
        return Some(Money { sign: sign.into(), alone: Some(known[at]), any: vec![known[at]] });
    }
    let lower = sign.to_lowercase();
    let (_, alone, others) = SIGNS.iter().find(|(known, ..)| *known == lower)?;
    let any = alone.iter().copied().chain(others.iter().copied()).collect();
    Some(Money { sign: sign.into(), alone: *alone, any })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_mean_currencies_in_use() {
        for (sign, alone, others) in SIGNS {
            assert_eq!(*sign, sign.to_lowercase());
            for code in alone.iter().chain(*others) {
                assert!(CurrencyCode::parse(code).is_some(), "{code}");
            }
        }
        assert_eq!(read_money("eur").and_then(|money| money.alone), Some("EUR"));
        assert_eq!(read_money("$").and_then(|money| money.alone), None);
        assert_eq!(read_money("pcs"), None);
    }
}
