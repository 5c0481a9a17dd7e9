//! Lines, boxes, borders and black grounds: everything filled, in whole dots.

use super::{Job, Place};
use crate::bind::Bound;
use crate::geom::{Mm, Rect};
use crate::layout::Length;
use crate::scene::{BlockId, Ink, MarkKind};

/// The side of a `box` that says nothing about its size: one to tick with a pen.
pub(super) const USUAL_BOX: Mm = Mm(5.0);

impl Job<'_, '_> {
    /// Paints a block's black ground and border; returns the ink of what lies on it.
    pub(super) fn place_ground(
        &mut self,
        bound: &Bound<'_>,
        id: BlockId,
        rect: Rect,
        ink: Ink,
    ) -> Ink {
        let ink = if bound.block.reversed && ink == Ink::Black {
            let ground = self.snap_rect(rect);
            self.mark(id, MarkKind::Fill(ground, Ink::Black));
            Ink::White
        } else {
            ink
        };
        if let Some(border) = bound.block.border {
            let width = self.line_width(border);
            self.paint_frame(id, rect, width, ink);
        }
        ink
    }

    /// Paints a rule along the longer side of its room.
    pub(super) fn place_rule(&mut self, thickness: Length, place: Place) {
        let width = self.line_width(thickness);
        let room = place.rect;
        let grid = self.frame.grid;
        let line = if room.width >= room.height {
            let snapped = self.snap_rect(room);
            let y = grid.snap(room.y + (room.height - width) / 2.0);
            Rect::new(snapped.x, y, snapped.width, width)
        } else {
            let snapped = self.snap_rect(room);
            let x = grid.snap(room.x + (room.width - width) / 2.0);
            Rect::new(x, snapped.y, width, snapped.height)
        };
        self.mark(place.id, MarkKind::Fill(line, place.ink));
    }

    /// Paints an empty box; it is as large as its room, or square when it says no size.
    pub(super) fn place_outline(&mut self, thickness: Length, place: Place) {
        let width = self.line_width(thickness);
        self.paint_frame(place.id, place.rect, width, place.ink);
    }

    /// Paints the four sides of a frame, inside its edges and without painting a corner twice.
    fn paint_frame(&mut self, id: BlockId, rect: Rect, width: Mm, ink: Ink) {
        let outer = self.snap_rect(rect);
        let inner_height = (outer.height - width * 2.0).max(Mm::ZERO);
        let top = Rect::new(outer.x, outer.y, outer.width, width);
        let left = Rect::new(outer.x, outer.y + width, width, inner_height);
        let sides = [
            top,
            top.moved(Mm::ZERO, outer.height - width),
            left,
            left.moved(outer.width - width, Mm::ZERO),
        ];
        for side in sides {
            self.mark(id, MarkKind::Fill(side, ink));
        }
    }

    /// A box whose edges are moved to the nearest dot lines.
    pub(super) fn snap_rect(&self, rect: Rect) -> Rect {
        let grid = self.frame.grid;
        let (x, y) = (grid.snap(rect.x), grid.snap(rect.y));
        Rect::new(x, y, grid.snap(rect.right()) - x, grid.snap(rect.bottom()) - y)
    }
}
