//! Strokes to outlines.
//!
//! In: a path with its stroke. Out: the outline of the line. The path is first brought near the
//! origin and to a size of about a thousand, because the stroker takes lengths under 1/4096 for
//! nothing and loses its way among very large numbers. Not here: the stroke's colour.

use usvg::tiny_skia_path::{Path, PathStroker, Point, Stroke, StrokeDash, Transform};

use super::contours::PathPlacement;

/// The size that paths are brought to; the true size lies between this and its half.
const WORKING_SIZE: f32 = 1024.0;

/// Sizes of paths, in coordinates of their own, that can be brought to the working size.
const SIZES: std::ops::Range<f32> = 1e-9..1e9;

/// How finely curves are followed, in pixels a unit of the working size.
const FINENESS: (f32, f32) = (0.25, 64.0);

/// A path brought to the working size, ready to be stroked.
pub(super) struct StrokePen {
    /// What the pen follows.
    path: Path,
    /// Width, ends and corners.
    stroke: Stroke,
    /// Lengths of dashes and gaps in turn, with the offset; none for a whole line.
    dashes: Option<(Vec<f32>, f32)>,
    /// How finely curves are followed, in pixels a unit.
    fineness: f32,
    /// Where the working coordinates lie.
    placement: PathPlacement,
}

impl StrokePen {
    /// Prepares a stroke; `pixels` is the fineness wanted, in pixels a CSS pixel of the drawing.
    /// None when the path is too large or too small to reckon with.
    pub(super) fn new(
        path: &usvg::Path,
        stroke: &usvg::Stroke,
        transform: Transform,
        pixels: f32,
    ) -> Option<StrokePen> {
        let bounds = path.data().bounds();
        let size = bounds.width().max(bounds.height()).max(stroke.width().get());
        if !SIZES.contains(&size) {
            return None;
        }
        let scale = power_of_two_to(size);
        let origin = Point::from_xy(bounds.left(), bounds.top());
        let moved = path.data().clone().transform(Transform::from_translate(-origin.x, -origin.y));
        let working = moved?.transform(Transform::from_scale(scale, scale))?;
        let plain = stroke.to_tiny_skia();
        let wanted = PathStroker::compute_resolution_scale(&transform) * pixels / scale;
        let dashes = stroke.dasharray().map(|lengths| {
            let lengths = lengths.iter().map(|length| length * scale).collect();
            (lengths, stroke.dashoffset() * scale)
        });
        Some(StrokePen {
            path: working,
            stroke: Stroke { width: plain.width * scale, dash: None, ..plain },
            dashes,
            fineness: wanted.max(FINENESS.0).min(FINENESS.1),
            placement: PathPlacement::new(transform).magnified(f64::from(scale), origin),
        })
    }

    /// Where the outline lies.
    pub(super) fn placement(&self) -> PathPlacement {
        self.placement
    }

    /// About how many segments the outline has at the least, reckoned before any dash is made:
    /// four a dash, by the lengths of the control polygons.
    pub(super) fn least_segments(&self) -> usize {
        let Some((lengths, _)) = &self.dashes else { return 0 };
        let points = self.path.points();
        let length: f32 = points.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
        let dashes = length / lengths.iter().sum::<f32>() * lengths.len() as f32 / 2.0;
        // A number too large, or none at all, becomes the largest there is.
        if dashes.is_finite() { (dashes as usize).saturating_mul(4) } else { usize::MAX }
    }

    /// The outline of the line; none when the stroker gives up.
    pub(super) fn outline(&self) -> Option<Path> {
        let Some((lengths, offset)) = &self.dashes else {
            return self.path.stroke(&self.stroke, self.fineness);
        };
        let dash = StrokeDash::new(lengths.clone(), *offset)?;
        self.path.dash(&dash, self.fineness)?.stroke(&self.stroke, self.fineness)
    }
}

/// The power of two that brings a size within [`SIZES`] into the upper half of the working size.
fn power_of_two_to(size: f32) -> f32 {
    let mut scale = 1.0_f32;
    while size * scale > WORKING_SIZE {
        scale /= 2.0;
    }
    while size * scale * 2.0 <= WORKING_SIZE {
        scale *= 2.0;
    }
    scale
}
