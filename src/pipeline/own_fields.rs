//! Fields of the seller's own that a layout asks for and nothing has.
//!
//! In: a batch, a shop and a layout. Out: a finding for each such name, because a misspelt one prints
//! nothing and nobody sees it. Where a name that something has is near it was misspelt; else it may only
//! be that no order of this batch has it, which is a note. Not here: what the fields are (`fields`).

use std::collections::BTreeSet;

use super::Document;
use crate::findings::{Finding, Severity, rules};
use crate::layout::{OwnOf, OwnUse};
use crate::words::nearest;

/// Tells the names that nothing has.
pub(super) fn find_absent_own(document: &Document<'_>) -> Vec<Finding> {
    let uses = &document.layout.own_uses;
    // Most layouts ask for none, and batches are long.
    if uses.is_empty() {
        return Vec::new();
    }
    let known = KnownFields::of(document);
    let mut told = BTreeSet::new();
    let absent = uses.iter().filter_map(|it| known.judge(it));
    absent.filter(|finding| told.insert(finding.message.clone())).collect()
}

/// The names of the fields that there are.
struct KnownFields<'a> {
    /// Those under `own` of the shop file.
    shop: BTreeSet<&'a str>,
    /// Those under `own` of an order.
    orders: BTreeSet<&'a str>,
    /// Those under `own` of an item.
    items: BTreeSet<&'a str>,
}

impl<'a> KnownFields<'a> {
    /// Those of a document.
    fn of(document: &Document<'a>) -> KnownFields<'a> {
        let shop = document.shop.into_iter().flat_map(|shop| shop.own.iter());
        let parcels = &document.batch.parcels;
        let orders = || parcels.iter().flat_map(|parcel| &parcel.orders);
        let items = orders().flat_map(|order| order.own_of_items());
        KnownFields {
            shop: shop.map(|(name, _)| name).collect(),
            orders: orders().flat_map(|order| order.own().iter()).map(|(name, _)| name).collect(),
            items: items.flat_map(|own| own.iter()).map(|(name, _)| name).collect(),
        }
    }

    /// What is the matter with a name, if nothing has it.
    fn judge(&self, asked: &OwnUse) -> Option<Finding> {
        let (who, known): (_, Vec<&BTreeSet<&str>>) = match asked.whose {
            OwnOf::Shop => ("the shop file has no", vec![&self.shop]),
            OwnOf::Orders => ("no order has a", vec![&self.orders]),
            OwnOf::Either => ("no order and no item has a", vec![&self.orders, &self.items]),
        };
        let name = &*asked.name;
        if known.iter().any(|names| names.contains(name)) {
            return None;
        }
        let near = nearest(name, known.into_iter().flatten().copied());
        let message = format!("{who} field of its own `{name}`: nothing is printed for it");
        let finding = Finding::new(&rules::ABSENT_OWN_FIELD, message).at(asked.span);
        Some(match (near, asked.whose) {
            (Some(near), _) => finding.hint(format!("did you mean `own.{near}`?")),
            (None, OwnOf::Shop) => {
                finding.hint(format!("write `own: {{{name}: …}}` in the shop file"))
            }
            (None, OwnOf::Orders | OwnOf::Either) => finding
                .weighing(Severity::Note)
                .hint(format!("write it as `own: {{{name}: …}}`, where any has it")),
        })
    }
}
