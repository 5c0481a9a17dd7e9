//! The rules that only show across the pages of a batch.

use super::facts::PageFacts;
use crate::findings::{Finding, Rule, Severity};

/// A rule of a batch: what it finds stops the batch.
const fn rule(name: &'static str, protects: &'static str) -> Rule {
    Rule::new(name, Severity::Error, protects)
}

/// A parcel, or one of its pages, has no page in a document.
pub(crate) const MISSING_PAGE: Rule =
    rule("missing-page", "completeness: a parcel without its label stays on the bench");
/// A page comes a second time.
pub(crate) const DUPLICATE_PAGE: Rule =
    rule("duplicate-page", "postage: of two equal labels one ends up on another parcel");
/// A page comes out of turn.
pub(crate) const PAGE_ORDER: Rule =
    rule("page-order", "the bench: labels come in the order the parcels lie in");
/// A page is for a parcel that is not in the batch.
pub(crate) const STRAY_PAGE: Rule =
    rule("stray-page", "the bench: a label without a parcel is put on some parcel");
/// An order is on the pages of two parcels.
pub(crate) const DUPLICATE_ORDER: Rule =
    rule("duplicate-order", "the shop: an order on two parcels is sent twice");
/// Two parcels have the same tag.
pub(crate) const DUPLICATE_TAG: Rule =
    rule("duplicate-tag", "the right parcel: two of one tag are taken for each other");
/// Two parcels have the same pair code.
pub(crate) const DUPLICATE_PAIR: Rule =
    rule("duplicate-pair", "the right parcel: two of one pair code are taken for each other");
/// A pair code is on the page of another parcel.
pub(crate) const WRONG_PAIR: Rule =
    rule("wrong-pair", "the right parcel: a pair code on another's page pairs the wrong two");
/// A label has no bench card of its pair code, or a card no label.
pub(crate) const UNMATCHED_PAIR: Rule =
    rule("unmatched-pair", "the right parcel: a label without its bench card cannot be checked");

/// A finding about a page.
pub(super) fn finding(rule: &'static Rule, facts: &PageFacts, message: String) -> Finding {
    let mut finding = Finding::new(rule, message);
    finding.subject = facts.subject.clone();
    finding
}
