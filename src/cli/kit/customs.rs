//! Which parcels get a customs sheet, and which may need one all the same.

use crate::batch::{Batch, Parcel};
use crate::cli::inputs::Inputs;
use crate::customs::CustomsVerdict;
use crate::findings::{Finding, rules};
use crate::words::list_ranges;

/// Whether a parcel leaves the customs and VAT area that the shop posts it in; without a shop file
/// nobody knows, and no sheet is made.
pub(super) fn needs_sheet(inputs: &Inputs, parcel: &Parcel) -> bool {
    judge(inputs, parcel).is_some_and(CustomsVerdict::is_needed)
}

/// What is known of a parcel's customs.
fn judge(inputs: &Inputs, parcel: &Parcel) -> Option<CustomsVerdict> {
    inputs.shop.as_ref().map(|shop| shop.judge_customs(&parcel.recipient()))
}

/// Tells of parcels that get no sheet though some of their kind need one.
pub(super) fn report_unsure<'b>(
    inputs: &Inputs,
    batch: &'b Batch,
    is_printed: impl Fn(&'b Parcel) -> bool,
) -> Option<Finding> {
    let mut unsure: Vec<(&Parcel, &str)> = Vec::new();
    for parcel in batch.parcels.iter().filter(|parcel| is_printed(parcel)) {
        if let Some(CustomsVerdict::Unsure(place)) = judge(inputs, parcel) {
            unsure.push((parcel, place));
        }
    }
    let (first, place) = *unsure.first()?;
    let mut positions: Vec<usize> = unsure.iter().map(|(parcel, _)| parcel.position).collect();
    positions.sort_unstable();
    let (noun, verb) = if positions.len() == 1 { ("parcel", "has") } else { ("parcels", "have") };
    let list = list_ranges(&positions);
    let message = format!("{noun} {list} {verb} no customs sheet: {place} is of two customs areas");
    Some(Finding::new(&rules::CUSTOMS_UNSURE, message).at(first.orders[0].span()).path("ship_to").subject(first.subject()).hint(
        "as a rule none is needed; ask your carrier about goods for a business, and write its \
             answer into the shop file: `customs: {needed_for: [GB BT]}`, or `none_for`",
    ))
}
