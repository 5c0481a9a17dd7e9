//! Whether every code of a page reads back from the printer's dots, and how safely.
//!
//! In: a finished [`Page`] and its fonts, or the [`Bitmap`] that it was drawn as. Out: for every
//! code a [`ProvenCode`]: what a decoder that is not ours reads in its place, and a measure of how
//! safely; and findings about those that read wrong, not at all, or barely. Not here: rules that
//! look at the scene alone (`preflight`), and damage after printing.
//!
//! The page is drawn at its printer's dots, one bit deep, and given the printer's gain. Then each
//! code is cut out with its quiet zone and decoded. Bars are measured by their decodability
//! ([`Measure::Decodability`]), squares by the error correction they leave unused
//! ([`Measure::UnusedCorrection`]). The same decoder reads the square codes in a camera's picture
//! ([`read_picture`]).

mod bars;
mod camera;
mod dots;
mod findings;
mod plain_reader;
mod print;
mod reader;
mod squares;
mod tally;

use std::borrow::Cow;
use std::cell::OnceCell;

use crate::codes::Data;
use crate::export::{Bitmap, rasterise};
use crate::findings::Finding;
use crate::fonts::FontBook;
use crate::geom::DotGrid;
use crate::images::DRAWS_PAGES;
use crate::scene::{BlockId, CodeMark, Mark, MarkKind, Page, Symbol};

pub use camera::{SeenCode, read_picture};
pub use tally::{ProofTally, ProvenPage};

use bars::measure_bars;
use dots::PagePart;
use reader::{Read, SquareKind, find_bars, find_squares, read_code};
use squares::measure_squares;

/// How pages are proven.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Proofing {
    /// Dots that the printer adds to every bar, or takes from it when negative; `None`: what
    /// the printer's profile says.
    pub gain: Option<i32>,
    /// Whether the grade of every code is kept; only the weakest are unless told otherwise.
    pub every_code: bool,
}

/// What a reader got from a code.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reading {
    /// What was meant.
    Same,
    /// Something else.
    Other(String),
    /// It read nothing, or did not find the code.
    Nothing,
}

/// What is measured on a code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measure {
    /// Of bars: how far the worst width stays from being taken for another, at the worst of ten
    /// lines across them (ISO/IEC 15416 and the reference decode of the kind).
    Decodability,
    /// Of squares: the share of the error correction that is left (ISO/IEC 15415), a module being
    /// what most dots in its middle are. Format information is not measured, and modules are looked for
    /// where they were composed.
    UnusedCorrection,
}

/// A grade as ISO/IEC 15416 and 15415 give it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grade {
    /// From 0.62.
    A,
    /// From 0.50.
    B,
    /// From 0.37.
    C,
    /// From 0.25.
    D,
    /// Below.
    F,
}

/// A code with what was read and measured.
#[derive(Clone, Debug, PartialEq)]
pub struct ProvenCode {
    /// The block that it belongs to.
    pub block: BlockId,
    /// The name of that block in the layout language.
    pub name: &'static str,
    /// What a reader must give back.
    pub payload: String,
    /// The side or width of a module in whole dots.
    pub module_dots: u32,
    /// What a reader gave back.
    pub reading: Reading,
    /// What a reader gives back that does not know the fourth function character of Code 128, by
    /// which letters outside ASCII are written; `None` when there are none.
    pub read_without_fnc4: Option<String>,
    /// What was measured: decodability of bars, unused error correction of squares.
    pub measure: Measure,
    /// The measure, from 0 to 1.
    pub value: f64,
}

impl Measure {
    /// What it is called in reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Measure::Decodability => "decodability",
            Measure::UnusedCorrection => "unused error correction",
        }
    }
}

impl Grade {
    /// The grade of a measure. Both standards have the same steps: decodability of ISO/IEC 15416
    /// (axicon.com, "Fractional grading") and unused error correction of ISO/IEC 15415 (reference
    /// manual of the DataMan 475 verifier, "Grading Standards and their Parameters").
    #[must_use]
    pub fn of(value: f64) -> Grade {
        match value {
            _ if value >= 0.62 => Grade::A,
            _ if value >= 0.50 => Grade::B,
            _ if value >= 0.37 => Grade::C,
            _ if value >= 0.25 => Grade::D,
            _ => Grade::F,
        }
    }

    /// As reports write it, `F` for what fails.
    #[must_use]
    pub fn letter(self) -> char {
        match self {
            Grade::A => 'A',
            Grade::B => 'B',
            Grade::C => 'C',
            Grade::D => 'D',
            Grade::F => 'F',
        }
    }
}

impl ProvenCode {
    /// The grade of what was measured.
    #[must_use]
    pub fn grade(&self) -> Grade {
        Grade::of(self.value)
    }
}

/// Draws a page as its printer prints it: at its dots, with its gain.
#[must_use]
pub fn print_page(page: &Page, book: &FontBook, gain: i32) -> Bitmap {
    let dots = rasterise(&without_unseen(page), book);
    if gain == 0 { dots } else { print::apply_gain(&dots, gain) }
}

/// A page without the pages of other PDFs that this build cannot draw: they are left white.
fn without_unseen(page: &Page) -> Cow<'_, Page> {
    if count_unseen(page) == 0 {
        return Cow::Borrowed(page);
    }
    let mut seen = page.clone();
    seen.marks.retain(|mark| !matches!(mark.kind, MarkKind::Foreign(_)));
    Cow::Owned(seen)
}

/// How many pages of other PDFs a proof leaves out because this build cannot draw them.
#[must_use]
pub fn count_unseen(page: &Page) -> usize {
    let is_unseen = |mark: &&Mark| !DRAWS_PAGES && matches!(mark.kind, MarkKind::Foreign(_));
    page.marks.iter().filter(is_unseen).count()
}

/// Proves a page: reads and measures its codes as the printer prints them, and reports those that
/// are not good.
#[must_use]
pub fn prove_page(page: &Page, book: &FontBook, gain: i32) -> (Vec<ProvenCode>, Vec<Finding>) {
    if codes_of(page).next().is_none() {
        return (Vec::new(), Vec::new());
    }
    let printed = print_page(page, book, gain);
    let codes = read_codes(page, &printed);
    let found = find_codes(page, &printed);
    let findings = findings::report(page, &codes, &found, gain);
    (codes, findings)
}

/// Reads and measures the codes of a page in its print, each in its own place.
#[must_use]
pub fn read_codes(page: &Page, printed: &Bitmap) -> Vec<ProvenCode> {
    let prove = |(block, code): (BlockId, &CodeMark)| {
        let part = part_of(code, page.grid);
        let read = read_code(printed, part, code.stance, &code.symbol);
        let (measure, value) = match code.symbol.is_bars() {
            true => (Measure::Decodability, measure_bars(code, printed, line_part(part, code))),
            false => (Measure::UnusedCorrection, measure_squares(code, printed)),
        };
        ProvenCode {
            block,
            name: page.blocks.get(block.0 as usize).map_or("code", |placed| placed.name),
            payload: code.payload.clone(),
            module_dots: code.module_dots,
            read_without_fnc4: read.as_ref().and_then(|read| read.plain.clone()),
            reading: judge(code, read),
            measure,
            value,
        }
    };
    codes_of(page).map(prove).collect()
}

/// Reads a page as a scanner does that is not told where its codes are; tells of each code, in the
/// order of [`read_codes`], whether it is found in its place.
///
/// Squares are looked for on the whole page, bars on a strip right across it, whatever else stands
/// there.
#[must_use]
pub fn find_codes(page: &Page, printed: &Bitmap) -> Vec<bool> {
    // Of each kind, upright and mirrored: looked for once, and only if one is there.
    let squares: [OnceCell<Vec<Read>>; 4] = Default::default();
    let is_found = |(_, code): (BlockId, &CodeMark)| {
        let part = part_of(code, page.grid);
        let is_it = |read: &Read| read.text == code.payload && part.holds(read.at.0, read.at.1);
        if code.symbol.is_bars() {
            let found = find_bars(printed, part, code.stance, &code.symbol);
            return found.iter().any(is_it);
        }
        let matrix = matches!(code.symbol, Symbol::DataMatrix(_));
        let kind = SquareKind { matrix, mirrored: code.stance.mirrored };
        let known = &squares[usize::from(kind.matrix) * 2 + usize::from(kind.mirrored)];
        known.get_or_init(|| find_squares(printed, kind)).iter().any(is_it)
    };
    codes_of(page).map(is_found).collect()
}

/// The codes of a page with their blocks.
fn codes_of(page: &Page) -> impl Iterator<Item = (BlockId, &CodeMark)> {
    page.marks.iter().filter_map(|mark| match &mark.kind {
        MarkKind::Code(code) => Some((mark.block, code)),
        _ => None,
    })
}

/// The dots of a code and its quiet zone.
fn part_of(code: &CodeMark, grid: DotGrid) -> PagePart {
    let dot = |length| grid.dots(length).round() as i64;
    let (x, y) = (dot(code.quiet.x), dot(code.quiet.y));
    let extent = |start: i64, end: i64| u32::try_from(end - start).unwrap_or(0);
    PagePart {
        x,
        y,
        width: extent(x, dot(code.quiet.right())),
        height: extent(y, dot(code.quiet.bottom())),
    }
}

/// The part of a code's dots that lines across its bars cross: its quiet zone along them, and no
/// white above and below.
fn line_part(part: PagePart, code: &CodeMark) -> PagePart {
    match code.stance.is_lying() {
        false => PagePart { y: i64::from(code.dots.y), height: code.dots.height, ..part },
        true => PagePart { x: i64::from(code.dots.x), width: code.dots.width, ..part },
    }
}

/// Compares what was read with what was meant.
fn judge(code: &CodeMark, read: Option<Read>) -> Reading {
    let Some(read) = read else { return Reading::Nothing };
    let is_gs1 = match &code.symbol {
        Symbol::Code128(symbol) => symbol.data().first() == Some(&Data::Fnc1),
        Symbol::DataMatrix(symbol) => symbol.is_gs1(),
        Symbol::Ean(_) | Symbol::Qr(_) => false,
    };
    match read.text == code.payload && read.gs1 == is_gs1 {
        true => Reading::Same,
        false => Reading::Other(read.text),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A grade begins exactly where the standards let it begin.
    #[test]
    fn grades_begin_where_the_standards_say() {
        let steps = [
            (0.62, Grade::A),
            (0.50, Grade::B),
            (0.37, Grade::C),
            (0.25, Grade::D),
            (0.0, Grade::F),
        ];
        for (least, grade) in steps {
            assert_eq!(Grade::of(least), grade, "{least}");
            if grade != Grade::F {
                assert!(Grade::of(least - 0.001) > grade, "just below {least}");
            }
        }
        assert_eq!(Grade::of(1.0), Grade::A);
        assert_eq!(Grade::of(0.61), Grade::B);
    }
}
