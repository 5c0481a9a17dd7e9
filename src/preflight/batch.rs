//! What only shows across the pages of a batch: a label that is missing, comes twice or belongs to
//! another parcel.
//!
//! In: the places on the bench in the order the pages are to come, and the [`PageFacts`] of one
//! page after another. Out: findings, at once where the page shows it, at the end where only the
//! whole does. Kept of a parcel are its place, its tag, its order ids and its pair code, a few
//! dozen bytes; of a page, nothing. Several documents of one batch, labels and bench cards, go
//! through one [`BatchCheck`], so that their pair codes can be compared. Not here: how a pair code
//! is read; the caller gives a function for it.

mod facts;
mod pairs;
mod sequence;
mod unique;

pub use facts::{PageFacts, PageNumber, PairMark};

use super::table::{Check, Rule};
use crate::diag::{Diagnostic, Severity};
use pairs::Pairs;
use sequence::Sequence;
use unique::Unique;

/// A row of the table of rules.
const fn rule(name: &'static str, protects: &'static str) -> Rule {
    Rule { name, protects, severity: Severity::Error, check: Check::Batch }
}

/// A parcel, or one of its pages, has no page in a document.
pub(super) const MISSING_PAGE: Rule =
    rule("missing-page", "completeness: a parcel without its label stays on the bench");
/// A page comes a second time.
pub(super) const DUPLICATE_PAGE: Rule =
    rule("duplicate-page", "postage: of two equal labels one ends up on another parcel");
/// A page comes out of turn.
pub(super) const PAGE_ORDER: Rule =
    rule("page-order", "the bench: labels come in the order the parcels lie in");
/// A page is for a parcel that is not in the batch.
pub(super) const STRAY_PAGE: Rule =
    rule("stray-page", "the bench: a label without a parcel is put on some parcel");
/// An order is on the pages of two parcels.
pub(super) const DUPLICATE_ORDER: Rule =
    rule("duplicate-order", "the shop: an order on two parcels is sent twice");
/// Two parcels have the same tag.
pub(super) const DUPLICATE_TAG: Rule =
    rule("duplicate-tag", "the right parcel: two of one tag are taken for each other");
/// Two parcels have the same pair code.
pub(super) const DUPLICATE_PAIR: Rule =
    rule("duplicate-pair", "the right parcel: two of one pair code are taken for each other");
/// A pair code is on the page of another parcel.
pub(super) const WRONG_PAIR: Rule =
    rule("wrong-pair", "the right parcel: a pair code on another's page pairs the wrong two");
/// A label has no bench card of its pair code, or a card no label.
pub(super) const UNMATCHED_PAIR: Rule =
    rule("unmatched-pair", "the right parcel: a label without its bench card cannot be checked");

/// What is known of one document of the batch.
struct SeenDocument {
    /// What it is called.
    name: String,
    /// Its pages in their order.
    sequence: Sequence,
    /// Whose each tag is.
    tags: Unique,
    /// Whose each order is.
    orders: Unique,
}

/// Checks the pages of a batch as they come.
pub struct BatchCheck<R> {
    /// The places on the bench in the order their pages are to come.
    expected: Vec<usize>,
    /// The documents, in the order of their first pages; a batch has few.
    documents: Vec<SeenDocument>,
    /// The pair codes of labels and bench cards.
    pairs: Pairs,
    /// Reads what a code says, if it is a pair code.
    read_pair: R,
}

impl<R: Fn(&str) -> Option<PairMark>> BatchCheck<R> {
    /// A check of a batch whose pages are to come in the order of `expected`, places on the bench
    /// counted from 1; `read_pair` says which code is a pair code, and whose.
    #[must_use]
    pub fn new(expected: impl IntoIterator<Item = usize>, read_pair: R) -> BatchCheck<R> {
        BatchCheck {
            expected: expected.into_iter().collect(),
            documents: Vec::new(),
            pairs: Pairs::default(),
            read_pair,
        }
    }

    /// Takes in a page, for these orders; what is wrong with it against those before.
    pub fn take<'o>(
        &mut self,
        facts: &PageFacts,
        orders: impl IntoIterator<Item = &'o str>,
    ) -> Vec<Diagnostic> {
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
        for mark in facts.payloads.iter().filter_map(|payload| (self.read_pair)(payload)) {
            self.pairs.take(facts, position, &mark, &mut found);
        }
        found
    }

    /// What is wrong with the whole, once all pages are in.
    #[must_use]
    pub fn finish(self) -> Vec<Diagnostic> {
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
    read_pair: impl Fn(&str) -> Option<PairMark>,
) -> Vec<Diagnostic> {
    let mut check = BatchCheck::new(expected, read_pair);
    let mut found = Vec::new();
    for facts in pages {
        found.extend(check.take(&facts, facts.order_ids()));
    }
    found.extend(check.finish());
    found
}

/// A finding about a page.
fn finding(rule: &Rule, facts: &PageFacts, message: String) -> Diagnostic {
    let mut finding = Diagnostic::new(rule.severity, rule.name, message);
    finding.subject = facts.subject.clone();
    finding
}

/// Reports a tag that another parcel has too.
fn duplicate_tag(facts: &PageFacts, tag: &str, other: usize) -> Diagnostic {
    let document = facts.document;
    let message = format!("the tag `{tag}` is on the {document} of parcel {other} too");
    finding(&DUPLICATE_TAG, facts, message)
        .other(other)
        .hint("give one of the two orders another `tag`")
}

/// Reports an order that is on the page of another parcel too.
fn duplicate_order(facts: &PageFacts, order: &str, other: usize) -> Diagnostic {
    let document = facts.document;
    let message = format!("the order `{order}` is on the {document} of parcel {other} too");
    finding(&DUPLICATE_ORDER, facts, message).other(other).hint("leave it in one of the two")
}

#[cfg(test)]
pub(super) mod tests;
