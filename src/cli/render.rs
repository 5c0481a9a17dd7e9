//! `slipwright render`: orders to one document, and to the matching bench cards.

use super::arguments::{Diagnostics, Format, RenderArguments};
use super::documents::{DocumentJob, MadeDocument, Material};
use super::exit::Exit;
use super::halt::Halt;
use super::inputs::Inputs;
use super::open_layout::OpenLayout;
use super::output::{choose_format, format_of, let_appear, reading_distance, refuse_same_files};
use super::prepare::{PreparedBatch, prepare};
use super::setup::PrintSetup;
use super::sitting::{Aside, Attempt, Sitting, make_sitting};
use super::terminal;
use crate::batch::Batch;
use crate::bind::KitContents;
use crate::job::drop_echoes;
use crate::pipeline::{Selection, watch_selection};
use crate::verify::ProofTally;
use crate::words::counted;

/// Renders orders: makes everything, and lets it appear.
pub(super) fn run(arguments: &RenderArguments) -> Result<Exit, Halt> {
    let (input, how) = (&arguments.input, arguments.input.diagnostics);
    let format = choose_format(arguments.format, &arguments.output)?;
    refuse_shared_files(arguments)?;
    let mut inputs = Inputs::read(&input.from)?;
    // Scripts get every grade; people get the weakest.
    let proof = arguments.proof.to_proofing(how == Diagnostics::Json);
    let mut setup = PrintSetup::read(input, &inputs, proof)?;
    let jobs = open_jobs(arguments, format, &mut inputs, &mut setup)?;
    let options = input.from.batch.to_options();
    if arguments.draft {
        return draft(arguments, &mut inputs, &setup, &jobs);
    }
    let aside = arguments.printing.set_aside.as_deref();
    let sitting = make_sitting(&mut inputs, &options, aside, |inputs, batch, _| {
        attempt(inputs, &setup, batch, &jobs, &select(arguments, inputs, batch)?)
    })?;
    terminal::show_proven(&sitting.findings, &sitting.proof, &inputs.sources, how);
    let printed = select(arguments, &inputs, &sitting.batch)?.count(&sitting.batch);
    commit(sitting, printed, setup.proof.is_some())
}

/// The documents that are wanted, their layouts open.
fn open_jobs(
    arguments: &RenderArguments,
    format: Format,
    inputs: &mut Inputs,
    setup: &mut PrintSetup,
) -> Result<Vec<DocumentJob>, Halt> {
    let open = OpenLayout::of_page(&arguments.page, inputs, setup)?;
    let mut jobs = vec![DocumentJob {
        open,
        path: arguments.output.clone(),
        format,
        title: None,
        makes_digests: false,
        is_draft: arguments.draft,
        keeps_dots: false,
    }];
    if let Some(path) = &arguments.cards {
        let open = OpenLayout::open(&arguments.card_layout, &mut inputs.sources)?
            .starting_at(arguments.card_start, "--card-start")?;
        let format = format_of(path).unwrap_or(Format::Pdf);
        jobs.push(DocumentJob {
            open,
            path: path.clone(),
            format,
            title: None,
            makes_digests: false,
            is_draft: arguments.draft,
            keeps_dots: false,
        });
    }
    for job in &jobs {
        terminal::show(&job.open.remarks, &inputs.sources, arguments.input.diagnostics);
    }
    Ok(jobs)
}

/// The parcels that are printed, in the order of their pages.
fn select(arguments: &RenderArguments, inputs: &Inputs, batch: &Batch) -> Result<Selection, Halt> {
    let order = inputs.page_order(arguments.printing.order);
    Ok(match &arguments.only {
        Some(list) => Selection::only(list.places("batch", batch.parcels.len())?, order),
        None => Selection::all(batch, order),
    })
}

/// Makes the documents of one batch.
fn attempt(
    inputs: &Inputs,
    setup: &PrintSetup,
    batch: &Batch,
    jobs: &[DocumentJob],
    selection: &Selection,
) -> Result<Attempt, Halt> {
    let material = Material { inputs, setup, batch, selection, kit: &KitContents::default() };
    let mut watch = watch_selection(batch, selection);
    let documents: Result<Vec<_>, Halt> =
        jobs.iter().map(|job| material.make(job, &mut watch).map(Some)).collect();
    Ok(Attempt { documents: documents?, findings: watch.finish() })
}

/// Prints what can be drawn, whatever is wrong with it, and says what is.
fn draft(
    arguments: &RenderArguments,
    inputs: &mut Inputs,
    setup: &PrintSetup,
    jobs: &[DocumentJob],
) -> Result<Exit, Halt> {
    let input = &arguments.input;
    let mut findings = std::mem::take(&mut inputs.findings);
    if inputs.orders.is_broken() {
        return Err(Halt::unusable(findings, &inputs.sources));
    }
    let orders = std::mem::take(&mut inputs.orders.orders);
    let PreparedBatch { batch, findings: found } =
        prepare(orders, inputs, &input.from.batch.to_options());
    findings.extend(found);
    let selection = select(arguments, inputs, &batch)?;
    let Attempt { documents, findings: between } =
        attempt(inputs, setup, &batch, jobs, &selection)?;
    let mut documents: Vec<MadeDocument> = documents.into_iter().flatten().collect();
    let mut proof = ProofTally::default();
    for document in &mut documents {
        findings.append(&mut document.outcome.findings);
        proof.add(std::mem::take(&mut document.outcome.proof));
    }
    findings.extend(between);
    drop_echoes(&mut findings);
    let written: Vec<String> = documents.iter().filter_map(MadeDocument::describe).collect();
    if written.is_empty() {
        let halt = Halt::found(findings, proof, &inputs.sources);
        return Err(halt.saying("nothing was written: no page could be drawn"));
    }
    let_appear(documents.iter_mut().flat_map(MadeDocument::take_files).collect())?;
    terminal::show_proven(&findings, &proof, &inputs.sources, input.diagnostics);
    let parcels = counted(selection.count(&batch), "parcel");
    terminal::say(&format!("{parcels}, a draft: {}", written.join(", ")));
    let errors = findings.iter().filter(|finding| finding.is_error()).count();
    terminal::say(&match errors {
        0 => "nothing is wrong: without `--draft` it prints".to_owned(),
        _ => format!("{} to be mended before it prints", counted(errors, "error")),
    });
    Ok(Exit::Done)
}

/// Lets everything appear.
fn commit(sitting: Sitting, parcels: usize, is_proven: bool) -> Result<Exit, Halt> {
    let Sitting { documents, proof, mut aside, .. } = sitting;
    let mut documents: Vec<_> = documents.into_iter().flatten().collect();
    let written: Vec<String> = documents.iter().filter_map(|made| made.describe()).collect();
    // What is set aside comes first: were the run killed in between, no order would be in no file.
    let mut outputs: Vec<_> = aside.iter_mut().filter_map(Aside::take_file).collect();
    outputs.extend(documents.iter_mut().flat_map(MadeDocument::take_files));
    let_appear(outputs)?;
    terminal::say(&format!("{}: {}", counted(parcels, "parcel"), written.join(", ")));
    for (made, sheet) in documents.iter().zip(["sheet", "card sheet"]) {
        terminal::say_next_place(made.next_place, sheet);
    }
    if let Some(capitals) = documents.first().and_then(|made| made.outcome.tag_capitals) {
        terminal::say(&format!("every tag can be read from {:.1} m", reading_distance(capitals)));
    }
    if is_proven {
        terminal::say(&proof.summary());
    }
    Ok(aside.map_or(Exit::Done, |aside| aside.tell()))
}

/// Refuses outputs that would replace an input or each other: one of the two would be lost.
fn refuse_shared_files(arguments: &RenderArguments) -> Result<(), Halt> {
    let input = &arguments.input;
    let mut files = vec![("the orders", input.from.orders())];
    files.extend(input.from.shop.iter().map(|path| ("the shop file", &**path)));
    files.extend(arguments.page.layout.iter().map(|path| ("the layout", &**path)));
    files.push(("the layout of the cards", &*arguments.card_layout));
    let outputs = [
        Some(("`-o`", &arguments.output)),
        arguments.cards.as_ref().map(|path| ("`--cards`", path)),
        arguments.printing.set_aside.as_ref().map(|path| ("`--set-aside`", path)),
    ];
    refuse_same_files(files, outputs.into_iter().flatten().map(|(name, path)| (name, &**path)))
}
