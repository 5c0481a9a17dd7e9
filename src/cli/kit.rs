//! `slipwright kit`: everything for one sitting, in one folder.
//!
//! In: orders, and what the shop file says of kits. Out: labels, bench cards, slips, inserts and
//! lists as PDF, `batch.json`, which says what is in the kit, and `findings.json`; all of them or
//! none. With `--only`, some parcels of a kit that is there once more. Not here: how a batch and its
//! documents are made (`sitting`, `documents`), how a folder appears (`folder`), what is read of a
//! kit to print from it again (`again`), what a kit in another's place changes (`replaced`).

mod again;
mod customs;
mod folder;
mod plan;
mod replaced;

use std::path::Path;

use super::arguments::{Diagnostics, KitArguments};
use super::documents::{DocumentJob, MadeDocument, Material};
use super::exit::Exit;
use super::halt::Halt;
use super::inputs::Inputs;
use super::output::{reading_distance, refuse_same_files, show_path};
use super::report::{count_findings, findings_file};
use super::setup::PrintSetup;
use super::sitting::{Attempt, Before, Sitting, make_sitting};
use super::terminal;
use crate::batch::{Batch, BatchOptions, Parcel};
use crate::bind::{KitContents, KitDocument};
use crate::findings::{Finding, Severity};
use crate::kit::KitRecord;
use crate::layout::Makes;
use crate::pipeline::{Selection, watch_selection};
use crate::shop::PageOrder;
use crate::words::counted;

use again::Again;
use customs::{needs_sheet, report_unsure};
use folder::{FINDINGS, KitFolder, RECORD};
use plan::{DocumentRole, Planned, open_plan};
use replaced::compare_kits;

/// How many warnings the overview tells in words.
const WARNINGS_SHOWN: usize = 12;

/// Makes a kit, or prints from one again: makes everything, and lets it appear.
pub(super) fn run(arguments: &KitArguments) -> Result<Exit, Halt> {
    let input = &arguments.input;
    refuse_shared_files(arguments)?;
    let folder = match &arguments.only {
        Some(_) => KitFolder::within(&arguments.to)?,
        None => KitFolder::open(&arguments.to, arguments.replace)?,
    };
    let mut inputs = Inputs::read(&input.from)?;
    let setup = PrintSetup::read(input, arguments.proof.to_proofing())?;
    let again = match &arguments.only {
        Some(list) => Some(Again::open(&arguments.to, list, &mut inputs)?),
        None => None,
    };
    let options = match &again {
        Some(again) => again.options().clone(),
        None => input.from.batch.to_options(),
    };
    let planned = open_plan(&mut inputs, folder.making())?;
    for Planned { job, .. } in &planned {
        terminal::show(&job.open.remarks, &inputs.sources, input.diagnostics);
    }
    let maker = Maker {
        setup: &setup,
        planned: &planned,
        order: inputs.page_order(arguments.printing.order),
        again: again.as_ref(),
        old: folder.old(),
        combine: options.combine,
    };
    let aside = arguments.printing.set_aside.as_deref();
    let sitting = make_sitting(&mut inputs, &options, aside, |inputs, batch, before| {
        maker.attempt(inputs, batch, before)
    })?;
    // To scripts they are shown in the file of findings.
    if input.diagnostics != Diagnostics::Json {
        terminal::show(&sitting.findings, &inputs.sources, input.diagnostics);
    }
    let made = MadeKit { inputs: &inputs, options, again: again.as_ref(), sitting };
    made.appear(folder, &planned, setup.proof.is_some())
}

/// A kit that only has to appear.
struct MadeKit<'a> {
    /// What was read.
    inputs: &'a Inputs,
    /// How orders became parcels.
    options: BatchOptions,
    /// What is printed once more; none when the kit is new.
    again: Option<&'a Again>,
    /// Its batch and documents.
    sitting: Sitting,
}

impl MadeKit<'_> {
    /// Lets it appear, and says what was made.
    fn appear(
        mut self,
        folder: KitFolder,
        planned: &[Planned],
        is_proven: bool,
    ) -> Result<Exit, Halt> {
        let documents = record_documents(&self.sitting.documents, planned);
        let lines = describe_documents(&documents);
        for made in self.sitting.documents.iter_mut().flatten() {
            made.commit()?;
        }
        let Sitting { findings, proof, batch, .. } = &self.sitting;
        folder.write(FINDINGS, &findings_file(findings, proof, &self.inputs.sources))?;
        if self.again.is_none() {
            let record = KitRecord::new(batch, self.options.clone(), documents);
            folder.write(RECORD, &record.to_json())?;
        }
        let place = folder.commit()?;
        self.tell(&place, &lines);
        if is_proven {
            terminal::say(&self.sitting.proof.summary());
        }
        self.sitting.aside.map_or(Ok(Exit::Done), |aside| aside.commit())
    }

    /// Says what was made; `lines` are its documents.
    fn tell(&self, place: &Path, lines: &str) {
        let (parcels, record) = match self.again {
            Some(again) => (again.count(), String::new()),
            None => (self.sitting.batch.parcels.len(), format!("{RECORD}, ")),
        };
        let found = count_findings(&self.sitting.findings);
        terminal::say(&format!(
            "{} in {}:\n{lines}  {record}{FINDINGS}: {found}",
            counted(parcels, "parcel"),
            show_path(place)
        ));
        let documents = self.sitting.documents.iter().flatten();
        let capitals = documents.filter_map(|made| made.outcome.tag_capitals);
        if let Some(capitals) = capitals.reduce(|least, other| least.min(other)) {
            let metres = reading_distance(capitals);
            terminal::say(&format!("every tag can be read from {metres:.1} m"));
        }
    }
}

/// What makes the documents of a batch.
struct Maker<'a> {
    /// What pages are made with.
    setup: &'a PrintSetup,
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
    ) -> Result<Attempt, Halt> {
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
                DocumentRole::Customs => {
                    attempt.findings.extend(report_unsure(inputs, batch, |parcel| {
                        self.again.is_none_or(|again| again.prints(parcel.position - 1))
                    }));
                    self.select(batch, |parcel| needs_sheet(inputs, parcel))
                }
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
            let (setup, selection) = (self.setup, &selection);
            let material = Material { inputs, setup, batch, selection, kit: &kit };
            let made = match role {
                DocumentRole::Labels | DocumentRole::Cards => material.make(job, &mut pairs)?,
                _ => {
                    let mut watch = watch_selection(batch, selection);
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

/// What the overview says of findings: warnings in words, notes by their number.
fn sum_up<'d>(kit: &mut KitContents, findings: impl Iterator<Item = &'d Finding>) {
    let mut more = 0;
    for finding in findings {
        match finding.severity {
            Severity::Note => kit.notes += 1,
            Severity::Warning if kit.warnings.len() < WARNINGS_SHOWN => {
                let message = finding.full_message();
                kit.warnings.push(match &finding.subject {
                    Some(subject) => format!("{}: {message}", subject.order),
                    None => message.into_owned(),
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

/// Refuses an output that would replace an input, or be lost in the folder.
fn refuse_shared_files(arguments: &KitArguments) -> Result<(), Halt> {
    let Some(aside) = &arguments.printing.set_aside else { return Ok(()) };
    let input = &arguments.input;
    let mut files = vec![("the orders", Path::new(&input.from.orders))];
    files.extend(input.from.shop.iter().map(|path| ("the shop file", &**path)));
    refuse_same_files(files, [("`--set-aside`", &**aside)])?;
    let target = std::fs::canonicalize(&arguments.to).unwrap_or_else(|_| arguments.to.clone());
    let beside = aside
        .parent()
        .map(|folder| std::fs::canonicalize(folder).unwrap_or_else(|_| folder.to_owned()));
    if beside.is_some_and(|beside| beside.starts_with(&target)) {
        let shown = show_path(aside);
        let message = format!("`--set-aside` names a file in the folder of the kit: {shown}");
        return Err(Halt::usage(message).hint("put it beside the folder"));
    }
    Ok(())
}
