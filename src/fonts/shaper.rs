//! Shapes stretches of text and remembers the results.
//!
//! Comes in: a [`FontBook`], then texts with their styles. Goes out:
//! [`Paragraph`]s, and for them shaped stretches in em ([`Shaped`]), so that
//! one result serves every size. Cutting texts into stretches is `itemise`,
//! breaking lines is `paragraph`.
//!
//! A shaper keeps shape plans, words, the paragraphs made lately (a text is
//! first measured, then set) and the boxes of glyphs, so each thread should
//! have its own and keep it. What it keeps is bounded, and never changes a result.

use std::collections::HashMap;
use std::sync::Arc;

use foldhash::fast::FixedState;
use harfrust::{
    Buffer, BufferFlags, Direction, GlyphInfo, GlyphPosition, Script, ShapeOptions, ShapePlan,
    ShaperFont,
};
use read_fonts::types::GlyphId;

use super::book::{FamilyId, FontBook, FontId};
use super::cut::Cut;
use super::face::GlyphBox;
use super::features::Features;
use super::itemise::{Chain, MINUS, MINUS_LIKE, TextItem};
use super::kept::Kept;
use super::paragraph::{GlyphReach, Paragraph};
use super::style::{TextError, TextStyle};

/// Glyphs that one plan keeps before the older half is let go: about 0.5 MB.
pub(super) const KEPT_GLYPHS: usize = 8192;

/// Bytes of text whose paragraphs are kept for one style before the older half
/// is let go: what a page holds, and no more than stays in a core's cache.
const KEPT_TEXT: usize = 2048;

/// Styles whose paragraphs are kept.
const KEPT_STYLES: usize = 32;

/// A glyph in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glyph {
    /// Number of the glyph in its face.
    pub id: u16,
    /// How far the pen moves on, in em.
    pub advance_em: f64,
    /// Shift of the glyph against the pen, to the right, in em.
    pub dx_em: f64,
    /// Shift of the glyph against the pen, upwards, in em.
    pub dy_em: f64,
    /// Byte offset in the text of the first character this glyph stands for.
    pub cluster: u32,
}

/// Where a shaped stretch can be cut.
#[derive(Debug, Clone, Copy)]
pub(super) struct CutPoint {
    /// Advances of all glyphs to the left, in em.
    pub(super) before_em: f64,
    /// Letters (clusters) to the left.
    pub(super) letters: u32,
    /// Whether a cut before this glyph's letter leaves both sides as they are.
    pub(super) safe: bool,
}

/// A shaped stretch; clusters count from its own first byte.
#[derive(Debug)]
pub(super) struct Shaped {
    /// Glyphs from left to right.
    pub(super) glyphs: Box<[Glyph]>,
    /// One mark a glyph, and one for the end.
    pub(super) marks: Box<[CutPoint]>,
    /// Whether word spaces on either side leave the stretch as it is.
    pub(super) stands_alone: bool,
}

impl Shaped {
    /// The mark at the right end.
    pub(super) fn end(&self) -> CutPoint {
        self.marks[self.glyphs.len()]
    }
}

/// Why a stretch could not be shaped; offsets count from its first byte.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Unshaped {
    /// The face turned out to lack glyphs for the clusters at these bytes.
    Missing(Vec<usize>),
    /// The face's rules took too many steps or too much room.
    GaveUp,
}

/// What a shape plan depends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct PlanKey {
    /// Face to shape with.
    font: FontId,
    /// Script to shape by.
    script: Script,
    /// Whether the stretch runs right to left.
    rtl: bool,
    /// Features beside the font's own.
    features: Features,
}

/// Names a plan of the shaper that handed it out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct PlanId(usize);

/// A shape plan with the words shaped by it.
struct Plan {
    /// What it was made for.
    key: PlanKey,
    /// The plan itself.
    plan: ShapePlan,
    /// Glyph of the word space and its advance in font units, if there is one.
    space: Option<(u32, i32)>,
    /// Whether words can be shaped one by one (see [`super::spaces`]).
    by_word: bool,
    /// Whether the face has a minus; where it has none, a dash is drawn for it.
    has_minus: bool,
    /// The word space by itself, once it was shaped.
    one_space: Option<Arc<Shaped>>,
    /// Words by their text, weighed in glyphs.
    words: Kept<Shaped>,
}

/// What a fallback list depends on.
type ChainKey = (Option<FamilyId>, Cut);

/// Turns text into glyphs with the fonts of one book.
pub struct Shaper {
    /// Which faces there are, and which is tried after which.
    book: FontBook,
    /// Scratch room of the shaping library.
    buffer: Buffer,
    /// Plans made so far; few, so a walk finds one fast.
    plans: Vec<Plan>,
    /// Fallback lists made so far.
    chains: Vec<(ChainKey, Arc<Chain>)>,
    /// Paragraphs by style and text, weighed in bytes of text.
    paragraphs: Vec<(TextStyle, Kept<Paragraph>)>,
    /// Boxes of glyphs, drawn once; only looked up, never walked.
    bounds: HashMap<(FontId, u16), Option<GlyphBox>, FixedState>,
    /// How far the glyphs of each face reach, by their numbers, as far as it was asked.
    reaches: Vec<Vec<Option<GlyphReach>>>,
}

impl Shaper {
    /// Makes a shaper for a book; fonts added to other copies later are unknown to it.
    #[must_use]
    pub fn new(book: &FontBook) -> Self {
        let mut buffer = Buffer::new();
        // A dotted circle under a stray mark would print what nobody wrote.
        buffer.set_flags(
            BufferFlags::REMOVE_DEFAULT_IGNORABLES | BufferFlags::DO_NOT_INSERT_DOTTED_CIRCLE,
        );
        Self {
            book: book.clone(),
            buffer,
            plans: Vec::new(),
            chains: Vec::new(),
            paragraphs: Vec::new(),
            bounds: HashMap::default(),
            reaches: Vec::new(),
        }
    }

    /// The book this shaper draws from.
    #[must_use]
    pub fn book(&self) -> &FontBook {
        &self.book
    }

    /// Shapes a text as a paragraph, ready to be broken into lines.
    ///
    /// Line feeds force breaks, tabs count as spaces. Control characters
    /// beside those, and characters without a glyph, are reported all together.
    ///
    /// # Errors
    /// [`TextError::Missing`] with every character that cannot be printed;
    /// [`TextError::Unshapable`] when a font's rules run away.
    pub fn paragraph(
        &mut self,
        text: &str,
        style: &TextStyle,
    ) -> Result<Arc<Paragraph>, TextError> {
        let kept = self.paragraphs_of(style);
        if let Some(known) = self.paragraphs[kept].1.recall(text) {
            return Ok(known);
        }
        let made = Arc::new(Paragraph::shape(self, text, style)?);
        // A few words take as much room as a text of this length.
        self.paragraphs[kept].1.keep(text, &made, text.len() + 32);
        Ok(made)
    }

    /// Where the paragraphs of a style are kept.
    fn paragraphs_of(&mut self, style: &TextStyle) -> usize {
        if let Some(at) = self.paragraphs.iter().position(|(known, _)| known == style) {
            return at;
        }
        if self.paragraphs.len() == KEPT_STYLES {
            self.paragraphs.clear();
        }
        self.paragraphs.push((*style, Kept::new(KEPT_TEXT)));
        self.paragraphs.len() - 1
    }

    /// Box round a glyph's outline, as [`FontBook::glyph_bounds`] gives it.
    pub fn glyph_bounds(&mut self, font: FontId, glyph: u16) -> Option<GlyphBox> {
        let book = &self.book;
        *self.bounds.entry((font, glyph)).or_insert_with(|| book.glyph_bounds(font, glyph))
    }

    /// How far glyphs of a face reach above and below the baseline; blank ones not at all.
    ///
    /// Every glyph of every page is asked for, so the answers stand in a row and not in a map.
    pub fn reach(&mut self, font: FontId, glyphs: &[Glyph]) -> GlyphReach {
        let mut reach = GlyphReach::default();
        for glyph in glyphs {
            let known =
                self.reaches.get(font.index()).and_then(|row| row.get(usize::from(glyph.id)));
            let own = known.copied().flatten().unwrap_or_else(|| self.find_reach(font, glyph.id));
            reach = reach.and(GlyphReach {
                above_em: own.above_em + glyph.dy_em,
                below_em: own.below_em - glyph.dy_em,
            });
        }
        reach
    }

    /// Finds how far a glyph reaches, and notes it.
    fn find_reach(&mut self, font: FontId, glyph: u16) -> GlyphReach {
        let bounds = self.glyph_bounds(font, glyph);
        let reach = bounds.map_or_else(GlyphReach::default, |bounds| GlyphReach {
            above_em: bounds.y_max,
            below_em: -bounds.y_min,
        });
        let (face, place) = (font.index(), usize::from(glyph));
        if self.reaches.len() <= face {
            self.reaches.resize_with(face + 1, Vec::new);
        }
        let row = &mut self.reaches[face];
        if row.len() <= place {
            row.resize(place + 1, None);
        }
        row[place] = Some(reach);
        reach
    }

    /// The fallback list for a style.
    pub(super) fn chain(&mut self, style: &TextStyle) -> Arc<Chain> {
        let key = (style.family, style.cut);
        if let Some((_, chain)) = self.chains.iter().find(|(known, _)| *known == key) {
            return Arc::clone(chain);
        }
        let fonts = self.book.fallbacks(style.family, style.cut);
        let chain = Arc::new(Chain::new(&self.book, fonts));
        self.chains.push((key, Arc::clone(&chain)));
        chain
    }

    /// Finds or makes the plan for an item.
    pub(super) fn plan(&mut self, item: &TextItem, features: Features) -> PlanId {
        let key = PlanKey { font: item.font, script: item.script, rtl: item.is_rtl(), features };
        if let Some(at) = self.plans.iter().position(|plan| plan.key == key) {
            return PlanId(at);
        }
        self.plans.push(Plan::new(&self.book, key));
        PlanId(self.plans.len() - 1)
    }

    /// Says whether the words of an item can be shaped one by one.
    pub(super) fn shapes_by_word(&self, plan: PlanId) -> bool {
        self.plans[plan.0].by_word
    }

    /// The hyphen that the plan's face has: U+2010, else the hyphen-minus.
    pub(super) fn hyphen(&self, plan: PlanId) -> Option<char> {
        let map = self.book.get(self.plans[plan.0].key.font).font.charmap();
        ['\u{2010}', '-'].into_iter().find(|c| map.map_unicode(*c).is_some())
    }

    /// Glyphs kept by all plans together.
    #[cfg(test)]
    pub(super) fn kept_glyphs(&self) -> usize {
        self.plans.iter().map(|plan| plan.words.weight()).sum()
    }

    /// Shapes a stretch of one item, or finds it among those kept.
    pub(super) fn shape(&mut self, plan: PlanId, text: &str) -> Result<Arc<Shaped>, Unshaped> {
        let plan = &mut self.plans[plan.0];
        let known = if text == " " { plan.one_space.clone() } else { plan.words.recall(text) };
        if let Some(known) = known {
            return Ok(known);
        }
        let font = ShaperFont::new(&self.book.get(plan.key.font).font);
        let shaped = Arc::new(plan.shape(&font, &mut self.buffer, text)?);
        if text == " " {
            plan.one_space = Some(Arc::clone(&shaped));
        } else {
            plan.words.keep(text, &shaped, shaped.glyphs.len() + 1);
        }
        Ok(shaped)
    }
}

impl Plan {
    /// Compiles a plan.
    fn new(book: &FontBook, key: PlanKey) -> Self {
        let face = book.get(key.font);
        let font = ShaperFont::new(&face.font);
        let features = key.features.global();
        let plan =
            ShapePlan::new(&face.font, direction(key.rtl), Some(key.script), None, &features);
        let has_minus = font.nominal_glyph(u32::from(MINUS)).is_some();
        let space = font
            .nominal_glyph(u32::from(' '))
            .map(|id: GlyphId| (id.to_u32(), font.glyph_h_advance(id)));
        Self {
            key,
            plan,
            space,
            by_word: is_plain_script(key.script) && face.shapes_by_word(),
            has_minus,
            one_space: None,
            words: Kept::new(KEPT_GLYPHS),
        }
    }

    /// Shapes a stretch.
    ///
    /// A word is shaped between two spaces: if the shaping library says that
    /// cutting next to the spaces changes nothing, the word stands alone.
    /// Else, and for anything with a space in it, the bare text is shaped.
    fn shape(
        &self,
        font: &ShaperFont<'_, '_>,
        buffer: &mut Buffer,
        text: &str,
    ) -> Result<Shaped, Unshaped> {
        if self.by_word && !text.contains(' ') && self.space.is_some() {
            self.run(font, buffer, text, 1)?;
            if let Some(inner) = self.unpadded(buffer, text.len()) {
                return self.collect(font, buffer, inner, 1);
            }
        }
        self.run(font, buffer, text, 0)?;
        let all = 0..buffer.len();
        self.collect(font, buffer, all, 0)
    }

    /// Runs the shaping library over `text` with `pad` spaces on either side.
    fn run(
        &self,
        font: &ShaperFont<'_, '_>,
        buffer: &mut Buffer,
        text: &str,
        pad: usize,
    ) -> Result<(), Unshaped> {
        // Texts are checked to be far shorter than u32::MAX bytes.
        let cluster = |at: usize| at as u32;
        buffer.clear();
        if pad > 0 {
            buffer.push(u32::from(' '), 0);
        }
        for (at, c) in text.char_indices() {
            let drawn = if c == MINUS && !self.has_minus { MINUS_LIKE } else { c };
            buffer.push(u32::from(drawn), cluster(at + pad));
        }
        if pad > 0 {
            buffer.push(u32::from(' '), cluster(text.len() + pad));
        }
        buffer.set_direction(direction(self.key.rtl));
        buffer.set_script(Some(self.key.script));
        let features = self.key.features.over(text, pad);
        let options = ShapeOptions::new().plan(Some(&self.plan)).features(&features);
        match harfrust::shape(font, buffer, options) {
            Ok(()) if buffer.allocation_successful() => Ok(()),
            _ => Err(Unshaped::GaveUp),
        }
    }

    /// The glyphs between the two padding spaces, if the spaces are untouched
    /// and cutting beside them is safe.
    fn unpadded(&self, buffer: &Buffer, len: usize) -> Option<std::ops::Range<usize>> {
        let infos = buffer.glyph_infos();
        let positions = buffer.glyph_positions();
        let (last, inner) = (infos.len().checked_sub(1)?, 1..infos.len().checked_sub(1)?);
        if inner.is_empty() {
            return None;
        }
        let untouched = |at: usize| {
            let place = positions[at];
            Some((infos[at].glyph_id, place.x_advance)) == self.space
                && (place.x_offset, place.y_offset) == (0, 0)
        };
        // Reading order is the reverse of the visual order in right-to-left stretches.
        let (first_pad, last_pad, first_inner) =
            if self.key.rtl { (last, 0, last - 1) } else { (0, last, 1) };
        let apart = infos[first_pad].cluster == 0
            && infos[last_pad].cluster as usize == len + 1
            && infos[first_inner].cluster == 1
            && !infos[first_inner].unsafe_to_break()
            && !infos[last_pad].unsafe_to_break();
        (apart && untouched(0) && untouched(last)).then_some(inner)
    }

    /// Takes the glyphs of `range` out of the buffer, in em; the text was shaped with `pad` spaces on
    /// either side.
    fn collect(
        &self,
        font: &ShaperFont<'_, '_>,
        buffer: &Buffer,
        range: std::ops::Range<usize>,
        pad: u32,
    ) -> Result<Shaped, Unshaped> {
        let units = f64::from(font.units_per_em());
        let infos = &buffer.glyph_infos()[range.clone()];
        let places = &buffer.glyph_positions()[range];
        let glyphs: Box<[Glyph]> = infos
            .iter()
            .zip(places)
            .map(|(info, place)| read_glyph(info, place, units, pad))
            .collect();
        let absent: Vec<usize> = glyphs
            .iter()
            .filter(|glyph| glyph.id == 0)
            .map(|glyph| glyph.cluster as usize)
            .collect();
        if !absent.is_empty() {
            return Err(Unshaped::Missing(absent));
        }
        let safe = infos.iter().map(|info| !info.unsafe_to_break());
        Ok(Shaped { marks: mark_cuts(&glyphs, safe), glyphs, stands_alone: pad > 0 })
    }
}

/// Reads a glyph, its cluster counted from after `pad` bytes; one that no face
/// can have, because its number is too great, counts as missing.
fn read_glyph(info: &GlyphInfo, place: &GlyphPosition, units: f64, pad: u32) -> Glyph {
    let em = |value: i32| f64::from(value) / units;
    Glyph {
        id: u16::try_from(info.glyph_id).unwrap_or(0),
        advance_em: em(place.x_advance),
        dx_em: em(place.x_offset),
        dy_em: em(place.y_offset),
        cluster: info.cluster - pad,
    }
}

/// Marks where glyphs can be cut; `safe` says it for each of them.
fn mark_cuts(glyphs: &[Glyph], safe: impl Iterator<Item = bool>) -> Box<[CutPoint]> {
    let mut marks = Vec::with_capacity(glyphs.len() + 1);
    let mut mark = CutPoint { before_em: 0.0, letters: 0, safe: true };
    let next_clusters = glyphs.iter().skip(1).map(|next| Some(next.cluster));
    for ((glyph, next), safe) in glyphs.iter().zip(next_clusters.chain([None])).zip(safe) {
        marks.push(CutPoint { safe, ..mark });
        mark.before_em += glyph.advance_em;
        mark.letters += u32::from(next != Some(glyph.cluster));
    }
    marks.push(mark);
    marks.into()
}

/// The shaping library's word for a direction.
fn direction(rtl: bool) -> Direction {
    if rtl { Direction::RightToLeft } else { Direction::LeftToRight }
}

/// Scripts whose letters neither join nor reorder, so that words stand alone
/// unless a rule of the font says otherwise.
fn is_plain_script(script: Script) -> bool {
    [
        Script::LATIN,
        Script::GREEK,
        Script::CYRILLIC,
        Script::ARMENIAN,
        Script::GEORGIAN,
        Script::HEBREW,
        Script::HAN,
        Script::HIRAGANA,
        Script::KATAKANA,
        Script::HANGUL,
    ]
    .contains(&script)
}
