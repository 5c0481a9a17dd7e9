//! The page as a coordinate system of printer dots, and how far filled boxes stop short.
//!
//! In: a page's size and dot grid. Out: a [`Frame`] that turns millimetres and dots into the
//! numbers of a content stream. Inside a content stream one unit is one printer dot, the origin is
//! the top left corner and y grows upwards, so whatever is on the page has a negative y and
//! whatever is on the dot grid is a whole number.
//!
//! A rasteriser that paints every pixel it touches gains a dot on a box that ends exactly on a dot
//! line. So boxes stop a sliver short of it on each side, little enough that a rasteriser that
//! asks for a pixel's centre paints the same dots.
//!
//! A page need not be a whole number of dots high (152.4 mm are 1219.2 dots of 1/8 mm), and then
//! rasterisers disagree on where the dot rows lie: poppler and mupdf count them from the top edge,
//! as our grid does; ghostscript makes the page a whole number of rows high and counts them from
//! the bottom edge, which moves its rows by up to half a dot. A box must stay inside the dots of
//! both, so at the one end the sliver grows by that difference.

use crate::geom::{DotGrid, Mm, Rect, Size};

use super::super::cells::Cells;

/// How far a box stops short of the outer dot lines of its dots, in dots: clear of what 32-bit
/// floats and three decimals lose on a page of 7,000 dots.
const SLIVER: f64 = 0.02;

/// The most that a box may stop short of a dot line and still cover the centre of its dot, in
/// dots. A page whose height is half a dot off a whole number comes out right where rows count
/// from the top, and may not elsewhere.
const DEEPEST_SLIVER: f64 = 0.48;

/// How far boxes stop short of their dots, in dots and in steps of a hundredth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Slivers {
    /// At the left and the right.
    pub(super) side: f64,
    /// Below the upper edge of the box.
    pub(super) top: f64,
    /// Above its lower edge.
    pub(super) bottom: f64,
}

impl Slivers {
    /// The slivers of a page that is `rows` dots high, fractions included.
    fn new(rows: f64) -> Slivers {
        // How much lower the rows lie that are counted from the bottom of a whole number of rows.
        let lower = rows - (rows + 0.5).floor();
        // Up to whole hundredths, which is what is written.
        let up = |shift: f64| (shift * 100.0 - 1e-6).ceil().max(0.0) / 100.0;
        let deep = |shift: f64| (up(shift) + SLIVER).min(DEEPEST_SLIVER);
        // Page heights are rounded too; a thousandth of a dot is no shift.
        let lower = if lower.abs() < 0.001 { 0.0 } else { lower };
        Slivers { side: SLIVER, top: deep(lower), bottom: deep(-lower) }
    }
}

/// A box of a content stream: its lower left corner and its extent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct StreamBox {
    /// The left edge.
    pub(super) x: f64,
    /// The lower edge.
    pub(super) y: f64,
    /// Extent to the right.
    pub(super) width: f64,
    /// Extent upwards.
    pub(super) height: f64,
}

/// A page's coordinate system.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    /// What boxes are snapped to.
    pub(super) grid: DotGrid,
    /// The page's height in points, as the boxes of the page state it.
    pub(super) height: f64,
    /// How far boxes stop short of their dots.
    pub(super) slivers: Slivers,
}

impl Frame {
    /// The coordinate system of a page of this size.
    pub(super) fn new(size: Size, grid: DotGrid) -> Frame {
        let slivers = Slivers::new(grid.dots(size.height));
        Frame { grid, height: to_points(size.height), slivers }
    }

    /// How many points a dot is wide, such as 0.354 at 203.2 dots an inch.
    pub(super) fn points_per_dot(&self) -> f64 {
        self.grid.length(1.0).to_pt()
    }

    /// A place's x.
    pub(super) fn x(&self, x: Mm) -> f64 {
        self.grid.dots(x)
    }

    /// A place's y.
    pub(super) fn y(&self, y: Mm) -> f64 {
        -self.grid.dots(y)
    }

    /// The box to fill so that exactly these dots are painted.
    pub(super) fn fill(&self, dots: Cells) -> StreamBox {
        let Slivers { side, top, bottom } = self.slivers;
        StreamBox {
            x: f64::from(dots.x) + side,
            y: bottom - f64::from(dots.y) - f64::from(dots.height),
            width: f64::from(dots.width) - 2.0 * side,
            height: f64::from(dots.height) - top - bottom,
        }
    }

    /// The box of a picture, kept a sliver inside, because an edge on a dot line would give it a
    /// row or a column more. Rows counted from the bottom need no more: they ask for centres.
    pub(super) fn picture(&self, rect: Rect) -> StreamBox {
        let width = self.grid.dots(rect.width) - 2.0 * SLIVER;
        let height = self.grid.dots(rect.height) - 2.0 * SLIVER;
        let (x, y) = (self.x(rect.x) + SLIVER, self.y(rect.bottom()) + SLIVER);
        StreamBox { x, y, width: width.max(0.0), height: height.max(0.0) }
    }
}

/// A length in points, to a ten-thousandth of a point (35 nm).
pub(super) fn to_points(length: Mm) -> f64 {
    (length.to_pt() * 10_000.0).round() / 10_000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The slivers of a page so high at so many dots in an inch.
    fn slivers(height_mm: f64, dpi: f64) -> Slivers {
        let grid = DotGrid::from_dpi(dpi).unwrap();
        Frame::new(Size::new(Mm(100.0), Mm(height_mm)), grid).slivers
    }

    #[test]
    fn whole_pages_need_the_sliver_only() {
        for (height, dpi) in [(100.0, 203.2), (150.0, 203.2), (152.4, 300.0), (297.0, 203.2)] {
            assert_eq!(slivers(height, dpi), Slivers { side: 0.02, top: 0.02, bottom: 0.02 });
        }
    }

    #[test]
    fn broken_pages_stay_inside_both_grids() {
        // 1219.2 rows become 1219, whose rows lie 0.2 dot lower.
        assert_eq!(slivers(152.4, 203.2), Slivers { side: 0.02, top: 0.22, bottom: 0.02 });
        // 1771.65 rows become 1772, whose rows lie 0.35 dot higher.
        assert_eq!(slivers(150.0, 300.0), Slivers { side: 0.02, top: 0.02, bottom: 0.37 });
    }

    #[test]
    fn any_box_covers_the_centres_of_its_dots() {
        for step in 0..1000 {
            let rows = 1000.0 + f64::from(step) / 1000.0;
            let Slivers { top, bottom, .. } = Slivers::new(rows);
            assert!(top < 0.5 && bottom < 0.5, "{rows}: {top} {bottom}");
        }
    }
}
