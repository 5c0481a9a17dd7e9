//! The documents of a kit, made of one batch.
//!
//! In: what was read, the layouts, a batch. Out: the documents, and what was found between them. Not
//! here: the folder they go to.

use std::borrow::Cow;

use super::again::Again;
use super::customs::{needs_sheet, report_customs};
use super::folder::FINDINGS;
use super::old::OldKit;
use super::plan::{DocumentRole, Planned};
use super::replaced::compare_kits;
use super::rolls::report_rolls;
use crate::batch::{Batch, Parcel};
use crate::bind::{KitContents, KitDocument};
use crate::cli::documents::{DocumentJob, MadeDocument, Material};
use crate::cli::halt::Halt;
use crate::cli::inputs::Inputs;
use crate::cli::setup::PrintSetup;
use crate::cli::sitting::{Attempt, Before};
use crate::findings::{Finding, Severity};
use crate::fonts::{FontBook, spell_missing};
use crate::kit::KitPaper;
use crate::layout::Makes;
use crate::pipeline::{
    BatchCheck, Occasion, ParcelDigest, SelectedPlace, Selection, watch_selection,
};
use crate::shop::PageOrder;

/// How many warnings the overview tells in words.
const WARNINGS_SHOWN: usize = 12;

/// What is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum KitOutput {
    /// Every file of a kit, in a folder.
    Files,
    /// Findings alone.
    Findings,
}

/// What makes the documents of a batch.
pub(super) struct Maker<'a> {
    /// What pages are made with.
    pub(super) setup: &'a PrintSetup,
    /// The documents of the kit.
    pub(super) planned: &'a [Planned],
    /// The order of their pages.
    pub(super) order: PageOrder,
    /// What is printed once more; none when the kit is new.
    pub(super) again: Option<&'a Again>,
    /// The kit that is replaced.
    pub(super) old: Option<&'a OldKit>,
    /// Whether orders of one recipient share a parcel.
    pub(super) combine: bool,
    /// Whether files are made.
    pub(super) making: KitOutput,
}

impl Maker<'_> {
    /// Makes the documents of one batch.
    pub(super) fn attempt(
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
        findings.extend(self.again.iter().flat_map(|again| again.find_changed(inputs, batch)));
        if let Some(old) = self.old {
            findings.extend(compare_kits(old, batch, self.combine)?);
        }
        findings.extend(report_customs(inputs, self.planned, batch, |parcel| {
            self.again.is_none_or(|again| again.prints(parcel.position - 1))
        }));
        let mut attempt = Attempt { documents: Vec::new(), findings };
        for planned in self.planned {
            let Planned { role, job, .. } = planned;
            let selection = match role {
                DocumentRole::Own(_) => self.select(batch, planned.wanted(inputs, batch)?),
                DocumentRole::Customs => self.select(batch, |parcel| needs_sheet(inputs, parcel)),
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
                spell_letters(&mut kit, &self.setup.book);
            }
            let (setup, selection) = (self.setup, &selection);
            let material = Material { inputs, setup, batch, selection, kit: &kit };
            let made = match role {
                DocumentRole::Labels | DocumentRole::Cards => {
                    self.make(&material, job, &mut pairs)?
                }
                _ => {
                    let mut watch = watch_selection(batch, selection);
                    let made = self.make(&material, job, &mut watch)?;
                    attempt.findings.extend(watch.finish());
                    made
                }
            };
            kit.documents.push(describe_document(&made, job));
            attempt.documents.push(Some(made));
        }
        attempt.findings.extend(pairs.finish());
        let made = attempt.documents.iter().zip(self.planned);
        let made = made.filter_map(|(made, planned)| made.as_ref().map(|_| planned));
        let rolls = report_rolls(inputs, made);
        attempt.findings.extend(rolls);
        if let Some(again) = self.again {
            let papers = record_papers(&attempt.documents, self.planned);
            attempt.findings.extend(again.find_reprinted_otherwise(batch, &papers));
        }
        Ok(attempt)
    }

    /// Makes a document, or only tries it out.
    fn make(
        &self,
        material: &Material<'_>,
        job: &DocumentJob,
        watch: &mut BatchCheck,
    ) -> Result<MadeDocument, Halt> {
        match self.making {
            KitOutput::Files => material.make(job, watch),
            KitOutput::Findings => material.dry_run(&job.open, watch),
        }
    }

    /// Those parcels of the printed ones that have something to them.
    fn select(&self, batch: &Batch, wanted: impl Fn(&Parcel) -> bool) -> Selection {
        let all = 0..batch.parcels.len();
        let chosen = all.filter(|&place| {
            let printed = self.again.is_none_or(|again| again.prints(place));
            printed && wanted(&batch.parcels[place])
        });
        let occasion = if self.again.is_some() { Occasion::Again } else { Occasion::First };
        Selection::on(chosen.map(|place| SelectedPlace { place, occasion }), self.order)
    }
}

/// What the papers of all parcels come to, as far as they were made.
pub(super) fn record_papers(made: &[Option<MadeDocument>], planned: &[Planned]) -> Vec<KitPaper> {
    let pairs = made.iter().zip(planned);
    let of_document = |(made, planned): (&Option<MadeDocument>, &Planned)| -> Vec<KitPaper> {
        let digests = made.iter().flat_map(|made| &made.outcome.digests);
        let document = planned.role.paper();
        let paper = |it: &ParcelDigest| KitPaper {
            position: it.position,
            document,
            digest: it.digest.to_string(),
        };
        digests.map(paper).collect()
    };
    pairs.flat_map(of_document).collect()
}

/// What the overview says of findings: warnings in words, notes by their number.
pub(super) fn sum_up<'d>(kit: &mut KitContents, findings: impl Iterator<Item = &'d Finding>) {
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

/// Writes letters that no font has by their numbers: what the overview tells is told of faulty text
/// too, and must not be stopped by it.
pub(super) fn spell_letters(kit: &mut KitContents, book: &FontBook) {
    let spell = |text: &mut String| {
        if let Cow::Owned(spelt) = spell_missing(book, text) {
            *text = spelt;
        }
    };
    kit.warnings.iter_mut().for_each(spell);
    for document in &mut kit.documents {
        spell(&mut document.layout);
        spell(&mut document.stock);
    }
}

/// A document as the record and the overview have it.
pub(super) fn describe_document(made: &MadeDocument, job: &DocumentJob) -> KitDocument {
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

/// What was made, a line each: file, pages, paper.
pub(super) fn describe_documents(documents: &[KitDocument]) -> Vec<String> {
    let widest = documents.iter().map(|document| document.file.len()).max().unwrap_or_default();
    let line = |document: &KitDocument| {
        let KitDocument { file, pages, stock, .. } = document;
        let noun = if *pages == 1 { "page" } else { "pages" };
        format!("  {file:widest$}  {pages:4} {noun} on {stock}")
    };
    documents.iter().map(line).collect()
}
