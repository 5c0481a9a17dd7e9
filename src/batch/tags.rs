//! Tags: the seller's own are kept and checked, missing ones are made, and for those that are
//! taken for one another a remedy is proposed.
//!
//! In: the orders in bench order and the parcel of each. Out: a tag for each parcel, and what the
//! seller should know about them. Not here: the words of the findings (`tag_report`), and what
//! makes a word a good tag (`words`). Everything costs a few look-ups a parcel.
//!
//! **The rule.** Orders are taken one by one as they lie on the bench, and what is decided for an
//! order depends on nothing behind it. A made tag is the most distinctive word of the parcel's
//! items: names before kinds of goods ([`goods`](super::goods)), letters before digits, then the
//! word of the fewest parcels so far, then the first; when none is free, a word of the recipient;
//! when none of those is, a word with a number. So a run with further orders behind gives every
//! earlier parcel the same tag, without remembering anything, but where it must change it:
//!
//! - a tag that the seller gave a later order would be taken for it;
//! - its word turns out to stand in half of the parcels, and in three at least, so that it tells
//!   none from another;
//! - a later order joins its parcel and brings a tag that the seller gave.
//!
//! Each change is said, as the finding `tag-renamed`, in every run that has the orders that cause
//! it. A tag that was given up is given to no other parcel. An order put in anywhere but at the
//! end moves what lies behind it, and may change the tags there.
//!
//! **The remedy.** Of two given tags that are equal or confusable the earlier is kept. The tag
//! proposed for the later parcel is made at its turn and held free for it whether it is used or
//! not, so that a finding's proposal is what the remedy gives, and no other tag depends on it.

use std::collections::HashMap;

use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use super::Tag;
use super::skeleton::{SkeletonIndex, is_near, skeleton};
use super::tag_report::{Doubt, Loss, Reason, report_tags};
use super::words::{MOST_CHARACTERS, Vocabulary, WordKind};
use crate::findings::Finding;
use crate::orders::Order;

/// Tags longer than this are hard to read across a bench.
const LONGEST_READABLE: usize = 16;

/// How parcels are tagged.
#[derive(Clone, Copy)]
pub(super) struct TagRules<'a> {
    /// The shop's name: its words tell no parcel from another.
    pub(super) shop_name: &'a str,
    /// Whether a given tag that is equal to an earlier one, or confusable with it, is replaced.
    pub(super) fix: bool,
}

/// A tag for each parcel: `parcels` has the orders of each, `parcel_of` the parcel of each order.
pub(super) fn tag_parcels(
    parcels: &[Vec<&Order>],
    parcel_of: &[usize],
    rules: TagRules<'_>,
) -> (Vec<Tag>, Vec<Finding>) {
    let mut tagging = Tagging::new(parcels, rules.shop_name);
    for &parcel in parcel_of {
        tagging.take_order(parcel);
    }
    let tags = tagging.slots.iter().map(|slot| slot.tag(rules.fix)).collect();
    (tags, report_tags(parcels, &tagging.slots, rules.fix))
}

/// What is known of a parcel's tag.
#[derive(Clone, Default)]
pub(super) struct TagSlot<'a> {
    /// How many of its orders have been taken.
    seen: usize,
    /// The order whose tag it has, if the seller gave one.
    pub(super) given: Option<&'a Order>,
    /// What is wrong with the given tag.
    pub(super) doubt: Option<Doubt>,
    /// The earlier parcel whose given tag is kept and is equal to this one or confusable with it.
    pub(super) kept: Option<usize>,
    /// Whether the given tag is hard to read: how many characters it has.
    pub(super) length: Option<usize>,
    /// The tag made for it: its own, or the one proposed instead of the given.
    pub(super) made: Option<String>,
    /// The word that the made tag is, if it is one.
    word: Option<usize>,
    /// The made tags that it had and lost to others, if any.
    pub(super) lost: Option<Loss>,
    /// The tag made for it when an order joined it and brought the given one, and that order, by
    /// its place in the parcel.
    pub(super) joined: Option<(String, usize)>,
}

impl TagSlot<'_> {
    /// The tag that the parcel gets.
    fn tag(&self, fix: bool) -> Tag {
        match (self.given, &self.made) {
            (Some(order), _) if !(fix && self.kept.is_some()) => {
                Tag { text: order.tag.clone(), made: false }
            }
            (_, made) => Tag { text: made.as_deref().unwrap_or_default().into(), made: true },
        }
    }
}

/// The tags of the orders taken so far.
struct Tagging<'a> {
    /// The orders of each parcel.
    parcels: &'a [Vec<&'a Order>],
    /// What is known of each parcel's tag.
    slots: Vec<TagSlot<'a>>,
    /// The words of the items so far, and those names that were asked for.
    vocabulary: Vocabulary<'a>,
    /// The first parcel with each given tag, by how it looks.
    texts: HashMap<String, usize>,
    /// The given tags, each skeleton once.
    given: SkeletonIndex,
    /// The given tags that the remedy keeps.
    kept: SkeletonIndex,
    /// The made tags, those that were given up among them.
    made: SkeletonIndex,
    /// By a word's number, whether it was tried: once a taken tag rules it out, it stays out.
    is_tried: Vec<bool>,
    /// The parcel whose made tag is a word, by the word's number.
    holders: HashMap<usize, usize>,
    /// The last number tried behind a word, or behind none.
    numbers: HashMap<Option<usize>, u32>,
}

impl<'a> Tagging<'a> {
    /// No order taken yet.
    fn new(parcels: &'a [Vec<&'a Order>], shop_name: &str) -> Tagging<'a> {
        Tagging {
            parcels,
            slots: vec![TagSlot::default(); parcels.len()],
            vocabulary: Vocabulary::new(shop_name),
            texts: HashMap::new(),
            given: SkeletonIndex::default(),
            kept: SkeletonIndex::default(),
            made: SkeletonIndex::default(),
            is_tried: Vec::new(),
            holders: HashMap::new(),
            numbers: HashMap::new(),
        }
    }

    /// Takes the next order of a parcel.
    fn take_order(&mut self, parcel: usize) {
        let orders = &self.parcels[parcel];
        let seen = self.slots[parcel].seen;
        let Some(&order) = orders.get(seen) else { return };
        self.slots[parcel].seen = seen + 1;
        if seen == 0 {
            self.vocabulary.begin_parcel();
        }
        let shared = (orders.len() > 1).then_some(parcel);
        for word in self.vocabulary.count(list_titles(&orders[seen..=seen]), shared) {
            if let Some(&holder) = self.holders.get(&word) {
                let count = self.vocabulary.frequency(word);
                let of = self.vocabulary.parcel_count();
                self.rename(holder, Reason::Common { count, of });
            }
        }
        let slot = &self.slots[parcel];
        if slot.given.is_none() && !order.tag.is_empty() {
            self.give(parcel, order);
        } else if slot.given.is_none() && slot.made.is_none() {
            self.make(parcel);
        }
    }

    /// Gives a parcel the tag of one of its orders; made tags give way to it.
    fn give(&mut self, parcel: usize, order: &'a Order) {
        let bones = skeleton(&order.tag);
        let text = plain_form(&order.tag);
        let length = text.chars().filter(|c| !is_combining_mark(*c)).count();
        let doubt = match self.texts.get(&text) {
            Some(&first) => Some(Doubt::Equal(first)),
            None => self.given.find(&bones).map(Doubt::Confusable),
        };
        let kept = self.kept.find(&bones);
        let slot = &mut self.slots[parcel];
        slot.given = Some(order);
        slot.doubt = doubt;
        slot.kept = kept;
        slot.length = (length > LONGEST_READABLE).then_some(length);
        // What was made before stays the proposal, so that the remedy need not change it.
        slot.joined = slot.made.clone().map(|made| (made, slot.seen - 1));
        let needs_better = doubt.is_some() || slot.length.is_some();
        if kept.is_none() {
            self.kept.add(&bones, parcel);
        }
        if !matches!(doubt, Some(Doubt::Equal(_))) {
            self.given.add(&bones, parcel);
            self.texts.insert(text, parcel);
        }
        for near in self.made.list(&bones) {
            // A tag that the parcel still has, and not one that it gave up.
            let is_held = |made: &String| is_near(&skeleton(made), &bones);
            if self.slots[near].made.as_ref().is_some_and(is_held) {
                self.rename(near, Reason::Given { parcel });
            }
        }
        if needs_better && self.slots[parcel].made.is_none() {
            self.make(parcel);
        }
    }

    /// Makes another tag for a parcel whose made tag cannot stay.
    fn rename(&mut self, parcel: usize, reason: Reason) {
        self.lose(parcel, reason);
        self.make(parcel);
    }

    /// Takes the tag made for a parcel from it, and notes that it was in use, if it was.
    fn lose(&mut self, parcel: usize, reason: Reason) {
        let slot = &mut self.slots[parcel];
        if let Some(word) = slot.word.take() {
            self.holders.remove(&word);
        }
        if let (Some(old), None) = (slot.made.take(), slot.given) {
            let mut tags = slot.lost.take().map(|loss| loss.tags).unwrap_or_default();
            tags.push(old);
            slot.lost = Some(Loss { tags, reason });
        }
    }

    /// Makes a tag for a parcel: a word of its items, else of its recipient, else a word and a
    /// number.
    fn make(&mut self, parcel: usize) {
        let orders = &self.parcels[parcel][..self.slots[parcel].seen];
        let items = self.vocabulary.rank(list_titles(orders));
        let mut word = items.iter().copied().find(|&word| self.take(word, parcel));
        let mut names = Vec::new();
        if word.is_none() {
            names = self.list_names(orders);
            word = names.iter().copied().find(|&word| self.take(word, parcel));
        }
        let text = match word {
            Some(word) => self.vocabulary.word(word).shown.clone(),
            None => self.number(items.first().or(names.first()).copied(), parcel),
        };
        let slot = &mut self.slots[parcel];
        slot.word = word;
        slot.made = Some(text);
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
        if self.vocabulary.is_common(word) || std::mem::replace(&mut self.is_tried[word], true) {
            return false;
        }
        let bones = skeleton(&self.vocabulary.word(word).shown);
        let is_free = self.is_free(&bones);
        if is_free {
            self.made.add(&bones, parcel);
            self.holders.insert(word, parcel);
        }
        is_free
    }

    /// Whether no tag is confusable with a skeleton.
    fn is_free(&self, bones: &str) -> bool {
        self.given.find(bones).is_none() && self.made.find(bones).is_none()
    }

    /// A word with a number behind it, cut so that both fit; `Parcel` when there is no word.
    ///
    /// The numbers are multiples of 11: one digit changed or two neighbours swapped never make
    /// another of them, because 10 is -1 modulo 11.
    fn number(&mut self, word: Option<usize>, parcel: usize) -> String {
        let base = word.map_or("Parcel", |word| &self.vocabulary.word(word).shown);
        let mut number = self.numbers.get(&word).copied().unwrap_or_default();
        let (tag, bones) = loop {
            number += 11;
            let digits = number.to_string();
            let room = MOST_CHARACTERS.saturating_sub(1 + digits.len());
            let front: String = base.chars().take(room).collect();
            let tag = format!("{front} {digits}");
            let bones = skeleton(&tag);
            if self.is_free(&bones) {
                break (tag, bones);
            }
        };
        self.numbers.insert(word, number);
        self.made.add(&bones, parcel);
        tag
    }
}

/// A tag as it looks: composed, with single spaces.
fn plain_form(tag: &str) -> String {
    let words: Vec<String> = tag.split_whitespace().map(|word| word.nfc().collect()).collect();
    words.join(" ")
}

/// The titles of orders' items.
fn list_titles<'a>(orders: &'a [&'a Order]) -> impl Iterator<Item = &'a str> + Clone {
    orders.iter().flat_map(|order| order.items.iter()).map(|item| item.label())
}
