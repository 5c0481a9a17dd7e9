//! Tags: the seller's own are kept and checked, missing ones are made.
//!
//! In: the orders of each parcel in bench order. Out: a tag for each, and what is wrong with those
//! the seller gave. A made tag is the most distinctive word of the parcel's items within the
//! batch, and is confusable with no other tag. Everything here costs a few look-ups a parcel.

use std::collections::HashMap;

use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use super::skeleton::{SkeletonIndex, skeleton};
use super::words::{MOST_CHARACTERS, Vocabulary, WordKind};
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
        maker.taken.add(&bones, parcel);
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
    /// The words of all items, and those names that were asked for.
    vocabulary: Vocabulary<'a>,
    /// The tags there are.
    taken: SkeletonIndex,
    /// By a word's number, whether it was tried: once a taken tag rules it out, it stays out.
    is_tried: Vec<bool>,
    /// The last number tried behind a word, or behind none.
    numbers: HashMap<Option<usize>, u32>,
}

impl<'a> TagMaker<'a> {
    /// Counts the words of all items.
    fn new(parcels: &'a [Vec<&'a Order>]) -> TagMaker<'a> {
        let mut vocabulary = Vocabulary::default();
        for orders in parcels {
            vocabulary.count(list_titles(orders));
        }
        TagMaker {
            parcels,
            vocabulary,
            taken: SkeletonIndex::default(),
            is_tried: Vec::new(),
            numbers: HashMap::new(),
        }
    }

    /// A tag for a parcel: a word of its items, else of its recipient, else a word and a number.
    fn make(&mut self, parcel: usize) -> String {
        let orders = &self.parcels[parcel];
        let items = self.vocabulary.rank(list_titles(orders));
        if let Some(&word) = items.iter().find(|&&word| self.take(word, parcel)) {
            return self.vocabulary.word(word).shown.clone();
        }
        let names = self.list_names(orders);
        if let Some(&word) = names.iter().find(|&&word| self.take(word, parcel)) {
            return self.vocabulary.word(word).shown.clone();
        }
        self.number(items.first().or(names.first()).copied(), parcel)
    }

    /// The words of a recipient: the name's from the last, which is mostly the family's, then the
    /// company's.
    fn list_names(&mut self, orders: &[&Order]) -> Vec<usize> {
        let Some(order) = orders.first() else { return Vec::new() };
        let mut words = self.vocabulary.number_words(&order.ship_to.name);
        words.reverse();
        words.extend(self.vocabulary.number_words(&order.ship_to.company));
        words.retain(|&word| self.vocabulary.word(word).kind == WordKind::Letters);
        words
    }

    /// Takes a word as a parcel's tag; false when it is ruled out.
    fn take(&mut self, word: usize, parcel: usize) -> bool {
        self.is_tried.resize(self.vocabulary.len(), false);
        if std::mem::replace(&mut self.is_tried[word], true) {
            return false;
        }
        let bones = skeleton(&self.vocabulary.word(word).shown);
        let is_free = self.taken.find(&bones).is_none();
        if is_free {
            self.taken.add(&bones, parcel);
        }
        is_free
    }

    /// A word with a number behind it, cut so that both fit; `Parcel` when there is no word.
    ///
    /// The numbers are multiples of 11: one digit changed or two neighbours swapped never make
    /// another of them, because 10 is -1 modulo 11.
    fn number(&mut self, word: Option<usize>, parcel: usize) -> String {
        let base = word.map_or("Parcel", |word| &self.vocabulary.word(word).shown);
        let number = self.numbers.entry(word).or_default();
        loop {
            *number += 11;
            let digits = number.to_string();
            let room = MOST_CHARACTERS.saturating_sub(1 + digits.len());
            let front: String = base.chars().take(room).collect();
            let tag = format!("{front} {digits}");
            let bones = skeleton(&tag);
            if self.taken.find(&bones).is_none() {
                self.taken.add(&bones, parcel);
                return tag;
            }
        }
    }
}

/// The titles of a parcel's items.
fn list_titles<'a>(orders: &'a [&'a Order]) -> impl Iterator<Item = &'a str> + Clone {
    orders.iter().flat_map(|order| order.items.iter()).map(|item| item.label())
}
