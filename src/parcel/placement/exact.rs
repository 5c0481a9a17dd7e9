//! Whether a few boxes go into a container at all: a complete search.
//!
//! In: the container and the ways each box may be turned. Out: a placement, the proof that there is
//! none, or neither when the search ran out of steps. Any placement puts each two boxes apart along
//! one of three axes, one before the other. So the search turns the boxes one after another, moves
//! all as far to the origin as the order between them allows, and as long as two overlap it decides
//! for one such pair which of the six ways they lie; when it has tried all, there is no placement.
//! This finds interlocked placements too, which no filling corner by corner finds.

use super::space::{Room, Triple};

/// The most boxes that a complete search is tried with.
pub(super) const MOST_EXACT: usize = 20;

/// What a complete search found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Verdict {
    /// A place for each box, in their order.
    Found(Vec<Room>),
    /// No arrangement exists.
    Impossible,
    /// The steps ran out.
    Unknown,
}

/// One box that comes before another along an axis.
#[derive(Clone, Copy, Debug)]
struct Precedence {
    /// Which axis, 0 to 2.
    axis: usize,
    /// The box nearer to the origin.
    before: usize,
    /// The other box.
    after: usize,
}

/// How a branch of the search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    /// With a placement.
    Found,
    /// Without one.
    Dead,
    /// Out of steps.
    Tired,
}

/// The state of a search.
struct Search<'a> {
    /// The container's sides.
    container: Triple,
    /// For each box the sizes it has when turned, equal boxes next to each other.
    turns: &'a [&'a [Triple]],
    /// The steps that are left.
    steps: u32,
    /// Which turn each box taken in has.
    turn: Vec<usize>,
    /// The size of each box taken in.
    size: Vec<Triple>,
    /// What has been decided.
    orders: Vec<Precedence>,
    /// Where each box ended up.
    found: Vec<Room>,
}

/// Searches for a placement of all boxes, for so many steps at most.
///
/// It is fastest with large boxes first and equal boxes next to each other.
pub(super) fn search(container: Triple, turns: &[&[Triple]], steps: u32) -> Verdict {
    let mut search = Search {
        container,
        turns,
        steps,
        turn: Vec::new(),
        size: Vec::new(),
        orders: Vec::new(),
        found: Vec::new(),
    };
    if turns.len() > MOST_EXACT {
        return Verdict::Unknown;
    }
    match search.take_next() {
        End::Found => Verdict::Found(search.found),
        End::Dead => Verdict::Impossible,
        End::Tired => Verdict::Unknown,
    }
}

impl Search<'_> {
    /// Takes in one more box, turned in each way.
    fn take_next(&mut self) -> End {
        let index = self.size.len();
        let turns = self.turns[index];
        // Equal boxes can trade places, so their turns may be taken to be in order.
        let equal = index > 0 && self.turns[index - 1] == turns;
        let first = if equal { self.turn[index - 1] } else { 0 };
        for (turn, size) in turns.iter().enumerate().skip(first) {
            if (0..3).any(|axis| size[axis] > self.container[axis]) {
                continue;
            }
            self.turn.push(turn);
            self.size.push(*size);
            let end = self.settle();
            self.turn.pop();
            self.size.pop();
            if end != End::Dead {
                return end;
            }
        }
        End::Dead
    }

    /// Sets apart the boxes taken in, then takes in the next.
    fn settle(&mut self) -> End {
        if self.steps == 0 {
            return End::Tired;
        }
        self.steps -= 1;
        let Some(starts) = self.find_starts() else { return End::Dead };
        let Some(options) = self.fewest_options(&starts) else {
            if self.size.len() < self.turns.len() {
                return self.take_next();
            }
            self.found =
                self.size.iter().zip(starts).map(|(size, low)| Room::at(low, *size)).collect();
            return End::Found;
        };
        for order in options {
            self.orders.push(order);
            let end = self.settle();
            self.orders.pop();
            if end != End::Dead {
                return end;
            }
        }
        End::Dead
    }

    /// The corner nearest to the origin that each box can have; none when one sticks out.
    fn find_starts(&self) -> Option<[Triple; MOST_EXACT]> {
        let mut starts = [[0; 3]; MOST_EXACT];
        loop {
            let mut moved = false;
            for &Precedence { axis, before, after } in &self.orders {
                let least = starts[before][axis] + self.size[before][axis];
                if starts[after][axis] < least {
                    // A circle of orders pushes its boxes out of the container too.
                    if least + self.size[after][axis] > self.container[axis] {
                        return None;
                    }
                    starts[after][axis] = least;
                    moved = true;
                }
            }
            if !moved {
                return Some(starts);
            }
        }
    }

    /// For the overlapping pair that can be set apart in the fewest ways, these ways; none when
    /// no two overlap.
    fn fewest_options(&self, starts: &[Triple; MOST_EXACT]) -> Option<Vec<Precedence>> {
        let room = |index: usize| Room::at(starts[index], self.size[index]);
        let mut fewest: Option<Vec<Precedence>> = None;
        for second in 1..self.size.len() {
            for first in 0..second {
                if !room(first).overlaps(room(second)) {
                    continue;
                }
                let options = self.options(first, second, starts);
                if fewest.as_ref().is_none_or(|fewest| options.len() < fewest.len()) {
                    fewest = Some(options);
                }
            }
        }
        fewest
    }

    /// The ways in which two boxes can be set apart without one sticking out.
    fn options(
        &self,
        first: usize,
        second: usize,
        starts: &[Triple; MOST_EXACT],
    ) -> Vec<Precedence> {
        let mut options = Vec::new();
        for (axis, side) in self.container.into_iter().enumerate() {
            let length = self.size[first][axis] + self.size[second][axis];
            let fits = |before: usize| starts[before][axis] + length <= side;
            if fits(first) {
                options.push(Precedence { axis, before: first, after: second });
            }
            // As long as nothing is decided along an axis, the mirror image of any placement is
            // one as well, so one of the two directions is enough.
            let mirrored = self.orders.iter().all(|order| order.axis != axis);
            if !mirrored && fits(second) {
                options.push(Precedence { axis, before: second, after: first });
            }
        }
        options
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_that_interlock_are_found() {
        // Three bars in a cube, each along another axis, and the two small cubes that are left:
        // no face of the cube is cut all the way across.
        let bars = [[2, 1, 3], [3, 2, 1], [1, 3, 2]];
        let small = [[1, 1, 1], [1, 1, 1], [1, 1, 1]];
        let turns: Vec<[Triple; 1]> = bars.into_iter().chain(small).map(|size| [size]).collect();
        let turns: Vec<&[Triple]> = turns.iter().map(|turn| &turn[..]).collect();
        let Verdict::Found(rooms) = search([3, 3, 3], &turns, 100_000) else { panic!() };
        for (index, room) in rooms.iter().enumerate() {
            assert!(rooms[..index].iter().all(|other| !other.overlaps(*room)));
        }
    }

    #[test]
    fn what_cannot_be_is_proven() {
        // Two cubes of 2 in a cube of 3, and five boxes of 1 × 2 × 2 in a cube of 3 where six go.
        let cube: &[Triple] = &[[2, 2, 2]];
        assert_eq!(search([3, 3, 3], &[cube, cube], 1_000), Verdict::Impossible);
        let slab: &[Triple] = &[[1, 2, 2], [2, 1, 2], [2, 2, 1]];
        assert!(matches!(search([3, 3, 3], &[slab; 6], 1_000_000), Verdict::Found(_)));
        assert_eq!(search([3, 3, 3], &[slab; 7], 10_000_000), Verdict::Impossible);
    }

    #[test]
    fn a_search_gives_up_when_its_steps_are_used() {
        let slab: &[Triple] = &[[1, 2, 2], [2, 1, 2], [2, 2, 1]];
        assert_eq!(search([3, 3, 3], &[slab; 7], 10), Verdict::Unknown);
        assert_eq!(search([9, 9, 9], &[slab; MOST_EXACT + 1], 10), Verdict::Unknown);
    }
}
