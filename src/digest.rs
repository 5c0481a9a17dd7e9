//! Finished pages to a digest: pages with one digest print the same.
//!
//! In: pages as they were composed, before they are put on a sheet or corrected for a printer. Out: 64
//! bits that depend on what is painted and where, and on nothing else: not on titles, nor on the places
//! of the layout that asked for it. Lengths count to the thousandth of a millimetre, far below any
//! printer's dot. It is against forgetting, not against enemies. Not here: what is done with it.

use std::convert::Infallible;
use std::fmt;

use crate::geom::{FillRule, Mm, Point, Rect, Segment, Stance};
use crate::hash::StableHash;
use crate::images::{ImportedPage, Raster, SharedObjects};
use crate::scene::{
    CodeMark, DotRect, ForeignMark, Ink, MarkKind, Outline, Page, PictureMark, Symbol, TallyMark,
    TextRun,
};

/// What tells whether pages print the same; shown, it is 16 hexadecimal digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PageDigest(u64);

impl fmt::Display for PageDigest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:016x}", self.0)
    }
}

impl PageDigest {
    /// The digest of pages that are one of several parts, by its number from 0.
    #[must_use]
    pub fn of_part(self, number: u32) -> PageDigest {
        PageDigest(PageHash(StableHash::new()).number(self.0).number(number.into()).0.finish())
    }

    /// The digest of two parts together, in whatever order their pages come.
    #[must_use]
    pub fn with(self, other: PageDigest) -> PageDigest {
        PageDigest(self.0.wrapping_add(other.0))
    }
}

/// The digest of some pages one after another.
#[must_use]
pub fn digest_pages<'p>(pages: impl IntoIterator<Item = &'p Page>) -> PageDigest {
    let digest = pages.into_iter().fold(PageHash(StableHash::new()), PageHash::page);
    PageDigest(digest.0.finish())
}

/// A digest on its way. Every kind of mark begins with a number of its own.
struct PageHash(StableHash);

impl PageHash {
    /// Takes in a page.
    fn page(self, page: &Page) -> PageHash {
        let Page { size, grid, marks, .. } = page;
        let start = self.number(0).length(size.width).length(size.height).real(grid.dpi());
        marks.iter().fold(start, |digest, mark| match &mark.kind {
            MarkKind::Text(run) => digest.text_run(run),
            MarkKind::Fill(rect, ink) => digest.number(2).rect(*rect).ink(*ink),
            MarkKind::Outline(outline) => digest.outline(outline),
            MarkKind::Code(code) => digest.code(code),
            MarkKind::Tally(tally) => digest.tally(tally),
            MarkKind::Picture(picture) => digest.picture(picture),
            MarkKind::Foreign(foreign) => digest.foreign(foreign),
        })
    }

    /// Takes in a run of glyphs.
    fn text_run(self, run: &TextRun) -> PageHash {
        let font = u64::try_from(run.font.index()).unwrap_or(u64::MAX);
        let start = self.number(1).number(font).length(run.size).point(run.origin).ink(run.ink);
        run.glyphs.iter().fold(start.stance(run.stance).field(&run.text), |digest, glyph| {
            let digest = digest.number(glyph.id.into());
            digest.real(glyph.advance_em).real(glyph.dx_em).real(glyph.dy_em)
        })
    }

    /// Takes in vector art.
    fn outline(self, outline: &Outline) -> PageHash {
        let Outline { segments, offset, scale, rule, ink, stance, .. } = outline;
        let rule = match rule {
            FillRule::NonZero => 0,
            FillRule::EvenOdd => 1,
        };
        let start =
            self.number(3).point(*offset).real(*scale).number(rule).ink(*ink).stance(*stance);
        segments.iter().fold(start, |digest, segment| digest.segment(*segment))
    }

    /// Takes in a piece of a contour.
    fn segment(self, segment: Segment) -> PageHash {
        let reals = |kind: u64, all: &[f64]| {
            all.iter().fold(self.number(kind), |digest, &real| digest.real(real))
        };
        match segment {
            Segment::MoveTo(x, y) => reals(0, &[x, y]),
            Segment::LineTo(x, y) => reals(1, &[x, y]),
            Segment::QuadTo(a, b, x, y) => reals(2, &[a, b, x, y]),
            Segment::CubicTo(a, b, c, d, x, y) => reals(3, &[a, b, c, d, x, y]),
            Segment::Close => reals(4, &[]),
        }
    }

    /// Takes in a code.
    fn code(self, code: &CodeMark) -> PageHash {
        let CodeMark { module_dots, dots, reduction, stance, tails, .. } = code;
        let start = self.number(4).number((*module_dots).into()).number(number_stance(*stance));
        let start = start.dots(*dots).number((*reduction).into());
        match &code.symbol {
            Symbol::Code128(bars) => start.number(0).bytes(bars.codewords()),
            Symbol::Ean(bars) => start.number(2).number((*tails).into()).field(bars.number()),
            Symbol::DataMatrix(squares) => start.number(3).bytes(squares.codewords()),
            Symbol::Qr(squares) => {
                let rows = squares.grid().rows().iter().flatten();
                rows.fold(start.number(1), |digest, &word| digest.number(word))
            }
        }
    }

    /// Takes in a tally.
    fn tally(self, tally: &TallyMark) -> PageHash {
        let start = self.number(5).number(tally.cell_dots.into()).dots(tally.dots);
        let start = start.stance(tally.stance);
        tally.cells.iter().fold(start, |digest, &cell| digest.number(cell.into()))
    }

    /// Takes in a picture.
    fn picture(self, picture: &PictureMark) -> PageHash {
        let start = self.number(6).rect(picture.rect).stance(picture.stance);
        match &*picture.raster {
            Raster::Colour(image) => start.number(image.width.into()).bytes(&image.pixels),
            Raster::Gray(gray) => start.number(gray.width.into()).bytes(&gray.pixels),
            Raster::Bits(bits) => start.number(bits.width.into()).bytes(&bits.rows),
        }
    }

    /// Takes in a page of another PDF.
    fn foreign(self, foreign: &ForeignMark) -> PageHash {
        let ForeignMark { page, cut, rect } = foreign;
        let start = self.number(7).rect(*rect).rect(cut.part).number(cut.turn as u64);
        start.number(digest_import(page))
    }

    /// Takes in how something stands, unless it stands upright as nearly everything does.
    fn stance(self, stance: Stance) -> PageHash {
        if stance.is_upright() { self } else { self.number(number_stance(stance)) }
    }

    /// Takes in a box in dots.
    fn dots(self, DotRect { x, y, width, height }: DotRect) -> PageHash {
        [x, y, width, height].into_iter().fold(self, |digest, it| digest.number(it.into()))
    }

    /// Takes in a box.
    fn rect(self, Rect { x, y, width, height }: Rect) -> PageHash {
        self.length(x).length(y).length(width).length(height)
    }

    /// Takes in a place.
    fn point(self, Point { x, y }: Point) -> PageHash {
        self.length(x).length(y)
    }

    /// Takes in an ink.
    fn ink(self, ink: Ink) -> PageHash {
        match ink {
            Ink::Black => self.number(0),
            Ink::White => self.number(1),
            Ink::Colour(colour) => self.number(2).bytes(&colour.channels()),
        }
    }

    /// Takes in a length.
    fn length(self, length: Mm) -> PageHash {
        self.real(length.0)
    }

    /// Takes in a number to its thousandth; the next digits may differ between versions.
    fn real(self, number: f64) -> PageHash {
        self.bytes(&((number * 1000.0).round() as i64).to_le_bytes())
    }

    /// Takes in a text and its end.
    fn field(self, text: &str) -> PageHash {
        PageHash(self.0.field(text))
    }

    /// Takes in bytes, behind their number.
    fn bytes(self, bytes: &[u8]) -> PageHash {
        PageHash(self.0.number(u64::try_from(bytes.len()).unwrap_or(u64::MAX)).bytes(bytes))
    }

    /// Takes in a whole number.
    fn number(self, number: u64) -> PageHash {
        PageHash(self.0.number(number))
    }
}

/// The number of a way to stand, 0 upright.
fn number_stance(stance: Stance) -> u64 {
    stance.turn as u64 + if stance.mirrored { 4 } else { 0 }
}

/// The hash of a page of another PDF: of its form and all that this refers to.
fn digest_import(page: &ImportedPage) -> u64 {
    let (mut hash, mut last) = (StableHash::new(), 0);
    let allocate = || {
        last += 1;
        last
    };
    let put = |number: i32, bytes: &[u8]| {
        hash = hash.number(u64::from(number.unsigned_abs())).bytes(bytes);
        Ok::<(), Infallible>(())
    };
    let Ok(_) = page.write_objects(&mut SharedObjects::new(), allocate, put);
    hash.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{DotGrid, Insets, Size};
    use crate::scene::{BlockId, Mark};

    /// A page with a box, a white box on it, and a tally.
    fn page() -> Page {
        let fill = |x: f64, ink| {
            let rect = Rect::new(Mm(x), Mm(2.0), Mm(30.0), Mm(4.0));
            Mark { block: BlockId(0), kind: MarkKind::Fill(rect, ink) }
        };
        let dots = DotRect { x: 8, y: 8, width: 72, height: 24 };
        let (cells, stance) = (vec![true, false, true], Stance::UPRIGHT);
        let tally = TallyMark { cells, cell_dots: 24, stance, dots };
        let tally = Mark { block: BlockId(0), kind: MarkKind::Tally(tally) };
        Page {
            size: Size { width: Mm(100.0), height: Mm(62.0) },
            grid: DotGrid::DPI_203,
            clear_edge: Insets::all(Mm(3.0)),
            title: "3 · Marlow".into(),
            subject: None,
            language: None,
            blocks: Vec::new(),
            marks: vec![fill(10.0, Ink::Black), fill(20.0, Ink::White), tally],
        }
    }

    /// The digest of the page with something changed.
    fn changed(change: impl FnOnce(&mut Page)) -> PageDigest {
        let mut page = page();
        change(&mut page);
        digest_pages([&page])
    }

    /// Moves the first box to the right.
    fn move_box(page: &mut Page, by: f64) {
        if let MarkKind::Fill(rect, _) = &mut page.marks[0].kind {
            rect.x.0 += by;
        }
    }

    #[test]
    fn what_prints_the_same_has_one_digest() {
        let same = changed(|_| {});
        assert_eq!(changed(|page| page.title = "9 · Heron".into()), same);
        assert_eq!(changed(|page| page.clear_edge = Insets::all(Mm(1.0))), same);
        assert_eq!(changed(|page| move_box(page, 0.0004)), same);
    }

    #[test]
    fn whatever_is_painted_otherwise_changes_the_digest() {
        let same = changed(|_| {});
        for place in 0..page().marks.len() {
            assert_ne!(changed(|page| drop(page.marks.remove(place))), same, "mark {place}");
        }
        assert_ne!(changed(|page| move_box(page, 0.002)), same);
        assert_ne!(changed(|page| page.marks.reverse()), same);
        assert_ne!(changed(|page| page.size.width.0 += 1.0), same);
        let dark = |page: &mut Page| {
            if let MarkKind::Tally(tally) = &mut page.marks[2].kind {
                tally.cells[1] = true;
            }
        };
        assert_ne!(changed(dark), same);
        let turned = |page: &mut Page| {
            if let MarkKind::Tally(tally) = &mut page.marks[2].kind {
                tally.stance.mirrored = true;
            }
        };
        assert_ne!(changed(turned), same);
        assert_ne!(digest_pages([&page(), &page()]), same);
    }

    /// A digest stands in ledgers and records for years.
    #[test]
    fn digests_stay_what_they_are() {
        assert_eq!(digest_pages([]).to_string(), "efd01f60ba992926");
        assert_eq!(changed(|_| {}).to_string(), "ce0d58010e48f878");
    }
}
