//! An imported page as pixels, for formats that cannot hold a page of a PDF.
//!
//! In: an [`ImportedPage`], the piece that is shown and the wanted pixels. Out: grey pixels, drawn by
//! `render` in a build with the feature `draw`; any other build has no renderer, and says so. Not
//! here: black and white, and where the pixels go.

use std::sync::{Arc, Mutex, PoisonError};

use super::super::picture::GrayImage;
use super::draw_error::PageDrawError;
#[cfg(feature = "draw")]
use super::render::draw_pixels;
use super::{ImportedPage, PageCut};

/// Whether this build can draw pages of other PDFs.
pub const DRAWS_PAGES: bool = cfg!(feature = "draw");

/// The last drawing of a page, kept because a page is mostly drawn again just as before.
pub(super) type LastDrawing = Arc<Mutex<Option<(PageCut, Arc<GrayImage>)>>>;

impl ImportedPage {
    /// A piece of the page in `width` × `height` grey pixels on white.
    ///
    /// # Errors
    /// When there are too many pixels, the page holds what the renderer cannot take, or there is no
    /// renderer.
    pub fn draw(
        &self,
        cut: &PageCut,
        width: u32,
        height: u32,
    ) -> Result<Arc<GrayImage>, PageDrawError> {
        let mut last = self.drawing.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((known, drawing)) = &*last
            && known == cut
            && (drawing.width, drawing.height) == (width, height)
        {
            return Ok(Arc::clone(drawing));
        }
        let drawing = Arc::new(draw_pixels(self, cut, width, height)?);
        *last = Some((*cut, Arc::clone(&drawing)));
        Ok(drawing)
    }

    /// The bytes that its last drawing takes.
    #[must_use]
    pub fn drawn_bytes(&self) -> usize {
        let last = self.drawing.lock().unwrap_or_else(PoisonError::into_inner);
        last.as_ref().map_or(0, |(_, drawing)| drawing.pixels.len())
    }
}

/// Draws nothing: there is no renderer.
#[cfg(not(feature = "draw"))]
fn draw_pixels(
    _page: &ImportedPage,
    _cut: &PageCut,
    _width: u32,
    _height: u32,
) -> Result<GrayImage, PageDrawError> {
    Err(PageDrawError::NoRenderer)
}
