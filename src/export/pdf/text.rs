//! Text runs: glyphs shown so that a reader of the file gets back exactly their text.
//!
//! In: a [`TextRun`]. Out: text operators. Codes are glyph numbers of the whole face, so they are
//! the same on whatever thread a page is encoded; the subset is made when all are known
//! (`fontfile`). A glyph that stands for the character that the face's own map gives it needs no
//! further words. Whatever else a word holds (ligatures, marks, characters that share a glyph) is
//! said by an `ActualText` span (ISO 32000-1 §14.9.4) around the whole word, or around each cluster
//! of text that runs from right to left.

use std::ops::Range;

use crate::fonts::Glyph;
use crate::scene::TextRun;

use super::super::decimal::to_fixed;
use super::content::{ContentStream, PLACE_DECIMALS};
use super::face::FaceTable;
use super::frame::Frame;

/// Letter spacing from which readers take the gap between two letters for a word space, in em;
/// text so spaced says itself in `ActualText`.
const WIDEST_PLAIN_SPACING: f64 = 0.08;

/// Glyphs that stand for a piece of text together.
#[derive(Clone, Debug, PartialEq, Eq)]
struct TextCluster {
    /// The glyphs, as indices of the run's.
    glyphs: Range<usize>,
    /// The text, as bytes of the run's.
    text: Range<usize>,
}

/// Glyphs shown in one go.
#[derive(Clone, Debug, PartialEq, Eq)]
struct GlyphStretch {
    /// The glyphs, as indices of the run's.
    glyphs: Range<usize>,
    /// The text they stand for, where they cannot say it themselves, as bytes of the run's.
    actual: Option<Range<usize>>,
}

/// Paints a run, and behind it the glyph of a space, if there is to be one: lines that are read on
/// have it between their words, because nobody can see the place of what is read aloud (ISO 32000-1
/// §14.8.2.5).
pub(super) fn paint_text(
    content: &mut ContentStream,
    run: &TextRun,
    face: &FaceTable,
    frame: &Frame,
    space: Option<u16>,
) {
    if run.glyphs.is_empty() {
        return;
    }
    let size = frame.grid.dots(run.size);
    let origin = (frame.x(run.origin.x), frame.y(run.origin.y));
    content.begin_text(run.font, size, origin, run.ink, run.stance);
    let wanted = find_spacing(run, face);
    let spacing = content.set_spacing(wanted * size);
    let spacing = if size > 0.0 { spacing / size * 1000.0 } else { 0.0 };
    let stretches = split_stretches(run, face, wanted);
    let (at, wanted, rise, open) = (0.0, 0.0, 0, Operand::Nothing);
    let mut pen = GlyphPen { content, face, size, spacing, at, wanted, rise, open };
    for stretch in stretches {
        if let Some(text) = &stretch.actual {
            pen.finish_show();
            pen.content.begin_actual_text(&run.text[text.clone()]);
        }
        run.glyphs[stretch.glyphs].iter().for_each(|glyph| pen.show(glyph));
        if stretch.actual.is_some() {
            pen.finish_show();
            pen.content.end_piece();
        }
    }
    if let Some(space) = space {
        pen.show_space(space);
    }
    pen.finish_show();
    pen.set_rise(0);
}

/// The letter spacing that most glyphs of a run share, in em; 0 where most have none.
fn find_spacing(run: &TextRun, face: &FaceTable) -> f64 {
    let extra = |glyph: &Glyph| to_fixed(glyph.advance_em - face.width(glyph.id) / 1000.0, 4);
    // The last letter of a line has no spacing after it.
    let (_, inner) = run.glyphs.split_last().unwrap_or((&run.glyphs[0], &[]));
    if inner.iter().all(|glyph| extra(glyph) == 0) {
        return 0.0;
    }
    let mut extras: Vec<i64> = inner.iter().map(extra).collect();
    extras.sort_unstable();
    let common = extras.chunk_by(|a, b| a == b).max_by_key(|same| same.len());
    match common {
        Some(same) if same.len() * 2 > inner.len() => same[0] as f64 / 10_000.0,
        _ => 0.0,
    }
}

/// Splits a run into what says itself and what does not.
fn split_stretches(run: &TextRun, face: &FaceTable, spacing: f64) -> Vec<GlyphStretch> {
    let whole = GlyphStretch { glyphs: 0..run.glyphs.len(), actual: Some(0..run.text.len()) };
    let is_close = spacing.abs() < WIDEST_PLAIN_SPACING;
    if is_close && says_itself(run, face) {
        return vec![GlyphStretch { actual: None, ..whole }];
    }
    let Some(clusters) = find_clusters(run) else { return vec![whole] };
    let is_plain = |cluster: &TextCluster| {
        let mut text = run.text[cluster.text.clone()].chars();
        let character = (cluster.glyphs.len() == 1)
            .then(|| face.character(run.glyphs[cluster.glyphs.start].id))
            .flatten();
        character.is_some() && text.next() == character && text.next().is_none()
    };
    if is_close && clusters.iter().all(is_plain) {
        return vec![GlyphStretch { actual: None, ..whole }];
    }
    let is_space =
        |cluster: &TextCluster| &run.text[cluster.text.clone()] == " " && is_plain(cluster);
    // Readers turn right-to-left words around themselves, span by span, so there a span must not
    // hold more than a cluster.
    let belong = |a: &TextCluster, b: &TextCluster| !run.rtl && is_space(a) == is_space(b);
    let mut stretches: Vec<GlyphStretch> = Vec::new();
    for word in clusters.chunk_by(belong) {
        let (first, last) = (&word[0], &word[word.len() - 1]);
        let glyphs = first.glyphs.start..last.glyphs.end;
        let plain = is_space(first) || (is_close && word.iter().all(is_plain));
        let actual = (!plain).then_some(first.text.start..last.text.end);
        match stretches.last_mut() {
            Some(before) if plain && before.actual.is_none() => before.glyphs.end = glyphs.end,
            _ => stretches.push(GlyphStretch { glyphs, actual }),
        }
    }
    stretches
}

/// Whether each glyph of a run stands for one character of its text, in the order of the text: most
/// runs need not be looked at more closely.
fn says_itself(run: &TextRun, face: &FaceTable) -> bool {
    let mut text = run.text.char_indices();
    let says = |glyph: &Glyph| {
        let (at, character) = text.next().unzip();
        at == Some(glyph.cluster as usize) && character == face.character(glyph.id)
    };
    run.glyphs.iter().all(says) && text.next().is_none()
}

/// The clusters of a run from left to right, or `None` when they do not follow the text one way
/// and only the whole run can be said to stand for the whole text.
fn find_clusters(run: &TextRun) -> Option<Vec<TextCluster>> {
    let mut clusters = Vec::with_capacity(run.glyphs.len());
    let mut start = 0;
    let mut before = None;
    while let Some(first) = run.glyphs.get(start) {
        let same = run.glyphs[start..].iter().take_while(|glyph| glyph.cluster == first.cluster);
        let glyphs = start..start + same.count();
        start = glyphs.end;
        let after = run.glyphs.get(start).map(|glyph| glyph.cluster as usize);
        let begin = first.cluster as usize;
        // Characters without a glyph belong to the letter before them, or at the start of the run
        // to its first letter.
        let text = if run.rtl {
            after.map_or(0, |_| begin)..before.unwrap_or(run.text.len())
        } else {
            before.map_or(0, |_| begin)..after.unwrap_or(run.text.len())
        };
        run.text.get(text.clone())?;
        before = Some(begin);
        clusters.push(TextCluster { glyphs, text });
    }
    Some(clusters)
}

/// Tells what the glyphs of a run say that no character of the face's map stands for, so that a
/// reader that knows nothing of `ActualText` has it too.
pub(super) fn note_words(run: &TextRun, face: &FaceTable, mut note: impl FnMut(u16, &str)) {
    if run.glyphs.iter().all(|glyph| face.character(glyph.id).is_some()) {
        return;
    }
    for cluster in find_clusters(run).unwrap_or_default() {
        let first = run.glyphs[cluster.glyphs.start].id;
        let text = &run.text[cluster.text];
        if face.character(first).is_none() && !text.is_empty() {
            note(first, text);
        }
    }
}

/// Where glyphs go.
struct GlyphPen<'a> {
    /// What is appended to.
    content: &'a mut ContentStream,
    /// The face's advances.
    face: &'a FaceTable,
    /// The em in dots.
    size: f64,
    /// The letter spacing set in the content, in thousandths of an em.
    spacing: f64,
    /// Where the operators so far have put the pen, in thousandths of an em from the run's origin.
    at: f64,
    /// Where the pen should be, in em from the run's origin.
    wanted: f64,
    /// The text rise set in the content, in hundredths of a dot.
    rise: i64,
    /// What of an operand is unfinished.
    open: Operand,
}

/// An unfinished operand of the operator that shows text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Operand {
    /// None.
    Nothing,
    /// The array is open, and no string in it.
    Array,
    /// A string in its array.
    Text,
}

impl GlyphPen<'_> {
    /// Shows one glyph at its place.
    fn show(&mut self, glyph: &Glyph) {
        let rise = to_fixed(glyph.dy_em * self.size, PLACE_DECIMALS);
        if rise != self.rise {
            self.set_rise(rise);
        }
        self.open_array();
        let adjustment = to_fixed(self.at - (self.wanted + glyph.dx_em) * 1000.0, 0);
        if adjustment != 0 {
            self.close_string();
            self.content.fixed(adjustment, 0);
            self.at -= adjustment as f64;
        }
        if self.open == Operand::Array {
            self.content.begin_string();
            self.open = Operand::Text;
        }
        self.content.string_code(glyph.id);
        self.at += self.face.width(glyph.id) + self.spacing;
        self.wanted += glyph.advance_em;
    }

    /// Shows a space behind the last glyph.
    fn show_space(&mut self, glyph: u16) {
        self.open_array();
        if self.open == Operand::Array {
            self.content.begin_string();
            self.open = Operand::Text;
        }
        self.content.string_code(glyph);
    }

    /// Begins an operand unless one is open.
    fn open_array(&mut self) {
        if self.open == Operand::Nothing {
            self.content.begin_text_piece();
            self.content.raw(b"[");
            self.open = Operand::Array;
        }
    }

    /// Closes an open string.
    fn close_string(&mut self) {
        if self.open == Operand::Text {
            self.content.end_string();
            self.open = Operand::Array;
        }
    }

    /// Finishes the operator that shows text.
    fn finish_show(&mut self) {
        self.close_string();
        if self.open == Operand::Array {
            self.content.raw(b"]TJ\n");
            self.open = Operand::Nothing;
        }
    }

    /// Sets how far above the baseline glyphs stand, in hundredths of a dot.
    fn set_rise(&mut self, rise: i64) {
        if rise != self.rise {
            self.finish_show();
            self.rise = rise;
            self.content.fixed(rise, PLACE_DECIMALS);
            self.content.raw(b" Ts\n");
        }
    }
}
