//! Sheets: several finished pages put on one larger page.

use super::PageFrame;
use crate::diag::Diagnostic;
use crate::geom::{DotGrid, Mm, Point, Rect, Size};
use crate::layout::{Layout, Length, Sheet};
use crate::scene::{BlockId, Ink, Mark, MarkKind, Page, PlacedBlock};

/// How long a cut mark is.
const MARK_LENGTH: Mm = Mm(4.0);

/// How far a cut mark stays from the page's corner.
const MARK_GAP: Mm = Mm(1.0);

/// Where the pages of a layout go on its sheet.
#[derive(Clone, Debug)]
pub struct SheetPlan {
    /// The sheet's size.
    pub size: Size,
    /// The printer's dots.
    pub grid: DotGrid,
    /// The size of one page.
    pub page: Size,
    /// The top left corner of each page, in the order they are filled.
    pub slots: Vec<Point>,
    /// Whether cut marks are drawn.
    marks: bool,
    /// The edge the printer cannot reach.
    clear_edge: crate::geom::Insets,
    /// Where the layout asks for the sheet.
    span: crate::source::Span,
}

/// Plans the sheet a layout asks for; `None` when it asks for none.
///
/// # Errors
/// When the pages do not fit on it.
pub fn plan_sheet(layout: &Layout, frame: &PageFrame) -> Result<Option<SheetPlan>, Diagnostic> {
    let Some(sheet) = &layout.sheet else { return Ok(None) };
    let grid = frame.grid;
    let length = |length: Length| length.to_mm(grid);
    let gutter = (length(sheet.gutter.0), length(sheet.gutter.1));
    let used = Size::new(
        frame.size.width * f64::from(sheet.columns)
            + gutter.0 * f64::from(sheet.columns.saturating_sub(1)),
        frame.size.height * f64::from(sheet.rows)
            + gutter.1 * f64::from(sheet.rows.saturating_sub(1)),
    );
    let room = sheet.stock.size;
    let margin = match sheet.margin {
        Some((x, y)) => Point::new(length(x), length(y)),
        None => Point::new((room.width - used.width) / 2.0, (room.height - used.height) / 2.0),
    };
    check_room(sheet, room, used, margin)?;
    let mut slots = Vec::new();
    for row in 0..sheet.rows {
        for column in 0..sheet.columns {
            let x = margin.x + (frame.size.width + gutter.0) * f64::from(column);
            let y = margin.y + (frame.size.height + gutter.1) * f64::from(row);
            // Pages move by whole dots, so that what was on the grid stays on it.
            slots.push(Point::new(grid.snap_down(x), grid.snap_down(y)));
        }
    }
    Ok(Some(SheetPlan {
        size: room,
        grid,
        page: frame.size,
        slots,
        marks: sheet.marks,
        clear_edge: sheet.stock.clear_edge(),
        span: sheet.span,
    }))
}

/// Reports pages that do not fit on their sheet.
fn check_room(sheet: &Sheet, room: Size, used: Size, margin: Point) -> Result<(), Diagnostic> {
    let (columns, rows) = (sheet.columns, sheet.rows);
    let over = |used: Mm, margin: Mm, room: Mm, count: u32, word: &str, side: &str| {
        let needed = used + margin.max(Mm::ZERO);
        needed.exceeds(room).then(|| {
            let message = format!(
                "{count} {word} need {needed} in {side}, the sheet has {room}: {} too many",
                needed - room
            );
            Diagnostic::error("sheet", message)
                .at(sheet.span)
                .hint(format!("ask for fewer `{word}`, or smaller gutters and margins"))
        })
    };
    let across = over(used.width, margin.x, room.width, columns, "columns", "width");
    let down = over(used.height, margin.y, room.height, rows, "rows", "height");
    across.or(down).map_or(Ok(()), Err)
}

impl SheetPlan {
    /// How many pages one sheet takes.
    #[must_use]
    pub fn capacity(&self) -> usize {
        self.slots.len()
    }

    /// Puts up to [`SheetPlan::capacity`] pages on one sheet, in the order of its slots.
    #[must_use]
    pub fn impose(&self, pages: Vec<Page>) -> Page {
        let titles: Vec<_> = pages.iter().map(|page| page.title.clone()).collect();
        let mut sheet = Page {
            size: self.size,
            grid: self.grid,
            clear_edge: self.clear_edge,
            title: titles.join(", "),
            subject: pages.first().and_then(|page| page.subject.clone()),
            blocks: Vec::new(),
            marks: Vec::new(),
        };
        let count = pages.len();
        for (page, slot) in pages.into_iter().zip(&self.slots) {
            put_page(&mut sheet, page, *slot);
        }
        if self.marks {
            self.draw_marks(&mut sheet, count);
        }
        sheet
    }

    /// Draws cut marks outside the corners of the pages that are there.
    fn draw_marks(&self, sheet: &mut Page, count: usize) {
        let id = BlockId(u32::try_from(sheet.blocks.len()).unwrap_or(u32::MAX));
        let whole = Rect::new(Mm::ZERO, Mm::ZERO, self.size.width, self.size.height);
        sheet.blocks.push(PlacedBlock {
            name: "sheet",
            span: self.span,
            parent: None,
            rect: whole,
            layered: true,
        });
        let width = self.grid.length(self.grid.dots(Mm(0.25)).round().max(1.0));
        let pages: Vec<Rect> =
            self.slots.iter().take(count).map(|slot| Rect::at(*slot, self.page)).collect();
        let mut lines: Vec<Rect> = Vec::new();
        for page in &pages {
            for x in [page.x, page.right()] {
                for y in [page.y - MARK_GAP - MARK_LENGTH, page.bottom() + MARK_GAP] {
                    let x = self.grid.snap(x - width / 2.0);
                    lines.push(Rect::new(x, self.grid.snap(y), width, self.grid.snap(MARK_LENGTH)));
                }
            }
            for y in [page.y, page.bottom()] {
                for x in [page.x - MARK_GAP - MARK_LENGTH, page.right() + MARK_GAP] {
                    let y = self.grid.snap(y - width / 2.0);
                    lines.push(Rect::new(self.grid.snap(x), y, self.grid.snap(MARK_LENGTH), width));
                }
            }
        }
        let clear = whole.shrunk(self.clear_edge);
        // Marks inside a neighbour's page would be printed on it; marks in the unprintable edge
        // would be cut by the printer.
        lines.retain(|line| {
            clear.contains(*line) && pages.iter().all(|page| page.intersection(*line).is_none())
        });
        lines.dedup();
        let marks = lines
            .into_iter()
            .map(|line| Mark { block: id, kind: MarkKind::Fill(line, Ink::Black) });
        sheet.marks.extend(marks);
    }
}

/// Moves a page's blocks and marks to its slot on the sheet.
fn put_page(sheet: &mut Page, page: Page, slot: Point) {
    let first = u32::try_from(sheet.blocks.len()).unwrap_or(u32::MAX);
    let (dx, dy) = (slot.x, slot.y);
    let dots = (page.grid.dots(dx).round() as u32, page.grid.dots(dy).round() as u32);
    for mut block in page.blocks {
        block.rect = block.rect.moved(dx, dy);
        block.parent = block.parent.map(|id| BlockId(id.0 + first));
        sheet.blocks.push(block);
    }
    for mut mark in page.marks {
        mark.block = BlockId(mark.block.0 + first);
        match &mut mark.kind {
            MarkKind::Text(run) => {
                run.origin = Point::new(run.origin.x + dx, run.origin.y + dy);
                run.rect = run.rect.moved(dx, dy);
            }
            MarkKind::Fill(rect, _) => *rect = rect.moved(dx, dy),
            MarkKind::Outline(outline) => {
                outline.offset = Point::new(outline.offset.x + dx, outline.offset.y + dy);
                outline.rect = outline.rect.moved(dx, dy);
            }
            MarkKind::Code(code) => {
                code.dots.x += dots.0;
                code.dots.y += dots.1;
                code.quiet = code.quiet.moved(dx, dy);
            }
            MarkKind::Tally(tally) => {
                tally.dots.x += dots.0;
                tally.dots.y += dots.1;
            }
            MarkKind::Picture(picture) => picture.rect = picture.rect.moved(dx, dy),
        }
        sheet.marks.push(mark);
    }
}
