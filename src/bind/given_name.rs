//! What a letter calls its reader.
//!
//! In: an address. Out: the given name that it says; else the first word of its name where that is
//! one to be sure of; else the whole name. Not its job: guessing which of a name's words it is.

use crate::fields::Address;

/// The countries of the languages that write the family name first: Hungarian, Japanese, Korean,
/// Vietnamese and Chinese, the `nameOrderLocales` under `surnameFirst` for `en` and `hu` in npm's
/// cldr-person-names-full 48.2.0.
const FAMILY_FIRST: [&str; 9] = ["CN", "HK", "HU", "JP", "KP", "KR", "MO", "TW", "VN"];

/// Forms of address that stand before a name, in small letters and without their point.
const TITLES: [&str; 24] = [
    "dame", "dhr", "dott", "dr", "frau", "herr", "lady", "lord", "madame", "mevr", "miss", "mlle",
    "mme", "monsieur", "mr", "mrs", "ms", "mx", "prof", "rev", "sig", "sir", "sr", "sra",
];

/// What a letter to an address calls its reader.
pub(super) fn given_name<'a>(address: &'a Address<'_>) -> &'a str {
    if !address.given_name.is_empty() {
        return &address.given_name;
    }
    match FAMILY_FIRST.contains(&address.country.as_str()) {
        true => &address.name,
        false => first_name(&address.name),
    }
}

/// The first name in a name: titles before it are passed over. The whole name when it begins with
/// an initial, or has nothing but one word behind a title.
fn first_name(name: &str) -> &str {
    let mut words = name.split_whitespace().peekable();
    let mut titled = false;
    while words.next_if(|word| is_title(word)).is_some() {
        titled = true;
    }
    let first = words.next().filter(|first| !is_initial(first));
    let is_family_name = titled && words.next().is_none();
    first.filter(|_| !is_family_name).unwrap_or(name.trim())
}

/// Whether a word is a form of address.
fn is_title(word: &str) -> bool {
    let word = word.trim_end_matches('.').to_lowercase();
    TITLES.contains(&word.as_str())
}

/// Whether a word is an initial or an abbreviation. A single character of a script without
/// capitals, such as a Chinese one, is a name.
fn is_initial(word: &str) -> bool {
    let mut letters = word.chars();
    let single =
        letters.next().is_some_and(|letter| letter.is_uppercase() || letter.is_lowercase())
            && letters.next().is_none();
    single || word.ends_with('.')
}

#[cfg(test)]
mod tests {
    use super::first_name;

    #[test]
    fn letters_call_their_reader_by_a_given_name_where_there_is_one() {
        for (name, called) in [
            ("Ada Marlow", "Ada"),
            ("Élodie", "Élodie"),
            ("Dr Theo Ramírez", "Theo"),
            ("Prof. Dr. Åsa Örn", "Åsa"),
            ("Mr Fell", "Mr Fell"),
            ("J. R. Heron", "J. R. Heron"),
            ("J Heron", "J Heron"),
            ("Д. Гълъбова", "Д. Гълъбова"),
            ("Dr. A. Tern", "Dr. A. Tern"),
            ("山 田", "山"),
            ("Dr.", "Dr."),
            ("", ""),
        ] {
            assert_eq!(first_name(name), called, "{name}");
        }
    }
}
