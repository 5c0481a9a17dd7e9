//! What was printed of a line's parcels against what would be printed now.
//!
//! In: a line as the ledger has it, and its batch. Out: for each parcel that is still to go what has to
//! be printed. Not here: printing.

use std::collections::{BTreeMap, HashMap};

use super::planned::{PlannedPaper, PlannedParcel, PrintReason, WantedPapers, is_first};
use crate::batch::{Batch, Parcel};
use crate::bind::{KitContents, Occasion};
use crate::cli::documents::Material;
use crate::cli::halt::Halt;
use crate::cli::kit::customs::needs_sheet;
use crate::cli::kit::plan::{DocumentRole, Planned};
use crate::cli::line::{LineInputs, to_position};
use crate::cli::setup::PrintSetup;
use crate::digest::PageDigest;
use crate::findings::Finding;
use crate::layout::Makes;
use crate::ledger::{BenchLine, LineParcel, Paper};
use crate::pipeline::Selection;
use crate::shop::PageOrder;

/// A paper that a parcel would have if it were printed now.
pub(super) struct PaperNow {
    /// What it makes, such as `label`.
    document: &'static str,
    /// What its pages come to; none when they cannot be made.
    digest: Option<PageDigest>,
}

/// The papers that a line would have.
#[derive(Default)]
pub(super) struct PapersNow {
    /// Those of each parcel, by its number.
    of_parcels: BTreeMap<usize, Vec<PaperNow>>,
    /// What keeps some of them from being printed.
    pub(super) errors: Vec<Finding>,
}

/// Composes all that could be printed, and tells what each parcel's papers come to.
///
/// # Errors
/// When a layout cannot be used.
pub(super) fn list_papers(
    source: &LineInputs,
    setup: &PrintSetup,
    batch: &Batch,
    planned: &[Planned],
) -> Result<PapersNow, Halt> {
    let (inputs, kit) = (&source.inputs, KitContents::default());
    let is_open = |parcel: &Parcel| {
        let number = u32::try_from(parcel.position).ok();
        number.and_then(|it| source.line.parcel(it)).is_some_and(|it| it.state.is_open())
    };
    let mut now = PapersNow::default();
    for planned in planned {
        let Planned { role, job, .. } = planned;
        if job.open.layout.makes == Makes::List {
            continue;
        }
        let is_chosen = planned.wanted(inputs, batch)?;
        let is_wanted = |parcel: &&Parcel| {
            is_open(parcel)
                && is_chosen(parcel)
                && (*role != DocumentRole::Customs || needs_sheet(inputs, parcel))
        };
        let wanted: Vec<usize> =
            batch.parcels.iter().filter(is_wanted).map(|parcel| parcel.position).collect();
        let places = wanted.iter().filter_map(|&number| batch.place_of(number));
        let selection = &Selection::only(places, PageOrder::Bench);
        let material = Material { inputs, setup, batch, selection, kit: &kit };
        let digested = material.digest(&job.open)?;
        now.errors.extend(digested.errors);
        let digests: HashMap<usize, PageDigest> =
            digested.digests.into_iter().map(|it| (it.position, it.digest)).collect();
        for number in wanted {
            let digest = digests.get(&number).copied();
            now.of_parcels
                .entry(number)
                .or_default()
                .push(PaperNow { document: role.paper(), digest });
        }
    }
    Ok(now)
}

/// What has to be printed of each parcel that is still to go, as the parcels lie.
pub(super) fn compare_papers(
    line: &BenchLine,
    batch: &Batch,
    now: &PapersNow,
    wanted: WantedPapers,
) -> Vec<PlannedParcel> {
    let wanted = if is_first(line) { WantedPapers::All } else { wanted };
    let open = batch.parcels.iter().filter_map(|parcel| {
        let known = line.parcel(u32::try_from(parcel.position).ok()?)?;
        known.state.is_open().then_some(known)
    });
    let planned = open.map(|known| {
        let papers = now.of_parcels.get(&to_position(known.number));
        compare_parcel(known, papers.map_or(&[][..], |papers| papers), wanted)
    });
    planned.filter(|it| !it.documents.is_empty() || !it.withdrawn.is_empty()).collect()
}

/// What has to be printed of one parcel.
fn compare_parcel(known: &LineParcel, now: &[PaperNow], wanted: WantedPapers) -> PlannedParcel {
    let why = match known.printed {
        _ if wanted == WantedPapers::All => PrintReason::First,
        None => PrintReason::Late,
        Some(_) => PrintReason::OutOfDate,
    };
    let find = |document: &str| known.papers.iter().find(|paper| *paper.document == *document);
    let mut documents = Vec::new();
    for paper in now {
        let before = find(paper.document);
        let is_same = before
            .zip(paper.digest)
            .is_some_and(|(before, digest)| *before.digest == *digest.to_string());
        if is_same && wanted == WantedPapers::Due {
            continue;
        }
        let occasion = match why {
            PrintReason::First => Occasion::First,
            PrintReason::Late => Occasion::Late,
            PrintReason::OutOfDate if before.is_some() => Occasion::Again,
            // It had none of these before: there is nothing to throw away.
            PrintReason::OutOfDate => Occasion::First,
        };
        documents.push(PlannedPaper { document: paper.document, occasion });
    }
    let has_now = |paper: &&Paper| now.iter().any(|it| *it.document == *paper.document);
    let withdrawn = known.papers.iter().filter(|paper| !has_now(paper));
    PlannedParcel {
        number: known.number,
        tag: known.tag.clone(),
        why,
        documents,
        withdrawn: withdrawn.map(|paper| paper.document.clone()).collect(),
        papers: now
            .iter()
            .filter_map(|paper| {
                let digest = paper.digest?.to_string().into();
                Some(Paper { document: paper.document.into(), digest })
            })
            .collect(),
    }
}
