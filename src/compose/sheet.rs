//! Sheets: several finished pages put on one larger page.
//!
//! In: the layout's `sheet` and the size of its pages. Out: a [`SheetPlan`] with the place of every
//! page, and sheets put together by it. Not here: the lines to cut along (`cut_marks`).
//!
//! # Where backs lie
//!
//! A printer that prints both sides places them so that each reads upright when the sheet is turned
//! over the edge asked for, whether the page is upright or lies on its side (RFC 8011 §5.2.8,
//! `sides`; PDF names the same two edges, ISO 32000-1 §12.2 table 150). So nothing of ours is ever
//! turned: a back is set upright, and the only question is which place lies behind which.
//!
//! Turning over an upright edge, as a leaf of a book, swaps left and right: what is `x` from the
//! left edge on the front has its back `x` from the right edge, at the same height. Turning over a
//! level edge, as a leaf of a calendar, swaps top and bottom. The long edge of an upright sheet
//! stands upright, that of a sheet on its side lies level; for the short edge it is the other way
//! round. A square sheet counts as upright.
//!
//! The paper's edges are what is mirrored, not the block of pages, so that uneven margins stay with
//! their edge; and each place has its own back, so that sheets that start late or end early need no
//! rule of their own. Cut out, a page turns over the same edge as its sheet did.

use std::sync::Arc;

use super::PageFrame;
use super::cut_marks::{CutMarks, Tracks};
use crate::findings::{Finding, rules};
use crate::geom::{DotGrid, Insets, Mm, Point, Rect, Size};
use crate::layout::{FillOrder, Layout, Length, Sheet};
use crate::scene::{BlockId, Ink, Mark, MarkKind, Page, PlacedBlock};
use crate::sides::TurnEdge;
use crate::source::Span;

/// Where the pages of a layout go on its sheet.
#[derive(Clone, Debug)]
pub struct SheetPlan {
    /// The paper that goes through the printer.
    pub size: Size,
    /// The printer's dots.
    pub grid: DotGrid,
    /// Every page is as large.
    pub page: Size,
    /// The top left corner of each page, in the order they are filled.
    pub slots: Vec<Point>,
    /// The top left corner of each page's back on the sheet of backs, in the same order.
    pub backs: Vec<Point>,
    /// For each side of a page the most that must stay white in any place, because it comes near
    /// the edge of the sheet.
    pub page_edge: Insets,
    /// What the seller should know of the plan.
    pub findings: Vec<Finding>,
    /// Column and row of each page, in the order they are filled.
    cells: Vec<(usize, usize)>,
    /// The lines to cut along, if they are marked.
    marks: Option<CutMarks>,
    /// The edge the printer cannot reach.
    clear_edge: Insets,
    /// Where the layout asks for the sheet.
    span: Span,
}

/// The two sides of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SheetSide {
    /// The one that is printed first.
    Front,
    /// The one behind it.
    Back,
}

/// Plans the sheet a layout asks for; `None` when it asks for none. The frame's clear edge is that
/// of the sheet.
///
/// # Errors
/// When the pages do not fit on it.
pub fn plan_sheet(layout: &Layout, frame: &PageFrame) -> Result<Option<SheetPlan>, Finding> {
    let Some(sheet) = &layout.sheet else { return Ok(None) };
    let (grid, size) = (frame.grid, sheet.stock.size);
    let (columns, rows) = plan_tracks(sheet, frame)?;
    let cells = order_cells(sheet.fill, columns.len(), rows.len());
    // Pages move by whole dots, so that what was on the grid stays on it.
    let slots: Vec<Point> = cells
        .iter()
        .map(|&(column, row)| Point::new(columns[column].0, rows[row].0))
        .map(|ideal| Point::new(grid.snap_down(ideal.x), grid.snap_down(ideal.y)))
        .collect();
    let turn = Mirroring::of(size, sheet.duplex);
    let backs = slots.iter().map(|slot| find_back(*slot, size, frame.size, grid, turn));
    let backs = backs.collect();
    let marks = sheet.marks.then(|| CutMarks::plan(&columns, &rows, size, frame.clear_edge, grid));
    let findings = marks.iter().flat_map(|marks| marks.explain_missing(sheet.span)).collect();
    let backs_turn = layout.back.is_some().then_some(turn);
    Ok(Some(SheetPlan {
        size,
        grid,
        page: frame.size,
        slots,
        backs,
        page_edge: find_page_edge(&columns, &rows, size, frame.clear_edge, backs_turn),
        findings,
        cells,
        marks,
        clear_edge: frame.clear_edge,
        span: sheet.span,
    }))
}

/// Where the columns and rows of a sheet begin and end, before they are put on dots.
fn plan_tracks(sheet: &Sheet, frame: &PageFrame) -> Result<(Tracks, Tracks), Finding> {
    let length = |length: Length| length.to_mm(frame.grid);
    let gutter = (length(sheet.gutter.0), length(sheet.gutter.1));
    let used = |side: Mm, gutter: Mm, count: u32| {
        side * f64::from(count) + gutter * f64::from(count.saturating_sub(1))
    };
    let used = Size::new(
        used(frame.size.width, gutter.0, sheet.columns),
        used(frame.size.height, gutter.1, sheet.rows),
    );
    let room = sheet.stock.size;
    let margin = match sheet.margin {
        Some((x, y)) => Point::new(length(x), length(y)),
        None => Point::new((room.width - used.width) / 2.0, (room.height - used.height) / 2.0),
    };
    check_room(sheet, room, used, margin)?;
    let tracks = |margin: Mm, side: Mm, gutter: Mm, count: u32| -> Tracks {
        let starts = (0..count).map(|index| margin + (side + gutter) * f64::from(index));
        starts.map(|start| (start, start + side)).collect()
    };
    Ok((
        tracks(margin.x, frame.size.width, gutter.0, sheet.columns),
        tracks(margin.y, frame.size.height, gutter.1, sheet.rows),
    ))
}

/// Column and row of every place, in the order they are filled.
fn order_cells(fill: FillOrder, columns: usize, rows: usize) -> Vec<(usize, usize)> {
    let places = 0..columns * rows;
    match fill {
        FillOrder::Across => places.map(|place| (place % columns, place / columns)).collect(),
        FillOrder::Down => places.map(|place| (place / rows, place % rows)).collect(),
    }
}

/// Which sides of a sheet change places when it is turned over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Mirroring {
    /// Left and right: it is turned over an upright edge.
    LeftRight,
    /// Top and bottom: it is turned over a level edge.
    TopBottom,
}

impl Mirroring {
    /// That of a sheet that is turned over an edge: an upright edge keeps its top and bottom.
    fn of(sheet: Size, edge: TurnEdge) -> Mirroring {
        let is_upright = sheet.height >= sheet.width;
        match is_upright == (edge == TurnEdge::Long) {
            true => Mirroring::LeftRight,
            false => Mirroring::TopBottom,
        }
    }
}

/// The place behind a page, on the dot nearest to it.
fn find_back(slot: Point, sheet: Size, page: Size, grid: DotGrid, turn: Mirroring) -> Point {
    let mirror = |start: Mm, sheet: Mm, page: Mm| {
        // A sheet need not be a whole number of dots: the nearest may lie beyond its edge.
        grid.snap(sheet - page - start).min(grid.snap_down(sheet - page))
    };
    match turn {
        Mirroring::LeftRight => Point::new(mirror(slot.x, sheet.width, page.width), slot.y),
        Mirroring::TopBottom => Point::new(slot.x, mirror(slot.y, sheet.height, page.height)),
    }
}

/// What must stay white on each side of a page, wherever it goes; `backs` says which sides change
/// places on the back, if there is one.
fn find_page_edge(
    columns: &Tracks,
    rows: &Tracks,
    sheet: Size,
    clear: Insets,
    backs: Option<Mirroring>,
) -> Insets {
    let white = |tracks: &Tracks, length: Mm| {
        let before = tracks.first().map_or(Mm::ZERO, |track| track.0);
        let after = tracks.last().map_or(Mm::ZERO, |track| length - track.1);
        (before, after)
    };
    let (left, right) = white(columns, sheet.width);
    let (top, bottom) = white(rows, sheet.height);
    let front = [clear.left - left, clear.right - right, clear.top - top, clear.bottom - bottom];
    let back = match backs {
        None => front,
        Some(Mirroring::LeftRight) => [clear.left - right, clear.right - left, front[2], front[3]],
        Some(Mirroring::TopBottom) => [front[0], front[1], clear.top - bottom, clear.bottom - top],
    };
    let most = |side: usize| front[side].max(back[side]).max(Mm::ZERO);
    Insets { left: most(0), right: most(1), top: most(2), bottom: most(3) }
}

/// Reports pages that do not fit on their sheet.
fn check_room(sheet: &Sheet, room: Size, used: Size, margin: Point) -> Result<(), Finding> {
    let (columns, rows) = (sheet.columns, sheet.rows);
    let over = |used: Mm, margin: Mm, room: Mm, count: u32, word: &str, side: &str| {
        let needed = used + margin.max(Mm::ZERO);
        needed.exceeds(room).then(|| {
            let with_margin = if margin > Mm::ZERO { " and their margin" } else { "" };
            let message = format!(
                "{count} {word}{with_margin} need {needed} in {side}, the sheet has {room}: {} too \
                 many",
                needed - room
            );
            Finding::new(&rules::SHEET, message)
                .at(sheet.span)
                .hint(format!("ask for fewer `{word}`, or smaller gutters and margins"))
        })
    };
    let across = over(used.width, margin.x, room.width, columns, "columns", "width");
    let down = over(used.height, margin.y, room.height, rows, "rows", "height");
    across.or(down).map_or(Ok(()), Err)
}

/// The language that all pages are in, if it is one.
fn common_language(pages: &[Page]) -> Option<Arc<str>> {
    let first = pages.first()?.language.as_ref()?;
    pages.iter().all(|page| page.language.as_ref() == Some(first)).then(|| Arc::clone(first))
}

impl SheetPlan {
    /// How many pages one sheet takes.
    #[must_use]
    pub fn capacity(&self) -> usize {
        self.slots.len()
    }

    /// Puts pages on one side of a sheet, from the place `first` on, counted from 0; pages that
    /// find no place are left out, so no more than fit must be given.
    #[must_use]
    pub fn impose(&self, pages: Vec<Page>, first: usize, side: SheetSide) -> Page {
        let titles: Vec<_> = pages.iter().map(|page| page.title.clone()).collect();
        let mut sheet = Page {
            size: self.size,
            grid: self.grid,
            clear_edge: self.clear_edge,
            title: titles.join(", "),
            subject: pages.first().and_then(|page| page.subject.clone()),
            language: common_language(&pages),
            blocks: Vec::new(),
            marks: Vec::new(),
        };
        let slots = match side {
            SheetSide::Front => &self.slots,
            SheetSide::Back => &self.backs,
        };
        let used = pages.len();
        for (page, slot) in pages.into_iter().zip(slots.iter().skip(first)) {
            put_page(&mut sheet, page, *slot);
        }
        // Sheets are cut from the front: a second set of marks, off by as much as the printer is,
        // would only ask which one to follow.
        if let (Some(marks), SheetSide::Front) = (&self.marks, side) {
            let cells = self.cells.iter().skip(first).take(used);
            self.draw_marks(&mut sheet, &marks.lines(cells, self.grid));
        }
        sheet
    }

    /// Draws cut marks as a block of their own.
    fn draw_marks(&self, sheet: &mut Page, lines: &[Rect]) {
        let id = BlockId(u32::try_from(sheet.blocks.len()).unwrap_or(u32::MAX));
        sheet.blocks.push(PlacedBlock {
            name: "sheet",
            span: self.span,
            parent: None,
            rect: Rect::new(Mm::ZERO, Mm::ZERO, self.size.width, self.size.height),
            layered: true,
            letters: 0,
        });
        let marks =
            lines.iter().map(|line| Mark { block: id, kind: MarkKind::Fill(*line, Ink::Black) });
        sheet.marks.extend(marks);
    }
}

/// How far marks are moved.
#[derive(Clone, Copy)]
pub(super) struct MarkShift {
    /// To the right.
    across: Mm,
    /// Downwards.
    down: Mm,
    /// The same in whole dots, for what stands on them.
    dots: (u32, u32),
}

impl MarkShift {
    /// So far down.
    pub(super) fn down(by: Mm, grid: DotGrid) -> MarkShift {
        MarkShift { across: Mm::ZERO, down: by, dots: (0, grid.dots(by).round() as u32) }
    }
}

/// Brings a mark to its place on the sheet, what lies on dots by whole dots.
pub(super) fn move_mark(mark: &mut MarkKind, shift: MarkShift) {
    let MarkShift { across: dx, down: dy, dots } = shift;
    match mark {
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
        MarkKind::Foreign(foreign) => foreign.rect = foreign.rect.moved(dx, dy),
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
    let shift = MarkShift { across: dx, down: dy, dots };
    for mut mark in page.marks {
        mark.block = BlockId(mark.block.0 + first);
        move_mark(&mut mark.kind, shift);
        sheet.marks.push(mark);
    }
}
