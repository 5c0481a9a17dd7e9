//! A shaped text, ready to be broken into lines of any width.
//!
//! Comes in: text and style, through the shaper. Goes out: [`Paragraph`] with
//! its widths in em, and its lines. Sizes, heights and alignment are not its
//! job: the caller knows the type size.
//!
//! Lines are broken greedily at the opportunities of UAX #14. Where a line
//! ends inside a shaped stretch and the shaping library says that the cut
//! would change it (kerning, a ligature, joined letters), the part on the line
//! is shaped anew, so each line is what shaping that line alone would give.

use std::ops::Range;

use super::book::{FontBook, FontId};
use super::breaks::{Break, SOFT_HYPHEN, Section, find_breaks, split_sections};
use super::features::Features;
use super::itemise::{Itemised, TextItem, itemise};
use super::line::{Line, assemble};
use super::shaper::{PlanId, Shaper, Unshaped};
use super::style::{MissingList, TextError, TextStyle};
use super::token::{Held, TextExtent, Token, TokenPart, split_words};

/// Longest text that is taken, in bytes: 64 MiB.
const LONGEST_TEXT: usize = 1 << 26;

/// Widths are sums of rounded numbers; this much over the line still fits, in em.
const ROUNDING_EM: f64 = 1e-9;

/// How far shaping a cut anew could change its width, at a guess, in em.
///
/// A wrong guess can end a line one piece early, never make it too wide.
const RESHAPING_EM: f64 = 1.0;

/// An item with what its glyphs need beside the shaping.
#[derive(Debug)]
pub(super) struct SetItem {
    /// The stretch of text.
    pub(super) item: TextItem,
    /// Space after each letter in em; 0 in joined scripts.
    pub(super) spacing_em: f64,
}

/// The text between two forced breaks.
#[derive(Debug)]
struct SetSection {
    /// Its place in the text.
    section: Section,
    /// Whether its lines run right to left as a whole.
    rtl: bool,
    /// Whether all of it is letter-spaced as the style says.
    evenly_spaced: bool,
    /// Its tokens.
    tokens: Range<usize>,
    /// Its breaks.
    breaks: Range<usize>,
}

/// How far glyphs reach from their baseline.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct GlyphReach {
    /// Above it, in em.
    pub above_em: f64,
    /// Below it, in em.
    pub below_em: f64,
}

impl GlyphReach {
    /// How far this and other glyphs reach together.
    #[must_use]
    pub fn and(self, other: GlyphReach) -> GlyphReach {
        GlyphReach {
            above_em: self.above_em.max(other.above_em),
            below_em: self.below_em.max(other.below_em),
        }
    }
}

/// A shaped text; all widths in em of the type size it is printed at.
#[derive(Debug)]
pub struct Paragraph {
    /// The text, each tab replaced by a space.
    text: Box<str>,
    /// The book it was shaped with.
    book: FontBook,
    /// Features of its style.
    features: Features,
    /// Letter spacing of its style, in em.
    spacing_em: f64,
    /// All items in reading order.
    items: Vec<SetItem>,
    /// All tokens in reading order.
    tokens: Vec<Token>,
    /// All sections.
    sections: Vec<SetSection>,
    /// All places where lines may end.
    breaks: Vec<Break>,
    /// See [`Paragraph::natural_width_em`].
    natural_em: f64,
    /// See [`Paragraph::min_width_em`].
    min_em: f64,
}

impl Paragraph {
    /// Shapes a text; see [`Shaper::paragraph`].
    pub(super) fn shape(
        shaper: &mut Shaper,
        text: &str,
        style: &TextStyle,
    ) -> Result<Self, TextError> {
        if text.len() > LONGEST_TEXT {
            return Err(TextError::Unshapable { at: LONGEST_TEXT });
        }
        let mut paragraph = Self::unshaped(shaper, text, style);
        let mut missing = MissingList::default();
        let pending = paragraph.itemise(shaper, style, &mut missing);
        missing.finish()?;
        let mut missing = MissingList::default();
        for (section, itemised) in pending {
            paragraph.push_section(shaper, section, itemised, &mut missing)?;
        }
        missing.finish()?;
        paragraph.measure(shaper);
        Ok(paragraph)
    }

    /// A paragraph with its text and style but nothing shaped yet.
    fn unshaped(shaper: &Shaper, text: &str, style: &TextStyle) -> Self {
        let spacing = style.letter_spacing_em;
        let spacing_em = if spacing.is_finite() { spacing } else { 0.0 };
        Self {
            text: if text.contains('\t') { text.replace('\t', " ").into() } else { text.into() },
            book: shaper.book().clone(),
            features: Features { tabular: style.tabular, spaced: spacing_em != 0.0 },
            spacing_em,
            items: Vec::new(),
            tokens: Vec::new(),
            sections: Vec::new(),
            breaks: Vec::new(),
            natural_em: 0.0,
            min_em: 0.0,
        }
    }

    /// Cuts all sections into items.
    fn itemise(
        &self,
        shaper: &mut Shaper,
        style: &TextStyle,
        missing: &mut MissingList,
    ) -> Vec<(Section, Itemised)> {
        let chain = shaper.chain(style);
        split_sections(&self.text)
            .into_iter()
            .map(|section| {
                let itemised = itemise(
                    shaper.book(),
                    &chain,
                    &self.text,
                    &section.content,
                    style.direction,
                    missing,
                );
                (section, itemised)
            })
            .collect()
    }

    /// Shapes a section and adds it.
    fn push_section(
        &mut self,
        shaper: &mut Shaper,
        section: Section,
        itemised: Itemised,
        missing: &mut MissingList,
    ) -> Result<(), TextError> {
        let (items, tokens, breaks) = (self.items.len(), self.tokens.len(), self.breaks.len());
        let mut before = TextExtent::default();
        for item in itemised.items {
            before = self.push_item(shaper, item, before, missing)?;
        }
        for found in find_breaks(&self.text, &section.content) {
            if !found.hyphen || self.hyphen_before(shaper, items, found.at).is_some() {
                self.breaks.push(found);
            }
        }
        self.sections.push(SetSection {
            section,
            rtl: itemised.rtl,
            evenly_spaced: self.items[items..].iter().all(|set| set.spacing_em == self.spacing_em),
            tokens: tokens..self.tokens.len(),
            breaks: breaks..self.breaks.len(),
        });
        Ok(())
    }

    /// Shapes an item and adds it; gives the extent of the section up to its end.
    fn push_item(
        &mut self,
        shaper: &mut Shaper,
        item: TextItem,
        mut before: TextExtent,
        missing: &mut MissingList,
    ) -> Result<TextExtent, TextError> {
        let plan = shaper.plan(&item, self.features);
        let spacing_em = if item.joins_letters() { 0.0 } else { self.spacing_em };
        self.items.push(SetItem { item, spacing_em });
        let first = self.tokens.len();
        match self.push_tokens(shaper, plan, &item) {
            Ok(()) => {}
            Err((at, Unshaped::GaveUp)) => return Err(TextError::Unshapable { at }),
            Err((at, Unshaped::Missing(places))) => {
                for place in places {
                    let rest = &self.text[at + place..];
                    rest.chars().take(1).for_each(|c| missing.note(c, at + place));
                }
            }
        }
        for token in &mut self.tokens[first..] {
            token.before = before;
            before = before.and(token.extent(spacing_em != 0.0));
        }
        Ok(before)
    }

    /// Shapes an item word by word where words stand alone, else as a whole.
    fn push_tokens(
        &mut self,
        shaper: &mut Shaper,
        plan: PlanId,
        item: &TextItem,
    ) -> Result<(), (usize, Unshaped)> {
        let text = &self.text[item.start..item.end];
        let index = self.items.len() - 1;
        let first = self.tokens.len();
        if shaper.shapes_by_word(plan) && text.contains(' ') {
            let mut alone = true;
            for word in split_words(text) {
                let start = item.start + word.start;
                let text = &text[word.clone()];
                let shaped = shaper.shape(plan, text).map_err(|error| (start, error))?;
                alone &= shaped.stands_alone || text.starts_with(' ');
                let end = item.start + word.end;
                self.tokens.push(Token::new(start..end, index, shaped));
            }
            if alone {
                return Ok(());
            }
            self.tokens.truncate(first);
        }
        let shaped = shaper.shape(plan, text).map_err(|error| (item.start, error))?;
        self.tokens.push(Token::new(item.start..item.end, index, shaped));
        Ok(())
    }

    /// The hyphen for a break after a soft hyphen, none if its face has none.
    fn hyphen_before(&self, shaper: &mut Shaper, first_item: usize, at: usize) -> Option<char> {
        let items = &self.items[first_item..];
        let item = items.get(items.partition_point(|set| set.item.end < at))?;
        let plan = shaper.plan(&item.item, self.features);
        // A break between two items would need a hyphen in the face of the first.
        (item.item.start < at - SOFT_HYPHEN.len_utf8()).then(|| shaper.hyphen(plan)).flatten()
    }

    /// Finds the natural and the smallest width.
    fn measure(&mut self, shaper: &mut Shaper) {
        let mut natural: f64 = 0.0;
        let mut min: f64 = 0.0;
        for section in &self.sections {
            let mut start = section.section.content.start;
            for place in &self.breaks[section.breaks.clone()] {
                min = min.max(self.width_em(Some(shaper), section, start, place));
                start = place.at;
            }
            if let Some(last) = self.breaks[section.breaks.clone()].last() {
                let start = section.section.content.start;
                natural = natural.max(self.width_em(Some(shaper), section, start, last));
            }
        }
        (self.natural_em, self.min_em) = (natural, min);
    }

    /// The text as it was given, but for tabs, which are spaces here.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Width of the longest line when lines end at forced breaks only, in em.
    #[must_use]
    pub fn natural_width_em(&self) -> f64 {
        self.natural_em
    }

    /// Width of the longest piece that no break divides, in em.
    #[must_use]
    pub fn min_width_em(&self) -> f64 {
        self.min_em
    }

    /// How far glyphs of other faces than `usual` reach above and below the baseline; `None` when
    /// all are of that face, as in most texts.
    #[must_use]
    pub(crate) fn reach_of_others(&self, shaper: &mut Shaper, usual: FontId) -> Option<GlyphReach> {
        if self.items.iter().all(|set| set.item.font == usual) {
            return None;
        }
        let mut reach = GlyphReach::default();
        for token in &self.tokens {
            let font = self.items[token.item].item.font;
            if font != usual {
                reach = reach.and(shaper.reach(font, &token.shaped.glyphs));
            }
        }
        Some(reach)
    }

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
        debug_assert!(self.book.is_same(shaper.book()), "a shaper of another book");
        let max_em = if max_width_em.is_nan() { 0.0 } else { max_width_em };
        let mut lines = Vec::with_capacity(self.sections.len().min(most));
        for section in &self.sections {
            if section.breaks.is_empty() {
                if lines.len() == most {
                    return None;
                }
                lines.push(Line::empty(
                    section.section.content.start..section.section.end,
                    section.rtl,
                ));
            }
            let mut start = section.section.content.start;
            let mut next = section.breaks.start;
            while next < section.breaks.end {
                let chosen = self.choose_break(shaper, section, start, next, max_em);
                let place = &self.breaks[chosen];
                let last = chosen + 1 == section.breaks.end;
                let end = if last { section.section.end } else { place.at };
                if lines.len() == most {
                    return None;
                }
                lines.push(self.set_line(shaper, section, start..end, place));
                start = place.at;
                next = chosen + 1;
            }
        }
        Some(lines)
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
    fn width_em(
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
        let mut extent = |token: &Token, to: usize, hyphen: bool| {
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
            extent(&tokens[first], place.shown, place.hyphen)
        } else {
            let between = tokens[last].before.since(tokens[first + 1].before);
            extent(&tokens[first], tokens[first].end, false).and(between).and(extent(
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
