//! What a parcel weighs and measures, what it fits into, what is allowed and what it costs: pure
//! arithmetic, every figure with its reason.
//!
//! In: what is known of a parcel ([`ParcelFacts`]) and the shop's packs, weights, limits and rates
//! ([`ParcelRules`]), whose sections of the shop file are read here too. Out: a [`Weighing`], with
//! findings for the seller. Weights are whole nanograms, lengths whole micrometres and money
//! decimal, so that nothing is decided by a rounding error. Not here: orders and batches, which
//! hand in what they know; and when a batch is stopped by a finding.

mod billing;
mod expected;
mod figures;
mod file;
mod findings;
mod heavy;
mod limits;
mod packing;
mod placement;
mod quote;
mod rates;
mod report;
mod rules;
mod stamps;
mod units;
mod weigh;
mod weighing;

pub use billing::{Billing, BillingRules, SideRounding, VolumeFactor, bill};
pub use figures::{LiftCaution, ParcelFigures, Price};
pub use heavy::{HeavyCaution, HeavyLevel, HeavyRules, caution};
pub use limits::{LimitCheck, Limits, length_and_girth, standard_limits};
pub use packing::{
    Good, ItemBox, ItemPlace, Load, Pack, PackTrial, PackVerdict, Wrapping, box_good, order_packs,
    try_pack, weigh_items, weigh_packed,
};
pub use placement::{
    LooseBox, MOST_BOXES, Obstacle, PlacedBox, Placement, PlacementMemo, place_boxes,
};
pub use quote::{Cargo, Quote, QuotedExtra, Quotes, Refused, Tariff, quote};
pub use rates::{Band, Extra, Keeps, RateTable, Service, Wishes, Zone};
pub use rules::{ParcelRules, WeightRules};
pub use stamps::{FewerStamps, PostageStamp, StampChoice, StampCount, StampLack, choose_stamps};
pub use units::{
    Extent, Figure, LengthUnit, Mass, MassUnit, Size3, Telling, Units, parse_size, show_sides,
};
pub use weigh::{weigh, weigh_silently};
pub use weighing::{ParcelFacts, Weighing};

pub(crate) use file::{GOODS, LIMITS, PACKS, RATES, STAMPS, WEIGHTS, read_parcel_rules};

#[cfg(feature = "command")]
pub(crate) use report::plain_number;

#[cfg(test)]
mod tests;
