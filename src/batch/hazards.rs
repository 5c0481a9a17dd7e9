//! What a batch says of parcels whose orders declare nothing of hazards.
//!
//! In: the parcels, and how much the shop minds. Out: findings. A declaration is the seller's, so
//! none is ever made here: an order that says nothing has said nothing, and no setting of the shop
//! declares for all that it sells. Orders of a file that declare differently never share a parcel
//! (`combine`); in a line a seller may join them.

use std::borrow::Cow;

use super::{Parcel, distinct};
use crate::fields::NO_HAZARD;
use crate::findings::{Finding, Severity, rules};
use crate::orders::Order;
use crate::shop::{Shop, Undeclared};
use crate::words::list_ranges;

/// The parcels that a folded finding names.
const MOST_NAMED: usize = 3;

/// What orders that share a parcel declare of it: all that any of them declares hazardous, nothing
/// while one of them is silent, and otherwise that there is none.
pub(super) fn settle_hazard(orders: &[Order]) -> Cow<'_, str> {
    let said = distinct(orders.iter().map(Order::hazard));
    let declared: Vec<&str> = said.iter().copied().filter(|it| *it != NO_HAZARD).collect();
    match &declared[..] {
        [one] => (*one).into(),
        [_, _, ..] => declared.join(", ").into(),
        [] if orders.iter().any(|order| order.hazard().is_empty()) => "".into(),
        [] => said.first().copied().unwrap_or_default().into(),
    }
}

/// Reports parcels of which nobody has said whether they hold anything hazardous: one warning for
/// all of them, or where the shop wants it an error each, so that each can be set aside.
pub(super) fn report_undeclared(parcels: &[Parcel], shop: Option<&Shop>) -> Vec<Finding> {
    let severity = match shop.map(|shop| shop.hazards.undeclared).unwrap_or_default() {
        Undeclared::Allow => return Vec::new(),
        Undeclared::Warning => Severity::Warning,
        Undeclared::Error => Severity::Error,
    };
    let silent: Vec<&Parcel> = parcels.iter().filter(|it| it.hazard.is_empty()).collect();
    match &silent[..] {
        [] => Vec::new(),
        [first, _, ..] if severity < Severity::Error => {
            let message = describe_several(&silent, parcels.len());
            vec![place(
                first,
                Finding::new(&rules::UNDECLARED_HAZARD, message).weighing(severity),
                "each order",
            )]
        }
        _ => silent.into_iter().map(|parcel| report_one(parcel, severity)).collect(),
    }
}

/// One parcel's finding.
fn report_one(parcel: &Parcel, severity: Severity) -> Finding {
    let (who, each) = match &parcel.orders[..] {
        [order] => (format!("order `{}` does", order.id()), "the order"),
        _ => (format!("orders `{}` do", parcel.order_ids()), "each of its orders"),
    };
    let message = format!("{who} not say whether anything in the parcel is hazardous");
    place(parcel, Finding::new(&rules::UNDECLARED_HAZARD, message).weighing(severity), each)
}

/// How many there are, and which the first are.
fn describe_several(silent: &[&Parcel], count: usize) -> String {
    let named: Vec<String> = silent
        .iter()
        .take(MOST_NAMED)
        .map(|parcel| format!("`{}` ({})", parcel.tag.text, parcel.position))
        .collect();
    let mut rest: Vec<usize> =
        silent.iter().skip(MOST_NAMED).map(|parcel| parcel.position).collect();
    rest.sort_unstable();
    let more = match rest.len() {
        0 => String::new(),
        more => format!(", and {more} more: {}", list_ranges(&rest)),
    };
    let who = match silent.len() {
        all if all == count => format!("not one of {count} parcels says whether anything in it"),
        some => format!("{some} of {count} parcels do not say whether anything in them"),
    };
    format!("{who} is hazardous: {}{more}", named.join(", "))
}

/// A finding with its place and the way out; `whom` says which orders to mend.
fn place(parcel: &Parcel, finding: Finding, whom: &str) -> Finding {
    finding
        .at(parcel.orders[0].span())
        .path("hazard")
        .subject(parcel.subject())
        .hint(format!("write `\"hazard\": \"none\"` into {whom}, or what it is"))
}
