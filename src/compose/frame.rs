//! Lines, boxes, borders and black grounds: everything filled, in whole dots.

use super::line::{LineEnds, LinePattern};
use super::round::RoundCorners;
use super::{Job, Place};
use crate::bind::Bound;
use crate::geom::{Mm, Rect};
use crate::layout::{BlockInk, Length, Stroke};
use crate::scene::{BlockId, Ink, MarkKind};

/// The side of a `box` that says nothing about its size: one to tick with a pen.
pub(super) const USUAL_BOX: Mm = Mm(5.0);

/// How the line of a frame is drawn.
#[derive(Clone, Copy)]
struct FrameLine {
    /// How thick it is.
    thickness: Length,
    /// In one piece or several.
    stroke: Stroke,
    /// The radius of its corners.
    round: Length,
}

impl FrameLine {
    /// As a block says it.
    fn of(bound: &Bound<'_>, thickness: Length) -> FrameLine {
        FrameLine { thickness, stroke: bound.block.stroke, round: bound.block.round }
    }
}

impl LineEnds {
    /// Those of a side that begins where a corner of this radius ends.
    fn of(radius: Mm) -> LineEnds {
        if radius > Mm::ZERO { LineEnds::White } else { LineEnds::Black }
    }
}

impl Job<'_, '_> {
    /// Paints a block's ground and border; returns the ink of what lies on it.
    pub(super) fn place_ground(
        &mut self,
        bound: &Bound<'_>,
        id: BlockId,
        rect: Rect,
        ink: Ink,
    ) -> Ink {
        let block = bound.block;
        let ground = match (block.ground, block.ink) {
            (Some(colour), _) => Some(Ink::Colour(colour)),
            (None, BlockInk::Reversed) if ink != Ink::White => Some(Ink::Black),
            _ => None,
        };
        if let Some(ground) = ground {
            self.paint_ground(id, rect, block.round, ground);
        }
        let ink = match block.ink {
            BlockInk::Reversed => Ink::White,
            BlockInk::Colour(colour) => Ink::Colour(colour),
            // What white stood on is covered.
            BlockInk::Usual if block.ground.is_some() => Ink::Black,
            BlockInk::Usual => ink,
        };
        if let Some(border) = bound.block.border {
            self.paint_frame(id, rect, FrameLine::of(bound, border), ink);
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
    pub(super) fn place_outline(&mut self, bound: &Bound<'_>, thickness: Length, place: Place) {
        self.paint_frame(place.id, place.rect, FrameLine::of(bound, thickness), place.ink);
    }

    /// Paints a box to tick.
    pub(super) fn paint_tick(&mut self, square: Rect, place: Place) {
        let line = FrameLine {
            thickness: Length::Dots(3.0),
            stroke: Stroke::Solid,
            round: Length::Mm(0.0),
        };
        self.paint_frame(place.id, square, line, place.ink);
    }

    /// Fills what is behind a block with an ink, on whole dots, its corners rounded where it asks
    /// for that.
    fn paint_ground(&mut self, id: BlockId, rect: Rect, round: Length, ink: Ink) {
        let ground = self.snap_rect(rect);
        let radius = self.corner_radius(ground, round);
        if radius <= Mm::ZERO {
            return self.mark(id, MarkKind::Fill(ground, ink));
        }
        let Rect { x, y, width, height } = ground;
        let (wide, high) = (width - radius * 2.0, height - radius * 2.0);
        // Boxes stop short of their dot lines: where they overlap, no light shows between them.
        let side = radius + self.frame.grid.snap_up(radius / 2.0);
        let boxes = [
            Rect::new(x + radius, y, wide, height),
            Rect::new(x, y + radius, side.min(width), high),
            Rect::new(x + (width - side).max(Mm::ZERO), y + radius, side.min(width), high),
        ];
        for part in boxes.into_iter().filter(|it| it.width > Mm::ZERO && it.height > Mm::ZERO) {
            self.mark(id, MarkKind::Fill(part, ink));
        }
        let outer = ground;
        self.paint_corners(id, RoundCorners { outer, radius, width: None, pattern: None, ink });
    }

    /// The radius of a box's corners in whole dots, at most half of its shorter side.
    fn corner_radius(&self, outer: Rect, round: Length) -> Mm {
        let grid = self.frame.grid;
        let half = outer.width.min(outer.height) / 2.0;
        grid.snap_down(grid.snap(self.length(round)).min(half))
    }

    /// Paints the four sides of a frame, inside its edges, and its corners where they are round.
    fn paint_frame(&mut self, id: BlockId, rect: Rect, line: FrameLine, ink: Ink) {
        let grid = self.frame.grid;
        let outer = self.snap_rect(rect);
        let width = self.line_width(line.thickness);
        let radius = self.corner_radius(outer, line.round);
        let dots = grid.dots(width).round() as u32;
        let pattern = LinePattern::of_frame(line.stroke, dots, grid.per_mm());
        if radius > Mm::ZERO {
            let width = Some(width);
            self.paint_corners(id, RoundCorners { outer, radius, width, pattern, ink });
        }
        // A corner that is not round belongs to the level sides: none is painted twice.
        let spared = if radius > Mm::ZERO { radius } else { width };
        let below = Rect { y: outer.bottom() - width, height: width, ..outer };
        let right = Rect { x: outer.right() - width, width, ..outer };
        for level in [Rect { height: width, ..outer }, below] {
            let side = Rect { x: level.x + radius, width: level.width - radius * 2.0, ..level };
            self.paint_side(id, side, pattern, LineEnds::of(radius), ink);
        }
        for upright in [Rect { width, ..outer }, right] {
            let (y, height) = (upright.y + spared, upright.height - spared * 2.0);
            self.paint_side(id, Rect { y, height, ..upright }, pattern, LineEnds::White, ink);
        }
    }

    /// Paints one side of a frame, in pieces if it has a pattern.
    fn paint_side(
        &mut self,
        id: BlockId,
        side: Rect,
        pattern: Option<LinePattern>,
        ends: LineEnds,
        ink: Ink,
    ) {
        if side.width <= Mm::ZERO || side.height <= Mm::ZERO {
            return;
        }
        let Some(pattern) = pattern else { return self.mark(id, MarkKind::Fill(side, ink)) };
        let grid = self.frame.grid;
        let level = side.width >= side.height;
        let length = grid.dots(if level { side.width } else { side.height }).round() as u32;
        for piece in pattern.divide(length, ends) {
            let (from, long) =
                (grid.length(f64::from(piece.from)), grid.length(f64::from(piece.length)));
            let rect = match level {
                true => Rect { x: side.x + from, width: long, ..side },
                false => Rect { y: side.y + from, height: long, ..side },
            };
            self.mark(id, MarkKind::Fill(rect, ink));
        }
    }

    /// A box whose edges are moved to the nearest dot lines.
    pub(super) fn snap_rect(&self, rect: Rect) -> Rect {
        let grid = self.frame.grid;
        let (x, y) = (grid.snap(rect.x), grid.snap(rect.y));
        Rect::new(x, y, grid.snap(rect.right()) - x, grid.snap(rect.bottom()) - y)
    }
}
