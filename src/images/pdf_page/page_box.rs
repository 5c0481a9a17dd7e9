//! The part of a page that is shown, its turn and its true size.
//!
//! In: a page's boxes, `Rotate` and `UserUnit`. Out: a [`PageBox`], with the matrices that bring
//! the page upright and into a box of ours. Not here: what is on the page.

use super::error::{PdfImportError, Result, broken};
use super::limits::{LONGEST_SIDE, SHORTEST_SIDE};
use super::object::Dict;
use super::reader::ObjectReader;
use crate::geom::{Mm, Size};

/// A transformation in PDF's order: x' = a·x + c·y + e, y' = b·x + d·y + f.
pub(super) type Matrix = [f64; 6];

/// The transformation that changes nothing.
pub(super) const IDENTITY: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];

/// An upright box with its lower left and upper right corners, in a page's own units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bounds {
    /// Left edge.
    pub(super) left: f64,
    /// Lower edge.
    pub(super) bottom: f64,
    /// Right edge.
    pub(super) right: f64,
    /// Upper edge.
    pub(super) top: f64,
}

impl Bounds {
    /// The box that two opposite corners span, in whatever order they are given
    /// (ISO 32000-1 §7.9.5).
    pub(super) fn spanned(values: [f64; 4]) -> Bounds {
        let [x1, y1, x2, y2] = values;
        Bounds { left: x1.min(x2), bottom: y1.min(y2), right: x1.max(x2), top: y1.max(y2) }
    }

    /// Extent from left to right.
    pub(super) fn width(self) -> f64 {
        self.right - self.left
    }

    /// Extent from bottom to top.
    pub(super) fn height(self) -> f64 {
        self.top - self.bottom
    }

    /// Whether both sides are longer than nothing.
    pub(super) fn has_area(self) -> bool {
        self.width() > 0.0 && self.height() > 0.0
    }

    /// The part common to both boxes; without area when there is none.
    pub(super) fn common(self, other: Bounds) -> Bounds {
        Bounds {
            left: self.left.max(other.left),
            bottom: self.bottom.max(other.bottom),
            right: self.right.min(other.right),
            top: self.top.min(other.top),
        }
    }

    /// The upright box round this one after a transformation.
    pub(super) fn transformed(self, m: Matrix) -> Bounds {
        let corner = |x: f64, y: f64| (m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]);
        let corners = [
            corner(self.left, self.bottom),
            corner(self.right, self.bottom),
            corner(self.left, self.top),
            corner(self.right, self.top),
        ];
        let over = |pick: fn(f64, f64) -> f64, start: f64| {
            corners.iter().fold((start, start), |(x, y), at| (pick(x, at.0), pick(y, at.1)))
        };
        let (left, bottom) = over(f64::min, f64::INFINITY);
        let (right, top) = over(f64::max, f64::NEG_INFINITY);
        Bounds { left, bottom, right, top }
    }

    /// Its corners as a file writes them.
    pub(super) fn corners(self) -> [f64; 4] {
        [self.left, self.bottom, self.right, self.top]
    }
}

/// What of a page is shown, and how.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PageBox {
    /// The part shown, in the page's own units.
    pub(super) shown: Bounds,
    /// Quarter turns clockwise that bring it upright: 0 to 3.
    pub(super) turns: u8,
    /// Points in one of the page's units; 1 by default.
    pub(super) unit: f64,
}

impl PageBox {
    /// Reads it from a page's entries.
    pub(super) fn read(reader: &mut ObjectReader<'_>, page: &Dict) -> Result<PageBox> {
        let media = read_bounds(reader, page, "MediaBox")?;
        let media = media.ok_or_else(|| broken("the page has no size (`MediaBox`)"))?;
        // Parts of the crop box outside the media box do not count (§14.11.2.1); one that lies
        // there entirely is ignored, as viewers do.
        let crop = read_bounds(reader, page, "CropBox")?.map(|crop| crop.common(media));
        let page_box = PageBox {
            shown: crop.filter(|crop| crop.has_area()).unwrap_or(media),
            turns: read_turns(reader, page)?,
            unit: read_unit(reader, page)?,
        };
        let size = page_box.size();
        let possible = |side: Mm| (SHORTEST_SIDE.0..=LONGEST_SIDE.0).contains(&side.0);
        if possible(size.width) && possible(size.height) {
            Ok(page_box)
        } else {
            Err(PdfImportError::AbsurdSize { size })
        }
    }

    /// Width and height upright, in the page's own units.
    pub(super) fn upright(&self) -> (f64, f64) {
        let (width, height) = (self.shown.width(), self.shown.height());
        if self.turns.is_multiple_of(2) { (width, height) } else { (height, width) }
    }

    /// Width and height upright, as paper.
    pub(super) fn size(&self) -> Size {
        let (width, height) = self.upright();
        Size::new(Mm::from_pt(width * self.unit), Mm::from_pt(height * self.unit))
    }

    /// The transformation that brings the part shown upright with its lower left corner at 0, 0.
    /// Lengths stay as they are, so that its numbers are exact in any reader.
    pub(super) fn to_upright(self) -> Matrix {
        let Bounds { left, bottom, right, top } = self.shown;
        match self.turns {
            0 => [1.0, 0.0, 0.0, 1.0, -left, -bottom],
            1 => [0.0, -1.0, 1.0, 0.0, -bottom, right],
            2 => [-1.0, 0.0, 0.0, -1.0, right, top],
            _ => [0.0, 1.0, -1.0, 0.0, top, -left],
        }
    }
}

/// Four numbers under `key` as a box; none when the entry is missing.
pub(super) fn read_bounds(
    reader: &mut ObjectReader<'_>,
    dict: &Dict,
    key: &str,
) -> Result<Option<Bounds>> {
    if dict.get(key).is_none() {
        return Ok(None);
    }
    let values = read_numbers::<4>(reader, dict, key)?;
    let values = values.ok_or_else(|| broken(format!("expected four numbers for `{key}`")))?;
    Ok(Some(Bounds::spanned(values)))
}

/// The `N` numbers of the array under `key`; none when they are not that.
pub(super) fn read_numbers<const N: usize>(
    reader: &mut ObjectReader<'_>,
    dict: &Dict,
    key: &str,
) -> Result<Option<[f64; N]>> {
    let mut numbers = [0.0; N];
    let values = reader.list(dict, key)?;
    if values.len() < N {
        return Ok(None);
    }
    for (number, value) in numbers.iter_mut().zip(&values) {
        match reader.resolve(value)?.object.number() {
            Some(value) => *number = value,
            None => return Ok(None),
        }
    }
    Ok(Some(numbers))
}

/// The quarter turns that `Rotate` asks for.
fn read_turns(reader: &mut ObjectReader<'_>, page: &Dict) -> Result<u8> {
    let Some(value) = reader.get(page, "Rotate")? else { return Ok(0) };
    let degrees = value.object.number().unwrap_or(f64::NAN);
    let turns = degrees.rem_euclid(360.0) / 90.0;
    if turns.fract() == 0.0 {
        Ok(turns as u8)
    } else {
        Err(broken("the page is turned by something else than quarters (`Rotate`)"))
    }
}

/// The points in a unit that `UserUnit` asks for; it is not inherited (table 30).
fn read_unit(reader: &mut ObjectReader<'_>, page: &Dict) -> Result<f64> {
    let Some(value) = reader.get(page, "UserUnit")? else { return Ok(1.0) };
    let unit = value.object.number().filter(|unit| *unit > 0.0);
    unit.ok_or_else(|| broken("the page's unit is not a length (`UserUnit`)"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_turn_brings_the_corners_to_the_corners() {
        let shown = Bounds::spanned([10.0, 220.0, 110.0, 20.0]);
        for (turns, first) in
            [(0, (0.0, 0.0)), (1, (0.0, 100.0)), (2, (100.0, 200.0)), (3, (200.0, 0.0))]
        {
            let page_box = PageBox { shown, turns, unit: 2.0 };
            let (width, height) = page_box.upright();
            let matrix = page_box.to_upright();
            let upright = shown.transformed(matrix);
            assert_eq!(upright, Bounds { left: 0.0, bottom: 0.0, right: width, top: height });
            // Where the lower left corner goes when the page is turned clockwise.
            let corner = Bounds::spanned([10.0, 20.0, 10.0, 20.0]).transformed(matrix);
            assert_eq!((corner.left, corner.bottom), first, "{turns} turns");
        }
    }
}
