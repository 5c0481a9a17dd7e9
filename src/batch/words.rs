//! The words that a tag can be made of.
//!
//! In: titles and names, in bench order. Out: the words in them that say something, each with a
//! number, in how many parcels each stands so far, and how well it tells its parcel from others.
//! Not here: which of them is still free in the batch (`tags`).

use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

use foldhash::fast::FixedState;
use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use super::goods::is_goods_word;
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
    /// Whether it names a kind of goods, a size, a colour or a stuff, or the shop: it says little.
    pub(super) is_plain: bool,
}

/// A word stands in the parcels of a whole kind when it stands in this many and in half of all.
const FEWEST_COMMON: u32 = 3;

/// How many titles' words are kept: titles come again soon or not at all, and every one of a large batch
/// would take more than its order.
const MOST_TITLES: usize = 4096;

/// The words of a batch, each known by a number; what the last titles have was found once for all parcels.
#[derive(Default)]
pub(super) struct Vocabulary<'a> {
    /// The words, by number.
    words: Vec<Word>,
    /// In how many parcels each word stands so far, by number.
    frequency: Vec<u32>,
    /// Whether a word was ever found in half of the parcels, by number.
    is_common: Vec<bool>,
    /// How many parcels there are so far.
    parcels: u32,
    /// Which words parcels of several orders have, as parcel and word.
    shared: HashSet<(usize, usize)>,
    /// The words of the shop's name, folded.
    shop: HashSet<String>,
    /// The number of each folded word.
    numbers: HashMap<String, usize, FixedState>,
    /// The words of the last titles.
    titles: HashMap<&'a str, Box<[usize]>, FixedState>,
    /// The number of each word as it was written; none for one that cannot stand as a tag.
    written: HashMap<Box<str>, Option<usize>, FixedState>,
}

impl<'a> Vocabulary<'a> {
    /// Takes the words of the shop's name for plain ones.
    pub(super) fn new(shop_name: &str) -> Vocabulary<'a> {
        let words = list_words(shop_name).into_iter();
        Vocabulary { shop: words.map(|word| word.folded).collect(), ..Vocabulary::default() }
    }

    /// The word behind a number.
    pub(super) fn word(&self, number: usize) -> &Word {
        &self.words[number]
    }

    /// How many words there are.
    pub(super) fn len(&self) -> usize {
        self.words.len()
    }

    /// How many parcels were counted so far.
    pub(super) fn parcel_count(&self) -> u32 {
        self.parcels
    }

    /// In how many of the parcels so far a word stands.
    pub(super) fn frequency(&self, number: usize) -> u32 {
        self.frequency[number]
    }

    /// Counts a further parcel.
    pub(super) fn begin_parcel(&mut self) {
        self.parcels += 1;
    }

    /// Counts the words of an order's titles, each once in its parcel; `shared` is the parcel's
    /// number when it has several orders. Returns the words that have become common by it, in the
    /// order of the titles.
    pub(super) fn count(
        &mut self,
        titles: impl Iterator<Item = &'a str> + Clone,
        shared: Option<usize>,
    ) -> Vec<usize> {
        for title in titles.clone() {
            if !self.titles.contains_key(title) {
                let numbers = self.number_words(title);
                if self.titles.len() >= MOST_TITLES {
                    self.titles.clear();
                }
                self.titles.insert(title, numbers.into());
            }
        }
        let mut turned = Vec::new();
        for number in self.list_distinct(titles) {
            if shared.is_some_and(|parcel| !self.shared.insert((parcel, number))) {
                continue;
            }
            let count = self.frequency[number] + 1;
            self.frequency[number] = count;
            if count >= FEWEST_COMMON && count >= self.parcels.div_ceil(2) {
                let was_common = std::mem::replace(&mut self.is_common[number], true);
                turned.extend((!was_common).then_some(number));
            }
        }
        turned
    }

    /// Whether a word was ever found in half of the parcels, and in three at least.
    pub(super) fn is_common(&self, number: usize) -> bool {
        self.is_common[number]
    }

    /// The words of counted titles, the best tags first: those that are not common, names before
    /// kinds of goods, letters before digits, then the word of the fewest parcels, then the first in
    /// the titles.
    pub(super) fn rank(&self, titles: impl Iterator<Item = &'a str>) -> Vec<usize> {
        let mut numbers = self.list_distinct(titles);
        numbers.sort_by_key(|&number| {
            let word = &self.words[number];
            (self.is_common[number], word.is_plain, word.kind, self.frequency[number])
        });
        numbers
    }

    /// The words of counted titles, each once, in order.
    fn list_distinct(&self, titles: impl Iterator<Item = &'a str>) -> Vec<usize> {
        let mut numbers = Vec::new();
        let mut add = |number: usize| {
            if !numbers.contains(&number) {
                numbers.push(number);
            }
        };
        for title in titles {
            match self.titles.get(title) {
                Some(known) => known.iter().copied().for_each(&mut add),
                None => self.recall_words(title, &mut add),
            }
        }
        numbers
    }

    /// Gives the words of a title that was counted long ago, in order.
    fn recall_words(&self, title: &str, add: &mut impl FnMut(usize)) {
        let text = compose_accents(title);
        let known = split_words(&text).filter_map(|written| self.written.get(written));
        known.filter_map(|number| *number).for_each(add);
    }

    /// The words of a text, in order; new ones get a number.
    pub(super) fn number_words(&mut self, text: &str) -> Vec<usize> {
        let text = compose_accents(text);
        let mut numbers = Vec::new();
        for written in split_words(&text) {
            let known = self.written.get(written).copied();
            let number = known.unwrap_or_else(|| {
                let number = read_word(written).map(|word| self.number_word(word));
                self.written.insert(written.into(), number);
                number
            });
            numbers.extend(number);
        }
        numbers
    }

    /// The number of a word, which may be a new one.
    fn number_word(&mut self, word: Word) -> usize {
        if let Some(&known) = self.numbers.get(&word.folded) {
            return known;
        }
        let number = self.words.len();
        self.numbers.insert(word.folded.clone(), number);
        let is_plain = is_goods_word(&word.folded) || self.shop.contains(&word.folded);
        self.words.push(Word { is_plain, ..word });
        self.frequency.push(0);
        self.is_common.push(false);
        number
    }
}

/// The words of a text that can stand as a tag, in order.
fn list_words(text: &str) -> Vec<Word> {
    split_words(&compose_accents(text)).filter_map(read_word).collect()
}

/// A text with letters and their accents in one (NFC).
fn compose_accents(text: &str) -> Cow<'_, str> {
    if text.is_ascii() { text.into() } else { text.nfc().collect::<String>().into() }
}

/// The stretches of a text that are letters and figures alone.
fn split_words(text: &str) -> impl Iterator<Item = &str> {
    let is_inside = |c: char| c.is_alphanumeric() || is_combining_mark(c);
    text.split(move |c| !is_inside(c)).filter(|word| !word.is_empty())
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
    Some(Word { shown: capitalise(text), folded, kind, is_plain: false })
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
