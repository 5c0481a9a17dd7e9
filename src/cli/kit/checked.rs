//! A whole kit, tried out.
//!
//! In: what was read. Out: everything that would be found if the kit were made, and nothing on the
//! disk. Not here: how it is told (`check`).

use std::path::Path;

use super::maker::{KitOutput, Maker};
use super::plan::{PlanFor, Planned, open_plan};
use crate::batch::BatchOptions;
use crate::cli::arguments::Diagnostics;
use crate::cli::halt::Halt;
use crate::cli::inputs::Inputs;
use crate::cli::prepare::{PreparedBatch, prepare};
use crate::cli::setup::PrintSetup;
use crate::cli::sitting::{Attempt, Before};
use crate::cli::terminal;
use crate::findings::Finding;
use crate::job::drop_echoes;
use crate::verify::ProofTally;

/// What a kit that was tried out comes to.
#[derive(Default)]
pub(crate) struct CheckedKit {
    /// How many parcels it has.
    pub(crate) parcels: usize,
    /// Everything that was found.
    pub(crate) findings: Vec<Finding>,
    /// What the proof came to.
    pub(crate) proof: ProofTally,
}

/// Tries out all documents of a kit.
///
/// # Errors
/// When a layout cannot be used.
pub(crate) fn check_kit(
    inputs: &mut Inputs,
    setup: &PrintSetup,
    how: &BatchOptions,
    diagnostics: Diagnostics,
) -> Result<CheckedKit, Halt> {
    let planned = open_plan(inputs, Path::new(""), PlanFor::Kit)?;
    for Planned { job, .. } in &planned {
        terminal::show(&job.open.remarks, &inputs.sources, diagnostics);
    }
    let findings = std::mem::take(&mut inputs.findings);
    let mut checked = CheckedKit { findings, ..CheckedKit::default() };
    let orders = std::mem::take(&mut inputs.orders.orders);
    if orders.is_empty() {
        return Ok(checked);
    }
    let PreparedBatch { batch, findings } = prepare(orders, inputs, how);
    checked.findings.extend(findings);
    let order = inputs.page_order(None);
    let (combine, making) = (how.combine, KitOutput::Findings);
    let maker = Maker { setup, planned: &planned, order, again: None, old: None, combine, making };
    let before = Before { findings: &checked.findings, set_aside: 0 };
    let Attempt { documents, findings } = maker.attempt(inputs, &batch, &before)?;
    for mut document in documents.into_iter().flatten() {
        checked.findings.append(&mut document.outcome.findings);
        checked.proof.add(document.outcome.proof);
    }
    checked.findings.extend(findings);
    checked.parcels = batch.parcels.len();
    drop_echoes(&mut checked.findings);
    Ok(checked)
}
