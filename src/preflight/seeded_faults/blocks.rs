//! Faults of blocks: shifted, too small.

use super::chance::{Chance, extent, move_block, painted_blocks, pick};
use crate::geom::{Mm, Rect};
use crate::scene::{BlockId, Page};

/// How a block must move for its marks to come to a distance from one side of the page.
pub(super) fn to_side(page: &Page, id: BlockId, side: f64, distance: f64) -> (f64, f64) {
    let at = extent(page, id);
    match pick(&[0, 1, 2, 3], side) {
        0 => (distance - at.x.0, 0.0),
        1 => (0.0, distance - at.y.0),
        2 => (page.size.width.0 - distance - at.right().0, 0.0),
        _ => (0.0, page.size.height.0 - distance - at.bottom().0),
    }
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn shift_off_page(page: &mut Page, chance: Chance) {
    let id = pick(&painted_blocks(page), chance.which);
    let (dx, dy) = to_side(page, id, chance.other, -chance.between(0.2, 60.0));
    move_block(page, id, dx, dy);
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn shift_into_edge(page: &mut Page, chance: Chance) {
    let id = pick(&painted_blocks(page), chance.which);
    let (dx, dy) = to_side(page, id, chance.other, chance.between(0.1, 2.8));
    move_block(page, id, dx, dy);
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn shift_onto(page: &mut Page, chance: Chance) {
    let blocks = painted_blocks(page);
    let moved = pick(&blocks, chance.which);
    let still: Vec<BlockId> = blocks.into_iter().filter(|id| *id != moved).collect();
    let target = pick(&still, chance.other);
    let own = |id| page.marks.iter().find(|mark| mark.block == id).unwrap().rect(page.grid);
    let (from, to) = (own(moved), own(target));
    // The corners of the two meet, and go on into each other.
    let deep = |length: Mm| 0.3 + (length.0 - 0.3).max(0.0) * chance.amount;
    let dx = to.right().0 - deep(to.width.min(from.width)) - from.x.0;
    let dy = to.bottom().0 - deep(to.height.min(from.height)) - from.y.0;
    move_block(page, moved, dx, dy);
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn narrow_block(page: &mut Page, chance: Chance) {
    let id = pick(&painted_blocks(page), chance.which);
    let inner = extent(page, id);
    let by = Mm(chance.between(0.2, 5.0));
    let block = &mut page.blocks[id.0 as usize];
    let outer = block.rect;
    block.rect = match pick(&[0, 1, 2, 3], chance.other) {
        0 => Rect { x: inner.x + by, width: (outer.right() - inner.x - by).max(Mm::ZERO), ..outer },
        1 => {
            Rect { y: inner.y + by, height: (outer.bottom() - inner.y - by).max(Mm::ZERO), ..outer }
        }
        2 => Rect { width: inner.right() - by - outer.x, ..outer },
        _ => Rect { height: inner.bottom() - by - outer.y, ..outer },
    };
}
