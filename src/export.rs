//! Finished pages into files.
//!
//! In: a scene's [`Page`](crate::scene::Page)s and the fonts they name. Out: a PDF for the printer
//! ([`PdfEncoder`], [`PdfWriter`]), an SVG for the screen ([`render_svg`]), or one bit a printer
//! dot ([`rasterise`], [`Bitmap`]); and what must be found in any of them ([`expect_page`]). The
//! three share no state, only the geometry of codes (`marks`) and how numbers are written.
//! Not here: judging what a page looks like (`preflight`, `verify`), files and folders (`cli`).

mod decimal;
mod expected;
mod marks;
mod pdf;
mod png;
mod svg;

pub use expected::{expect_page, list_modules};
pub use pdf::{
    Duplex, EncodedPage, PdfDate, PdfEncoder, PdfError, PdfOptions, PdfWriter, write_pdf,
};
pub use png::{Bitmap, rasterise, render_png};
pub use svg::{SvgOptions, render_svg};
