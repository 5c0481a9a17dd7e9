//! What went, as the shop is told of it, and which of it is asked for.

use super::moment::Moment;

/// What a parcel is that went, for the shop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sent {
    /// The order's id.
    pub order: Box<str>,
    /// The sitting it went in.
    pub sitting: u32,
    /// The parcel's number.
    pub number: u32,
    /// When it was handed over.
    pub at: Moment,
    /// Its tracking number; empty when it has none.
    pub tracking: Box<str>,
    /// When the shop was told; none before it was.
    pub told: Option<Moment>,
}

/// Which orders that went are asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SentOrders {
    /// Those that the shop was not told of.
    Untold,
    /// Those of a sitting, told or not.
    OfSitting(u32),
    /// Those of all sittings, told or not.
    All,
}
