//! The documents of a kit, and their layouts.
//!
//! In: the shop file's `kit` section. Out: a job for each document. Not here: making them.

use std::path::Path;

use crate::cli::arguments::Format;
use crate::cli::documents::DocumentJob;
use crate::cli::halt::Halt;
use crate::cli::inputs::Inputs;
use crate::cli::open_layout::OpenLayout;
use crate::findings::{Finding, rules};
use crate::layout::Makes;
use crate::shipped::{USUAL_LABEL, find_shipped, nearest_shipped};
use crate::shop::KitLayout;

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
        }
    }
}

/// A kind of document: its role, the shop file's field, the file, what its layout makes, and the
/// layout when the shop file names none.
type PlanRow = (DocumentRole, &'static str, &'static str, Makes, &'static str);

/// The word for a document that is not wanted.
const NONE: &str = "none";

/// The documents of a kit, in the order they are made; the overview tells of all others.
const DOCUMENTS: [PlanRow; 7] = [
    // The labels' layout may also stand under `defaults`.
    (DocumentRole::Labels, "labels", "labels.pdf", Makes::Label, USUAL_LABEL),
    (DocumentRole::Cards, "bench_cards", "bench-cards.pdf", Makes::BenchCard, "bench-cards-4x6in"),
    (DocumentRole::Slips, "slips", "slips.pdf", Makes::Slip, "slip-a4"),
    (DocumentRole::Inserts, "inserts", "inserts.pdf", Makes::Insert, "thank-you-a6"),
    (DocumentRole::Customs, "customs_sheets", "customs-sheets.pdf", Makes::Slip, NONE),
    (DocumentRole::Handover, "handover_list", "handover-list.pdf", Makes::List, "handover-list-a4"),
    (DocumentRole::Overview, "overview", "overview.pdf", Makes::List, "overview-a4"),
];

/// A document of a kit.
pub(super) struct Planned {
    /// What it is for.
    pub(super) role: DocumentRole,
    /// How it is made.
    pub(super) job: DocumentJob,
}

/// Opens the layouts of all documents that are wanted; they go into `folder`.
///
/// # Errors
/// When something is wrong with a layout, or with the shop file's choice.
pub(super) fn open_plan(inputs: &mut Inputs, folder: &Path) -> Result<Vec<Planned>, Halt> {
    let mut planned = Vec::new();
    for row in DOCUMENTS {
        let (role, field, file, _, _) = row;
        let choices = inputs.shop.iter().flat_map(|shop| &shop.kit.layouts);
        let choice = choices.into_iter().find(|choice| choice.field == field).cloned();
        if let Some(open) = open_choice(inputs, &row, choice.as_ref())? {
            let (path, title) = (folder.join(file), Some(role.title()));
            let job = DocumentJob { open, path, format: Format::Pdf, title };
            planned.push(Planned { role, job });
        }
    }
    Ok(planned)
}

/// Opens the layout of one document; none when it is not wanted.
fn open_choice(
    inputs: &mut Inputs,
    (role, _, _, makes, usual): &PlanRow,
    choice: Option<&KitLayout>,
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
