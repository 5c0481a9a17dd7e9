//! Tags: the seller's own are kept and checked, missing ones are made, and for those that are
//! taken for one another a remedy is proposed.
//!
//! In: the orders in bench order and the parcel of each. Out: a tag for each parcel, and what the
//! seller should know about them. Not here: the words of the findings (`tag_report`), and what
//! makes a word a good tag (`words`). Everything costs a few look-ups a parcel.
//!
//! **The rule.** Orders are taken one by one as they lie on the bench, and what is decided for an
//! order depends on nothing behind it. A made tag is the most distinctive word of the parcel's
//! items: letters before digits, then the word of the fewest parcels so far, then the first; when
//! none is free, a word of the recipient's name, company or town; when none of those is, a word
//! that names but a kind, a size or a colour ([`goods`](super::goods)); then one that begins
//! another tag or is begun by it; and at last a word with letters behind it. Never with a number:
//! `Nebel 11` on the 31st parcel would be read as a place on the bench. So a run with further
//! orders behind gives every earlier parcel the same tag, without remembering anything, but where
//! it must change it:
//!
//! - a tag that the seller gave a later order would be taken for it;
//! - its word turns out to stand in half of the parcels, and in three at least, so that it tells
//!   none from another;
//! - a later order joins its parcel and brings a tag that the seller gave.
//!
//! Each change is said, as the finding `tag-renamed`, in every run that has the orders that cause
//! it. A tag that was given up is given to no other parcel. An order put in anywhere but at the
//! end moves the parcels behind it, and may change their tags.
//!
//! **The remedy.** Of two given tags that are equal or confusable the earlier is kept. The tag
//! proposed for the later parcel is made at its turn and held free for it whether it is used or
//! not, so that a finding's proposal is what the remedy gives, and no other tag depends on it.

use std::collections::HashMap;

use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use super::Tag;
use super::skeleton::{BeginningIndex, SkeletonIndex, TagBones};
use super::tag_report::report_tags;
use super::tag_slot::{Doubt, Loss, Reason, TagFault, TagSlot};
use super::words::{MOST_CHARACTERS, Vocabulary, WordKind};
use crate::findings::Finding;
use crate::orders::Order;

/// Tags longer than this are hard to read across a bench.
pub(super) const LONGEST_READABLE: usize = 16;

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
    let slots = tagging.finish();
    let tags = slots.iter().map(|slot| slot.tag(rules.fix)).collect();
    (tags, report_tags(parcels, &slots, rules.fix))
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
    /// All tags, given and made, to see which of them begin another.
    beginnings: BeginningIndex,
    /// By a word's number, whether a taken tag rules it out: then it stays out.
    is_ruled_out: Vec<bool>,
    /// The parcel whose made tag is a word, by the word's number.
    holders: HashMap<usize, usize>,
    /// How many ends were tried behind a word, or behind none.
    ends: HashMap<Option<usize>, u32>,
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
            beginnings: BeginningIndex::default(),
            is_ruled_out: Vec::new(),
            holders: HashMap::new(),
            ends: HashMap::new(),
        }
    }

    /// What is known of each parcel's tag. All that was needed to find it is forgotten.
    fn finish(self) -> Vec<TagSlot<'a>> {
        self.slots
    }

    /// Takes the next order of a parcel.
    fn take_order(&mut self, parcel: usize) {
        let orders = &self.parcels[parcel];
        let seen = self.slots[parcel].seen as usize;
        let Some(&order) = orders.get(seen) else { return };
        self.slots[parcel].seen += 1;
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
        if slot.given.is_none() && !order.tag().is_empty() {
            self.give(parcel, order);
        } else if slot.given.is_none() && slot.made.is_none() {
            self.make(parcel);
        }
    }

    /// Gives a parcel the tag of one of its orders; made tags give way to it.
    fn give(&mut self, parcel: usize, order: &'a Order) {
        let bones = TagBones::of(order.tag());
        let text = plain_form(order.tag());
        let length = text.chars().filter(|c| !is_combining_mark(*c)).count();
        let doubt = match self.texts.get(&text) {
            Some(&first) => Some(Doubt::Equal(first)),
            None => self.given.find(&bones).map(Doubt::Confusable),
        };
        let kept = self.kept.find(&bones);
        let slot = &mut self.slots[parcel];
        slot.given = Some(order);
        let length = (length > LONGEST_READABLE).then_some(length);
        let needs_better = doubt.is_some() || length.is_some();
        let fault = TagFault { doubt, kept, length };
        slot.fault = (needs_better || kept.is_some()).then(|| Box::new(fault));
        // What was made before stays the proposal, so that the remedy need not change it.
        slot.joined = slot.made.clone().map(|made| Box::new((made, slot.seen - 1)));
        if kept.is_none() {
            self.kept.add(&bones, parcel);
        }
        if !matches!(doubt, Some(Doubt::Equal(_))) {
            self.given.add(&bones, parcel);
            self.texts.insert(text, parcel);
        }
        for near in self.made.list(&bones) {
            // A tag that the parcel still has, and not one that it gave up.
            let is_held = |made: &str| TagBones::of(made).is_near(&bones);
            if self.slots[near].made.as_deref().is_some_and(is_held) {
                self.rename(near, Reason::Given { parcel });
            }
        }
        if needs_better && self.slots[parcel].made.is_none() {
            self.make(parcel);
        }
        // Last, because what is proposed in its place may well begin like it.
        self.beginnings.add(&bones);
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
            self.holders.remove(&(word as usize));
        }
        if let (Some(old), None) = (slot.made.take(), slot.given) {
            let mut tags = slot.lost.take().map(|loss| loss.tags).unwrap_or_default();
            tags.push(old);
            slot.lost = Some(Box::new(Loss { tags, reason }));
        }
    }

    /// Makes a tag for a parcel: a word of its items or of its recipient, the best that is free, or
    /// a word and letters behind it.
    fn make(&mut self, parcel: usize) {
        let orders = &self.parcels[parcel][..self.slots[parcel].seen as usize];
        let items = self.vocabulary.rank(list_titles(orders));
        let is_plain = |vocabulary: &Vocabulary<'_>, word: usize| vocabulary.word(word).is_plain;
        let best = items.iter().copied().filter(|&word| !is_plain(&self.vocabulary, word));
        let best: Vec<usize> = best.collect();
        let mut words = items;
        let mut word = self.take_first(&best, parcel, Beginning::Own);
        if word.is_none() {
            // Whom it goes to, before what it is but a kind, a size or a colour of.
            let names = self.list_names(orders);
            word = self.take_first(&names, parcel, Beginning::Own);
            words.extend(names);
        }
        let word = word
            .or_else(|| self.take_first(&words, parcel, Beginning::Own))
            .or_else(|| self.take_first(&words, parcel, Beginning::Shared));
        let text = match word {
            Some(word) => self.vocabulary.word(word).shown.clone(),
            None => self.lengthen(words.first().copied(), parcel),
        };
        let slot = &mut self.slots[parcel];
        slot.word = word.map(|word| word as u32);
        slot.made = Some(text.into());
    }

    /// The words of a recipient: the name's from the last, which is mostly the family's, then the
    /// company's, then the town's; colours and the like behind all others.
    fn list_names(&mut self, orders: &[&Order]) -> Vec<usize> {
        let Some(order) = orders.first() else { return Vec::new() };
        let mut words = self.vocabulary.number_words(&order.ship_to().name);
        words.reverse();
        words.extend(self.vocabulary.number_words(&order.ship_to().company));
        words.extend(self.vocabulary.number_words(&order.ship_to().city));
        words.retain(|&word| self.vocabulary.word(word).kind == WordKind::Letters);
        words.sort_by_key(|&word| self.vocabulary.word(word).is_plain);
        words
    }

    /// Takes the first of some words that is not ruled out as a parcel's tag.
    fn take_first(
        &mut self,
        words: &[usize],
        parcel: usize,
        beginning: Beginning,
    ) -> Option<usize> {
        words.iter().copied().find(|&word| self.take(word, parcel, beginning))
    }

    /// Takes a word as a parcel's tag; false when it is ruled out.
    fn take(&mut self, word: usize, parcel: usize, beginning: Beginning) -> bool {
        self.is_ruled_out.resize(self.vocabulary.len(), false);
        if self.vocabulary.is_common(word) || self.is_ruled_out[word] {
            return false;
        }
        let bones = TagBones::of(&self.vocabulary.word(word).shown);
        if !self.is_free(&bones) {
            self.is_ruled_out[word] = true;
            return false;
        }
        if beginning == Beginning::Own && self.beginnings.shares_beginning(&bones) {
            return false;
        }
        self.is_ruled_out[word] = true;
        self.file_made(&bones, parcel);
        self.holders.insert(word, parcel);
        true
    }

    /// Remembers a made tag, so that no later one is taken for it or begins like it.
    fn file_made(&mut self, bones: &TagBones, parcel: usize) {
        self.made.add(bones, parcel);
        self.beginnings.add(bones);
    }

    /// Whether no tag is confusable with a skeleton.
    fn is_free(&self, bones: &TagBones) -> bool {
        self.given.find(bones).is_none() && self.made.find(bones).is_none()
    }

    /// A word with letters behind it, cut so that both fit; `Parcel` when there is no word.
    fn lengthen(&mut self, word: Option<usize>, parcel: usize) -> String {
        let base = word.map_or("Parcel", |word| &self.vocabulary.word(word).shown);
        let mut end = self.ends.get(&word).copied().unwrap_or_default();
        let (tag, bones) = loop {
            let letters = spell_end(end);
            end += 1;
            let room = MOST_CHARACTERS.saturating_sub(1 + letters.len());
            let front: String = base.chars().take(room).collect();
            let tag = format!("{front} {letters}");
            let bones = TagBones::of(&tag);
            // Stricter than for other tags: what the word is shared by must be told by its end.
            if self.is_free(&bones.as_one_word()) {
                break (tag, bones);
            }
        };
        self.ends.insert(word, end);
        self.file_made(&bones, parcel);
        tag
    }
}

/// Whether a tag may begin another or be begun by it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Beginning {
    /// It may not.
    Own,
    /// It may, for want of better.
    Shared,
}

/// The letters behind a word that several parcels share: no look-alikes, no vowels, so that they
/// make no word, and no N, which behind an R is taken for an M.
const END_LETTERS: &[u8; 14] = b"CDFHJKLPRTVWXY";

/// The letters of an end, by its number: `CC`, `DD` and so on, then three letters, then four. Any
/// two of one length differ in at least two letters, because the last is the sum of the others.
fn spell_end(number: u32) -> String {
    let base = END_LETTERS.len() as u32;
    let (mut rest, mut count, mut digits) = (number, base, 1);
    while rest >= count {
        rest -= count;
        count = count.saturating_mul(base);
        digits += 1;
    }
    let places: Vec<u32> = (0..digits).rev().map(|place| rest / base.pow(place) % base).collect();
    let sum = places.iter().sum::<u32>() % base;
    places.iter().chain([&sum]).map(|&place| char::from(END_LETTERS[place as usize])).collect()
}

/// A tag as it looks: composed, with single spaces.
pub(super) fn plain_form(tag: &str) -> String {
    let words: Vec<String> = tag.split_whitespace().map(|word| word.nfc().collect()).collect();
    words.join(" ")
}

/// What the items are called, in the order of the orders and their items.
fn list_titles<'a>(orders: &'a [&'a Order]) -> impl Iterator<Item = &'a str> + Clone {
    orders.iter().flat_map(|order| order.items()).map(|item| item.label())
}
