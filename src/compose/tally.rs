//! The tally: a row of black and white cells that a label and its bench card share.

use super::{Job, Place};
use crate::bind::Bound;
use crate::findings::{Finding, rules};
use crate::geom::{Mm, Stance};
use crate::layout::Length;
use crate::scene::{DotRect, MarkKind, TallyMark};

/// The height of a tally that says nothing about it.
pub(super) const USUAL_HEIGHT: Mm = Mm(5.0);

/// Cells narrower than this run together for a tired eye.
const NARROWEST_CELL: Mm = Mm(3.0);

/// Cells lower than this look like dirt.
const LOWEST_CELL: Mm = Mm(4.0);

impl Job<'_, '_> {
    /// Paints the tally from the left edge of its room, in cells of whole dots.
    ///
    /// It hangs from the left so that a label and a card of different widths meet when their left
    /// edges do.
    pub(super) fn place_tally(
        &mut self,
        bound: &Bound<'_>,
        cells: &[bool],
        cell: Length,
        place: Place,
    ) {
        let grid = self.frame.grid;
        let count = u32::try_from(cells.len()).unwrap_or(u32::MAX).max(1);
        let wanted = self.length(cell);
        let cell_dots = match wanted.0 > 0.0 {
            true => grid.whole_dots_within(wanted),
            false => grid.whole_dots_within(place.rect.width) / count,
        };
        let x = snap_start(grid.dots(place.rect.x));
        let y = snap_start(grid.dots(place.rect.y));
        let height = grid.whole_dots_within(place.rect.bottom() - grid.length(f64::from(y)));
        let width = cell_dots.saturating_mul(count);
        if grid.length(f64::from(cell_dots)) < NARROWEST_CELL
            || grid.length(f64::from(width)).exceeds(place.rect.width)
        {
            let least = NARROWEST_CELL * f64::from(count);
            let message = format!(
                "a tally of {count} cells, each at least {NARROWEST_CELL} wide, needs {least} in \
                 width, its box has {}",
                place.rect.width
            );
            let hint = format!("make its box at least {least} wide, or its `cell` smaller");
            return self.find(bound, Finding::new(&rules::TALLY, message).hint(hint));
        }
        if LOWEST_CELL.exceeds(grid.length(f64::from(height))) {
            let message = format!(
                "a tally is at least {LOWEST_CELL} high, its box has {}",
                place.rect.height
            );
            return self.find(bound, Finding::new(&rules::TALLY, message).hint("set `height: 5`"));
        }
        let dots = DotRect { x, y, width, height };
        self.mark(
            place.id,
            MarkKind::Tally(TallyMark {
                cells: cells.to_vec(),
                cell_dots,
                stance: Stance::UPRIGHT,
                dots,
            }),
        );
    }
}

/// The first whole dot at or after a position in dots.
pub(super) fn snap_start(dots: f64) -> u32 {
    let first = (dots - 0.001).ceil();
    if first <= 0.0 { 0 } else { first as u32 }
}
