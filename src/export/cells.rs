//! Boxes of whole dots or whole modules, which is what all black is in the end.

use crate::geom::{DotGrid, Rect};
use crate::scene::DotRect;

/// Dots that positions are kept within, so that arithmetic on them cannot overflow.
const FARTHEST_DOT: f64 = 1_000_000.0;

/// A box of whole dots or modules.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Cells {
    /// The first column.
    pub(super) x: i32,
    /// The first row, counted downwards.
    pub(super) y: i32,
    /// Columns, at least one.
    pub(super) width: i32,
    /// Rows, at least one.
    pub(super) height: i32,
}

impl Cells {
    /// The same box of dots in millimetres.
    pub(super) fn to_rect(self, grid: DotGrid) -> Rect {
        let length = |dots: i32| grid.length(f64::from(dots));
        Rect::new(length(self.x), length(self.y), length(self.width), length(self.height))
    }
}

impl From<DotRect> for Cells {
    fn from(dots: DotRect) -> Cells {
        let cell = |count: u32| clamp_dot(f64::from(count));
        Cells {
            x: cell(dots.x),
            y: cell(dots.y),
            width: cell(dots.width),
            height: cell(dots.height),
        }
    }
}

/// A whole number of dots, within what boxes can hold.
pub(super) fn clamp_dot(dots: f64) -> i32 {
    dots.clamp(-FARTHEST_DOT, FARTHEST_DOT) as i32
}

/// The dots that a filled box covers: its sides go to the nearest dot lines, and it keeps at least
/// one dot each way, because a rule that vanishes is worse than one that is too thick. `None` for
/// a box without area.
pub(super) fn snap_fill(rect: Rect, grid: DotGrid) -> Option<Cells> {
    if !(rect.width.0 > 0.0 && rect.height.0 > 0.0) {
        return None;
    }
    let snap = |from, to| {
        let first = clamp_dot(grid.dots(from).round());
        (first, (clamp_dot(grid.dots(to).round()) - first).max(1))
    };
    let (x, width) = snap(rect.x, rect.right());
    let (y, height) = snap(rect.y, rect.bottom());
    Some(Cells { x, y, width, height })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Mm;

    #[test]
    fn fills_keep_one_dot() {
        let grid = DotGrid::DPI_203;
        let fill = |x, width| snap_fill(Rect::new(Mm(x), Mm(0.0), Mm(width), Mm(1.0)), grid);
        assert_eq!(fill(1.0, 0.375), Some(Cells { x: 8, y: 0, width: 3, height: 8 }));
        assert_eq!(fill(1.0, 0.01), Some(Cells { x: 8, y: 0, width: 1, height: 8 }));
        assert_eq!(fill(1.0, 0.0), None);
        assert_eq!(fill(f64::NAN, f64::NAN), None);
    }
}
