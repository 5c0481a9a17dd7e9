//! The dots of a document beside its PDF, for a print queue that takes them.
//!
//! In: pages as they go into the PDF. Out: a PWG Raster file next to it, of the same name, or none where
//! a page cannot be drawn by us: pages of other PDFs are only carried over, and dots have no colour. Not here: printing (`print`).

use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use crate::cli::files::{Pending, Settled};
use crate::export::{PWG_START, PwgOptions, encode_pwg_page, has_colour};
use crate::fonts::FontBook;
use crate::scene::{MarkKind, Page};

/// Dots that are being written.
pub(super) struct DotsBeside {
    /// Where they go; none once a page could not be drawn.
    pending: Option<Pending>,
}

/// The file of dots that belongs to a PDF.
pub(crate) fn dots_of(pdf: &Path) -> PathBuf {
    pdf.with_extension("pwg")
}

/// A page's dots; none when it holds a page of another PDF, or colour.
///
/// # Errors
/// When it is smaller than a dot.
pub(super) fn draw_page(
    page: &Page,
    book: &FontBook,
    options: &PwgOptions,
) -> io::Result<Option<Vec<u8>>> {
    let is_foreign = page.marks.iter().any(|mark| matches!(mark.kind, MarkKind::Foreign(_)));
    // Dots are black alone.
    match is_foreign || has_colour(page) {
        true => Ok(None),
        false => encode_pwg_page(page, book, options).map(Some),
    }
}

impl DotsBeside {
    /// Begins a file beside a PDF.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(super) fn begin(pdf: &Path) -> io::Result<DotsBeside> {
        let mut pending = Pending::create(&dots_of(pdf))?;
        pending.write_all(&PWG_START)?;
        Ok(DotsBeside { pending: Some(pending) })
    }

    /// Adds a page; after one without dots there will be no file.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(super) fn push(&mut self, page: Option<Vec<u8>>) -> io::Result<()> {
        match (page, &mut self.pending) {
            (Some(page), Some(pending)) => pending.write_all(&page),
            _ => {
                self.pending = None;
                Ok(())
            }
        }
    }

    /// The file, which only has to appear; none when a page had no dots.
    ///
    /// # Errors
    /// When the last bytes cannot be written.
    pub(super) fn settle(self) -> io::Result<Option<Settled>> {
        self.pending.map(Pending::settle).transpose()
    }
}
