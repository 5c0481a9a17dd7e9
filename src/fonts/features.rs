//! OpenType features that a style asks for.
//!
//! Comes in: a style's wishes and a stretch of text. Goes out: the list of
//! features for the shaping library. What a font does by itself (kerning,
//! ligatures, marks) is not listed here.

use harfrust::{Feature, Tag};

/// The features that a style turns on or off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Features {
    /// Figures of one width without kerning.
    pub(super) tabular: bool,
    /// No ligatures, because letters are spaced.
    pub(super) spaced: bool,
}

impl Features {
    /// The features a plan is compiled with.
    ///
    /// Kerning is listed with a range, so that it can be turned off for
    /// figures alone.
    pub(super) fn global(self) -> Vec<Feature> {
        let mut list = Vec::new();
        if self.tabular {
            list.push(Feature::new(Tag::new(b"tnum"), 1, ..));
            list.push(unkerned(0, 1));
        }
        if self.spaced {
            list.push(Feature::new(Tag::new(b"liga"), 0, ..));
            list.push(Feature::new(Tag::new(b"clig"), 0, ..));
        }
        list
    }

    /// The features for one stretch: those of the plan, with no kerning
    /// inside its numbers.
    pub(super) fn over(self, text: &str, pad: usize) -> Vec<Feature> {
        let mut list = self.global();
        if self.tabular {
            list.retain(|feature| feature.tag != Tag::new(b"kern"));
            list.extend(
                find_numbers(text).into_iter().map(|(start, end)| unkerned(start + pad, end + pad)),
            );
        }
        list
    }
}

/// No kerning from cluster `start` up to, but without, cluster `end`.
fn unkerned(start: usize, end: usize) -> Feature {
    Feature { tag: Tag::new(b"kern"), value: 0, start: start as u32, end: end as u32 }
}

/// Finds the numbers of a text, as byte ranges: ASCII figures with at most one
/// separator between two of them.
fn find_numbers(text: &str) -> Vec<(usize, usize)> {
    let separates = |c: char| ".,:'\u{2019}\u{a0}\u{2009}\u{202f}".contains(c);
    let mut numbers: Vec<(usize, usize)> = Vec::new();
    let mut pending = None;
    for (at, c) in text.char_indices() {
        if c.is_ascii_digit() {
            match numbers.last_mut() {
                Some(last) if last.1 == at || pending == Some(last.1) => last.1 = at + 1,
                _ => numbers.push((at, at + 1)),
            }
            pending = None;
        } else {
            let follows = numbers.last().is_some_and(|last| last.1 == at);
            pending = (follows && separates(c)).then_some(at);
        }
    }
    numbers
}
