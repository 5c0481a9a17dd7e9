//! Which stamps each parcel of a batch gets.
//!
//! In: weighed parcels by their numbers, and the shop. Out: the stamps of each that goes by a service
//! without tracking and whose price is known, and what there is to say of those that get none. Stamps of
//! which the drawer has so many are used up in the order of the numbers, those of parcels that are gone
//! too. Not here: the choice itself (`parcel`).

use std::collections::HashMap;
use std::sync::Arc;

use rust_decimal::Decimal;

use super::Parcel;
use crate::findings::{Finding, Repeats, rules};
use crate::limits::PARCEL_STAMPS;
use crate::parcel::{
    PostageStamp, Price, RateTable, StampChoice, StampCount, StampLack, choose_stamps,
};
use crate::shop::Shop;

/// Chooses the stamps of parcels.
pub(super) fn stamp_parcels<'p>(
    parcels: impl IntoIterator<Item = &'p mut Parcel>,
    shop: Option<&Shop>,
) -> Vec<Finding> {
    let rules = shop.map(|shop| &shop.rules).filter(|rules| !rules.stamps.is_empty());
    let Some((rules, rates)) = rules.and_then(|rules| Some((rules, rules.rates.as_ref()?))) else {
        return Vec::new();
    };
    let mut drawer = Drawer { stamps: rules.stamps.clone(), known: HashMap::new() };
    let (mut first, mut more): (Option<Finding>, usize) = (None, 0);
    for parcel in parcels {
        let price = parcel.figures.as_deref().and_then(|figures| figures.price.as_deref().copied());
        let Some(price) = price.filter(|price| !price.amount.is_zero()) else { continue };
        if is_tracked(parcel, rates) {
            continue;
        }
        match drawer.take(price.amount) {
            Ok(choice) => parcel.stamps = Some(choice),
            Err(_) if first.is_some() => more += 1,
            Err(lack) => first = Some(report_lack(parcel, price, lack)),
        }
    }
    let repeats = (more > 0).then_some(Repeats::Parcels(more));
    first.map(|finding| finding.repeated(repeats)).into_iter().collect()
}

/// The stamps there are, and what was chosen for which price since one of them was used up.
struct Drawer {
    /// The stamps that are left.
    stamps: Vec<PostageStamp>,
    /// The choices so far, by price.
    known: HashMap<Decimal, Result<Arc<StampChoice>, StampLack>>,
}

impl Drawer {
    /// The stamps for a price, which are in the drawer no more.
    fn take(&mut self, price: Decimal) -> Result<Arc<StampChoice>, StampLack> {
        let choose = || choose_stamps(&self.stamps, price).map(Arc::new);
        let choice = self.known.entry(price).or_insert_with(choose).clone()?;
        let mut is_counted = false;
        for StampCount { kind, count, .. } in &choice.stamps {
            if let Some(left) = &mut self.stamps[*kind].left {
                *left = left.saturating_sub(u32::try_from(*count).unwrap_or(u32::MAX));
                is_counted = true;
            }
        }
        if is_counted {
            self.known.clear();
        }
        Ok(choice)
    }
}

/// Whether a parcel can be followed: it has a number, or its service or one of its extras brings one.
fn is_tracked(parcel: &Parcel, rates: &RateTable) -> bool {
    let service = rates.services.iter().find(|service| *service.name == *parcel.service);
    let by_service = service.is_none_or(|service| {
        let chosen = |name: &str| parcel.extras.iter().any(|extra| **extra == *name);
        let extras = service.extras.iter().filter(|extra| chosen(&extra.name));
        service.keeps.tracked || extras.into_iter().any(|extra| extra.keeps.tracked)
    });
    by_service || !parcel.tracking.is_empty()
}

/// What there is to say of a parcel that no stamps make up the price of.
fn report_lack(parcel: &Parcel, price: Price, lack: StampLack) -> Finding {
    let costs = format!("{} {}", price.digits(), price.currency);
    let (why, hint) = match lack {
        StampLack::Worth(worth) if worth.is_zero() => (
            "none are left".to_owned(),
            "buy stamps and correct their `left`, or send it by another service",
        ),
        StampLack::Worth(worth) => (
            format!("all that are left are worth {worth} {}", price.currency),
            "buy stamps and correct their `left`, or send it by another service",
        ),
        StampLack::TooMany(worth) => (
            format!("the {PARCEL_STAMPS} largest are worth {worth} {}", price.currency),
            "add stamps that are worth more to `stamps`, or send it by another service",
        ),
        StampLack::TooFine => (
            "it is too much to count in so small stamps".to_owned(),
            "take the smallest stamps out of `stamps`, or send it by another service",
        ),
    };
    let message = format!("no stamps make up the {costs} of this parcel: {why}");
    Finding::new(&rules::NO_STAMPS, message)
        .at(parcel.orders.first().map(|order| order.span()))
        .subject(parcel.subject())
        .hint(hint)
}
