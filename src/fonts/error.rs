//! Why fonts are refused, in words and with the way out where there is one.

use std::fmt;

use super::cut::Cut;

/// Why a font file cannot be used, or a glyph of it cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum FontError {
    /// The data is no TrueType or OpenType font.
    NotAFont {
        /// What it seems to be.
        found: &'static str,
    },
    /// The file has fewer faces than asked for.
    NoSuchFace {
        /// The face asked for, from 0.
        index: u32,
        /// Faces in the file.
        count: u32,
    },
    /// The face has no outlines that can be printed.
    NoOutlines {
        /// What it has instead.
        found: &'static str,
    },
    /// The face does not say which glyph belongs to which character.
    NoCharacterMap,
    /// The family has a face for this cut already.
    CutTaken {
        /// Name of the family.
        family: String,
        /// What the family has already.
        cut: Cut,
    },
    /// The family name is empty.
    NoFamilyName,
    /// The book holds as many faces or families as it can name.
    BookFull,
    /// A glyph's outline is missing or damaged.
    UnreadableGlyph {
        /// Number of the glyph.
        glyph: u16,
    },
}

impl FontError {
    /// The change that would help, if there is one to name.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::NotAFont { found: "a WOFF web font" } => {
                Some("convert it to a `.ttf` or `.otf` file first".to_owned())
            }
            Self::NoOutlines { found: "variable CFF2 outlines" } => {
                Some("use the static files of the family instead".to_owned())
            }
            Self::CutTaken { family, .. } => Some(format!(
                "add it under another family name than `{family}`, or leave one of the two out"
            )),
            _ => None,
        }
    }
}

impl fmt::Display for FontError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAFont { found } => {
                write!(f, "expected a TrueType or OpenType font, found {found}")
            }
            Self::NoSuchFace { index, count } => {
                write!(f, "expected a face number under {count}, found `{index}`")
            }
            Self::NoOutlines { found } => {
                write!(f, "expected TrueType or CFF outlines, found {found}")
            }
            Self::NoCharacterMap => {
                f.write_str("expected a font with a Unicode character map, found none")
            }
            Self::CutTaken { family, cut } => {
                write!(f, "family `{family}` has a {} face already", cut.name())
            }
            Self::NoFamilyName => f.write_str("expected a family name, found an empty one"),
            Self::BookFull => f.write_str("too many fonts, at most 65,535 can be used"),
            Self::UnreadableGlyph { glyph } => {
                write!(f, "the outline of glyph {glyph} is missing or damaged")
            }
        }
    }
}

impl std::error::Error for FontError {}
