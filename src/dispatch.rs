//! Dispatch: what two tables say of parcels that go. The carrier's brings tracking numbers in; the
//! shop's tells it what went.
//!
//! In: a carrier's table; or a map ([`read_dispatch_map`]) and what went ([`Dispatched`]). Out:
//! numbers with the order or parcel that each belongs to; or the bytes of a CSV file whose columns,
//! encoding and marks are the shop's. Nothing is dropped or replaced without a word: a letter that the
//! encoding lacks, and a cell that a spreadsheet would run, are errors with their place. Not here: the
//! disk, and what the ledger makes of it.

mod field;
mod map;
mod numbers;
mod propose;
mod write;

pub use map::{DispatchMap, dispatch_schema, read_dispatch_map};
pub use numbers::{CarrierNumber, NumberColumns, read_carrier_numbers};
pub use propose::propose_dispatch_map;
pub use write::write_dispatches;

/// An order that went, as the shop may be told of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Dispatched {
    /// Its id.
    pub order: Box<str>,
    /// Its parcel's tracking number; empty when it has none.
    pub tracking: Box<str>,
    /// The service that carries it; empty when none is known.
    pub service: Box<str>,
    /// The service's extras.
    pub extras: Vec<Box<str>>,
    /// The packaging's name; empty when none is known.
    pub pack: Box<str>,
    /// What its parcel weighs, in grams; none when nobody weighed it.
    pub weight_g: Option<u32>,
    /// The day it was handed over: `2026-11-27`.
    pub date: Box<str>,
    /// The time of day: `19:42`.
    pub time: Box<str>,
    /// Its parcel's tag.
    pub tag: Box<str>,
    /// The sitting's name.
    pub sitting: Box<str>,
    /// Its parcel's number in the sitting.
    pub number: u32,
}
