//! What is missing or odd in the addresses of a batch.

use super::Batch;
use crate::address::{Problem, ProblemSeverity, check_address};
use crate::diag::{Diagnostic, Severity};

/// Checks every recipient's address against the open data of its country.
///
/// Problems are put at their order, with the path of the part; the hint carries the country's
/// example where it has one.
#[must_use]
pub fn inspect_addresses(batch: &Batch) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for parcel in &batch.parcels {
        let problems = check_address(&parcel.recipient().to_parts());
        let span = parcel.orders[0].span;
        let name = |problem: Problem| to_diagnostic(problem).at(span).subject(parcel.subject());
        found.extend(problems.into_iter().map(name));
    }
    found
}

/// A problem as a diagnostic.
fn to_diagnostic(problem: Problem) -> Diagnostic {
    let severity = match problem.severity {
        ProblemSeverity::Note => Severity::Note,
        ProblemSeverity::Warning => Severity::Warning,
        ProblemSeverity::Error => Severity::Error,
    };
    let path = format!("ship_to.{}", problem.part);
    let hint = (!problem.hint.is_empty()).then_some(problem.hint);
    Diagnostic::new(severity, problem.code.word(), problem.message).path(path).hint_if(hint)
}
