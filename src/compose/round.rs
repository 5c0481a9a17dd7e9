//! Round corners: quarters of rings and of discs.
//!
//! In: a box of whole dots, a radius and how the line is drawn. Out: an outline a corner, or a few where
//! the line is in pieces. Straight sides are boxes, as everywhere. A corner stays a quarter of a dot
//! inside its dots, so that no rasteriser paints the next ones, and goes on under the sides that it meets, so
//! that no light shows between.

use std::sync::Arc;

use super::Job;
use super::line::{LineEnds, LinePattern};
use crate::geom::{FillRule, Mm, Point, Rect, Segment, Stance};
use crate::layout::Corner;
use crate::scene::{BlockId, Ink, MarkKind, Outline, OutlineUse};

/// The control points of a quarter of a circle, in radii: a cubic curve that strays from it by less than
/// 0.03 % of the radius, as 4/3 (√2 − 1) gives it.
const KAPPA: f64 = 0.552_284_75;

/// The length of a quarter of a circle, in radii.
const QUARTER: f64 = std::f64::consts::FRAC_PI_2;

/// How far a corner stays inside its outer dot lines, in dots.
const SLIVER_DOTS: f64 = 0.25;

/// How far a line's corner goes on under the sides, in dots.
const BRIDGE_DOTS: f64 = 3.0;

/// All corners of a box.
const CORNERS: [Corner; 4] =
    [Corner::TopLeft, Corner::TopRight, Corner::BottomLeft, Corner::BottomRight];

/// The round corners of a box.
#[derive(Clone, Copy)]
pub(super) struct RoundCorners {
    /// The box, in whole dots of the page.
    pub(super) outer: Rect,
    /// The radius, in whole dots.
    pub(super) radius: Mm,
    /// How thick the line is; none for a corner that is filled.
    pub(super) width: Option<Mm>,
    /// How the line is divided, if it is.
    pub(super) pattern: Option<LinePattern>,
    /// Black or white.
    pub(super) ink: Ink,
}

/// A part of a quarter of a ring around the origin, that of the upper left corner, in millimetres.
#[derive(Clone, Copy)]
struct RingPart {
    /// The outer radius.
    outer: f64,
    /// The inner radius.
    inner: f64,
    /// Where it begins and ends, from 0 at the left to 1 at the top.
    span: [f64; 2],
    /// How far it goes on straight at either end.
    bridge: f64,
}

impl Job<'_, '_> {
    /// Paints the corners of a box.
    pub(super) fn paint_corners(&mut self, id: BlockId, corners: RoundCorners) {
        let parts = corners.parts(self.frame.grid.length(1.0).0);
        for corner in CORNERS {
            let rect = corners.corner_rect(corner);
            let centre = Point {
                x: if corner.is_right() { rect.x } else { rect.right() },
                y: if corner.is_bottom() { rect.y } else { rect.bottom() },
            };
            for part in &parts {
                let outline = Outline {
                    segments: part.draw(corner),
                    offset: centre,
                    scale: 1.0,
                    rule: FillRule::NonZero,
                    ink: corners.ink,
                    stance: Stance::UPRIGHT,
                    rect,
                    part_of: OutlineUse::Frame,
                };
                self.mark(id, MarkKind::Outline(outline));
            }
        }
    }
}

impl RoundCorners {
    /// The square around one of the corners.
    fn corner_rect(&self, corner: Corner) -> Rect {
        let Rect { x, y, width, height } = self.outer;
        let (right, below) = (width - self.radius, height - self.radius);
        let dx = if corner.is_right() { right } else { Mm::ZERO };
        let dy = if corner.is_bottom() { below } else { Mm::ZERO };
        Rect::new(x + dx, y + dy, self.radius, self.radius)
    }

    /// What is painted of each corner; `dot` is the length of one.
    fn parts(&self, dot: f64) -> Vec<RingPart> {
        let outer = self.radius.0 - SLIVER_DOTS * dot;
        let inner = match self.width {
            Some(width) if self.radius > width => self.radius.0 - width.0 + SLIVER_DOTS * dot,
            _ => 0.0,
        };
        // Not so far that it comes out of the corner at the other end.
        let straight = self.outer.width.min(self.outer.height) - self.radius * 2.0;
        let wanted = match self.width {
            Some(_) => BRIDGE_DOTS * dot,
            None => self.radius.0 / 2.0,
        };
        let bridge = wanted.min(straight.0).max(0.0);
        let whole = RingPart { outer, inner, span: [0.0, 1.0], bridge };
        let Some(pattern) = self.pattern else { return vec![whole] };
        let length = QUARTER * (outer + inner) / 2.0 / dot;
        let count = pattern.count(length, LineEnds::Black);
        let share = (f64::from(pattern.piece) / length).min(1.0);
        if count < 2 {
            return vec![RingPart { bridge: 0.0, ..whole }];
        }
        let step = (1.0 - share) / f64::from(count - 1);
        let part = |index: u32| {
            let from = f64::from(index) * step;
            RingPart { span: [from, (from + share).min(1.0)], bridge: 0.0, ..whole }
        };
        (0..count).map(part).collect()
    }
}

impl RingPart {
    /// Its outline at one of the corners.
    fn draw(&self, corner: Corner) -> Arc<[Segment]> {
        let at = |(x, y): (f64, f64)| {
            (if corner.is_right() { -x } else { x }, if corner.is_bottom() { -y } else { y })
        };
        let [from, to] = self.span;
        let (outer, inner) = (arc(self.outer, from, to), arc(self.inner, from, to));
        let [before, after] = [self.bridge, self.bridge];
        let line = |point| {
            let (x, y) = at(point);
            Segment::LineTo(x, y)
        };
        let curve = |[_, (x1, y1), (x2, y2), (x, y)]: CubicPoints| {
            let ((x1, y1), (x2, y2), (x, y)) = (at((x1, y1)), at((x2, y2)), at((x, y)));
            Segment::CubicTo(x1, y1, x2, y2, x, y)
        };
        let [first, .., last] = outer;
        let [end, second, third, start] = inner;
        let begin = at((first.0, first.1 + before));
        Arc::new([
            Segment::MoveTo(begin.0, begin.1),
            line(first),
            curve(outer),
            line((last.0 + after, last.1)),
            line((start.0 + after, start.1)),
            line(start),
            curve([start, third, second, end]),
            line((end.0, end.1 + before)),
            Segment::Close,
        ])
    }
}

/// A cubic curve by its points.
type CubicPoints = [(f64, f64); 4];

/// A part of the quarter of a circle from the left to the top.
fn arc(radius: f64, from: f64, to: f64) -> CubicPoints {
    let control = radius * KAPPA;
    let whole = [(-radius, 0.0), (-radius, -control), (-control, -radius), (0.0, -radius)];
    let [a, b, c, d] = cut_to(whole, to);
    // What is left out at the beginning is what a curve that runs back has too much at its end.
    let [d, c, b, a] = cut_to([d, c, b, a], if to > 0.0 { 1.0 - from / to } else { 1.0 });
    [a, b, c, d]
}

/// The first part of a curve (de Casteljau).
fn cut_to([a, b, c, d]: CubicPoints, at: f64) -> CubicPoints {
    let mix = |one: (f64, f64), other: (f64, f64)| {
        (one.0 + (other.0 - one.0) * at, one.1 + (other.1 - one.1) * at)
    };
    let (ab, bc, cd) = (mix(a, b), mix(b, c), mix(c, d));
    let (abc, bcd) = (mix(ab, bc), mix(bc, cd));
    [a, ab, abc, mix(abc, bcd)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_of_an_arc_lie_on_the_circle_and_meet() {
        for steps in 1..8 {
            let steps = f64::from(steps);
            let mut end = (-3.0, 0.0);
            for index in 0..steps as u32 {
                let from = f64::from(index) / steps;
                let part = arc(3.0, from, from + 1.0 / steps);
                assert!((part[0].0 - end.0).abs() + (part[0].1 - end.1).abs() < 1e-9);
                end = part[3];
                let radius = (end.0 * end.0 + end.1 * end.1).sqrt();
                assert!((radius - 3.0).abs() < 0.001, "{radius}");
            }
            assert!(end.0.abs() < 1e-9);
        }
    }
}
