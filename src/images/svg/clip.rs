//! Cutting outlines to convex areas.
//!
//! In: closed contours and convex areas, all in millimetres. Out: the contours' parts inside all
//! areas. An outline that lies inside keeps its curves; one that is cut is flattened first and
//! then cut along one straight line after the other (after Sutherland and Hodgman), which keeps
//! the winding number of every point that stays. Not here: areas that are not convex.

use std::sync::Arc;

use super::super::picture::{Drawing, Shape};
use crate::geom::{Rect, Segment};

/// A point, in millimetres.
type ClipPoint = (f64, f64);

/// A convex area: the points on the inner side of all its lines.
#[derive(Clone, Debug)]
pub(super) struct Convex {
    /// Each cuts off one side; none at all is the whole plane.
    lines: Vec<HalfPlane>,
}

/// One side of a straight line: the points for which `a·x + b·y + c` is not negative, which is
/// also their distance from the line.
#[derive(Clone, Copy, Debug)]
struct HalfPlane {
    /// The inward normal's x.
    a: f64,
    /// The inward normal's y.
    b: f64,
    /// The distance of the origin.
    c: f64,
}

impl HalfPlane {
    /// The distance of a point from the line; negative outside.
    fn distance(self, point: ClipPoint) -> f64 {
        self.a * point.0 + self.b * point.1 + self.c
    }
}

impl Convex {
    /// The box from the origin to `width`, `height`.
    pub(super) fn rectangle(width: f64, height: f64) -> Convex {
        Convex {
            lines: vec![
                HalfPlane { a: 1.0, b: 0.0, c: 0.0 },
                HalfPlane { a: 0.0, b: 1.0, c: 0.0 },
                HalfPlane { a: -1.0, b: 0.0, c: width },
                HalfPlane { a: 0.0, b: -1.0, c: height },
            ],
        }
    }

    /// The area of an outline of one contour with three or four straight sides that is convex;
    /// none for any other outline.
    pub(super) fn from_outline(outline: &[Segment]) -> Option<Convex> {
        let mut corners: Vec<ClipPoint> = Vec::new();
        for segment in outline {
            match *segment {
                Segment::MoveTo(x, y) if corners.is_empty() => corners.push((x, y)),
                Segment::LineTo(x, y) => corners.push((x, y)),
                Segment::Close => {}
                _ => return None,
            }
        }
        corners.dedup();
        if corners.len() > 1 && corners.first() == corners.last() {
            corners.pop();
        }
        if !(3..=4).contains(&corners.len()) {
            return None;
        }
        let count = corners.len();
        let side = |index: usize| {
            let ((x1, y1), (x2, y2)) = (corners[index % count], corners[(index + 1) % count]);
            (x2 - x1, y2 - y1)
        };
        let turns: Vec<f64> = (0..count)
            .map(|index| {
                let ((ax, ay), (bx, by)) = (side(index), side(index + 1));
                ax * by - ay * bx
            })
            .collect();
        let sense = turns[0].signum();
        if turns.iter().any(|turn| turn * sense <= 0.0) {
            return None;
        }
        let lines = (0..count).map(|index| {
            let ((x, y), (dx, dy)) = (corners[index], side(index));
            let length = (dx * dx + dy * dy).sqrt() * sense;
            let (a, b) = (-dy / length, dx / length);
            HalfPlane { a, b, c: -(a * x + b * y) }
        });
        Some(Convex { lines: lines.collect() })
    }
}

/// The part of an outline inside all areas; what reaches out by no more than `slack` stays. None
/// when its curves would need more than [`MAX_CORNERS`].
pub(super) fn clip_outline(
    outline: Vec<Segment>,
    areas: &[Convex],
    slack: f64,
) -> Option<Vec<Segment>> {
    let crossed: Vec<HalfPlane> = areas
        .iter()
        .flat_map(|area| area.lines.iter().copied())
        .filter(|line| !points_of(&outline).all(|point| line.distance(point) >= -slack))
        .collect();
    if crossed.is_empty() {
        return Some(outline);
    }
    let mut contours = flatten(&outline, slack * FLATNESS_STEPS)?;
    for line in crossed {
        contours = contours.iter().map(|contour| cut(contour, line)).collect();
    }
    let whole = contours.iter().filter(|contour| contour.len() > 2);
    Some(whole.flat_map(|contour| close(contour)).collect())
}

impl Drawing {
    /// The part of the drawing in a box of its own millimetres, as a drawing of that size. None
    /// when its curves are too many to be cut.
    #[must_use]
    pub fn cut_out(&self, part: Rect) -> Option<Drawing> {
        let (left, top) = (part.x.0, part.y.0);
        let (width, height) = (part.width.0, part.height.0);
        let area = [Convex::rectangle(width, height)];
        // As fine as outlines are traced: see `trace`.
        let slack = width.max(height) * SLACK_OF_EXTENT;
        let mut shapes = Vec::with_capacity(self.shapes.len());
        for shape in &self.shapes {
            let moved = shape.segments.iter().map(|segment| shift(*segment, -left, -top));
            let segments = clip_outline(moved.collect(), &area, slack)?;
            if !segments.is_empty() {
                shapes.push(Shape { segments: Arc::from(segments), ..shape.clone() });
            }
        }
        Some(Drawing { width, height, shapes })
    }
}

/// How far an outline may reach over the box it is cut to, as a share of the box: a millionth,
/// which no printer shows.
const SLACK_OF_EXTENT: f64 = 1e-6;

/// A segment moved.
fn shift(segment: Segment, dx: f64, dy: f64) -> Segment {
    match segment {
        Segment::MoveTo(x, y) => Segment::MoveTo(x + dx, y + dy),
        Segment::LineTo(x, y) => Segment::LineTo(x + dx, y + dy),
        Segment::QuadTo(x1, y1, x, y) => Segment::QuadTo(x1 + dx, y1 + dy, x + dx, y + dy),
        Segment::CubicTo(x1, y1, x2, y2, x, y) => {
            Segment::CubicTo(x1 + dx, y1 + dy, x2 + dx, y2 + dy, x + dx, y + dy)
        }
        Segment::Close => Segment::Close,
    }
}

/// How far a flattened curve may leave the true one, in rounding steps: about a ten thousandth
/// of the drawing.
const FLATNESS_STEPS: f64 = 32.0;

/// The most corners of one flattened outline.
const MAX_CORNERS: usize = 1_000_000;

/// The end and control points of an outline.
pub(super) fn points_of(outline: &[Segment]) -> impl Iterator<Item = ClipPoint> {
    outline.iter().flat_map(|segment| {
        let points = match *segment {
            Segment::MoveTo(x, y) | Segment::LineTo(x, y) => [Some((x, y)), None, None],
            Segment::QuadTo(x1, y1, x, y) => [Some((x1, y1)), Some((x, y)), None],
            Segment::CubicTo(x1, y1, x2, y2, x, y) => {
                [Some((x1, y1)), Some((x2, y2)), Some((x, y))]
            }
            Segment::Close => [None; 3],
        };
        points.into_iter().flatten()
    })
}

/// The contours of an outline as corners, curves replaced by chords at most `tolerance` away;
/// none when that makes too many corners.
fn flatten(outline: &[Segment], tolerance: f64) -> Option<Vec<Vec<ClipPoint>>> {
    let mut contours: Vec<Vec<ClipPoint>> = Vec::new();
    let mut corners = 0;
    for segment in outline {
        if let Segment::MoveTo(x, y) = *segment {
            contours.push(vec![(x, y)]);
            continue;
        }
        let Some(contour) = contours.last_mut() else { continue };
        let Some(&from) = contour.last() else { continue };
        let before = contour.len();
        match *segment {
            Segment::LineTo(x, y) => contour.push((x, y)),
            Segment::QuadTo(x1, y1, x, y) => {
                // The same curve as a cubic one.
                let third = |near: f64, far: f64| near + (far - near) * 2.0 / 3.0;
                let first = (third(from.0, x1), third(from.1, y1));
                let second = (third(x, x1), third(y, y1));
                flatten_cubic(contour, [from, first, second, (x, y)], tolerance);
            }
            Segment::CubicTo(x1, y1, x2, y2, x, y) => {
                flatten_cubic(contour, [from, (x1, y1), (x2, y2), (x, y)], tolerance);
            }
            Segment::MoveTo(..) | Segment::Close => {}
        }
        corners += contour.len() - before;
        if corners > MAX_CORNERS {
            return None;
        }
    }
    Some(contours)
}

/// Adds chords of a cubic curve.
///
/// Over one of n equal parts of its parameter a curve leaves its chord by at most an eighth of
/// its second derivative over n²; the second derivative is at most six times the larger second
/// difference of the control points.
fn flatten_cubic(contour: &mut Vec<ClipPoint>, [p0, p1, p2, p3]: [ClipPoint; 4], tolerance: f64) {
    let bend = |a: ClipPoint, b: ClipPoint, c: ClipPoint| {
        let (x, y) = (a.0 - 2.0 * b.0 + c.0, a.1 - 2.0 * b.1 + c.1);
        (x * x + y * y).sqrt()
    };
    let bend = bend(p0, p1, p2).max(bend(p1, p2, p3));
    let parts = (bend * 0.75 / tolerance).sqrt().ceil().clamp(1.0, 256.0);
    for part in 1..parts as u32 {
        let t = f64::from(part) / parts;
        let s = 1.0 - t;
        let mix = |a: f64, b: f64, c: f64, d: f64| {
            s * s * s * a + 3.0 * s * s * t * b + 3.0 * s * t * t * c + t * t * t * d
        };
        contour.push((mix(p0.0, p1.0, p2.0, p3.0), mix(p0.1, p1.1, p2.1, p3.1)));
    }
    contour.push(p3);
}

/// A closed contour's part on the inner side of a line.
fn cut(contour: &[ClipPoint], line: HalfPlane) -> Vec<ClipPoint> {
    let mut kept = Vec::with_capacity(contour.len() + 4);
    let Some(mut previous) = contour.last().copied() else { return kept };
    let mut before = line.distance(previous);
    for &corner in contour {
        let here = line.distance(corner);
        if (before < 0.0) != (here < 0.0) {
            let share = before / (before - here);
            let x = previous.0 + (corner.0 - previous.0) * share;
            let y = previous.1 + (corner.1 - previous.1) * share;
            kept.push((x, y));
        }
        if here >= 0.0 {
            kept.push(corner);
        }
        (previous, before) = (corner, here);
    }
    kept
}

/// A contour's corners as closed segments.
fn close(contour: &[ClipPoint]) -> impl Iterator<Item = Segment> {
    let first = contour.first().map(|&(x, y)| Segment::MoveTo(x, y));
    let others = contour.iter().skip(1).map(|&(x, y)| Segment::LineTo(x, y));
    first.into_iter().chain(others).chain(std::iter::once(Segment::Close))
}
