//! What is known of a parcel before it is weighed, and all that is known afterwards.

use super::billing::Billing;
use super::heavy::HeavyCaution;
use super::packing::{ItemBox, Pack, PackTrial};
use super::quote::{Quote, Quotes};
use super::rates::Wishes;
use super::units::{Extent, Figure, Mass, Size3, Units};
use crate::fields::CountryCode;
use crate::findings::Finding;

/// What is known of a parcel.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct ParcelFacts {
    /// What was ordered, with how many of each.
    pub items: Vec<ItemBox>,
    /// The pack that was chosen by hand; empty means that the smallest that will do is taken.
    pub pack: Box<str>,
    /// The pack that is taken where none can be chosen, because a size is not known; may be empty.
    pub usual_pack: Box<str>,
    /// What the packed parcel weighs on the scale.
    pub weight: Option<Mass>,
    /// Its length, width and height.
    pub size: Option<Size3>,
    /// The country it goes to.
    pub country: CountryCode,
    /// What is asked of whatever carries it.
    pub wishes: Wishes,
}

/// What a parcel weighs, measures and costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighing {
    /// The units that figures are shown in.
    pub units: Units,
    /// What the items weigh by themselves.
    pub items: Option<Figure<Mass>>,
    /// Which pack is used; none when none was named and none could be chosen.
    pub pack: Option<Figure<Box<str>>>,
    /// Every pack that was tried, in the order it was tried in.
    pub trials: Vec<PackTrial>,
    /// What the packed parcel weighs.
    pub weight: Option<Figure<Mass>>,
    /// Its length, width and height.
    pub size: Option<Figure<Size3>>,
    /// What the packed parcel should weigh: its items, its pack and the wrapping, whatever a scale
    /// says; none where one of them is not known.
    pub expected_weight: Option<Mass>,
    /// What it should measure: its pack from outside.
    pub expected_size: Option<Size3>,
    /// Its longest side and the girth around the other two, added up.
    pub length_and_girth: Option<Figure<Extent>>,
    /// The weight to charge for, by the shop's rules.
    pub billing: Billing,
    /// The caution it asks for.
    pub caution: Option<Box<HeavyCaution>>,
    /// The prices; none without a table.
    pub quotes: Option<Quotes>,
    /// The cheapest offer of another service, where the one that was asked for cannot carry it.
    pub instead: Option<Box<Quote>>,
    /// What is wrong, or worth knowing.
    pub findings: Vec<Finding>,
}

impl Weighing {
    /// The service that carries it, with its price: the one that was asked for, or the cheapest;
    /// none without a table, and none where the cheapest has limits that could not be checked.
    #[must_use]
    pub fn offer(&self) -> Option<&Quote> {
        let quotes = self.quotes.as_ref()?;
        quotes.offers.first().filter(|offer| quotes.asked || offer.unchecked.is_empty())
    }

    /// The weight that is charged for: by the rules of the service that carries it, or else by the
    /// shop's.
    #[must_use]
    pub fn billable(&self) -> Option<&Figure<Mass>> {
        let of_service = self.offer().and_then(|offer| offer.billable.as_ref());
        of_service.or(self.billing.billable.as_ref())
    }

    /// The price of the service that carries it, with its extras and currency.
    #[must_use]
    pub fn show_price(&self) -> Option<String> {
        self.quotes.as_ref().zip(self.offer()).map(|(quotes, offer)| quotes.show(offer.total))
    }
}

/// A pack that may be used, with what the parcel comes to in it.
pub(super) struct PackCandidate<'a> {
    /// The pack; none when nothing is known of one.
    pub(super) pack: Option<&'a Pack>,
    /// What the packed parcel weighs.
    pub(super) weight: Option<Figure<Mass>>,
    /// What it measures from outside; none when nothing is known of it.
    pub(super) size: Option<Figure<Size3>>,
    /// The prices; none without a table.
    pub(super) quotes: Option<Quotes>,
}
