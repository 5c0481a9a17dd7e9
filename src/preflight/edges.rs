//! How far marks reach over the sides of boxes they should stay in.

use std::collections::BTreeMap;

use super::view::{View, is_content};
use crate::geom::{Mm, Rect};
use crate::scene::BlockId;

/// A side of a box.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Side {
    /// The left one.
    Left,
    /// The upper one.
    Top,
    /// The right one.
    Right,
    /// The lower one.
    Bottom,
}

impl Side {
    /// The side's name before `edge` or `side`.
    pub(super) fn word(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Top => "upper",
            Side::Right => "right",
            Side::Bottom => "lower",
        }
    }

    /// The way a thing goes that leaves over this side.
    pub(super) fn away(self) -> &'static str {
        match self {
            Side::Left => "to the left",
            Side::Top => "up",
            Side::Right => "to the right",
            Side::Bottom => "down",
        }
    }

    /// The way back from this side.
    pub(super) fn back(self) -> &'static str {
        match self {
            Side::Left => "to the right",
            Side::Top => "down",
            Side::Right => "to the left",
            Side::Bottom => "up",
        }
    }

    /// Whether the side stands upright, so that leaving over it is a matter of width.
    pub(super) fn is_upright(self) -> bool {
        matches!(self, Side::Left | Side::Right)
    }
}

/// How far a box reaches over each side of another; below zero where it does not.
pub(super) fn excess(inner: Rect, outer: Rect) -> [(Side, Mm); 4] {
    [
        (Side::Left, outer.x - inner.x),
        (Side::Top, outer.y - inner.y),
        (Side::Right, inner.right() - outer.right()),
        (Side::Bottom, inner.bottom() - outer.bottom()),
    ]
}

/// The shortest way for one box out of another that it shares area with.
pub(super) fn way_out(from: Rect, of: Rect) -> (Side, Mm) {
    let ways = [
        (Side::Left, from.right() - of.x),
        (Side::Top, from.bottom() - of.y),
        (Side::Right, of.right() - from.x),
        (Side::Bottom, of.bottom() - from.y),
    ];
    ways.into_iter().fold(ways[0], |best, way| if way.1 < best.1 { way } else { best })
}

/// A mark that reaches over a side.
pub(super) struct Excess {
    /// The side.
    pub(super) side: Side,
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
    let mut worst: BTreeMap<(BlockId, Side), Excess> = BTreeMap::new();
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
