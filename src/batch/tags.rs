//! Tags: the seller's own are kept and checked, missing ones are made.
//!
//! In: the orders of each parcel in bench order. Out: a tag for each, and what is wrong with those
//! the seller gave. A made tag is the most distinctive word of the parcel's items within the
//! batch, and is confusable with no other tag. Everything here costs a few look-ups a parcel.

use std::collections::{HashMap, HashSet};

use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use super::skeleton::{SkeletonIndex, skeleton};
use super::words::{MOST_CHARACTERS, Word, WordKind, list_words};
use super::{Tag, subject_of};
use crate::diag::Diagnostic;
use crate::orders::Order;

/// Tags longer than this are hard to read across a bench.
const LONGEST_READABLE: usize = 16;

/// A tag for each parcel; `parcels` has the orders of each.
pub(super) fn tag_parcels(parcels: &[Vec<&Order>]) -> (Vec<Tag>, Vec<Diagnostic>) {
    let mut maker = TagMaker::new(parcels);
    let given: Vec<Option<&Order>> = parcels
        .iter()
        .map(|orders| orders.iter().copied().find(|order| !order.tag.is_empty()))
        .collect();
    let doubts = check_given(&given, &mut maker);
    let tags: Vec<Tag> = given
        .iter()
        .enumerate()
        .map(|(parcel, given)| match given {
            Some(order) => Tag { text: order.tag.clone(), made: false },
            None => Tag { text: maker.make(parcel).into(), made: true },
        })
        .collect();
    let mut found = Vec::new();
    for doubt in doubts {
        found.push(describe_doubt(&doubt, parcels, &given, &mut maker));
    }
    found.extend(report_unused(parcels, &given));
    (tags, found)
}

/// What is wrong with a tag that the seller gave.
enum Doubt {
    /// It is the same as an earlier one.
    Equal(usize, usize),
    /// It is confusable with an earlier one.
    Confusable(usize, usize),
    /// It is long.
    Long(usize, usize),
}

/// Checks the given tags against one another, and files them so that made ones keep clear of them.
fn check_given(given: &[Option<&Order>], maker: &mut TagMaker<'_>) -> Vec<Doubt> {
    let mut doubts = Vec::new();
    let mut texts: HashMap<String, usize> = HashMap::new();
    for (parcel, order) in given.iter().enumerate() {
        let Some(order) = order else { continue };
        let text = plain_form(&order.tag);
        let length = text.chars().filter(|c| !is_combining_mark(*c)).count();
        if length > LONGEST_READABLE {
            doubts.push(Doubt::Long(parcel, length));
        }
        let bones = skeleton(&order.tag);
        if let Some(&first) = texts.get(&text) {
            doubts.push(Doubt::Equal(first, parcel));
        } else {
            if let Some(first) = maker.taken.find(&bones) {
                doubts.push(Doubt::Confusable(first, parcel));
            }
            texts.insert(text, parcel);
        }
        maker.taken.add(bones, parcel);
    }
    doubts
}

/// A tag as it looks: composed, with single spaces.
fn plain_form(tag: &str) -> String {
    let words: Vec<String> = tag.split_whitespace().map(|word| word.nfc().collect()).collect();
    words.join(" ")
}

/// A doubt as a diagnostic, with a tag that would do instead.
fn describe_doubt(
    doubt: &Doubt,
    parcels: &[Vec<&Order>],
    given: &[Option<&Order>],
    maker: &mut TagMaker<'_>,
) -> Diagnostic {
    let tag = |parcel: usize| given[parcel].map(|order| &*order.tag).unwrap_or_default();
    let place = |parcel: usize| given[parcel].and_then(|order| order.tag_span);
    let name = |parcel: usize| subject_of(&parcels[parcel], parcel).order;
    let (parcel, diagnostic) = match *doubt {
        Doubt::Equal(first, parcel) => {
            let message = format!(
                "orders `{}` and `{}` both have the tag `{}`",
                name(first),
                name(parcel),
                tag(parcel)
            );
            (parcel, with_first(Diagnostic::error("equal-tags", message), place(first)))
        }
        Doubt::Confusable(first, parcel) => {
            let message = format!(
                "the tag `{}` is easily taken for `{}` of order `{}`",
                tag(parcel),
                tag(first),
                name(first)
            );
            (parcel, with_first(Diagnostic::warning("confusable-tags", message), place(first)))
        }
        Doubt::Long(parcel, length) => {
            let message = format!(
                "the tag `{}` has {length} characters and cannot be read from far",
                tag(parcel)
            );
            (parcel, Diagnostic::warning("long-tag", message))
        }
    };
    let better = maker.make(parcel);
    diagnostic
        .at(place(parcel))
        .subject(subject_of(&parcels[parcel], parcel))
        .hint(format!("give order `{}` the tag `{better}`, or leave its tag out", name(parcel)))
}

/// A diagnostic that also shows the earlier tag.
fn with_first(diagnostic: Diagnostic, place: Option<crate::source::Span>) -> Diagnostic {
    match place {
        Some(place) => diagnostic.related(place, "the other tag is here"),
        None => diagnostic,
    }
}

/// Notes the tags that combined orders had and their parcel does not.
fn report_unused(parcels: &[Vec<&Order>], given: &[Option<&Order>]) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (parcel, orders) in parcels.iter().enumerate().filter(|(_, orders)| orders.len() > 1) {
        let Some(used) = given[parcel] else { continue };
        for order in orders.iter().filter(|order| !order.tag.is_empty() && order.tag != used.tag) {
            let message = format!(
                "the tag `{}` is not used: order `{}` shares the parcel `{}`",
                order.tag, order.id, used.tag
            );
            found.push(
                Diagnostic::note("unused-tag", message)
                    .at(order.tag_span)
                    .subject(subject_of(orders, parcel))
                    .hint(format!("take the tag `{}` off the bag of this parcel", order.tag)),
            );
        }
    }
    found
}

/// Makes tags that are confusable with none before them.
struct TagMaker<'a> {
    /// The orders of each parcel.
    parcels: &'a [Vec<&'a Order>],
    /// In how many parcels each word stands.
    frequency: HashMap<String, u32>,
    /// The tags there are.
    taken: SkeletonIndex,
    /// Words that a taken tag rules out.
    ruled_out: HashSet<String>,
    /// The last number tried behind a word.
    numbers: HashMap<String, u32>,
}

impl<'a> TagMaker<'a> {
    /// Counts the words of all items.
    fn new(parcels: &'a [Vec<&'a Order>]) -> TagMaker<'a> {
        let mut frequency: HashMap<String, u32> = HashMap::new();
        for orders in parcels {
            for word in item_words(orders) {
                *frequency.entry(word.folded).or_default() += 1;
            }
        }
        TagMaker {
            parcels,
            frequency,
            taken: SkeletonIndex::default(),
            ruled_out: HashSet::new(),
            numbers: HashMap::new(),
        }
    }

    /// A tag for a parcel: a word of its items, else of its recipient, else a word and a number.
    fn make(&mut self, parcel: usize) -> String {
        let parcels = self.parcels;
        let orders = &parcels[parcel];
        let mut words = item_words(orders);
        words.sort_by_key(|word| (word.kind, self.frequency.get(&word.folded).copied()));
        words.extend(recipient_words(orders));
        let free = words.iter().find(|word| self.take(&word.shown, &word.folded, parcel));
        if let Some(word) = free {
            return word.shown.clone();
        }
        let base = words.into_iter().next();
        self.number(base.map_or_else(|| "Parcel".to_owned(), |word| word.shown), parcel)
    }

    /// Takes a word as a parcel's tag; false when it is ruled out.
    fn take(&mut self, shown: &str, folded: &str, parcel: usize) -> bool {
        if self.ruled_out.contains(folded) {
            return false;
        }
        self.ruled_out.insert(folded.to_owned());
        let bones = skeleton(shown);
        let is_free = self.taken.find(&bones).is_none();
        if is_free {
            self.taken.add(bones, parcel);
        }
        is_free
    }

    /// A word with a number behind it, cut so that both fit.
    ///
    /// The numbers are multiples of 11: one digit changed or two neighbours swapped never make
    /// another of them, because 10 is -1 modulo 11.
    fn number(&mut self, base: String, parcel: usize) -> String {
        let mut number = self.numbers.get(&base).copied().unwrap_or(0);
        loop {
            number += 11;
            let digits = number.to_string();
            let room = MOST_CHARACTERS.saturating_sub(1 + digits.len());
            let front: String = base.chars().take(room).collect();
            let tag = format!("{front} {digits}");
            let bones = skeleton(&tag);
            if self.taken.find(&bones).is_none() {
                self.taken.add(bones, parcel);
                self.numbers.insert(base, number);
                return tag;
            }
        }
    }
}

/// The words of a parcel's items, each once, in order.
fn item_words(orders: &[&Order]) -> Vec<Word> {
    let items = orders.iter().flat_map(|order| &order.items);
    let mut words: Vec<Word> = Vec::new();
    for word in items.flat_map(|item| list_words(item.label())) {
        if !words.iter().any(|known| known.folded == word.folded) {
            words.push(word);
        }
    }
    words
}

/// The words of a recipient: the name's from the last, which is mostly the family's, then the
/// company's.
fn recipient_words(orders: &[&Order]) -> Vec<Word> {
    let Some(order) = orders.first() else { return Vec::new() };
    let names = list_words(&order.ship_to.name).into_iter().rev();
    let words = names.chain(list_words(&order.ship_to.company));
    words.filter(|word| word.kind == WordKind::Letters).collect()
}
