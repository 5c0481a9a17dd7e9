//! Orders made into a batch, with all that there is to say of them.

use super::inputs::Inputs;
use crate::batch::{Batch, BatchOptions};
use crate::findings::{Finding, rules};
use crate::job::assemble_batch;
use crate::orders::Order;

/// A batch with what was found while it was made.
pub(super) struct PreparedBatch {
    /// Which parcels there are.
    pub(super) batch: Batch,
    /// What was found.
    pub(super) findings: Vec<Finding>,
}

/// Makes the batch of some of the orders that were read.
pub(super) fn prepare(orders: Vec<Order>, inputs: &Inputs, how: &BatchOptions) -> PreparedBatch {
    let (name, shop) = (inputs.orders.batch_name.as_deref(), inputs.shop.as_ref());
    let (batch, mut findings) = assemble_batch(name, orders, shop, how, &inputs.sources);
    findings.iter_mut().for_each(add_option);
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
