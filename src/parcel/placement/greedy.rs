//! Fast attempts to fill a container: each puts down box after box and never takes one back.
//!
//! In: the container and the boxes by kind. Out: a placement of all of them, when one attempt
//! finds it. The attempts differ in what they put down next and where; they are made in a fixed
//! order and stop when the steps run out, so that equal input has equal output. Not here: proof
//! that there is no placement (`exact`).

use std::cmp::Reverse;

use super::BoxKind;
use super::space::{FreeRoom, Room, Triple};

/// A kind of box and where one of them stands.
pub(super) type Put = (usize, Room);

/// The orders of the three axes.
const AXES: [[usize; 3]; 6] = [[2, 1, 0], [2, 0, 1], [1, 2, 0], [1, 0, 2], [0, 2, 1], [0, 1, 2]];

/// How many times an order is changed after the boxes that found no place.
const ROUNDS: usize = 12;

/// What can be tried before giving up: looks at a turn of a box in a room.
pub(super) struct Budget {
    /// The looks that are left.
    looks: u32,
}

impl Budget {
    /// So many looks.
    pub(super) fn of(looks: u32) -> Budget {
        Budget { looks }
    }

    /// Takes one look; returns whether there was one left.
    fn look(&mut self) -> bool {
        let left = self.looks > 0;
        self.looks = self.looks.saturating_sub(1);
        left
    }
}

/// Tries everything there is here; kinds are in order of falling volume.
pub(super) fn fill(container: Triple, kinds: &[BoxKind], budget: &mut Budget) -> Option<Vec<Put>> {
    let found = fill_by_blocks(container, kinds, budget);
    found.or_else(|| fill_by_order(container, kinds, budget))
}

/// Tries blocks of equal boxes, which is done with soon.
pub(super) fn fill_by_blocks(
    container: Triple,
    kinds: &[BoxKind],
    budget: &mut Budget,
) -> Option<Vec<Put>> {
    for axes in AXES {
        for choice in [BlockChoice::Largest, BlockChoice::Snug, BlockChoice::LargestBox] {
            if let Some(found) = fill_with_blocks(container, kinds, axes, choice, budget) {
                return Some(found);
            }
        }
    }
    None
}

/// Tries box by box in one order after another.
pub(super) fn fill_by_order(
    container: Triple,
    kinds: &[BoxKind],
    budget: &mut Budget,
) -> Option<Vec<Put>> {
    for rank in RANKS {
        let mut order: Vec<usize> = Vec::new();
        for (index, kind) in kinds.iter().enumerate() {
            order.extend(std::iter::repeat_n(index, kind.count()));
        }
        order.sort_by_key(|index| Reverse(rank(kinds[*index].turns[0])));
        for choice in [PlaceChoice::Corner, PlaceChoice::Tight] {
            for axes in AXES {
                let found = fill_in_changing_order(
                    container,
                    kinds,
                    &order,
                    PlaceRule { choice, axes },
                    budget,
                );
                if found.is_some() || budget.looks == 0 {
                    return found;
                }
            }
        }
    }
    None
}

/// What comes first: the box for which this is greatest.
type Rank = fn(Triple) -> [u64; 3];

/// The ways boxes are put in order: by volume, longest side, largest face, shortest side.
const RANKS: [Rank; 4] = [
    |size| [product(&size), 0, 0],
    |size| sorted(size),
    |size| [product(&sorted(size)[..2]), sorted(size)[2], 0],
    |size| {
        let [long, middle, short] = sorted(size);
        [short, middle, long]
    },
];

/// A product of lengths in tenths of a millimetre, so that it stays in range; good enough to
/// rank by.
fn product(sides: &[u64]) -> u64 {
    sides.iter().fold(1, |so_far: u64, side| so_far.saturating_mul(side.div_ceil(100)))
}

/// The sides from the longest to the shortest.
fn sorted([a, b, c]: Triple) -> Triple {
    let (low, high) = (a.min(b), a.max(b));
    [high.max(c), low.max(high.min(c)), low.min(c)]
}

/// By what a place is chosen, and in which order the axes count.
#[derive(Clone, Copy, Debug)]
struct PlaceRule {
    /// What makes a place good.
    choice: PlaceChoice,
    /// The axes, the most important first.
    axes: [usize; 3],
}

/// How a place is chosen for a box.
#[derive(Clone, Copy, Debug)]
enum PlaceChoice {
    /// The lowest corner along the first axis, then along the second.
    Corner,
    /// Where it leaves the least beside it.
    Tight,
}

/// Puts boxes down one by one; those that find no place come first the next time.
fn fill_in_changing_order(
    container: Triple,
    kinds: &[BoxKind],
    order: &[usize],
    rule: PlaceRule,
    budget: &mut Budget,
) -> Option<Vec<Put>> {
    let mut order = order.to_vec();
    for _ in 0..ROUNDS {
        let (put, left_over) = fill_in_order(container, kinds, &order, rule, budget);
        if left_over.is_empty() {
            return Some(put);
        }
        let changed: Vec<usize> =
            left_over.iter().copied().chain(put.iter().map(|(kind, _)| *kind)).collect();
        if changed == order || budget.looks == 0 {
            return None;
        }
        order = changed;
    }
    None
}

/// Puts boxes down one by one; returns them, and the kinds of those that found no place.
fn fill_in_order(
    container: Triple,
    kinds: &[BoxKind],
    order: &[usize],
    rule: PlaceRule,
    budget: &mut Budget,
) -> (Vec<Put>, Vec<usize>) {
    let mut free = FreeRoom::of(container);
    let (mut put, mut left_over) = (Vec::new(), Vec::new());
    for &kind in order {
        // What found no place a moment ago finds none now.
        let place = if left_over.last() == Some(&kind) {
            None
        } else {
            choose_place(&free, &kinds[kind], rule, budget)
        };
        match place {
            Some(place) => {
                free.fill(place);
                put.push((kind, place));
            }
            None => left_over.push(kind),
        }
    }
    (put, left_over)
}

/// The best place for one box of a kind.
fn choose_place(
    free: &FreeRoom,
    kind: &BoxKind,
    PlaceRule { choice, axes }: PlaceRule,
    budget: &mut Budget,
) -> Option<Room> {
    let mut best: Option<([u64; 6], Room)> = None;
    for room in free.rooms() {
        for size in &kind.turns {
            if !budget.look() {
                return None;
            }
            if !room.takes(*size) {
                continue;
            }
            let whole = room.size();
            let [large, middle, small] =
                sorted(std::array::from_fn(|axis| whole[axis] - size[axis]));
            let [first, second, third] = axes.map(|axis| room.low[axis]);
            let key = match choice {
                PlaceChoice::Corner => [first, second, third, small, middle, large],
                PlaceChoice::Tight => [small, middle, large, first, second, third],
            };
            if best.as_ref().is_none_or(|(least, _)| key < *least) {
                best = Some((key, Room::at(room.low, *size)));
            }
        }
    }
    best.map(|(_, place)| place)
}

/// How a block of equal boxes is chosen for a room.
#[derive(Clone, Copy, Debug)]
enum BlockChoice {
    /// The block of the greatest volume.
    Largest,
    /// The block that leaves the least beside it, and of these the largest.
    Snug,
    /// A block of the largest kind of box, and of these the largest.
    LargestBox,
}

/// Some equal boxes in rows, columns and layers.
#[derive(Clone, Copy, Debug)]
struct BoxStack {
    /// Which kind of box, as an index.
    kind: usize,
    /// The size of one as it is turned.
    size: Triple,
    /// How many along each axis.
    counts: Triple,
}

/// Fills the lowest room with a block of equal boxes, again and again.
fn fill_with_blocks(
    container: Triple,
    kinds: &[BoxKind],
    axes: [usize; 3],
    choice: BlockChoice,
    budget: &mut Budget,
) -> Option<Vec<Put>> {
    let mut left: Vec<usize> = kinds.iter().map(BoxKind::count).collect();
    let mut free = FreeRoom::of(container);
    let mut put = Vec::new();
    while left.iter().any(|count| *count > 0) {
        let corner = |room: &&Room| axes.map(|axis| room.low[axis]);
        let room = *free.rooms().iter().min_by_key(corner)?;
        let Some(block) = choose_block(room, kinds, &left, choice, budget) else {
            if budget.looks == 0 {
                return None;
            }
            free.forget(room);
            continue;
        };
        let whole = std::array::from_fn(|axis| block.size[axis] * block.counts[axis]);
        free.fill(Room::at(room.low, whole));
        left[block.kind] -= block.count();
        put.extend(block.places(room.low).map(|place| (block.kind, place)));
    }
    Some(put)
}

/// The best block for a room; none when no box fits.
fn choose_block(
    room: Room,
    kinds: &[BoxKind],
    left: &[usize],
    choice: BlockChoice,
    budget: &mut Budget,
) -> Option<BoxStack> {
    let whole = room.size();
    let mut best: Option<([u64; 3], BoxStack)> = None;
    for (kind, description) in kinds.iter().enumerate().filter(|(kind, _)| left[*kind] > 0) {
        for size in &description.turns {
            if !budget.look() {
                return None;
            }
            if !room.takes(*size) {
                continue;
            }
            let most = std::array::from_fn(|axis| whole[axis] / size[axis]);
            let ways = AXES.map(|axes| count_boxes(most, axes, left[kind]));
            for (way, &counts) in ways.iter().enumerate() {
                // Of a few boxes most orders of the axes make the same block.
                if ways[..way].contains(&counts) {
                    continue;
                }
                let block = BoxStack { kind, size: *size, counts };
                let length: Triple = std::array::from_fn(|axis| size[axis] * block.counts[axis]);
                let beside = sorted(std::array::from_fn(|axis| whole[axis] - length[axis]));
                let volume = product(&length);
                let key = match choice {
                    BlockChoice::Largest => [u64::MAX - volume, beside[2], beside[1]],
                    BlockChoice::Snug => [beside[2], beside[1], u64::MAX - volume],
                    BlockChoice::LargestBox => [kind as u64, u64::MAX - volume, beside[2]],
                };
                if best.as_ref().is_none_or(|(least, _)| key < *least) {
                    best = Some((key, block));
                }
            }
        }
    }
    best.map(|(_, block)| block)
}

/// How many boxes go along each axis when the first axis is filled first, at most `left` in all, and
/// along each axis at most what has room there.
fn count_boxes(most: Triple, axes: [usize; 3], left: usize) -> Triple {
    let mut counts = [1; 3];
    let mut left = left as u64;
    for axis in axes {
        // Most boxes are alone of their kind.
        if left < 2 {
            break;
        }
        counts[axis] = most[axis].min(left).max(1);
        left /= counts[axis];
    }
    counts
}

impl BoxStack {
    /// How many boxes it has.
    fn count(&self) -> usize {
        self.counts.iter().product::<u64>() as usize
    }

    /// Where each of its boxes stands, when the block stands at `low`.
    fn places(self, low: Triple) -> impl Iterator<Item = Room> {
        let [across, along, up] = self.counts;
        let steps = (0..across * along * up)
            .map(move |index| [index % across, index / across % along, index / (across * along)]);
        steps.map(move |step| {
            let corner = std::array::from_fn(|axis| low[axis] + step[axis] * self.size[axis]);
            Room::at(corner, self.size)
        })
    }
}
