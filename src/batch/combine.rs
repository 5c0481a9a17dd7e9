//! Which orders share a parcel, which could, and which nearly could.
//!
//! In: the orders in bench order. Out: for each its parcel, and remarks for the seller. Orders
//! share a parcel when recipient and address are the same after [`likeness`](super::likeness) has
//! folded them, nothing about the goods speaks against it and neither is marked `apart`. What is
//! only nearly the same is reported and never merged.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

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
    for members in recipients.iter().map(|recipient| &recipient.orders) {
        let mut members = members.iter().copied().filter(|&order| !orders[order].apart);
        let Some(first) = members.next() else { continue };
        // One leader for each way of sending that cannot be mixed with the others.
        let mut leaders = HashMap::from([(Sending::of(&orders[first], first, usual), first)]);
        for order in members {
            match leaders.entry(Sending::of(&orders[order], order, usual)) {
                Entry::Occupied(known) if combine => {
                    leader[order] = *known.get();
                    remarks.push(Remark::Combined(*known.get(), order));
                }
                Entry::Occupied(known) => remarks.push(Remark::CouldCombine(*known.get(), order)),
                Entry::Vacant(free) => {
                    let reasons = Sending::of(&orders[first], first, usual).differ(free.key());
                    remarks.push(Remark::KeptApart(first, order, reasons));
                    free.insert(order);
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

/// How an order is sent: orders of one recipient can share a parcel when this is equal.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct Sending<'a> {
    /// Whether no price may be seen.
    gift: bool,
    /// What was declared.
    hazard: &'a str,
    /// The service.
    service: &'a str,
    /// The currency.
    currency: Option<CurrencyCode>,
    /// The tracking number.
    tracking: &'a str,
    /// The order itself, when a carrier's label is already made for it.
    label: Option<usize>,
}

impl<'a> Sending<'a> {
    /// How an order is sent; `index` tells it from all others.
    fn of(order: &'a Order, index: usize, usual: Usual<'a>) -> Sending<'a> {
        Sending {
            gift: order.gift,
            hazard: &order.hazard,
            service: if order.service.is_empty() { usual.service } else { &order.service },
            currency: order.currency.or(usual.currency),
            tracking: &order.tracking,
            label: order.carrier_label.as_ref().map(|_| index),
        }
    }

    /// In what two ways of sending differ, in words.
    fn differ(&self, other: &Sending<'_>) -> Vec<&'static str> {
        [
            (self.gift != other.gift, "only one is a gift, and a gift must show no price"),
            (self.hazard != other.hazard, "their hazard declarations differ"),
            (self.service != other.service, "their services differ"),
            (self.currency != other.currency, "their currencies differ"),
            (self.tracking != other.tracking, "their tracking numbers differ"),
            (self.label != other.label, "a carrier's label is already made"),
        ]
        .into_iter()
        .filter_map(|(applies, reason)| applies.then_some(reason))
        .collect()
    }
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

/// Orders for one name and address.
struct Recipient {
    /// The orders, by index.
    orders: Vec<usize>,
    /// The hashes of the address's near parts; none when it cannot be compared.
    near: Option<[u64; PARTS.len()]>,
}

/// The orders of each recipient, recipients and orders both in bench order.
///
/// An address without a street says too little to be compared: two Smiths of one town are not one
/// recipient.
fn group_recipients(orders: &[Order]) -> Vec<Recipient> {
    let mut recipients: Vec<Recipient> = Vec::new();
    let mut known: HashMap<String, usize> = HashMap::with_capacity(orders.len());
    for (index, order) in orders.iter().enumerate() {
        if order.ship_to.lines.is_empty() {
            recipients.push(Recipient { orders: vec![index], near: None });
            continue;
        }
        let parts = same_parts(&order.ship_to);
        // No folded part has this character.
        let key = [order.ship_to.country.as_str(), &parts.join("\n")].join("\n");
        match known.entry(key) {
            Entry::Occupied(recipient) => recipients[*recipient.get()].orders.push(index),
            Entry::Vacant(free) => {
                free.insert(recipients.len());
                let near = near_parts(&parts).map(|part| hash_text(&part));
                recipients.push(Recipient { orders: vec![index], near: Some(near) });
            }
        }
    }
    recipients
}

/// The recipients that may be one: each with the first before it that is near, if any.
fn find_near_misses(orders: &[Order], recipients: &[Recipient]) -> Vec<Remark> {
    let mut remarks = Vec::new();
    let mut is_found = vec![false; recipients.len()];
    for left_out in 0..PARTS.len() {
        // Recipients that are near in every part but one meet in one bucket.
        let mut buckets: HashMap<u64, Bucket> = HashMap::with_capacity(recipients.len());
        for (recipient, Recipient { orders: members, near }) in recipients.iter().enumerate() {
            let order = &orders[members[0]];
            let Some(mut others) = near.filter(|_| !order.apart) else { continue };
            others[left_out] = 0;
            let country = StableHash::new().field(order.ship_to.country.as_str());
            let hash = others.iter().fold(country, |hash, other| hash.number(*other));
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
            let mut parts: Parts = near_parts(&same_parts(&orders[order].ship_to));
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
