//! How far marks reach over the sides of boxes they should stay in.

use std::collections::BTreeMap;

use super::view::{View, is_content};
use crate::geom::{Mm, Rect};
use crate::scene::BlockId;

/// The least move that brings one box clear of another.
#[derive(Clone, Copy, Debug)]
pub(super) struct WayOut {
    /// The side that it moves beyond.
    pub(super) side: BoxSide,
    /// How far.
    pub(super) by: Mm,
}

/// Where something reaches out of a box.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum BoxSide {
    /// At the left, where x is least.
    Left,
    /// The upper one.
    Top,
    /// At the right, where x is greatest.
    Right,
    /// The lower one.
    Bottom,
}

impl BoxSide {
    /// The side's name before `edge` or `side`.
    pub(super) fn word(self) -> &'static str {
        match self {
            BoxSide::Left => "left",
            BoxSide::Top => "upper",
            BoxSide::Right => "right",
            BoxSide::Bottom => "lower",
        }
    }

    /// The direction in which something leaves a box over this side, in words.
    pub(super) fn away(self) -> &'static str {
        match self {
            BoxSide::Left => "to the left",
            BoxSide::Top => "up",
            BoxSide::Right => "to the right",
            BoxSide::Bottom => "down",
        }
    }

    /// The direction in which something comes back into a box over this side, in words.
    pub(super) fn back(self) -> &'static str {
        match self {
            BoxSide::Left => "to the right",
            BoxSide::Top => "down",
            BoxSide::Right => "to the left",
            BoxSide::Bottom => "up",
        }
    }

    /// Whether the side stands upright, so that leaving over it is a matter of width.
    pub(super) fn is_upright(self) -> bool {
        matches!(self, BoxSide::Left | BoxSide::Right)
    }
}

/// How far a box reaches over each side of another; below zero where it does not.
pub(super) fn excess(inner: Rect, outer: Rect) -> [(BoxSide, Mm); 4] {
    [
        (BoxSide::Left, outer.x - inner.x),
        (BoxSide::Top, outer.y - inner.y),
        (BoxSide::Right, inner.right() - outer.right()),
        (BoxSide::Bottom, inner.bottom() - outer.bottom()),
    ]
}

/// The shortest way for one box out of another that it shares area with.
pub(super) fn way_out(from: Rect, of: Rect) -> WayOut {
    let ways = [
        WayOut { side: BoxSide::Left, by: from.right() - of.x },
        WayOut { side: BoxSide::Top, by: from.bottom() - of.y },
        WayOut { side: BoxSide::Right, by: of.right() - from.x },
        WayOut { side: BoxSide::Bottom, by: of.bottom() - from.y },
    ];
    ways.into_iter().fold(ways[0], |best, way| if way.by < best.by { way } else { best })
}

/// A mark that reaches over a side.
pub(super) struct Excess {
    /// Over which side.
    pub(super) side: BoxSide,
    /// How far.
    pub(super) by: Mm,
    /// The mark's number.
    pub(super) mark: usize,
}

/// For every block and side the mark that reaches furthest out of its box, if by more than
/// `slop`; `outer` gives a mark's box, or none where it is not judged.
pub(super) fn worst_excesses(
    view: &View<'_>,
    slop: Mm,
    outer: impl Fn(usize) -> Option<Rect>,
) -> Vec<(BlockId, Excess)> {
    let mut worst: BTreeMap<(BlockId, BoxSide), Excess> = BTreeMap::new();
    for (number, mark, rect) in view.marks() {
        if !is_content(mark) {
            continue;
        }
        let Some(outer) = outer(number) else { continue };
        for (side, by) in excess(rect, outer) {
            if !by.exceeds(slop) {
                continue;
            }
            let known = worst.get(&(mark.block, side));
            if known.is_none_or(|known| by > known.by) {
                worst.insert((mark.block, side), Excess { side, by, mark: number });
            }
        }
    }
    worst.into_iter().map(|((block, _), excess)| (block, excess)).collect()
}
