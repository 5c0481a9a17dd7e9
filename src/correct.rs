//! A page as one printer must be given it, so that it lies on the paper as it was composed.
//!
//! In: a finished [`Page`] and a [`Printer`] with what was measured of it. Out: the page moved by
//! whole dots, its distances divided by the scale that the printer prints at, its codes told how
//! many dots their bars lose. Positions can be corrected, sizes of what is made of dots cannot:
//! codes, tallies, pictures and letters keep their dots, lines their thickness; only boxes and long
//! lines get longer or shorter. What is corrected therefore lies right to half a dot at its own
//! middle, and a code is as long as the printer makes it. Not here: whether all of it can be
//! printed (`preflight`).

use crate::geom::{DotGrid, Insets, Mm, Point, Rect};
use crate::scene::{BlockId, DotRect, Mark, MarkKind, Page};
use crate::stock::Printer;

/// Sides of boxes up to this are the thickness of lines, which stays what it is.
const THICKEST_LINE: Mm = Mm(2.0);

/// What is done to a page.
#[derive(Clone, Copy, Debug)]
struct PageCorrection {
    /// The dots that everything is moved by: whole ones, so that codes stay sharp.
    grid: DotGrid,
    /// Whole dots to the right and down, less than 0 to the left and up.
    offset: (i32, i32),
    /// What a length of 1 comes out as, across and down.
    scale: (f64, f64),
    /// Whole dots that bars lose.
    reduction: u32,
}

impl PageCorrection {
    /// What a printer asks for on some dots.
    fn new(printer: &Printer, grid: DotGrid) -> PageCorrection {
        let whole = |by: Mm| grid.dots(by).round() as i32;
        PageCorrection {
            grid,
            offset: (whole(printer.offset.x), whole(printer.offset.y)),
            scale: printer.scale,
            reduction: printer.bar_reduction,
        }
    }

    /// Where a distance from the left edge goes.
    fn x(&self, x: Mm) -> Mm {
        x / self.scale.0 + self.grid.length(f64::from(self.offset.0))
    }

    /// Where a distance from the top edge goes.
    fn y(&self, y: Mm) -> Mm {
        y / self.scale.1 + self.grid.length(f64::from(self.offset.1))
    }

    /// By how many whole dots something moves whose middle is at a point.
    fn shift(&self, middle: Point) -> (i32, i32) {
        let dots = |by: Mm| self.grid.dots(by).round() as i32;
        (dots(self.x(middle.x) - middle.x), dots(self.y(middle.y) - middle.y))
    }

    /// A box that may get longer and shorter; a line keeps its thickness.
    fn stretch(&self, rect: Rect) -> Rect {
        let side = |from: Mm, to: Mm, length: Mm| match length.exceeds(THICKEST_LINE) {
            true => to - from,
            false => length,
        };
        let (x, y) = (self.x(rect.x), self.y(rect.y));
        let width = side(x, self.x(rect.right()), rect.width);
        let height = side(y, self.y(rect.bottom()), rect.height);
        Rect { x, y, width, height }
    }
}

/// The page to be sent to a printer, so that what was composed lies where it should.
#[must_use]
pub fn correct_page(page: &Page, printer: &Printer) -> Page {
    let mut page = page.clone();
    let correction = PageCorrection::new(printer, page.grid);
    // All of a block moves sideways alike, or a line in two fonts would open between them.
    let middles: Vec<Mm> = page.blocks.iter().map(|it| it.rect.x + it.rect.width / 2.0).collect();
    let middle_of = |id: BlockId| middles.get(id.0 as usize).copied();
    for mark in &mut page.marks {
        correct_mark(mark, middle_of(mark.block), correction);
    }
    for block in &mut page.blocks {
        block.rect = correction.stretch(block.rect);
    }
    page
}

/// The part of a composed page that a printer can print once it is corrected.
#[must_use]
pub fn printable_part(page: &Page, printer: &Printer) -> Rect {
    let correction = PageCorrection::new(printer, page.grid);
    let side = |most: Option<Mm>, page: Mm, offset: i32, scale: f64| {
        let offset = correction.grid.length(f64::from(offset));
        let end = most.map_or(page, |most| most.min(page));
        ((Mm::ZERO - offset) * scale, (end - offset) * scale)
    };
    let area = printer.area;
    let (offset, scale) = (correction.offset, correction.scale);
    let (left, right) = side(area.map(|it| it.width), page.size.width, offset.0, scale.0);
    let (top, bottom) = side(area.map(|it| it.height), page.size.height, offset.1, scale.1);
    // What is moved by parts of a dot may be rounded half a dot over the edge.
    let rounding = page.grid.length(if scale == (1.0, 1.0) { 0.0 } else { 0.5 });
    Rect::new(left, top, right - left, bottom - top).shrunk(Insets::all(rounding))
}

/// Corrects one mark; `middle` is that of its block.
fn correct_mark(mark: &mut Mark, middle: Option<Mm>, correction: PageCorrection) {
    let grid = correction.grid;
    let own = mark.rect(grid);
    let x = middle.unwrap_or(own.x + own.width / 2.0);
    let y = match &mark.kind {
        MarkKind::Text(run) => run.origin.y,
        _ => own.y + own.height / 2.0,
    };
    let (right, down) = correction.shift(Point::new(x, y));
    let (dx, dy) = (grid.length(f64::from(right)), grid.length(f64::from(down)));
    let moved = |point: Point| Point::new(point.x + dx, point.y + dy);
    let move_dots = |dots: &mut DotRect| {
        dots.x = dots.x.saturating_add_signed(right);
        dots.y = dots.y.saturating_add_signed(down);
    };
    match &mut mark.kind {
        MarkKind::Text(run) => {
            run.origin = moved(run.origin);
            run.rect = run.rect.moved(dx, dy);
        }
        MarkKind::Fill(rect, _) => *rect = correction.stretch(*rect),
        MarkKind::Outline(outline) => {
            outline.offset = moved(outline.offset);
            outline.rect = outline.rect.moved(dx, dy);
        }
        MarkKind::Code(code) => {
            move_dots(&mut code.dots);
            code.quiet = code.quiet.moved(dx, dy);
            code.reduction = correction.reduction;
        }
        MarkKind::Tally(tally) => move_dots(&mut tally.dots),
        MarkKind::Picture(picture) => picture.rect = picture.rect.moved(dx, dy),
        // It may hold codes, whose dots are not to be stretched.
        MarkKind::Foreign(foreign) => foreign.rect = foreign.rect.moved(dx, dy),
    }
}
