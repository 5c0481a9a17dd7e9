//! The currency that a country's shops usually have, to be proposed to a seller who begins.
//!
//! In: a country's two letters. Out: a currency's three, of those that orders may have. Not here: which
//! currency an order has.

/// The currencies with their countries: of each country the first that is legal tender, as the Unicode
/// CLDR has it (the PyPI package Babel 2.18.0), of those in `CURRENCY_CODES`. Bulgaria has the euro, as
/// that list has no lev any more.
#[rustfmt::skip]
const USUAL_MONEY: &[(&str, &str)] = &[
    ("AED", "AE"), ("AFN", "AF"), ("ALL", "AL"), ("AMD", "AM"), ("AOA", "AO"), ("ARS", "AR"),
    ("AUD", "AU CC CX HM KI NF NR TV"), ("AWG", "AW"), ("AZN", "AZ"), ("BAM", "BA"), ("BBD", "BB"),
    ("BDT", "BD"), ("BHD", "BH"), ("BIF", "BI"), ("BMD", "BM"), ("BND", "BN"), ("BOB", "BO"),
    ("BRL", "BR"), ("BSD", "BS"), ("BWP", "BW"), ("BYN", "BY"), ("BZD", "BZ"), ("CAD", "CA"),
    ("CDF", "CD"), ("CHF", "CH LI"), ("CLP", "CL"), ("CNY", "CN"), ("COP", "CO"), ("CRC", "CR"),
    ("CUP", "CU"), ("CVE", "CV"), ("CZK", "CZ"), ("DJF", "DJ"), ("DKK", "DK FO GL"), ("DOP", "DO"),
    ("DZD", "DZ"), ("EGP", "EG"), ("ERN", "ER"), ("ETB", "ET"),
    ("EUR", "AD AT AX BE BG BL CY DE EE ES FI FR GF GP GR HR IE IT LT LU LV MC ME MF MQ MT NL \
        PM PT RE SI SK SM TF VA XK YT"),
    ("FJD", "FJ"), ("FKP", "FK"), ("GBP", "GB GG GS IM JE TA"), ("GEL", "GE"), ("GHS", "GH"),
    ("GIP", "GI"), ("GMD", "GM"), ("GNF", "GN"), ("GTQ", "GT"), ("GYD", "GY"), ("HKD", "HK"),
    ("HNL", "HN"), ("HTG", "HT"), ("HUF", "HU"), ("IDR", "ID"), ("ILS", "IL PS"), ("INR", "BT IN"),
    ("IQD", "IQ"), ("IRR", "IR"), ("ISK", "IS"), ("JMD", "JM"), ("JOD", "JO"), ("JPY", "JP"),
    ("KES", "KE"), ("KGS", "KG"), ("KHR", "KH"), ("KMF", "KM"), ("KPW", "KP"), ("KRW", "KR"),
    ("KWD", "KW"), ("KYD", "KY"), ("KZT", "KZ"), ("LAK", "LA"), ("LBP", "LB"), ("LKR", "LK"),
    ("LRD", "LR"), ("LYD", "LY"), ("MAD", "EH MA"), ("MDL", "MD"), ("MGA", "MG"), ("MKD", "MK"),
    ("MMK", "MM"), ("MNT", "MN"), ("MOP", "MO"), ("MRU", "MR"), ("MUR", "MU"), ("MVR", "MV"),
    ("MWK", "MW"), ("MXN", "MX"), ("MYR", "MY"), ("MZN", "MZ"), ("NGN", "NG"), ("NIO", "NI"),
    ("NOK", "BV NO SJ"), ("NPR", "NP"), ("NZD", "CK NU NZ PN TK"), ("OMR", "OM"), ("PAB", "PA"),
    ("PEN", "PE"), ("PGK", "PG"), ("PHP", "PH"), ("PKR", "PK"), ("PLN", "PL"), ("PYG", "PY"),
    ("QAR", "QA"), ("RON", "RO"), ("RSD", "RS"), ("RUB", "RU"), ("RWF", "RW"), ("SAR", "SA"),
    ("SBD", "SB"), ("SCR", "SC"), ("SDG", "SD"), ("SEK", "SE"), ("SGD", "SG"), ("SHP", "AC SH"),
    ("SLE", "SL"), ("SOS", "SO"), ("SRD", "SR"), ("SSP", "SS"), ("STN", "ST"), ("SYP", "SY"),
    ("SZL", "SZ"), ("THB", "TH"), ("TJS", "TJ"), ("TMT", "TM"), ("TND", "TN"), ("TOP", "TO"),
    ("TRY", "TR"), ("TTD", "TT"), ("TWD", "TW"), ("TZS", "TZ"), ("UAH", "UA"), ("UGX", "UG"),
    ("USD", "AS BQ EC FM GU IO MH MP PR PW SV TC TL UM US VG VI ZW"), ("UYU", "UY"), ("UZS", "UZ"),
    ("VES", "VE"), ("VND", "VN"), ("VUV", "VU"), ("WST", "WS"), ("XAF", "CF CG CM GA GQ TD"),
    ("XCD", "AG AI DM GD KN LC MS VC"), ("XCG", "CW SX"), ("XOF", "BF BJ CI GW ML NE SN TG"),
    ("XPF", "NC PF WF"), ("YER", "YE"), ("ZAR", "LS NA ZA"), ("ZMW", "ZM"),
];

/// The currency that is usual in a country; none where nobody lives.
pub(super) fn usual_money(country: &str) -> Option<&'static str> {
    let has = |(_, countries): &&(&str, &str)| countries.split(' ').any(|it| it == country);
    USUAL_MONEY.iter().find(has).map(|(currency, _)| *currency)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fields::{COUNTRY_CODES, CURRENCY_CODES};

    #[test]
    fn every_country_has_one_currency_of_those_that_there_are() {
        for (currency, countries) in USUAL_MONEY {
            assert!(CURRENCY_CODES.contains(currency), "{currency}");
            for country in countries.split(' ') {
                assert!(COUNTRY_CODES.contains(&country), "{country}");
                assert_eq!(usual_money(country), Some(*currency), "{country}");
            }
        }
        let without = COUNTRY_CODES.iter().filter(|country| usual_money(country).is_none());
        assert!(without.count() < 6);
        assert_eq!((usual_money("CH"), usual_money("BG")), (Some("CHF"), Some("EUR")));
    }
}
