//! Which orders share a parcel, which could, and which nearly could.
//!
//! In: the orders in bench order. Out: for each its parcel, and remarks for the seller. Orders
//! share a parcel when recipient and address are the same after [`likeness`](super::likeness) has
//! folded them, nothing about the goods speaks against it, neither is marked `apart` and neither
//! is split off. What is only nearly the same is reported and never merged.

use std::collections::hash_map::Entry;
use std::collections::{HashMap, HashSet};
use std::hash::BuildHasher as _;

use foldhash::fast::FixedState;

use super::BatchOptions;
use super::discord::{DiscordKind, Sending, Usual, recipient_key};
use super::likeness::{PARTS, is_slip, near_part, near_parts, same_part};
use crate::findings::{Finding, Subject, rules};
use crate::hash::StableHash;
use crate::orders::{Order, Orders};
use crate::shop::Shop;
use crate::words::nearest;

/// What the seller wants.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct CombineWishes<'a> {
    /// Whether orders of one recipient share a parcel.
    pub(super) combine: bool,
    /// The ids of orders that stay by themselves all the same.
    pub(super) split: &'a [Box<str>],
}

/// What there is to say about two orders, by their indexes; it is said of the second, which lies
/// behind the first unless it was split off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum CombineRemark {
    /// They share a parcel.
    Combined(usize, usize),
    /// They could share a parcel.
    CouldCombine(usize, usize),
    /// They would share a parcel, and the second was split off.
    Split(usize, usize),
    /// They go to one address and cannot share a parcel, for these reasons.
    KeptApart(usize, usize, Vec<DiscordKind>),
    /// They may be meant for one address.
    NearMiss(usize, usize),
}

/// Which parcel each order goes into, numbered from 0 in bench order, and what to say about it.
pub(super) struct Grouping {
    /// The parcel of each order.
    pub(super) parcel_of: Vec<usize>,
    /// Remarks, in bench order of their later order.
    pub(super) remarks: Vec<CombineRemark>,
}

/// Groups orders into parcels; without `combine` each order is a parcel of its own, and what could
/// have been combined is remarked on. An order that is split off leads no parcel: the others that
/// would share it still do.
pub(super) fn group_orders(
    orders: &[Order],
    wishes: CombineWishes<'_>,
    usual: Usual<'_>,
) -> Grouping {
    let recipients = group_recipients(orders);
    let mut leader: Vec<usize> = (0..orders.len()).collect();
    let mut remarks = Vec::new();
    for recipient in &recipients {
        let ways = list_ways(orders, recipient, usual);
        let Some((sending, members)) = ways.first() else { continue };
        for (other, theirs) in &ways[1..] {
            let reasons = sending.differ(other);
            remarks.push(CombineRemark::KeptApart(members[0], theirs[0], reasons));
        }
        for (_, members) in &ways {
            join_members(orders, members, wishes, &mut leader, &mut remarks);
        }
    }
    remarks.extend(find_near_misses(orders, &recipients));
    remarks.sort_by_key(|remark| match remark {
        CombineRemark::Combined(first, second)
        | CombineRemark::CouldCombine(first, second)
        | CombineRemark::Split(first, second)
        | CombineRemark::KeptApart(first, second, _)
        | CombineRemark::NearMiss(first, second) => (*second, *first),
    });
    Grouping { parcel_of: number_parcels(&leader), remarks }
}

/// Lets orders that can share a parcel share one, as far as the seller wishes.
fn join_members(
    orders: &[Order],
    members: &[usize],
    wishes: CombineWishes<'_>,
    leader: &mut [usize],
    remarks: &mut Vec<CombineRemark>,
) {
    let is_split =
        |order: usize| wishes.combine && wishes.split.iter().any(|id| **id == *orders[order].id());
    let first = members.iter().copied().find(|&order| !is_split(order));
    for &order in members {
        match first {
            Some(first) if first == order => {}
            _ if is_split(order) => {
                let other = first.or(members.iter().copied().find(|&it| it != order));
                remarks.extend(other.map(|other| CombineRemark::Split(other, order)));
            }
            Some(first) if wishes.combine => {
                leader[order] = first;
                remarks.push(CombineRemark::Combined(first, order));
            }
            Some(first) => remarks.push(CombineRemark::CouldCombine(first, order)),
            None => {}
        }
    }
}

/// The orders of a recipient that can share a parcel, for each way of sending that cannot be mixed
/// with the others; ways and orders both in bench order.
fn list_ways<'a>(
    orders: &'a [Order],
    recipient: &Recipient,
    usual: Usual<'a>,
) -> Vec<(Sending<'a>, Vec<usize>)> {
    let mut ways: Vec<(Sending<'_>, Vec<usize>)> = Vec::new();
    let mut known: HashMap<Sending<'_>, usize> = HashMap::new();
    for &order in recipient.orders.iter().filter(|&&order| !orders[order].apart()) {
        let sending = Sending::of(&orders[order], order, usual);
        let way = *known.entry(sending).or_insert_with(|| {
            ways.push((sending, Vec::new()));
            ways.len() - 1
        });
        ways[way].1.push(order);
    }
    ways
}

/// What is wrong with a list of orders to split off: ids that no order of the file has, and orders
/// that share their parcel with no other. Of orders with errors nothing is said, and nothing of
/// sharing when there are some, because they might be the others.
#[must_use]
pub fn check_split(orders: &Orders, shop: Option<&Shop>, split: &[Box<str>]) -> Vec<Finding> {
    if split.is_empty() {
        return Vec::new();
    }
    let good = &orders.orders;
    let usual = Usual::of(shop);
    let mut sharing: HashSet<usize> = HashSet::new();
    for recipient in group_recipients(good) {
        let ways = list_ways(good, &recipient, usual).into_iter();
        sharing.extend(ways.filter(|(_, members)| members.len() > 1).flat_map(|(_, it)| it));
    }
    let mut found = Vec::new();
    for id in split {
        let is_bad = orders.bad.iter().any(|bad| bad.id.as_ref() == Some(id));
        match good.iter().position(|order| *order.id() == **id) {
            None if is_bad => {}
            None => {
                let near = nearest(id, good.iter().map(|order| order.id()));
                let hint = match near {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("take `{id}` out of the orders to split off"),
                };
                let message = format!("no order has the id `{id}`");
                found.push(Finding::new(&rules::UNKNOWN_ORDER, message).hint(hint));
            }
            Some(at) if !orders.bad.is_empty() || sharing.contains(&at) => {}
            Some(at) => {
                let message = format!("order `{id}` shares a parcel with no other");
                found.push(
                    Finding::new(&rules::NOTHING_TO_SPLIT, message)
                        .at(good[at].id_span())
                        .subject(Subject { order: id.to_string(), position: None })
                        .hint(format!("take `{id}` out of the orders to split off")),
                );
            }
        }
    }
    found
}

/// A good order that would share a parcel with one that was refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mates {
    /// The good order, as an index into [`Orders::orders`].
    pub good: usize,
    /// The refused order, as an index into [`Orders::bad`].
    pub bad: usize,
}

/// The good orders of a file that would share a parcel with a refused one, as far as that can be
/// read, in bench order. None when nothing is combined: sent without the other, such an order would
/// be a parcel of its own.
#[must_use]
pub fn find_mates(orders: &Orders, shop: Option<&Shop>, options: &BatchOptions) -> Vec<Mates> {
    if !options.combine {
        return Vec::new();
    }
    let guesses = orders.bad.iter().enumerate();
    let guesses = guesses.filter_map(|(at, bad)| Some((at, &**bad.guess.as_ref()?)));
    let mut all: Vec<(Option<usize>, Option<usize>, &Order)> =
        guesses.map(|(at, order)| (None, Some(at), order)).collect();
    let recipients: HashSet<String> =
        all.iter().filter_map(|(_, _, order)| Some(recipient_key(order)?.0)).collect();
    let is_theirs =
        |order: &Order| recipient_key(order).is_some_and(|it| recipients.contains(&it.0));
    let good = orders.orders.iter().enumerate().filter(|(_, order)| is_theirs(order));
    all.extend(good.map(|(at, order)| (Some(at), None, order)));
    all.sort_by_key(|(_, _, order)| order.span().start);

    let wishes = CombineWishes { combine: true, split: &options.split };
    let these: Vec<Order> = all.iter().map(|(_, _, order)| (*order).clone()).collect();
    let parcel_of = group_orders(&these, wishes, Usual::of(shop)).parcel_of;
    let mut refused: HashMap<usize, usize> = HashMap::new();
    for ((_, bad, _), parcel) in all.iter().zip(&parcel_of) {
        if let Some(bad) = bad {
            refused.entry(*parcel).or_insert(*bad);
        }
    }
    let mates = all.iter().zip(&parcel_of).filter_map(|((good, _, _), parcel)| {
        Some(Mates { good: (*good)?, bad: *refused.get(parcel)? })
    });
    mates.collect()
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
fn group_recipients(orders: &[Order]) -> Vec<Recipient> {
    let mut recipients: Vec<Recipient> = Vec::with_capacity(orders.len());
    let mut known = KnownRecipients::default();
    for (index, order) in orders.iter().enumerate() {
        let Some((key, parts)) = recipient_key(order) else {
            recipients.push(Recipient { orders: vec![index], near: None });
            continue;
        };
        let is_it = |place: usize| {
            let first = &orders[recipients[place].orders[0]];
            recipient_key(first).is_some_and(|first| first.0 == key)
        };
        match known.find_or_add(&key, recipients.len(), is_it) {
            Some(place) => recipients[place].orders.push(index),
            None => {
                let near = near_parts(&parts).map(|part| hash_text(&part));
                recipients.push(Recipient { orders: vec![index], near: Some(near) });
            }
        }
    }
    recipients
}

/// Where each recipient stands in a list, by the hash of its key: the keys themselves would take as much
/// as the orders do, and are made again for the few that are compared.
#[derive(Default)]
struct KnownRecipients(HashMap<u64, usize>);

impl KnownRecipients {
    /// Where a key's recipient stands, if `is_it` says so of one that has its hash; else the key is
    /// added with the place `new`.
    fn find_or_add(
        &mut self,
        key: &str,
        new: usize,
        is_it: impl Fn(usize) -> bool,
    ) -> Option<usize> {
        let mut hash = self.0.hasher().hash_one(key);
        loop {
            match self.0.entry(hash) {
                Entry::Vacant(free) => {
                    free.insert(new);
                    return None;
                }
                Entry::Occupied(known) if is_it(*known.get()) => return Some(*known.get()),
                Entry::Occupied(_) => hash = hash.wrapping_add(1),
            }
        }
    }
}

/// The recipients that may be one: each with the first before it that is near, if any.
fn find_near_misses(orders: &[Order], recipients: &[Recipient]) -> Vec<CombineRemark> {
    let mut remarks = Vec::new();
    let mut is_found = vec![false; recipients.len()];
    for left_out in 0..PARTS.len() {
        // Recipients that are near in every part but one meet in one bucket.
        let mut firsts: HashMap<u64, usize, FixedState> =
            HashMap::with_capacity_and_hasher(recipients.len(), FixedState::default());
        let mut buckets: HashMap<u64, Bucket, FixedState> = HashMap::default();
        for (recipient, Recipient { orders: members, near }) in recipients.iter().enumerate() {
            let order = &orders[members[0]];
            let Some(mut others) = near.filter(|_| !order.apart()) else { continue };
            others[left_out] = 0;
            let country = StableHash::new().field(order.country().as_str());
            let hash = others.iter().fold(country, |hash, other| hash.number(*other)).finish();
            let first = match firsts.entry(hash) {
                Entry::Occupied(first) => *first.get(),
                Entry::Vacant(free) => {
                    free.insert(members[0]);
                    continue;
                }
            };
            let bucket = buckets.entry(hash).or_insert_with(|| Bucket::of(first));
            let Some(first) = bucket.add(orders, members[0], left_out) else { continue };
            if !std::mem::replace(&mut is_found[recipient], true) {
                remarks.push(CombineRemark::NearMiss(first, members[0]));
            }
        }
    }
    remarks
}

/// How many recipients that share all parts but one are compared with each further one; more live
/// at one place only in large houses, where likeness of names says little.
const MOST_AT_ONE_PLACE: usize = 40;

/// Recipients whose addresses are near in all parts but one; there are several.
struct Bucket {
    /// Their orders, by index.
    orders: Vec<usize>,
    /// The part left out, of each; written out once a second comes.
    parts: Vec<String>,
}

impl Bucket {
    /// A bucket with one order.
    fn of(first: usize) -> Bucket {
        Bucket { orders: vec![first], parts: Vec::new() }
    }

    /// Adds a recipient's order; returns the first order there that is near to it.
    fn add(&mut self, orders: &[Order], order: usize, left_out: usize) -> Option<usize> {
        let part = |order: usize| near_part(&same_part(&orders[order].ship_to(), left_out));
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

/// What texts are known by until they meet; it is the same in every run.
fn hash_text(text: &str) -> u64 {
    StableHash::new().field(text).finish()
}
