//! Orders made into a batch, with all that there is to say of them.

use super::inputs::Inputs;
use crate::batch::{Batch, BatchOptions, inspect_addresses};
use crate::findings::{Finding, rules};
use crate::orders::{Order, locate_field};
use crate::preflight::DUPLICATE_TAG;

/// A batch with what was found while it was made.
pub(super) struct PreparedBatch {
    /// The batch.
    pub(super) batch: Batch,
    /// What was found.
    pub(super) findings: Vec<Finding>,
}

/// Makes the batch of some of the orders that were read.
pub(super) fn prepare(orders: Vec<Order>, inputs: &Inputs, how: &BatchOptions) -> PreparedBatch {
    let name = inputs.orders.batch_name.as_deref();
    let mut findings = Vec::new();
    let batch = Batch::assemble(name, orders, inputs.shop.as_ref(), how.clone(), &mut findings);
    findings.extend(inspect_addresses(&batch));
    for finding in &mut findings {
        let field = finding.span.zip(finding.path.as_deref());
        let place = field.and_then(|(order, path)| locate_field(&inputs.sources, order, path));
        finding.span = place.or(finding.span);
        add_option(finding);
    }
    PreparedBatch { batch, findings }
}

/// Adds the option of the command that does what a finding's first hint says.
fn add_option(finding: &mut Finding) {
    let is_doubtful = finding.is(&rules::EQUAL_TAGS) || finding.is(&rules::CONFUSABLE_TAGS);
    let option = match &finding.subject {
        _ if is_doubtful => "; `--fix-tags` does it".to_owned(),
        _ if finding.is(&rules::COULD_COMBINE) => "; `--combine` does the first".to_owned(),
        Some(subject) if finding.is(&rules::COMBINED) => {
            format!(", or give `--split {}`", subject.order)
        }
        _ => return,
    };
    finding.hints.iter_mut().take(1).for_each(|hint| hint.push_str(&option));
}

/// Leaves out what pages repeat of faults that the batch has already told with their place in the
/// orders.
pub(super) fn drop_echoes(findings: &mut Vec<Finding>) {
    if findings.iter().any(|finding| finding.is(&rules::EQUAL_TAGS)) {
        findings.retain(|finding| !finding.is(&DUPLICATE_TAG));
    }
}
