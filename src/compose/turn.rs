//! Blocks and pages that are turned or mirrored.
//!
//! In: a block with the room it takes as it stands on the page. Out: the same marks as if it stood
//! upright on a page of its own, each brought to where it stands. That page is as many whole dots
//! wide and high as the real one, so that what stands on a dot stands on one again. Not here: what is
//! painted, which knows nothing of turns.

use super::{Composed, Job, PageFrame};
use crate::bind::Bound;
use crate::findings::{Finding, rules};
use crate::geom::{DotGrid, Mm, Point, Rect, Size, Stance};
use crate::scene::{BlockId, DotRect, Ink, Mark, MarkKind, Page};

/// How upright marks come to stand on a page.
#[derive(Clone, Copy)]
struct Turning {
    /// How they stand there.
    stance: Stance,
    /// The size of what they lie on, upright, in whole dots.
    dots: [i64; 2],
    /// The same in millimetres.
    size: [Mm; 2],
}

impl Turning {
    /// Onto a page of a size, whose dots that are not whole are left out.
    fn onto(page: Size, stance: Stance, grid: DotGrid) -> Turning {
        let whole = |length| i64::from(grid.whole_dots_within(length));
        let (across, down) = (whole(page.width), whole(page.height));
        let dots = if stance.is_lying() { [down, across] } else { [across, down] };
        let size = dots.map(|count| grid.length(count as f64));
        Turning { stance, dots, size }
    }

    /// Where a box goes.
    fn rect(&self, rect: Rect) -> Rect {
        let [x, y, width, height] =
            self.stance.place_box([rect.x, rect.y, rect.width, rect.height], self.size);
        Rect { x, y, width, height }
    }

    /// Where a point goes.
    fn point(&self, point: Point) -> Point {
        let [x, y, ..] = self.stance.place_box([point.x, point.y, Mm::ZERO, Mm::ZERO], self.size);
        Point { x, y }
    }

    /// Where a box of dots goes; none where that is off the page.
    fn dots(&self, dots: DotRect) -> Option<DotRect> {
        let part = [dots.x, dots.y, dots.width, dots.height].map(i64::from);
        let [x, y, width, height] = self.stance.place_box(part, self.dots).map(u32::try_from);
        Some(DotRect { x: x.ok()?, y: y.ok()?, width: width.ok()?, height: height.ok()? })
    }

    /// Brings a mark to where it stands; none where that cannot be painted.
    fn turn_mark(&self, mark: &mut Mark) -> Option<()> {
        match &mut mark.kind {
            MarkKind::Text(run) => {
                run.origin = self.point(run.origin);
                run.rect = self.rect(run.rect);
                run.stance = run.stance.on(self.stance);
            }
            MarkKind::Fill(rect, _) => *rect = self.rect(*rect),
            MarkKind::Outline(outline) => {
                outline.offset = self.point(outline.offset);
                outline.rect = self.rect(outline.rect);
                outline.stance = outline.stance.on(self.stance);
            }
            MarkKind::Code(code) => {
                code.dots = self.dots(code.dots)?;
                code.quiet = self.rect(code.quiet);
                code.stance = code.stance.on(self.stance);
            }
            MarkKind::Tally(tally) => {
                tally.dots = self.dots(tally.dots)?;
                tally.stance = tally.stance.on(self.stance);
            }
            MarkKind::Picture(picture) => {
                picture.rect = self.rect(picture.rect);
                picture.stance = picture.stance.on(self.stance);
            }
            MarkKind::Foreign(foreign) => {
                let stance = Stance::turned(foreign.cut.turn).on(self.stance);
                if stance.mirrored {
                    return None;
                }
                foreign.cut.turn = stance.turn;
                foreign.rect = self.rect(foreign.rect);
            }
        }
        Some(())
    }

    /// Brings what was put on a page from these marks and blocks on to where it stands; what cannot
    /// stand so is left out, and the blocks are returned that it belongs to.
    fn turn_page(&self, page: &mut Page, first_mark: usize, first_block: usize) -> Vec<BlockId> {
        for block in &mut page.blocks[first_block..] {
            block.rect = self.rect(block.rect);
        }
        let mut lost = Vec::new();
        let upright = page.marks.split_off(first_mark);
        for mut mark in upright {
            match self.turn_mark(&mut mark) {
                Some(()) => page.marks.push(mark),
                None => lost.push(mark.block),
            }
        }
        lost
    }
}

/// The frame that a page is composed in before it is turned.
pub(super) fn upright_frame(frame: &PageFrame) -> PageFrame {
    let [width, height] = Turning::onto(frame.size, frame.stance, frame.grid).size;
    PageFrame { size: Size { width, height }, stance: Stance::UPRIGHT, ..frame.clone() }
}

/// Turns a page that was composed upright as its frame wants it.
pub(super) fn turn_composed(composed: &mut Composed, frame: &PageFrame) {
    let turning = Turning::onto(frame.size, frame.stance, frame.grid);
    composed.page.size = frame.size;
    let lost = turning.turn_page(&mut composed.page, 0, 0);
    let page = &composed.page;
    for id in lost {
        let Some(block) = page.blocks.get(id.0 as usize) else { continue };
        let finding = refuse_mirrored().at(block.span).block(block.name);
        composed.findings.push(match &page.subject {
            Some(subject) => finding.subject(subject.clone()),
            None => finding,
        });
    }
}

/// What stands in a mirror and cannot.
fn refuse_mirrored() -> Finding {
    let message = "a page of another PDF cannot be mirrored, and nothing may lie off the page";
    Finding::new(&rules::OVERFLOW, message)
        .hint("take `mirror` away from it and around it, or make it smaller")
}

impl Job<'_, '_> {
    /// Puts a turned or mirrored block into its room.
    pub(super) fn place_turned(
        &mut self,
        bound: &Bound<'_>,
        rect: Rect,
        parent: Option<BlockId>,
        ink: Ink,
    ) {
        let stance = bound.block.stance;
        let turning = Turning::onto(self.paper, stance, self.frame.grid);
        let [across, down] = turning.size;
        let whole = if stance.is_lying() { [down, across] } else { [across, down] };
        let back = stance.undone().place_box([rect.x, rect.y, rect.width, rect.height], whole);
        let [x, y, width, height] = back;
        let paper = std::mem::replace(&mut self.paper, Size { width: across, height: down });
        let (first_mark, first_block) = (self.page.marks.len(), self.page.blocks.len());
        self.place_upright(bound, Rect { x, y, width, height }, parent, ink);
        self.paper = paper;
        if !turning.turn_page(&mut self.page, first_mark, first_block).is_empty() {
            self.find(bound, refuse_mirrored());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::QuarterTurn;

    #[test]
    fn dots_stay_whole_and_what_is_off_the_page_is_told() {
        let page = Size::new(Mm(101.6), Mm(152.4));
        let turning = Turning::onto(page, Stance::turned(QuarterTurn::Quarter), DotGrid::DPI_203);
        assert_eq!(turning.dots, [1219, 812]);
        let dots = DotRect { x: 10, y: 20, width: 300, height: 40 };
        assert_eq!(turning.dots(dots), Some(DotRect { x: 752, y: 10, width: 40, height: 300 }));
        assert_eq!(turning.dots(DotRect { y: 800, ..dots }), None);
    }
}
