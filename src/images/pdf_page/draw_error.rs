//! Why a page of another PDF cannot be drawn as pixels.
//!
//! In: what there would be too much of, or what the renderer cannot take. Out: the words for a person.
//! Not here: counting it (`toil`, `swell`) and drawing (`render`).

use std::fmt;

use crate::limits::{DRAWN_BYTES, DRAWN_DASHES, DRAWN_DEPTH, DRAWN_PIXELS, DRAWN_STEPS};

/// The most pixels that are drawn at once: an A4 page at 800 dpi; each takes four bytes meanwhile.
pub(super) const MOST_PIXELS: u64 = 64_000_000;

/// Why a page cannot be drawn as pixels.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PageDrawError {
    /// There would be none, or more than is reasonable.
    Pixels {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// Drawing it would take more than a page of print ever does.
    Toil(DrawnToil),
    /// The renderer gave up on what the page holds.
    Unreadable,
    /// This build has no renderer: it was made without the feature `draw`.
    NoRenderer,
}

/// What drawing a page would take too much of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DrawnToil {
    /// Forms that stand in one another.
    Depth,
    /// Operators and letters, counted as often as their forms are drawn.
    Steps,
    /// Dashes of lines.
    Dashes,
    /// Pixels of pictures.
    Pixels,
    /// Bytes that streams are unpacked to.
    Bytes,
    /// A picture packed in a way that is not unpacked here.
    Packing,
}

impl DrawnToil {
    /// What there is too much of, with the limit.
    fn words(self) -> String {
        match self {
            DrawnToil::Depth => format!("forms in one another more than {DRAWN_DEPTH} deep"),
            DrawnToil::Steps => format!("more than {DRAWN_STEPS} steps, its forms repeated"),
            DrawnToil::Dashes => format!("lines of more than {DRAWN_DASHES} dashes"),
            DrawnToil::Pixels => {
                format!("pictures of more than {} million pixels", DRAWN_PIXELS / 1_000_000)
            }
            DrawnToil::Bytes => {
                format!("more than {} million bytes to be unpacked", DRAWN_BYTES / 1_000_000)
            }
            DrawnToil::Packing => String::from("a picture packed as JPEG 2000 or JBIG2"),
        }
    }
}

impl fmt::Display for PageDrawError {
    /// The error as the end of a sentence about the page.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PageDrawError::Pixels { width, height } => write!(
                f,
                "expected from 1 to {} million dots, found {width} × {height}",
                MOST_PIXELS / 1_000_000
            ),
            PageDrawError::Toil(toil) => write!(f, "it asks for {}", toil.words()),
            PageDrawError::Unreadable => f.write_str("something on it cannot be drawn as dots"),
            PageDrawError::NoRenderer => {
                f.write_str("this build has no renderer for pages of PDFs")
            }
        }
    }
}

impl std::error::Error for PageDrawError {}
