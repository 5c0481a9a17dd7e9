//! Blocks on top of each other, each from a corner of their container or in a window of the page.

use super::{Job, Place};
use crate::bind::Bound;
use crate::findings::{Finding, rules};
use crate::geom::{Mm, Rect};
use crate::layout::{Corner, Spot};
use crate::stock::LetterWindow;

/// How far a block stays from the corner that it stands in.
#[derive(Clone, Copy)]
struct Anchor {
    /// The one that its edges are counted from.
    corner: Corner,
    /// From its upright edge.
    across: Mm,
    /// From its level edge.
    down: Mm,
}

impl Job<'_, '_> {
    /// The height that blocks on top of each other ask for.
    pub(super) fn over_height(&mut self, children: &[Bound<'_>], width: Mm) -> Mm {
        children.iter().fold(Mm::ZERO, |most, child| {
            let Some(Anchor { across, down, .. }) = self.anchor(child) else { return most };
            most.max(down + self.natural_height(child, (width - across).max(Mm::ZERO)))
        })
    }

    /// The width that blocks on top of each other ask for.
    pub(super) fn over_width(&mut self, children: &[Bound<'_>], most: Mm) -> Mm {
        children.iter().fold(Mm::ZERO, |widest, child| {
            let Some(Anchor { across, .. }) = self.anchor(child) else { return widest };
            widest.max(across + self.natural_width(child, (most - across).max(Mm::ZERO), None))
        })
    }

    /// Places blocks on top of each other.
    pub(super) fn place_over(&mut self, children: &[Bound<'_>], place: Place) {
        for child in children {
            let rect = match child.block.at {
                Some(Spot::Window(window)) => self.find_window_box(child, window),
                _ => self.find_corner_box(child, place.rect),
            };
            self.place(child, rect, Some(place.id), place.ink);
        }
    }

    /// The box of a block that stands in a corner of its container.
    fn find_corner_box(&mut self, child: &Bound<'_>, room: Rect) -> Rect {
        let Anchor { corner, across, down } = self.anchor(child).unwrap_or(Anchor {
            corner: Corner::TopLeft,
            across: Mm::ZERO,
            down: Mm::ZERO,
        });
        let free = (room.width - across).max(Mm::ZERO);
        let width = match child.block.width {
            Some(width) => self.length(width),
            None if corner.is_right() => self.natural_width(child, free, None),
            None => free,
        };
        let is_anchored = child.block.at.is_some() || child.block.corner.is_some();
        let height = match child.block.height {
            Some(height) => self.length(height),
            None if is_anchored => self.natural_height(child, width),
            None => (room.height - down).max(Mm::ZERO),
        };
        self.check_side(child, across + width, room.width, "width");
        self.check_side(child, down + height, room.height, "height");
        let x = if corner.is_right() { room.right() - across - width } else { room.x + across };
        let y = if corner.is_bottom() { room.bottom() - down - height } else { room.y + down };
        Rect::new(x, y, width, height)
    }

    /// The box of a block that shows in the window of an envelope.
    fn find_window_box(&mut self, child: &Bound<'_>, window: &LetterWindow) -> Rect {
        let paper = self.paper;
        if !window.suits(paper) {
            let message = format!(
                "`{}` is a place on paper of {} by {}, this page is {} by {}",
                window.name, window.paper.width, window.paper.height, paper.width, paper.height
            );
            let hint =
                "give `at` the place on this paper, or take the paper that the window is for";
            self.find(child, Finding::new(&rules::WINDOW_PAPER, message).hint(hint));
        }
        let own = |length: Option<_>, most| length.map_or(most, |length| self.length(length));
        let Rect { x, y, width, height } = window.place;
        Rect::new(x, y, own(child.block.width, width), own(child.block.height, height))
    }

    /// How far a block stays from its corner; none when it shows in a window.
    fn anchor(&self, child: &Bound<'_>) -> Option<Anchor> {
        let corner = child.block.corner.unwrap_or_default();
        let (across, down) = match child.block.at {
            Some(Spot::Inwards { across, down }) => (self.length(across), self.length(down)),
            Some(Spot::Window(_)) => return None,
            None => (Mm::ZERO, Mm::ZERO),
        };
        Some(Anchor { corner, across, down })
    }
}
