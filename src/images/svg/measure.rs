//! The extent of an SVG file, before it is resolved.
//!
//! In: the XML. Out: nothing, or the limit that is exceeded. The resolver repeats what `use`
//! refers to and measures every stroke, so a short file can keep it busy for hours, or make its
//! numbers overflow; here the same is reckoned in a moment. Hidden parts and unused definitions
//! are repeated by the resolver as well and therefore count. Not here: what is shown (`check`).

use std::collections::BTreeMap;
use std::str::FromStr;

use svgtypes::{
    Length, LengthUnit, NumberListParser, PathParser, PathSegment, SimplePathSegment,
    SimplifyingPathParser, Transform, ViewBox,
};
use usvg::roxmltree::Node;

use super::super::ImageError;
use super::element::{Ids, find_target, is_svg, problem};
use super::property;

/// The most elements, each `use` counted with all that it repeats.
pub(super) const MAX_ELEMENTS: usize = 20_000;

/// The deepest nesting, each `use` counted as one level above what it repeats.
const MAX_DEPTH: usize = 64;

/// How far from its origin a shape may reach, in CSS pixels: 2.6 km.
const MAX_REACH: f64 = 1e7;

/// CSS pixels in the largest unit of length, the inch.
const PX_PER_INCH: f64 = 96.0;

/// Attributes that say where a shape lies and how large it is.
const GEOMETRY: [&str; 13] =
    ["x", "y", "width", "height", "r", "rx", "ry", "cx", "cy", "x1", "y1", "x2", "y2"];

/// Checks the extent of all below `root`.
pub(super) fn check_extent<'d>(root: Node<'d, '_>, ids: &Ids<'d, '_>) -> Result<(), ImageError> {
    let viewport = root.descendants().map(viewport_of).fold(100.0, f64::max);
    let mut measure = SvgMeasure { ids, viewport, repeated: BTreeMap::new() };
    measure.extent_of(root, 0).map(|_| ())
}

/// The extent of a part of the drawing, repetitions included.
#[derive(Clone, Copy, Default)]
struct DrawingExtent {
    /// How many it comes to when all `use` elements are followed.
    elements: usize,
    /// Levels below its top.
    depth: usize,
    /// How far it reaches from the origin of the coordinates it stands in, at most.
    reach: f64,
}

impl DrawingExtent {
    /// Grows by a part below; too many elements are an error.
    fn enclose(&mut self, part: DrawingExtent) -> Result<(), ImageError> {
        self.elements = self.elements.saturating_add(part.elements);
        self.depth = self.depth.max(part.depth + 1);
        self.reach = self.reach.max(part.reach);
        match self.elements > MAX_ELEMENTS {
            true => Err(ImageError::TooComplex { what: "elements", limit: MAX_ELEMENTS }),
            false => Ok(()),
        }
    }
}

/// The state of measuring.
struct SvgMeasure<'i, 'd, 'input> {
    /// Elements by their id.
    ids: &'i Ids<'d, 'input>,
    /// The largest viewport there can be, in CSS pixels.
    viewport: f64,
    /// The extents of elements that a `use` repeats; none while one is being measured.
    repeated: BTreeMap<&'d str, Option<DrawingExtent>>,
}

impl<'d, 'input> SvgMeasure<'_, 'd, 'input> {
    /// The extent of an element, `depth` levels below the root.
    fn extent_of(
        &mut self,
        node: Node<'d, 'input>,
        depth: usize,
    ) -> Result<DrawingExtent, ImageError> {
        if !is_svg(node) {
            return Ok(DrawingExtent::default());
        }
        check_depth(depth)?;
        let mut extent = DrawingExtent { elements: 1, depth: 1, reach: 0.0 };
        for child in node.children() {
            extent.enclose(self.extent_of(child, depth + 1)?)?;
        }
        if node.has_tag_name("use") {
            extent.enclose(self.repeated_extent(node, depth + 1)?)?;
        }
        extent.reach = self.placed_reach(node, extent.reach);
        // Written so that a value that is not a number (NaN) is refused as too much, too.
        match extent.reach <= MAX_REACH {
            true => Ok(extent),
            false => Err(problem(
                node,
                "is far too large or lies far outside the drawing",
                "remove it in the drawing program, or bring it to its size there",
            )),
        }
    }

    /// The extent of what a `use` element repeats.
    fn repeated_extent(
        &mut self,
        node: Node<'d, 'input>,
        depth: usize,
    ) -> Result<DrawingExtent, ImageError> {
        let (id, target) = find_target(node, self.ids)?;
        let extent = match self.repeated.get(id) {
            Some(Some(known)) => *known,
            Some(None) => {
                let words = format!("repeats `{id}`, which holds it");
                return Err(problem(node, &words, "remove it in the drawing program"));
            }
            None => {
                self.repeated.insert(id, None);
                let found = self.extent_of(target, depth)?;
                self.repeated.insert(id, Some(found));
                found
            }
        };
        check_depth(depth + extent.depth)?;
        Ok(extent)
    }

    /// How far an element reaches in the coordinates it stands in, if all below it reaches
    /// `inner` in its own.
    fn placed_reach(&self, node: Node<'_, '_>, inner: f64) -> f64 {
        let view_box = node.attribute("viewBox").and_then(|text| ViewBox::from_str(text).ok());
        let shown = view_box.map_or(inner, |view| {
            (inner + view.x.abs() + view.y.abs()) * self.viewport / view.w.min(view.h)
        });
        let reach = shown + self.own_reach(node);
        let style = node.attribute("style").unwrap_or("");
        let styled = property::declarations(style).filter(|(name, _)| *name == "transform");
        // Of several transforms one counts; the largest errs on the safe side.
        let transforms = styled.map(|(_, value)| value).chain(node.attribute("transform"));
        transforms
            .filter_map(|text| Transform::from_str(text).ok())
            .map(|t| reach * magnification(t) + t.e.abs() + t.f.abs())
            .reduce(f64::max)
            .unwrap_or(reach)
    }

    /// How far a shape reaches in its own coordinates.
    fn own_reach(&self, node: Node<'_, '_>) -> f64 {
        match node.tag_name().name() {
            "path" => path_reach(node.attribute("d").unwrap_or("")),
            "polygon" | "polyline" => {
                NumberListParser::from(node.attribute("points").unwrap_or(""))
                    .map_while(Result::ok)
                    .fold(0.0, |reach, number| reach.max(number.abs()))
            }
            _ => GEOMETRY
                .iter()
                .filter_map(|name| Length::from_str(node.attribute(*name)?).ok())
                .map(|length| self.pixels(length).abs())
                .sum(),
        }
    }

    /// A length in CSS pixels, at most.
    fn pixels(&self, length: Length) -> f64 {
        length.number
            * match length.unit {
                LengthUnit::None | LengthUnit::Px => 1.0,
                LengthUnit::Percent => self.viewport / 100.0,
                _ => PX_PER_INCH,
            }
    }
}

/// Refuses nesting beyond [`MAX_DEPTH`].
fn check_depth(depth: usize) -> Result<(), ImageError> {
    match depth > MAX_DEPTH {
        true => Err(ImageError::TooComplex { what: "levels of nesting", limit: MAX_DEPTH }),
        false => Ok(()),
    }
}

/// The largest side of the viewport that an element can set up, in CSS pixels, at most.
fn viewport_of(node: Node<'_, '_>) -> f64 {
    let view_box = node.attribute("viewBox").and_then(|text| ViewBox::from_str(text).ok());
    let sides = ["width", "height"].into_iter().filter_map(|name| {
        let length = Length::from_str(node.attribute(name)?).ok()?;
        match length.unit {
            LengthUnit::Percent => None,
            LengthUnit::None | LengthUnit::Px => Some(length.number),
            _ => Some(length.number * PX_PER_INCH),
        }
    });
    sides.chain(view_box.map(|view| view.w.max(view.h))).fold(0.0, f64::max)
}

/// How far the points of a path lie from the origin, at most; infinite when a number in it is
/// larger than [`MAX_REACH`], because dividing such arcs takes long.
fn path_reach(data: &str) -> f64 {
    let far = |values: &[f64]| values.iter().fold(0.0, |far: f64, value| far.max(value.abs()));
    let largest = PathParser::from(data).map_while(Result::ok).map(|segment| match segment {
        PathSegment::MoveTo { x, y, .. }
        | PathSegment::LineTo { x, y, .. }
        | PathSegment::SmoothQuadratic { x, y, .. } => far(&[x, y]),
        PathSegment::HorizontalLineTo { x, .. } => x.abs(),
        PathSegment::VerticalLineTo { y, .. } => y.abs(),
        PathSegment::CurveTo { x1, y1, x2, y2, x, y, .. } => far(&[x1, y1, x2, y2, x, y]),
        PathSegment::SmoothCurveTo { x2, y2, x, y, .. } => far(&[x2, y2, x, y]),
        PathSegment::Quadratic { x1, y1, x, y, .. } => far(&[x1, y1, x, y]),
        PathSegment::EllipticalArc { rx, ry, x, y, .. } => far(&[rx, ry, x, y]),
        PathSegment::ClosePath { .. } => 0.0,
    });
    if largest.fold(0.0, f64::max) > MAX_REACH {
        return f64::INFINITY;
    }
    SimplifyingPathParser::from(data).map_while(Result::ok).fold(0.0, |reach, segment| {
        let here = match segment {
            SimplePathSegment::MoveTo { x, y } | SimplePathSegment::LineTo { x, y } => far(&[x, y]),
            SimplePathSegment::CurveTo { x1, y1, x2, y2, x, y } => far(&[x1, y1, x2, y2, x, y]),
            SimplePathSegment::Quadratic { x1, y1, x, y } => far(&[x1, y1, x, y]),
            SimplePathSegment::ClosePath => 0.0,
        };
        reach.max(here)
    })
}

/// By how much a transform can lengthen a line: the larger singular value of its matrix.
fn magnification(t: Transform) -> f64 {
    let squares = t.a * t.a + t.b * t.b + t.c * t.c + t.d * t.d;
    let determinant = t.a * t.d - t.b * t.c;
    let root = (squares * squares - 4.0 * determinant * determinant).max(0.0).sqrt();
    ((squares + root) / 2.0).sqrt()
}
