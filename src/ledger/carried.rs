//! How a parcel went: by which service, in what, how heavy and for how much, as it was at the counter.
//!
//! In and out: a [`Carried`], which the entry of handing over keeps, so that a shop file that is changed
//! afterwards changes nothing of it. Not here: how service and postage are chosen (`parcel`).

use serde::{Deserialize, Serialize};

/// How a parcel went.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Carried {
    /// What carried it; empty when nobody said.
    #[serde(default, skip_serializing_if = "str::is_empty")]
    pub service: Box<str>,
    /// The service's extras.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub extras: Vec<Box<str>>,
    /// The packaging; empty when nobody said.
    #[serde(default, skip_serializing_if = "str::is_empty")]
    pub pack: Box<str>,
    /// The weight, in grams.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weight_g: Option<u32>,
    /// What was paid for it; none when no price was known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub postage: Option<CarriedPostage>,
}

/// What it cost.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CarriedPostage {
    /// The sum, with as many decimals as it was shown with: `4.20`.
    pub sum: Box<str>,
    /// Its currency, after ISO 4217.
    pub currency: Box<str>,
}
