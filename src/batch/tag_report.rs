//! What there is to say about tags, in words: given ones that are taken for one another, with a
//! tag that would do instead, and made ones that had to change.
//!
//! In: what [`tags`](super::tags) knows of each parcel. Out: findings, in bench order but for
//! those on unused tags, which come last.

use super::subject_of;
use super::tag_slot::{Doubt, Reason, TagSlot};
use crate::findings::{Finding, rules};
use crate::orders::Order;
use crate::source::Span;

/// What the seller should know about the tags; `fix` tells whether doubtful ones are replaced.
pub(super) fn report_tags(
    parcels: &[Vec<&Order>],
    slots: &[TagSlot<'_>],
    fix: bool,
) -> Vec<Finding> {
    let report = TagReport { parcels, slots, fix };
    let mut found = Vec::new();
    for parcel in 0..parcels.len() {
        found.extend(report.describe_length(parcel));
        found.extend(if fix {
            report.describe_change(parcel)
        } else {
            report.describe_doubt(parcel)
        });
        found.extend(report.describe_loss(parcel));
    }
    for parcel in 0..parcels.len() {
        report.describe_unused(parcel, &mut found);
    }
    found
}

/// What the findings are made from.
struct TagReport<'a> {
    /// The orders of each parcel.
    parcels: &'a [Vec<&'a Order>],
    /// What is known of each parcel's tag.
    slots: &'a [TagSlot<'a>],
    /// Whether doubtful tags are replaced.
    fix: bool,
}

impl TagReport<'_> {
    /// The ids of a parcel's orders.
    fn name(&self, parcel: usize) -> String {
        subject_of(&self.parcels[parcel], parcel).order
    }

    /// The tag that the seller gave a parcel.
    fn given(&self, parcel: usize) -> &str {
        self.slots[parcel].given.map(|order| order.tag()).unwrap_or_default()
    }

    /// What was made for a parcel; empty when nothing had to be.
    fn made(&self, parcel: usize) -> &str {
        self.slots[parcel].made.as_deref().unwrap_or_default()
    }

    /// The place of the tag that the seller gave a parcel.
    fn place(&self, parcel: usize) -> Option<Span> {
        self.slots[parcel].given.and_then(|order| order.tag_span())
    }

    /// Puts a finding about a parcel's given tag at its place, beside the earlier tag's, if any.
    fn put(&self, found: Finding, parcel: usize, first: Option<usize>) -> Finding {
        let found = match first.and_then(|first| self.place(first)) {
            Some(place) => found.related(place, "the other tag is here"),
            None => found,
        };
        found.at(self.place(parcel)).subject(subject_of(&self.parcels[parcel], parcel))
    }

    /// The advice to take the tag made for a parcel.
    fn propose(&self, parcel: usize) -> String {
        let (name, made) = (self.name(parcel), self.made(parcel));
        format!("give order `{name}` the tag `{made}`, or leave its tag out")
    }

    /// A given tag that is hard to read and is not replaced.
    fn describe_length(&self, parcel: usize) -> Option<Finding> {
        let slot = &self.slots[parcel];
        let length = slot.length().filter(|_| !self.fix || slot.kept().is_none())?;
        let message = format!(
            "the tag `{}` has {length} characters and cannot be read from far",
            self.given(parcel)
        );
        let found = Finding::new(&rules::LONG_TAG, message).hint(self.propose(parcel));
        Some(self.put(found, parcel, None))
    }

    /// A given tag that is taken for an earlier one.
    fn describe_doubt(&self, parcel: usize) -> Option<Finding> {
        let given = self.given(parcel);
        let (first, found) = match self.slots[parcel].doubt()? {
            Doubt::Equal(first) => {
                let (one, other) = (self.name(first), self.name(parcel));
                let message = format!("orders `{one}` and `{other}` both have the tag `{given}`");
                // Whichever is printed first, its bag is taken for the other's.
                (first, Finding::new(&rules::EQUAL_TAGS, message).other(first + 1))
            }
            Doubt::Confusable(first) => {
                let message = format!(
                    "the tag `{given}` is easily taken for `{}` of order `{}`",
                    self.given(first),
                    self.name(first)
                );
                (first, Finding::new(&rules::CONFUSABLE_TAGS, message))
            }
        };
        Some(self.put(found.hint(self.propose(parcel)), parcel, Some(first)))
    }

    /// A given tag that was replaced, because it is taken for one that is kept.
    fn describe_change(&self, parcel: usize) -> Option<Finding> {
        let first = self.slots[parcel].kept()?;
        let (name, given, made) = (self.name(parcel), self.given(parcel), self.made(parcel));
        let (kept, first_name) = (self.given(first), self.name(first));
        let cause = if kept == given {
            format!("order `{first_name}` has that too")
        } else {
            format!("it is easily taken for `{kept}` of order `{first_name}`")
        };
        let message =
            format!("order `{name}` gets the tag `{made}` in place of `{given}`: {cause}");
        let found = Finding::new(&rules::TAG_CHANGED, message)
            .hint(format!("a bag that already says `{given}` for it needs `{made}`"));
        Some(self.put(found, parcel, Some(first)))
    }

    /// A made tag that changed because of orders behind.
    fn describe_loss(&self, parcel: usize) -> Option<Finding> {
        let slot = &self.slots[parcel];
        let is_replaced = self.fix && slot.kept().is_some();
        let mut lost: Vec<&str> =
            slot.lost.iter().flat_map(|loss| &loss.tags).map(|tag| &**tag).collect();
        let (tag, (cause, place)) = match (slot.given, slot.joined.as_deref()) {
            (Some(given), Some((old, order))) if !is_replaced => {
                lost.push(old);
                let order = self.parcels[parcel][*order as usize];
                let cause = format!("order `{}` joins it and brings a tag", order.id());
                (given.tag(), (cause, order.tag_span()))
            }
            _ => (self.made(parcel), self.explain(slot.lost.as_ref()?.reason)),
        };
        let lost = lost.join("` or `");
        let name = self.name(parcel);
        let message = format!("order `{name}` is tagged `{tag}` and not `{lost}`: {cause}");
        let found = Finding::new(&rules::TAG_RENAMED, message)
            .at(self.parcels[parcel][0].id_span())
            .subject(subject_of(&self.parcels[parcel], parcel))
            .hint(format!("a bag that an earlier run had tagged `{lost}` needs `{tag}`"));
        Some(match place {
            Some(place) => found.related(place, "the tag behind it is here"),
            None => found,
        })
    }

    /// Why a made tag was lost, and the place of what took it.
    fn explain(&self, reason: Reason) -> (String, Option<Span>) {
        match reason {
            Reason::Given { parcel: later } => {
                let (theirs, name) = (self.given(later), self.name(later));
                let cause = format!("it is taken for the tag `{theirs}` of order `{name}`");
                (cause, self.place(later))
            }
            Reason::Common { count, of } => {
                (format!("that word stands in {count} of the first {of} parcels"), None)
            }
        }
    }

    /// The tags that combined orders had and their parcel does not.
    fn describe_unused(&self, parcel: usize, found: &mut Vec<Finding>) {
        let orders = &self.parcels[parcel];
        let Some(used) = self.slots[parcel].given.filter(|_| orders.len() > 1) else { return };
        let is_replaced = self.fix && self.slots[parcel].kept().is_some();
        let tag = if is_replaced { self.made(parcel) } else { used.tag() };
        for order in
            orders.iter().filter(|order| !order.tag().is_empty() && order.tag() != used.tag())
        {
            let message = format!(
                "the tag `{}` is not used: order `{}` shares the parcel `{tag}`",
                order.tag(),
                order.id()
            );
            found.push(
                Finding::new(&rules::UNUSED_TAG, message)
                    .at(order.tag_span())
                    .subject(subject_of(orders, parcel))
                    .hint(format!("take the tag `{}` off the bag of this parcel", order.tag())),
            );
        }
    }
}
