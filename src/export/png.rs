//! Finished pages into one bit a printer dot, and into PNG files of that.
//!
//! In: a [`Page`] of a scene and its fonts. Out: a [`Bitmap`], which verify and the tests look at,
//! or a PNG whose pixels are the printer's dots. Not here: dithering (`images`), judging the
//! result (`verify`).

mod bitmap;
mod file;
mod raster;
mod scan;

use std::io;

use crate::fonts::FontBook;
use crate::scene::Page;

pub use bitmap::Bitmap;
pub(super) use file::encode_picture;
pub use raster::rasterise;

/// Draws a page as a PNG of one bit a printer dot.
///
/// # Errors
/// When the page is smaller than a dot.
pub fn render_png(page: &Page, book: &FontBook) -> io::Result<Vec<u8>> {
    file::encode_page(&rasterise(page, book), page.grid)
}
