//! Glyph outlines for the writers that draw them.

use crate::fonts::{FontBook, FontId, PathSegment};
use crate::geom::Segment;

/// The outline of a glyph in em, y upwards. A glyph that the font cannot draw has none: shaping
/// hands out no glyph that a face lacks, and a damaged one prints nothing anywhere.
pub(super) fn trace_glyph(book: &FontBook, font: FontId, glyph: u16) -> Vec<Segment> {
    let path = book.outline(font, glyph).unwrap_or_default();
    let step = |segment: &PathSegment| match *segment {
        PathSegment::Move { x, y } => Segment::MoveTo(x, y),
        PathSegment::Line { x, y } => Segment::LineTo(x, y),
        PathSegment::Quad { cx, cy, x, y } => Segment::QuadTo(cx, cy, x, y),
        PathSegment::Cubic { c1x, c1y, c2x, c2y, x, y } => {
            Segment::CubicTo(c1x, c1y, c2x, c2y, x, y)
        }
        PathSegment::Close => Segment::Close,
    };
    path.iter().map(step).collect()
}
