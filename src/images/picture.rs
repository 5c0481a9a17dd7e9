//! What pictures are to the engine: grey or coloured pixels, printer dots or outlines.
//!
//! Every decoder makes one of these, and every writer takes them. Not here: what a file is allowed
//! to hold.

use std::sync::Arc;

use super::error::{ImageError, ImageFormat};
use crate::colour::Rgb;
use crate::geom::{FillRule, Segment};
use crate::limits::PICTURE_PIXELS;

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

/// Coloured pixels.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ColourImage {
    /// Pixels across; at least 1.
    pub width: u32,
    /// Pixels down; at least 1.
    pub height: u32,
    /// Red, green and blue of each pixel in sRGB, row by row from the top.
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

/// A raster picture, in colour, grey or of one bit.
#[derive(Clone, Debug)]
pub enum Raster {
    /// Grey pixels, for writers that can show them.
    Gray(GrayImage),
    /// Coloured pixels, for paper whose printer has more than black.
    Colour(ColourImage),
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
    /// Its colour, where there are more inks than black.
    pub colour: Rgb,
}

/// Refuses a picture without pixels or above [`PICTURE_PIXELS`].
pub(super) fn check_pixels(format: ImageFormat, width: u32, height: u32) -> Result<(), ImageError> {
    match u64::from(width) * u64::from(height) {
        0 => Err(ImageError::Damaged { format, detail: "it has no pixels".to_owned() }),
        pixels if pixels > PICTURE_PIXELS => Err(ImageError::TooManyPixels { width, height }),
        _ => Ok(()),
    }
}
