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
mod png;
mod resample;
mod svg;

use std::sync::Arc;

use crate::geom::{FillRule, Segment};
use crate::limits::{FILE_BYTES, PICTURE_PIXELS, SVG_BYTES};

pub use dither::dither;
pub use error::{ImageError, ImageFormat};
pub use pdf_page::{
    ArchivalProblem, DeviceColour, ImportedPage, PageCut, PageDrawError, PageRemark, PdfFile,
    PdfIdentity, PdfImportError, SharedObjects, WrittenPage,
};
pub use resample::resample;

/// A picture as the engine uses it.
#[derive(Clone, Debug)]
pub enum Picture {
    /// Pixels, from PNG or JPEG.
    Raster(GrayImage),
    /// Outlines, from SVG.
    Drawing(Drawing),
}

/// Grey pixels.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GrayImage {
    /// Pixels across; at least 1.
    pub width: u32,
    /// Pixels down; at least 1.
    pub height: u32,
    /// One byte a pixel, row by row from the top; 0 is black, 255 is white.
    pub pixels: Vec<u8>,
}

/// Black and white pixels, eight to a byte.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BitImage {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Bytes a row; the bits past the width are 0.
    pub stride: usize,
    /// The rows from the top; the highest bit of a byte is its leftmost pixel and 1 is black.
    pub rows: Vec<u8>,
}

impl BitImage {
    /// An all-white picture.
    #[must_use]
    pub fn white(width: u32, height: u32) -> BitImage {
        let stride = (width as usize).div_ceil(8);
        BitImage { width, height, stride, rows: vec![0; stride * height as usize] }
    }

    /// Whether the pixel at column `x`, row `y` is black; outside the picture all is white.
    #[must_use]
    pub fn get(&self, x: u32, y: u32) -> bool {
        let byte = y as usize * self.stride + x as usize / 8;
        x < self.width
            && y < self.height
            && self.rows.get(byte).is_some_and(|bits| bits & (0x80 >> (x % 8)) != 0)
    }
}

/// A raster picture, grey or of one bit.
#[derive(Clone, Debug)]
pub enum Raster {
    /// Grey pixels, for writers that can show them.
    Gray(GrayImage),
    /// Printer dots.
    Bits(BitImage),
}

/// Black and white vector art.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// Extent from left to right, in millimetres; above zero.
    pub width: f64,
    /// Extent from top to bottom, in millimetres; above zero.
    pub height: f64,
    /// The shapes in painting order, later over earlier; none reaches outside the extent.
    pub shapes: Vec<Shape>,
}

/// One filled outline of a drawing.
#[derive(Clone, Debug)]
pub struct Shape {
    /// The closed contours, in millimetres from the top left corner, y downwards.
    pub segments: Arc<[Segment]>,
    /// What is inside.
    pub rule: FillRule,
    /// Whether it is white (over something black) instead of black.
    pub white: bool,
}

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

/// Refuses a file above `limit` bytes.
fn check_file_size(bytes: &[u8], limit: usize) -> Result<(), ImageError> {
    match bytes.len() > limit {
        true => Err(ImageError::FileTooLarge { bytes: bytes.len(), limit }),
        false => Ok(()),
    }
}

/// Refuses a picture without pixels or above [`PICTURE_PIXELS`].
fn check_pixels(format: ImageFormat, width: u32, height: u32) -> Result<(), ImageError> {
    match u64::from(width) * u64::from(height) {
        0 => Err(ImageError::Damaged { format, detail: "it has no pixels".to_owned() }),
        pixels if pixels > PICTURE_PIXELS => Err(ImageError::TooManyPixels { width, height }),
        _ => Ok(()),
    }
}
