//! The finished pages of one step, with all that was found on them.
//!
//! Not here: how pages are made (`leaf`), and in what order they are handed over (`rounds`).

use crate::digest::PageDigest;
use crate::findings::Finding;
use crate::geom::Mm;
use crate::preflight::PageFacts;
#[cfg(feature = "proof")]
use crate::verify::ProvenPage;

/// The finished pages of one parcel, or one sheet of several, with what was found on them.
pub(super) struct MadePages<T> {
    /// What the caller made of the pages; none when something on them is wrong.
    pub(super) outputs: Vec<T>,
    /// What was found.
    pub(super) findings: Vec<Finding>,
    /// What the check of the batch needs of the pages.
    pub(super) facts: Vec<PageFacts>,
    /// Places in the batch of the parcels with errors.
    pub(super) faulty: Vec<usize>,
    /// Whether anything on the pages is an error.
    pub(super) failed: bool,
    /// The lowest capitals of its tags.
    pub(super) tag_capitals: Option<Mm>,
    /// What tells each parcel's pages from others; none unless the run was asked for it.
    pub(super) digests: Vec<ParcelDigest>,
    /// The codes that were proven, page by page.
    #[cfg(feature = "proof")]
    pub(super) proven: Vec<ProvenPage>,
}

impl<T> Default for MadePages<T> {
    /// No pages, and nothing found.
    fn default() -> MadePages<T> {
        MadePages {
            outputs: Vec::new(),
            findings: Vec::new(),
            facts: Vec::new(),
            faulty: Vec::new(),
            failed: false,
            tag_capitals: None,
            digests: Vec::new(),
            #[cfg(feature = "proof")]
            proven: Vec::new(),
        }
    }
}

/// What tells whether a parcel's pages print as they did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ParcelDigest {
    /// The parcel's number.
    pub position: usize,
    /// The digest of its pages, without the words that say on what occasion they are printed.
    pub digest: PageDigest,
}

impl ParcelDigest {
    /// Adds it to those of other parcels, or to that of another part of its own parcel.
    pub(super) fn join(self, digests: &mut Vec<ParcelDigest>) {
        match digests.last_mut().filter(|last| last.position == self.position) {
            Some(last) => last.digest = last.digest.with(self.digest),
            None => digests.push(self),
        }
    }
}
