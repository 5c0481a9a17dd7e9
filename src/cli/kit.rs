//! `slipwright kit`: everything for one sitting, in one folder.
//!
//! In: orders, and what the shop file says of kits. Out: labels, bench cards, slips, inserts and
//! lists as PDF, `batch.json`, which says what is in the kit, and `findings.json`; all of them or
//! none. With `--only`, some parcels of a kit that is there once more. Not here: how a batch and its
//! documents are made (`sitting`, `documents`), how a folder appears (`folder`), what is read of a
//! kit to print from it again (`again`), what a kit in another's place changes (`replaced`).

mod again;
mod folder;
mod plan;
mod replaced;

use std::path::Path;

use super::arguments::KitArguments;
use super::documents::{DocumentJob, MadeDocument, Material};
use super::inputs::{Inputs, read_inputs};
use super::output::{reading_distance, refuse_same_files, show_path};
use super::sitting::{Attempt, Before, Sitting, make_sitting};
use super::{Exit, report};
use crate::batch::{Batch, Parcel};
use crate::bind::{KitContents, KitDocument};
use crate::findings::{Finding, Severity};
use crate::kit::KitRecord;
use crate::layout::Makes;
use crate::pipeline::{Selection, watch_selection};
use crate::shop::PageOrder;

use again::Again;
use folder::KitFolder;
use plan::{DocumentRole, Planned, open_plan};
use replaced::compare_kits;

/// The name of the record of a kit.
const RECORD: &str = "batch.json";
/// The name of the file of what was found.
const FINDINGS: &str = "findings.json";
/// How many warnings the overview tells in words.
const WARNINGS_SHOWN: usize = 12;

/// Makes a kit, or prints from one again.
pub(super) fn run(arguments: &KitArguments) -> Exit {
    match make(arguments) {
        Ok(exit) | Err(exit) => exit,
    }
}

/// Makes everything and lets it appear, or says why not.
fn make(arguments: &KitArguments) -> Result<Exit, Exit> {
    let input = &arguments.input;
    refuse_shared_files(arguments)?;
    let folder = match &arguments.only {
        Some(_) => KitFolder::within(&arguments.to)?,
        None => KitFolder::open(&arguments.to, arguments.replace)?,
    };
    let mut inputs = read_inputs(input, arguments.proof.to_proofing())?;
    let order = inputs.page_order(arguments.printing.order);
    let (options, again) = match &arguments.only {
        Some(list) => {
            let again = Again::open(&arguments.to, list, &mut inputs, input.diagnostics)?;
            (again.options().clone(), Some(again))
        }
        None => (input.batch.to_options(), None),
    };
    let planned = open_plan(&mut inputs, folder.making(), input.diagnostics)?;
    let maker = Maker {
        planned: &planned,
        order,
        again: again.as_ref(),
        old: folder.old(),
        combine: options.combine,
    };
    let aside = arguments.printing.set_aside.as_deref();
    let make =
        |inputs: &Inputs, batch: &Batch, before: &Before<'_>| maker.attempt(inputs, batch, before);
    let mut sitting = make_sitting(&mut inputs, &options, aside, input.diagnostics, make)?;
    report::show_findings(&sitting.findings, &inputs.sources, input.diagnostics);
    let documents = record_documents(&sitting.documents, &planned);
    let lines = describe_documents(&documents);
    for made in sitting.documents.iter_mut().flatten() {
        made.commit()?;
    }
    let found = report::findings_file(&sitting.findings, &sitting.proof, &inputs.sources);
    folder.write(FINDINGS, &found)?;
    if again.is_none() {
        folder.write(RECORD, &KitRecord::new(&sitting.batch, options, documents).to_json())?;
    }
    let place = folder.commit()?;
    let printed = match &again {
        Some(again) => again.count(),
        None => sitting.batch.parcels.len(),
    };
    tell(&sitting, &place, (printed, &lines), again.is_none());
    if inputs.proof.is_some() {
        report::say(&format!("{}\n", sitting.proof.summary()));
    }
    sitting.aside.map_or(Ok(Exit::Done), |aside| aside.commit())
}

/// What makes the documents of a batch.
struct Maker<'a> {
    /// The documents of the kit.
    planned: &'a [Planned],
    /// The order of their pages.
    order: PageOrder,
    /// What is printed once more; none when the kit is new.
    again: Option<&'a Again>,
    /// The record of the kit that is replaced.
    old: Option<&'a KitRecord>,
    /// Whether orders of one recipient share a parcel.
    combine: bool,
}

impl Maker<'_> {
    /// Makes the documents of one batch.
    fn attempt(
        &self,
        inputs: &Inputs,
        batch: &Batch,
        before: &Before<'_>,
    ) -> Result<Attempt, Exit> {
        if let Some(again) = self.again {
            again.refuse_others(batch)?;
        }
        let printed = self.select(batch, |_| true);
        // Labels and cards are watched together, because their codes make pairs.
        let mut pairs = watch_selection(batch, &printed);
        let mut kit = KitContents { set_aside: before.set_aside, ..KitContents::default() };
        let mut findings: Vec<Finding> =
            self.again.iter().flat_map(|again| again.find_moved(batch)).collect();
        if let Some(old) = self.old {
            findings.extend(compare_kits(old, batch, self.combine)?);
        }
        let mut attempt = Attempt { documents: Vec::new(), findings };
        for Planned { role, job } in self.planned {
            let selection = match role {
                DocumentRole::Customs => self.select(batch, |parcel| goes_abroad(inputs, parcel)),
                _ => printed.clone(),
            };
            let is_list = job.open.layout.makes == Makes::List;
            if is_list && self.again.is_some() || selection.count(batch) == 0 {
                attempt.documents.push(None);
                continue;
            }
            if *role == DocumentRole::Overview {
                let made = attempt.documents.iter().flatten();
                let found = made.flat_map(|made| &made.outcome.findings);
                sum_up(&mut kit, before.findings.iter().chain(found).chain(&attempt.findings));
            }
            let material = Material { inputs, batch, selection: &selection, kit: &kit };
            let made = match role {
                DocumentRole::Labels | DocumentRole::Cards => material.make(job, &mut pairs)?,
                _ => {
                    let mut watch = watch_selection(batch, &selection);
                    let made = material.make(job, &mut watch)?;
                    attempt.findings.extend(watch.finish());
                    made
                }
            };
            kit.documents.push(describe_document(&made, job));
            attempt.documents.push(Some(made));
        }
        attempt.findings.extend(pairs.finish());
        Ok(attempt)
    }

    /// Those parcels of the printed ones that have something to them.
    fn select(&self, batch: &Batch, wanted: impl Fn(&Parcel) -> bool) -> Selection {
        let all = 0..batch.parcels.len();
        let chosen = all.filter(|&place| {
            let printed = self.again.is_none_or(|again| again.prints(place));
            printed && wanted(&batch.parcels[place])
        });
        let selection = Selection::only(chosen, self.order);
        if self.again.is_some() { selection.again() } else { selection }
    }
}

/// Whether a parcel leaves the shop's country.
fn goes_abroad(inputs: &Inputs, parcel: &Parcel) -> bool {
    let home = inputs.shop.as_ref().map(|shop| shop.address.country);
    home.is_some_and(|home| home != parcel.recipient().country)
}

/// What the overview says of findings: warnings in words, notes by their number.
fn sum_up<'d>(kit: &mut KitContents, findings: impl Iterator<Item = &'d Finding>) {
    let mut more = 0;
    for finding in findings {
        match finding.severity {
            Severity::Note => kit.notes += 1,
            Severity::Warning if kit.warnings.len() < WARNINGS_SHOWN => {
                let message = &finding.message;
                kit.warnings.push(match &finding.subject {
                    Some(subject) => format!("{}: {message}", subject.order),
                    None => message.clone(),
                });
            }
            Severity::Warning => more += 1,
            // Orders with errors are set aside, and counted there.
            Severity::Error => {}
        }
    }
    if more > 0 {
        kit.warnings.push(format!("{more} more: see {FINDINGS}"));
    }
}

/// A document as the record and the overview have it.
fn describe_document(made: &MadeDocument, job: &DocumentJob) -> KitDocument {
    let layout = &job.open.layout;
    let stock = layout.sheet.as_ref().map_or(&layout.page.stock, |sheet| &sheet.stock);
    KitDocument {
        file: job.path.file_name().unwrap_or_default().to_string_lossy().into_owned(),
        makes: layout.makes.word().to_owned(),
        layout: job.open.name().to_owned(),
        stock: stock.name.clone(),
        pages: made.outcome.pages,
    }
}

/// The documents of a kit as its record has them.
fn record_documents(made: &[Option<MadeDocument>], planned: &[Planned]) -> Vec<KitDocument> {
    let pairs = made.iter().zip(planned);
    pairs
        .filter_map(|(made, Planned { job, .. })| Some(describe_document(made.as_ref()?, job)))
        .collect()
}

/// What was made, a line each: file, pages, paper.
fn describe_documents(documents: &[KitDocument]) -> String {
    let widest = documents.iter().map(|document| document.file.len()).max().unwrap_or_default();
    let line = |document: &KitDocument| {
        let KitDocument { file, pages, stock, .. } = document;
        let noun = if *pages == 1 { "page" } else { "pages" };
        format!("  {file:widest$}  {pages:4} {noun} on {stock}\n")
    };
    documents.iter().map(line).collect()
}

/// Says what was made.
fn tell(sitting: &Sitting, place: &Path, (parcels, lines): (usize, &str), whole: bool) {
    let parcels = report::counted(parcels, "parcel");
    let record = if whole { format!("{RECORD}, ") } else { String::new() };
    let counted = report::count_findings(&sitting.findings);
    report::say(&format!(
        "{parcels} in {}:\n{lines}  {record}{FINDINGS}: {counted}\n",
        show_path(place)
    ));
    let capitals = sitting.documents.iter().flatten().filter_map(|it| it.outcome.tag_capitals);
    if let Some(capitals) = capitals.reduce(|least, other| least.min(other)) {
        report::say(&format!("every tag can be read from {:.1} m\n", reading_distance(capitals)));
    }
}

/// Refuses an output that would replace an input, or be lost in the folder.
fn refuse_shared_files(arguments: &KitArguments) -> Result<(), Exit> {
    let Some(aside) = &arguments.printing.set_aside else { return Ok(()) };
    let input = &arguments.input;
    let mut files = vec![("the orders", Path::new(&input.orders))];
    files.extend(input.shop.iter().map(|path| ("the shop file", &**path)));
    refuse_same_files(files, [("`--set-aside`", &**aside)])?;
    let target = std::fs::canonicalize(&arguments.to).unwrap_or_else(|_| arguments.to.clone());
    let beside = aside
        .parent()
        .map(|folder| std::fs::canonicalize(folder).unwrap_or_else(|_| folder.to_owned()));
    if beside.is_some_and(|beside| beside.starts_with(&target)) {
        let shown = show_path(aside);
        return Err(report::usage(
            &format!("`--set-aside` names a file in the folder of the kit: {shown}"),
            Some("put it beside the folder".into()),
        ));
    }
    Ok(())
}
