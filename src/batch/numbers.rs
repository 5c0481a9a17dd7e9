//! Tracking numbers that two parcels have: a carrier takes one of them, and nobody finds the other.
//!
//! In: the parcels that go. Out: an error for each that has the number of one before it. Not here: check
//! digits (`orders`).

use std::collections::HashMap;

use super::Parcel;
use crate::fields::tracking_key;
use crate::findings::{Finding, rules};

/// Reports parcels with the tracking number of another; `way_out` is what helps with the second.
pub(super) fn report_numbers(
    parcels: &[Parcel],
    way_out: impl Fn(&Parcel) -> String,
) -> Vec<Finding> {
    let mut known: HashMap<String, &Parcel> = HashMap::new();
    let mut found = Vec::new();
    for parcel in parcels.iter().filter(|parcel| !parcel.tracking.is_empty()) {
        let Some(first) = known.insert(tracking_key(&parcel.tracking), parcel) else { continue };
        let (a, b) = (first.order_ids(), parcel.order_ids());
        let tracking = &parcel.tracking;
        let message = format!("parcels `{a}` and `{b}` have one tracking number, `{tracking}`");
        let [at, of_first] = [parcel, first].map(|it| it.orders.first().map(|it| it.span()));
        let mut finding = Finding::new(&rules::DOUBLED_TRACKING, message)
            .at(at)
            .path("tracking")
            .subject(parcel.subject())
            .hint(way_out(parcel));
        if let Some(place) = of_first {
            finding = finding.related(place, format!("`{a}` is here"));
        }
        found.push(Finding { others: vec![first.position], ..finding });
    }
    found
}
