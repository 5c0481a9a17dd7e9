//! The shop's own table of prices: zones, services, weight bands, extras.
//!
//! Data only; it is read from the shop file (`read_rates`) and asked for a price (`quote`). Money
//! is decimal and keeps the digits it was written with.

use rust_decimal::Decimal;

use super::billing::BillingRules;
use super::units::Mass;
use crate::fields::{CountryCode, CurrencyCode};
use crate::source::Span;

/// What it costs to send a parcel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RateTable {
    /// The currency of all prices.
    pub currency: CurrencyCode,
    /// Where parcels go to, in the order of the shop file; names are unique.
    pub zones: Vec<Zone>,
    /// What carries them, in the order of the shop file; names are unique.
    pub services: Vec<Service>,
}

/// Countries with one price.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Zone {
    /// Its name in the shop file, unique among the zones.
    pub name: Box<str>,
    /// Its countries; a country is in one zone at most.
    pub countries: Vec<CountryCode>,
    /// Whether it holds every country that no zone lists; true of one zone at most.
    pub elsewhere: bool,
}

/// One way to send a parcel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Service {
    /// Its name in the shop file, which cards and lists print.
    pub name: Box<str>,
    /// What it promises without extras.
    pub keeps: Keeps,
    /// How long it takes by zone index, in days; not known for other zones.
    pub days: Vec<(usize, u32)>,
    /// The names of the limits that hold for it; none when it has none.
    pub limits: Vec<Box<str>>,
    /// How it finds the weight to charge for; as the shop does when not given.
    pub billing: Option<BillingRules>,
    /// Its prices by zone index; it does not go to other zones.
    pub prices: Vec<(usize, Vec<Band>)>,
    /// What can be added to it.
    pub extras: Vec<Extra>,
    /// Where its name stands in the shop file.
    pub span: Option<Span>,
}

/// A price up to a weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Band {
    /// The heaviest weight it holds for; any weight when not given.
    pub up_to: Option<Mass>,
    /// The price in the currency of the rates, without extras.
    pub price: Decimal,
}

/// Something added to a service for a price.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Extra {
    /// Its name, unique in its service.
    pub name: Box<str>,
    /// What it adds to the service's price, in the currency of the rates.
    pub price: Decimal,
    /// What it promises.
    pub keeps: Keeps,
}

/// What a service or an extra promises.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Keeps {
    /// Whether the parcel can be followed.
    pub tracked: bool,
    /// Whether the recipient signs.
    pub signature: bool,
    /// The value it is insured to, in the currency of the table.
    pub insured_to: Option<Decimal>,
}

/// What a sender asks of whatever carries a parcel; nothing by default.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Wishes {
    /// The one service that may carry it; any when not given.
    pub service: Option<Box<str>>,
    /// The names of extras that must be with it.
    pub extras: Vec<Box<str>>,
    /// Whether it must be followed.
    pub tracked: bool,
    /// Whether the recipient must sign.
    pub signature: bool,
    /// The value it must be insured to, in the currency of the table.
    pub insured_to: Option<Decimal>,
    /// The days it may take at most.
    pub max_days: Option<u32>,
}

impl Keeps {
    /// What both promise together.
    #[must_use]
    pub fn with(self, other: Keeps) -> Keeps {
        Keeps {
            tracked: self.tracked || other.tracked,
            signature: self.signature || other.signature,
            insured_to: self.insured_to.max(other.insured_to),
        }
    }

    /// The promises asked for that are not kept, in words.
    #[must_use]
    pub fn missing(self, wishes: &Wishes) -> Vec<String> {
        let mut missing = Vec::new();
        if wishes.tracked && !self.tracked {
            missing.push("tracking".to_owned());
        }
        if wishes.signature && !self.signature {
            missing.push("a signature".to_owned());
        }
        if let Some(value) = wishes.insured_to
            && self.insured_to.unwrap_or_default() < value
        {
            missing.push(format!("insurance to {value}"));
        }
        missing
    }
}

impl RateTable {
    /// The zone of a country, by its index.
    #[must_use]
    pub fn zone_of(&self, country: CountryCode) -> Option<usize> {
        let lists = |zone: &Zone| zone.countries.contains(&country);
        let listed = self.zones.iter().position(lists);
        listed.or_else(|| self.zones.iter().position(|zone| zone.elsewhere))
    }

    /// The decimals of the price that has the most.
    #[must_use]
    pub fn decimals(&self) -> u32 {
        let bands = self.services.iter().flat_map(|it| &it.prices).flat_map(|(_, bands)| bands);
        let extras =
            self.services.iter().flat_map(|it| &it.extras).map(|extra| extra.price.scale());
        bands.map(|band| band.price.scale()).chain(extras).max().unwrap_or(0)
    }
}
