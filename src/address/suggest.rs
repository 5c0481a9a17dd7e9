//! Which country was meant by a text that is no code. Comes in: the text; goes
//! out: the codes, likeliest first. Not its job: using them.

use std::sync::LazyLock;

use strsim::osa_distance;

use super::country::{self, Country};
use super::text::fold;

/// Texts that people write for a country and that no table has: codes of other
/// systems, codes withdrawn from ISO 3166-1 (its part 3), parts of a country
/// taken for the whole.
const WRITTEN: [(&str, &[&str]); 22] = [
    ("america", &["US"]),
    ("an", &["CW", "BQ", "SX"]),
    ("bu", &["MM"]),
    ("burma", &["MM"]),
    ("cs", &["RS", "ME"]),
    ("dd", &["DE"]),
    ("el", &["GR"]),
    ("en", &["GB"]),
    ("england", &["GB"]),
    ("fx", &["FR"]),
    ("holland", &["NL"]),
    ("macedonia", &["MK"]),
    ("nederlandske antiller", &["CW", "BQ", "SX"]),
    ("netherlands antilles", &["CW", "BQ", "SX"]),
    ("northern ireland", &["GB"]),
    ("scotland", &["GB"]),
    ("su", &["RU"]),
    ("swaziland", &["SZ"]),
    ("tp", &["TL"]),
    ("uk", &["GB"]),
    ("wales", &["GB"]),
    ("yu", &["RS", "ME"]),
];

/// Most countries proposed for one text.
const MOST: usize = 3;

/// A country and what it can be called, without case.
struct KnownNames {
    /// Its record.
    country: &'static Country,
    /// Its three letters.
    letters3: String,
    /// Its names in all languages.
    names: Vec<String>,
}

/// All countries with their names. Exports name countries in every row, so case is taken off once.
static KNOWN: LazyLock<Vec<KnownNames>> = LazyLock::new(|| {
    let of = |country: &'static Country| KnownNames {
        country,
        letters3: fold(country.letters3),
        names: country.all_names().map(fold).collect(),
    };
    country::all().map(of).collect()
});

/// The countries that a text may stand for: those it names, else those with a name one slip in
/// four letters away.
pub(super) fn suggest(text: &str) -> Vec<&'static Country> {
    let named = named(text);
    let folded = fold(text.trim());
    if named.is_empty() && !folded.is_empty() { suggest_near(&folded) } else { named }
}

/// The codes of the countries that a text may stand for, likeliest first: as [`named_countries`],
/// or with a name one slip in four letters away.
#[must_use]
pub fn suggest_countries(text: &str) -> Vec<&'static str> {
    suggest(text).into_iter().map(|country| country.code).collect()
}

/// The codes of the countries that a text names: by usual names, by three letters, or by a
/// name in any language of the data; usually one, none for a misspelt name.
#[must_use]
pub fn named_countries(text: &str) -> Vec<&'static str> {
    named(text).into_iter().map(|country| country.code).collect()
}

/// As [`named_countries`], with their records.
fn named(text: &str) -> Vec<&'static Country> {
    let folded = fold(text.trim());
    let bare = folded.replace('.', "");
    if bare.is_empty() {
        return Vec::new();
    }
    let written = WRITTEN.iter().find(|(known, _)| *known == bare);
    if let Some((_, codes)) = written {
        return codes.iter().filter_map(|code| country::find(code)).collect();
    }
    KNOWN
        .iter()
        .filter(|known| known.letters3 == bare || known.names.contains(&folded))
        .map(|known| known.country)
        .take(MOST)
        .collect()
}

/// The countries with a name nearest to the text, if near enough to be a slip.
fn suggest_near(folded: &str) -> Vec<&'static Country> {
    let length = folded.chars().count();
    let allowed = length / 4;
    let mut near: Vec<(usize, &'static Country)> = Vec::new();
    for KnownNames { country, names, .. } in &*KNOWN {
        // A name that is longer or shorter by more is further away.
        let lengths = |name: &&String| name.chars().count().abs_diff(length) <= allowed;
        let distances = names.iter().filter(lengths).map(|name| osa_distance(name, folded));
        near.extend(distances.min().map(|distance| (distance, *country)));
    }
    let least = near.iter().map(|(distance, _)| *distance).min();
    near.into_iter()
        .filter(|(distance, _)| Some(*distance) == least && *distance <= allowed)
        .map(|(_, country)| country)
        .take(MOST)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::suggest;

    #[test]
    fn the_country_meant_is_found() {
        for (text, codes) in [
            ("UK", &["GB"][..]),
            ("EL", &["GR"]),
            ("U.K.", &["GB"]),
            ("DEU", &["DE"]),
            ("usa", &["US"]),
            ("Deutschland", &["DE"]),
            ("Alemania", &["DE"]),
            ("Germny", &["DE"]),
            ("YU", &["RS", "ME"]),
            // A name that was printed once still leads to its country, unless it was others' too.
            ("Hviderusland", &["BY"]),
            ("Nederlandske Antiller", &["CW", "BQ", "SX"]),
            ("QQ", &[]),
            ("Atlantis", &[]),
            ("", &[]),
        ] {
            let found: Vec<_> = suggest(text).iter().map(|country| country.code).collect();
            assert_eq!(found, codes, "{text}");
        }
    }
}
