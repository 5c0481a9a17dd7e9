//! What would be printed of a line, as pages to look at.
//!
//! In: what has to be printed of each parcel. Out: the pages of every document, also those on which
//! something is wrong. Nothing is written. Not here: what has to be printed (`compare`).

use super::make::LineMaker;
use crate::bind::KitContents;
use crate::cli::documents::Material;
use crate::cli::halt::Halt;
use crate::cli::kit::plan::{DocumentRole, Planned};
use crate::findings::Finding;
use crate::job::drop_echoes;
use crate::pipeline::watch_selection;
use crate::scene::Page;

/// A document as it would be printed.
#[derive(Debug)]
pub(crate) struct DrawnDocument {
    /// What it is called in the kit.
    pub(crate) file: String,
    /// The paper it goes on.
    pub(crate) stock: String,
    /// Its pages; none when nothing of it has to be printed.
    pub(crate) pages: Vec<Page>,
}

/// What would be printed of a line, drawn.
#[derive(Debug)]
pub(crate) struct DrawnLine {
    /// Those that a kit would have, in its order.
    pub(crate) documents: Vec<DrawnDocument>,
    /// What was found on their pages.
    pub(crate) findings: Vec<Finding>,
}

/// Draws all documents but the overview, which tells of the others once they are made.
///
/// # Errors
/// When a layout cannot be used.
pub(super) fn draw_documents(maker: &LineMaker<'_>) -> Result<DrawnLine, Halt> {
    let mut drawn = DrawnLine { documents: Vec::new(), findings: Vec::new() };
    for Planned { role, job, .. } in maker.planned {
        let layout = &job.open.layout;
        let stock = layout.sheet.as_ref().map_or(&layout.page.stock, |sheet| &sheet.stock);
        let file = job.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let mut document = DrawnDocument { file, stock: stock.name.clone(), pages: Vec::new() };
        let selection = maker.choose(*role, job).filter(|_| *role != DocumentRole::Overview);
        if let Some(selection) = &selection {
            let batch = &maker.number_printings(*role);
            let (inputs, setup) = (maker.inputs, maker.setup);
            let material =
                Material { inputs, setup, batch, selection, kit: &KitContents::default() };
            let mut watch = watch_selection(batch, selection);
            let drafted = material.draft(&job.open, &material.disk(&job.open), &mut watch)?;
            document.pages = drafted.pages;
            drawn.findings.extend(drafted.findings);
            drawn.findings.extend(watch.finish());
        }
        drawn.documents.push(document);
    }
    drop_echoes(&mut drawn.findings);
    Ok(drawn)
}
