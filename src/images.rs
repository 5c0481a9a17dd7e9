//! Pictures: the bytes of a file in, pixels or outlines out.
//!
//! In: the bytes of a PNG, JPEG or SVG file; the content says which, not the name. Out: a
//! [`Picture`], either grey pixels ([`GrayImage`]) or filled outlines in millimetres
//! ([`Drawing`]), and from grey pixels the printer's own dots ([`resample()`], then [`dither()`]).
//! Whatever a file holds that black and white outlines cannot show is an error, never left out;
//! so is a damaged or cut-off file. Equal bytes give equal pixels on every machine; outlines are
//! rounded so that the platform's sines show in them as little as can be.
//! Not here: reading files, and the size and place a picture gets on a page.

mod dither;
mod error;
mod jpeg;
mod luma;
mod pdf_page;
mod picture;
mod png;
mod resample;
mod svg;

use crate::limits::{FILE_BYTES, SVG_BYTES};

pub use dither::dither;
pub use error::{ImageError, ImageFormat};
#[cfg(all(test, feature = "draw", feature = "command"))]
pub(crate) use pdf_page::contain;
#[cfg(all(feature = "draw", feature = "command"))]
pub(crate) use pdf_page::is_drawing;
pub use pdf_page::{
    ArchivalProblem, DRAWS_PAGES, DeviceColour, DrawnToil, ImportedPage, PageCut, PageDrawError,
    PageRemark, PdfFile, PdfIdentity, PdfImportError, SharedObjects, WrittenPage,
};
pub use picture::{BitImage, ColourImage, Drawing, GrayImage, Picture, Raster, Shape};
pub use resample::resample;

/// Reads a picture from the bytes of a file.
///
/// # Errors
/// When the bytes are no whole PNG, JPEG or SVG file, when a limit is exceeded, or when the file
/// holds something that cannot be shown; see [`ImageError`].
pub fn decode(bytes: &[u8]) -> Result<Picture, ImageError> {
    match ImageFormat::detect(bytes)? {
        ImageFormat::Png => {
            check_file_size(bytes, FILE_BYTES)?;
            png::decode_png(bytes).map(Picture::Raster)
        }
        ImageFormat::Jpeg => {
            check_file_size(bytes, FILE_BYTES)?;
            jpeg::decode_jpeg(bytes).map(Picture::Raster)
        }
        ImageFormat::Svg => {
            check_file_size(bytes, SVG_BYTES)?;
            svg::decode_svg(bytes).map(Picture::Drawing)
        }
    }
}

/// Reads a picture of pixels in colour; `None` when it has greys alone, or is a drawing, whose shapes know
/// their colours.
///
/// # Errors
/// As [`decode`].
pub fn decode_colour(bytes: &[u8]) -> Result<Option<ColourImage>, ImageError> {
    match ImageFormat::detect(bytes)? {
        ImageFormat::Png => {
            check_file_size(bytes, FILE_BYTES)?;
            png::decode_colour_png(bytes)
        }
        ImageFormat::Jpeg => {
            check_file_size(bytes, FILE_BYTES)?;
            jpeg::decode_colour_jpeg(bytes)
        }
        ImageFormat::Svg => Ok(None),
    }
}

/// Refuses a file above `limit` bytes.
fn check_file_size(bytes: &[u8], limit: usize) -> Result<(), ImageError> {
    match bytes.len() > limit {
        true => Err(ImageError::FileTooLarge { bytes: bytes.len(), limit }),
        false => Ok(()),
    }
}
