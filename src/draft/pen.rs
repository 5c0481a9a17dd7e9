//! Writes on a page that is struck: words along its sides, frames with a word on them.

use super::frame;
use crate::fonts::{Cut, FontBook, Shaper, TextStyle};
use crate::geom::{Mm, Point, QuarterTurn, Rect, Size, Stance};
use crate::scene::{BlockId, Ink, Mark, MarkKind, Page, RunStart, TextRun};

/// The part of a clear edge that capitals take.
const CAPITALS: f64 = 0.6;

/// Clear edges narrower than this are written over, on white: the word has to be read.
const LEAST_EDGE: Mm = Mm(2.5);

/// Capitals higher than this say no more.
const MOST_CAPITALS: Mm = Mm(3.0);

/// White between the word and the inner end of the clear edge; a printer may leave out the outer one.
const SHY: Mm = Mm(0.3);

/// One word for so much of a side, so that a piece that is cut off says so too.
const EVERY: Mm = Mm(70.0);

/// White between a block and the frame around it.
const AROUND: Mm = Mm(0.5);

/// The size of the words on a frame, in points.
const NAME_PT: f64 = 6.0;

/// A side of the paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    /// The upper one.
    Top,
    /// Where x is greatest.
    Right,
    /// The lower one.
    Bottom,
    /// Where x is least.
    Left,
}

/// A page that is written on.
pub(super) struct DraftPen<'b> {
    /// The page so far.
    page: Page,
    /// The block that what is written belongs to.
    block: BlockId,
    /// Where the draft's own words get their glyphs.
    book: &'b FontBook,
    /// Sets text.
    shaper: Shaper,
}

/// How a word stands.
struct Stand {
    /// The upper left corner of the box around its capitals.
    corner: Point,
    /// How far it is turned.
    turn: QuarterTurn,
    /// Black or white.
    ink: Ink,
}

impl<'b> DraftPen<'b> {
    /// Begins to write on a page.
    pub(super) fn new(page: Page, block: BlockId, book: &'b FontBook) -> DraftPen<'b> {
        DraftPen { page, block, book, shaper: Shaper::new(book) }
    }

    /// What was there before, with all that was written over it.
    pub(super) fn finish(self) -> Page {
        self.page
    }

    /// Writes a word along a side as often as it takes, on white.
    pub(super) fn repeat_along(&mut self, side: Side, edge: Mm, word: &str) {
        let edge = edge.max(LEAST_EDGE);
        let capitals = Mm(edge.0 * CAPITALS).min(MOST_CAPITALS);
        let Size { width, height } = self.page.size;
        let upright = matches!(side, Side::Top | Side::Bottom);
        let length = if upright { width } else { height };
        let times = (length.0 / EVERY.0).floor().max(1.0);
        let size = Mm(capitals.0 / self.capitals_em());
        let extent = self.width_of(word, size);
        for number in 0..times as u32 {
            let along = length * ((f64::from(number) + 0.5) / times) - extent / 2.0;
            let (corner, turn) = match side {
                Side::Top => (Point::new(along, edge - SHY - capitals), QuarterTurn::None),
                Side::Bottom => (Point::new(along, height - edge + SHY), QuarterTurn::None),
                Side::Left => (Point::new(edge - SHY - capitals, along), QuarterTurn::ThreeQuarter),
                Side::Right => (Point::new(width - edge + SHY, along), QuarterTurn::Quarter),
            };
            let ground = match upright {
                true => Rect::new(corner.x, corner.y, extent, capitals),
                false => Rect::new(corner.x, corner.y, capitals, extent),
            };
            self.fill(ground.grown(SHY), Ink::White);
            self.write(word, size, &Stand { corner, turn, ink: Ink::Black });
        }
    }

    /// Draws a frame around a box, with words on its upper side.
    pub(super) fn ring(&mut self, rect: Rect, words: &str) {
        let paper = Rect::at(Point::default(), self.page.size);
        let Some(ring) = rect.grown(AROUND).intersection(paper) else { return };
        let thickness = self.page.grid.length(self.page.grid.dots(Mm(0.3)).ceil());
        for side in frame(ring, thickness) {
            self.fill(side, Ink::Black);
        }
        let size = Mm::from_pt(NAME_PT);
        let capitals = size * self.capitals_em();
        let flag = Size::new(self.width_of(words, size) + Mm(1.2), capitals + Mm(1.2));
        let y = if ring.y >= flag.height { ring.y - flag.height } else { ring.y };
        let x = (ring.right() - flag.width).max(Mm::ZERO);
        self.fill(Rect::at(Point::new(x, y), flag), Ink::Black);
        let corner = Point::new(x + Mm(0.6), y + Mm(0.6));
        self.write(words, size, &Stand { corner, turn: QuarterTurn::None, ink: Ink::White });
    }

    /// Fills a box.
    fn fill(&mut self, rect: Rect, ink: Ink) {
        self.mark(MarkKind::Fill(rect, ink));
    }

    /// Paints something.
    fn mark(&mut self, kind: MarkKind) {
        self.page.marks.push(Mark { block: self.block, kind });
    }

    /// The height of capitals, in em.
    fn capitals_em(&self) -> f64 {
        let font = self.book.first_choice(None, Cut::Bold);
        font.map_or(0.7, |font| self.book.metrics(font).cap_height)
    }

    /// How a word is set.
    fn style() -> TextStyle {
        TextStyle { cut: Cut::Bold, letter_spacing_em: 0.06, ..TextStyle::default() }
    }

    /// How long a word is.
    fn width_of(&mut self, word: &str, size: Mm) -> Mm {
        let paragraph = self.shaper.paragraph(word, &DraftPen::style());
        // Ours are plain letters, which the built-in font has.
        paragraph.map_or(Mm::ZERO, |paragraph| size * paragraph.natural_width_em())
    }

    /// Writes a word on white; a word that no font has is left out.
    fn write(&mut self, word: &str, size: Mm, stand: &Stand) {
        let Ok(paragraph) = self.shaper.paragraph(word, &DraftPen::style()) else { return };
        let length = size * paragraph.natural_width_em();
        let capitals = size * self.capitals_em();
        let stance = Stance::turned(stand.turn);
        let mut along = Mm::ZERO;
        for line in paragraph.break_lines(&mut self.shaper, f64::INFINITY) {
            for run in &line.runs {
                let width = size * run.width_em();
                let part = [along, Mm::ZERO, width, capitals];
                let [x, y, across, down] = stance.place_box(part, [length, capitals]);
                let rect = Rect::new(x, y, across, down).moved(stand.corner.x, stand.corner.y);
                let start = u32::try_from(run.text.start).unwrap_or(u32::MAX);
                let mut glyphs = run.glyphs.clone();
                for glyph in &mut glyphs {
                    glyph.cluster = glyph.cluster.saturating_sub(start);
                }
                let reach = self.shaper.reach(run.font, &glyphs);
                self.mark(MarkKind::Text(TextRun {
                    font: run.font,
                    size,
                    origin: start_of_baseline(rect, stand.turn),
                    ink: stand.ink,
                    glyphs,
                    text: paragraph.text()[run.text.clone()].to_owned(),
                    rtl: run.rtl,
                    begins: RunStart::Paragraph,
                    reads_later: 0,
                    stance,
                    reach,
                    rect,
                }));
                along += width;
            }
        }
    }
}

/// Where the baseline of turned capitals begins.
fn start_of_baseline(rect: Rect, turn: QuarterTurn) -> Point {
    match turn {
        QuarterTurn::None => Point::new(rect.x, rect.bottom()),
        QuarterTurn::Quarter => rect.origin(),
        QuarterTurn::Half => Point::new(rect.right(), rect.y),
        QuarterTurn::ThreeQuarter => Point::new(rect.right(), rect.bottom()),
    }
}
