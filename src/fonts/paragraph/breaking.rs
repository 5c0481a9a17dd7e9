//! A paragraph's lines: each ends at the last break up to which it fits.

use std::ops::Range;

use super::super::breaks::{Break, SOFT_HYPHEN};
use super::super::line::{Line, assemble};
use super::super::shaper::Shaper;
use super::super::token::{Held, TextExtent, Token, TokenPart};
use super::{Paragraph, SetSection};

/// Widths are sums of rounded numbers; this much over the line still fits, in em.
const ROUNDING_EM: f64 = 1e-9;

/// How far shaping a cut anew could change its width, at a guess, in em.
///
/// A wrong guess can end a line one piece early, never make it too wide.
const RESHAPING_EM: f64 = 1.0;

impl Paragraph {
    /// Breaks the text into lines of at most `max_width_em`.
    ///
    /// A piece that no break divides and that is wider than the line makes a
    /// line of its own that is too wide: the caller sees it in the line's
    /// width and decides. A width that is no number counts as 0. An empty
    /// text has no lines; an empty stretch between two forced breaks has one.
    ///
    /// `shaper` is to be one for the book that the paragraph was shaped with.
    #[must_use]
    pub fn break_lines(&self, shaper: &mut Shaper, max_width_em: f64) -> Vec<Line> {
        self.break_lines_within(shaper, max_width_em, usize::MAX).unwrap_or_default()
    }

    /// The lines as [`Paragraph::break_lines`] makes them; `None` as soon as there are more than
    /// `most`.
    #[must_use]
    pub fn break_lines_within(
        &self,
        shaper: &mut Shaper,
        max_width_em: f64,
        most: usize,
    ) -> Option<Vec<Line>> {
        let mut lines = Vec::with_capacity(self.sections.len().min(most));
        self.walk_lines(shaper, max_width_em, most, |shaper, section, range, place| {
            lines.push(match place {
                Some(place) => self.set_line(shaper, section, range, place),
                None => Line::empty(range, section.rtl),
            });
        })?;
        Some(lines)
    }

    /// How many lines [`Paragraph::break_lines`] makes, which is quicker than making them; `None`
    /// when there are more than `most`.
    #[must_use]
    pub(crate) fn count_lines_within(
        &self,
        shaper: &mut Shaper,
        max_width_em: f64,
        most: usize,
    ) -> Option<usize> {
        self.walk_lines(shaper, max_width_em, most, |_, _, _, _| {})
    }

    /// Gives the lines one after the other, each with its section, its bytes and the break that ends
    /// it, if it has any text, and tells how many there are; `None` as soon as there are more than
    /// `most`.
    fn walk_lines(
        &self,
        shaper: &mut Shaper,
        max_width_em: f64,
        most: usize,
        mut take: impl FnMut(&mut Shaper, &SetSection, Range<usize>, Option<&Break>),
    ) -> Option<usize> {
        debug_assert!(self.book.is_same(shaper.book()), "a shaper of another book");
        let max_em = if max_width_em.is_nan() { 0.0 } else { max_width_em };
        let mut count = 0;
        for section in &self.sections {
            if section.breaks.is_empty() {
                if count == most {
                    return None;
                }
                count += 1;
                let range = section.section.content.start..section.section.end;
                take(shaper, section, range, None);
            }
            let mut start = section.section.content.start;
            let mut next = section.breaks.start;
            while next < section.breaks.end {
                if count == most {
                    return None;
                }
                count += 1;
                let chosen = self.choose_break(shaper, section, start, next, max_em);
                let place = &self.breaks[chosen];
                let last = chosen + 1 == section.breaks.end;
                let end = if last { section.section.end } else { place.at };
                take(shaper, section, start..end, Some(place));
                start = place.at;
                next = chosen + 1;
            }
        }
        Some(count)
    }

    /// The last break, from `first` on, up to which a line from `start` fits;
    /// `first` if none does.
    fn choose_break(
        &self,
        shaper: &mut Shaper,
        section: &SetSection,
        start: usize,
        first: usize,
        max_em: f64,
    ) -> usize {
        let fits = |width_em: f64| width_em <= max_em + ROUNDING_EM;
        // Most texts fit on one line.
        let last = section.breaks.end - 1;
        let rest = self.width_em(None, section, start, &self.breaks[last]);
        if rest <= max_em + RESHAPING_EM
            && fits(self.width_em(Some(shaper), section, start, &self.breaks[last]))
        {
            return last;
        }
        let mut best = first;
        for index in first..section.breaks.end {
            let place = &self.breaks[index];
            let estimate = self.width_em(None, section, start, place);
            if estimate > max_em + RESHAPING_EM {
                break;
            }
            let doubtful = place.hyphen || estimate > max_em - RESHAPING_EM;
            if !doubtful || fits(self.width_em(Some(shaper), section, start, place)) {
                best = index;
            }
        }
        while best > first {
            let place = &self.breaks[best];
            if fits(self.width_em(Some(shaper), section, start, place)) {
                break;
            }
            best -= 1;
        }
        best
    }

    /// Width of a line from `start` to `place`, hanging spaces not counted, in em.
    ///
    /// Without a shaper it is an estimate: cuts are taken as they come and a
    /// hyphen is left out.
    pub(super) fn width_em(
        &self,
        mut shaper: Option<&mut Shaper>,
        section: &SetSection,
        start: usize,
        place: &Break,
    ) -> f64 {
        // A piece may be nothing but spaces that hang over the end of the one before.
        if place.shown <= start {
            return 0.0;
        }
        let tokens = &self.tokens[section.tokens.clone()];
        let first = tokens.partition_point(|token| token.end <= start);
        let end = tokens.partition_point(|token| token.start < place.shown);
        let Some(last) = end.checked_sub(1).filter(|last| first <= *last) else {
            return 0.0;
        };
        let mut extent_to = |token: &Token, to: usize, hyphen: bool| {
            let from = start.max(token.start);
            let part = self.part(shaper.as_deref_mut(), token, from..to, hyphen);
            part.extent(self.items[token.item].spacing_em != 0.0)
        };
        let whole = start <= tokens[first].start && place.shown == tokens[last].end;
        let total = if whole && !place.hyphen {
            let spaced = self.items[tokens[last].item].spacing_em != 0.0;
            let end = tokens[last].before.and(tokens[last].extent(spaced));
            end.since(tokens[first].before)
        } else if first == last {
            extent_to(&tokens[first], place.shown, place.hyphen)
        } else {
            let between = tokens[last].before.since(tokens[first + 1].before);
            extent_to(&tokens[first], tokens[first].end, false).and(between).and(extent_to(
                &tokens[last],
                place.shown,
                place.hyphen,
            ))
        };
        total.em + f64::from(total.letters) * self.spacing_em - self.last_spacing_em(section, total)
    }

    /// Letter spacing that a line of this extent surely does without at its end, in em.
    fn last_spacing_em(&self, section: &SetSection, line: TextExtent) -> f64 {
        if line.letters == 0 {
            0.0
        } else if section.evenly_spaced {
            self.spacing_em
        } else {
            // The last letter may be one of a joined script, without spacing.
            self.spacing_em.min(0.0)
        }
    }

    /// The part of a token that stands on a line.
    ///
    /// With `hyphen`, the range ends with a soft hyphen that is to show.
    fn part<'a>(
        &self,
        shaper: Option<&mut Shaper>,
        token: &'a Token,
        range: Range<usize>,
        hyphen: bool,
    ) -> TokenPart<'a> {
        let item = &self.items[token.item].item;
        let glyphs = token.cut(&range, item.is_rtl());
        let kept = TokenPart { shaped: Held::Kept(&token.shaped), glyphs, offset: token.start };
        let safe = token.is_safe_cut(range.start, item.is_rtl())
            && token.is_safe_cut(range.end, item.is_rtl());
        let Some(shaper) = shaper.filter(|_| hyphen || !safe) else {
            return kept;
        };
        let plan = shaper.plan(item, self.features);
        let reshaped = match shaper.hyphen(plan).filter(|_| hyphen) {
            Some(shown) => {
                let word = &self.text[range.start..range.end - SOFT_HYPHEN.len_utf8()];
                shaper.shape(plan, &format!("{word}{shown}"))
            }
            None => shaper.shape(plan, &self.text[range.clone()]),
        };
        // The whole was shaped without fault, so a part that cannot be is
        // set as it stood in the whole.
        reshaped.map_or(kept, |shaped| TokenPart {
            glyphs: 0..shaped.glyphs.len(),
            shaped: Held::New(shaped),
            offset: range.start,
        })
    }

    /// Puts the line for the bytes `range` together; `place` ends it.
    fn set_line(
        &self,
        shaper: &mut Shaper,
        section: &SetSection,
        range: Range<usize>,
        place: &Break,
    ) -> Line {
        let tokens = &self.tokens[section.tokens.clone()];
        let first = tokens.partition_point(|token| token.end <= range.start);
        let shown = tokens[first..]
            .iter()
            .take_while(|token| place.shown > token.start.max(range.start))
            .map(|token| {
                let cut = range.start.max(token.start)..place.shown.min(token.end);
                let hyphen = place.hyphen && cut.end == place.shown;
                let part = self.part(Some(shaper), token, cut.clone(), hyphen);
                (&self.items[token.item], cut, part)
            })
            .collect();
        assemble(range, section.rtl, shown)
    }
}
