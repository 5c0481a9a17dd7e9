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

mod breaking;

use std::ops::Range;

use super::book::{FontBook, FontId};
use super::breaks::{Break, SOFT_HYPHEN, Section, find_breaks, split_sections};
use super::features::Features;
use super::itemise::{Itemised, TextItem, itemise};
use super::shaper::{PlanId, Shaper, Unshaped};
use super::style::{MissingList, TextError, TextStyle};
use super::token::{TextExtent, Token, split_words};

/// Longest text that is taken, in bytes: 64 MiB.
const LONGEST_TEXT: usize = 1 << 26;

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
    /// Which of the paragraph's tokens stand in it.
    tokens: Range<usize>,
    /// Which of the paragraph's breaks lie in it.
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
    /// What stands between forced breaks, at least one.
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
}
