//! Entries: what can happen to orders and parcels, and how the ledger writes it down.
//!
//! In and out: an [`Event`] and its JSON. An entry says nothing of people: what an order says stands
//! in a text of its own that can be forgotten, and events refer to it by number. Not here: whether
//! something may happen (`line`), and where entries are kept (`store`).

use serde::{Deserialize, Serialize};

use super::carried::Carried;
use super::moment::Moment;

/// One thing that happened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LedgerEntry {
    /// Its number; later entries have greater ones.
    pub seq: i64,
    /// The act it belongs to: all that one command or key did, so that it is taken back together.
    pub act: i64,
    /// When.
    pub at: Moment,
    /// By which command or screen.
    pub by: Box<str>,
    /// In which sitting; none for what happens to orders that wait.
    pub sitting: Option<u32>,
    /// What it was, with all that it needs to happen again.
    pub event: Event,
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Event {
    /// An order came in for the first time.
    Came {
        /// Its id.
        order: Box<str>,
        /// The number of the text it came as.
        text: i64,
        /// The id of an order that went before and may be the same one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        doubt: Option<Box<str>>,
    },
    /// An order came in again and says something else.
    Changed {
        /// Its id.
        order: Box<str>,
        /// The number of the text that holds from now on.
        text: i64,
    },
    /// An order that went, was taken off or is in doubt may join a line all the same.
    Again {
        /// Its id.
        order: Box<str>,
        /// Why.
        reason: Box<str>,
    },
    /// A waiting order was cancelled.
    Cancelled {
        /// Its id.
        order: Box<str>,
        /// Why.
        reason: Box<str>,
    },
    /// A shop's export leaves out an order that is still here, or calls it cancelled.
    CalledOff {
        /// Its id.
        order: Box<str>,
    },
    /// The seller has looked at what exports said of an order, and put it away.
    Seen {
        /// Its id.
        order: Box<str>,
    },
    /// A sitting began.
    Opened {
        /// The name that the sitting was given.
        name: Box<str>,
        /// Its key, part of every code that is printed in it.
        key: Box<str>,
    },
    /// Orders were lined up as a parcel.
    LinedUp {
        /// Its number, which no other parcel of the sitting ever has.
        number: u32,
        /// The ids of its orders.
        orders: Vec<Box<str>>,
        /// What it is called on the bench, made or the seller's own.
        tag: Box<str>,
        /// Its pair code.
        pair: Box<str>,
    },
    /// A parcel was put elsewhere in the line; its number stays.
    Moved {
        /// Which parcel.
        number: u32,
        /// The number of the parcel it lies before; none at the end.
        before: Option<u32>,
    },
    /// Something was measured or decided at the bench.
    Noted {
        /// The parcel's number.
        number: u32,
        /// What; facts that are not named stay as they were.
        facts: Facts,
    },
    /// An order joined a parcel.
    Joined {
        /// The parcel's number.
        number: u32,
        /// The order's id.
        order: Box<str>,
        /// Whether it may go to another address than the parcel: the seller said so.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        elsewhere: bool,
    },
    /// An order left a parcel and waits again.
    Parted {
        /// The parcel's number.
        number: u32,
        /// The order's id.
        order: Box<str>,
    },
    /// An order of a parcel declares something else of hazards than when they were noted: what was noted
    /// of them no longer holds.
    Redeclared {
        /// The parcel's number.
        number: u32,
        /// The order's id.
        order: Box<str>,
    },
    /// An order of a parcel holds something else than when the parcel was weighed: what the scale said
    /// no longer holds.
    Refilled {
        /// The parcel's number.
        number: u32,
        /// The order's id.
        order: Box<str>,
    },
    /// A parcel's papers were printed.
    Printed {
        /// The parcel's number.
        number: u32,
        /// How many parcels the line had, as the papers say.
        count: u32,
        /// What stood on them, as [`Paper`]s.
        papers: Vec<Paper>,
        /// The folder of the kit, for the day it is to be forgotten.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        kit: Option<Box<str>>,
    },
    /// A parcel's label and bench card were found to belong together.
    Matched {
        /// The parcel's number.
        number: u32,
        /// By which codes it was found.
        how: Matching,
    },
    /// A parcel got its tracking number.
    Tracked {
        /// The parcel's number.
        number: u32,
        /// The tracking number.
        tracking: Box<str>,
    },
    /// A parcel's orders say its tracking number, or no longer do.
    Numbered {
        /// The parcel's number.
        number: u32,
        /// The tracking number; empty when they say none.
        tracking: Box<str>,
    },
    /// A parcel went to whoever carries it.
    HandedOver {
        /// Which parcel.
        number: u32,
        /// How it went; older entries do not say.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        carried: Option<Box<Carried>>,
    },
    /// A parcel does not go: it was cancelled.
    TakenOff {
        /// Which parcel.
        number: u32,
        /// Why.
        reason: Box<str>,
    },
    /// A parcel does not go tonight; its orders wait for another sitting.
    SetAside {
        /// Which parcel.
        number: u32,
        /// Why.
        reason: Box<str>,
    },
    /// A sitting ended.
    Closed {},
    /// The shop was told of parcels that went.
    Exported {
        /// The ids of the orders.
        orders: Vec<Box<str>>,
    },
    /// An act was taken back.
    Undone {
        /// The number of the act.
        undoes: i64,
    },
    /// What orders said was removed.
    Forgot {
        /// Orders that went before this date.
        before: Box<str>,
        /// The ids of the orders.
        orders: Vec<Box<str>>,
    },
}

/// What is measured or decided of a parcel at the bench.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Facts {
    /// What the scale says, in grams.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weight_g: Option<u32>,
    /// Length, width and height in millimetres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size_mm: Option<[u32; 3]>,
    /// The packaging's name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pack: Option<Box<str>>,
    /// The service that carries it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub service: Option<Box<str>>,
    /// The service's extras.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub extras: Option<Vec<Box<str>>>,
    /// What was declared of hazards: `none`, or what it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hazard: Option<Box<str>>,
    /// Another tag.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tag: Option<Box<str>>,
}

impl Facts {
    /// Takes over what other facts say.
    pub(super) fn take(&mut self, newer: &Facts) {
        /// Takes over one fact, if it is known.
        fn put<T: Clone>(old: &mut Option<T>, new: &Option<T>) {
            if new.is_some() {
                old.clone_from(new);
            }
        }
        put(&mut self.weight_g, &newer.weight_g);
        put(&mut self.size_mm, &newer.size_mm);
        put(&mut self.pack, &newer.pack);
        put(&mut self.service, &newer.service);
        put(&mut self.extras, &newer.extras);
        put(&mut self.hazard, &newer.hazard);
        put(&mut self.tag, &newer.tag);
    }
}

/// One document of a parcel as it was printed. An event holds it as a pair, because there are more of
/// these than of anything else in a ledger.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(from = "(Box<str>, Box<str>)", into = "(Box<str>, Box<str>)")]
pub struct Paper {
    /// The document: `labels`, `bench-cards`, `slips` …
    pub document: Box<str>,
    /// A digest of its finished pages, 16 hexadecimal digits.
    pub digest: Box<str>,
}

impl From<(Box<str>, Box<str>)> for Paper {
    fn from(pair: (Box<str>, Box<str>)) -> Paper {
        Paper { document: pair.0, digest: pair.1 }
    }
}

impl From<Paper> for (Box<str>, Box<str>) {
    fn from(paper: Paper) -> (Box<str>, Box<str>) {
        (paper.document, paper.digest)
    }
}

/// How a label and its bench card were found to belong together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Matching {
    /// Both codes were scanned.
    Scan,
    /// Somebody laid them together and looked at tag and tally.
    Eye,
}

/// The kinds of event as the ledger's file names them.
impl Event {
    /// What stands in the table's column; read again, it is the same event.
    #[must_use]
    pub fn to_json(&self) -> String {
        // Texts and numbers under fixed names: there is nothing in them that JSON cannot hold.
        serde_json::to_string(self).unwrap_or_default()
    }

    /// The event that a JSON text holds.
    ///
    /// # Errors
    /// When it is none, with what is wrong.
    pub fn from_json(text: &str) -> Result<Event, serde_json::Error> {
        serde_json::from_str(text)
    }

    /// The parcel it is about, if it is about one.
    #[must_use]
    pub fn number(&self) -> Option<u32> {
        match self {
            Event::LinedUp { number, .. }
            | Event::Moved { number, .. }
            | Event::Noted { number, .. }
            | Event::Joined { number, .. }
            | Event::Parted { number, .. }
            | Event::Redeclared { number, .. }
            | Event::Refilled { number, .. }
            | Event::Printed { number, .. }
            | Event::Matched { number, .. }
            | Event::Tracked { number, .. }
            | Event::Numbered { number, .. }
            | Event::HandedOver { number, .. }
            | Event::TakenOff { number, .. }
            | Event::SetAside { number, .. } => Some(*number),
            Event::Came { .. }
            | Event::Changed { .. }
            | Event::Again { .. }
            | Event::Cancelled { .. }
            | Event::CalledOff { .. }
            | Event::Seen { .. }
            | Event::Opened { .. }
            | Event::Closed {}
            | Event::Exported { .. }
            | Event::Undone { .. }
            | Event::Forgot { .. } => None,
        }
    }

    /// The orders it names.
    #[must_use]
    pub fn orders(&self) -> &[Box<str>] {
        match self {
            Event::Came { order, .. }
            | Event::Changed { order, .. }
            | Event::Again { order, .. }
            | Event::Cancelled { order, .. }
            | Event::CalledOff { order }
            | Event::Seen { order }
            | Event::Joined { order, .. }
            | Event::Parted { order, .. }
            | Event::Redeclared { order, .. }
            | Event::Refilled { order, .. } => std::slice::from_ref(order),
            Event::LinedUp { orders, .. }
            | Event::Exported { orders }
            | Event::Forgot { orders, .. } => orders,
            _ => &[],
        }
    }

    /// Whether it can be taken back: it left nothing behind that is out of the ledger's reach.
    #[must_use]
    pub fn can_be_undone(&self) -> bool {
        !matches!(
            self,
            Event::Came { .. }
                | Event::Changed { .. }
                | Event::CalledOff { .. }
                | Event::Seen { .. }
                | Event::Opened { .. }
                | Event::Redeclared { .. }
                | Event::Refilled { .. }
                | Event::Printed { .. }
                | Event::Exported { .. }
                | Event::Undone { .. }
                | Event::Forgot { .. }
        )
    }
}
