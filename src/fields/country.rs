//! Countries by their two letters.

use crate::record::{Refusal, Scalar};
use crate::tree::{Node, Value};

use super::text::expect_text;

/// A country's two letters after ISO 3166-1.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CountryCode([u8; 2]);

impl CountryCode {
    /// The code, if such a country exists.
    #[must_use]
    pub fn parse(text: &str) -> Option<CountryCode> {
        COUNTRY_CODES.binary_search(&text).ok()?;
        Some(CountryCode(text.as_bytes().try_into().ok()?))
    }

    /// The two letters.
    #[must_use]
    pub fn as_str(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or_default()
    }
}

impl std::fmt::Display for CountryCode {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.as_str())
    }
}

impl std::fmt::Debug for CountryCode {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.as_str())
    }
}

/// A country that exists.
pub(crate) static COUNTRY: Scalar = Scalar {
    expected: "a country's two letters, such as `DE`",
    accepts: accept_country,
    schema: r#"{"type": "string", "pattern": "^[A-Z]{2}$"}"#,
};

/// A country that exists, or empty text where exports write that for nothing.
pub(crate) static ORIGIN: Scalar = Scalar {
    expected: "a country's two letters, such as `DE`",
    accepts: |value| match value {
        Value::Text(text) if text.trim().is_empty() => Ok(()),
        value => accept_country(value),
    },
    schema: r#"{"type": "string", "pattern": "^([A-Z]{2})?$"}"#,
};

/// Accepts a country's two letters.
fn accept_country(value: &Value) -> Result<(), Refusal> {
    let text = expect_text(value).map_err(|_| Refusal::hint("write it as `\"DE\"`"))?;
    if CountryCode::parse(text).is_some() {
        return Ok(());
    }
    let hint = match suggest_code(text) {
        Some(code) => format!("write `{code}`"),
        None => "use its two letters in ISO 3166-1, such as `DE` or `US`".into(),
    };
    let two_capitals = text.len() == 2 && text.bytes().all(|byte| byte.is_ascii_uppercase());
    if two_capitals {
        return Err(Refusal::new(format!("there is no country `{text}`"), hint));
    }
    Err(Refusal::hint(hint))
}

/// The code that was probably meant: of a code in small letters, or of a common name.
fn suggest_code(text: &str) -> Option<&'static str> {
    let upper = text.to_uppercase();
    if let Ok(index) = COUNTRY_CODES.binary_search(&upper.as_str()) {
        return Some(COUNTRY_CODES[index]);
    }
    let lower = text.to_lowercase().replace(['.', ','], "");
    let plain = lower.strip_prefix("the ").unwrap_or(&lower).trim();
    OTHER_NAMES.iter().find(|(name, _)| *name == plain).map(|(_, code)| *code)
}

/// A field's country, when one is given.
pub(crate) fn read_country(node: &Node, name: &str) -> Option<CountryCode> {
    CountryCode::parse(node.get(name)?.literal()?.trim())
}

/// Every country's code, sorted: ISO 3166-1 alpha-2 as the Debian package iso-codes 4.15 and the
/// npm package i18n-iso-countries 7.14 both list it; `XK` (Kosovo), a code left to users that
/// posts use and the second of them lists; and the two parts of `SH` whose codes ISO keeps free at
/// the wish of the Universal Postal Union (Wikipedia, "ISO 3166-1 alpha-2", exceptional
/// reservations): `AC` (Ascension Island) and `TA` (Tristan da Cunha).
#[rustfmt::skip]
pub const COUNTRY_CODES: &[&str] = &[
    "AC", "AD", "AE", "AF", "AG", "AI", "AL", "AM", "AO", "AQ", "AR", "AS", "AT", "AU", "AW", "AX",
    "AZ", "BA", "BB", "BD", "BE", "BF", "BG", "BH", "BI", "BJ", "BL", "BM", "BN", "BO", "BQ", "BR",
    "BS", "BT", "BV", "BW", "BY", "BZ", "CA", "CC", "CD", "CF", "CG", "CH", "CI", "CK", "CL", "CM",
    "CN", "CO", "CR", "CU", "CV", "CW", "CX", "CY", "CZ", "DE", "DJ", "DK", "DM", "DO", "DZ", "EC",
    "EE", "EG", "EH", "ER", "ES", "ET", "FI", "FJ", "FK", "FM", "FO", "FR", "GA", "GB", "GD", "GE",
    "GF", "GG", "GH", "GI", "GL", "GM", "GN", "GP", "GQ", "GR", "GS", "GT", "GU", "GW", "GY", "HK",
    "HM", "HN", "HR", "HT", "HU", "ID", "IE", "IL", "IM", "IN", "IO", "IQ", "IR", "IS", "IT", "JE",
    "JM", "JO", "JP", "KE", "KG", "KH", "KI", "KM", "KN", "KP", "KR", "KW", "KY", "KZ", "LA", "LB",
    "LC", "LI", "LK", "LR", "LS", "LT", "LU", "LV", "LY", "MA", "MC", "MD", "ME", "MF", "MG", "MH",
    "MK", "ML", "MM", "MN", "MO", "MP", "MQ", "MR", "MS", "MT", "MU", "MV", "MW", "MX", "MY", "MZ",
    "NA", "NC", "NE", "NF", "NG", "NI", "NL", "NO", "NP", "NR", "NU", "NZ", "OM", "PA", "PE", "PF",
    "PG", "PH", "PK", "PL", "PM", "PN", "PR", "PS", "PT", "PW", "PY", "QA", "RE", "RO", "RS", "RU",
    "RW", "SA", "SB", "SC", "SD", "SE", "SG", "SH", "SI", "SJ", "SK", "SL", "SM", "SN", "SO", "SR",
    "SS", "ST", "SV", "SX", "SY", "SZ", "TA", "TC", "TD", "TF", "TG", "TH", "TJ", "TK", "TL", "TM",
    "TN", "TO", "TR", "TT", "TV", "TW", "TZ", "UA", "UG", "UM", "US", "UY", "UZ", "VA", "VC", "VE",
    "VG", "VI", "VN", "VU", "WF", "WS", "XK", "YE", "YT", "ZA", "ZM", "ZW",
];

/// What people write in place of a code: names in English, three letters, codes of other lists.
#[rustfmt::skip]
const OTHER_NAMES: &[(&str, &str)] = &[
    ("uk", "GB"), ("united kingdom", "GB"), ("great britain", "GB"), ("britain", "GB"),
    ("england", "GB"), ("scotland", "GB"), ("wales", "GB"), ("northern ireland", "GB"),
    ("gbr", "GB"), ("el", "GR"), ("greece", "GR"), ("grc", "GR"),
    ("su", "RU"), ("tp", "TL"), ("an", "CW"), ("zr", "CD"), ("eire", "IE"),
    ("united states", "US"), ("united states of america", "US"), ("usa", "US"), ("america", "US"),
    ("canada", "CA"), ("can", "CA"), ("mexico", "MX"), ("mex", "MX"), ("brazil", "BR"),
    ("bra", "BR"), ("argentina", "AR"), ("chile", "CL"), ("colombia", "CO"), ("peru", "PE"),
    ("germany", "DE"), ("deutschland", "DE"), ("deu", "DE"), ("austria", "AT"), ("aut", "AT"),
    ("switzerland", "CH"), ("che", "CH"), ("france", "FR"), ("fra", "FR"), ("belgium", "BE"),
    ("bel", "BE"), ("netherlands", "NL"), ("holland", "NL"), ("nld", "NL"), ("luxembourg", "LU"),
    ("ireland", "IE"), ("irl", "IE"), ("spain", "ES"), ("esp", "ES"), ("portugal", "PT"),
    ("prt", "PT"), ("italy", "IT"), ("ita", "IT"), ("malta", "MT"), ("cyprus", "CY"),
    ("denmark", "DK"), ("dnk", "DK"), ("sweden", "SE"), ("swe", "SE"), ("norway", "NO"),
    ("nor", "NO"), ("finland", "FI"), ("fin", "FI"), ("iceland", "IS"), ("isl", "IS"),
    ("poland", "PL"), ("pol", "PL"), ("czech republic", "CZ"), ("czechia", "CZ"), ("cze", "CZ"),
    ("slovakia", "SK"), ("svk", "SK"), ("slovenia", "SI"), ("svn", "SI"), ("hungary", "HU"),
    ("hun", "HU"), ("romania", "RO"), ("rou", "RO"), ("bulgaria", "BG"), ("bgr", "BG"),
    ("croatia", "HR"), ("hrv", "HR"), ("serbia", "RS"), ("srb", "RS"), ("kosovo", "XK"),
    ("bosnia and herzegovina", "BA"), ("north macedonia", "MK"), ("albania", "AL"),
    ("montenegro", "ME"), ("estonia", "EE"), ("est", "EE"), ("latvia", "LV"), ("lva", "LV"),
    ("lithuania", "LT"), ("ltu", "LT"), ("ukraine", "UA"), ("ukr", "UA"), ("belarus", "BY"),
    ("russia", "RU"), ("russian federation", "RU"), ("rus", "RU"), ("turkey", "TR"),
    ("türkiye", "TR"), ("tur", "TR"), ("israel", "IL"), ("isr", "IL"), ("egypt", "EG"),
    ("morocco", "MA"), ("south africa", "ZA"), ("zaf", "ZA"), ("kenya", "KE"), ("nigeria", "NG"),
    ("saudi arabia", "SA"), ("united arab emirates", "AE"), ("uae", "AE"), ("are", "AE"),
    ("india", "IN"), ("ind", "IN"), ("pakistan", "PK"), ("china", "CN"), ("chn", "CN"),
    ("hong kong", "HK"), ("hkg", "HK"), ("taiwan", "TW"), ("twn", "TW"), ("japan", "JP"),
    ("jpn", "JP"), ("south korea", "KR"), ("korea", "KR"), ("kor", "KR"), ("singapore", "SG"),
    ("sgp", "SG"), ("malaysia", "MY"), ("thailand", "TH"), ("tha", "TH"), ("vietnam", "VN"),
    ("indonesia", "ID"), ("philippines", "PH"), ("australia", "AU"), ("aus", "AU"),
    ("new zealand", "NZ"), ("nzl", "NZ"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_sorted_and_names_lead_to_them() {
        assert!(COUNTRY_CODES.is_sorted());
        assert_eq!(COUNTRY_CODES.len(), 252);
        for (name, code) in OTHER_NAMES {
            assert!(CountryCode::parse(code).is_some(), "{code}");
            assert_eq!(*name, name.to_lowercase());
            assert!(CountryCode::parse(&name.to_uppercase()).is_none(), "{name} is a code itself");
        }
    }

    #[test]
    fn wrong_codes_get_the_right_one() {
        for (wrong, right) in
            [("UK", "GB"), ("EL", "GR"), ("gb", "GB"), ("The Netherlands", "NL"), ("U.S.A.", "US")]
        {
            assert_eq!(suggest_code(wrong), Some(right));
        }
        assert_eq!(suggest_code("ZQ"), None);
        assert_eq!(suggest_code("ac"), Some("AC"));
        assert!(["AC", "TA", "SH"].into_iter().all(|code| CountryCode::parse(code).is_some()));
    }
}
