//! Paints on the ruler page: boxes of whole dots, codes on the grid, lines of text.

use std::sync::Arc;

use super::Ruler;
use crate::codes::{CODE128_QUIET_ZONE, Code128, QR_QUIET_ZONE, Qr, QrOptions};
use crate::fonts::{Cut, FontBook, Shaper, TextError, TextStyle};
use crate::geom::{DotGrid, Mm, Point, Rect, Stance};
use crate::scene::{
    BlockId, CodeMark, DotRect, Ink, Mark, MarkKind, Page, RunStart, Symbol, TextRun,
};

/// The part of an em that letters reach below the baseline.
const DESCENT_EM: f64 = 0.24;

/// A corner on the grid.
#[derive(Clone, Copy)]
pub(super) struct DotPoint {
    /// Dots left of it.
    pub(super) x: i64,
    /// Dots above it.
    pub(super) y: i64,
}

/// The dots of a code: left, top, width, height.
struct CodeDots {
    /// Those of the symbol.
    own: [i64; 4],
    /// Those of the symbol with its quiet zone.
    around: [i64; 4],
}

/// The type of a text, and the width it has.
#[derive(Clone, Copy)]
pub(super) struct TypeIn {
    /// Its size in points.
    pub(super) points: f64,
    /// The longest line, in em.
    pub(super) most_em: f64,
}

/// Whether text is painted, or only measured.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Pass {
    /// Its lines are counted.
    Measure,
    /// They are painted too.
    Paint,
}

/// From baseline to baseline, in em.
pub(super) const LEADING: f64 = 1.22;

/// A ruler page in the making.
pub(super) struct Pen<'b> {
    /// Where figures and words get their glyphs.
    book: &'b FontBook,
    /// Sets text.
    shaper: Shaper,
    /// The page so far.
    page: Page,
}

impl<'b> Pen<'b> {
    /// An empty page.
    pub(super) fn new(ruler: &Ruler<'_>, book: &'b FontBook) -> Pen<'b> {
        let page = Page {
            size: ruler.stock.size,
            grid: ruler.grid,
            // Black in the edge is what the page is for.
            clear_edge: crate::geom::Insets::default(),
            title: "Printer ruler".to_owned(),
            subject: None,
            language: None,
            blocks: Vec::new(),
            marks: Vec::new(),
        };
        Pen { book, shaper: Shaper::new(book), page }
    }

    /// What was drawn.
    pub(super) fn finish(self) -> Page {
        self.page
    }

    /// What lines are snapped to.
    pub(super) fn grid(&self) -> DotGrid {
        self.page.grid
    }

    /// The paper's right and lower edge.
    pub(super) fn corner(&self) -> Point {
        Point::new(self.page.size.width, self.page.size.height)
    }

    /// The nearest dot line to a place.
    pub(super) fn dot(&self, place: Mm) -> i64 {
        self.page.grid.dots(place).round() as i64
    }

    /// The thickness of lines: about a quarter of a millimetre, and an even number of dots, so
    /// that the middle of a line is a dot line.
    pub(super) fn line(&self) -> i64 {
        2 * self.dot(Mm(0.125)).max(1)
    }

    /// Paints something.
    fn mark(&mut self, kind: MarkKind) {
        self.page.marks.push(Mark { block: BlockId(0), kind });
    }

    /// Fills a box of whole dots: left, top, width, height.
    pub(super) fn fill(&mut self, [x, y, width, height]: [i64; 4], ink: Ink) {
        let length = |dots: i64| self.page.grid.length(dots as f64);
        let rect = Rect::new(length(x), length(y), length(width), length(height));
        self.mark(MarkKind::Fill(rect, ink));
    }

    /// The height of capitals of a type size.
    pub(super) fn capitals(&self, points: f64) -> Mm {
        let font = self.book.fallbacks(None, Cut::Regular).first().copied();
        Mm::from_pt(points) * font.map_or(0.7, |font| self.book.metrics(font).cap_height)
    }

    /// The width of a text on one line.
    ///
    /// # Errors
    /// When a character has no glyph.
    pub(super) fn width(&mut self, points: f64, cut: Cut, text: &str) -> Result<Mm, TextError> {
        let style = TextStyle { cut, tabular: true, ..TextStyle::default() };
        let paragraph = self.shaper.paragraph(text, &style)?;
        Ok(Mm::from_pt(points) * paragraph.natural_width_em())
    }

    /// Sets a text on one line from a point on its baseline.
    ///
    /// # Errors
    /// When a character has no glyph.
    pub(super) fn text(
        &mut self,
        at: Point,
        points: f64,
        cut: Cut,
        text: &str,
    ) -> Result<(), TextError> {
        let type_in = TypeIn { points, most_em: f64::INFINITY };
        self.lines(at, type_in, cut, text, Pass::Paint).map(|_lines| ())
    }

    /// Sets a text in the middle above or below a place.
    ///
    /// # Errors
    /// When a character has no glyph.
    pub(super) fn centred(
        &mut self,
        at: Point,
        points: f64,
        cut: Cut,
        text: &str,
    ) -> Result<(), TextError> {
        let width = self.width(points, cut, text)?;
        self.text(Point::new(at.x - width / 2.0, at.y), points, cut, text)
    }

    /// Sets a text in lines 1.25 em apart, from a point on the first baseline; counts its lines, and
    /// paints them only when asked to.
    ///
    /// # Errors
    /// When a character has no glyph.
    pub(super) fn lines(
        &mut self,
        at: Point,
        TypeIn { points, most_em }: TypeIn,
        cut: Cut,
        text: &str,
        pass: Pass,
    ) -> Result<usize, TextError> {
        let style = TextStyle { cut, tabular: true, ..TextStyle::default() };
        let paragraph = self.shaper.paragraph(text, &style)?;
        let lines = paragraph.break_lines(&mut self.shaper, most_em);
        let size = Mm::from_pt(points);
        for (row, line) in lines.iter().enumerate().filter(|_| pass == Pass::Paint) {
            let y = at.y + size * LEADING * row as f64;
            let mut x = at.x;
            let mut begins = if row == 0 { RunStart::Paragraph } else { RunStart::Line };
            for run in &line.runs {
                let width = size * run.width_em();
                let start = u32::try_from(run.text.start).unwrap_or(u32::MAX);
                let mut glyphs = run.glyphs.clone();
                for glyph in &mut glyphs {
                    glyph.cluster = glyph.cluster.saturating_sub(start);
                }
                let reach = self.shaper.reach(run.font, &glyphs);
                let capitals = size * self.book.metrics(run.font).cap_height;
                let text = paragraph.text()[run.text.clone()].to_owned();
                // Figures stand on the line; those of the outermost frame have nothing below.
                let figures = text.bytes().all(|byte| byte.is_ascii_digit());
                let descent = size * if figures { 0.0 } else { DESCENT_EM };
                let rect = Rect::new(x, y - capitals, width, capitals + descent);
                let (origin, ink) = (Point::new(x, y), Ink::Black);
                let (font, rtl) = (run.font, run.rtl);
                self.mark(MarkKind::Text(TextRun {
                    font,
                    size,
                    origin,
                    ink,
                    glyphs,
                    text,
                    rtl,
                    begins: std::mem::take(&mut begins),
                    reads_later: 0,
                    stance: Stance::UPRIGHT,
                    reach,
                    rect,
                }));
                x += width;
            }
        }
        Ok(lines.len())
    }

    /// Paints a Code 128 whose quiet zone begins at these dots; `length` is that of its bars.
    pub(super) fn code128(
        &mut self,
        DotPoint { x, y }: DotPoint,
        module_dots: u32,
        length: i64,
        stance: Stance,
        payload: &str,
    ) {
        // Our own payloads are two plain characters.
        let Ok(symbol) = Code128::encode_text(payload) else { return };
        let quiet = CODE128_QUIET_ZONE.before as i64 * i64::from(module_dots);
        let extent = symbol.row().modules() as i64 * i64::from(module_dots);
        let (own, around) = match stance.is_lying() {
            false => ([x + quiet, y, extent, length], [x, y, extent + 2 * quiet, length]),
            true => ([x, y + quiet, length, extent], [x, y, length, extent + 2 * quiet]),
        };
        self.code(
            Symbol::Code128(Arc::new(symbol)),
            module_dots,
            stance,
            payload,
            CodeDots { own, around },
        );
    }

    /// Paints a QR Code whose quiet zone begins at these dots.
    pub(super) fn qr(&mut self, DotPoint { x, y }: DotPoint, module_dots: u32, payload: &str) {
        let Ok(symbol) = Qr::encode(payload, &QrOptions::default()) else { return };
        let quiet = QR_QUIET_ZONE.before as i64 * i64::from(module_dots);
        let side = symbol.size() as i64 * i64::from(module_dots);
        let own = [x + quiet, y + quiet, side, side];
        let around = [x, y, side + 2 * quiet, side + 2 * quiet];
        self.code(
            Symbol::Qr(Arc::new(symbol)),
            module_dots,
            Stance::UPRIGHT,
            payload,
            CodeDots { own, around },
        );
    }

    /// Paints a code.
    fn code(
        &mut self,
        symbol: Symbol,
        module_dots: u32,
        stance: Stance,
        payload: &str,
        CodeDots { own, around }: CodeDots,
    ) {
        let rect = |[x, y, width, height]: [i64; 4]| {
            let dots = |dots: i64| u32::try_from(dots).unwrap_or(0);
            DotRect { x: dots(x), y: dots(y), width: dots(width), height: dots(height) }
        };
        let quiet = rect(around).to_rect(self.page.grid);
        self.mark(MarkKind::Code(CodeMark {
            symbol,
            payload: payload.to_owned(),
            module_dots,
            stance,
            dots: rect(own),
            tails: 0,
            quiet,
            reduction: 0,
        }));
    }
}
