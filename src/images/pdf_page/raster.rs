//! An imported page as pixels, for formats that cannot hold a page of a PDF.
//!
//! In: an [`ImportedPage`], the piece that is shown and the wanted pixels. Out: grey pixels, drawn by
//! `render` in a build with the feature `draw`; any other build has no renderer, and says so. Not
//! here: black and white, and where the pixels go.

use std::sync::{Arc, Mutex, PoisonError};

use super::super::picture::GrayImage;
#[cfg(feature = "draw")]
use super::render::draw_pixels;
use super::{ImportedPage, PageCut};
use crate::limits::{DRAWN_BYTES, DRAWN_DASHES, DRAWN_DEPTH, DRAWN_PIXELS, DRAWN_STEPS};

/// Whether this build can draw pages of other PDFs.
pub const DRAWS_PAGES: bool = cfg!(feature = "draw");

/// The most pixels that are drawn at once: an A4 page at 800 dpi; each takes four bytes meanwhile.
pub(super) const MOST_PIXELS: u64 = 64_000_000;

/// Why a page cannot be drawn as pixels.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PageDrawError {
    /// There would be none, or more than is reasonable.
    Pixels {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// Drawing it would take more than a page of print ever does.
    Toil(DrawnToil),
    /// The renderer gave up on what the page holds.
    Unreadable,
    /// This build has no renderer: it was made without the feature `draw`.
    NoRenderer,
}

/// What drawing a page would take too much of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DrawnToil {
    /// Forms that stand in one another.
    Depth,
    /// Operators and letters, counted as often as their forms are drawn.
    Steps,
    /// Dashes of lines.
    Dashes,
    /// Pixels of pictures.
    Pixels,
    /// Bytes that streams are unpacked to.
    Bytes,
    /// A picture packed in a way that is not unpacked here.
    Packing,
}

impl DrawnToil {
    /// What there is too much of, with the limit.
    fn words(self) -> String {
        match self {
            DrawnToil::Depth => format!("forms in one another more than {DRAWN_DEPTH} deep"),
            DrawnToil::Steps => format!("more than {DRAWN_STEPS} steps, its forms repeated"),
            DrawnToil::Dashes => format!("lines of more than {DRAWN_DASHES} dashes"),
            DrawnToil::Pixels => {
                format!("pictures of more than {} million pixels", DRAWN_PIXELS / 1_000_000)
            }
            DrawnToil::Bytes => {
                format!("more than {} million bytes to be unpacked", DRAWN_BYTES / 1_000_000)
            }
            DrawnToil::Packing => String::from("a picture packed as JPEG 2000 or JBIG2"),
        }
    }
}

impl std::fmt::Display for PageDrawError {
    /// The error as the end of a sentence about the page.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            PageDrawError::Pixels { width, height } => write!(
                f,
                "expected from 1 to {} million dots, found {width} × {height}",
                MOST_PIXELS / 1_000_000
            ),
            PageDrawError::Toil(toil) => write!(f, "it asks for {}", toil.words()),
            PageDrawError::Unreadable => f.write_str("something on it cannot be drawn as dots"),
            PageDrawError::NoRenderer => {
                f.write_str("this build has no renderer for pages of PDFs")
            }
        }
    }
}

impl std::error::Error for PageDrawError {}

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
