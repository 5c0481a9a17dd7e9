//! Pictures and large outlines: encoded once, however many pages show them.
//!
//! In: rasters and outlines of a scene. Out: [`Art`], the body of an image or form object, known
//! by a hash of its content. Not here: where it stands on a page (`page`), its object number
//! (`writer`).

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError, Weak};

use crate::geom::{FillRule, Segment};
use crate::images::Raster;
use crate::scene::Outline;

use super::super::marks::pack_rows;
use super::content::push_outline;
use super::deflate::deflate;
use super::digest::Digest;

/// Outlines with more segments than this are worth an object of their own.
const LARGEST_INLINE: usize = 24;

/// The finest that an outline's numbers tell apart, as a share of its extent.
const OUTLINE_STEPS: f64 = 50_000.0;

/// Something that pages show by name.
#[derive(Debug)]
pub(super) struct Art {
    /// The hash of its content.
    pub(super) digest: u128,
    /// Pixels or contours, with what their dictionary says.
    pub(super) kind: ArtKind,
    /// The body of its object, compressed where the options say so.
    pub(super) data: Vec<u8>,
}

/// Pixels or contours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum ArtKind {
    /// Pixels; 0 is white in one-bit pictures and dark in others.
    Image {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
        /// Bits in a pixel: 1, 8, or 24 for red, green and blue.
        bits: u8,
    },
    /// A filled outline in its own units, y upwards: left, lower, right and upper edge.
    Form([f64; 4]),
}

/// What an entry of the cache was made from; it does not keep that alive.
enum ArtSource {
    /// A picture.
    Raster(Weak<Raster>),
    /// Contours of a drawing.
    Outline(Weak<[Segment]>),
}

impl ArtSource {
    /// Whether anyone else still holds it.
    fn is_alive(&self) -> bool {
        match self {
            ArtSource::Raster(raster) => raster.strong_count() > 0,
            ArtSource::Outline(segments) => segments.strong_count() > 0,
        }
    }
}

/// Where a source lies in memory, and whether it is filled by the even-odd rule. An address cannot
/// be used again while an entry holds a weak reference to it.
type ArtKey = (usize, bool);

/// Art by its source, for as long as the source lives.
#[derive(Default)]
struct ArtShelf {
    /// What was made, by the address of its source.
    entries: BTreeMap<ArtKey, (ArtSource, Arc<Art>)>,
    /// How many entries there may be before the dead ones are cleared out.
    limit: usize,
}

/// The art that pages share; threads may share it too.
#[derive(Default)]
pub(super) struct ArtCache {
    /// Its contents.
    shelf: Mutex<ArtShelf>,
}

impl ArtCache {
    /// A picture as the body of its object; made once while the picture is kept.
    pub(super) fn get_picture(&self, raster: &Arc<Raster>, compress: bool) -> Arc<Art> {
        let key = (Arc::as_ptr(raster).addr(), false);
        let source = || ArtSource::Raster(Arc::downgrade(raster));
        self.get(key, source, || encode_raster(raster, compress))
    }

    /// An outline's art, or `None` for one so small that it is better painted in place.
    pub(super) fn get_outline(&self, outline: &Outline, compress: bool) -> Option<Arc<Art>> {
        let segments = &outline.segments;
        if segments.len() <= LARGEST_INLINE {
            return None;
        }
        let key = (Arc::as_ptr(segments).addr(), outline.rule == FillRule::EvenOdd);
        let source = || ArtSource::Outline(Arc::downgrade(segments));
        Some(self.get(key, source, || encode_outline(segments, outline.rule, compress)))
    }

    /// The art under a key, made when it is not there. Two threads may both make it; it comes out
    /// the same.
    fn get(
        &self,
        key: ArtKey,
        source: impl FnOnce() -> ArtSource,
        make: impl FnOnce() -> Art,
    ) -> Arc<Art> {
        let lock = || self.shelf.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, known)) = lock().entries.get(&key) {
            return Arc::clone(known);
        }
        let made = Arc::new(make());
        let mut shelf = lock();
        if shelf.entries.len() >= shelf.limit {
            shelf.entries.retain(|_, (source, _)| source.is_alive());
            shelf.limit = 2 * shelf.entries.len() + 16;
        }
        shelf.entries.insert(key, (source(), Arc::clone(&made)));
        made
    }
}

/// Compresses data if asked to.
fn pack(data: Vec<u8>, compress: bool) -> Vec<u8> {
    if compress { deflate(&data) } else { data }
}

/// Encodes a picture. Pixels that are missing at its end are white.
fn encode_raster(raster: &Raster, compress: bool) -> Art {
    let (width, height, bits, data) = match raster {
        Raster::Gray(image) => {
            let mut pixels = image.pixels.clone();
            pixels.resize(image.width as usize * image.height as usize, 0xFF);
            (image.width, image.height, 8, pixels)
        }
        Raster::Colour(image) => {
            let mut pixels = image.pixels.clone();
            pixels.resize(image.width as usize * image.height as usize * 3, 0xFF);
            (image.width, image.height, 24, pixels)
        }
        Raster::Bits(image) => (image.width, image.height, 1, pack_rows(image)),
    };
    let mut digest = Digest::new();
    digest.add_word(u64::from(width) << 32 | u64::from(height));
    digest.add_word(u64::from(bits));
    digest.add(&data);
    let kind = ArtKind::Image { width, height, bits };
    Art { digest: digest.finish(), kind, data: pack(data, compress) }
}

/// Encodes an outline in its own units.
fn encode_outline(segments: &[Segment], rule: FillRule, compress: bool) -> Art {
    let bounds = find_bounds(segments);
    let mut data = Vec::new();
    push_outline(&mut data, segments, rule, outline_decimals(bounds));
    let mut digest = Digest::new();
    digest.add(&data);
    Art { digest: digest.finish(), kind: ArtKind::Form(bounds), data: pack(data, compress) }
}

/// The box around all points of an outline, control points included: left, lower, right and upper
/// edge; empty at the origin for an outline without points.
pub(super) fn find_bounds(segments: &[Segment]) -> [f64; 4] {
    let mut bounds: Option<[f64; 4]> = None;
    let mut add = |x: f64, y: f64| {
        let [left, low, right, high] = bounds.unwrap_or([x, y, x, y]);
        bounds = Some([left.min(x), low.min(y), right.max(x), high.max(y)]);
    };
    for segment in segments {
        match *segment {
            Segment::MoveTo(x, y) | Segment::LineTo(x, y) => add(x, y),
            Segment::QuadTo(cx, cy, x, y) => {
                add(cx, cy);
                add(x, y);
            }
            Segment::CubicTo(ax, ay, bx, by, x, y) => {
                add(ax, ay);
                add(bx, by);
                add(x, y);
            }
            Segment::Close => (),
        }
    }
    bounds.unwrap_or_default()
}

/// Decimals that an outline's numbers need.
pub(super) fn outline_decimals([left, low, right, high]: [f64; 4]) -> usize {
    let extent = (right - left).max(high - low);
    let steps = [1.0, 10.0, 100.0, 1_000.0, 10_000.0, 100_000.0];
    steps.iter().position(|step| extent * step >= OUTLINE_STEPS).unwrap_or(steps.len())
}
