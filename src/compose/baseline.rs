//! Blocks side by side whose first lines stand on one baseline, whatever their sizes.
//!
//! In: blocks with the room each gets. Out: the same marks, those that stand too high moved down. What must
//! stay on dots moves by whole dots. Not here: the baseline of a line itself (`text`).

use super::sheet::{MarkShift, move_mark};
use super::{Job, Place};
use crate::bind::{Bound, Content};
use crate::geom::{Mm, Rect};
use crate::layout::Direction;
use crate::scene::MarkKind;

/// What one block put on the page.
struct PlacedChild {
    /// Its first mark.
    mark: usize,
    /// Its first block.
    block: usize,
    /// Its first baseline, if it has words.
    baseline: Option<Mm>,
}

impl Job<'_, '_> {
    /// The height of blocks of some widths side by side on one baseline.
    pub(super) fn baseline_height(&mut self, children: &[Bound<'_>], widths: &[Mm]) -> Mm {
        let lowest = self.lowest_baseline(children);
        children.iter().zip(widths).fold(Mm::ZERO, |most, (child, &width)| {
            let own = self.first_line(child).unwrap_or(lowest);
            most.max(self.natural_height(child, width) + (lowest - own))
        })
    }

    /// Places blocks side by side, as high as they are, on one baseline; `rooms` are theirs as they would
    /// stand at the top.
    pub(super) fn place_on_baseline(
        &mut self,
        children: &[Bound<'_>],
        rooms: &[Rect],
        place: Place,
    ) {
        let mut placed = Vec::with_capacity(children.len());
        for (child, &room) in children.iter().zip(rooms) {
            let (mark, block) = (self.page.marks.len(), self.page.blocks.len());
            self.place(child, room, Some(place.id), place.ink);
            let first = self.page.marks[mark..].iter().find_map(|mark| match &mark.kind {
                MarkKind::Text(run) if run.stance.is_upright() => Some(run.origin.y),
                _ => None,
            });
            placed.push(PlacedChild { mark, block, baseline: first });
        }
        let Some(lowest) = placed.iter().filter_map(|child| child.baseline).reduce(Mm::max) else {
            return;
        };
        let ends = placed.iter().skip(1).map(|next| (next.mark, next.block));
        let ends: Vec<_> = ends.chain([(self.page.marks.len(), self.page.blocks.len())]).collect();
        for (child, (mark_end, block_end)) in placed.iter().zip(ends) {
            let Some(baseline) = child.baseline.filter(|own| *own < lowest) else { continue };
            let shift = MarkShift::down(lowest - baseline, self.page.grid);
            for block in &mut self.page.blocks[child.block..block_end] {
                block.rect = block.rect.moved(Mm::ZERO, lowest - baseline);
            }
            for mark in &mut self.page.marks[child.mark..mark_end] {
                move_mark(&mut mark.kind, shift);
            }
        }
    }

    /// The lowest first baseline of some blocks that stand at the top.
    fn lowest_baseline(&mut self, children: &[Bound<'_>]) -> Mm {
        children.iter().filter_map(|child| self.first_line(child)).fold(Mm::ZERO, Mm::max)
    }

    /// How far below its top the first baseline of a block lies, if it begins with words.
    fn first_line(&mut self, child: &Bound<'_>) -> Option<Mm> {
        let top = self.padding(child).top;
        match &child.content {
            Content::Text { style, .. } | Content::Address { style, .. } => {
                Some(top + self.first_baseline(style))
            }
            Content::Stack { direction: Direction::Down, children, .. } => {
                Some(top + self.first_line(children.first()?)?)
            }
            Content::Stack { direction: Direction::Across, children, .. } => {
                let lines = children.iter().filter_map(|child| self.first_line(child));
                lines.reduce(Mm::max).map(|line| top + line)
            }
            _ => None,
        }
    }
}
