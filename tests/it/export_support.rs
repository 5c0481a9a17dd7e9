//! Scenes made by hand for the tests of the writers.

#![allow(dead_code, reason = "each test binary uses a part of it")]

pub(crate) mod label;
pub(crate) mod ladder;

use std::sync::Arc;

use slipwright::codes::{Code128, Qr, QrOptions};
use slipwright::fonts::{Cut, FontId, Shaper, TextStyle};
use slipwright::geom::Stance;
use slipwright::geom::{FillRule, Insets, Point, Rect, Segment, Size};
use slipwright::images::Raster;
use slipwright::scene::{
    BlockId, CodeMark, DotRect, Ink, Mark, MarkKind, Outline, OutlineUse, PictureMark, RunStart,
    Symbol, TallyMark, TextRun,
};
use slipwright::{DotGrid, FontBook, Mm, Page};

/// A page in the making, with the shaper that sets its text.
pub(crate) struct PageBuilder<'a> {
    /// Sets text.
    shaper: &'a mut Shaper,
    /// The page so far.
    page: Page,
}

impl<'a> PageBuilder<'a> {
    /// An empty page of a size in millimetres.
    pub(crate) fn new(
        shaper: &'a mut Shaper,
        size: (f64, f64),
        grid: DotGrid,
        title: &str,
    ) -> Self {
        let page = Page {
            size: Size::new(Mm(size.0), Mm(size.1)),
            grid,
            clear_edge: Insets::all(Mm(3.0)),
            title: title.to_owned(),
            subject: None,
            language: None,
            blocks: Vec::new(),
            marks: Vec::new(),
        };
        PageBuilder { shaper, page }
    }

    /// The finished page.
    pub(crate) fn finish(self) -> Page {
        self.page
    }

    /// Adds a mark.
    pub(crate) fn mark(&mut self, kind: MarkKind) -> &mut Self {
        let block = BlockId(u32::try_from(self.page.marks.len()).unwrap());
        self.page.marks.push(Mark { block, kind });
        self
    }

    /// Adds one line of text from a point on its baseline.
    pub(crate) fn text(&mut self, at: (f64, f64), points: f64, cut: Cut, text: &str) -> &mut Self {
        let style = TextStyle { cut, ..TextStyle::default() };
        self.styled(at, points, &style, Ink::Black, text)
    }

    /// Adds one line of text in any style and ink.
    pub(crate) fn styled(
        &mut self,
        at: (f64, f64),
        points: f64,
        style: &TextStyle,
        ink: Ink,
        text: &str,
    ) -> &mut Self {
        let size = Mm::from_pt(points);
        let paragraph = self.shaper.paragraph(text, style).unwrap();
        let lines = paragraph.break_lines(self.shaper, f64::INFINITY);
        let mut x = Mm(at.0);
        let mut begins = RunStart::Paragraph;
        for run in lines.iter().flat_map(|line| &line.runs) {
            let width = size * run.width_em();
            let start = u32::try_from(run.text.start).unwrap();
            let mut glyphs = run.glyphs.clone();
            glyphs.iter_mut().for_each(|glyph| glyph.cluster -= start);
            let reach = self.shaper.reach(run.font, &glyphs);
            let rect = Rect::new(x, Mm(at.1) - size, width, size * 1.25);
            let origin = Point::new(x, Mm(at.1));
            let (font, rtl, ink) = (run.font, run.rtl, ink);
            let text = paragraph.text()[run.text.clone()].to_owned();
            let run = TextRun {
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
            };
            self.mark(MarkKind::Text(run));
            x += width;
        }
        self
    }

    /// Adds a filled box of whole dots.
    pub(crate) fn fill(&mut self, dots: [u32; 4], ink: Ink) -> &mut Self {
        let [x, y, width, height] = dots;
        let rect = DotRect { x, y, width, height }.to_rect(self.page.grid);
        self.mark(MarkKind::Fill(rect, ink))
    }

    /// Adds a Code 128 whose first bar is at these dots; `length` is how long its bars are.
    pub(crate) fn code128(
        &mut self,
        (x, y): (u32, u32),
        module_dots: u32,
        length: u32,
        stance: Stance,
        payload: &str,
    ) -> &mut Self {
        let symbol = Code128::encode_text(payload).unwrap();
        let extent = u32::try_from(symbol.row().modules()).unwrap() * module_dots;
        let dots = match stance.is_lying() {
            false => DotRect { x, y, width: extent, height: length },
            true => DotRect { x, y, width: length, height: extent },
        };
        let quiet = dots
            .to_rect(self.page.grid)
            .grown(self.page.grid.length(10.0 * f64::from(module_dots)));
        let (symbol, payload) = (Symbol::Code128(Arc::new(symbol)), payload.to_owned());
        let reduction = 0;
        let code =
            CodeMark { symbol, payload, module_dots, stance, dots, tails: 0, quiet, reduction };
        self.mark(MarkKind::Code(code))
    }

    /// Adds a QR Code whose top left module is at these dots.
    pub(crate) fn qr(&mut self, (x, y): (u32, u32), module_dots: u32, payload: &str) -> &mut Self {
        let symbol = Qr::encode(payload, &QrOptions::default()).unwrap();
        let side = u32::try_from(symbol.size()).unwrap() * module_dots;
        let dots = DotRect { x, y, width: side, height: side };
        let quiet =
            dots.to_rect(self.page.grid).grown(self.page.grid.length(4.0 * f64::from(module_dots)));
        let (symbol, payload) = (Symbol::Qr(Arc::new(symbol)), payload.to_owned());
        let stance = Stance::UPRIGHT;
        let reduction = 0;
        let code =
            CodeMark { symbol, payload, module_dots, stance, dots, tails: 0, quiet, reduction };
        self.mark(MarkKind::Code(code))
    }

    /// Adds a tally of 24 cells from the bits of a number, its ends black.
    pub(crate) fn tally(&mut self, (x, y): (u32, u32), cell: (u32, u32), bits: u32) -> &mut Self {
        let bits = bits | 1 | 1 << 23;
        let cells: Vec<bool> = (0..24).map(|bit| bits >> bit & 1 == 1).collect();
        let dots = DotRect { x, y, width: 24 * cell.0, height: cell.1 };
        self.mark(MarkKind::Tally(TallyMark {
            cells,
            cell_dots: cell.0,
            stance: Stance::UPRIGHT,
            dots,
        }))
    }

    /// Adds a picture in a box of millimetres.
    pub(crate) fn picture(&mut self, rect: [f64; 4], raster: &Arc<Raster>) -> &mut Self {
        let rect = Rect::new(Mm(rect[0]), Mm(rect[1]), Mm(rect[2]), Mm(rect[3]));
        self.mark(MarkKind::Picture(PictureMark {
            raster: Arc::clone(raster),
            stance: Stance::UPRIGHT,
            rect,
        }))
    }

    /// Adds vector art.
    pub(crate) fn outline(
        &mut self,
        segments: &Arc<[Segment]>,
        at: (f64, f64),
        scale: f64,
    ) -> &mut Self {
        let offset = Point::new(Mm(at.0), Mm(at.1));
        let rect = Rect::new(offset.x, offset.y, Mm(20.0), Mm(20.0));
        let (rule, ink) = (FillRule::EvenOdd, Ink::Black);
        let segments = Arc::clone(segments);
        self.mark(MarkKind::Outline(Outline {
            segments,
            offset,
            scale,
            rule,
            ink,
            stance: Stance::UPRIGHT,
            rect,
            part_of: OutlineUse::Picture,
        }))
    }
}

/// The built-in font of a cut.
pub(crate) fn built_in(book: &FontBook, cut: Cut) -> FontId {
    book.fallbacks(None, cut)[0]
}

/// A ring with `teeth` teeth as an outline of 100 units, enough segments to become an object.
pub(crate) fn gear(teeth: u32) -> Arc<[Segment]> {
    let mut segments = Vec::new();
    // Points on a square path, so that no trigonometry is needed.
    let corner = |step: f64| match step {
        s if s < 25.0 => (s * 4.0, 0.0),
        s if s < 50.0 => (100.0, (s - 25.0) * 4.0),
        s if s < 75.0 => (100.0 - (s - 50.0) * 4.0, 100.0),
        s => (0.0, 100.0 - (s - 75.0) * 4.0),
    };
    for tooth in 0..teeth {
        let at = |part: f64| (f64::from(tooth) + part) / f64::from(teeth) * 100.0;
        let (x, y) = corner(at(0.0));
        segments.push(if tooth == 0 { Segment::MoveTo(x, y) } else { Segment::LineTo(x, y) });
        let ((cx, cy), (x, y)) = (corner(at(0.3)), corner(at(0.6)));
        let inward = |c: f64| 50.0 + (c - 50.0) * 0.8;
        segments.push(Segment::QuadTo(inward(cx), inward(cy), inward(x), inward(y)));
    }
    segments.push(Segment::Close);
    let hole = [(30.0, 30.0), (70.0, 30.0), (70.0, 70.0), (30.0, 70.0)];
    segments.push(Segment::MoveTo(hole[0].0, hole[0].1));
    segments.extend(hole[1..].iter().map(|&(x, y)| Segment::LineTo(x, y)));
    segments.push(Segment::Close);
    segments.into()
}

/// The texts of a page in painting order.
pub(crate) fn texts(page: &Page) -> impl Iterator<Item = &str> {
    page.marks.iter().filter_map(|mark| match &mark.kind {
        MarkKind::Text(run) => Some(run.text.as_str()),
        _ => None,
    })
}
