//! Lengths, points and boxes.
//!
//! Everything inside the engine is measured in [`Mm`], from the top left corner of the page,
//! y downwards. Points exist only in the PDF writer and in type sizes as the user writes them,
//! pixels only in the raster writers, and printer dots only where a [`DotGrid`] is at hand.
//! Not here: papers (`stock`) and anything that knows what lies in a box.

mod turn;

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

use crate::words::trim_decimals;

pub use turn::{QuarterTurn, Stance};

/// Millimetres in one inch, by definition.
pub const MM_PER_INCH: f64 = 25.4;

/// Millimetres in one typographic point (1/72 in).
pub const MM_PER_PT: f64 = MM_PER_INCH / 72.0;

/// A length in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Mm(pub f64);

impl Mm {
    /// No length at all.
    pub const ZERO: Mm = Mm(0.0);

    /// A length given in points.
    #[must_use]
    pub fn from_pt(pt: f64) -> Mm {
        Mm(pt * MM_PER_PT)
    }

    /// This length in points.
    #[must_use]
    pub fn to_pt(self) -> f64 {
        self.0 / MM_PER_PT
    }

    /// The smaller of two lengths.
    #[must_use]
    pub fn min(self, other: Mm) -> Mm {
        Mm(self.0.min(other.0))
    }

    /// The larger of two lengths.
    #[must_use]
    pub fn max(self, other: Mm) -> Mm {
        Mm(self.0.max(other.0))
    }

    /// Whether this length exceeds `other` by more than a micrometre, the size below which
    /// differences are rounding and not layout.
    #[must_use]
    pub fn exceeds(self, other: Mm) -> bool {
        self.0 > other.0 + TOLERANCE.0
    }
}

/// Differences up to this size come from rounding and are no fault of a layout.
pub const TOLERANCE: Mm = Mm(0.001);

impl Add for Mm {
    type Output = Mm;
    fn add(self, other: Mm) -> Mm {
        Mm(self.0 + other.0)
    }
}

impl Sub for Mm {
    type Output = Mm;
    fn sub(self, other: Mm) -> Mm {
        Mm(self.0 - other.0)
    }
}

impl Mul<f64> for Mm {
    type Output = Mm;
    fn mul(self, factor: f64) -> Mm {
        Mm(self.0 * factor)
    }
}

impl Div<f64> for Mm {
    type Output = Mm;
    fn div(self, divisor: f64) -> Mm {
        Mm(self.0 / divisor)
    }
}

impl Div for Mm {
    type Output = f64;
    fn div(self, other: Mm) -> f64 {
        self.0 / other.0
    }
}

impl Neg for Mm {
    type Output = Mm;
    fn neg(self) -> Mm {
        Mm(-self.0)
    }
}

impl AddAssign for Mm {
    fn add_assign(&mut self, other: Mm) {
        self.0 += other.0;
    }
}

impl SubAssign for Mm {
    fn sub_assign(&mut self, other: Mm) {
        self.0 -= other.0;
    }
}

impl Sum for Mm {
    fn sum<I: Iterator<Item = Mm>>(iter: I) -> Mm {
        iter.fold(Mm::ZERO, Add::add)
    }
}

/// A type size as the reader of a layout knows it: `8.5 pt`.
pub(crate) fn show_points(size: Mm) -> String {
    format!("{} pt", trim_decimals(size.to_pt(), 2))
}

impl fmt::Display for Mm {
    /// The length with at most two decimals and its unit, as messages show it: `12.5 mm`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", trim_decimals(self.0, 2))
    }
}

/// A place on a page.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// Distance from the left edge.
    pub x: Mm,
    /// Distance from the top edge.
    pub y: Mm,
}

impl Point {
    /// The point at `x`, `y`.
    #[must_use]
    pub fn new(x: Mm, y: Mm) -> Point {
        Point { x, y }
    }
}

/// The width and height of a box.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Size {
    /// Extent from left to right.
    pub width: Mm,
    /// Extent from top to bottom.
    pub height: Mm,
}

impl Size {
    /// The size `width` by `height`.
    #[must_use]
    pub fn new(width: Mm, height: Mm) -> Size {
        Size { width, height }
    }

    /// The same paper turned by a quarter.
    #[must_use]
    pub fn turned(self) -> Size {
        Size::new(self.height, self.width)
    }
}

/// An upright box.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub x: Mm,
    /// Top edge.
    pub y: Mm,
    /// Extent to the right; never negative in a scene.
    pub width: Mm,
    /// Extent downwards; never negative in a scene.
    pub height: Mm,
}

impl Rect {
    /// The box whose top left corner is `x`, `y`.
    #[must_use]
    pub fn new(x: Mm, y: Mm, width: Mm, height: Mm) -> Rect {
        Rect { x, y, width, height }
    }

    /// The box of `size` whose top left corner is `at`.
    #[must_use]
    pub fn at(at: Point, size: Size) -> Rect {
        Rect::new(at.x, at.y, size.width, size.height)
    }

    /// The right edge.
    #[must_use]
    pub fn right(self) -> Mm {
        self.x + self.width
    }

    /// The bottom edge.
    #[must_use]
    pub fn bottom(self) -> Mm {
        self.y + self.height
    }

    /// The top left corner.
    #[must_use]
    pub fn origin(self) -> Point {
        Point::new(self.x, self.y)
    }

    /// Width and height.
    #[must_use]
    pub fn size(self) -> Size {
        Size::new(self.width, self.height)
    }

    /// The box that remains after taking `insets` off its sides; never of negative size.
    #[must_use]
    pub fn shrunk(self, insets: Insets) -> Rect {
        Rect::new(
            self.x + insets.left,
            self.y + insets.top,
            (self.width - insets.left - insets.right).max(Mm::ZERO),
            (self.height - insets.top - insets.bottom).max(Mm::ZERO),
        )
    }

    /// The box grown by `by` on every side.
    #[must_use]
    pub fn grown(self, by: Mm) -> Rect {
        Rect::new(self.x - by, self.y - by, self.width + by * 2.0, self.height + by * 2.0)
    }

    /// The same box moved by `dx`, `dy`.
    #[must_use]
    pub fn moved(self, dx: Mm, dy: Mm) -> Rect {
        Rect::new(self.x + dx, self.y + dy, self.width, self.height)
    }

    /// The smallest box around both.
    #[must_use]
    pub fn union(self, other: Rect) -> Rect {
        let x = self.x.min(other.x);
        let y = self.y.min(other.y);
        let right = self.right().max(other.right());
        let bottom = self.bottom().max(other.bottom());
        Rect::new(x, y, right - x, bottom - y)
    }

    /// The part common to both boxes, if they share more than an edge (with [`TOLERANCE`]).
    #[must_use]
    pub fn intersection(self, other: Rect) -> Option<Rect> {
        let x = self.x.max(other.x);
        let y = self.y.max(other.y);
        let width = self.right().min(other.right()) - x;
        let height = self.bottom().min(other.bottom()) - y;
        (width > TOLERANCE && height > TOLERANCE).then(|| Rect::new(x, y, width, height))
    }

    /// Whether `inner` lies within this box, edges included (with [`TOLERANCE`]).
    #[must_use]
    pub fn contains(self, inner: Rect) -> bool {
        !self.x.exceeds(inner.x)
            && !self.y.exceeds(inner.y)
            && !inner.right().exceeds(self.right())
            && !inner.bottom().exceeds(self.bottom())
    }
}

/// Distances from the four sides of a box inwards.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Insets {
    /// From the top edge down.
    pub top: Mm,
    /// From the right edge to the left.
    pub right: Mm,
    /// From the bottom edge up.
    pub bottom: Mm,
    /// From the left edge to the right.
    pub left: Mm,
}

impl Insets {
    /// The same distance on every side.
    #[must_use]
    pub fn all(by: Mm) -> Insets {
        Insets { top: by, right: by, bottom: by, left: by }
    }

    /// What both sides take off the width.
    #[must_use]
    pub fn across(self) -> Mm {
        self.left + self.right
    }

    /// What top and bottom take off the height.
    #[must_use]
    pub fn down(self) -> Mm {
        self.top + self.bottom
    }
}

/// One step of an outline; the unit is its owner's (em for glyphs, millimetres in a scene).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// Starts a new contour at a point.
    MoveTo(f64, f64),
    /// A straight line to a point.
    LineTo(f64, f64),
    /// A quadratic curve: control point, end point.
    QuadTo(f64, f64, f64, f64),
    /// A cubic curve: two control points, end point.
    CubicTo(f64, f64, f64, f64, f64, f64),
    /// Closes the contour with a straight line.
    Close,
}

/// Which parts inside an outline are filled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FillRule {
    /// Where contours wind around a point more one way than the other.
    #[default]
    NonZero,
    /// Where a ray crosses contours an odd number of times.
    EvenOdd,
}

/// So small a part of a dot is rounding: a length that lacks it is whole, and a place that is off by it lies
/// on its line.
const SLIVER: f64 = 0.001;

/// The dots of a printer: a square grid anchored at the top left corner of the page.
///
/// A thermal head has no fractional dots, so whatever must be exact is placed on this grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DotGrid {
    /// Dots in a millimetre; finite and above zero.
    per_mm: f64,
}

impl DotGrid {
    /// The grid of the common thermal head: 8 dots/mm, sold as 203 dpi.
    pub const DPI_203: DotGrid = DotGrid { per_mm: 8.0 };

    /// The grid of a head with `dpi` dots in an inch, or `None` outside 50 to 2400.
    ///
    /// Heads sold as 203 dpi have 8 dots in a millimetre, which is 203.2 dpi; both figures give
    /// that grid.
    #[must_use]
    pub fn from_dpi(dpi: f64) -> Option<DotGrid> {
        if dpi == 203.0 {
            return Some(DotGrid::DPI_203);
        }
        (50.0..=2400.0).contains(&dpi).then_some(DotGrid { per_mm: dpi / MM_PER_INCH })
    }

    /// The grid of a head with so many dots in a millimetre, or `None` outside 2 to 95.
    #[must_use]
    pub fn from_dots_per_mm(per_mm: f64) -> Option<DotGrid> {
        (2.0..=95.0).contains(&per_mm).then_some(DotGrid { per_mm })
    }

    /// Dots in a millimetre.
    #[must_use]
    pub fn per_mm(self) -> f64 {
        self.per_mm
    }

    /// Dots in an inch.
    #[must_use]
    pub fn dpi(self) -> f64 {
        self.per_mm * MM_PER_INCH
    }

    /// The length of `dots` dots.
    #[must_use]
    pub fn length(self, dots: f64) -> Mm {
        Mm(dots / self.per_mm)
    }

    /// How many dots long `length` is, fractions included.
    #[must_use]
    pub fn dots(self, length: Mm) -> f64 {
        length.0 * self.per_mm
    }

    /// How many whole dots fit into `length`.
    #[must_use]
    pub fn whole_dots_within(self, length: Mm) -> u32 {
        let dots = (self.dots(length) + SLIVER).floor();
        if dots <= 0.0 { 0 } else { dots as u32 }
    }

    /// The dot line nearest to `position`.
    #[must_use]
    pub fn snap(self, position: Mm) -> Mm {
        self.length(self.dots(position).round())
    }

    /// The first dot line at or right of (below) `position`.
    #[must_use]
    pub fn snap_up(self, position: Mm) -> Mm {
        self.length((self.dots(position) - SLIVER).ceil())
    }

    /// The last dot line at or left of (above) `position`.
    #[must_use]
    pub fn snap_down(self, position: Mm) -> Mm {
        self.length((self.dots(position) + SLIVER).floor())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_print_short() {
        assert_eq!(Mm(12.5).to_string(), "12.5 mm");
        assert_eq!(Mm(12.0).to_string(), "12 mm");
        assert_eq!(Mm(0.126).to_string(), "0.13 mm");
        assert_eq!(Mm(-0.001).to_string(), "0 mm");
    }

    #[test]
    fn grids_by_their_trade_names() {
        assert_eq!(DotGrid::from_dpi(203.0), Some(DotGrid::DPI_203));
        assert_eq!(DotGrid::from_dpi(203.2).map(DotGrid::per_mm), Some(8.0));
        assert_eq!(DotGrid::from_dpi(0.0), None);
        assert_eq!(DotGrid::from_dpi(f64::NAN), None);
        assert_eq!(DotGrid::from_dots_per_mm(8.0), Some(DotGrid::DPI_203));
        assert_eq!(DotGrid::from_dots_per_mm(203.2), None);
        assert_eq!(DotGrid::from_dots_per_mm(f64::NAN), None);
    }

    #[test]
    fn whole_dots_and_snapping() {
        let grid = DotGrid::DPI_203;
        assert_eq!(grid.whole_dots_within(Mm(0.375)), 3);
        assert_eq!(grid.whole_dots_within(Mm(0.37)), 2);
        assert_eq!(grid.whole_dots_within(Mm(-4.0)), 0);
        assert_eq!(grid.snap(Mm(1.05)), Mm(1.0));
        assert_eq!(grid.snap_up(Mm(1.01)), Mm(1.125));
        assert_eq!(grid.snap_down(Mm(1.12)), Mm(1.0));
        assert_eq!(grid.snap_up(Mm(1.125)), Mm(1.125));
    }

    #[test]
    fn boxes_meet_only_when_they_share_area() {
        let left = Rect::new(Mm(0.0), Mm(0.0), Mm(10.0), Mm(10.0));
        let touching = left.moved(Mm(10.0), Mm::ZERO);
        let over = left.moved(Mm(9.0), Mm(2.0));
        assert_eq!(left.intersection(touching), None);
        assert_eq!(left.intersection(over), Some(Rect::new(Mm(9.0), Mm(2.0), Mm(1.0), Mm(8.0))));
        assert!(left.contains(left));
        assert!(!left.contains(over));
    }
}
