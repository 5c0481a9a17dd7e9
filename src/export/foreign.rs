//! Pages of other PDFs as printer dots, for the formats that cannot hold them.
//!
//! In: a [`ForeignMark`] and the page's dots. Out: black and white dots. Not here: the PDF writer,
//! which carries such pages over as they are.

use crate::geom::{DotGrid, Rect};
use crate::images::{BitImage, dither};
use crate::scene::ForeignMark;

use super::marks::{Cells, snap_fill};

/// A page of another PDF in dots.
pub(super) struct ForeignDots {
    /// Where its dots lie.
    pub(super) cells: Cells,
    /// The dots.
    pub(super) bits: BitImage,
}

/// Draws a page of another PDF at the dots of its box. One that cannot be drawn becomes a frame
/// with a cross, which nobody takes for a finished page; composing reports it before.
pub(super) fn draw_foreign(foreign: &ForeignMark, grid: DotGrid) -> ForeignDots {
    let nowhere = Cells { x: 0, y: 0, width: 0, height: 0 };
    let cells = snap_fill(foreign.rect, grid).unwrap_or(nowhere);
    let (width, height) = (cells.width.unsigned_abs(), cells.height.unsigned_abs());
    let bits = match foreign.page.draw(&foreign.cut, width, height) {
        Ok(drawing) => dither(&drawing),
        Err(_) => cross_out(foreign.rect, grid),
    };
    ForeignDots { cells, bits }
}

/// A frame with a cross in it, as large as a box but never larger than a bitmap should be.
fn cross_out(rect: Rect, grid: DotGrid) -> BitImage {
    /// The most dots along a side.
    const MOST: u32 = 4000;
    let width = grid.whole_dots_within(rect.width).min(MOST);
    let height = grid.whole_dots_within(rect.height).min(MOST);
    let mut bits = BitImage::white(width, height);
    for y in 0..height {
        let across = u64::from(y) * u64::from(width) / u64::from(height.max(1));
        for x in 0..width {
            let edge = x == 0 || y == 0 || x + 1 == width || y + 1 == height;
            let on_cross = [across, u64::from(width) - 1 - across].contains(&u64::from(x));
            if edge || on_cross {
                bits.rows[y as usize * bits.stride + x as usize / 8] |= 0x80 >> (x % 8);
            }
        }
    }
    bits
}
