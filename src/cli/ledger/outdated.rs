//! Parcels of the line whose label or bench card is no longer true.
//!
//! Not here: how papers are compared (`kit::line`).

use std::collections::BTreeMap;

use super::super::arguments::ledger::LedgerOptions;
use super::super::halt::Halt;
use super::super::inputs::ShopPlace;
use super::super::kit::list_outdated;
use super::super::line::{LineInputs, is_as_printed};
use super::super::setup::PrintSetup;
use super::open::OpenLedger;
use super::shop_file::shop_beside;
use crate::ledger::BenchLine;

/// What has changed of those parcels since they were printed, by number. With the shop file beside the
/// ledger; where that cannot be used nothing is told here, and `print` says what is wrong with it.
pub(super) fn tell_outdated(
    open: &OpenLedger,
    line: &BenchLine,
    options: &LedgerOptions,
) -> BTreeMap<u32, Vec<String>> {
    ask(open, line, options).unwrap_or_default()
}

/// What has changed of one parcel since it was printed. Of a parcel that is what it was, nothing else is read:
/// at the bench a hundred pairs are matched one after another.
pub(super) fn tell_outdated_parcel(
    open: &OpenLedger,
    line: &BenchLine,
    number: u32,
    options: &LedgerOptions,
) -> Option<Vec<String>> {
    match is_as_printed(&open.ledger, line, number) {
        Ok(true) => None,
        _ => tell_outdated(open, line, options).remove(&number),
    }
}

/// What [`tell_outdated`] tells, or why it cannot be known.
fn ask(
    open: &OpenLedger,
    line: &BenchLine,
    options: &LedgerOptions,
) -> Result<BTreeMap<u32, Vec<String>>, Halt> {
    let beside = shop_beside(options);
    let place = ShopPlace { named: None, beside: &beside };
    let mut source = LineInputs::read(&open.ledger, line.clone(), place)?;
    if !source.has_changed() {
        return Ok(BTreeMap::new());
    }
    let setup = PrintSetup::with(None, &source.inputs, None, None)?;
    let outdated = list_outdated(&mut source, &setup)?;
    Ok(outdated.into_iter().map(|parcel| (parcel.number, parcel.changes)).collect())
}
