//! The papers of a line: the first time a whole kit, afterwards what is not printed yet or out of date.
//!
//! In: a line with all that its parcels are made of ([`LineInputs`]). Out: what would be printed and
//! why; or a folder that has appeared, with what the ledger is to remember of it. What is out of date
//! is told by the pages: those that would be printed now against those that were, without the words
//! that say on what occasion. Not here: the ledger. A folder appears first and is remembered then; a
//! run that ends in between leaves a kit that the next one replaces, and no parcel that passes for
//! printed and is not.

mod changes;
mod compare;
#[cfg(feature = "desk")]
mod draw;
mod make;
mod outdated;
mod planned;
#[cfg(test)]
mod tests;

use std::path::{Path, PathBuf};

use super::customs::report_customs;
use super::folder::{KitFolder, OldKitFate};
use super::old::read_record;
use super::plan::{DocumentRole, PlanFor, Planned, open_list, open_plan};
use crate::batch::{Batch, Parcel, inspect_currencies};
use crate::bind::KitContents;
use crate::cli::documents::{MadeDocument, Material};
use crate::cli::halt::Halt;
use crate::cli::line::{LineInputs, LineView, TornParcel, to_position};
use crate::cli::output::let_appear;
use crate::cli::prepare::PreparedBatch;
use crate::cli::setup::PrintSetup;
use crate::findings::{Finding, has_errors, rules};
use crate::job::drop_echoes;
use crate::kit::RECORD;
use crate::ledger::{BenchLine, PrintedParcel};
use crate::pipeline::{Selection, watch_selection};
use crate::shop::Shop;
use crate::verify::ProofTally;

use changes::tell_changes;
use compare::{compare_papers, list_papers};
use make::LineMaker;
use outdated::{find_outdated, leave_out_numbered};
use planned::{PrintReason, is_first};

#[cfg(feature = "desk")]
use draw::draw_documents;
#[cfg(feature = "desk")]
pub(crate) use draw::{DrawnDocument, DrawnLine};
pub(crate) use outdated::OutdatedParcel;
pub(crate) use planned::{PlannedParcel, WantedPapers};

/// What would be printed of a line.
#[derive(Debug)]
pub(crate) struct PrintPlan {
    /// Whether nothing of the line was printed before, so that a whole kit is made.
    pub(crate) is_first: bool,
    /// The parcels that have something to print, or papers to be thrown away, as they lie.
    pub(crate) parcels: Vec<PlannedParcel>,
    /// What was found in the line and the shop file, as far as these parcels are concerned.
    pub(crate) findings: Vec<Finding>,
    /// Parcels of which nothing is printed, because their orders no longer agree.
    pub(crate) torn: Vec<TornParcel>,
}

/// What was printed of a line.
#[derive(Debug)]
pub(crate) struct LinePrinted {
    /// The folder; none when nothing had to be printed.
    pub(crate) folder: Option<PathBuf>,
    /// What the ledger is to remember.
    pub(crate) parcels: Vec<PrintedParcel>,
    /// What was made, a line each: file, pages, paper.
    pub(crate) lines: Vec<String>,
    /// What was found.
    pub(crate) findings: Vec<Finding>,
}

/// A list about a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ListKind {
    /// What is to be fetched, shelf by shelf.
    Picking,
    /// What goes to the counter: parcels that are matched or went.
    Handover,
    /// Orders that are in no parcel, and numbers that stay empty.
    Waiting,
}

/// A list that was printed.
#[derive(Debug)]
pub(crate) struct LineList {
    /// Where it was written.
    pub(crate) file: PathBuf,
    /// How many pages it has.
    pub(crate) pages: usize,
    /// What was found.
    pub(crate) findings: Vec<Finding>,
}

/// What would be printed of a line now, and why.
///
/// # Errors
/// When a layout cannot be used, or an order of the line cannot be read.
pub(crate) fn plan_line(
    source: &mut LineInputs,
    setup: &PrintSetup,
    wanted: WantedPapers,
) -> Result<PrintPlan, Halt> {
    source.refuse_unread()?;
    let look = LineLook::take(source, setup, Path::new(""), wanted)?;
    let mut findings = look.findings();
    findings.extend(concerning(look.errors, &look.parcels, &look.batch));
    drop_echoes(&mut findings);
    let LineLook { is_whole: is_first, parcels, torn, .. } = look;
    Ok(PrintPlan { is_first, parcels, findings, torn })
}

/// Prints what is not printed yet or out of date: the first time, and when all is wanted, a kit in the
/// folder `to`, else the difference in a folder within it.
///
/// # Errors
/// When something is wrong with what would be printed; nothing is written then.
pub(crate) fn make_line(
    source: &mut LineInputs,
    setup: &PrintSetup,
    to: &Path,
    wanted: WantedPapers,
) -> Result<LinePrinted, Halt> {
    source.refuse_unread()?;
    let folder = open_folder(&source.line, to, wanted)?;
    let look = LineLook::take(source, setup, folder.making(), wanted)?;
    let before = look.findings();
    let remember = |parcel: &PlannedParcel| parcel.remember(&source.line, &look.batch);
    let printed: Vec<PrintedParcel> = look.parcels.iter().filter_map(remember).collect();
    if look.parcels.iter().all(|parcel| parcel.documents.is_empty()) {
        let (folder, lines) = (None, Vec::new());
        return Ok(LinePrinted { folder, parcels: printed, lines, findings: before });
    }
    let maker = look.maker(source, setup);
    let made = maker.make(before)?;
    let (folder, lines, findings) = maker.appear(made, folder)?;
    Ok(LinePrinted { folder: Some(folder), parcels: printed, lines, findings })
}

/// The parcels whose labels or bench cards say what is no longer so.
///
/// # Errors
/// When a layout cannot be used, or an order of the line cannot be read.
pub(crate) fn list_outdated(
    source: &mut LineInputs,
    setup: &PrintSetup,
) -> Result<Vec<OutdatedParcel>, Halt> {
    let look = LineLook::take(source, setup, Path::new(""), WantedPapers::Due)?;
    Ok(find_outdated(&look.parcels, &look.was, &look.batch))
}

/// Draws what would be printed of a line now.
///
/// # Errors
/// When a layout cannot be used, or an order of the line cannot be read.
#[cfg(feature = "desk")]
pub(crate) fn draw_line(source: &mut LineInputs, setup: &PrintSetup) -> Result<DrawnLine, Halt> {
    source.refuse_unread()?;
    let look = LineLook::take(source, setup, Path::new(""), WantedPapers::Due)?;
    draw_documents(&look.maker(source, setup))
}

/// Prints one list about a line into a folder.
///
/// # Errors
/// When its layout cannot be used, something is wrong with its pages, or it cannot be written.
pub(crate) fn make_list(
    source: &mut LineInputs,
    setup: &PrintSetup,
    kind: ListKind,
    to: &Path,
) -> Result<LineList, Halt> {
    let (role, view) = match kind {
        ListKind::Picking => (DocumentRole::Picking, LineView::Bench),
        ListKind::Handover => (DocumentRole::Handover, LineView::Counter),
        ListKind::Waiting => (DocumentRole::Waiting, LineView::Bench),
    };
    let Planned { job, .. } = open_list(&mut source.inputs, to, role)?;
    let PreparedBatch { batch, .. } = source.batch(view);
    let (selection, kit) = (Selection::default(), KitContents::default());
    let inputs = &source.inputs;
    let material = Material { inputs, setup, batch: &batch, selection: &selection, kit: &kit };
    let mut made: MadeDocument = material.make(&job, &mut watch_selection(&batch, &selection))?;
    let findings = std::mem::take(&mut made.outcome.findings);
    if has_errors(&findings) {
        return Err(Halt::found(findings, ProofTally::default(), &inputs.sources)
            .saying("nothing was written"));
    }
    let pages = made.outcome.pages;
    let_appear(made.take_files())?;
    Ok(LineList { file: job.path, pages, findings })
}

/// The folder that the papers of a line appear in.
fn open_folder(line: &BenchLine, to: &Path, wanted: WantedPapers) -> Result<KitFolder, Halt> {
    let is_its_own = to.join(RECORD).is_file() && read_record(to, to)?.key == line.key.as_str();
    match is_first(line) || wanted == WantedPapers::All {
        // A run that was stopped before the ledger knew of it has left the same kit there.
        true if is_its_own => KitFolder::open(to, OldKitFate::Replaced),
        false if is_its_own => KitFolder::within(to),
        _ => KitFolder::open(to, OldKitFate::Foreign),
    }
}

/// A line as it is and as it was printed, and what has to be printed of it.
struct LineLook {
    /// The line as a batch.
    batch: Batch,
    /// What was found in it.
    found: Vec<Finding>,
    /// The line as it was printed.
    was: Batch,
    /// The documents that there may be.
    planned: Vec<Planned>,
    /// What has to be printed of each parcel that is still to go.
    parcels: Vec<PlannedParcel>,
    /// Parcels of which nothing is printed, because their orders no longer agree.
    torn: Vec<TornParcel>,
    /// Whether it is a whole kit, with its lists.
    is_whole: bool,
    /// What keeps pages from being printed, of all that could be.
    errors: Vec<Finding>,
}

impl LineLook {
    /// Looks at a line whose papers would appear in a folder.
    fn take(
        source: &mut LineInputs,
        setup: &PrintSetup,
        to: &Path,
        wanted: WantedPapers,
    ) -> Result<LineLook, Halt> {
        let PreparedBatch { batch, findings } = source.batch(LineView::Bench);
        let mut found: Vec<Finding> =
            source.inputs.findings.iter().cloned().chain(findings).collect();
        let planned = open_plan(&mut source.inputs, to, PlanFor::Line)?;
        let now = list_papers(source, setup, &batch, &planned)?;
        let mut parcels = compare_papers(&source.line, &batch, &now, wanted);
        let was = source.batch_as_printed();
        leave_out_numbered(&mut parcels, &source.line, &was, &batch);
        let torn = source.find_torn();
        parcels.retain(|parcel| torn.iter().all(|torn| torn.number != parcel.number));
        let is_printed = |parcel: &Parcel| prints(&parcels, parcel);
        found.extend(warn_of_prices(&batch, is_printed, source.inputs.shop.as_ref()));
        found.extend(report_customs(&source.inputs, &planned, &batch, is_printed));
        let is_whole = is_first(&source.line) || wanted == WantedPapers::All;
        Ok(LineLook { batch, found, was, planned, parcels, torn, is_whole, errors: now.errors })
    }

    /// What is said of the parcels that have something to print.
    fn findings(&self) -> Vec<Finding> {
        let mut findings = concerning(self.found.clone(), &self.parcels, &self.batch);
        findings.extend(tell_changes(&self.was, &self.batch, &self.parcels));
        findings.extend(self.torn.iter().map(TornParcel::to_finding));
        findings
    }

    /// What makes it.
    fn maker<'a>(&'a self, source: &'a LineInputs, setup: &'a PrintSetup) -> LineMaker<'a> {
        LineMaker {
            inputs: &source.inputs,
            setup,
            line: &source.line,
            batch: &self.batch,
            planned: &self.planned,
            parcels: &self.parcels,
            is_first: self.is_whole,
        }
    }
}

/// Whether papers of a parcel are printed.
fn prints(planned: &[PlannedParcel], parcel: &Parcel) -> bool {
    let mut printed = planned.iter().filter(|it| !it.documents.is_empty());
    printed.any(|it| to_position(it.number) == parcel.position)
}

/// Warns that papers that are printed show no prices, where nobody names their currency.
fn warn_of_prices(
    batch: &Batch,
    is_printed: impl Fn(&Parcel) -> bool,
    shop: Option<&Shop>,
) -> Option<Finding> {
    let printed = batch.parcels.iter().filter(|parcel| is_printed(parcel));
    let found = inspect_currencies(printed, shop.and_then(|shop| shop.currency))?;
    Some(found.hint("without it no paper shows a price"))
}

/// Those findings that are about a parcel that is printed, or about none; the other parcels' were told
/// when they were printed.
fn concerning(mut found: Vec<Finding>, parcels: &[PlannedParcel], batch: &Batch) -> Vec<Finding> {
    let is_printed =
        |number: usize| parcels.iter().any(|parcel| to_position(parcel.number) == number);
    let orders = || batch.parcels.iter().flat_map(|parcel| &parcel.orders);
    let of_printed = |finding: &Finding| {
        let printed = batch.parcels.iter().filter(|parcel| is_printed(parcel.position));
        let mut orders = printed.flat_map(|parcel| &parcel.orders);
        orders.any(|order| finding.span.is_some_and(|at| order.span().contains(at)))
    };
    let is_reprint = |number: usize| {
        let mut parcels = parcels.iter().filter(|parcel| to_position(parcel.number) == number);
        parcels.any(|parcel| parcel.why == PrintReason::OutOfDate)
    };
    // What changed since it was printed says more than what the scale changed of sums.
    found.retain(|finding| {
        !finding.is(&rules::MEASURED_CHANGES) || !finding.position().is_some_and(is_reprint)
    });
    found.retain(|finding| match finding.position() {
        Some(position) => {
            is_printed(position) || finding.others.iter().any(|&other| is_printed(other))
        }
        None => {
            let is_in_orders = finding.span.is_some_and(|at| {
                orders().next().is_some_and(|order| order.span().file == at.file)
            });
            !is_in_orders || of_printed(finding)
        }
    });
    found
}
