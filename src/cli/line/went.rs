//! A parcel that was handed over, as it was at the counter.
//!
//! In: what the entry of handing over keeps. Out: the parcel with its service, pack, weight and postage of
//! then, whatever the shop file and its orders say since. Older entries keep nothing, and the rules of now
//! are asked.

use std::sync::Arc;

use rust_decimal::Decimal;

use crate::batch::Parcel;
use crate::fields::CurrencyCode;
use crate::ledger::{Carried, CarriedPostage};
use crate::parcel::{ParcelFigures, Price, Units};
use crate::source::SharedText;

/// Puts into a parcel how it went.
pub(super) fn put_carried(parcel: &mut Parcel, carried: &Carried) {
    let text = |text: &str| SharedText::from(text.to_owned());
    parcel.service = text(&carried.service);
    parcel.pack = text(&carried.pack);
    parcel.extras = carried.extras.iter().map(|extra| text(extra)).collect();
    parcel.weight_g = carried.weight_g;
    let price = carried.postage.as_ref().and_then(read_price).map(Arc::new);
    let known = parcel.figures.as_deref().and_then(|figures| figures.price.as_deref());
    if known != price.as_deref() {
        let figures = parcel.figures.as_deref().cloned().unwrap_or_else(no_figures);
        parcel.figures = Some(Arc::new(ParcelFigures { price, ..figures }));
    }
}

/// A price as an entry keeps it; none when it is no number of money.
fn read_price(postage: &CarriedPostage) -> Option<Price> {
    let amount: Decimal = postage.sum.parse().ok()?;
    let currency = CurrencyCode::parse(&postage.currency)?;
    Some(Price { amount, currency, decimals: amount.scale() })
}

/// The figures of a parcel of which the shop file of now says nothing.
fn no_figures() -> ParcelFigures {
    ParcelFigures {
        units: Units::default(),
        expected_weight: None,
        expected_size: None,
        billable: None,
        price: None,
        caution: None,
    }
}
