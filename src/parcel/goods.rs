//! What the shop sells, as boxes: sizes and weights that orders do not carry.
//!
//! In: a stock-keeping number. Out: an [`ItemBox`] to choose a pack for.

use super::packing::ItemBox;
use super::units::{Mass, Size3};
use super::weigh::ParcelRules;

/// An article as a box.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Good {
    /// Its stock-keeping number, unique in the shop file.
    pub sku: Box<str>,
    /// Length, width and height of one as it stands.
    pub size: Option<Size3>,
    /// The weight of one.
    pub weight: Option<Mass>,
    /// Whether it must stay upright.
    pub this_side_up: bool,
}

impl ParcelRules {
    /// Some of an order's article as a box: what the order says of its weight, and else what the
    /// shop says of it. `name` is what messages call it.
    #[must_use]
    pub fn box_item(&self, sku: &str, name: &str, count: u32, weight: Option<Mass>) -> ItemBox {
        let good = self.goods.iter().find(|good| !sku.is_empty() && *good.sku == *sku);
        box_good(good, name, count, weight)
    }
}

/// Some of an order's article as a box, once it has been looked up among the goods.
#[must_use]
pub fn box_good(good: Option<&Good>, name: &str, count: u32, weight: Option<Mass>) -> ItemBox {
    ItemBox {
        name: name.into(),
        count,
        size: good.and_then(|good| good.size),
        weight: weight.or_else(|| good.and_then(|good| good.weight)),
        this_side_up: good.is_some_and(|good| good.this_side_up),
    }
}
