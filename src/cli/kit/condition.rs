//! For which parcels a document of the seller's own is made.
//!
//! In: the expression under `when`, as layouts have them. Out: whether it holds for a parcel. It is read
//! as the condition of a layout that has nothing else, so that it knows the same names and filters, and
//! says the same of one that is wrong. Not here: what is made (`maker`).

use std::path::Path;

use crate::batch::{Batch, Parcel};
use crate::bind::{Binder, ContextMaker};
use crate::cli::halt::Halt;
use crate::cli::inputs::Inputs;
use crate::findings::Finding;
use crate::layout::{Layout, read_layout};
use crate::shop::{KitDocumentPlan, Shop};
use crate::source::{NoFiles, Span};

/// A condition that has been read.
pub(super) struct Condition {
    /// A layout of nothing else, by which it is run.
    layout: Layout,
    /// Where it stands in the shop file.
    span: Span,
    /// The field that it stands in.
    path: String,
}

impl Condition {
    /// Reads the condition of a document, if it has one.
    ///
    /// # Errors
    /// What is wrong with it, at its place in the shop file.
    pub(super) fn read(
        inputs: &mut Inputs,
        document: &KitDocumentPlan,
    ) -> Result<Option<Condition>, Halt> {
        let Some((when, span)) = &document.when else { return Ok(None) };
        let when = serde_json::Value::from(&**when);
        let text = format!(
            "page: {{stock: 40x20mm}}\nmakes: label\nbody: {{text: \".\", when: {when}}}\n"
        );
        let name = format!("`when` of `{}`", document.name);
        let file = inputs.sources.add(name, text);
        let (layout, found) = read_layout(&mut inputs.sources, file, &NoFiles, Path::new(""));
        let path = format!("kit.documents.{}.when", document.name);
        match layout {
            Some(layout) => Ok(Some(Condition { layout, span: *span, path })),
            None => {
                let found = found.into_iter().map(|it| place_at(it, *span, &path)).collect();
                Err(Halt::unusable(found, &inputs.sources))
            }
        }
    }

    /// The parcels of a batch that it holds for, by their numbers.
    ///
    /// # Errors
    /// What is wrong with it for a parcel.
    pub(super) fn list_parcels(
        &self,
        batch: &Batch,
        shop: Option<&Shop>,
    ) -> Result<Vec<usize>, Vec<Finding>> {
        let binder = Binder::new(&self.layout);
        let asked = binder.variables();
        let maker = ContextMaker::new(batch, shop).in_layout(&self.layout, &asked).only(asked);
        let holds = |parcel: &Parcel| {
            let bound = binder.bind(&maker.make(parcel)).map_err(|found| {
                let place = |it| place_at(it, self.span, &self.path).subject(parcel.subject());
                found.into_iter().map(place).collect::<Vec<_>>()
            })?;
            Ok(bound.body.is_some().then_some(parcel.position))
        };
        let held: Result<Vec<Option<usize>>, Vec<Finding>> =
            batch.parcels.iter().map(holds).collect();
        Ok(held?.into_iter().flatten().collect())
    }
}

/// What was found in the layout that has the condition, where the seller wrote it.
fn place_at(finding: Finding, span: Span, path: &str) -> Finding {
    Finding { span: None, related: Vec::new(), ..finding }.at(span).path(path)
}
