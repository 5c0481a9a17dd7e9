//! What only shows across the pages of a batch: a label that is missing, comes twice or belongs to
//! another parcel.
//!
//! In: the places on the bench in the order the pages are to come, and the [`PageFacts`] of one
//! page after another. Out: findings, at once where the page shows it, at the end where only the
//! whole does. Kept of a parcel are its place, its pair code and hashes of its tag and its order ids, some
//! eighty bytes a document; of a page, nothing. Several documents of one batch, labels and bench cards, go
//! through one [`BatchCheck`], so that their pair codes can be compared.

mod facts;
mod pairs;
pub(crate) mod rules;
mod sequence;

pub use facts::{PageFacts, PageNumber};

use crate::findings::Finding;
use crate::hash::StableHash;
use crate::pairs::PairScan;
use facts::shorten;
use pairs::Pairs;
use rules::{DUPLICATE_ORDER, DUPLICATE_TAG, finding};
use sequence::Sequence;
use std::collections::HashMap;

/// What is known of one document of the batch.
struct SeenDocument {
    /// What it is called.
    name: String,
    /// Its pages in their order.
    sequence: Sequence,
    /// By each tag the parcel that has it.
    tags: Unique,
    /// Whose each order is.
    orders: Unique,
}

/// Checks the pages of a batch as they come.
pub struct BatchCheck {
    /// The places on the bench in the order their pages are to come.
    expected: Vec<u32>,
    /// The documents, in the order of their first pages; a batch has few.
    documents: Vec<SeenDocument>,
    /// The pair codes of labels and bench cards.
    pairs: Pairs,
}

impl BatchCheck {
    /// A check of a batch whose pages are to come in the order of `expected`, places on the bench
    /// counted from 1.
    #[must_use]
    pub fn new(expected: impl IntoIterator<Item = usize>) -> BatchCheck {
        BatchCheck {
            expected: expected.into_iter().map(shorten).collect(),
            documents: Vec::new(),
            pairs: Pairs::default(),
        }
    }

    /// Takes in a page, for these orders; what is wrong with it against those before.
    pub fn take<'o>(
        &mut self,
        facts: &PageFacts,
        orders: impl IntoIterator<Item = &'o str>,
    ) -> Vec<Finding> {
        let mut found = Vec::new();
        let Some(position) = facts.position() else { return found };
        let number = self.document(facts.document);
        let document = &mut self.documents[number];
        document.sequence.take(&self.expected, facts, position, &mut found);
        if let Some(tag) = &facts.tag {
            let other = document.tags.claim(tag, position);
            found.extend(other.map(|other| duplicate_tag(facts, tag, other)));
        }
        for order in orders {
            let other = document.orders.claim(order, position);
            found.extend(other.map(|other| duplicate_order(facts, order, other)));
        }
        for scan in facts.payloads.iter().filter_map(|payload| PairScan::parse(payload).ok()) {
            self.pairs.take(facts, position, &scan, &mut found);
        }
        found
    }

    /// Knows that parcels, by their places on the bench, have no page in a document.
    pub fn expect_none(&mut self, document: &str, places: &[usize]) {
        if !places.is_empty() {
            let number = self.document(document);
            self.documents[number].sequence.expect_none(places);
        }
    }

    /// What is wrong with the whole, once all pages are in.
    #[must_use]
    pub fn finish(self) -> Vec<Finding> {
        let mut found = Vec::new();
        for document in &self.documents {
            document.sequence.finish(&self.expected, &document.name, &mut found);
        }
        self.pairs.finish(&mut found);
        found
    }

    /// The number of a document, new or known.
    fn document(&mut self, name: &str) -> usize {
        let known = self.documents.iter().position(|document| document.name == name);
        known.unwrap_or_else(|| {
            self.documents.push(SeenDocument {
                name: name.to_owned(),
                sequence: Sequence::new(&self.expected),
                tags: Unique::default(),
                orders: Unique::default(),
            });
            self.documents.len() - 1
        })
    }
}

/// Checks all pages of a batch at once; see [`BatchCheck::new`].
#[must_use]
pub fn inspect_batch(
    pages: impl IntoIterator<Item = PageFacts>,
    expected: impl IntoIterator<Item = usize>,
) -> Vec<Finding> {
    let mut check = BatchCheck::new(expected);
    let mut found = Vec::new();
    for facts in pages {
        found.extend(check.take(&facts, facts.order_ids()));
    }
    found.extend(check.finish());
    found
}

/// Reports a tag that another parcel has too.
fn duplicate_tag(facts: &PageFacts, tag: &str, other: usize) -> Finding {
    let document = facts.document;
    let message = format!("the tag `{tag}` is on the {document} of parcel {other} too");
    finding(&DUPLICATE_TAG, facts, message)
        .other(other)
        .hint("give one of the two orders another `tag`")
}

/// Reports an order that is on the page of another parcel too.
fn duplicate_order(facts: &PageFacts, order: &str, other: usize) -> Finding {
    let document = facts.document;
    let message = format!("the order `{order}` is on the {document} of parcel {other} too");
    finding(&DUPLICATE_ORDER, facts, message).other(other).hint("leave it in one of the two")
}

#[cfg(test)]
pub(super) mod tests;

/// Which parcel each word belongs to. Words are known by their hashes: the words themselves take twice
/// the room, and batches are large.
#[derive(Default)]
struct Unique {
    /// The parcel of each word; looked up only, so that no order comes out of it.
    owners: HashMap<u64, WordOwner>,
}

/// A word's parcel.
#[derive(Clone, Copy, PartialEq, Eq)]
struct WordOwner {
    /// Another 32 bits of the word's hash. With the 64 that it is found by, two words in a batch of a
    /// million would have to meet in 96 bits, and then an error were told, and nothing were lost.
    check: u32,
    /// The parcel's place on the bench.
    position: u32,
}

impl Unique {
    /// Claims a word for a parcel; gives the parcel that has it already, if that is another.
    pub(super) fn claim(&mut self, word: &str, position: usize) -> Option<usize> {
        let own = WordOwner {
            check: StableHash::new().number(1).field(word).finish() as u32,
            position: shorten(position),
        };
        let mut hash = StableHash::new().field(word).finish();
        loop {
            let owner = *self.owners.entry(hash).or_insert(own);
            if owner.check == own.check {
                return (owner != own).then_some(owner.position as usize);
            }
            // Another word has this hash; this one's place is next to it.
            hash = hash.wrapping_add(1);
        }
    }
}
