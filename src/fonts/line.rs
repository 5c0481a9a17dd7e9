//! Finished lines: runs of glyphs from left to right.
//!
//! Comes in: the shaped parts of a line in reading order. Goes out: [`Line`]
//! with its runs in visual order (UAX #9, rule L2). Where lines end is not its
//! job, nor where they stand on the page.

use std::ops::Range;

use unicode_bidi::{BidiInfo, Level};

use super::book::FontId;
use super::paragraph::SetItem;
use super::shaper::Glyph;
use super::token::TokenPart;

/// Glyphs of one face and one direction that stand side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct GlyphRun {
    /// The face.
    pub font: FontId,
    /// Whether the text runs right to left; the glyphs run left to right all the same.
    pub rtl: bool,
    /// Glyphs from left to right.
    pub glyphs: Vec<Glyph>,
    /// The text they stand for, as bytes of the paragraph's text.
    pub text: Range<usize>,
}

/// Glyphs that stand for a piece of text only together: a letter and its
/// marks, a ligature, a reordered syllable.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cluster {
    /// The glyphs, as indices into the run's.
    pub glyphs: Range<usize>,
    /// The text, as bytes of the paragraph's text.
    pub text: Range<usize>,
}

impl GlyphRun {
    /// Sum of the advances, in em.
    #[must_use]
    pub fn width_em(&self) -> f64 {
        self.glyphs.iter().map(|glyph| glyph.advance_em).sum()
    }

    /// The clusters from left to right; their texts make up the run's text.
    pub fn clusters(&self) -> impl Iterator<Item = Cluster> {
        let mut start = 0;
        let mut left = None;
        std::iter::from_fn(move || {
            let first = self.glyphs.get(start)?;
            let len = self.glyphs[start..]
                .iter()
                .take_while(|glyph| glyph.cluster == first.cluster)
                .count();
            let glyphs = start..start + len;
            start += len;
            let right = self.glyphs.get(start).map(|glyph| glyph.cluster as usize);
            let begin = first.cluster as usize;
            // Characters without a glyph belong to the letter before them, or
            // at the start of the run to its first letter.
            let text = if self.rtl {
                right.map_or(self.text.start, |_| begin)..left.unwrap_or(self.text.end)
            } else {
                left.map_or(self.text.start, |_| begin)..right.unwrap_or(self.text.end)
            };
            left = Some(begin);
            Some(Cluster { glyphs, text })
        })
    }
}

/// One line of a paragraph.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// All the text of the line, with the spaces that hang over its end and
    /// its line terminator; the lines of a paragraph make up its text.
    pub text: Range<usize>,
    /// Sum of the advances of its glyphs, in em.
    pub width_em: f64,
    /// Whether the line as a whole runs right to left.
    pub rtl: bool,
    /// Runs from left to right; their texts leave out hanging spaces.
    pub runs: Vec<GlyphRun>,
}

impl Line {
    /// How many runs later than it stands from the left each run is read; nothing when all are
    /// read as they stand.
    #[must_use]
    pub fn find_reading_order(&self) -> Vec<i32> {
        if !self.runs.iter().any(|run| run.rtl) {
            return Vec::new();
        }
        let place =
            |run: &GlyphRun| self.runs.iter().filter(|it| it.text.start < run.text.start).count();
        let places = self.runs.iter().enumerate();
        places.map(|(stands, run)| place(run) as i32 - stands as i32).collect()
    }

    /// A line without glyphs.
    pub(super) fn empty(text: Range<usize>, rtl: bool) -> Self {
        Self { text, width_em: 0.0, rtl, runs: Vec::new() }
    }
}

/// A run with what its order on the line depends on.
struct LevelRun {
    /// Glyphs of one face and one direction.
    run: GlyphRun,
    /// Its bidi level.
    level: u8,
    /// Letter spacing that each letter's advance includes, in em.
    spacing_em: f64,
}

/// Puts a line together from the parts it shows, given in reading order with
/// their items and their bytes of the text.
pub(super) fn assemble(
    text: Range<usize>,
    rtl: bool,
    parts: Vec<(&SetItem, Range<usize>, TokenPart<'_>)>,
) -> Line {
    let mut runs = reorder(join_items(&parts));
    // The last letter of a line needs no space after it.
    if let Some(last) = runs.last_mut()
        && let Some(glyph) = last.run.glyphs.last_mut()
    {
        glyph.advance_em -= last.spacing_em;
    }
    let runs = merge(runs);
    let width_em =
        runs.iter().flat_map(|run| &run.glyphs).fold(0.0, |sum, glyph| sum + glyph.advance_em);
    Line { text, width_em, rtl, runs }
}

/// Joins the parts of each item to one run, its glyphs from left to right.
fn join_items(parts: &[(&SetItem, Range<usize>, TokenPart<'_>)]) -> Vec<LevelRun> {
    parts
        .chunk_by(|one, next| one.0.item.start == next.0.item.start)
        .map(|parts| {
            let set = parts[0].0;
            let item = &set.item;
            let count = parts.iter().map(|(_, _, part)| part.glyphs.len()).sum();
            let mut glyphs = Vec::with_capacity(count);
            if item.is_rtl() {
                for (_, _, part) in parts.iter().rev() {
                    copy_glyphs(part, set.spacing_em, &mut glyphs);
                }
            } else {
                for (_, _, part) in parts {
                    copy_glyphs(part, set.spacing_em, &mut glyphs);
                }
            }
            LevelRun {
                run: GlyphRun {
                    font: item.font,
                    rtl: item.is_rtl(),
                    glyphs,
                    text: parts[0].1.start..parts[parts.len() - 1].1.end,
                },
                level: item.level,
                spacing_em: set.spacing_em,
            }
        })
        .filter(|set| !set.run.glyphs.is_empty())
        .collect()
}

/// Copies the glyphs of a part, with letter spacing and with clusters that
/// count from the paragraph's first byte.
fn copy_glyphs(part: &TokenPart<'_>, spacing_em: f64, glyphs: &mut Vec<Glyph>) {
    let offset = part.offset as u32;
    let first = glyphs.len();
    glyphs.extend(
        part.shaped.glyphs[part.glyphs.clone()]
            .iter()
            .map(|glyph| Glyph { cluster: glyph.cluster + offset, ..*glyph }),
    );
    if spacing_em != 0.0 {
        let marks = &part.shaped.marks[part.glyphs.start..=part.glyphs.end];
        for (glyph, pair) in glyphs[first..].iter_mut().zip(marks.windows(2)) {
            if pair[0].letters != pair[1].letters {
                glyph.advance_em += spacing_em;
            }
        }
    }
}

/// Brings runs into visual order (UAX #9, L2).
///
/// L1 has nothing left to do: the spaces it is about hang and are not shown.
fn reorder(runs: Vec<LevelRun>) -> Vec<LevelRun> {
    if runs.iter().all(|set| set.level == 0) {
        return runs;
    }
    let levels: Vec<Level> = runs.iter().map(|set| Level::from(set.level)).collect();
    let mut runs: Vec<Option<LevelRun>> = runs.into_iter().map(Some).collect();
    BidiInfo::reorder_visual(&levels).into_iter().filter_map(|from| runs[from].take()).collect()
}

/// Merges left-to-right runs of one face that follow each other in the text too.
fn merge(runs: Vec<LevelRun>) -> Vec<GlyphRun> {
    if runs.len() < 2 {
        return runs.into_iter().map(|set| set.run).collect();
    }
    let mut merged: Vec<GlyphRun> = Vec::with_capacity(runs.len());
    for LevelRun { run, .. } in runs {
        match merged.last_mut() {
            Some(last)
                if !last.rtl
                    && !run.rtl
                    && last.font == run.font
                    && last.text.end == run.text.start =>
            {
                last.text.end = run.text.end;
                last.glyphs.extend(run.glyphs);
            }
            _ => merged.push(run),
        }
    }
    merged
}
