//! What is missing or odd in the addresses of a batch.

use super::Batch;
use crate::address::{Problem, check_address};
use crate::findings::Finding;

/// Checks every recipient's address against the open data of its country.
///
/// Problems are put at their order, with the path of the part; the hint carries the country's
/// example where it has one.
#[must_use]
pub fn inspect_addresses(batch: &Batch) -> Vec<Finding> {
    let mut found = Vec::new();
    for parcel in &batch.parcels {
        let problems = check_address(&parcel.recipient().to_parts());
        let span = parcel.orders[0].span;
        let name = |problem: Problem| to_finding(problem).at(span).subject(parcel.subject());
        found.extend(problems.into_iter().map(name));
    }
    found
}

/// A problem as a finding.
fn to_finding(problem: Problem) -> Finding {
    let path = format!("ship_to.{}", problem.part);
    let hint = (!problem.hint.is_empty()).then_some(problem.hint);
    Finding::new(problem.code.rule(), problem.message)
        .weighing(problem.severity)
        .path(path)
        .hint_if(hint)
}
