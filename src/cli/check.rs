//! `slipwright check`: findings, and nothing written.

use super::arguments::{CheckArguments, Diagnostics};
use super::documents::Material;
use super::inputs::read_inputs;
use super::sitting::{Prepared, drop_echoes, prepare};
use super::{Exit, print, report};
use crate::bind::KitContents;
use crate::findings::has_errors;
use crate::pipeline::{Selection, watch_batch};
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
    let page = &arguments.page;
    // Scripts get every grade; people get the weakest.
    let every_code = input.diagnostics == Diagnostics::Json;
    let mut inputs = read_inputs(input, arguments.proof.to_proofing(every_code))?;
    inputs.send_to(page)?;
    let open = inputs.open_document(page, input.diagnostics)?;
    let mut findings = std::mem::take(&mut inputs.findings);
    let mut orders = std::mem::take(&mut inputs.orders);
    let mut next_place = None;
    let mut proof = ProofTally::default();
    let parcels = if orders.orders.is_empty() {
        0
    } else {
        let name = orders.batch_name.as_deref();
        let these = std::mem::take(&mut orders.orders);
        let Prepared { batch, findings: more } =
            prepare(name, these, &inputs, &input.batch.to_options());
        findings.extend(more);
        let material = Material {
            inputs: &inputs,
            batch: &batch,
            selection: &Selection::default(),
            kit: &KitContents::default(),
        };
        let made = material.dry_run(&open, &mut watch_batch(&batch))?;
        next_place = made.next_place;
        findings.extend(made.outcome.findings);
        proof = made.outcome.proof;
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
    let parcels = report::counted(parcels, "parcel");
    report::say(&format!("{parcels} checked: {}\n", report::count_findings(&findings)));
    if exit == Exit::Done {
        report::say_next_place(next_place, "sheet");
    }
    if inputs.proof.is_some() {
        report::say(&format!("{}\n", proof.summary()));
    }
    Ok(exit)
}
