//! `slipwright check`: findings, and nothing written.

use super::arguments::{CheckArguments, Diagnostics};
use super::inputs::{open_layout, read_inputs};
use super::render::{Prepared, drop_echoes, prepare};
use super::{Exit, print, report};
use crate::diag::has_errors;
use crate::verify::ProofTally;

/// Checks orders against a layout.
pub(super) fn run(arguments: &CheckArguments) -> Exit {
    match check(arguments) {
        Ok(exit) | Err(exit) => exit,
    }
}

/// Checks, or says why that cannot be done.
fn check(arguments: &CheckArguments) -> Result<Exit, Exit> {
    let input = &arguments.input;
    let mut inputs = read_inputs(input)?;
    let open = open_layout(&input.layout, &mut inputs.sources, input.diagnostics)?
        .starting_at(input.start, "--start")?;
    let mut findings = std::mem::take(&mut inputs.findings);
    let mut orders = std::mem::take(&mut inputs.orders);
    let mut next_place = None;
    let mut proof = ProofTally::default();
    let parcels = if orders.orders.is_empty() {
        0
    } else {
        let name = orders.batch_name.as_deref();
        let these = std::mem::take(&mut orders.orders);
        let Prepared { batch, findings: more } = prepare(name, these, &inputs, &input.batch);
        findings.extend(more);
        let (outcome, next) = super::render::dry_run(&inputs, &batch, &open)?;
        next_place = next;
        findings.extend(outcome.findings);
        proof = outcome.proof;
        drop_echoes(&mut findings);
        batch.parcels.len()
    };
    let exit = match has_errors(&findings) {
        true if orders.is_broken() => Exit::Usage,
        true => Exit::Findings,
        false => Exit::Done,
    };
    if input.diagnostics == Diagnostics::Json {
        let printed = print(&report::to_json(&findings, &proof, &inputs.sources));
        return Ok(if printed == Exit::Done { exit } else { printed });
    }
    report::show(&findings, &inputs.sources, input.diagnostics);
    let noun = if parcels == 1 { "parcel" } else { "parcels" };
    report::say(&format!("{parcels} {noun} checked: {}\n", report::count_findings(&findings)));
    if exit == Exit::Done {
        report::say_next_place(next_place, "sheet");
    }
    if input.proof {
        report::say(&format!("{}\n", proof.summary()));
    }
    Ok(exit)
}
