//! The documents of a kit, and their layouts.
//!
//! In: the shop file's `kit` section. Out: a job for each document. Not here: making them.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::{Mutex, PoisonError};

use super::condition::Condition;
use crate::batch::{Batch, Parcel};
use crate::cli::arguments::Format;
use crate::cli::documents::DocumentJob;
use crate::cli::halt::Halt;
use crate::cli::inputs::{Inputs, choose_printer};
use crate::cli::open_layout::OpenLayout;
use crate::findings::{Finding, rules};
use crate::layout::Makes;
use crate::shipped::{USUAL_LABEL, find_shipped, nearest_shipped};
use crate::shop::KitLayout;
use crate::stock::Stock;

/// What a document of a kit is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum DocumentRole {
    /// Goes on the parcels.
    Labels,
    /// Travel with the items until the labels go on.
    Cards,
    /// Tell the buyers what is in their parcels.
    Slips,
    /// Are put into the parcels.
    Inserts,
    /// What customs want to know, of parcels that need a declaration.
    Customs,
    /// Goes with the parcels to whoever carries them.
    Handover,
    /// The sitting on one page.
    Overview,
    /// What is to be fetched, shelf by shelf.
    Picking,
    /// Orders that are in no parcel.
    Waiting,
    /// A document of the seller's own, by its name.
    Own(&'static str),
}

impl DocumentRole {
    /// What a document of this role is called in a viewer's title bar.
    fn title(self) -> &'static str {
        match self {
            DocumentRole::Labels => "labels",
            DocumentRole::Cards => "bench cards",
            DocumentRole::Slips => "packing slips",
            DocumentRole::Inserts => "inserts",
            DocumentRole::Customs => "customs sheets",
            DocumentRole::Handover => "handover list",
            DocumentRole::Overview => "overview",
            DocumentRole::Picking => "picking list",
            DocumentRole::Waiting => "waiting orders",
            DocumentRole::Own(name) => name,
        }
    }

    /// What a ledger calls a parcel's paper of this role.
    pub(super) fn paper(self) -> &'static str {
        if let DocumentRole::Own(name) = self {
            return name;
        }
        let row = DOCUMENTS.iter().find(|row| row.0 == self);
        row.map_or("", |row| row.2.trim_end_matches(".pdf"))
    }
}

/// Whose documents are opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum PlanFor {
    /// A kit's of plain files.
    Kit,
    /// A line's, whose handover list comes when it goes to the counter.
    Line,
}

impl PlanFor {
    /// The layout of a document that the shop file says nothing about; none for one that is not part
    /// of it.
    fn usual(self, row: &PlanRow) -> Option<&'static str> {
        match (self, row.0) {
            (_, DocumentRole::Waiting) | (PlanFor::Line, DocumentRole::Handover) => None,
            (PlanFor::Kit, DocumentRole::Picking) => Some(NONE),
            _ => Some(row.4),
        }
    }
}

/// A kind of document: its role, the shop file's field, the file, what its layout makes, and the
/// layout when the shop file names none.
type PlanRow = (DocumentRole, &'static str, &'static str, Makes, &'static str);

/// What the shop file calls the layout of customs sheets.
pub(super) const CUSTOMS_FIELD: &str = "customs_sheets";

/// The word for a document that is not wanted.
const NONE: &str = "none";

/// The documents of a kit, in the order they are made; the overview tells of all others.
const DOCUMENTS: [PlanRow; 9] = [
    // The labels' layout may also stand under `defaults`.
    (DocumentRole::Labels, "labels", "labels.pdf", Makes::Label, USUAL_LABEL),
    (DocumentRole::Cards, "bench_cards", "bench-cards.pdf", Makes::BenchCard, "bench-cards-4x6in"),
    (DocumentRole::Slips, "slips", "slips.pdf", Makes::Slip, "slip-a4"),
    (DocumentRole::Inserts, "inserts", "inserts.pdf", Makes::Insert, "thank-you-a6"),
    (DocumentRole::Customs, CUSTOMS_FIELD, "customs-sheets.pdf", Makes::Slip, NONE),
    (DocumentRole::Handover, "handover_list", "handover-list.pdf", Makes::List, "handover-list-a4"),
    (DocumentRole::Picking, "picking_list", "picking-list.pdf", Makes::List, "picking-list-a4"),
    (DocumentRole::Waiting, "waiting_list", "waiting-list.pdf", Makes::List, "waiting-list-a4"),
    (DocumentRole::Overview, "overview", "overview.pdf", Makes::List, "overview-a4"),
];

/// A document of a kit.
pub(super) struct Planned {
    /// Which document of a kit it is.
    pub(super) role: DocumentRole,
    /// How it is made.
    pub(super) job: DocumentJob,
    /// For which parcels it is made, where that is said.
    pub(super) when: Option<Condition>,
}

impl Planned {
    /// Whether a parcel gets it, of those that its condition holds for.
    ///
    /// # Errors
    /// When the condition cannot be told of a parcel.
    pub(super) fn wanted(
        &self,
        inputs: &Inputs,
        batch: &Batch,
    ) -> Result<impl Fn(&Parcel) -> bool + use<>, Halt> {
        let wanted = match &self.when {
            None => None,
            Some(when) => {
                let listed = when.list_parcels(batch, inputs.shop.as_ref());
                Some(listed.map_err(|found| Halt::unusable(found, &inputs.sources))?)
            }
        };
        let is_in = |list: &Vec<usize>, parcel: &Parcel| list.contains(&parcel.position);
        Ok(move |parcel: &Parcel| wanted.as_ref().is_none_or(|list| is_in(list, parcel)))
    }
}

/// The names of the seller's documents, each held once for as long as the program runs: a desk plans the
/// same ones again and again.
static OWN_NAMES: Mutex<BTreeSet<&'static str>> = Mutex::new(BTreeSet::new());

/// The one copy of a document's name.
fn keep_name(name: &str) -> &'static str {
    let mut names = OWN_NAMES.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(known) = names.get(name) {
        return known;
    }
    let kept: &'static str = Box::leak(name.to_owned().into_boxed_str());
    names.insert(kept);
    kept
}

/// Opens the layouts of all documents that are wanted; they go into `folder`.
///
/// # Errors
/// When something is wrong with a layout, or with the shop file's choice.
pub(super) fn open_plan(
    inputs: &mut Inputs,
    folder: &Path,
    whose: PlanFor,
) -> Result<Vec<Planned>, Halt> {
    let mut planned = Vec::new();
    for row in &DOCUMENTS {
        if row.0 == DocumentRole::Overview {
            open_own(inputs, folder, &mut planned)?;
        }
        let Some(usual) = whose.usual(row) else { continue };
        let choice = find_choice(inputs, row.1);
        if let Some(open) = open_choice(inputs, row, choice.as_ref(), usual)? {
            planned.push(plan_document(row, open, folder));
        }
    }
    Ok(planned)
}

/// Opens the layouts of the seller's own documents.
fn open_own(inputs: &mut Inputs, folder: &Path, planned: &mut Vec<Planned>) -> Result<(), Halt> {
    let documents = inputs.shop.as_ref().map(|shop| shop.kit.documents.clone()).unwrap_or_default();
    for document in documents {
        let place = inputs.locate_layout(&document.layout)?;
        let fault = |message: String| {
            let path = format!("kit.documents.{}", document.name);
            Finding::new(&rules::KIT_LAYOUT, message).at(document.span).path(path)
        };
        if place.to_str().and_then(find_shipped).is_none() && !place.is_file() {
            let finding = fault(format!("there is no layout `{}`", document.layout));
            let hint = nearest_shipped(&document.layout);
            return Err(Halt::unusable(vec![finding.hint_if(hint)], &inputs.sources));
        }
        let mut open = OpenLayout::open(&place, &mut inputs.sources)?;
        if open.layout.makes == Makes::List && document.when.is_some() {
            let finding =
                fault("a `list` is about all parcels, and `when` chooses some".to_owned());
            let finding = finding.hint("take `when` out, or choose in the list: `each: parcels`");
            return Err(Halt::unusable(vec![finding], &inputs.sources));
        }
        if let Ok(stock) = Stock::find(&document.stock) {
            match &mut open.layout.sheet {
                Some(sheet) => sheet.stock = stock,
                None => open.layout.page.stock = stock,
            }
        }
        if !document.printer.is_empty() {
            let mut shop = inputs.shop.clone();
            choose_printer(shop.as_mut(), Some(&document.printer))?;
            open.shop = shop;
        }
        let when = Condition::read(inputs, &document)?;
        let name = keep_name(&document.name);
        let path = folder.join(format!("{name}.pdf"));
        let job = DocumentJob {
            open,
            path,
            format: Format::Pdf,
            title: Some(name),
            makes_digests: true,
            is_draft: false,
            keeps_dots: true,
        };
        planned.push(Planned { role: DocumentRole::Own(name), job, when });
    }
    Ok(())
}

/// Opens the layout of a list that was asked for, even if the shop file wants none in its kits; the
/// list goes into `folder`.
///
/// # Errors
/// As [`open_plan`].
pub(super) fn open_list(
    inputs: &mut Inputs,
    folder: &Path,
    role: DocumentRole,
) -> Result<Planned, Halt> {
    let row = DOCUMENTS.iter().find(|row| row.0 == role).unwrap_or(&DOCUMENTS[0]);
    let choice = find_choice(inputs, row.1).filter(|choice| &*choice.name != NONE);
    let open = match open_choice(inputs, row, choice.as_ref(), row.4)? {
        Some(open) => open,
        None => OpenLayout::open(row.4, &mut inputs.sources)?,
    };
    let mut planned = plan_document(row, open, folder);
    // It lies in no kit, whose record would say that a file of dots belongs to it.
    planned.job.keeps_dots = false;
    Ok(planned)
}

/// What the shop file says of a document.
fn find_choice(inputs: &Inputs, field: &str) -> Option<KitLayout> {
    let mut choices = inputs.shop.iter().flat_map(|shop| &shop.kit.layouts);
    choices.find(|choice| choice.field == field).cloned()
}

/// A document in the layout that was opened for it.
fn plan_document((role, _, file, _, _): &PlanRow, open: OpenLayout, folder: &Path) -> Planned {
    let (path, title) = (folder.join(file), Some(role.title()));
    let job = DocumentJob {
        open,
        path,
        format: Format::Pdf,
        title,
        makes_digests: true,
        is_draft: false,
        keeps_dots: true,
    };
    Planned { role: *role, job, when: None }
}

/// Opens the layout of one document; none when it is not wanted.
fn open_choice(
    inputs: &mut Inputs,
    (role, _, _, makes, _): &PlanRow,
    choice: Option<&KitLayout>,
    usual: &str,
) -> Result<Option<OpenLayout>, Halt> {
    let name = match choice {
        Some(choice) => &*choice.name,
        None => usual,
    };
    if name == NONE {
        return Ok(None);
    }
    let place = match choice {
        None if *role == DocumentRole::Labels => inputs.usual_label()?,
        _ => inputs.locate_layout(name)?,
    };
    if let Some(choice) = choice
        && place.to_str().and_then(find_shipped).is_none()
        && !place.is_file()
    {
        let fault = complain(choice, format!("there is no layout `{name}`"));
        return Err(Halt::unusable(vec![fault.hint_if(nearest_shipped(name))], &inputs.sources));
    }
    let open = OpenLayout::open(&place, &mut inputs.sources)?;
    if open.layout.makes == *makes {
        return Ok(Some(open));
    }
    Err(refuse_kind(inputs, choice, &open, *makes, usual))
}

/// What stops a layout that makes something else than `wanted`.
fn refuse_kind(
    inputs: &Inputs,
    choice: Option<&KitLayout>,
    open: &OpenLayout,
    wanted: Makes,
    usual: &str,
) -> Halt {
    let (name, found, wanted) = (open.name(), open.layout.makes.word(), wanted.word());
    let message = format!("expected a layout that makes `{wanted}`, `{name}` makes `{found}`");
    match choice {
        Some(choice) => {
            let fault =
                complain(choice, message).hint(format!("write `{}: {usual}`", choice.field));
            Halt::unusable(vec![fault], &inputs.sources)
        }
        // A layout under `defaults` that makes no labels.
        None => Halt::usage(format!("for the labels: {message}"))
            .hint(format!("write `labels: {usual}` under `kit` in the shop file")),
    }
}

/// What is wrong with a choice of the shop file.
fn complain(choice: &KitLayout, message: String) -> Finding {
    Finding::new(&rules::KIT_LAYOUT, message).at(choice.span).path(format!("kit.{}", choice.field))
}
