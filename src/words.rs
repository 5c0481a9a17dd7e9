//! How messages put counts, lists, lengths of text and words that are nearly right.
//!
//! One function for each, so that the same thing is said alike everywhere.

use std::borrow::Cow;
use std::fmt::Display;

/// Ranges that a list of numbers shows; the rest is an ellipsis.
const MOST_RANGES: usize = 8;

/// Characters that a message shows of a text that may be long.
const SHOWN_CHARACTERS: usize = 40;

/// Characters of a whole message; ours, three times the longest that the tests hold. A value with
/// backticks in it cannot be told from the words around it, and is cut by this.
const MOST_MESSAGE: usize = 2_000;

/// A count with its noun, which gets an `s` for all but one.
#[must_use]
pub(crate) fn counted<N: Display + PartialEq + From<u8>>(count: N, noun: &str) -> String {
    let plural = if count == N::from(1) { "" } else { "s" };
    format!("{count} {noun}{plural}")
}

/// What a message shows of a text that may be long.
#[must_use]
pub(crate) fn shorten(text: &str) -> String {
    shorten_to(text, SHOWN_CHARACTERS)
}

/// The first `most` characters of a text, with an ellipsis when there are more.
#[must_use]
pub(crate) fn shorten_to(text: &str, most: usize) -> String {
    match text.char_indices().nth(most) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// A message whose values, which stand in backticks, have at most `most` characters each, and which
/// is itself no longer than [`MOST_MESSAGE`].
#[must_use]
pub(crate) fn shorten_values(message: String, most: usize) -> String {
    if message.len() <= most {
        return message;
    }
    let parts = message.split('`').enumerate().map(|(index, part)| match index % 2 {
        0 => part.to_owned(),
        _ => shorten_to(part, most),
    });
    shorten_to(&parts.collect::<Vec<_>>().join("`"), MOST_MESSAGE)
}

/// Whether a terminal obeys a character instead of showing it, or breaks or turns the line at it:
/// C0, DEL and C1, the separators of lines and paragraphs, and what steers the direction of text
/// (the `Bidi_Control` property of Unicode's PropList.txt).
#[must_use]
pub(crate) fn is_obeyed(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}')
        || matches!(c, '\u{2066}'..='\u{2069}')
}

/// A text with every character that a terminal would obey as an escape such as `\u{1b}`.
#[must_use]
pub(crate) fn escape_obeyed(text: &str) -> Cow<'_, str> {
    escape_but(text, &[])
}

/// The same, but for the characters that are `ours`.
#[must_use]
pub(crate) fn escape_but<'a>(text: &'a str, ours: &[char]) -> Cow<'a, str> {
    let is_escaped = |c: char| is_obeyed(c) && !ours.contains(&c);
    if !text.contains(is_escaped) {
        return Cow::Borrowed(text);
    }
    let mut escaped = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        match is_escaped(c) {
            true => escaped.extend(c.escape_default()),
            false => escaped.push(c),
        }
    }
    Cow::Owned(escaped)
}

/// A number with at most so many decimals, and none that are zeros at its end.
#[must_use]
pub(crate) fn trim_decimals(number: f64, most: usize) -> String {
    let text = format!("{number:.most$}");
    match trim_zeros(&text) {
        "-0" => "0".to_owned(),
        trimmed => trimmed.to_owned(),
    }
}

/// A number's digits without the zeros that end its decimals.
#[must_use]
pub(crate) fn trim_zeros(digits: &str) -> &str {
    match digits.contains('.') {
        true => digits.trim_end_matches('0').trim_end_matches('.'),
        false => digits,
    }
}

/// Whether a text is digits and nothing else; an empty one is none.
#[must_use]
pub(crate) fn is_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

/// Whether a text is a number that a spreadsheet has cut short, such as `3,40434E+17`: the digits that it
/// left out are nowhere.
#[must_use]
pub(crate) fn is_cut_short(text: &str) -> bool {
    text.split_once(['E', 'e']).is_some_and(|(digits, power)| {
        let digits = digits.split(['.', ',']).collect::<Vec<_>>();
        digits.len() == 2
            && digits.iter().all(|digits| is_digits(digits))
            && power.strip_prefix('+').is_some_and(is_digits)
    })
}

/// The known word most like `word`, if one is near enough to be meant.
///
/// Near means a Damerau-Levenshtein distance of at most a third of the longer word (two at
/// least for words of four letters and more), with case and `-`, `_`, space taken as equal; ties go to the
/// first in the list.
#[must_use]
pub(crate) fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let fold = |text: &str| text.to_lowercase().replace(['-', ' '], "_");
    let word = fold(word);
    known
        .into_iter()
        .map(|candidate| {
            let folded = fold(candidate);
            let longer = word.chars().count().max(folded.chars().count());
            let allowed = if longer < 4 { 1 } else { (longer / 3).max(2) };
            (strsim::damerau_levenshtein(&word, &folded), allowed, candidate)
        })
        .filter(|(distance, allowed, _)| distance <= allowed)
        .min_by_key(|(distance, _, _)| *distance)
        .map(|(_, _, candidate)| candidate)
}

/// A hint that proposes the known word nearest to `word`, or lists all of them when none is near.
#[must_use]
pub(crate) fn did_you_mean(word: &str, known: &[&str]) -> Option<String> {
    match nearest(word, known.iter().copied()) {
        Some(near) => Some(format!("did you mean `{near}`?")),
        None if known.is_empty() => None,
        None => Some(format!("known here: {}", list_words(known.iter().copied()))),
    }
}

/// Words as a list in backticks: `` `a`, `b`, `c` ``.
#[must_use]
pub(crate) fn list_words<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    words.into_iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")
}

/// Words as a list that ends in `and`: `a, b and c`.
#[must_use]
pub(crate) fn join_and(words: &[&str]) -> String {
    match words {
        [front @ .., before, last] => {
            [front, &[&*format!("{before} and {last}")]].concat().join(", ")
        }
        few => few.concat(),
    }
}

/// Sorted numbers as a list of ranges: `2, 4-9, 12`.
#[must_use]
pub(crate) fn list_ranges(sorted: &[usize]) -> String {
    let mut ranges: Vec<(usize, usize)> = Vec::new();
    for &number in sorted {
        let more = ranges.len() > MOST_RANGES;
        match ranges.last_mut() {
            Some((_, end)) if end.checked_add(1) == Some(number) => *end = number,
            _ if more => break,
            _ => ranges.push((number, number)),
        }
    }
    let more = ranges.len() > MOST_RANGES;
    ranges.truncate(MOST_RANGES);
    let mut words: Vec<String> = ranges
        .into_iter()
        .map(|(start, end)| match start == end {
            true => start.to_string(),
            false => format!("{start}-{end}"),
        })
        .collect();
    if more {
        words.push("…".to_owned());
    }
    words.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_have_their_noun_and_long_texts_an_end() {
        assert_eq!(counted(1, "parcel"), "1 parcel");
        assert_eq!(counted(0, "parcel"), "0 parcels");
        assert_eq!(shorten_to("Κέλπιε", 3), "Κέλ…");
        assert_eq!(shorten_to("Κέλπιε", 6), "Κέλπιε");
    }

    #[test]
    fn values_in_messages_are_cut_and_words_are_not() {
        let long = "x".repeat(90);
        let words = "y".repeat(90);
        let cut = shorten_values(format!("{words} `{long}` and `b`"), 80);
        assert_eq!(cut, format!("{words} `{}…` and `b`", "x".repeat(80)));
        let hostile = shorten_values(format!("found `{}`", "a`b".repeat(100_000)), 80);
        assert_eq!(hostile.chars().count(), MOST_MESSAGE + 1);
        assert_eq!(shorten_values("short `a`".into(), 80), "short `a`");
    }

    #[test]
    fn decimals_end_where_they_say_nothing_more() {
        let shown = [12.5, 12.0, 100.0, 0.125, -0.001].map(|number| trim_decimals(number, 2));
        assert_eq!(shown, ["12.5", "12", "100", "0.12", "0"]);
        assert_eq!(
            (trim_zeros("1.250"), trim_zeros("100"), trim_zeros("0.0")),
            ("1.25", "100", "0")
        );
    }

    #[test]
    fn nothing_is_no_digits() {
        assert!(is_digits("007"));
        assert!(!is_digits("") && !is_digits("1.0") && !is_digits("٣"));
    }

    #[test]
    fn near_words_are_proposed_and_far_ones_are_not() {
        let known = ["postcode", "country", "lines", "at"];
        assert_eq!(nearest("postocde", known), Some("postcode"));
        assert_eq!(nearest("Post-Code", known), Some("postcode"));
        assert_eq!(nearest("zip", known), None);
        assert_eq!(nearest("ta", known), Some("at"));
        assert_eq!(did_you_mean("zzz", &["a", "b"]).as_deref(), Some("known here: `a`, `b`"));
    }

    #[test]
    fn long_lists_end_in_an_ellipsis() {
        let odd: Vec<usize> = (0..1000).map(|number| number * 2 + 1).collect();
        assert_eq!(list_ranges(&odd), "1, 3, 5, 7, 9, 11, 13, 15, …");
        assert_eq!(list_ranges(&odd[..8]), "1, 3, 5, 7, 9, 11, 13, 15");
        assert_eq!(list_ranges(&[usize::MAX - 1, usize::MAX]).matches('-').count(), 1);
        assert_eq!(list_ranges(&[]), "");
    }
}
