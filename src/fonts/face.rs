//! One font face: its measures, its outlines and what its licence bits allow.
//!
//! Comes in: the bytes of a TrueType or OpenType file. Goes out: a checked
//! [`Face`] that answers in em. Shaping and the choice between faces are not
//! its job.

use std::sync::OnceLock;

use read_fonts::TableProvider;
use read_fonts::model::glyph::outline::{DrawMemory, DrawOptions, OutlineSource, PathSink};
use read_fonts::model::name::NameId;
use read_fonts::model::{Blob, Font, Format};
use read_fonts::types::{F48Dot16, GlyphId};

use super::cut::Cut;
use super::error::FontError;
use super::spaces;
use crate::geom::Segment;

/// Measures of a face; all lengths in em, y upwards, unless said otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceMetrics {
    /// Height above the baseline that a line reserves.
    pub ascent: f64,
    /// Depth below the baseline that a line reserves, as a negative number.
    pub descent: f64,
    /// Extra space between two lines that the font asks for.
    pub line_gap: f64,
    /// Height of a flat capital; the top of `H` where the font does not say, else 0.7.
    pub cap_height: f64,
    /// Height of a flat small letter; the top of `x` where the font does not say, else 0.5.
    pub x_height: f64,
    /// Font units in one em.
    pub units_per_em: u16,
    /// Slant in degrees, counter-clockwise from upright; 0 for upright faces.
    pub italic_angle: f64,
    /// Weight class of OS/2, 1 to 1000; 400 where the font does not say.
    pub weight: u16,
    /// Box round all glyphs of the face.
    pub bbox: GlyphBox,
    /// PostScript name, only characters that a PDF name may hold unescaped.
    pub postscript_name: String,
    /// Family under which the face was added to the book.
    pub family: String,
}

/// A box in em, y upwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlyphBox {
    /// Left edge.
    pub x_min: f64,
    /// Lower edge.
    pub y_min: f64,
    /// Right edge.
    pub x_max: f64,
    /// Upper edge.
    pub y_max: f64,
}

/// What the licence bits of a face (OS/2 `fsType`) allow a document to carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Embedding {
    /// The face may be embedded, cut down to the glyphs used.
    Subset,
    /// The face may be embedded, but only whole.
    WholeOnly,
    /// The face may not be embedded as outlines.
    Forbidden,
}

/// What a font file says of one of the faces in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FaceLabel {
    /// Position in the file; above 0 only in a collection (`.ttc`, `.otc`).
    pub index: u32,
    /// Family name, the typographic one where there is one.
    pub family: String,
    /// Style name, such as `Condensed Bold`.
    pub style: String,
    /// The cut it can serve as; none for widths and weights without a cut.
    pub cut: Option<Cut>,
    /// Whether the face has variation axes; it is then used at its default position.
    pub variable: bool,
}

/// A face that passed its checks, with everything slow already read.
#[derive(Clone)]
pub(super) struct Face {
    /// Parsed view that shaping and drawing share.
    pub(super) font: Font,
    /// The file's bytes.
    pub(super) data: Blob,
    /// Position in the file.
    pub(super) index: u32,
    /// Measures in em.
    pub(super) metrics: FaceMetrics,
    /// What the licence bits allow.
    pub(super) embedding: Embedding,
    /// Whether no lookup reaches across a word space; found on first use.
    spaces_apart: OnceLock<bool>,
}

impl Face {
    /// Checks `data` and reads face number `index` of it for `family`.
    pub(super) fn new(data: Blob, index: u32, family: &str) -> Result<Self, FontError> {
        let font = open_face(&data, index)?;
        check_outlines(&font)?;
        if !font.charmap().has_unicode() {
            return Err(FontError::NoCharacterMap);
        }
        let metrics = read_metrics(&font, family);
        let embedding = read_embedding(&font);
        Ok(Self { font, data, index, metrics, embedding, spaces_apart: OnceLock::new() })
    }

    /// Says whether the words of a line can be shaped one by one.
    pub(super) fn shapes_by_word(&self) -> bool {
        *self.spaces_apart.get_or_init(|| !spaces::reaches_across_spaces(&self.font))
    }

    /// Draws glyph `id` in em; no segments for a blank glyph.
    pub(super) fn outline(&self, id: u16) -> Result<Vec<Segment>, FontError> {
        let units = f64::from(self.metrics.units_per_em);
        draw(&self.font, GlyphId::from(id), units).ok_or(FontError::UnreadableGlyph { glyph: id })
    }

    /// Gives the box round the ink of glyph `id`, none for a blank or unreadable glyph.
    pub(super) fn glyph_bounds(&self, id: u16) -> Option<GlyphBox> {
        let outline = self.outline(id).ok()?;
        outline_bounds(&outline)
    }
}

/// Opens face `index` of a TrueType, OpenType or collection file.
fn open_face(data: &Blob, index: u32) -> Result<Font, FontError> {
    let count = count_faces(data)?;
    if index >= count {
        return Err(FontError::NoSuchFace { index, count });
    }
    Font::new(data.clone(), index).ok_or(FontError::NotAFont { found: "a damaged font" })
}

/// Counts the faces of a file, refusing what is no TrueType or OpenType file.
fn count_faces(data: &[u8]) -> Result<u32, FontError> {
    match Format::new(data) {
        Some(Format::Sfnt(count)) => Ok(count),
        _ => Err(FontError::NotAFont { found: name_kind(data) }),
    }
}

/// Names what a file that is no TrueType or OpenType font seems to be.
fn name_kind(data: &[u8]) -> &'static str {
    match data {
        [] => "an empty file",
        [b'w', b'O', b'F', b'F' | b'2', ..] => "a WOFF web font",
        [b'%', b'!', ..] | [0x80, 0x01, ..] => "a PostScript Type 1 font",
        _ => "something else",
    }
}

/// Refuses faces whose outlines neither a PDF nor our rasteriser can take.
fn check_outlines(font: &Font) -> Result<(), FontError> {
    match font.outline_glyphs().source() {
        Some(OutlineSource::Glyf | OutlineSource::Cff) => Ok(()),
        Some(OutlineSource::Cff2) => Err(FontError::NoOutlines { found: "variable CFF2 outlines" }),
        Some(_) => Err(FontError::NoOutlines { found: "outlines of another kind" }),
        None => Err(FontError::NoOutlines { found: "only bitmaps or none" }),
    }
}

/// Reads the measures of a face and turns them into em.
fn read_metrics(font: &Font, family: &str) -> FaceMetrics {
    let read = font.metrics();
    let units = f64::from(read.units_per_em);
    let em = |value: F48Dot16| value.to_f64() / units;
    let line = read.h_line().unwrap_or_default();
    let os2 = font.tables().os2().ok();
    let height_of = |letter| read_height(font, letter, units);
    let stated = |value: Option<F48Dot16>| value.map(em).filter(|height| *height > 0.0);
    FaceMetrics {
        ascent: em(line.ascender),
        descent: em(line.descender),
        line_gap: em(line.line_gap),
        cap_height: stated(read.cap_height).or_else(|| height_of('H')).unwrap_or(0.7),
        x_height: stated(read.x_height).or_else(|| height_of('x')).unwrap_or(0.5),
        units_per_em: read.units_per_em,
        italic_angle: font.style_metrics().italic_angle.map_or(0.0, |angle| angle.to_f64()),
        weight: os2.map_or(400, |os2| os2.us_weight_class()),
        bbox: GlyphBox {
            x_min: em(read.bounds.x_min),
            y_min: em(read.bounds.y_min),
            x_max: em(read.bounds.x_max),
            y_max: em(read.bounds.y_max),
        },
        postscript_name: read_postscript_name(font, family),
        family: family.to_owned(),
    }
}

/// Top of a letter's outline in em, where the face has the letter.
fn read_height(font: &Font, letter: char, units: f64) -> Option<f64> {
    let id = font.charmap().map_unicode(letter)?;
    let path = draw(font, id, units)?;
    Some(outline_bounds(&path)?.y_max)
}

/// Draws a glyph in em; nothing if the face has none such or it is damaged.
fn draw(font: &Font, id: GlyphId, units: f64) -> Option<Vec<Segment>> {
    let glyph = font.outline_glyphs().get(id)?;
    let mut pen = EmPen { units, path: Vec::new() };
    let drawn = glyph.draw(&DrawOptions::default(), DrawMemory::Scratch, &mut pen);
    drawn.is_ok().then_some(pen.path)
}

/// Reads the PostScript name, made from the family where the font has none.
fn read_postscript_name(font: &Font, family: &str) -> String {
    let clean = |name: &str| -> String {
        // ISO 32000-1 §7.3.5: regular characters; delimiters would need escapes.
        name.chars()
            .filter(|c| c.is_ascii_graphic() && !"()<>[]{}/%#".contains(*c))
            .take(63)
            .collect()
    };
    let own = read_name(font, NameId::POSTSCRIPT_NAME).map(|name| clean(&name));
    own.filter(|name| !name.is_empty())
        .or_else(|| Some(clean(family)).filter(|name| !name.is_empty()))
        .unwrap_or_else(|| "Unnamed".to_owned())
}

/// Reads one entry of the name table, the English one where there are several.
fn read_name(font: &Font, id: NameId) -> Option<String> {
    let text = font.names().get(id)?.english_or_first()?.name().to_string();
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_owned())
}

/// Reads what `fsType` allows; a face without OS/2 states no restriction.
///
/// OpenType specification, OS/2 `fsType`: the least restrictive of the usage
/// bits counts; bit 8 forbids subsetting, bit 9 outlines.
fn read_embedding(font: &Font) -> Embedding {
    let bits = font.tables().os2().map_or(0, |os2| os2.fs_type());
    let restricted = bits & 0x000f == 0x0002;
    if restricted || bits & 0x0200 != 0 {
        Embedding::Forbidden
    } else if bits & 0x0100 != 0 {
        Embedding::WholeOnly
    } else {
        Embedding::Subset
    }
}

/// Lists the faces of a font file with the cut that each can serve as.
///
/// # Errors
/// [`FontError::NotAFont`] when `data` is no TrueType or OpenType file.
pub fn read_face_labels(data: &[u8]) -> Result<Vec<FaceLabel>, FontError> {
    let count = count_faces(data)?;
    let blob = Blob::from(data.to_vec());
    (0..count).map(|index| Ok(read_label(&open_face(&blob, index)?, index))).collect()
}

/// Reads the names of a face and judges which cut it is.
fn read_label(font: &Font, index: u32) -> FaceLabel {
    use read_fonts::model::attribute::{Style, Weight, Width};
    let read = |first, second| read_name(font, first).or_else(|| read_name(font, second));
    let attributes = font.default_attributes();
    let bold = attributes.weight >= Weight::SEMI_BOLD;
    let condensed = attributes.width < Width::NORMAL;
    let wide = attributes.width > Width::NORMAL;
    let cut = match (attributes.style, condensed, bold) {
        (Style::Normal, false, false) if !wide => Some(Cut::Regular),
        (Style::Normal, false, true) if !wide => Some(Cut::Bold),
        (Style::Normal, true, true) => Some(Cut::CondensedBold),
        (Style::Italic | Style::Oblique(_), false, false) if !wide => Some(Cut::Italic),
        (Style::Italic | Style::Oblique(_), false, true) if !wide => Some(Cut::BoldItalic),
        _ => None,
    };
    FaceLabel {
        index,
        family: read(NameId::TYPOGRAPHIC_FAMILY_NAME, NameId::FAMILY_NAME)
            .unwrap_or_else(|| "Unnamed".to_owned()),
        style: read(NameId::TYPOGRAPHIC_SUBFAMILY_NAME, NameId::SUBFAMILY_NAME).unwrap_or_default(),
        cut,
        variable: !font.axes().is_empty(),
    }
}

/// Box round all points of an outline, control points included.
///
/// Control points lie on the curve's hull, so the box may be a little larger
/// than the ink, never smaller.
fn outline_bounds(path: &[Segment]) -> Option<GlyphBox> {
    let mut points = path.iter().flat_map(|segment| match *segment {
        Segment::MoveTo(x, y) | Segment::LineTo(x, y) => vec![(x, y)],
        Segment::QuadTo(cx, cy, x, y) => vec![(cx, cy), (x, y)],
        Segment::CubicTo(c1x, c1y, c2x, c2y, x, y) => vec![(c1x, c1y), (c2x, c2y), (x, y)],
        Segment::Close => Vec::new(),
    });
    let (x, y) = points.next()?;
    let first = GlyphBox { x_min: x, y_min: y, x_max: x, y_max: y };
    Some(points.fold(first, |b, (x, y)| GlyphBox {
        x_min: b.x_min.min(x),
        y_min: b.y_min.min(y),
        x_max: b.x_max.max(x),
        y_max: b.y_max.max(y),
    }))
}

/// Takes drawing steps in font units and keeps them in em.
struct EmPen {
    /// Font units in one em.
    units: f64,
    /// The outline so far.
    path: Vec<Segment>,
}

impl EmPen {
    /// Turns font units into em.
    fn em(&self, value: f32) -> f64 {
        f64::from(value) / self.units
    }
}

impl PathSink for EmPen {
    fn move_to(&mut self, x: f32, y: f32) {
        let (x, y) = (self.em(x), self.em(y));
        self.path.push(Segment::MoveTo(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let (x, y) = (self.em(x), self.em(y));
        self.path.push(Segment::LineTo(x, y));
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        let (cx, cy, x, y) = (self.em(cx), self.em(cy), self.em(x), self.em(y));
        self.path.push(Segment::QuadTo(cx, cy, x, y));
    }

    fn curve_to(&mut self, c1x: f32, c1y: f32, c2x: f32, c2y: f32, x: f32, y: f32) {
        let (c1x, c1y) = (self.em(c1x), self.em(c1y));
        let (c2x, c2y) = (self.em(c2x), self.em(c2y));
        let (x, y) = (self.em(x), self.em(y));
        self.path.push(Segment::CubicTo(c1x, c1y, c2x, c2y, x, y));
    }

    fn close(&mut self) {
        self.path.push(Segment::Close);
    }
}
