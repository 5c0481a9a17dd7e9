//! `slipwright render`: orders to one document, and to the matching bench cards.

use std::path::Path;

use super::arguments::{Diagnostics, Format, RenderArguments};
use super::documents::{DocumentJob, Material};
use super::inputs::{Inputs, open_layout, read_inputs};
use super::output::{choose_format, format_of, reading_distance, refuse_same_files};
use super::sitting::{Attempt, Sitting, make_sitting};
use super::{Exit, report};
use crate::batch::Batch;
use crate::bind::KitContents;
use crate::pipeline::{Selection, watch_selection};

/// Renders orders.
pub(super) fn run(arguments: &RenderArguments) -> Exit {
    match render(arguments) {
        Ok(exit) | Err(exit) => exit,
    }
}

/// Makes everything and lets it appear, or says why not.
fn render(arguments: &RenderArguments) -> Result<Exit, Exit> {
    let (page, how) = (&arguments.page, arguments.input.diagnostics);
    let format = choose_format(arguments.format, &arguments.output)?;
    refuse_shared_files(arguments)?;
    // Scripts get every grade; people get the weakest.
    let proof = arguments.proof.to_proofing(how == Diagnostics::Json);
    let mut inputs = read_inputs(&arguments.input, proof)?;
    inputs.send_to(page)?;
    let open = inputs.open_document(page, how)?;
    let mut jobs = vec![DocumentJob { open, path: arguments.output.clone(), format }];
    if let Some(path) = &arguments.cards {
        let open = open_layout(&arguments.card_layout, &mut inputs.sources, how)?
            .starting_at(arguments.card_start, "--card-start")?;
        let format = format_of(path).unwrap_or(Format::Pdf);
        jobs.push(DocumentJob { open, path: path.clone(), format });
    }
    let aside = arguments.printing.set_aside.as_deref();
    let sitting = make_sitting(
        &mut inputs,
        &arguments.input.batch.to_options(),
        aside,
        how,
        |inputs, batch, _| attempt(inputs, batch, &jobs, select(arguments, inputs, batch)?),
    )?;
    report::show_proven(&sitting.findings, &sitting.proof, &inputs.sources, how);
    let printed = select(arguments, &inputs, &sitting.batch)?.count(&sitting.batch);
    commit(sitting, printed, inputs.proof.is_some())
}

/// The parcels that are printed, in the order of their pages.
fn select(arguments: &RenderArguments, inputs: &Inputs, batch: &Batch) -> Result<Selection, Exit> {
    let order = inputs.page_order(arguments.printing.order);
    Ok(match &arguments.only {
        Some(list) => Selection::only(list.places("batch", batch.parcels.len())?, order),
        None => Selection::all(batch, order),
    })
}

/// Makes the documents of one batch.
fn attempt(
    inputs: &Inputs,
    batch: &Batch,
    jobs: &[DocumentJob],
    selection: Selection,
) -> Result<Attempt, Exit> {
    let material = Material { inputs, batch, selection: &selection, kit: &KitContents::default() };
    let mut watch = watch_selection(batch, &selection);
    let documents: Result<Vec<_>, Exit> =
        jobs.iter().map(|job| material.make(job, &mut watch).map(Some)).collect();
    Ok(Attempt { documents: documents?, findings: watch.finish() })
}

/// Lets everything appear.
fn commit(sitting: Sitting, parcels: usize, proven: bool) -> Result<Exit, Exit> {
    let Sitting { documents, proof, aside, .. } = sitting;
    let mut documents: Vec<_> = documents.into_iter().flatten().collect();
    let written: Vec<String> = documents.iter().filter_map(|made| made.describe()).collect();
    for made in &mut documents {
        made.commit()?;
    }
    let parcels = report::counted(parcels, "parcel");
    report::say(&format!("{parcels}: {}\n", written.join(", ")));
    for (made, sheet) in documents.iter().zip(["sheet", "card sheet"]) {
        report::say_next_place(made.next_place, sheet);
    }
    if let Some(capitals) = documents.first().and_then(|made| made.outcome.tag_capitals) {
        report::say(&format!("every tag can be read from {:.1} m\n", reading_distance(capitals)));
    }
    if proven {
        report::say(&format!("{}\n", proof.summary()));
    }
    aside.map_or(Ok(Exit::Done), |aside| aside.commit())
}

/// Refuses outputs that would replace an input or each other: one of the two would be lost.
fn refuse_shared_files(arguments: &RenderArguments) -> Result<(), Exit> {
    let input = &arguments.input;
    let mut files = vec![("the orders", Path::new(&input.orders))];
    files.extend(input.shop.iter().map(|path| ("the shop file", &**path)));
    files.extend(arguments.page.layout.iter().map(|path| ("the layout", Path::new(path))));
    files.push(("the layout of the cards", Path::new(&arguments.card_layout)));
    let outputs = [
        Some(("`-o`", &arguments.output)),
        arguments.cards.as_ref().map(|path| ("`--cards`", path)),
        arguments.printing.set_aside.as_ref().map(|path| ("`--set-aside`", path)),
    ];
    refuse_same_files(files, outputs.into_iter().flatten().map(|(name, path)| (name, &**path)))
}
