//! What is missing or odd in the addresses of a batch.

use super::Batch;
use crate::address::{Problem, ProblemSeverity, Sender, format_address};
use crate::diag::{Diagnostic, Severity};
use crate::shop::Shop;

/// Checks every recipient's address against the open data of its country.
///
/// Problems are put at their order, with the path of the part; the hint carries the country's
/// example where it has one.
#[must_use]
pub fn inspect_addresses(batch: &Batch, shop: Option<&Shop>) -> Vec<Diagnostic> {
    let home = shop.map_or_else(Sender::default, |shop| Sender {
        country: shop.address.country.as_str().to_owned(),
        language: shop.language.to_string(),
    });
    let mut found = Vec::new();
    for parcel in &batch.parcels {
        let problems = format_address(&parcel.recipient().to_parts(), &home).problems;
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
