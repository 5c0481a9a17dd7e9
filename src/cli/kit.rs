//! `slipwright kit`: everything for one sitting, in one folder.
//!
//! In: orders, and what the shop file says of kits. Out: labels, bench cards, slips, inserts and
//! lists as PDF, `batch.json`, which says what is in the kit, and `findings.json`; all of them or
//! none. With `--only`, some parcels of a kit that is there once more. Not here: how a batch and its
//! documents are made (`sitting`, `documents`), how a folder appears (`folder`), what is read of a
//! kit to print from it again (`again`), what a kit in another's place changes (`replaced`).

mod again;
mod checked;
mod condition;
mod customs;
mod folder;
mod forget;
mod line;
mod maker;
mod old;
mod place;
mod plan;
mod proof;
mod replaced;
mod rolls;

use std::path::{Path, PathBuf};

use super::arguments::{Diagnostics, KitArguments};
use super::documents::MadeDocument;
use super::exit::Exit;
use super::halt::Halt;
use super::inputs::Inputs;
use super::output::{
    let_appear, let_appear_before, reading_distance, refuse_same_files, show_path,
};
use super::report::{count_findings, findings_file};
use super::scratch::undisturbed;
use super::setup::PrintSetup;
use super::sitting::{Aside, Sitting, make_sitting};
use super::terminal;
use crate::batch::BatchOptions;
use crate::bind::KitDocument;
use crate::kit::{KitRecord, ParcelList, RECORD, reprint_to_json};
use crate::words::counted;

pub(super) use checked::{CheckedKit, check_kit};
pub(super) use forget::{ForgetHow, KitForgetting, forget_kit, kit_key, made_at};
#[cfg(feature = "desk")]
pub(super) use line::{DrawnDocument, DrawnLine, draw_line};
pub(super) use line::{
    LineList, LinePrinted, ListKind, PlannedParcel, PrintPlan, WantedPapers, list_outdated,
    make_line, make_list, plan_line,
};

use again::Again;
use folder::{FINDINGS, KitFolder, ORDERS, OldKitFate, PARCELS, SHOP};
use maker::{KitOutput, Maker, describe_document, describe_documents, record_papers};
pub(super) use old::belong_together;

use old::REPRINT;
use plan::{PlanFor, Planned, open_plan};

/// Makes a kit, or prints from one again: makes everything, and lets it appear.
pub(super) fn run(arguments: &KitArguments) -> Result<Exit, Halt> {
    let input = &arguments.input;
    if arguments.draft {
        return Err(Halt::no_drafts("kit"));
    }
    refuse_shared_files(arguments)?;
    let folder = match &arguments.only {
        Some(_) => KitFolder::within(&arguments.to)?,
        None => KitFolder::open(&arguments.to, old_kit_fate(arguments))?,
    };
    let mut inputs = match &arguments.only {
        Some(_) => again::read_inputs(&arguments.to, &input.from)?,
        None => Inputs::read(&input.from)?,
    };
    let setup = PrintSetup::read(input, &inputs, arguments.proof.to_proofing())?;
    let again = match &arguments.only {
        Some(list) => Some(Again::open(&arguments.to, list, &mut inputs)?),
        None => None,
    };
    let options = match &again {
        Some(again) => again.options().clone(),
        None => input.from.batch.to_options(),
    };
    let planned = open_plan(&mut inputs, folder.making(), PlanFor::Kit)?;
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
        making: KitOutput::Files,
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

/// What the arguments say of a kit that is there already.
fn old_kit_fate(arguments: &KitArguments) -> OldKitFate {
    if arguments.replace { OldKitFate::Replaced } else { OldKitFate::Kept }
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
        let papers = record_papers(&self.sitting.documents, planned);
        let lines = describe_documents(&documents);
        let made = self.sitting.documents.iter_mut().flatten();
        let_appear(made.flat_map(MadeDocument::take_files).collect())?;
        let Sitting { findings, proof, batch, .. } = &self.sitting;
        folder.write(FINDINGS, &findings_file(findings, proof, &self.inputs.sources))?;
        match self.again {
            Some(again) => {
                folder.write_record(REPRINT, |files| reprint_to_json(&again.numbers(), &files))?
            }
            None => {
                let parcels = ParcelList::new(batch, self.inputs.origin(), &papers);
                folder.write(PARCELS, &parcels.to_json())?;
                self.keep_inputs(&folder)?;
                // It comes last, because it says what all other files are.
                folder.write_record(RECORD, |files| {
                    let record = KitRecord::new(batch, self.options.clone(), documents);
                    KitRecord { files, ..record }.to_json()
                })?
            }
        }
        let place = self.appear_with_aside(folder)?;
        self.tell(&place, &lines);
        if is_proven {
            terminal::say(&self.sitting.proof.summary());
        }
        Ok(self.sitting.aside.map_or(Exit::Done, |aside| aside.tell()))
    }

    /// Lets the orders that were set aside appear, and the folder; both or none.
    fn appear_with_aside(&mut self, folder: KitFolder) -> Result<PathBuf, Halt> {
        // In this order a run that is killed in between leaves no order that is in no file; the next
        // one takes them back, because they were set aside from a kit that is not there.
        let aside = self.sitting.aside.iter_mut().filter_map(Aside::take_file).collect();
        undisturbed(|| {
            let appeared = let_appear_before(aside, folder.making())?;
            folder.commit().inspect_err(|_| appeared.take_back())
        })
    }

    /// Keeps the orders and the shop file in the kit as they came.
    fn keep_inputs(&self, folder: &KitFolder) -> Result<(), Halt> {
        let sources = &self.inputs.sources;
        folder.write(ORDERS, sources.get(self.inputs.orders_file).text())?;
        match self.inputs.shop_file {
            Some(file) => folder.write(SHOP, sources.get(file).text()),
            None => Ok(()),
        }
    }

    /// Says what was made; `lines` are its documents.
    fn tell(&self, place: &Path, lines: &[String]) {
        let (parcels, record) = match self.again {
            Some(again) => (again.count(), String::new()),
            None => (self.sitting.batch.parcels.len(), format!("{RECORD}, {PARCELS}, ")),
        };
        let found = count_findings(&self.sitting.findings);
        terminal::say(&format!("{} in {}:", counted(parcels, "parcel"), show_path(place)));
        lines.iter().for_each(|line| terminal::say(line));
        terminal::say(&format!("  {record}{FINDINGS}: {found}"));
        let documents = self.sitting.documents.iter().flatten();
        let capitals = documents.filter_map(|made| made.outcome.tag_capitals);
        if let Some(capitals) = capitals.reduce(|least, other| least.min(other)) {
            let metres = reading_distance(capitals);
            terminal::say(&format!("every tag can be read from {metres:.1} m"));
        }
    }
}

/// The documents of a kit as its record has them.
fn record_documents(made: &[Option<MadeDocument>], planned: &[Planned]) -> Vec<KitDocument> {
    let pairs = made.iter().zip(planned);
    pairs
        .filter_map(|(made, Planned { job, .. })| Some(describe_document(made.as_ref()?, job)))
        .collect()
}

/// Refuses an output that would replace an input, or be lost in the folder.
fn refuse_shared_files(arguments: &KitArguments) -> Result<(), Halt> {
    let Some(aside) = &arguments.printing.set_aside else { return Ok(()) };
    let input = &arguments.input;
    let mut files = vec![("the orders", input.from.orders())];
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
