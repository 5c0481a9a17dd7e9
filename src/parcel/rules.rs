//! What the shop file says of parcels: packs, weights, limits, prices, goods and stamps.

use super::billing::BillingRules;
use super::heavy::HeavyRules;
use super::limits::Limits;
use super::packing::{Good, ItemBox, Pack, Wrapping, box_good};
use super::quote::find_limits;
use super::rates::RateTable;
use super::stamps::PostageStamp;
use super::units::{Mass, Units};

/// How weights and sizes are found and shown; the `weights` section of the shop file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WeightRules {
    /// The units that figures are shown in.
    pub units: Units,
    /// How the weight to charge for is found.
    pub billing: BillingRules,
    /// From when a parcel is heavy.
    pub heavy: HeavyRules,
    /// What wrapping adds.
    pub wrapping: Wrapping,
}

/// What the shop file says of parcels.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ParcelRules {
    /// The packaging at hand, in the order of the file.
    pub packs: Vec<Pack>,
    /// How weights and sizes are found and shown.
    pub weights: WeightRules,
    /// The shop's own limits.
    pub limits: Vec<Limits>,
    /// The prices, when the shop has a table.
    pub rates: Option<RateTable>,
    /// What the shop sells, as boxes.
    pub goods: Vec<Good>,
    /// The stamps there are.
    pub stamps: Vec<PostageStamp>,
}

impl ParcelRules {
    /// Whether there are no rules at all, so that nothing about a parcel can be told by them.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        // Stamps tell nothing of a parcel whose price no rates tell.
        let ParcelRules { packs, weights, limits, rates, goods, stamps: _ } = self;
        let no_lists = packs.is_empty() && limits.is_empty() && goods.is_empty();
        no_lists && rates.is_none() && *weights == WeightRules::default()
    }

    /// Whether a service has prices or limits.
    #[must_use]
    pub fn knows_service(&self, name: &str) -> bool {
        let priced = self.rates.iter().flat_map(|table| &table.services);
        priced.map(|service| &*service.name).any(|service| service == name)
            || find_limits(&self.limits, name).is_some()
    }

    /// Takes one pack off those that are left, so that the next parcel finds one less; parcels
    /// are weighed in bench order for that. Gives how many are left when there was one to take.
    pub fn use_pack(&mut self, name: &str) -> Option<u32> {
        let mut packs = self.packs.iter_mut();
        let pack = packs.find(|pack| *pack.name == *name && pack.left != Some(0))?;
        pack.left = pack.left.map(|left| left - 1);
        pack.left
    }

    /// Some of an order's article as a box: what the order says of its weight, and else what the
    /// shop says of it. `name` is what messages call it.
    #[must_use]
    pub fn box_item(&self, sku: &str, name: &str, count: u32, weight: Option<Mass>) -> ItemBox {
        let good = self.goods.iter().find(|good| !sku.is_empty() && *good.sku == *sku);
        box_good(good, name, count, weight)
    }
}
