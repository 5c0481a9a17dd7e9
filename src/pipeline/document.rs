//! What a document is made from, and what making it came to.

use std::num::NonZeroUsize;

use super::made::ParcelDigest;
use super::selection::Selection;
use crate::batch::Batch;
use crate::bind::KitContents;
use crate::compose::PictureStore;
use crate::fields::Day;
use crate::findings::Finding;
use crate::fonts::FontBook;
use crate::geom::{DotGrid, Mm};
use crate::layout::Layout;
use crate::shop::Shop;
#[cfg(feature = "proof")]
use crate::verify::{ProofTally, Proofing};

/// Everything one document is made from.
pub struct Document<'a> {
    /// The parcels.
    pub batch: &'a Batch,
    /// The seller, if there is a shop file.
    pub shop: Option<&'a Shop>,
    /// The layout that every page is made by.
    pub layout: &'a Layout,
    /// The fonts; a document that names a family that is not among them is refused.
    pub book: &'a FontBook,
    /// The layout's pictures.
    pub pictures: &'a PictureStore<'a>,
    /// The printer's dots, if the user says them.
    pub grid: Option<DotGrid>,
    /// How many threads compose; `None`: one a core. Without the feature `threads`, one.
    pub threads: Option<NonZeroUsize>,
    /// How pages are proven; `None`: they are not.
    #[cfg(feature = "proof")]
    pub proof: Option<Proofing>,
    /// Which parcels are printed, and in what order; a list is about all of them anyhow.
    pub selection: Selection,
    /// What else is in the kit, for its overview; nothing when there is no kit.
    pub kit: KitContents,
    /// The day of printing, for layouts that print it; without it that is an error.
    pub date: Option<Day>,
}

impl<'a> Document<'a> {
    /// All parcels of a batch in a layout, in bench order: without a shop file, on the dots that the
    /// stock is usually printed with, on all cores, unproven.
    #[must_use]
    pub fn new(
        batch: &'a Batch,
        layout: &'a Layout,
        book: &'a FontBook,
        pictures: &'a PictureStore<'a>,
    ) -> Document<'a> {
        Document {
            batch,
            shop: None,
            layout,
            book,
            pictures,
            grid: None,
            threads: None,
            #[cfg(feature = "proof")]
            proof: None,
            selection: Selection::default(),
            kit: KitContents::default(),
            date: None,
        }
    }
}

/// What a run found.
#[derive(Debug, Default)]
pub struct Outcome {
    /// Pages handed over, or that would have been.
    pub pages: usize,
    /// Everything found, repeats folded.
    pub findings: Vec<Finding>,
    /// Places in the batch, from 0, of the parcels with errors.
    pub faulty: Vec<usize>,
    /// Whether a page has errors, and so the document is not to be used.
    pub failed: bool,
    /// The lowest capitals of any tag; how far all tags can be read follows.
    pub tag_capitals: Option<Mm>,
    /// What tells whether a parcel's pages print as they did, of those parcels that have pages; empty
    /// unless asked for ([`super::Run::with_digests`]).
    pub digests: Vec<ParcelDigest>,
    /// What the proof came to; empty when nothing was to be proven.
    #[cfg(feature = "proof")]
    pub proof: ProofTally,
}
