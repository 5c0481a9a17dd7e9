//! What one document has put on its pages so far: a short layout can ask for endless dashes, and
//! must end in an error and not in memory.

use std::collections::BTreeSet;

use super::Job;
use crate::findings::{Finding, rules};
use crate::limits::{DOCUMENT_DOTS, DOCUMENT_MARKS, DOCUMENT_TEXT, PICTURE_PIXELS};
use crate::scene::{BlockId, MarkKind};

/// The marks of a document, counted as they are made.
#[derive(Debug, Default)]
pub(super) struct MarkCount {
    /// Marks on all pages.
    marks: usize,
    /// Letters on all pages.
    glyphs: usize,
    /// Pictures that were brought to dots: the file, and the size.
    pictures: BTreeSet<(String, DotSize)>,
    /// The dots of all of these.
    dots: u64,
    /// Whether a limit was passed: what follows is left out.
    over: bool,
}

/// A size in the printer's dots.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct DotSize {
    /// Dots from left to right.
    pub(super) across: u32,
    /// Dots from top to bottom.
    pub(super) down: u32,
}

/// Why a document may have no more.
#[derive(Debug)]
struct LoadRefusal {
    /// What there is too much of.
    message: String,
    /// The way out.
    hint: &'static str,
}

impl MarkCount {
    /// Whether a limit was passed.
    pub(super) fn is_over(&self) -> bool {
        self.over
    }

    /// Adds what a mark puts on the page, or says which limit it goes beyond.
    fn take_mark(&mut self, kind: &MarkKind) -> Result<(), LoadRefusal> {
        self.marks += 1;
        if let MarkKind::Text(run) = kind {
            self.glyphs += run.glyphs.len();
        }
        if self.marks > DOCUMENT_MARKS {
            let message = format!("this document has more than {DOCUMENT_MARKS} marks");
            let hint = "repeat fewer blocks: every line, code and dash is a mark";
            return Err(LoadRefusal { message, hint });
        }
        if self.glyphs > DOCUMENT_TEXT {
            let message = format!("this document has more than {DOCUMENT_TEXT} letters");
            let hint = "print less text in each repeat, or in `head` and `foot`";
            return Err(LoadRefusal { message, hint });
        }
        Ok(())
    }

    /// Counts a picture's dots, once for each of its sizes.
    fn take_dots(&mut self, file: &str, dots: DotSize) -> Result<(), LoadRefusal> {
        let count = u64::from(dots.across) * u64::from(dots.down);
        if count > PICTURE_PIXELS {
            let (DotSize { across, down }, most) = (dots, PICTURE_PIXELS / 1_000_000);
            let size = format!("{across} by {down} dots, more than {most} million");
            let message = format!("the picture `{file}` would be printed with {size}");
            return Err(LoadRefusal { message, hint: "make its block smaller" });
        }
        if self.pictures.insert((file.to_owned(), dots)) {
            self.dots += count;
        }
        if self.dots > DOCUMENT_DOTS {
            let most = DOCUMENT_DOTS / 1_000_000;
            let message =
                format!("the pictures of this document take more than {most} million dots");
            let hint = "print fewer pictures, or the same one in one size";
            return Err(LoadRefusal { message, hint });
        }
        Ok(())
    }
}

impl Job<'_, '_> {
    /// Counts a mark; returns whether it may be painted.
    pub(super) fn count_mark(&mut self, block: BlockId, kind: &MarkKind) -> bool {
        let load = &mut self.composer.load;
        let taken = if load.over { return false } else { load.take_mark(kind) };
        self.go_on(block, taken)
    }

    /// Counts a picture's dots; returns whether it may be painted.
    pub(super) fn count_dots(&mut self, block: BlockId, file: &str, dots: DotSize) -> bool {
        let load = &mut self.composer.load;
        let taken = if load.over { return false } else { load.take_dots(file, dots) };
        self.go_on(block, taken)
    }

    /// Reports the first refusal at its block; whatever follows is left out.
    fn go_on(&mut self, block: BlockId, taken: Result<(), LoadRefusal>) -> bool {
        let Err(LoadRefusal { message, hint }) = taken else { return true };
        self.composer.load.over = true;
        let placed = &self.page.blocks[block.0 as usize];
        let finding = Finding::new(&rules::LAYOUT_LIMIT, message)
            .at(placed.span)
            .block(placed.name)
            .hint(hint);
        let finding = match &self.page.subject {
            Some(subject) => finding.subject(subject.clone()),
            None => finding,
        };
        self.findings.push(finding);
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A size in dots.
    fn size(across: u32, down: u32) -> DotSize {
        DotSize { across, down }
    }

    #[test]
    fn every_size_of_a_picture_counts_once() {
        let mut load = MarkCount::default();
        for _ in 0..1_000 {
            load.take_dots("a.png", size(8_000, 5_000)).unwrap();
        }
        load.take_dots("b.png", size(8_000, 5_000)).unwrap();
        load.take_dots("a.png", size(4_000, 5_000)).unwrap();
        let message = load.take_dots("a.png", size(1, 1)).unwrap_err().message;
        assert_eq!(message, "the pictures of this document take more than 100 million dots");
    }

    #[test]
    fn a_picture_has_so_many_dots_and_no_more() {
        let mut load = MarkCount::default();
        load.take_dots("a.png", size(1, u32::try_from(PICTURE_PIXELS).unwrap())).unwrap();
        let message = load.take_dots("a.png", size(u32::MAX, u32::MAX)).unwrap_err().message;
        assert!(message.ends_with("4294967295 by 4294967295 dots, more than 40 million"));
    }
}
