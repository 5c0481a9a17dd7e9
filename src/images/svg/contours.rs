//! Contours in millimetres.
//!
//! In: a path in coordinates of its own and where they lie. Out: closed contours in millimetres
//! of the drawing, without those that have no area. Not here: colours, cutting, rounding.

use usvg::tiny_skia_path::{Path, PathSegment, Point, Transform};

use super::MM_PER_PX;
use super::clip::points_of;
use crate::geom::Segment;

/// Coordinates from here on cannot be reckoned with, in millimetres.
const FAR: f64 = 1e9;

/// Where coordinates of a path lie in the drawing: x' = sx·x + kx·y + tx, y' = ky·x + sy·y + ty.
#[derive(Clone, Copy, Debug)]
pub(super) struct PathPlacement {
    /// What x adds to x.
    sx: f64,
    /// What y adds to x.
    kx: f64,
    /// Where the origin lies from the left.
    tx: f64,
    /// What x adds to y.
    ky: f64,
    /// What y adds to y.
    sy: f64,
    /// Where the origin lies from the top.
    ty: f64,
}

impl PathPlacement {
    /// The placement of coordinates that `transform` brings to CSS pixels of the drawing.
    pub(super) fn new(transform: Transform) -> PathPlacement {
        let mm = |part: f32| f64::from(part) * MM_PER_PX;
        PathPlacement {
            sx: mm(transform.sx),
            kx: mm(transform.kx),
            tx: mm(transform.tx),
            ky: mm(transform.ky),
            sy: mm(transform.sy),
            ty: mm(transform.ty),
        }
    }

    /// The placement of coordinates that are `scale` times as large and start at `origin`.
    pub(super) fn magnified(self, scale: f64, origin: Point) -> PathPlacement {
        let (tx, ty) = self.place(origin);
        PathPlacement {
            sx: self.sx / scale,
            kx: self.kx / scale,
            tx,
            ky: self.ky / scale,
            sy: self.sy / scale,
            ty,
        }
    }

    /// A point in millimetres of the drawing.
    fn place(self, point: Point) -> (f64, f64) {
        let (x, y) = (f64::from(point.x), f64::from(point.y));
        (self.sx * x + self.kx * y + self.tx, self.ky * x + self.sy * y + self.ty)
    }

    /// A path's contours, all closed; those narrower than half a `step` are left out. None when
    /// a coordinate is too large.
    pub(super) fn contours(self, path: &Path, step: f64) -> Option<Vec<Segment>> {
        let mut contours = Contours { sliver: step / 2.0, ..Contours::default() };
        for segment in path.segments() {
            contours.push(match segment {
                PathSegment::MoveTo(to) => {
                    let (x, y) = self.place(to);
                    Segment::MoveTo(x, y)
                }
                PathSegment::LineTo(to) => {
                    let (x, y) = self.place(to);
                    Segment::LineTo(x, y)
                }
                PathSegment::QuadTo(by, to) => {
                    let ((x1, y1), (x, y)) = (self.place(by), self.place(to));
                    Segment::QuadTo(x1, y1, x, y)
                }
                PathSegment::CubicTo(by, then, to) => {
                    let ((x1, y1), (x2, y2)) = (self.place(by), self.place(then));
                    let (x, y) = self.place(to);
                    Segment::CubicTo(x1, y1, x2, y2, x, y)
                }
                PathSegment::Close => Segment::Close,
            });
        }
        contours.finish()
    }
}

/// Contours under construction.
#[derive(Default)]
struct Contours {
    /// Segments of finished contours and of the one at hand.
    segments: Vec<Segment>,
    /// Where the open contour starts in them, if one is open.
    open: Option<usize>,
    /// Contours no wider than this have no area, in millimetres.
    sliver: f64,
    /// Whether a coordinate cannot be reckoned with.
    broken: bool,
}

impl Contours {
    /// Adds a segment; a new contour closes the one before, as filling does.
    fn push(&mut self, segment: Segment) {
        match segment {
            Segment::Close => return self.close(),
            Segment::MoveTo(..) => self.close(),
            _ => {}
        }
        self.broken |= !points_of(&[segment]).all(|(x, y)| x.abs() < FAR && y.abs() < FAR);
        self.open.get_or_insert(self.segments.len());
        self.segments.push(segment);
    }

    /// Closes the open contour. One without area is taken back: filled, it shows nothing, yet
    /// some rasterisers would paint the dots it touches.
    fn close(&mut self) {
        if let Some(start) = self.open.take() {
            match is_straight(&self.segments[start..], self.sliver) {
                true => self.segments.truncate(start),
                false => self.segments.push(Segment::Close),
            }
        }
    }

    /// The finished contours; none when a coordinate cannot be reckoned with.
    fn finish(mut self) -> Option<Vec<Segment>> {
        self.close();
        (!self.broken).then_some(self.segments)
    }
}

/// Whether all points of a contour lie on one straight line, give or take `sliver`.
fn is_straight(contour: &[Segment], sliver: f64) -> bool {
    let mut points = points_of(contour);
    let Some((x, y)) = points.next() else { return true };
    let offsets: Vec<(f64, f64)> = points.map(|point| (point.0 - x, point.1 - y)).collect();
    let length = |offset: &(f64, f64)| offset.0 * offset.0 + offset.1 * offset.1;
    let Some(far) = offsets.iter().max_by(|a, b| length(a).total_cmp(&length(b))) else {
        return true;
    };
    let reach = sliver * length(far).sqrt();
    offsets.iter().all(|offset| (far.0 * offset.1 - far.1 * offset.0).abs() <= reach)
}
