//! Tags for the next parcel of a line.
//!
//! In: the tags that the line has given, those of parcels that are gone too, because their bags may be
//! marked; and the orders of the next parcel, or the tag that the seller types. Out: a tag that cannot be
//! taken for any of them, or for which one the typed tag can be taken. Not here: how a tag is made
//! (`tags`).

use std::fmt;

use unicode_normalization::char::is_combining_mark;

use super::skeleton::TagBones;
use super::tags::{LONGEST_READABLE, TagRules, plain_form, tag_parcels};
use crate::orders::Order;
use crate::words::counted;

/// A tag that a line has given.
#[derive(Clone, Copy, Debug)]
pub struct LinedTag<'a> {
    /// The parcel's number.
    pub number: usize,
    /// What it is called on the bench.
    pub tag: &'a str,
    /// The parcel's orders, as far as they are known.
    pub orders: &'a [Order],
}

/// Why a tag is a poor one for the next parcel of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TagDoubt {
    /// A parcel of the line has it.
    Equal {
        /// The parcel's number.
        number: usize,
    },
    /// It can be taken for that of a parcel of the line.
    Confusable {
        /// The parcel's number.
        number: usize,
        /// The tag of that parcel.
        tag: Box<str>,
    },
    /// It has so many characters that it cannot be read from far.
    Long {
        /// How many.
        characters: usize,
    },
}

impl fmt::Display for TagDoubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            TagDoubt::Equal { number } => write!(f, "parcel {number} has this tag"),
            TagDoubt::Confusable { number, tag } => {
                write!(f, "it is easily taken for `{tag}` of parcel {number}")
            }
            TagDoubt::Long { characters } => {
                let characters = counted(*characters, "character");
                write!(f, "it has {characters} and cannot be read from far")
            }
        }
    }
}

/// What speaks against a tag for the next parcel of a line; nothing when it can be used.
#[must_use]
pub fn judge_tag(line: &[LinedTag<'_>], tag: &str) -> Option<TagDoubt> {
    let text = plain_form(tag);
    if let Some(equal) = line.iter().find(|lined| plain_form(lined.tag) == text) {
        return Some(TagDoubt::Equal { number: equal.number });
    }
    let bones = TagBones::of(tag);
    if let Some(near) = line.iter().find(|lined| TagBones::of(lined.tag).is_near(&bones)) {
        return Some(TagDoubt::Confusable { number: near.number, tag: near.tag.into() });
    }
    let characters = text.chars().filter(|c| !is_combining_mark(*c)).count();
    (characters > LONGEST_READABLE).then_some(TagDoubt::Long { characters })
}

/// A tag for the next parcel of a line: the one that its orders bring, if nothing speaks against it, or
/// else one that is made. It depends on nothing but what the line has given.
#[must_use]
pub fn propose_tag(line: &[LinedTag<'_>], next: &[Order], shop_name: &str) -> Box<str> {
    let brought = next.iter().map(Order::tag).filter(|tag| !tag.is_empty());
    if let Some(tag) = brought.clone().find(|tag| judge_tag(line, tag).is_none()) {
        return tag.into();
    }
    let Some(first) = next.first() else { return Box::default() };
    // A parcel whose orders nobody knows any more still has its tag.
    let nobody = first.changed(|order| order.items.clear());
    let mut parcels: Vec<Vec<Order>> = line
        .iter()
        .map(|lined| {
            let known =
                if lined.orders.is_empty() { std::slice::from_ref(&nobody) } else { lined.orders };
            tag_orders(known, lined.tag)
        })
        .collect();
    parcels.push(tag_orders(next, ""));
    let members: Vec<Vec<&Order>> = parcels.iter().map(|orders| orders.iter().collect()).collect();
    let parcel_of: Vec<usize> = members
        .iter()
        .enumerate()
        .flat_map(|(parcel, orders)| std::iter::repeat_n(parcel, orders.len()))
        .collect();
    let (tags, _) = tag_parcels(&members, &parcel_of, TagRules { shop_name, fix: false });
    tags.into_iter().next_back().map(|tag| tag.text).unwrap_or_default()
}

/// A parcel's orders with its tag on the first of them, and no other.
fn tag_orders(orders: &[Order], tag: &str) -> Vec<Order> {
    let tags = std::iter::once(tag).chain(std::iter::repeat(""));
    orders.iter().zip(tags).map(|(order, tag)| order.changed(|order| order.tag = tag)).collect()
}
