//! What a batch says of parcels whose orders declare nothing of hazards.
//!
//! In: the parcels, and how much the shop minds. Out: findings. A declaration is the seller's, so
//! none is ever made here: an order that says nothing has said nothing, and no setting of the shop
//! declares for all that it sells. Orders of a file that declare differently never share a parcel
//! (`combine`); in a line a seller may join them.

use std::borrow::Cow;

use super::{Parcel, distinct};
use crate::fields::NO_HAZARD;
use crate::findings::{Finding, Repeats, Severity, rules};
use crate::orders::Order;
use crate::shop::{Shop, Undeclared};

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
    let mut silent = parcels.iter().filter(|parcel| parcel.hazard.is_empty());
    if severity == Severity::Error {
        return silent.map(|parcel| report(parcel, &[], severity)).collect();
    }
    let Some(first) = silent.next() else { return Vec::new() };
    let mut others: Vec<usize> = silent.map(|parcel| parcel.position).collect();
    others.sort_unstable();
    let finding = report(first, &others, severity);
    let repeats = (!others.is_empty()).then_some(Repeats::Parcels(others.len()));
    vec![Finding { others, ..finding.repeated(repeats) }]
}

/// The finding of one parcel, which stands for the parcels at `others` too.
fn report(parcel: &Parcel, others: &[usize], severity: Severity) -> Finding {
    let (who, whom) = match &parcel.orders[..] {
        [order] => (format!("order `{}` does", order.id()), "the order"),
        _ => (format!("orders `{}` do", parcel.order_ids()), "each of its orders"),
    };
    let whom = if others.is_empty() { whom } else { "each order" };
    let message = format!("{who} not say whether anything in the parcel is hazardous");
    Finding::new(&rules::UNDECLARED_HAZARD, message)
        .weighing(severity)
        .at(parcel.orders[0].span())
        .path("hazard")
        .subject(parcel.subject())
        .hint(format!("write `\"hazard\": \"none\"` into {whom}, or what it is"))
}
