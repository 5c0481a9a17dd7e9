//! Quick proofs that boxes cannot go into a container, each of which a seller can follow.
//!
//! In: the container and the kinds of boxes. Out: the plainest reason found, if there is one. That
//! none is found proves nothing. Not here: the proof by trying all arrangements (`exact`).

use super::space::Triple;
use super::{BoxKind, Obstacle};

/// The plainest reason why the boxes cannot go into the container.
pub(super) fn find(container: Triple, kinds: &[BoxKind]) -> Option<Obstacle> {
    find_large_box(container, kinds)
        .or_else(|| find_volume(container, kinds))
        .or_else(|| find_pair(container, kinds))
}

/// A box that is too large by itself.
fn find_large_box(container: Triple, kinds: &[BoxKind]) -> Option<Obstacle> {
    let fits = |size: &Triple| (0..3).all(|axis| size[axis] <= container[axis]);
    let large = kinds.iter().find(|kind| !kind.turns.iter().any(fits))?;
    Some(Obstacle::Box(large.members[0]))
}

/// More volume than there is.
fn find_volume(container: Triple, kinds: &[BoxKind]) -> Option<Obstacle> {
    let room: u128 = container.iter().map(|side| u128::from(*side)).product();
    let all: u128 = kinds.iter().map(|kind| kind.volume() * kind.count() as u128).sum();
    (all > room).then(|| Obstacle::Volume(all - room))
}

/// Two boxes that cannot be put apart along any axis, however they are turned.
fn find_pair(container: Triple, kinds: &[BoxKind]) -> Option<Obstacle> {
    for (index, first) in kinds.iter().enumerate() {
        for second in &kinds[index..] {
            let same = std::ptr::eq(first, second);
            if same && first.count() < 2 {
                continue;
            }
            if !fit_together(container, first, second) {
                let other = if same { first.members[1] } else { second.members[0] };
                return Some(Obstacle::Pair(first.members[0], other));
            }
        }
    }
    None
}

/// Whether one box of each kind fit side by side.
fn fit_together(container: Triple, first: &BoxKind, second: &BoxKind) -> bool {
    let fits = |size: &Triple| (0..3).all(|axis| size[axis] <= container[axis]);
    let (ones, others) = (&first.turns, &second.turns);
    ones.iter().filter(|one| fits(one)).any(|one| {
        others
            .iter()
            .filter(|other| fits(other))
            .any(|other| (0..3).any(|axis| one[axis] + other[axis] <= container[axis]))
    })
}
