//! Text runs: glyphs shown so that a reader of the file gets back exactly their text.
//!
//! In: a [`TextRun`]. Out: text operators. Codes are glyph numbers of the whole face, so they are
//! the same on whatever thread a page is encoded; the subset is made when all are known
//! (`fontfile`). A glyph that stands for the character that the face's own map gives it needs no
//! further words. Whatever else a word holds (ligatures, marks, characters that share a glyph) is
//! said by an `ActualText` span (ISO 32000-1 §14.9.4) around the whole word.

use std::ops::Range;

use crate::scene::TextRun;

use super::super::decimal::{push_fixed, to_fixed};
use super::content::Content;
use super::face::FaceTable;
use super::frame::Frame;

/// Letter spacing from which readers take the gap between two letters for a word space, in em;
/// text so spaced says itself in `ActualText`.
const WIDEST_PLAIN_SPACING: f64 = 0.08;

/// Glyphs that stand for a piece of text together.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Cluster {
    /// The glyphs, as indices of the run's.
    glyphs: Range<usize>,
    /// The text, as bytes of the run's.
    text: Range<usize>,
}

/// Glyphs shown in one go.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Stretch {
    /// The glyphs, as indices of the run's.
    glyphs: Range<usize>,
    /// The text they stand for, where they cannot say it themselves, as bytes of the run's.
    actual: Option<Range<usize>>,
}

/// Paints a run.
pub(super) fn paint_text(content: &mut Content, run: &TextRun, face: &FaceTable, frame: &Frame) {
    if run.glyphs.is_empty() {
        return;
    }
    let size = frame.grid.dots(run.size);
    let origin = (frame.x(run.origin.x), frame.y(run.origin.y));
    content.begin_text(run.font, size, origin, run.ink);
    let wanted = find_spacing(run, face);
    let spacing = content.set_spacing(wanted * size);
    let spacing = if size > 0.0 { spacing / size * 1000.0 } else { 0.0 };
    let stretches = split_stretches(run, face, wanted);
    let mut pen =
        Pen { face, size, spacing, at: 0.0, wanted: 0.0, rise: 0, shown: Shown::default() };
    for stretch in stretches {
        if let Some(text) = &stretch.actual {
            pen.flush(content);
            begin_actual_text(content, &run.text[text.clone()]);
        }
        for glyph in &run.glyphs[stretch.glyphs] {
            pen.show(content, glyph);
        }
        if stretch.actual.is_some() {
            pen.flush(content);
            content.raw(b"EMC\n");
        }
    }
    pen.flush(content);
    pen.set_rise(content, 0);
}

/// The letter spacing that most glyphs of a run share, in em; 0 where most have none.
fn find_spacing(run: &TextRun, face: &FaceTable) -> f64 {
    let extra =
        |glyph: &crate::fonts::Glyph| to_fixed(glyph.advance_em - face.width(glyph.id) / 1000.0, 4);
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
fn split_stretches(run: &TextRun, face: &FaceTable, spacing: f64) -> Vec<Stretch> {
    let whole = Stretch { glyphs: 0..run.glyphs.len(), actual: Some(0..run.text.len()) };
    let Some(clusters) = find_clusters(run) else { return vec![whole] };
    let is_plain = |cluster: &Cluster| {
        let mut text = run.text[cluster.text.clone()].chars();
        let character = (cluster.glyphs.len() == 1)
            .then(|| face.character(run.glyphs[cluster.glyphs.start].id))
            .flatten();
        character.is_some() && text.next() == character && text.next().is_none()
    };
    let says_itself = spacing.abs() < WIDEST_PLAIN_SPACING && clusters.iter().all(is_plain);
    if says_itself {
        return vec![Stretch { actual: None, ..whole }];
    }
    if run.rtl {
        return vec![whole];
    }
    let is_space = |cluster: &Cluster| &run.text[cluster.text.clone()] == " " && is_plain(cluster);
    let mut stretches: Vec<Stretch> = Vec::new();
    for word in clusters.chunk_by(|a, b| is_space(a) == is_space(b)) {
        let (first, last) = (&word[0], &word[word.len() - 1]);
        let glyphs = first.glyphs.start..last.glyphs.end;
        let plain =
            is_space(first) || (spacing.abs() < WIDEST_PLAIN_SPACING && word.iter().all(is_plain));
        let actual = (!plain).then_some(first.text.start..last.text.end);
        match stretches.last_mut() {
            Some(before) if plain && before.actual.is_none() => before.glyphs.end = glyphs.end,
            _ => stretches.push(Stretch { glyphs, actual }),
        }
    }
    stretches
}

/// The clusters of a run from left to right, or `None` when they do not follow the text one way
/// and only the whole run can be said to stand for the whole text.
fn find_clusters(run: &TextRun) -> Option<Vec<Cluster>> {
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
        clusters.push(Cluster { glyphs, text });
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

/// Opens a span that stands for a text.
fn begin_actual_text(content: &mut Content, text: &str) {
    content.raw(b"/Span<</ActualText<FEFF");
    for unit in text.encode_utf16() {
        content.raw(&hex(unit));
    }
    content.raw(b">>>BDC\n");
}

/// Four hexadecimal digits.
fn hex(unit: u16) -> [u8; 4] {
    let digit = |shift: u16| b"0123456789ABCDEF"[usize::from(unit >> shift & 15)];
    [digit(12), digit(8), digit(4), digit(0)]
}

/// What is to be shown with the next operator.
#[derive(Default)]
struct Shown {
    /// The operand: strings and adjustments between them, without the outer brackets.
    operand: Vec<u8>,
    /// Whether a string is open at its end.
    in_string: bool,
    /// Whether there is more than one string.
    adjusted: bool,
}

/// Where glyphs go.
struct Pen<'a> {
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
    /// What is still to be written.
    shown: Shown,
}

impl Pen<'_> {
    /// Shows one glyph at its place.
    fn show(&mut self, content: &mut Content, glyph: &crate::fonts::Glyph) {
        let rise = to_fixed(glyph.dy_em * self.size, 2);
        if rise != self.rise {
            self.flush(content);
            self.set_rise(content, rise);
        }
        let target = (self.wanted + glyph.dx_em) * 1000.0;
        let adjustment = to_fixed(self.at - target, 0);
        let readable = content.readable();
        if adjustment != 0 {
            self.close_string(readable);
            self.shown.adjusted = true;
            push_fixed(&mut self.shown.operand, adjustment, 0);
            self.at -= adjustment as f64;
        }
        if !self.shown.in_string {
            self.shown.operand.push(if readable { b'<' } else { b'(' });
            self.shown.in_string = true;
        }
        if readable {
            self.shown.operand.extend_from_slice(&hex(glyph.id));
        } else {
            glyph.id.to_be_bytes().into_iter().for_each(|byte| self.push_escaped(byte));
        }
        self.at += self.face.width(glyph.id) + self.spacing;
        self.wanted += glyph.advance_em;
    }

    /// Adds a byte to the open string (ISO 32000-1 §7.3.4.2).
    fn push_escaped(&mut self, byte: u8) {
        let operand = &mut self.shown.operand;
        match byte {
            b'(' | b')' | b'\\' => operand.extend_from_slice(&[b'\\', byte]),
            // A bare carriage return would be read as a line feed.
            b'\r' => operand.extend_from_slice(b"\\r"),
            _ => operand.push(byte),
        }
    }

    /// Closes an open string.
    fn close_string(&mut self, readable: bool) {
        if std::mem::take(&mut self.shown.in_string) {
            self.shown.operand.push(if readable { b'>' } else { b')' });
        }
    }

    /// Writes what is still to be shown.
    fn flush(&mut self, content: &mut Content) {
        self.close_string(content.readable());
        let Shown { operand, adjusted, .. } = std::mem::take(&mut self.shown);
        if operand.is_empty() {
            return;
        }
        if adjusted {
            content.raw(b"[");
            content.raw(&operand);
            content.raw(b"]TJ\n");
        } else {
            content.raw(&operand);
            content.raw(b"Tj\n");
        }
    }

    /// Sets how far above the baseline glyphs stand, in hundredths of a dot.
    fn set_rise(&mut self, content: &mut Content, rise: i64) {
        if rise != self.rise {
            self.rise = rise;
            content.number(rise as f64 / 100.0, 2);
            content.raw(b"Ts\n");
        }
    }
}
