//! Whether boxes go into a container, and where each of them stands.
//!
//! In: the container's inside and the boxes, each of which may be turned in every way, or only
//! about its upright axis. Out: a [`Placement`]: a place for each box, or the proof that there is
//! none, or neither, when the search ended at its bound. All sides stay parallel to the
//! container's. Quick proofs that a seller can follow are tried before the search, which is
//! deterministic and bounded in steps. Not here: weight, and what rests on what; the void is stuffed
//! by the seller.

mod exact;
mod greedy;
mod memo;
mod space;

pub use memo::PlacementMemo;

pub(super) use memo::FitVerdict;

use exact::{MOST_EXACT, Verdict};
use greedy::Budget;
use space::{Room, Triple};

use super::units::{Extent, Size3};

/// The most boxes that a placement is searched for.
pub const MOST_BOXES: usize = 300;

/// The looks that the fast attempts have before and after the complete search.
const LOOKS: [u32; 2] = [20_000, 400_000];

/// The steps of a complete search.
const EXACT_STEPS: u32 = 100_000;

/// A container is taken to be this long at most, 274 km, so that no sum or volume overflows.
const LONGEST_SIDE: u64 = 1 << 38;

/// A box to be placed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct LooseBox {
    /// Length, width and height as it stands.
    pub size: Size3,
    /// Whether its height must stay upright.
    pub this_side_up: bool,
}

/// Where a box stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlacedBox {
    /// Its corner nearest to the container's origin.
    pub corner: Size3,
    /// Its sides along the container's length, width and height.
    pub size: Size3,
}

/// The result of a search for a placement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Placement {
    /// A place for each box, in the order they were given.
    Found(Vec<PlacedBox>),
    /// No arrangement exists, and this is why.
    Impossible(Obstacle),
    /// None was found within the steps of the search; there may be one.
    NotFound,
    /// More boxes than [`MOST_BOXES`]: none was searched for.
    TooMany,
}

/// Why boxes cannot go into a container; boxes are named by their index.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Obstacle {
    /// One box is too large in every way it may be turned.
    Box(usize),
    /// All boxes together have more volume, by so many cubic micrometres.
    Volume(u128),
    /// Two boxes cannot be side by side along any axis.
    Pair(usize, usize),
    /// Boxes, all or some of them, have no arrangement: every one was ruled out.
    Arrangement(Vec<usize>),
}

/// Boxes of one size that may be turned in the same ways.
#[derive(Clone, Debug)]
struct BoxKind {
    /// The sizes it has when turned, each once, in a fixed order.
    turns: Vec<Triple>,
    /// The boxes, by their index.
    members: Vec<usize>,
}

impl BoxKind {
    /// How many there are.
    fn count(&self) -> usize {
        self.members.len()
    }

    /// The volume of one in cubic micrometres.
    fn volume(&self) -> u128 {
        self.turns[0].iter().fold(1_u128, |so_far, side| so_far.saturating_mul((*side).into()))
    }
}

/// Searches for a place for each box inside a container.
#[must_use]
pub fn place_boxes(inside: Size3, boxes: &[LooseBox]) -> Placement {
    let container = inside.map(|side| side.micrometres().min(LONGEST_SIDE));
    let kinds = sort_kinds(boxes);
    if let Some(obstacle) = find_obstacle(container, &kinds) {
        return Placement::Impossible(obstacle);
    }
    if boxes.len() > MOST_BOXES {
        return Placement::TooMany;
    }
    let [mut few, mut many] = LOOKS.map(Budget::of);
    let mut found = greedy::fill_by_blocks(container, &kinds, &mut few);
    if found.is_none() {
        // What blocks find no place for has mostly none, which is proven sooner than everything is tried.
        let complete = match search_completely(container, &kinds) {
            Some(Err(members)) => return Placement::Impossible(Obstacle::Arrangement(members)),
            Some(Ok(put)) => Some(put),
            None => None,
        };
        found = greedy::fill_by_order(container, &kinds, &mut few).or(complete);
    }
    match found.or_else(|| greedy::fill(container, &kinds, &mut many)) {
        Some(put) => Placement::Found(give_places(boxes.len(), &kinds, put)),
        None => Placement::NotFound,
    }
}

/// The kinds of boxes, the largest first.
fn sort_kinds(boxes: &[LooseBox]) -> Vec<BoxKind> {
    let mut kinds: Vec<BoxKind> = Vec::new();
    for (index, loose) in boxes.iter().enumerate() {
        let turns = turn(loose);
        match kinds.iter_mut().find(|kind| kind.turns == turns) {
            Some(kind) => kind.members.push(index),
            None => kinds.push(BoxKind { turns, members: vec![index] }),
        }
    }
    kinds.sort_by_key(|kind| (std::cmp::Reverse(kind.volume()), kind.turns[0]));
    kinds
}

/// The sizes a box has when turned in each way that it may be, each once and sorted.
fn turn(loose: &LooseBox) -> Vec<Triple> {
    // A side of nothing would fit anywhere any number of times.
    let [a, b, c] = loose.size.map(|side| side.micrometres().max(1));
    let mut turns = vec![[a, b, c], [b, a, c]];
    if !loose.this_side_up {
        turns.extend([[a, c, b], [c, a, b], [b, c, a], [c, b, a]]);
    }
    turns.sort_unstable();
    turns.dedup();
    turns
}

/// A complete search with all boxes, or, when they are many, with the largest of them: a
/// placement, the boxes that have none, or nothing.
fn search_completely(
    container: Triple,
    kinds: &[BoxKind],
) -> Option<Result<Vec<greedy::Put>, Vec<usize>>> {
    let all = kinds.iter().enumerate().flat_map(|(index, kind)| {
        kind.members.iter().map(move |member| (index, *member, kind.turns.as_slice()))
    });
    let largest: Vec<(usize, usize, &[Triple])> = all.take(MOST_EXACT).collect();
    let count: usize = kinds.iter().map(BoxKind::count).sum();
    let turns: Vec<&[Triple]> = largest.iter().map(|(_, _, turns)| *turns).collect();
    match exact::search(container, &turns, EXACT_STEPS) {
        Verdict::Found(rooms) if count == largest.len() => {
            let kinds = largest.iter().map(|(kind, _, _)| *kind);
            Some(Ok(kinds.zip(rooms).collect()))
        }
        Verdict::Impossible => Some(Err(largest.iter().map(|(_, member, _)| *member).collect())),
        Verdict::Found(_) | Verdict::Unknown => None,
    }
}

/// Places for boxes in their own order: boxes of a kind are alike, so each gets the next.
fn give_places(count: usize, kinds: &[BoxKind], put: Vec<greedy::Put>) -> Vec<PlacedBox> {
    let mut places = vec![PlacedBox { corner: [Extent::ZERO; 3], size: [Extent::ZERO; 3] }; count];
    let mut members: Vec<_> = kinds.iter().map(|kind| kind.members.iter()).collect();
    for (kind, room) in put {
        if let Some(member) = members[kind].next() {
            places[*member] = PlacedBox {
                corner: room.low.map(Extent::from_micrometres),
                size: room.size().map(Extent::from_micrometres),
            };
        }
    }
    debug_assert!(are_sound(&places), "two boxes overlap");
    places
}

/// Whether no two boxes overlap and each has a size.
fn are_sound(places: &[PlacedBox]) -> bool {
    let room = |place: &PlacedBox| {
        Room::at(place.corner.map(Extent::micrometres), place.size.map(Extent::micrometres))
    };
    places.iter().enumerate().all(|(index, place)| {
        place.size != [Extent::ZERO; 3]
            && places[..index].iter().all(|other| !room(other).overlaps(room(place)))
    })
}

/// The plainest reason why the boxes cannot go into the container.
fn find_obstacle(container: Triple, kinds: &[BoxKind]) -> Option<Obstacle> {
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
