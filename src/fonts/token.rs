//! Shaped stretches and the parts that lines take of them.
//!
//! Comes in: shaped glyphs with their place in the text. Goes out: [`Token`]s
//! that can be cut, the [`TokenPart`]s cut from them, and their [`TextExtent`]s. Where
//! to cut is not their job.

use std::ops::{Deref, Range};
use std::sync::Arc;

use super::shaper::Shaped;

/// A stretch shaped and kept as one: a word, the spaces after it, or all of an item.
#[derive(Debug)]
pub(super) struct Token {
    /// First byte.
    pub(super) start: usize,
    /// Byte after the last.
    pub(super) end: usize,
    /// Index of its item.
    pub(super) item: usize,
    /// Its glyphs.
    pub(super) shaped: Arc<Shaped>,
    /// Extent of the section up to here in reading order.
    pub(super) before: TextExtent,
}

/// How far text extends, its letter spacing counted apart.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct TextExtent {
    /// Sum of the advances without letter spacing, in em.
    pub(super) em: f64,
    /// Letters that have spacing after them.
    pub(super) letters: u32,
}

impl TextExtent {
    /// This and then `next`.
    pub(super) fn and(self, next: Self) -> Self {
        Self { em: self.em + next.em, letters: self.letters + next.letters }
    }

    /// From `start` on to here, both counted from the same place.
    pub(super) fn since(self, start: Self) -> Self {
        Self { em: self.em - start.em, letters: self.letters - start.letters }
    }
}

/// A part of a token: its own glyphs where the cut is safe, else new ones.
pub(super) struct TokenPart<'a> {
    /// The glyphs to take from.
    pub(super) shaped: Held<'a>,
    /// Which of them.
    pub(super) glyphs: Range<usize>,
    /// Byte offset in the text that the clusters count from.
    pub(super) offset: usize,
}

/// Glyphs borrowed from a token or shaped for the occasion.
pub(super) enum Held<'a> {
    /// The token's own.
    Kept(&'a Shaped),
    /// Shaped for a cut.
    New(Arc<Shaped>),
}

impl Deref for Held<'_> {
    type Target = Shaped;

    fn deref(&self) -> &Shaped {
        match self {
            Self::Kept(shaped) => shaped,
            Self::New(shaped) => shaped,
        }
    }
}

impl TokenPart<'_> {
    /// Its extent, as text with or without letter spacing.
    pub(super) fn extent(&self, spaced: bool) -> TextExtent {
        let (from, to) = (self.shaped.marks[self.glyphs.start], self.shaped.marks[self.glyphs.end]);
        TextExtent {
            em: to.before_em - from.before_em,
            letters: if spaced { to.letters - from.letters } else { 0 },
        }
    }
}

impl Token {
    /// A token whose place in the section is not yet known.
    pub(super) fn new(range: Range<usize>, item: usize, shaped: Arc<Shaped>) -> Self {
        Self { start: range.start, end: range.end, item, shaped, before: TextExtent::default() }
    }

    /// Its extent, as text with or without letter spacing.
    pub(super) fn extent(&self, spaced: bool) -> TextExtent {
        let end = self.shaped.end();
        TextExtent { em: end.before_em, letters: if spaced { end.letters } else { 0 } }
    }

    /// The glyphs whose letters begin within `range`, as indices.
    pub(super) fn cut(&self, range: &Range<usize>, rtl: bool) -> Range<usize> {
        let glyphs = &self.shaped.glyphs;
        if range.start <= self.start && range.end >= self.end {
            return 0..glyphs.len();
        }
        let (from, to) = (range.start - self.start, range.end - self.start);
        let begins = |at: usize| glyphs.partition_point(|glyph| (glyph.cluster as usize) < at);
        let ends = |at: usize| glyphs.partition_point(|glyph| glyph.cluster as usize >= at);
        if rtl { ends(to)..ends(from) } else { begins(from)..begins(to) }
    }

    /// Says whether a cut at byte `at` leaves the glyphs on both sides as they are.
    pub(super) fn is_safe_cut(&self, at: usize, rtl: bool) -> bool {
        if at <= self.start || at >= self.end {
            return true;
        }
        let cut = self.cut(&(at..self.end), rtl);
        let nearest = if rtl { cut.end.checked_sub(1) } else { Some(cut.start) };
        nearest.is_some_and(|index| {
            self.shaped.glyphs.get(index).is_some_and(|glyph| {
                glyph.cluster as usize == at - self.start && self.shaped.marks[index].safe
            })
        })
    }
}

/// Splits a text into runs of spaces and runs of anything else.
pub(super) fn split_words(text: &str) -> impl Iterator<Item = Range<usize>> {
    let mut start = 0;
    std::iter::from_fn(move || {
        let rest = text.get(start..).filter(|rest| !rest.is_empty())?;
        let spaces = rest.starts_with(' ');
        let len = rest.find(|c| (c == ' ') != spaces).unwrap_or(rest.len());
        start += len;
        Some(start - len..start)
    })
}
