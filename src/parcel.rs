//! What a parcel weighs and measures, what it fits into, what is allowed and what it costs: pure
//! arithmetic, every figure with its reason.
//!
//! In: what is known of a parcel ([`ParcelFacts`]) and the shop's packs, weights, limits and rates
//! ([`ParcelRules`]), whose sections of the shop file are read here too. Out: a [`Weighing`], with
//! findings for the seller. Weights are whole nanograms, lengths whole micrometres and money
//! decimal, so that nothing is decided by a rounding error. Not here: orders and batches, which
//! hand in what they know; and when a batch is stopped by a finding.

mod billing;
mod file;
mod findings;
mod heavy;
mod limits;
mod packing;
mod placement;
mod quote;
mod rates;
mod report;
mod units;
mod weigh;

pub use billing::{Billing, BillingRules, SideRounding, VolumeFactor, bill};
pub use heavy::{HeavyCaution, HeavyLevel, HeavyRules, caution};
pub use limits::{LimitCheck, Limits, length_and_girth, standard_limits};
pub use packing::{Good, box_good};
pub use packing::{
    ItemBox, ItemPlace, Load, Pack, PackTrial, PackVerdict, Wrapping, order_packs, try_pack,
    weigh_items, weigh_packed,
};
pub use placement::{LooseBox, MOST_BOXES, Obstacle, PlacedBox, Placement, place_boxes};
pub use quote::{Cargo, Quote, QuotedExtra, Quotes, Refused, Tariff, quote};
pub use rates::{Band, Extra, Keeps, RateTable, Service, Wishes, Zone};
pub use units::{Extent, LengthUnit, Mass, MassUnit, Size3, parse_size, show_sides};
pub use weigh::{ParcelFacts, ParcelRules, Weighing, WeightRules, weigh};

pub(crate) use file::{GOODS, LIMITS, PACKS, RATES, WEIGHTS, read_parcel_rules};

#[cfg(feature = "command")]
pub(crate) use report::plain_number;

/// A figure with the sentence that says where it comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure<T> {
    /// The figure.
    pub value: T,
    /// Where it comes from: lower case, no full stop.
    pub reason: String,
}

impl<T> Figure<T> {
    /// A figure and its reason.
    #[must_use]
    pub fn new(value: T, reason: impl Into<String>) -> Figure<T> {
        Figure { value, reason: reason.into() }
    }
}

/// The units that figures are shown in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Units {
    /// The unit of lengths; millimetres by default.
    pub length: LengthUnit,
    /// The unit of weights; by default grams below a kilogram, and kilograms from there.
    pub mass: Option<MassUnit>,
}

impl Default for Units {
    fn default() -> Units {
        Units { length: LengthUnit::Millimetre, mass: None }
    }
}

impl Units {
    /// A weight as it is shown.
    #[must_use]
    pub fn mass(self, mass: Mass) -> String {
        let by_itself =
            if mass < Mass::from_grams(1_000) { MassUnit::Gram } else { MassUnit::Kilogram };
        mass.show(self.mass.unwrap_or(by_itself))
    }

    /// A length as it is shown.
    #[must_use]
    pub fn length(self, length: Extent) -> String {
        length.show(self.length)
    }

    /// Sides as they are shown.
    #[must_use]
    pub fn sides(self, sides: &[Extent]) -> String {
        show_sides(sides, self.length)
    }
}

#[cfg(test)]
mod tests;
