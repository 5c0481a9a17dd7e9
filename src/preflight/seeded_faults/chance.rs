//! Where and how far a fault goes, and what of a page it may hit.

use super::super::sample::{add_block, add_fill};
use crate::geom::{Mm, Point, Rect};
use crate::scene::{BlockId, Ink, Mark, MarkKind, Page};

/// Where and how far a fault goes: each between 0 and 1.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chance {
    /// Which thing is hit.
    pub(super) which: f64,
    /// Which other thing, side or way.
    pub(super) other: f64,
    /// How far, from hardly to widely.
    pub(super) amount: f64,
    /// Where along a side.
    pub(super) along: f64,
}

impl Chance {
    /// A length between two.
    pub(super) fn between(self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.amount
    }
}

/// One of some things.
pub(super) fn pick<T: Copy>(things: &[T], chance: f64) -> T {
    things[((chance * things.len() as f64) as usize).min(things.len() - 1)]
}

/// The numbers of the blocks that have marks.
pub(super) fn painted_blocks(page: &Page) -> Vec<BlockId> {
    let mut ids: Vec<BlockId> = page.marks.iter().map(|mark| mark.block).collect();
    ids.sort_unstable();
    ids.dedup();
    ids
}

/// The numbers of the marks that are `wanted`.
pub(super) fn marks_of(page: &Page, wanted: impl Fn(&Mark) -> bool) -> Vec<usize> {
    let marks = page.marks.iter().enumerate();
    marks.filter(|(_, mark)| wanted(mark)).map(|(number, _)| number).collect()
}

/// Whether a mark is text.
pub(super) fn is_text(mark: &Mark) -> bool {
    matches!(mark.kind, MarkKind::Text(_))
}

/// Whether a mark is a code.
pub(super) fn is_code(mark: &Mark) -> bool {
    matches!(mark.kind, MarkKind::Code(_))
}

/// The box around a block's marks.
pub(super) fn extent(page: &Page, id: BlockId) -> Rect {
    let own = page.marks.iter().filter(|mark| mark.block == id);
    own.map(|mark| mark.rect(page.grid)).reduce(Rect::union).unwrap()
}

/// Moves a block with its marks; what stands in dots goes to the nearest ones on the page.
pub(super) fn move_block(page: &mut Page, id: BlockId, dx: f64, dy: f64) {
    let (dx, dy) = (Mm(dx), Mm(dy));
    let block = &mut page.blocks[id.0 as usize];
    block.rect = block.rect.moved(dx, dy);
    let per_mm = page.grid.per_mm();
    let shift = |dots: u32, by: Mm| (f64::from(dots) + by.0 * per_mm).round().max(0.0) as u32;
    for mark in page.marks.iter_mut().filter(|mark| mark.block == id) {
        match &mut mark.kind {
            MarkKind::Text(run) => {
                run.rect = run.rect.moved(dx, dy);
                run.origin = Point::new(run.origin.x + dx, run.origin.y + dy);
            }
            MarkKind::Fill(rect, _) => *rect = rect.moved(dx, dy),
            MarkKind::Code(code) => {
                (code.dots.x, code.dots.y) = (shift(code.dots.x, dx), shift(code.dots.y, dy));
            }
            MarkKind::Tally(tally) => {
                (tally.dots.x, tally.dots.y) = (shift(tally.dots.x, dx), shift(tally.dots.y, dy));
            }
            MarkKind::Outline(_) | MarkKind::Picture(_) | MarkKind::Foreign(_) => {}
        }
    }
}

/// Adds a box of its own block.
pub(super) fn add_box(page: &mut Page, rect: Rect, ink: Ink) {
    let block = add_block(page, "box", None, rect);
    add_fill(page, block, rect, ink);
}
