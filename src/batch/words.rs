//! The words that a tag can be made of.
//!
//! In: titles and names. Out: their words in order of how well each would do. Not here: which of
//! them is still free in the batch (`tags`).

use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use super::likeness::fold_text;

/// The most characters of a made tag.
pub(super) const MOST_CHARACTERS: usize = 12;

/// What a word is made of; the later, the worse a tag it makes. Numbers and sizes make none: a tag
/// `30` would be read as a place on the bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum WordKind {
    /// Letters only.
    Letters,
    /// Letters and digits, such as `M800`.
    Mixed,
}

/// A word that may become a tag.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Word {
    /// As it is compared: without case.
    pub(super) folded: String,
    /// As it is shown: its first letter a capital, accents kept.
    pub(super) shown: String,
    /// What it is made of.
    pub(super) kind: WordKind,
}

/// The words of a text that can stand as a tag, in order.
pub(super) fn list_words(text: &str) -> Vec<Word> {
    let text: String = text.nfc().collect();
    let is_inside = |c: char| c.is_alphanumeric() || is_combining_mark(c);
    text.split(|c| !is_inside(c)).filter_map(read_word).collect()
}

/// A word, unless it is too short, too long or says nothing.
fn read_word(text: &str) -> Option<Word> {
    let length = text.chars().count();
    let first = text.chars().next()?;
    let kind = tell_kind(text)?;
    // Two letters of an alphabet are an abbreviation; two of a script of words are a word.
    let fewest = if first >= '\u{2e80}' { 2 } else { 3 };
    let folded = fold_text(text);
    if !(fewest..=MOST_CHARACTERS).contains(&length)
        || STOP_WORDS.binary_search(&folded.as_str()).is_ok()
    {
        return None;
    }
    Some(Word { shown: capitalise(text), folded, kind })
}

/// What a word is made of; none when it is a number or a size.
fn tell_kind(text: &str) -> Option<WordKind> {
    let letters = text.trim_start_matches(|c: char| c.is_numeric());
    let lower = letters.to_lowercase();
    let has_unit = letters.len() < text.len() && UNITS.contains(&lower.as_str());
    if letters.is_empty() || has_unit || SIZES.contains(&text) {
        return None;
    }
    let is_mixed = text.contains(char::is_numeric);
    Some(if is_mixed { WordKind::Mixed } else { WordKind::Letters })
}

/// A word with a capital in front; one all in capitals is written small behind it.
fn capitalise(text: &str) -> String {
    let mut letters = text.chars();
    let Some(first) = letters.next() else { return String::new() };
    let rest = letters.as_str();
    let shouted = !text.chars().any(char::is_lowercase) && !text.chars().any(char::is_numeric);
    let rest = if shouted { rest.to_lowercase() } else { rest.to_owned() };
    first.to_uppercase().chain(rest.chars()).collect()
}

/// What follows a number when it is a size.
const UNITS: &[&str] =
    &["ml", "cl", "l", "mm", "cm", "m", "g", "kg", "oz", "lb", "in", "ft", "x", "st", "nd", "th"];

/// Sizes of clothes and of nibs.
const SIZES: &[&str] = &["XXS", "XS", "XL", "XXL", "XXXL"];

/// Words that tell no parcel from another, folded and sorted: the small words of several languages, forms
/// of address, and what shops put into every title.
#[rustfmt::skip]
const STOP_WORDS: &[&str] = &[
    "aan", "alle", "and", "auf", "aus", "avec", "bei", "bez", "box", "caja", "com", "con",
    "condition", "czy", "da", "dalla", "das", "de", "degli", "dei", "del", "della", "delle", "dem",
    "den", "der", "des", "det", "die", "dla", "dos", "dott", "dr", "een", "ein", "eine", "einem",
    "einen", "einer", "eines", "et", "ett", "for", "fra", "fran", "frau", "from", "från", "för",
    "für", "gli", "herr", "het", "item", "jako", "kit", "las", "les", "los", "mais", "med", "mint",
    "mit", "mme", "more", "mr", "mrs", "ms", "muy", "nad", "neu", "new", "nie", "not", "nouveau",
    "nowy", "nuevo", "nuovo", "och", "oder", "old", "one", "only", "op", "oraz", "order", "oude",
    "over", "pack", "pair", "para", "parcel", "pcs", "per", "piece", "pieces", "plus", "pod", "por",
    "pour", "prof", "przez", "que", "qui", "sans", "senza", "set", "sin", "size", "som", "some",
    "sous", "stück", "sur", "the", "til", "till", "two", "und", "une", "uno", "used", "van", "very",
    "vom", "von", "voor", "vor", "with", "without", "your", "za", "ze", "zum", "zur", "zwei", "για",
    "και", "με", "μια", "στη", "στην", "στο", "στον", "την", "τησ", "του", "των", "без", "для",
    "или", "как", "над", "под", "при", "про", "што",
];

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> Vec<String> {
        list_words(text).into_iter().map(|word| word.shown).collect()
    }

    #[test]
    fn words_are_taken_out_of_titles() {
        assert_eq!(
            shown("the KINGFISHER pen, for left-handers"),
            ["Kingfisher", "Pen", "Left", "Handers"]
        );
        assert_eq!(shown("Füllfeder mit Goldfeder"), ["Füllfeder", "Goldfeder"]);
        assert_eq!(shown("e\u{301}toile"), ["Étoile"]);
        assert_eq!(shown("πένα για ΣΧΈΔΙΟ"), ["Πένα", "Σχέδιο"]);
        assert_eq!(shown("Unpronounceableword"), [""; 0]);
        assert_eq!(shown("McTavish iPen"), ["McTavish", "IPen"]);
        assert_eq!(shown(""), [""; 0]);
    }

    #[test]
    fn numbers_and_sizes_are_no_words() {
        assert_eq!(shown("ink M800 51 30ml 2nd XL 7½"), ["Ink", "M800"]);
        let kinds: Vec<_> = list_words("ink M800").iter().map(|word| word.kind).collect();
        assert_eq!(kinds, [WordKind::Letters, WordKind::Mixed]);
    }

    #[test]
    fn stop_words_are_sorted_and_folded() {
        let mut sorted = STOP_WORDS.to_vec();
        sorted.sort_unstable();
        sorted.dedup();
        assert_eq!(sorted, STOP_WORDS);
        assert!(STOP_WORDS.iter().all(|word| fold_text(word) == *word));
    }
}
