//! Containers: blocks one under another and side by side.

use super::{Job, Place};
use crate::bind::Bound;
use crate::findings::{Finding, rules};
use crate::geom::{Mm, Rect};
use crate::layout::{Align, Direction, Length, Sit};

impl Job<'_, '_> {
    /// The height that blocks in a row or column ask for.
    pub(super) fn stack_height(
        &mut self,
        direction: Direction,
        gap: Length,
        children: &[Bound<'_>],
        width: Mm,
    ) -> Mm {
        match direction {
            Direction::Down => {
                let heights: Mm =
                    children.iter().map(|child| self.natural_height(child, width)).sum();
                heights + self.gaps(gap, children.len())
            }
            Direction::Across => {
                let widths = self.share_width(children, gap, width, None);
                let heights = children.iter().zip(widths);
                heights.fold(Mm::ZERO, |most, (child, width)| {
                    most.max(self.natural_height(child, width))
                })
            }
        }
    }

    /// The width that blocks in a row or column ask for.
    pub(super) fn stack_width(
        &mut self,
        direction: Direction,
        gap: Length,
        children: &[Bound<'_>],
        most: Mm,
    ) -> Mm {
        let widths = children.iter().map(|child| self.natural_width(child, most, None));
        match direction {
            Direction::Down => widths.fold(Mm::ZERO, Mm::max),
            Direction::Across => {
                let widths: Mm = widths.sum();
                widths + self.gaps(gap, children.len())
            }
        }
    }

    /// Places blocks in a row or column.
    pub(super) fn place_stack(
        &mut self,
        bound: &Bound<'_>,
        direction: Direction,
        gap: Length,
        children: &[Bound<'_>],
        place: Place,
    ) {
        match direction {
            Direction::Down => self.place_down(bound, gap, children, place),
            Direction::Across => self.place_across(bound, gap, children, place),
        }
    }

    /// Places blocks one under another.
    fn place_down(&mut self, bound: &Bound<'_>, gap: Length, children: &[Bound<'_>], place: Place) {
        let room = place.rect;
        let heights = self.share_height(children, gap, room);
        let gap_length = self.length(gap);
        let used = heights.iter().copied().sum::<Mm>() + self.gaps(gap, children.len());
        self.check_room(bound, used, room.height, "height");
        let mut y = room.y + shift(bound.block.sit, (room.height - used).max(Mm::ZERO));
        for (child, height) in children.iter().zip(heights) {
            let width = match child.block.width {
                Some(width) => self.length(width),
                None => room.width,
            };
            let x = room.x + slack(bound.block.align, room.width - width);
            self.check_side(child, width, room.width, "width");
            self.place(child, Rect::new(x, y, width, height), Some(place.id), place.ink);
            y += height + gap_length;
        }
    }

    /// Places blocks side by side.
    fn place_across(
        &mut self,
        bound: &Bound<'_>,
        gap: Length,
        children: &[Bound<'_>],
        place: Place,
    ) {
        let room = place.rect;
        let widths = self.share_width(children, gap, room.width, Some(room.height));
        let gap_length = self.length(gap);
        let used = widths.iter().copied().sum::<Mm>() + self.gaps(gap, children.len());
        self.check_room(bound, used, room.width, "width");
        let mut x = room.x + slack(bound.block.align, (room.width - used).max(Mm::ZERO));
        if bound.block.baseline {
            let mut rooms = Vec::with_capacity(children.len());
            for (child, &width) in children.iter().zip(&widths) {
                let height = self.natural_height(child, width);
                self.check_side(child, height, room.height, "height");
                rooms.push(Rect::new(x, room.y, width, height));
                x += width + gap_length;
            }
            return self.place_on_baseline(children, &rooms, place);
        }
        for (child, width) in children.iter().zip(widths) {
            let height = match child.block.height {
                Some(height) => self.length(height),
                None => room.height,
            };
            let y = room.y + shift(bound.block.sit, room.height - height);
            self.check_side(child, height, room.height, "height");
            self.place(child, Rect::new(x, y, width, height), Some(place.id), place.ink);
            x += width + gap_length;
        }
    }

    /// The heights of blocks one under another: what each asks for, and for those that grow a
    /// share of what is left.
    fn share_height(&mut self, children: &[Bound<'_>], gap: Length, room: Rect) -> Vec<Mm> {
        let asked: Vec<Option<Mm>> = children
            .iter()
            .map(|child| {
                let grows = child.block.grow > 0.0 && child.block.height.is_none();
                (!grows).then(|| self.natural_height(child, room.width))
            })
            .collect();
        let free = room.height - self.gaps(gap, children.len());
        share(children, &asked, free)
    }

    /// The widths of blocks side by side. A code or tag without a width grows: it is as large as
    /// its box, so it has no width of its own.
    pub(super) fn share_width(
        &mut self,
        children: &[Bound<'_>],
        gap: Length,
        width: Mm,
        height: Option<Mm>,
    ) -> Vec<Mm> {
        let free = width - self.gaps(gap, children.len());
        let asked: Vec<Option<Mm>> = children
            .iter()
            .map(|child| {
                let own = child.block.width.is_some();
                let grows = !own && (child.block.grow > 0.0 || fills(child));
                (!grows).then(|| self.natural_width(child, free, height))
            })
            .collect();
        share(children, &asked, free)
    }

    /// What the gaps between some blocks take.
    fn gaps(&self, gap: Length, count: usize) -> Mm {
        self.length(gap) * count.saturating_sub(1) as f64
    }

    /// Reports blocks that need more room together than there is.
    fn check_room(&mut self, bound: &Bound<'_>, used: Mm, room: Mm, side: &str) {
        if used.exceeds(room) {
            let message = format!(
                "the blocks in `{}` need {used} in {side}, there are {room}: {} too many",
                bound.block.name,
                used - room
            );
            let hint = format!(
                "make a block in it or the `gap` smaller, or let a text in it `grow` and \
                 `fit: shrink`, until {} are gained",
                used - room
            );
            self.find(bound, Finding::new(&rules::OVERFLOW, message).hint(hint));
        }
    }

    /// Reports a block that is larger than its container by its own setting.
    pub(super) fn check_side(&mut self, child: &Bound<'_>, size: Mm, room: Mm, side: &str) {
        if size.exceeds(room) {
            let message = format!(
                "this `{}` is {size} in {side}, its container has {room}: {} too many",
                child.block.name,
                size - room
            );
            let hint = format!("set its `{side}` to {} or less", plain(room));
            self.find(child, Finding::new(&rules::OVERFLOW, message).hint(hint));
        }
    }
}

/// A length as one writes it in a layout.
fn plain(length: Mm) -> String {
    length.to_string().trim_end_matches(" mm").to_owned()
}

/// Whether a block fills whatever width it gets.
fn fills(child: &Bound<'_>) -> bool {
    use crate::bind::Content;
    matches!(
        child.content,
        Content::Tag(_) | Content::Code128 { .. } | Content::Ean { .. } | Content::Tally { .. }
    )
}

/// Sizes along the container's direction; blocks that asked for nothing share what is left in
/// proportion to their `grow`.
fn share(children: &[Bound<'_>], asked: &[Option<Mm>], free: Mm) -> Vec<Mm> {
    let taken: Mm = asked.iter().flatten().copied().sum();
    let left = (free - taken).max(Mm::ZERO);
    let weight = |child: &Bound<'_>| if child.block.grow > 0.0 { child.block.grow } else { 1.0 };
    let weights: f64 = children
        .iter()
        .zip(asked)
        .filter(|(_, asked)| asked.is_none())
        .map(|(child, _)| weight(child))
        .sum();
    children
        .iter()
        .zip(asked)
        .map(|(child, asked)| asked.unwrap_or_else(|| left * (weight(child) / weights)))
        .collect()
}

/// How far content moves right inside room that is wider by `free`.
pub(super) fn slack(align: Align, free: Mm) -> Mm {
    match align {
        Align::Start | Align::Left => Mm::ZERO,
        Align::Center => free / 2.0,
        Align::Right => free,
    }
}

/// How far content moves down inside room that is higher by `free`.
pub(super) fn shift(sit: Sit, free: Mm) -> Mm {
    match sit {
        Sit::Top => Mm::ZERO,
        Sit::Middle => free / 2.0,
        Sit::Bottom => free,
    }
}
