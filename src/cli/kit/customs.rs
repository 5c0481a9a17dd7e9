//! Which parcels get a customs sheet, and which may need a customs paper all the same.

use super::plan::{CUSTOMS_FIELD, DocumentRole, Planned};
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

/// Tells of parcels that may need a customs paper and get none from this kit.
pub(super) fn report_customs<'b>(
    inputs: &Inputs,
    planned: &[Planned],
    batch: &'b Batch,
    is_printed: impl Fn(&'b Parcel) -> bool,
) -> Option<Finding> {
    let mut printed: Vec<&Parcel> = batch.parcels.iter().filter(|it| is_printed(it)).collect();
    printed.sort_unstable_by_key(|parcel| parcel.position);
    if planned.iter().any(|planned| planned.role == DocumentRole::Customs) {
        report_unsure(inputs, &printed)
    } else if says_how(inputs) {
        None
    } else {
        report_missing(inputs, &printed)
    }
}

/// Whether the shop file says how its customs papers are made: that it wants no sheets, or that a
/// document of the seller's own is chosen by `customs`.
fn says_how(inputs: &Inputs) -> bool {
    let kit = inputs.shop.as_ref().map(|shop| &shop.kit);
    kit.is_some_and(|kit| {
        let mut conditions = kit.documents.iter().filter_map(|it| it.when.as_ref());
        kit.layouts.iter().any(|choice| choice.field == CUSTOMS_FIELD)
            || conditions.any(|(condition, _)| condition.contains("customs"))
    })
}

/// Tells of parcels that leave the area while nobody has said how customs hear of them.
fn report_missing(inputs: &Inputs, printed: &[&Parcel]) -> Option<Finding> {
    let leaving: Vec<&Parcel> =
        printed.iter().copied().filter(|parcel| needs_sheet(inputs, parcel)).collect();
    let first = leaving.first()?;
    let message = format!(
        "{} the customs and VAT area, and no paper here is for customs",
        tell_parcels(&leaving, ["leaves", "leave"])
    );
    let hint = format!(
        "write `{CUSTOMS_FIELD}: customs-sheet-a5` under `kit` in the shop file, or `{CUSTOMS_FIELD}: \
         none` if you declare such parcels elsewhere"
    );
    let finding = Finding::new(&rules::NO_CUSTOMS_PAPER, message).at(first.orders[0].span());
    Some(finding.path("ship_to").subject(first.subject()).hint(hint))
}

/// Tells of parcels that get no sheet though some of their kind need one.
fn report_unsure(inputs: &Inputs, printed: &[&Parcel]) -> Option<Finding> {
    let mut place = None;
    let unsure: Vec<&Parcel> = printed
        .iter()
        .copied()
        .filter(|parcel| match judge(inputs, parcel) {
            Some(CustomsVerdict::Unsure(of)) => {
                place.get_or_insert(of);
                true
            }
            _ => false,
        })
        .collect();
    let (first, place) = (unsure.first()?, place?);
    let list = tell_parcels(&unsure, ["has", "have"]);
    let message = format!("{list} no customs sheet: {place} is of two customs areas");
    Some(Finding::new(&rules::CUSTOMS_UNSURE, message).at(first.orders[0].span()).path("ship_to").subject(first.subject()).hint(
        "as a rule none is needed; ask your carrier about goods for a business, and write its \
             answer into the shop file: `customs: {needed_for: [GB BT]}`, or `none_for`",
    ))
}

/// Parcels by their numbers, with a verb for one and for many.
fn tell_parcels(parcels: &[&Parcel], [one, many]: [&str; 2]) -> String {
    let positions: Vec<usize> = parcels.iter().map(|parcel| parcel.position).collect();
    let (noun, verb) = if positions.len() == 1 { ("parcel", one) } else { ("parcels", many) };
    format!("{noun} {} {verb}", list_ranges(&positions))
}
