//! What layouts and records say of a parcel's weighing: figures, without their reasons.
//!
//! In: a [`Weighing`]. Out: [`ParcelFigures`], which a batch keeps of each parcel in a fraction of the room.
//! Not here: how the figures are found (`weigh`).

use std::sync::Arc;

use rust_decimal::Decimal;

use super::heavy::{HeavyCaution, HeavyLevel};
use super::quote::{Quotes, show_amount};
use super::units::{Mass, Size3, Units, show_sides};
use super::weighing::Weighing;
use crate::fields::CurrencyCode;

/// What a parcel should weigh and measure, and what it costs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ParcelFigures {
    /// The units that figures are shown in.
    pub units: Units,
    /// What the packed parcel should weigh, whatever a scale says.
    pub expected_weight: Option<Mass>,
    /// What it should measure; parcels in one pack share it.
    pub expected_size: Option<Arc<Size3>>,
    /// The weight that is charged for.
    pub billable: Option<Mass>,
    /// The price of the service that carries it, with its extras; parcels that cost the same
    /// share it.
    pub price: Option<Arc<Price>>,
    /// The caution that a card or a list shows, if it asks for one.
    pub caution: Option<Box<LiftCaution>>,
}

/// How heavy a parcel is to whoever lifts it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LiftCaution {
    /// The level, which layouts put into words and signs.
    pub level: HeavyLevel,
    /// What it weighs.
    pub weight: Mass,
}

/// A sum of money, with as many decimals as its table has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Price {
    /// The sum.
    pub amount: Decimal,
    /// Its currency, after ISO 4217.
    pub currency: CurrencyCode,
    /// How many decimals it is shown with.
    pub decimals: u32,
}

impl Price {
    /// The sum without its currency.
    #[must_use]
    pub fn digits(&self) -> String {
        show_amount(self.amount, self.decimals)
    }
}

impl ParcelFigures {
    /// What it should weigh, in words.
    #[must_use]
    pub fn show_expected_weight(&self) -> Option<String> {
        self.expected_weight.map(|weight| self.units.mass(weight))
    }

    /// What it should weigh, to the nearest gram.
    #[must_use]
    pub fn expected_grams(&self) -> Option<u64> {
        let gram = Mass::from_grams(1).nanograms();
        self.expected_weight.map(|weight| (weight.nanograms() + gram / 2) / gram)
    }

    /// What it should measure, in words.
    #[must_use]
    pub fn show_expected_size(&self) -> Option<String> {
        self.expected_size.as_ref().map(|size| show_sides(&**size, self.units.length))
    }

    /// The weight that is charged for, in words.
    #[must_use]
    pub fn show_billable(&self) -> Option<String> {
        self.billable.map(|weight| self.units.mass(weight))
    }

    /// The currency of the price, ISO 4217.
    #[must_use]
    pub fn price_currency(&self) -> Option<&str> {
        self.price.as_ref().map(|price| price.currency.as_str())
    }

    /// The price with its currency.
    #[must_use]
    pub fn show_price(&self) -> Option<String> {
        self.price.as_ref().map(|price| format!("{} {}", price.digits(), price.currency))
    }
}

impl Weighing {
    /// The figures that are kept of it.
    #[must_use]
    pub fn figures(&self) -> ParcelFigures {
        let price = |quotes: &Quotes, amount| Price {
            amount,
            currency: quotes.currency,
            decimals: quotes.decimals,
        };
        let quoted = self.quotes.as_ref().zip(self.offer());
        ParcelFigures {
            units: self.units,
            expected_weight: self.expected_weight,
            expected_size: self.expected_size.map(Arc::new),
            billable: self.billable().map(|weight| weight.value),
            price: quoted.map(|(quotes, offer)| Arc::new(price(quotes, offer.total))),
            caution: self.caution.as_ref().map(|caution| {
                let HeavyCaution { level, weight, .. } = **caution;
                Box::new(LiftCaution { level, weight })
            }),
        }
    }
}
