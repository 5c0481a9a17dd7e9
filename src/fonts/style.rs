//! How a piece of text is to be set, and what stops it.
//!
//! Comes in: nothing. Goes out: [`TextStyle`], and the errors that say which
//! characters cannot be printed. Sizes are not its job: every length is in em.

use std::collections::BTreeMap;
use std::fmt;

use super::book::FamilyId;
use super::cut::Cut;

/// Which way a line runs where its characters leave it open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum BaseDirection {
    /// As the first strong character of each line says (UAX #9, P2 and P3).
    #[default]
    Auto,
    /// Whatever it begins with, left to right.
    LeftToRight,
    /// Whatever it begins with, right to left.
    RightToLeft,
}

/// How a text is to be set, its size left open.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TextStyle {
    /// Family to try first; none for the built-in one.
    pub family: Option<FamilyId>,
    /// Cut of the family; regular by default.
    pub cut: Cut,
    /// Extra space after each letter but the last of a line, in em; 0 by default.
    ///
    /// Anything but 0 turns ligatures off. Joined scripts are not spaced. A
    /// value that is no number counts as 0.
    pub letter_spacing_em: f64,
    /// Figures of one width, unkerned, so that columns line up; off by default.
    pub tabular: bool,
    /// Direction of the lines; by their first strong character by default.
    pub direction: BaseDirection,
}

/// A character for which no font of the book has a glyph.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct MissingGlyph {
    /// Byte offset of its first occurrence in the text.
    pub at: usize,
    /// What cannot be printed.
    pub character: char,
}

impl MissingGlyph {
    /// Says whether it is a control character, which no font could print.
    #[must_use]
    pub fn is_control(&self) -> bool {
        self.character.is_control()
    }
}

impl fmt::Display for MissingGlyph {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let code = u32::from(self.character);
        if self.is_control() {
            write!(f, "U+{code:04X} (a control character)")
        } else {
            write!(f, "`{}` (U+{code:04X})", self.character)
        }
    }
}

/// All characters of a text that cannot be printed, in order of first occurrence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MissingGlyphs {
    /// Never empty; each character once.
    glyphs: Vec<MissingGlyph>,
}

impl MissingGlyphs {
    /// The characters, in order of first occurrence, each once.
    pub fn iter(&self) -> impl Iterator<Item = &MissingGlyph> {
        self.glyphs.iter()
    }
}

impl fmt::Display for MissingGlyphs {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("no font has a glyph for ")?;
        for (nth, glyph) in self.glyphs.iter().enumerate() {
            if nth > 0 {
                f.write_str(", ")?;
            }
            write!(f, "{glyph}")?;
        }
        Ok(())
    }
}

impl std::error::Error for MissingGlyphs {}

/// Why a text cannot be set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TextError {
    /// Some characters have no glyph.
    Missing(MissingGlyphs),
    /// A font's rules gave up on a stretch of the text, or the text is too long.
    Unshapable {
        /// Byte offset at which the stretch begins.
        at: usize,
    },
}

impl fmt::Display for TextError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(missing) => missing.fmt(f),
            Self::Unshapable { at } => {
                write!(f, "the font cannot set the text from byte {at} on")
            }
        }
    }
}

impl std::error::Error for TextError {}

impl From<MissingGlyphs> for TextError {
    fn from(missing: MissingGlyphs) -> Self {
        Self::Missing(missing)
    }
}

/// Collects missing characters, each with its first place.
#[derive(Default)]
pub(super) struct MissingList {
    /// First byte offset of each character.
    first: BTreeMap<char, usize>,
}

impl MissingList {
    /// Notes that `character` at byte `at` has no glyph.
    pub(super) fn note(&mut self, character: char, at: usize) {
        let first = self.first.entry(character).or_insert(at);
        *first = at.min(*first);
    }

    /// Gives the error, or nothing if nothing is missing.
    pub(super) fn finish(self) -> Result<(), MissingGlyphs> {
        if self.first.is_empty() {
            return Ok(());
        }
        let mut glyphs: Vec<MissingGlyph> =
            self.first.into_iter().map(|(character, at)| MissingGlyph { at, character }).collect();
        glyphs.sort_unstable();
        Err(MissingGlyphs { glyphs })
    }
}
