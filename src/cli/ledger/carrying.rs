//! How parcels go: by which service, in what, how heavy and for how much.
//!
//! In: a line and the shop file. Out: what stands on its parcels' papers, to be kept when they are handed
//! over, and told to the shop. Not here: how it is chosen (`batch`).

use std::collections::BTreeMap;

use super::super::halt::Halt;
use super::super::inputs::ShopPlace;
use super::super::line::{LineInputs, LineView};
use super::open::OpenLedger;
use crate::batch::Parcel;
use crate::findings::has_errors;
use crate::ledger::{BenchLine, Carried, CarriedPostage};

/// How the parcels of a line go, by number. Those whose orders were forgotten are not among them.
///
/// # Errors
/// When the ledger or the shop file cannot be read.
pub(super) fn read_carried(
    open: &OpenLedger,
    line: BenchLine,
    shop: ShopPlace<'_>,
) -> Result<BTreeMap<u32, Carried>, Halt> {
    let read = LineInputs::read(&open.ledger, line, shop)?;
    if read.inputs.shop.is_none() && has_errors(&read.inputs.findings) {
        return Err(Halt::unusable(read.inputs.findings, &read.inputs.sources));
    }
    let parcels = &read.batch(LineView::Bench).batch.parcels;
    let numbered = parcels.iter().filter_map(|parcel| {
        let number = u32::try_from(parcel.position).ok()?;
        Some((number, carried_of(parcel)))
    });
    Ok(numbered.collect())
}

/// How a parcel goes.
fn carried_of(parcel: &Parcel) -> Carried {
    let price = parcel.figures.as_deref().and_then(|figures| figures.price.as_deref());
    let postage = price.map(|price| CarriedPostage {
        sum: price.digits().into(),
        currency: price.currency.as_str().into(),
    });
    Carried {
        service: (&*parcel.service).into(),
        extras: parcel.extras.iter().map(|extra| (&**extra).into()).collect(),
        pack: (&*parcel.pack).into(),
        weight_g: parcel.weight_g,
        postage,
    }
}
