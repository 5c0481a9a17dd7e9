//! What has changed of parcels since they were printed.
//!
//! In: the line as it was printed and as it is, and what is printed anew. Out: findings, with what was and
//! what is. Not here: whether pages differ (`compare`).

use super::planned::{PlannedParcel, PrintReason};
use crate::batch::{Batch, Parcel};
use crate::cli::line::to_position;
use crate::findings::{Finding, rules};
use crate::kit::list_changes;
use crate::words::join_and;

/// Tells of each parcel that is out of date why it is.
pub(super) fn tell_changes(was: &Batch, is: &Batch, parcels: &[PlannedParcel]) -> Vec<Finding> {
    let again = parcels.iter().filter(|parcel| parcel.why == PrintReason::OutOfDate);
    let found = again.filter_map(|planned| {
        let number = to_position(planned.number);
        Some(tell_change(was.at(number)?, is.at(number)?, planned))
    });
    found.collect()
}

/// What of a parcel is another than when it was printed.
fn tell_change(was: &Parcel, is: &Parcel, planned: &PlannedParcel) -> Finding {
    let changes = list_changes(was, is);
    let ids = is.order_ids();
    let papers: Vec<&str> = planned.documents.iter().map(|paper| paper.document).collect();
    let (message, hint) = if changes.is_empty() {
        (
            format!("the {} of parcel `{ids}` would not print as they did", join_and(&papers)),
            "the layout, the shop file or a picture has changed since".to_owned(),
        )
    } else {
        (
            format!("parcel `{ids}` is not as it was when it was printed"),
            format!(
                "throw away the papers of parcel {} that were printed before ({}), and keep the new ones",
                planned.number,
                join_and(&papers)
            ),
        )
    };
    Finding::new(&rules::PARCEL_DIFFERS_FROM_PRINT, message)
        .at(is.orders.first().map(|order| order.span()))
        .subject(is.subject())
        .details(changes.iter().map(ToString::to_string))
        .hint(hint)
}
