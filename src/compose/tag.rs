//! The tag: bold, on one line or two, as large as its box.
//!
//! The size follows the ink of the letters themselves, not the font's line height, so that a tag
//! without descenders is larger for it.

use std::sync::Arc;

use super::stack::{shift, slack};
use super::{Job, Place};
use crate::bind::Bound;
use crate::findings::{Finding, rules};
use crate::fonts::{Cut, Line, Paragraph};
use crate::geom::{Mm, Point, Rect};
use crate::layout::{Length, Slant, TypeStyle, Weight};
use crate::scene::MarkKind;

/// The height of a tag that says nothing about it.
pub(super) const USUAL_HEIGHT: Mm = Mm(20.0);

/// Two lines must gain at least this much over one: one line is quicker to read.
const WORTH_A_BREAK: f64 = 1.15;

/// White between the ink of two lines, in em.
const LINE_GAP_EM: f64 = 0.18;

/// Capitals lower than this are read from less than arm's length and a step: 1/200 of the distance is
/// 17 minutes of arc, and NUREG-0700, Rev. 2, 1.3.1-4, asks for 16 at least.
const LOWEST_CAPITALS: Mm = Mm(4.0);

/// A tag broken into its lines.
struct TagCandidate {
    /// The lines, each a paragraph of its own.
    lines: Vec<(Arc<Paragraph>, Line)>,
    /// The ink of each line.
    ink: Vec<InkExtent>,
    /// The type size it reaches in its box.
    size: Mm,
}

/// How far the ink of a line reaches from the start of its baseline, in em.
#[derive(Clone, Copy, Debug)]
struct InkExtent {
    /// Upwards.
    top: f64,
    /// Upwards; below zero for descenders.
    bottom: f64,
    /// To the right, to where the ink starts.
    left: f64,
    /// To the right, to where the ink ends.
    right: f64,
}

impl InkExtent {
    /// From the highest to the lowest ink.
    fn height(self) -> f64 {
        self.top - self.bottom
    }

    /// From the leftmost to the rightmost ink.
    fn width(self) -> f64 {
        self.right - self.left
    }
}

/// Tags longer than so many bytes are kept on one line.
const LONGEST_BROKEN: usize = 200;

impl Job<'_, '_> {
    /// Sets and paints a tag.
    pub(super) fn place_tag(&mut self, bound: &Bound<'_>, text: &str, place: Place) {
        let text = text.trim();
        if text.is_empty() {
            let finding = Finding::new(&rules::EMPTY_TAG, "this parcel has no tag to print")
                .hint("give the order a `tag`, or print `{{ tag }}`, which is never empty");
            return self.find(bound, finding);
        }
        let style = TypeStyle {
            family: None,
            size: Length::Mm(10.0),
            smallest: Length::Mm(2.0),
            cut: Weight::Bold,
            slant: Slant::Upright,
            spacing: 0.0,
            leading: 1.0,
            capitals: false,
        };
        if self.shape_or_report(bound, text, &style).is_none() {
            return;
        }
        let Some(best) = self.best_candidate(text, &style, place) else { return };
        let capitals = best.size * self.capital_height(None, Cut::Bold);
        if LOWEST_CAPITALS.exceeds(capitals) {
            let message = format!(
                "the tag `{text}` gets capitals of {capitals} in its box, too small to read from \
                 a step away"
            );
            let finding = Finding::new(&rules::SMALL_TAG, message).hint(format!(
                "shorten the tag, or make its box larger than {}",
                place.rect.height
            ));
            self.find(bound, finding);
        }
        self.tag_capitals = Some(self.tag_capitals.map_or(capitals, |other| other.min(capitals)));
        self.paint_tag(bound, best, place);
    }

    /// The way of breaking a tag that makes it largest.
    fn best_candidate(
        &mut self,
        text: &str,
        style: &TypeStyle,
        place: Place,
    ) -> Option<TagCandidate> {
        let one = self.candidate(&[text], style, place)?;
        // Nobody reads a tag longer than that, and each space means shaping it once more.
        let breakable = if text.len() > LONGEST_BROKEN { "" } else { text };
        let breaks = breakable.match_indices(' ').map(|(at, _)| at);
        let two = breaks
            .filter_map(|at| {
                self.candidate(&[text[..at].trim_end(), &text[at + 1..]], style, place)
            })
            .fold(None, |best: Option<TagCandidate>, next| match best {
                Some(best) if best.size >= next.size => Some(best),
                _ => Some(next),
            });
        match two {
            Some(two) if two.size.0 > one.size.0 * WORTH_A_BREAK => Some(two),
            _ => Some(one),
        }
    }

    /// A tag on given lines at the size it reaches.
    fn candidate(
        &mut self,
        texts: &[&str],
        style: &TypeStyle,
        place: Place,
    ) -> Option<TagCandidate> {
        let mut lines = Vec::new();
        let mut ink = Vec::new();
        for text in texts {
            let paragraph = self.shape(text, style)?;
            let line = paragraph
                .break_lines(&mut self.composer.shaper, f64::INFINITY)
                .into_iter()
                .next()?;
            ink.push(self.ink_extent(&line));
            lines.push((paragraph, line));
        }
        let width = ink.iter().map(|ink: &InkExtent| ink.width()).fold(0.0, f64::max);
        let height = ink.iter().map(|ink| ink.height()).sum::<f64>()
            + LINE_GAP_EM * (lines.len() - 1) as f64;
        let size = Mm((place.rect.width.0 / width).min(place.rect.height.0 / height));
        (size.0.is_finite() && size.0 > 0.0).then_some(TagCandidate { lines, ink, size })
    }

    /// The ink of a line; it is at least as high as capitals, so that tags of small letters do
    /// not outgrow their neighbours.
    fn ink_extent(&mut self, line: &Line) -> InkExtent {
        let top = self.capital_height(None, Cut::Bold);
        let mut extent = InkExtent { top, bottom: 0.0, left: f64::INFINITY, right: 0.0 };
        let mut x = 0.0;
        let glyphs = line.runs.iter().flat_map(|run| run.glyphs.iter().map(move |it| (run, it)));
        for (run, glyph) in glyphs {
            if let Some(bounds) = self.composer.shaper.glyph_bounds(run.font, glyph.id) {
                extent.top = extent.top.max(bounds.y_max + glyph.dy_em);
                extent.bottom = extent.bottom.min(bounds.y_min + glyph.dy_em);
                extent.left = extent.left.min(x + glyph.dx_em + bounds.x_min);
                extent.right = extent.right.max(x + glyph.dx_em + bounds.x_max);
            }
            x += glyph.advance_em;
        }
        extent
    }

    /// Paints a tag's lines.
    fn paint_tag(&mut self, bound: &Bound<'_>, tag: TagCandidate, place: Place) {
        let heights = tag.ink.iter().map(|ink| tag.size * ink.height());
        let gap = tag.size * LINE_GAP_EM;
        let used = heights.sum::<Mm>() + gap * (tag.lines.len() - 1) as f64;
        let mut y = place.rect.y + shift(bound.block.sit, place.rect.height - used);
        for ((paragraph, line), ink) in tag.lines.into_iter().zip(tag.ink) {
            let free = place.rect.width - tag.size * ink.width();
            // The ink, and not the white beside the first letter, stands on the edge.
            let x = place.rect.x + slack(bound.block.align, free) - tag.size * ink.left;
            let at = Point::new(x, y + tag.size * ink.top);
            let first = self.page.marks.len();
            self.paint_line(&paragraph, line, tag.size, at, place.id, place.ink);
            self.box_ink(first, at, tag.size, ink);
            y += tag.size * ink.height() + gap;
        }
    }

    /// Gives the runs painted since `first` the box of their ink: a tag fills its room with ink,
    /// so the nominal box of its letters would reach outside.
    fn box_ink(&mut self, first: usize, at: Point, size: Mm, ink: InkExtent) {
        let whole = Rect::new(
            at.x + size * ink.left,
            at.y - size * ink.top,
            size * ink.width(),
            size * ink.height(),
        );
        for mark in &mut self.page.marks[first..] {
            if let MarkKind::Text(run) = &mut mark.kind {
                let x = run.rect.x.max(whole.x);
                let right = run.rect.right().min(whole.right());
                run.rect = Rect::new(x, whole.y, (right - x).max(Mm::ZERO), whole.height);
            }
        }
    }
}
