//! Pages of a draft: nobody takes them for real ones, and what is wrong on them can be seen.
//!
//! In: a composed page, and what was found on it. Out: the same page, on whose four sides stands
//! [`WORD`], with a frame and the rule's name around each block that something is wrong with, and with
//! codes that no scanner takes: the white over their ends leaves them as large and as fine as they will
//! be. The page of another PDF may be a paid label, so a crossed frame stands in its place. The word is
//! the same in every language, because it has to be there whatever fonts are. Not here: when pages are
//! drafts (`pipeline`).

mod pen;

use crate::findings::{Finding, Severity};
use crate::fonts::FontBook;
use crate::geom::{FillRule, Insets, Mm, Point, Rect, Segment, Stance};
use crate::scene::{
    BlockId, CodeMark, DotRect, Ink, Mark, MarkKind, Outline, OutlineUse, Page, PlacedBlock,
    Symbol, TallyMark,
};

use pen::{DraftPen, Side};

/// What stands on every side of a draft.
pub(crate) const WORD: &str = "DRAFT";

/// The name of the block that what is added belongs to.
pub(crate) const BLOCK: &str = "draft";

/// Blocks that are framed on one page, at most: more would hide what they frame.
const MOST_SPOTS: usize = 24;

/// Modules that are taken off both ends of a row of bars: those of the stop sign of a Code 128, which
/// is longer than its start sign and than the guards of an EAN.
const BAR_ENDS: u32 = 13;

/// Modules that are taken off each corner of a QR Code: a finder pattern of seven and its white, ISO/IEC
/// 18004, 6.3.3.
const QR_CORNERS: u32 = 8;

/// A page that can be looked at, and not used.
pub(crate) fn strike_page<'f>(
    page: &Page,
    findings: impl Iterator<Item = &'f Finding>,
    book: &FontBook,
) -> Page {
    let mut struck = Page { marks: Vec::with_capacity(page.marks.len()), ..page.clone() };
    for mark in &page.marks {
        strike_mark(&mut struck, mark);
    }
    let Some(span) = page.blocks.first().map(|block| block.span) else { return struck };
    let block = BlockId(u32::try_from(page.blocks.len()).unwrap_or(u32::MAX));
    struck.blocks.push(PlacedBlock {
        name: BLOCK,
        span,
        parent: None,
        rect: Rect::at(Point::default(), page.size),
        layered: true,
        letters: 0,
    });
    let spots = find_spots(page, findings);
    let mut pen = DraftPen::new(struck, block, book);
    spots.iter().for_each(|spot| pen.ring(spot.rect, &spot.names));
    let Insets { top, right, bottom, left } = page.clear_edge;
    for (side, edge) in
        [(Side::Top, top), (Side::Right, right), (Side::Bottom, bottom), (Side::Left, left)]
    {
        pen.repeat_along(side, edge, WORD);
    }
    pen.finish()
}

/// A block that something is wrong with.
struct FaultySpot {
    /// What it covers, as composed.
    rect: Rect,
    /// The rules, by their names.
    names: String,
}

/// The blocks of a page that errors and warnings are about, in the order of the page.
fn find_spots<'f>(page: &Page, findings: impl Iterator<Item = &'f Finding>) -> Vec<FaultySpot> {
    let mut named: Vec<Vec<&str>> = vec![Vec::new(); page.blocks.len()];
    for finding in findings.filter(|finding| finding.severity != Severity::Note) {
        for number in finding.span.into_iter().flat_map(|span| page.innermost_blocks(span)) {
            let names = &mut named[number];
            if !names.contains(&finding.rule.name) {
                names.push(finding.rule.name);
            }
        }
    }
    let found = page.blocks.iter().zip(named).filter(|(_, names)| !names.is_empty());
    let spots =
        found.map(|(block, names)| FaultySpot { rect: block.rect, names: names.join(", ") });
    spots.take(MOST_SPOTS).collect()
}

/// Adds a mark to a page, struck if it is a code.
fn strike_mark(page: &mut Page, mark: &Mark) {
    let ends = match &mark.kind {
        MarkKind::Code(code) => code_ends(code),
        MarkKind::Tally(tally) => tally_ends(tally),
        MarkKind::Foreign(foreign) => {
            let crossed = cross_out(foreign.rect, page.grid.length(3.0));
            page.marks.extend(crossed.map(|kind| Mark { block: mark.block, kind }));
            return;
        }
        _ => Vec::new(),
    };
    let grid = page.grid;
    page.marks.push(mark.clone());
    // Screens blend the edges of what lies exactly on each other; a quarter of a dot prints nothing.
    let cover = |dots: DotRect| dots.to_rect(grid).grown(grid.length(0.25));
    page.marks.extend(
        ends.into_iter()
            .map(|dots| Mark { block: mark.block, kind: MarkKind::Fill(cover(dots), Ink::White) }),
    );
}

/// The parts of a code without which no reader finds it, whichever way it stands.
fn code_ends(code: &CodeMark) -> Vec<DotRect> {
    let module = code.module_dots;
    match code.symbol {
        Symbol::Qr(_) => corners(code.dots, QR_CORNERS * module),
        Symbol::DataMatrix(_) => edges(code.dots, module),
        Symbol::Code128(_) | Symbol::Ean(_) => both_ends(code.dots, BAR_ENDS * module, code.stance),
    }
}

/// The cells at both ends of a tally, by which a card is laid against its label.
fn tally_ends(tally: &TallyMark) -> Vec<DotRect> {
    both_ends(tally.dots, tally.cell_dots, tally.stance)
}

/// The two ends of a row.
fn both_ends(row: DotRect, length: u32, stance: Stance) -> Vec<DotRect> {
    let end = |dots| match stance.is_lying() {
        true => DotRect { height: length.min(row.height), y: dots, ..row },
        false => DotRect { width: length.min(row.width), x: dots, ..row },
    };
    let (start, extent) = if stance.is_lying() { (row.y, row.height) } else { (row.x, row.width) };
    vec![end(start), end(start + extent.saturating_sub(length))]
}

/// The four corners of a square.
fn corners(square: DotRect, side: u32) -> Vec<DotRect> {
    let (right, below) = (
        square.x + square.width.saturating_sub(side),
        square.y + square.height.saturating_sub(side),
    );
    let corner = |x, y| DotRect { x, y, width: side, height: side };
    vec![
        corner(square.x, square.y),
        corner(right, square.y),
        corner(square.x, below),
        corner(right, below),
    ]
}

/// The four edges of a square.
fn edges(square: DotRect, depth: u32) -> Vec<DotRect> {
    let (right, below) = (
        square.x + square.width.saturating_sub(depth),
        square.y + square.height.saturating_sub(depth),
    );
    vec![
        DotRect { height: depth, ..square },
        DotRect { width: depth, ..square },
        DotRect { y: below, height: depth, ..square },
        DotRect { x: right, width: depth, ..square },
    ]
}

/// A frame with both diagonals.
fn cross_out(rect: Rect, thickness: Mm) -> impl Iterator<Item = MarkKind> {
    let bar = |from: Point, to: Point| {
        let (dx, dy) = (to.x.0 - from.x.0, to.y.0 - from.y.0);
        let length = dx.hypot(dy).max(thickness.0);
        let (x, y) = (-dy / length * thickness.0 / 2.0, dx / length * thickness.0 / 2.0);
        let segments = vec![
            Segment::MoveTo(from.x.0 + x, from.y.0 + y),
            Segment::LineTo(to.x.0 + x, to.y.0 + y),
            Segment::LineTo(to.x.0 - x, to.y.0 - y),
            Segment::LineTo(from.x.0 - x, from.y.0 - y),
            Segment::Close,
        ];
        MarkKind::Outline(Outline {
            segments: segments.into(),
            offset: Point::default(),
            scale: 1.0,
            rule: FillRule::NonZero,
            ink: Ink::Black,
            stance: Stance::UPRIGHT,
            rect,
            part_of: OutlineUse::Frame,
        })
    };
    let (top, foot) = (rect.origin(), Point::new(rect.right(), rect.bottom()));
    let diagonals = [bar(top, foot), bar(Point::new(top.x, foot.y), Point::new(foot.x, top.y))];
    frame(rect, thickness).map(|side| MarkKind::Fill(side, Ink::Black)).into_iter().chain(diagonals)
}

/// The four sides of a frame within a box.
fn frame(rect: Rect, thickness: Mm) -> [Rect; 4] {
    let Rect { x, y, width, height } = rect;
    [
        Rect::new(x, y, width, thickness),
        Rect::new(x, rect.bottom() - thickness, width, thickness),
        Rect::new(x, y, thickness, height),
        Rect::new(rect.right() - thickness, y, thickness, height),
    ]
}
