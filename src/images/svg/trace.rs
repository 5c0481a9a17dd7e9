//! Resolved SVG shapes to filled outlines.
//!
//! In: the tree that usvg resolved, and the XML for places in messages. Out: [`Shape`]s in
//! painting order, strokes turned into fills, colours into black or white, all in millimetres.
//! Coordinates are rounded to a step far below any printer's dot (see [`Tracer::step`]): usvg
//! turns and bends in 32-bit floats with the platform's sines, and rounding makes the last bits,
//! where platforms differ, all but vanish. Not here: what the tree no longer shows (`check`).

use usvg::roxmltree::Document;
use usvg::tiny_skia_path::{Path as FlatPath, Transform};
use usvg::{BlendMode, Group, Node, Paint, PaintOrder, Path, Tree};

use super::super::error::ImageError;
use super::super::picture::Shape;
use super::check::PLAIN_HINT;
use super::clip::{Convex, clip_outline};
use super::contours::PathPlacement;
use super::element::problem;
use super::stroke::StrokePen;
use crate::colour::Rgb;
use crate::geom::{FillRule, Segment};

/// The most segments of all shapes put together, before they are cut.
const MAX_SEGMENTS: usize = 400_000;

/// There are too many segments, or would be.
const TOO_MANY_SEGMENTS: ImageError =
    ImageError::TooComplex { what: "segments", limit: MAX_SEGMENTS };

/// Pixels across the larger side for which curves of strokes are followed to a pixel.
const STROKE_PIXELS: f32 = 8192.0;

/// Traces all shapes of a drawing of `width` by `height` millimetres.
pub(super) fn trace_tree(
    document: &Document<'_>,
    tree: &Tree,
    width: f64,
    height: f64,
) -> Result<Vec<Shape>, ImageError> {
    let larger = tree.size().width().max(tree.size().height());
    let mut tracer = Tracer {
        document,
        step: rounding_step(width.max(height)),
        stroke_scale: STROKE_PIXELS / larger,
        clips: vec![Convex::rectangle(width, height)],
        segments: 0,
        shapes: Vec::new(),
    };
    tracer.trace_group(tree.root(), tree.root().abs_transform())?;
    Ok(tracer.shapes)
}

/// The largest power of two that divides `extent` into at least 2¹⁸ steps: 0.2 to 0.4 µm in a
/// drawing of 100 mm.
fn rounding_step(extent: f64) -> f64 {
    let mut step = 1.0_f64;
    while step * 262_144.0 > extent {
        step /= 2.0;
    }
    while step * 524_288.0 <= extent {
        step *= 2.0;
    }
    step
}

/// The state of tracing.
struct Tracer<'d, 'input> {
    /// The XML, for places in messages.
    document: &'d Document<'input>,
    /// What coordinates are rounded to, in millimetres; a power of two.
    step: f64,
    /// How finely curves of strokes are followed, in pixels a CSS pixel.
    stroke_scale: f32,
    /// The areas that everything is cut to, in millimetres: the drawing's own, then clip paths.
    clips: Vec<Convex>,
    /// Segments so far.
    segments: usize,
    /// Shapes so far.
    shapes: Vec<Shape>,
}

impl Tracer<'_, '_> {
    /// Traces a group whose coordinates `transform` brings to CSS pixels of the drawing.
    fn trace_group(&mut self, group: &Group, transform: Transform) -> Result<(), ImageError> {
        let opacity = group.opacity().get();
        if opacity == 0.0 {
            return Ok(());
        }
        let hint = "make it opaque, or expand it into plain paths in the drawing program";
        if opacity < 1.0 {
            return Err(self.problem(group.id(), "group", "is partly transparent", hint));
        }
        if group.blend_mode() != BlendMode::Normal {
            return Err(self.problem(group.id(), "group", "is blended with what lies below", hint));
        }
        if group.mask().is_some() || !group.filters().is_empty() {
            return Err(self.problem(group.id(), "group", "has a mask or a filter", hint));
        }
        let clips = self.clips.len();
        if let Some(clip) = group.clip_path() {
            self.add_clip(clip, transform)?;
        }
        for node in group.children() {
            match node {
                Node::Group(inner) => {
                    self.trace_group(inner, transform.pre_concat(inner.transform()))?;
                }
                Node::Path(path) => self.trace_path(path, transform)?,
                Node::Image(image) => {
                    let hint = "trace the picture into paths, or save the whole as PNG";
                    return Err(self.problem(image.id(), "image", "is a picture", hint));
                }
                Node::Text(text) => {
                    let hint = "turn its text into paths in the drawing program";
                    return Err(self.problem(text.id(), "text", "is text", hint));
                }
            }
        }
        self.clips.truncate(clips);
        Ok(())
    }

    /// Adds the area of a clip path, and of those that clip it in turn.
    fn add_clip(&mut self, clip: &usvg::ClipPath, transform: Transform) -> Result<(), ImageError> {
        if let Some(outer) = clip.clip_path() {
            self.add_clip(outer, transform)?;
        }
        let area = self.clip_area(clip.root(), transform.pre_concat(clip.transform()))?;
        let area = area.ok_or_else(|| {
            let hint = "cut the paths themselves along the clip in the drawing program, or save \
                        the whole as PNG";
            self.problem(clip.id(), "clipPath", "is not a single rectangle", hint)
        })?;
        self.clips.push(area);
        Ok(())
    }

    /// The convex area of a clip path's only shape; none when it is anything else.
    fn clip_area(
        &mut self,
        group: &Group,
        transform: Transform,
    ) -> Result<Option<Convex>, ImageError> {
        if let Some(inner) = group.clip_path() {
            self.add_clip(inner, transform)?;
        }
        match group.children() {
            [Node::Group(only)] => self.clip_area(only, transform.pre_concat(only.transform())),
            [Node::Path(only)] => {
                let placement = PathPlacement::new(transform);
                let outline = placement.contours(only.data(), self.step).ok_or_else(too_far)?;
                Ok(Convex::from_outline(&outline))
            }
            _ => Ok(None),
        }
    }

    /// Traces the fill and the stroke of a path.
    fn trace_path(&mut self, path: &Path, transform: Transform) -> Result<(), ImageError> {
        if !path.is_visible() {
            return Ok(());
        }
        match path.paint_order() {
            PaintOrder::FillAndStroke => {
                self.trace_fill(path, transform)?;
                self.trace_stroke(path, transform)
            }
            PaintOrder::StrokeAndFill => {
                self.trace_stroke(path, transform)?;
                self.trace_fill(path, transform)
            }
        }
    }

    /// Adds the fill as a shape; nothing where the path has none.
    fn trace_fill(&mut self, path: &Path, transform: Transform) -> Result<(), ImageError> {
        let Some(fill) = path.fill() else { return Ok(()) };
        let Some(colour) = self.plain_colour(path, fill.paint(), fill.opacity().get(), "fill")?
        else {
            return Ok(());
        };
        let rule = match fill.rule() {
            usvg::FillRule::NonZero => FillRule::NonZero,
            usvg::FillRule::EvenOdd => FillRule::EvenOdd,
        };
        self.add_shape(path.data(), PathPlacement::new(transform), rule, colour)
    }

    /// Traces the stroke of a path as the outline of its line.
    fn trace_stroke(&mut self, path: &Path, transform: Transform) -> Result<(), ImageError> {
        let Some(stroke) = path.stroke() else { return Ok(()) };
        let opacity = stroke.opacity().get();
        let Some(colour) = self.plain_colour(path, stroke.paint(), opacity, "stroke")? else {
            return Ok(());
        };
        let pen = StrokePen::new(path, stroke, transform, self.stroke_scale);
        let pen = pen.ok_or_else(too_far)?;
        self.segments = self.segments.saturating_add(pen.least_segments());
        if self.segments > MAX_SEGMENTS {
            return Err(TOO_MANY_SEGMENTS);
        }
        let Some(outline) = pen.outline() else {
            let hint = "expand its stroke into a path in the drawing program";
            return Err(self.problem(path.id(), "path", "has a stroke that cannot be drawn", hint));
        };
        self.add_shape(&outline, pen.placement(), FillRule::NonZero, colour)
    }

    /// The colour of a paint; none when it is not visible at all.
    fn plain_colour(
        &self,
        path: &Path,
        paint: &Paint,
        opacity: f32,
        which: &str,
    ) -> Result<Option<Rgb>, ImageError> {
        if opacity == 0.0 {
            return Ok(None);
        }
        let refuse = |what: &str, hint| {
            Err(self.problem(path.id(), "path", &format!("has a {which} that is {what}"), hint))
        };
        match paint {
            Paint::LinearGradient(_) | Paint::RadialGradient(_) => refuse("a gradient", PLAIN_HINT),
            Paint::Pattern(_) => refuse("a pattern", PLAIN_HINT),
            Paint::Color(_) if opacity < 1.0 => refuse("partly transparent", "make it opaque"),
            Paint::Color(color) => {
                Ok(Some(Rgb { red: color.red, green: color.green, blue: color.blue }))
            }
        }
    }

    /// Adds an outline, cut to what is visible.
    fn add_shape(
        &mut self,
        path: &FlatPath,
        placement: PathPlacement,
        rule: FillRule,
        colour: Rgb,
    ) -> Result<(), ImageError> {
        let outline = placement.contours(path, self.step).ok_or_else(too_far)?;
        self.segments += outline.len();
        if self.segments > MAX_SEGMENTS {
            return Err(TOO_MANY_SEGMENTS);
        }
        let clipped = clip_outline(outline, &self.clips, self.step).ok_or(TOO_MANY_SEGMENTS)?;
        let segments: Vec<Segment> = clipped.iter().map(|part| self.round(*part)).collect();
        if segments.is_empty() {
            return Ok(());
        }
        let white = !colour.is_dark();
        self.shapes.push(Shape { segments: segments.into(), rule, white, colour });
        Ok(())
    }

    /// A segment with its coordinates rounded to the step.
    fn round(&self, segment: Segment) -> Segment {
        // Adding zero turns a negative zero into the common one.
        let r = |value: f64| (value / self.step).round() * self.step + 0.0;
        match segment {
            Segment::MoveTo(x, y) => Segment::MoveTo(r(x), r(y)),
            Segment::LineTo(x, y) => Segment::LineTo(r(x), r(y)),
            Segment::QuadTo(x1, y1, x, y) => Segment::QuadTo(r(x1), r(y1), r(x), r(y)),
            Segment::CubicTo(x1, y1, x2, y2, x, y) => {
                Segment::CubicTo(r(x1), r(y1), r(x2), r(y2), r(x), r(y))
            }
            Segment::Close => Segment::Close,
        }
    }

    /// An error about an element known by its id, or by its kind when it has none.
    fn problem(&self, id: &str, kind: &str, what: &str, hint: &str) -> ImageError {
        let named = self.document.descendants().find(|node| node.attribute("id") == Some(id));
        match named {
            Some(node) if !id.is_empty() => problem(node, what, hint),
            _ => ImageError::NotOutlines {
                line: None,
                problem: format!("a `{kind}` without an id {what}"),
                hint: hint.to_owned(),
            },
        }
    }
}

/// The error for a shape whose coordinates cannot be reckoned with.
fn too_far() -> ImageError {
    ImageError::NotOutlines {
        line: None,
        problem: "a shape is far too large or lies far outside the drawing".to_owned(),
        hint: "remove it in the drawing program".to_owned(),
    }
}
