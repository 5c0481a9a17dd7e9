//! `slipwright check`: findings, and nothing written.

use super::arguments::{CheckArguments, Diagnostics};
use super::documents::{MadeDocument, Material};
use super::exit::Exit;
use super::halt::Halt;
use super::inputs::Inputs;
use super::kit::{CheckedKit, check_kit};
use super::open_layout::OpenLayout;
use super::prepare::{PreparedBatch, prepare};
use super::report::{count_findings, to_json};
use super::setup::PrintSetup;
use super::terminal;
use crate::batch::{Batch, BatchOptions};
use crate::bind::KitContents;
use crate::findings::Finding;
use crate::job::drop_echoes;
use crate::pipeline::{Selection, watch_batch};
use crate::verify::ProofTally;
use crate::words::counted;

/// Checks orders against a layout.
pub(super) fn run(arguments: &CheckArguments) -> Result<Exit, Halt> {
    let (input, page) = (&arguments.input, &arguments.page);
    let mut inputs = Inputs::read(&input.from)?;
    // Scripts get every grade; people get the weakest.
    let proof = arguments.proof.to_proofing(input.diagnostics == Diagnostics::Json);
    let mut setup = PrintSetup::read(input, &inputs, proof)?;
    let how = input.from.batch.to_options();
    let checked = if arguments.kit {
        let CheckedKit { parcels, findings, proof } =
            check_kit(&mut inputs, &setup, &how, input.diagnostics)?;
        Checked { parcels, findings, proof, next_place: None }
    } else {
        let open = OpenLayout::of_page(page, &mut inputs, &mut setup)?;
        terminal::show(&open.remarks, &inputs.sources, input.diagnostics);
        check(&mut inputs, &setup, &open, &how)?
    };
    let exit = inputs.exit_after(&checked.findings);
    if input.diagnostics == Diagnostics::Json {
        terminal::print_json(&to_json(&checked.findings, &checked.proof, &inputs.sources))?;
        return Ok(exit);
    }
    terminal::show(&checked.findings, &inputs.sources, input.diagnostics);
    let parcels = counted(checked.parcels, "parcel");
    terminal::say(&format!("{parcels} checked: {}", count_findings(&checked.findings)));
    if exit == Exit::Done {
        terminal::say_next_place(checked.next_place, "sheet");
    }
    if setup.proof.is_some() {
        terminal::say(&checked.proof.summary());
    }
    Ok(exit)
}

/// What a check comes to.
#[derive(Default)]
struct Checked {
    /// How many parcels there are.
    parcels: usize,
    /// Everything that was found.
    findings: Vec<Finding>,
    /// What the proof came to.
    proof: ProofTally,
    /// The place that is next on the sheet, if there is one.
    next_place: Option<usize>,
}

/// Makes the batch and composes its pages, without writing them.
fn check(
    inputs: &mut Inputs,
    setup: &PrintSetup,
    open: &OpenLayout,
    how: &BatchOptions,
) -> Result<Checked, Halt> {
    let findings = std::mem::take(&mut inputs.findings);
    let mut checked = Checked { findings, ..Checked::default() };
    let orders = std::mem::take(&mut inputs.orders.orders);
    if orders.is_empty() {
        return Ok(checked);
    }
    let PreparedBatch { batch, findings } = prepare(orders, inputs, how);
    let MadeDocument { outcome, next_place, .. } = try_out(inputs, setup, &batch, open)?;
    checked.parcels = batch.parcels.len();
    checked.findings.extend(findings);
    checked.findings.extend(outcome.findings);
    drop_echoes(&mut checked.findings);
    checked.proof = outcome.proof;
    checked.next_place = next_place;
    Ok(checked)
}

/// Composes the document of a batch.
fn try_out(
    inputs: &Inputs,
    setup: &PrintSetup,
    batch: &Batch,
    open: &OpenLayout,
) -> Result<MadeDocument, Halt> {
    let (selection, kit) = (Selection::default(), KitContents::default());
    let material = Material { inputs, setup, batch, selection: &selection, kit: &kit };
    material.dry_run(open, &mut watch_batch(batch))
}
