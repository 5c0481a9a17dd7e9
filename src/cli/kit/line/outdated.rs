//! Papers that are no longer true: a label or bench card that says what its parcel is not any more.
//!
//! In: what would be printed of a line now, and its parcels as they were. Out: the parcels whose label or card is printed
//! otherwise now, with what has changed. A tracking number alone makes no paper untrue: it may come from
//! the carrier's own label when all is matched. Not here: printing.

use super::planned::{PlannedParcel, PrintReason};
use crate::batch::Batch;
use crate::cli::kit::plan::DocumentRole;
use crate::cli::line::to_position;
use crate::kit::{ParcelChange, list_changes};
use crate::ledger::{BenchLine, ParcelState};

/// The value of a parcel that its papers may lack and be true.
const TRACKING: &str = "tracking";

/// A parcel whose label or bench card is out of date.
pub(crate) struct OutdatedParcel {
    /// Its number in the sitting, from 1.
    pub(crate) number: u32,
    /// What has changed since they were printed, as messages show it.
    pub(crate) changes: Vec<String>,
}

/// Those of the parcels to print whose labels or bench cards say what is no longer so.
pub(super) fn find_outdated(
    parcels: &[PlannedParcel],
    was: &Batch,
    is: &Batch,
) -> Vec<OutdatedParcel> {
    let papers = [DocumentRole::Labels.paper(), DocumentRole::Cards.paper()];
    let is_at_hand = |parcel: &&PlannedParcel| {
        parcel.why == PrintReason::OutOfDate
            && parcel.documents.iter().any(|paper| papers.contains(&paper.document))
    };
    let outdated = parcels.iter().filter(is_at_hand).filter_map(|parcel| {
        let mut changes = changes_of(parcel, was, is);
        changes.retain(|change| change.path != TRACKING);
        // A layout that has changed since makes no label untrue.
        let changes: Vec<String> = changes.iter().map(ToString::to_string).collect();
        (!changes.is_empty()).then_some(OutdatedParcel { number: parcel.number, changes })
    });
    outdated.collect()
}

/// Leaves out the parcels that are matched and got nothing since but their tracking number.
pub(super) fn leave_out_numbered(
    parcels: &mut Vec<PlannedParcel>,
    line: &BenchLine,
    was: &Batch,
    is: &Batch,
) {
    parcels.retain(|parcel| {
        let is_matched =
            line.parcel(parcel.number).is_some_and(|known| known.state == ParcelState::Matched);
        if !is_matched {
            return true;
        }
        let changes = changes_of(parcel, was, is);
        changes.is_empty() || changes.iter().any(|change| change.path != TRACKING)
    });
}

/// In what a parcel is another than it was when it was printed.
fn changes_of(parcel: &PlannedParcel, was: &Batch, is: &Batch) -> Vec<ParcelChange> {
    let number = to_position(parcel.number);
    match (was.at(number), is.at(number)) {
        (Some(was), Some(is)) => list_changes(was, is),
        _ => Vec::new(),
    }
}
