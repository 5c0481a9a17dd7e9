//! When two addresses are the same, and when they are nearly so.
//!
//! In: the parts of an address. Out: the same parts with everything taken away that writing
//! varies without meaning it: Unicode form, case, punctuation, spacing. Near means different after
//! that, but only as a typing slip, an abbreviation or an accent would make it.

use std::borrow::Cow;

use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use crate::fields::Address;

/// The parts of an address that are compared, in the order people name them.
pub(super) const PARTS: [&str; 6] = ["name", "company", "lines", "city", "region", "postcode"];

/// An address made ready to be compared, part by part as in [`PARTS`].
pub(super) type ComparedParts = [String; 6];

/// The parts of an address as they are compared for being the same.
pub(super) fn same_parts(address: &Address) -> ComparedParts {
    std::array::from_fn(|part| same_part(address, part))
}

/// One part, by its place in [`PARTS`], of an address as [`same_parts`] gives them all.
pub(super) fn same_part(address: &Address, part: usize) -> String {
    match PARTS[part] {
        "name" => fold_text(&address.name),
        "company" => fold_text(&address.company),
        "lines" => fold_text(&address.lines.join(" ")),
        "city" => fold_text(&address.city),
        "region" => fold_text(&address.region),
        // Spaces inside a postcode are put in or left out as people please.
        _ => fold_text(&address.postcode).replace(' ', ""),
    }
}

/// The same parts as they are compared for being near: without accents and spaces, and with the words
/// of streets cut short.
pub(super) fn near_parts(same: &ComparedParts) -> ComparedParts {
    same.each_ref().map(|part| near_part(part))
}

/// A part without accents and spaces, its words of streets cut short.
pub(super) fn near_part(same: &str) -> String {
    let mut near = String::with_capacity(same.len());
    for word in same.split(' ') {
        push_short_word(&strip_accents(word), &mut near);
    }
    near
}

/// Text in NFKC with its case folded, each stretch of spaces and punctuation one space, and
/// apostrophes and the points of abbreviations left out.
pub(super) fn fold_text(text: &str) -> String {
    if text.is_ascii() {
        return separate_words(text.chars().map(|c| c.to_ascii_lowercase()), text.len());
    }
    separate_words(text.nfkc().flat_map(fold_case).nfkc(), text.len())
}

/// Folded characters with their spaces and punctuation made equal; `length` is about how many
/// bytes they take.
fn separate_words(folded: impl Iterator<Item = char>, length: usize) -> String {
    let mut folded = folded.peekable();
    let mut out = String::with_capacity(length);
    while let Some(c) = folded.next() {
        let next_is_letter = folded.peek().is_some_and(|next| next.is_alphabetic());
        if c.is_alphanumeric() || is_combining_mark(c) {
            out.push(c);
        } else if matches!(c, '\'' | '’' | '‘' | 'ʼ' | '`' | '´') || (c == '.' && next_is_letter)
        {
            // O'Neil is ONeil, P.O. is PO.
        } else if !out.is_empty() && !out.ends_with(' ') {
            out.push(' ');
        }
    }
    out.truncate(out.trim_end().len());
    out
}

/// A character without its case. Going up first makes `ß` equal to `ss` and a final sigma to any
/// other; the Turkish dotless i stays itself, because it is another letter.
pub(super) fn fold_case(c: char) -> impl Iterator<Item = char> {
    let up = c.to_uppercase().filter(move |_| c != 'ı');
    let kept = std::iter::once(c).filter(|c| *c == 'ı');
    up.flat_map(char::to_lowercase).chain(kept)
}

/// A word without its accents.
fn strip_accents(word: &str) -> Cow<'_, str> {
    if word.is_ascii() {
        return word.into();
    }
    word.nfd().filter(|c| !is_combining_mark(*c)).nfc().collect()
}

/// The words of streets that people cut short, each with the short form that stands for both.
const SHORT_WORDS: &[(&str, &str)] = &[
    ("street", "st"),
    ("saint", "st"),
    ("road", "rd"),
    ("avenue", "ave"),
    ("av", "ave"),
    ("boulevard", "blvd"),
    ("bd", "blvd"),
    ("drive", "dr"),
    ("lane", "ln"),
    ("place", "pl"),
    ("platz", "pl"),
    ("square", "sq"),
    ("court", "ct"),
    ("crescent", "cres"),
    ("terrace", "tce"),
    ("highway", "hwy"),
    ("parkway", "pkwy"),
    ("apartment", "apt"),
    ("flat", "fl"),
    ("floor", "fl"),
    ("suite", "ste"),
    ("building", "bldg"),
    ("house", "hse"),
    ("north", "n"),
    ("south", "s"),
    ("east", "e"),
    ("west", "w"),
    ("mount", "mt"),
    ("number", "no"),
    ("nr", "no"),
    ("strasse", "str"),
    ("straat", "str"),
    ("calle", "c"),
    ("avenida", "avda"),
    ("plaza", "pza"),
    ("rue", "r"),
    ("via", "v"),
    ("viale", "vle"),
    ("piazza", "pza"),
    ("ulica", "ul"),
    ("ulitsa", "ul"),
    ("улица", "ул"),
    ("бульвар", "бул"),
    ("проспект", "просп"),
    ("οδος", "οδ"),
    ("λεωφορος", "λεωφ"),
];

/// Adds a word to `out` in its short form, when it has one; a compound's last part too, as in
/// `hauptstrasse`.
fn push_short_word(word: &str, out: &mut String) {
    if let Some((_, short)) = SHORT_WORDS.iter().find(|(long, _)| *long == word) {
        out.push_str(short);
    } else if let Some(front) = word.strip_suffix("strasse").or_else(|| word.strip_suffix("straat"))
    {
        out.push_str(front);
        out.push_str("str");
    } else {
        out.push_str(word);
    }
}

/// Whether two near parts differ so little that a slip is likely: not at all, because one of them
/// is not given, or by one letter in more than three.
pub(super) fn is_slip(first: &str, second: &str) -> bool {
    let is_long = |text: &str| text.chars().nth(3).is_some();
    first.is_empty()
        || second.is_empty()
        || (is_one_edit(first, second) && is_long(first) && is_long(second))
}

/// Whether two texts are equal or one letter apart: one changed, put in, left out, or two
/// neighbours swapped (a Damerau-Levenshtein distance of one at most).
pub(super) fn is_one_edit(first: &str, second: &str) -> bool {
    let front = first.chars().zip(second.chars()).take_while(|(a, b)| a == b);
    let front: usize = front.map(|(c, _)| c.len_utf8()).sum();
    let (first, second) = (&first[front..], &second[front..]);
    let back = first.chars().rev().zip(second.chars().rev()).take_while(|(a, b)| a == b);
    let back: usize = back.map(|(c, _)| c.len_utf8()).sum();
    let (first, second) = (&first[..first.len() - back], &second[..second.len() - back]);
    let (mut a, mut b) = (first.chars(), second.chars());
    match (a.next(), a.next(), a.next(), b.next(), b.next(), b.next()) {
        (_, None, _, _, None, _) => true,
        (Some(a), Some(b), None, Some(c), Some(d), None) => a == d && b == c,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_writing_varies_is_taken_away() {
        for (first, second) in [
            ("Ada  MARLOW", "ada marlow"),
            ("O'Neil", "O’Neil"),
            ("O'Neil", "ONEIL"),
            ("P.O. Box 7", "PO Box, 7"),
            ("12, Long-Street", "12 long street"),
            ("Große Straße", "GROSSE STRASSE"),
            ("Οδός Ακακιών", "ΟΔΌΣ ΑΚΑΚΙΏΝ"),
            ("Ａｄａ", "Ada"),
            ("Nystro\u{308}m", "Nyström"),
            ("ﬁne", "fine"),
            (" (Ada) ", "ada"),
        ] {
            assert_eq!(fold_text(first), fold_text(second), "{first} {second}");
        }
    }

    #[test]
    fn what_matters_stays() {
        for (first, second) in [
            ("Flat 1, 23 Long Street", "Flat 12, 3 Long Street"),
            ("12 3", "123"),
            ("Müller", "Muller"),
            ("Işık", "Isik"),
            ("Long St", "Long Street"),
            ("12.3", "123"),
        ] {
            assert_ne!(fold_text(first), fold_text(second), "{first} {second}");
        }
    }

    #[test]
    fn slips_are_near_and_other_names_are_not() {
        assert!(is_slip("adamarlow", "adamarlwo"));
        assert!(is_slip("adamarlow", "adamarow"));
        assert!(is_slip("", "riverbooks"));
        assert!(!is_slip("adamarlow", "idamarlew"));
        assert!(!is_slip("tom", "tim"));
        assert!(is_slip("12longmeadowst", "13longmeadowst"));
    }

    /// Against strsim, over all pairs of short words of three letters.
    #[test]
    fn one_edit_is_a_distance_of_one() {
        let mut words = vec![String::new()];
        for length in 0..4 {
            let longer: Vec<String> = words
                .iter()
                .filter(|word| word.chars().count() == length)
                .flat_map(|word| ["a", "b", "é"].map(|letter| format!("{word}{letter}")))
                .collect();
            words.extend(longer);
        }
        for first in &words {
            for second in &words {
                let distance = strsim::damerau_levenshtein(first, second);
                assert_eq!(is_one_edit(first, second), distance <= 1, "{first} {second}");
            }
        }
    }

    fn shorten_word(word: &str) -> String {
        let mut short = String::new();
        push_short_word(word, &mut short);
        short
    }

    #[test]
    fn street_words_have_one_short_form() {
        for (long, short) in
            [("street", "st"), ("hauptstrasse", "hauptstr"), ("улица", "ул"), ("heron", "heron")]
        {
            assert_eq!(shorten_word(long), short);
            assert_eq!(shorten_word(short), short);
        }
        for (_, short) in SHORT_WORDS {
            assert_eq!(shorten_word(short), *short, "short forms are final");
        }
    }
}
