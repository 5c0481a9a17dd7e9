//! Finished pages into files.
//!
//! In: a scene's [`Page`](crate::scene::Page)s and the fonts they name. Out: a PDF for the printer
//! ([`PdfEncoder`], [`PdfWriter`]), an SVG for the screen ([`render_svg`]), or one bit a printer
//! dot ([`rasterise`], [`Bitmap`]), as a PNG or as the raster that printers take ([`encode_pwg_page`]);
//! and what must be found in any of them ([`expect_page`]). They share no state, only the geometry of
//! codes (`marks`), how numbers are written, and the dots.
//! Not here: judging what a page looks like (`preflight`, `verify`), files and folders (`cli`).

mod cells;
mod dark_boxes;
mod decimal;
mod expected;
mod marks;
mod pdf;
mod png;
mod pwg;
mod svg;

pub use expected::{expect_page, list_modules};
#[cfg(feature = "command")]
pub(crate) use marks::has_colour;
pub use pdf::{
    Duplex, EncodedPage, PdfDate, PdfEncoder, PdfError, PdfOptions, PdfWriter, write_pdf,
};
pub use png::{Bitmap, rasterise, render_png};
pub use pwg::{
    PWG_START, PwgBacks, PwgFile, PwgLay, PwgOptions, PwgPage, PwgPixels, PwgSending,
    encode_pwg_page,
};
pub use svg::{SvgOptions, render_svg};
