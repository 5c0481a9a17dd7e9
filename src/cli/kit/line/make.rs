//! The documents of what has to be printed of a line, and the folder they appear in.
//!
//! In: what has to be printed of each parcel. Out: a folder that has appeared. Not here: what has to be
//! printed (`compare`).

use std::path::PathBuf;

use super::planned::{PlannedPaper, PlannedParcel};
use crate::batch::{Batch, BatchOptions, SidePrintings};
use crate::bind::{KitContents, KitDocument};
use crate::cli::documents::{DocumentJob, MadeDocument, Material};
use crate::cli::halt::Halt;
use crate::cli::inputs::Inputs;
use crate::cli::kit::folder::{FINDINGS, KitFolder, ORDERS, PARCELS, SHOP};
use crate::cli::kit::maker::{describe_document, describe_documents, spell_letters, sum_up};
use crate::cli::kit::old::REPRINT;
use crate::cli::kit::plan::{DocumentRole, Planned};
use crate::cli::kit::rolls::report_rolls;
use crate::cli::line::to_position;
use crate::cli::output::let_appear;
use crate::cli::report::{count_findings, findings_file};
use crate::cli::setup::PrintSetup;
use crate::findings::{Finding, has_errors};
use crate::job::drop_echoes;
use crate::kit::{KitPaper, KitRecord, ParcelList, RECORD, reprint_to_json};
use crate::layout::Makes;
use crate::ledger::{BenchLine, Paper};
use crate::pipeline::{BatchCheck, SelectedPlace, Selection, watch_selection};
use crate::verify::ProofTally;

/// What makes the documents of a line.
pub(super) struct LineMaker<'a> {
    /// What was read.
    pub(super) inputs: &'a Inputs,
    /// What pages are made with.
    pub(super) setup: &'a PrintSetup,
    /// The line as the ledger has it.
    pub(super) line: &'a BenchLine,
    /// What lies on the bench, as parcels.
    pub(super) batch: &'a Batch,
    /// The documents.
    pub(super) planned: &'a [Planned],
    /// What has to be printed of each parcel.
    pub(super) parcels: &'a [PlannedParcel],
    /// Whether a whole kit is made, with its lists.
    pub(super) is_first: bool,
}

/// Documents that only have to appear.
pub(super) struct MadeLine {
    /// What was made and has not appeared.
    documents: Vec<MadeDocument>,
    /// What they are, in the same order.
    described: Vec<KitDocument>,
    /// Everything that was found.
    findings: Vec<Finding>,
    /// What the proof came to.
    proof: ProofTally,
}

impl LineMaker<'_> {
    /// Makes the documents; `before` is what was found until now.
    ///
    /// # Errors
    /// When something is wrong with one of them.
    pub(super) fn make(&self, before: Vec<Finding>) -> Result<MadeLine, Halt> {
        let mut made = MadeLine {
            documents: Vec::new(),
            described: Vec::new(),
            findings: before,
            proof: <_>::default(),
        };
        let mut kit = KitContents::default();
        let mut pairs = self.watch_pairs();
        for Planned { role, job, .. } in self.planned {
            let Some(selection) = self.choose(*role, job) else { continue };
            if *role == DocumentRole::Overview {
                sum_up(&mut kit, made.findings.iter());
                spell_letters(&mut kit, &self.setup.book);
            }
            let batch = &self.number_printings(*role);
            let (inputs, setup, selection) = (self.inputs, self.setup, &selection);
            let material = Material { inputs, setup, batch, selection, kit: &kit };
            let is_of_pair = matches!(role, DocumentRole::Labels | DocumentRole::Cards);
            let mut document = match &mut pairs {
                Some(pairs) if is_of_pair => material.make(job, pairs)?,
                _ => {
                    let mut watch = watch_selection(batch, selection);
                    let document = material.make(job, &mut watch)?;
                    made.findings.extend(watch.finish());
                    document
                }
            };
            made.findings.append(&mut document.outcome.findings);
            made.proof.add(std::mem::take(&mut document.outcome.proof));
            let described = describe_document(&document, job);
            kit.documents.push(described.clone());
            made.described.push(described);
            made.documents.push(document);
        }
        made.findings.extend(pairs.into_iter().flat_map(BatchCheck::finish));
        let is_made = |planned: &&Planned| self.choose(planned.role, &planned.job).is_some();
        made.findings.extend(report_rolls(self.inputs, self.planned.iter().filter(is_made)));
        drop_echoes(&mut made.findings);
        if has_errors(&made.findings) {
            let counted = count_findings(&made.findings);
            return Err(Halt::found(made.findings, made.proof, &self.inputs.sources)
                .saying(format!("nothing was written: {counted}")));
        }
        Ok(made)
    }

    /// The parcels that a document is made of; none when it is not made. Lists are of all parcels, and
    /// only in a whole kit.
    pub(super) fn choose(&self, role: DocumentRole, job: &DocumentJob) -> Option<Selection> {
        if job.open.layout.makes == Makes::List {
            return self.is_first.then(Selection::default);
        }
        Some(self.select(role.paper())).filter(|selection| selection.count(self.batch) > 0)
    }

    /// The batch with the codes of a document that is printed now: a paper that says something else than it
    /// did before has another code, so that the old one is not taken for it.
    pub(super) fn number_printings(&self, role: DocumentRole) -> Batch {
        let mut batch = self.batch.clone();
        for parcel in &mut batch.parcels {
            let number = u32::try_from(parcel.position).unwrap_or(u32::MAX);
            let Some(known) = self.line.parcel(number) else { continue };
            let planned = self.parcels.iter().find(|planned| planned.number == number);
            let papers = planned.map_or(&known.papers, |planned| &planned.papers);
            let find =
                |role: DocumentRole| papers.iter().find(|paper| *paper.document == *role.paper());
            // A shop may have a document of its own in place of labels or cards.
            let printing_of = |side: DocumentRole| {
                let paper = find(side).or_else(|| find(role));
                paper.map_or(1, |paper| known.printing_of(paper))
            };
            parcel.printings = SidePrintings {
                label: printing_of(DocumentRole::Labels),
                card: printing_of(DocumentRole::Cards),
            };
        }
        batch
    }

    /// What the papers of all parcels come to.
    fn list_papers(&self) -> Vec<KitPaper> {
        let document_of = |paper: &Paper| {
            let mut roles = self.planned.iter().map(|planned| planned.role.paper());
            roles.find(|document| **document == *paper.document).unwrap_or_default()
        };
        let papers = self.parcels.iter().flat_map(|parcel| {
            parcel.papers.iter().map(|paper| KitPaper {
                position: to_position(parcel.number),
                document: document_of(paper),
                digest: paper.digest.to_string(),
            })
        });
        papers.collect()
    }

    /// The check that holds labels and bench cards against each other, where the same parcels get both.
    fn watch_pairs(&self) -> Option<BatchCheck> {
        let [labels, cards] = [DocumentRole::Labels, DocumentRole::Cards].map(|role| {
            let is_made = self.planned.iter().any(|planned| planned.role == role);
            is_made.then(|| self.select(role.paper()))
        });
        let labels = labels?;
        (Some(&labels) == cards.as_ref()).then(|| watch_selection(self.batch, &labels))
    }

    /// The parcels that get a paper, each on its occasion.
    fn select(&self, document: &str) -> Selection {
        let is_it = |paper: &&PlannedPaper| *paper.document == *document;
        let places = self.parcels.iter().filter_map(|parcel| {
            let paper = parcel.documents.iter().find(is_it)?;
            let place = self.batch.place_of(to_position(parcel.number))?;
            Some(SelectedPlace { place, occasion: paper.occasion })
        });
        Selection::on(places, self.inputs.page_order(None))
    }

    /// Lets the documents appear in their folder; says where, what they are, and what was found.
    ///
    /// # Errors
    /// When something cannot be written.
    pub(super) fn appear(
        &self,
        mut made: MadeLine,
        folder: KitFolder,
    ) -> Result<(PathBuf, Vec<String>, Vec<Finding>), Halt> {
        let files = made.documents.iter_mut().flat_map(MadeDocument::take_files).collect();
        let_appear(files)?;
        let sources = &self.inputs.sources;
        folder.write(FINDINGS, &findings_file(&made.findings, &made.proof, sources))?;
        let lines = describe_documents(&made.described);
        if self.is_first {
            let batch = &self.number_printings(DocumentRole::Labels);
            let parcels = ParcelList::new(batch, self.inputs.origin(), &self.list_papers());
            folder.write(PARCELS, &parcels.to_json())?;
            folder.write(ORDERS, sources.get(self.inputs.orders_file).text())?;
            if let Some(file) = self.inputs.shop_file {
                folder.write(SHOP, sources.get(file).text())?;
            }
            folder.write_record(RECORD, |files| {
                let record = KitRecord::new(batch, BatchOptions::default(), made.described.clone());
                KitRecord { files, ..record }.to_json()
            })?;
        } else {
            let printed = self.parcels.iter().filter(|parcel| !parcel.documents.is_empty());
            let numbers: Vec<usize> = printed.map(|parcel| to_position(parcel.number)).collect();
            folder.write_record(REPRINT, |files| reprint_to_json(&numbers, &files))?;
        }
        Ok((folder.commit()?, lines, made.findings))
    }
}
