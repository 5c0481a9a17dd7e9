//! Which languages of country lines the posts of a sender's country read.
//!
//! In: a sender. Out: the language of its country line. The Universal Postal Union asks for a
//! language of the country of origin or an international one; English and French are the working
//! languages of its bureau. Not its job: the names.

use super::Sender;
use super::country::{find, language_column};

/// Languages that every post reads, the one that is used when nothing else is said first.
const INTERNATIONAL: &[&str] = &["en", "fr"];

/// For each further language of the names the countries where it is an official language of the
/// whole country, as CLDR has it (the PyPI package Babel 2.18.0).
const OFFICIAL: &[(&str, &[&str])] = &[
    ("cs", &["CZ"]),
    ("da", &["DK"]),
    ("de", &["AT", "BE", "CH", "DE", "LI", "LU"]),
    (
        "es",
        &[
            "AR", "BO", "CL", "CO", "CR", "CU", "DO", "EC", "ES", "GQ", "GT", "HN", "MX", "NI",
            "PA", "PE", "PR", "PY", "SV", "UY", "VE",
        ],
    ),
    ("fi", &["FI"]),
    ("hu", &["HU"]),
    ("it", &["CH", "IT", "SM", "VA"]),
    ("nb", &["NO", "SJ"]),
    ("nl", &["AW", "BE", "BQ", "CW", "NL", "SR", "SX"]),
    ("pl", &["PL"]),
    ("pt", &["AO", "BR", "CV", "GQ", "GW", "MO", "MZ", "PT", "ST", "TL"]),
    ("ro", &["MD", "RO"]),
    ("sv", &["AX", "FI", "SE"]),
];

/// The language of a sender's country line: its own when there are names in it and its post reads
/// it, or when nobody knows where it posts; else English.
pub(super) fn line_language(from: &Sender) -> &str {
    let Some(language) = language_code(&from.language) else { return INTERNATIONAL[0] };
    let Some(sender) = find(from.country.trim()) else { return language };
    let countries =
        OFFICIAL.iter().find(|(of, _)| *of == language).map(|(_, countries)| *countries);
    let is_read = INTERNATIONAL.contains(&language)
        || countries.is_some_and(|countries| countries.contains(&sender.code));
    if is_read { language } else { INTERNATIONAL[0] }
}

/// The language of the table of names that a tag such as `de-AT` means.
fn language_code(tag: &str) -> Option<&'static str> {
    super::country_languages().nth(language_column(tag)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_language_of_the_names_has_its_countries() {
        for language in crate::address::country_languages() {
            let row = OFFICIAL.iter().find(|(of, _)| *of == language);
            assert!(row.is_some() != INTERNATIONAL.contains(&language), "{language}");
        }
        for (_, countries) in OFFICIAL {
            assert!(countries.is_sorted());
            assert!(countries.iter().all(|code| find(code).is_some()));
        }
    }
}
