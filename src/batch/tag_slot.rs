//! What is known of a parcel's tag while the tags of a batch are made.

use super::Tag;
use crate::orders::Order;

/// What is known of a parcel's tag.
#[derive(Clone, Default)]
pub(super) struct TagSlot<'a> {
    /// How many of its orders have been taken.
    pub(super) seen: u32,
    /// The order whose tag it has, if the seller gave one.
    pub(super) given: Option<&'a Order>,
    /// What speaks against the given tag, if anything does.
    pub(super) fault: Option<Box<TagFault>>,
    /// The tag made for it: its own, or the one proposed instead of the given.
    pub(super) made: Option<Box<str>>,
    /// The word that the made tag is, if it is one.
    pub(super) word: Option<u32>,
    /// The made tags that it had and lost to others, if any.
    pub(super) lost: Option<Box<Loss>>,
    /// The tag made for it when an order joined it and brought the given one, and that order, by
    /// its place in the parcel.
    pub(super) joined: Option<Box<(Box<str>, u32)>>,
}

impl TagSlot<'_> {
    /// The tag that the parcel gets.
    pub(super) fn tag(&self, fix: bool) -> Tag {
        match (self.given, &self.made) {
            (Some(order), _) if !(fix && self.kept().is_some()) => {
                Tag { text: order.tag().into(), made: false }
            }
            (_, made) => Tag { text: made.as_deref().unwrap_or_default().into(), made: true },
        }
    }

    /// What is wrong with the given tag.
    pub(super) fn doubt(&self) -> Option<Doubt> {
        self.fault.as_ref()?.doubt
    }

    /// The earlier parcel whose given tag is kept and is equal to this one or confusable with it.
    pub(super) fn kept(&self) -> Option<usize> {
        self.fault.as_ref()?.kept
    }

    /// Whether the given tag is hard to read: how many characters it has.
    pub(super) fn length(&self) -> Option<usize> {
        self.fault.as_ref()?.length
    }
}

/// What speaks against a tag that the seller gave.
#[derive(Clone, Debug, Default)]
pub(super) struct TagFault {
    /// See [`TagSlot::doubt`].
    pub(super) doubt: Option<Doubt>,
    /// See [`TagSlot::kept`].
    pub(super) kept: Option<usize>,
    /// See [`TagSlot::length`].
    pub(super) length: Option<usize>,
}

/// What is wrong with a tag that the seller gave; the number is that of the earlier parcel.
#[derive(Clone, Copy, Debug)]
pub(super) enum Doubt {
    /// It is the same as an earlier one.
    Equal(usize),
    /// It is confusable with an earlier one.
    Confusable(usize),
}

/// The made tags that a parcel had before orders behind it came in and took them.
#[derive(Clone, Debug)]
pub(super) struct Loss {
    /// The tags, the first of them first.
    pub(super) tags: Vec<Box<str>>,
    /// Why it lost the last.
    pub(super) reason: Reason,
}

/// Why a made tag cannot stay.
#[derive(Clone, Copy, Debug)]
pub(super) enum Reason {
    /// It would be taken for the tag that the seller gave this later parcel.
    Given {
        /// That later parcel, from 0.
        parcel: usize,
    },
    /// Its word tells no parcel from another.
    Common {
        /// In how many parcels it stood then.
        count: u32,
        /// How many parcels there were then.
        of: u32,
    },
}
