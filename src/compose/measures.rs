//! What is made once a page or once a document and asked for again: codes, and the measures of long texts.

use std::collections::HashMap;
use std::sync::Arc;

use crate::codes::{Code128, Qr};
use crate::layout::{Fit, TypeStyle};

/// Codes made for one page: measuring and placing ask for the same ones.
#[derive(Default)]
pub(super) struct CodeCache {
    /// Code 128 by what it says and whether it is a GS1-128.
    pub(super) bars: HashMap<(String, bool), Arc<Code128>>,
    /// QR by what it says and its error correction.
    pub(super) squares: HashMap<(String, u8), Arc<Qr>>,
}

/// What was measured of long texts.
#[derive(Default)]
pub(super) struct Measures {
    /// The styles that texts were measured in; a style's id is its place here.
    pub(super) styles: Vec<TypeStyle>,
    /// The answers by the text that was asked about.
    pub(super) answers: HashMap<String, HashMap<Asked, f64>>,
}

/// A style, by its place in [`Measures`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct StyleId(usize);

/// What was asked about a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct Asked {
    /// The style that it is set in.
    pub(super) style: StyleId,
    /// Such as its height in some width.
    pub(super) question: Question,
}

/// A question about a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Question {
    /// Its width, unbroken, in em.
    Width,
    /// Its height, in millimetres.
    Height {
        /// What is done when it does not fit.
        fit: Fit,
        /// The bits of the width it has, in millimetres.
        width: u64,
    },
}

impl Measures {
    /// The id of a style: equal styles have one.
    pub(super) fn identify(&mut self, style: &TypeStyle) -> StyleId {
        let known = self.styles.iter().position(|known| known == style);
        StyleId(known.unwrap_or_else(|| {
            self.styles.push(style.clone());
            self.styles.len() - 1
        }))
    }
}
