//! Which orders share a parcel, which could, and which nearly could.
//!
//! In: the orders in bench order. Out: for each its parcel, and remarks for the seller. Orders
//! share a parcel when recipient and address are the same after [`likeness`](super::likeness) has
//! folded them, nothing about the goods speaks against it and neither is marked `apart`. What is
//! only nearly the same is reported and never merged.

use std::collections::HashMap;

use super::hash::StableHash;
use super::likeness::{PARTS, Parts, is_slip, near_parts, same_parts};
use crate::fields::CurrencyCode;
use crate::orders::Order;

/// What holds for orders that do not say otherwise.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Usual<'a> {
    /// The service.
    pub(super) service: &'a str,
    /// The currency.
    pub(super) currency: Option<CurrencyCode>,
}

/// What there is to say about two orders, by their indexes; the first came first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Remark {
    /// They share a parcel.
    Combined(usize, usize),
    /// They could share a parcel.
    CouldCombine(usize, usize),
    /// They go to one address and cannot share a parcel, for these reasons.
    KeptApart(usize, usize, Vec<&'static str>),
    /// They may be meant for one address: the part that differs.
    NearMiss(usize, usize, &'static str),
}

/// Which parcel each order goes into, numbered from 0 in bench order, and what to say about it.
pub(super) struct Grouping {
    /// The parcel of each order.
    pub(super) parcel_of: Vec<usize>,
    /// Remarks, in bench order of their later order.
    pub(super) remarks: Vec<Remark>,
}

/// Groups orders into parcels; without `combine` each order is a parcel of its own, and what could
/// have been combined is remarked on.
pub(super) fn group_orders(orders: &[Order], combine: bool, usual: Usual<'_>) -> Grouping {
    let recipients = group_recipients(orders);
    let mut leader: Vec<usize> = (0..orders.len()).collect();
    let mut remarks = Vec::new();
    for members in &recipients {
        // One leader for each way of sending that cannot be mixed with the others.
        let mut leaders: Vec<usize> = Vec::new();
        for &order in members.iter().filter(|&&order| !orders[order].apart) {
            let obstacles = |first: usize| list_obstacles(&orders[first], &orders[order], usual);
            match leaders.iter().find(|&&first| obstacles(first).is_empty()) {
                Some(&first) if combine => {
                    leader[order] = first;
                    remarks.push(Remark::Combined(first, order));
                }
                Some(&first) => remarks.push(Remark::CouldCombine(first, order)),
                None => {
                    if let Some(&first) = leaders.first() {
                        remarks.push(Remark::KeptApart(first, order, obstacles(first)));
                    }
                    leaders.push(order);
                }
            }
        }
    }
    remarks.extend(find_near_misses(orders, &recipients));
    remarks.sort_by_key(|remark| match remark {
        Remark::Combined(first, second)
        | Remark::CouldCombine(first, second)
        | Remark::KeptApart(first, second, _)
        | Remark::NearMiss(first, second, _) => (*second, *first),
    });
    Grouping { parcel_of: number_parcels(&leader), remarks }
}

/// Numbers the parcels in the order in which their first orders lie.
fn number_parcels(leader: &[usize]) -> Vec<usize> {
    let mut parcel_of = Vec::with_capacity(leader.len());
    let mut count = 0;
    for (order, &first) in leader.iter().enumerate() {
        if first == order {
            parcel_of.push(count);
            count += 1;
        } else {
            parcel_of.push(parcel_of[first]);
        }
    }
    parcel_of
}

/// The orders of each recipient, recipients and orders both in bench order.
fn group_recipients(orders: &[Order]) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut by_hash: HashMap<u64, Vec<usize>> = HashMap::with_capacity(orders.len());
    for (index, order) in orders.iter().enumerate() {
        let parts = same_parts(&order.ship_to);
        let hash = hash_parts(order, parts.iter());
        let candidates = by_hash.entry(hash).or_default();
        // Equal hashes are looked at again: a wrong merge would send two parcels to one door.
        let group = candidates.iter().copied().find(|&group: &usize| {
            let first = &orders[groups[group][0]];
            is_deliverable(order)
                && first.ship_to.country == order.ship_to.country
                && same_parts(&first.ship_to) == parts
        });
        match group {
            Some(group) => groups[group].push(index),
            None => {
                candidates.push(groups.len());
                groups.push(vec![index]);
            }
        }
    }
    groups
}

/// Whether an address says where it is: two Smiths of one town are not one recipient.
fn is_deliverable(order: &Order) -> bool {
    !order.ship_to.lines.is_empty()
}

/// The hash of an order's country and some parts of its address.
fn hash_parts<'a>(order: &Order, parts: impl Iterator<Item = &'a String>) -> u64 {
    let start = StableHash::new().field(order.ship_to.country.as_str());
    parts.fold(start, |hash, part| hash.field(part)).finish()
}

/// Why two orders for one address cannot share a parcel; empty when they can.
fn list_obstacles(first: &Order, second: &Order, usual: Usual<'_>) -> Vec<&'static str> {
    let service = |order: &Order| -> Box<str> {
        if order.service.is_empty() { usual.service.into() } else { order.service.clone() }
    };
    let currency = |order: &Order| order.currency.or(usual.currency);
    let has_prices = |order: &Order| order.items.iter().any(|item| item.price.is_some());
    let currencies_differ =
        currency(first) != currency(second) && has_prices(first) && has_prices(second);
    let has_label = |order: &Order| order.carrier_label.is_some();
    [
        (first.gift != second.gift, "only one is a gift, and a gift must show no price"),
        (first.hazard != second.hazard, "their hazard declarations differ"),
        (service(first) != service(second), "their services differ"),
        (currencies_differ, "their currencies differ"),
        (first.tracking != second.tracking, "their tracking numbers differ"),
        (has_label(first) || has_label(second), "a carrier's label is already made"),
    ]
    .into_iter()
    .filter_map(|(applies, reason)| applies.then_some(reason))
    .collect()
}

/// The recipients that may be one: each with the first before it that is near, if any.
fn find_near_misses(orders: &[Order], recipients: &[Vec<usize>]) -> Vec<Remark> {
    let hashes: Vec<[u64; PARTS.len()]> = recipients
        .iter()
        .map(|members| near_parts(&orders[members[0]].ship_to).map(|part| hash_text(&part)))
        .collect();
    let mut remarks = Vec::new();
    let mut is_found = vec![false; recipients.len()];
    for left_out in 0..PARTS.len() {
        // Recipients that are near in every part but one meet in one bucket.
        let mut buckets: HashMap<u64, Bucket> = HashMap::with_capacity(recipients.len());
        for (recipient, members) in recipients.iter().enumerate() {
            let order = &orders[members[0]];
            if order.apart || !is_deliverable(order) {
                continue;
            }
            let mut others = hashes[recipient];
            others[left_out] = 0;
            let hash = others
                .iter()
                .fold(StableHash::new().field(order.ship_to.country.as_str()), |hash, other| {
                    hash.field(&other.to_string())
                });
            let bucket = buckets.entry(hash.finish()).or_default();
            let Some(first) = bucket.add(orders, members[0], left_out) else { continue };
            if !std::mem::replace(&mut is_found[recipient], true) {
                let part = differing_part(orders, first, members[0], left_out);
                remarks.push(Remark::NearMiss(first, members[0], part));
            }
        }
    }
    remarks
}

/// How many recipients that share all parts but one are compared with each further one; more live
/// at one place only in large houses, where likeness of names says little.
const MOST_AT_ONE_PLACE: usize = 40;

/// Recipients whose addresses are near in all parts but one.
#[derive(Default)]
struct Bucket {
    /// Their orders, by index.
    orders: Vec<usize>,
    /// The part left out, of each; written out once there are two.
    parts: Vec<String>,
}

impl Bucket {
    /// Adds a recipient's order; returns the first order there that is near to it.
    fn add(&mut self, orders: &[Order], order: usize, left_out: usize) -> Option<usize> {
        let part = |order: usize| {
            let mut parts: Parts = near_parts(&orders[order].ship_to);
            std::mem::take(&mut parts[left_out])
        };
        if self.orders.is_empty() {
            self.orders.push(order);
            return None;
        }
        if self.parts.is_empty() {
            self.parts.push(part(self.orders[0]));
        }
        let mine = part(order);
        let near = self.parts.iter().position(|theirs| is_slip(&mine, theirs));
        let near = near.map(|at| self.orders[at]);
        if self.orders.len() < MOST_AT_ONE_PLACE {
            self.orders.push(order);
            self.parts.push(mine);
        }
        near
    }
}

/// The name of the part in which two near addresses differ: the one left out, unless that is the
/// same in both and another differs in how it is written.
fn differing_part(orders: &[Order], first: usize, second: usize, left_out: usize) -> &'static str {
    let first = same_parts(&orders[first].ship_to);
    let second = same_parts(&orders[second].ship_to);
    let differs = |part: &usize| first[*part] != second[*part];
    let part = if differs(&left_out) { Some(left_out) } else { (0..PARTS.len()).find(differs) };
    PARTS[part.unwrap_or(left_out)]
}

/// The hash of one text.
fn hash_text(text: &str) -> u64 {
    StableHash::new().field(text).finish()
}
