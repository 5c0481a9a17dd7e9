//! Currencies by their three capitals.

use crate::record::{Refusal, Scalar};
use crate::tree::{Node, Value};

use super::text::expect_text;

/// A currency's three capitals after ISO 4217.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CurrencyCode([u8; 3]);

impl CurrencyCode {
    /// The code, if such a currency is in use.
    #[must_use]
    pub fn parse(text: &str) -> Option<CurrencyCode> {
        CURRENCY_CODES.binary_search(&text).ok()?;
        Some(CurrencyCode(text.as_bytes().try_into().ok()?))
    }

    /// The three capitals.
    #[must_use]
    pub fn as_str(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or_default()
    }

    /// How many decimals its amounts have.
    #[must_use]
    pub fn decimals(&self) -> u32 {
        MINOR_UNITS.iter().find(|(code, _)| *code == self.as_str()).map_or(2, |(_, units)| *units)
    }
}

impl std::fmt::Display for CurrencyCode {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.as_str())
    }
}

impl std::fmt::Debug for CurrencyCode {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.as_str())
    }
}

/// A currency in use; empty text, as exports write it, is no currency.
pub(crate) static CURRENCY: Scalar = Scalar {
    expected: "a currency's three capitals, such as `EUR`",
    accepts: accept_currency,
    schema: r#"{"type": "string", "pattern": "^([A-Z]{3})?$"}"#,
};

/// Accepts a currency's three capitals.
fn accept_currency(value: &Value) -> Result<(), Refusal> {
    let text = expect_text(value).map_err(|_| Refusal::hint("write it as `\"EUR\"`"))?;
    if text.is_empty() || CurrencyCode::parse(text).is_some() {
        return Ok(());
    }
    let hint = match suggest_code(text) {
        Some(code) => format!("write `{code}`"),
        None => "use its three capitals in ISO 4217, such as `EUR` or `USD`".into(),
    };
    if text.len() == 3 && text.bytes().all(|byte| byte.is_ascii_uppercase()) {
        return Err(Refusal::new(format!("there is no currency `{text}` in use"), hint));
    }
    Err(Refusal::hint(hint))
}

/// The code that was probably meant: of small letters, of a sign, or of a currency's successor.
fn suggest_code(text: &str) -> Option<&'static str> {
    let upper = text.to_uppercase();
    if let Ok(index) = CURRENCY_CODES.binary_search(&upper.as_str()) {
        return Some(CURRENCY_CODES[index]);
    }
    OTHER_NAMES.iter().find(|(name, _)| *name == upper).map(|(_, code)| *code)
}

/// A field's currency, when one is given.
pub(crate) fn read_currency(node: &Node, name: &str) -> Option<CurrencyCode> {
    CurrencyCode::parse(node.get(name)?.literal()?.trim())
}

/// The currencies with other than two decimals: the minor units of ISO 4217, list one of
/// 2024-06-25, as npm's currency-codes 2.2.0 carries it; only currencies in [`CURRENCY_CODES`].
#[rustfmt::skip]
const MINOR_UNITS: &[(&str, u32)] = &[
    ("BHD", 3), ("BIF", 0), ("CLP", 0), ("DJF", 0), ("GNF", 0), ("IQD", 3), ("ISK", 0), ("JOD", 3),
    ("JPY", 0), ("KMF", 0), ("KRW", 0), ("KWD", 3), ("LYD", 3), ("OMR", 3), ("PYG", 0), ("RWF", 0),
    ("TND", 3), ("UGX", 0), ("VND", 0), ("VUV", 0), ("XAF", 0), ("XOF", 0), ("XPF", 0),
];

/// Every currency that one can pay with, sorted: the active codes of ISO 4217 as the PyPI package
/// pycountry 26.2.16 (Debian's iso-codes 4.20) lists them, without metals, funds, units of
/// account and codes for testing.
#[rustfmt::skip]
pub const CURRENCY_CODES: &[&str] = &[
    "AED", "AFN", "ALL", "AMD", "AOA", "ARS", "AUD", "AWG", "AZN", "BAM", "BBD", "BDT", "BHD",
    "BIF", "BMD", "BND", "BOB", "BRL", "BSD", "BTN", "BWP", "BYN", "BZD", "CAD", "CDF", "CHF",
    "CLP", "CNY", "COP", "CRC", "CUP", "CVE", "CZK", "DJF", "DKK", "DOP", "DZD", "EGP", "ERN",
    "ETB", "EUR", "FJD", "FKP", "GBP", "GEL", "GHS", "GIP", "GMD", "GNF", "GTQ", "GYD", "HKD",
    "HNL", "HTG", "HUF", "IDR", "ILS", "INR", "IQD", "IRR", "ISK", "JMD", "JOD", "JPY", "KES",
    "KGS", "KHR", "KMF", "KPW", "KRW", "KWD", "KYD", "KZT", "LAK", "LBP", "LKR", "LRD", "LSL",
    "LYD", "MAD", "MDL", "MGA", "MKD", "MMK", "MNT", "MOP", "MRU", "MUR", "MVR", "MWK", "MXN",
    "MYR", "MZN", "NAD", "NGN", "NIO", "NOK", "NPR", "NZD", "OMR", "PAB", "PEN", "PGK", "PHP",
    "PKR", "PLN", "PYG", "QAR", "RON", "RSD", "RUB", "RWF", "SAR", "SBD", "SCR", "SDG", "SEK",
    "SGD", "SHP", "SLE", "SOS", "SRD", "SSP", "STN", "SVC", "SYP", "SZL", "THB", "TJS", "TMT",
    "TND", "TOP", "TRY", "TTD", "TWD", "TZS", "UAH", "UGX", "USD", "UYU", "UZS", "VED", "VES",
    "VND", "VUV", "WST", "XAF", "XCD", "XCG", "XOF", "XPF", "YER", "ZAR", "ZMW", "ZWG",
];

/// What people write in place of a code: signs, names, and currencies that were replaced.
#[rustfmt::skip]
const OTHER_NAMES: &[(&str, &str)] = &[
    ("€", "EUR"), ("EURO", "EUR"), ("EUROS", "EUR"), ("£", "GBP"), ("STG", "GBP"), ("UKP", "GBP"),
    ("US$", "USD"), ("US DOLLAR", "USD"), ("C$", "CAD"), ("CA$", "CAD"), ("A$", "AUD"),
    ("AU$", "AUD"), ("NZ$", "NZD"), ("FR", "CHF"), ("SFR", "CHF"), ("ZŁ", "PLN"), ("KČ", "CZK"),
    ("RMB", "CNY"), ("YEN", "JPY"), ("BGN", "EUR"), ("HRK", "EUR"), ("DEM", "EUR"),
    ("FRF", "EUR"), ("LTL", "EUR"), ("LVL", "EUR"), ("EEK", "EUR"), ("ANG", "XCG"),
    ("SLL", "SLE"), ("ZWL", "ZWG"), ("CUC", "CUP"), ("BYR", "BYN"), ("VEF", "VES"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_sorted_and_names_lead_to_them() {
        assert!(CURRENCY_CODES.is_sorted());
        assert_eq!(CURRENCY_CODES.len(), 155);
        for (name, code) in OTHER_NAMES {
            assert!(CurrencyCode::parse(code).is_some(), "{code}");
            assert!(CurrencyCode::parse(name).is_none(), "{name} is in use");
            assert_eq!(suggest_code(&name.to_lowercase()), Some(*code));
        }
    }

    #[test]
    fn decimals_are_told_of_currencies_in_use_alone() {
        assert!(MINOR_UNITS.is_sorted());
        for (code, units) in MINOR_UNITS {
            assert!(CurrencyCode::parse(code).is_some(), "{code}");
            assert!(*units != 2, "{code}");
        }
    }
}
