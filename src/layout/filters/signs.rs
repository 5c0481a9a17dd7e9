//! The signs of currencies, language by language.
//!
//! In: a currency and a language. Out: its sign there, if it has one. Not here: where it stands
//! beside its amount (`money`).
//!
//! A sign that several currencies share stands alone for one of them at most, and for none where
//! the language's readers would take it for another: `$` is `$US` in French and `US$` in Spanish.
//! Which is which is the Unicode CLDR's choice, as PyPI's Babel 2.18.0 prints it; a test outside
//! compares all of them. Signs of letters alone (`FCFA`) and the baht's, which the fonts that come
//! with the engine do not have, are left out: there the code says more.

use super::language::{LANGUAGE_COUNT, LANGUAGES, Language};

/// A currency's sign in each of [`LANGUAGES`], in their order; empty where it goes by its code.
type Signs = [&'static str; LANGUAGE_COUNT];

/// The currencies with a sign in any language: in `en`, `de`, `fr`, `es`, `it`, `nl`.
#[rustfmt::skip]
const SIGNS: &[(&str, Signs)] = &[
    ("ARS", ["", "", "$AR", "", "", ""]),
    ("AUD", ["A$", "AU$", "$AU", "", "A$", "AU$"]),
    ("BMD", ["", "", "$BM", "", "", ""]),
    ("BND", ["", "", "$BN", "", "", ""]),
    ("BRL", ["R$", "R$", "R$", "", "", "R$"]),
    ("BZD", ["", "", "$BZ", "", "", ""]),
    ("CAD", ["CA$", "CA$", "$CA", "", "CA$", "C$"]),
    ("CLP", ["", "", "$CL", "", "", ""]),
    ("CNY", ["CN¥", "CN¥", "", "", "CN¥", "CN¥"]),
    ("COP", ["", "", "$CO", "", "", ""]),
    ("EUR", ["€", "€", "€", "€", "€", "€"]),
    ("FJD", ["", "", "$FJ", "", "", "FJ$"]),
    ("FKP", ["", "", "£FK", "", "", ""]),
    ("GBP", ["£", "£", "£GB", "", "£", "£"]),
    ("GIP", ["", "", "£GI", "", "", ""]),
    ("HKD", ["HK$", "HK$", "", "", "", "HK$"]),
    ("ILS", ["₪", "₪", "₪", "", "₪", "₪"]),
    ("INR", ["₹", "₹", "₹", "", "", "₹"]),
    ("JPY", ["¥", "¥", "", "", "", "JP¥"]),
    ("KRW", ["₩", "₩", "₩", "", "", "₩"]),
    ("LBP", ["", "", "£LB", "", "", ""]),
    ("MXN", ["MX$", "MX$", "$MX", "", "", "MX$"]),
    ("NAD", ["", "", "$NA", "", "", ""]),
    ("NZD", ["NZ$", "NZ$", "$NZ", "", "NZ$", "NZ$"]),
    ("PHP", ["₱", "", "", "", "₱", ""]),
    ("SBD", ["", "", "$SB", "", "", "SI$"]),
    ("SGD", ["", "", "$SG", "", "", ""]),
    ("SRD", ["", "", "$SR", "", "", ""]),
    ("TTD", ["", "", "$TT", "", "", ""]),
    ("TWD", ["NT$", "NT$", "", "", "", "NT$"]),
    ("USD", ["$", "$", "$US", "US$", "", "US$"]),
    ("UYU", ["", "", "$UY", "", "", ""]),
    ("VND", ["₫", "₫", "₫", "₫", "", "₫"]),
    ("WST", ["", "", "$WS", "", "", ""]),
    ("XCD", ["EC$", "EC$", "", "", "EC$", "EC$"]),
];

/// The sign of a currency in a language; none where it is written by its code.
pub(super) fn find_sign(currency: &str, language: &Language) -> Option<&'static str> {
    let column = LANGUAGES.iter().position(|known| known.code == language.code)?;
    let (_, signs) = SIGNS.iter().find(|(code, _)| *code == currency)?;
    Some(signs[column]).filter(|sign| !sign.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fields::CurrencyCode;

    #[test]
    fn signs_are_of_currencies_in_use_and_no_language_gives_one_twice() {
        assert!(SIGNS.is_sorted_by(|one, next| one.0 < next.0));
        assert!(SIGNS.iter().all(|(code, _)| CurrencyCode::parse(code).is_some()));
        for column in 0..LANGUAGE_COUNT {
            let mut signs: Vec<&str> = SIGNS.iter().map(|(_, signs)| signs[column]).collect();
            signs.retain(|sign| !sign.is_empty());
            let count = signs.len();
            signs.sort_unstable();
            signs.dedup();
            assert_eq!(signs.len(), count, "{}", LANGUAGES[column].code);
        }
    }
}
