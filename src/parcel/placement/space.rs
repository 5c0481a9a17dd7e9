//! The free room left in a container, as the largest upright boxes that are empty.
//!
//! In: boxes as they are placed. Out: every maximal empty box, overlapping each other as they may;
//! a box fits into the container exactly when it fits into one of them. After the difference
//! process of Lai and Chan, "Developing a simulated annealing algorithm for the cutting stock
//! problem" (Computers & Industrial Engineering 32, 1997), in three dimensions.

/// Three lengths or a corner, in micrometres.
pub(super) type Triple = [u64; 3];

/// An upright box from its lowest to its highest corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Room {
    /// The corner nearest to the origin.
    pub(super) low: Triple,
    /// The opposite corner.
    pub(super) high: Triple,
}

impl Room {
    /// The box of a size at a corner.
    pub(super) fn at(low: Triple, size: Triple) -> Room {
        Room { low, high: std::array::from_fn(|axis| low[axis] + size[axis]) }
    }

    /// Length, width and height.
    pub(super) fn size(self) -> Triple {
        std::array::from_fn(|axis| self.high[axis] - self.low[axis])
    }

    /// Whether a box of a size fits inside.
    pub(super) fn takes(self, size: Triple) -> bool {
        (0..3).all(|axis| size[axis] <= self.high[axis] - self.low[axis])
    }

    /// Whether both share more than a face.
    pub(super) fn overlaps(self, other: Room) -> bool {
        (0..3).all(|axis| self.low[axis] < other.high[axis] && other.low[axis] < self.high[axis])
    }

    /// Whether all of `other` lies inside.
    fn contains(self, other: Room) -> bool {
        (0..3).all(|axis| self.low[axis] <= other.low[axis] && other.high[axis] <= self.high[axis])
    }
}

/// The free room of a container.
#[derive(Clone, Debug)]
pub(super) struct FreeRoom {
    /// The maximal empty boxes; none lies inside another.
    rooms: Vec<Room>,
    /// Room for the pieces of rooms that a box was placed in.
    pieces: Vec<Room>,
}

impl FreeRoom {
    /// An empty container.
    pub(super) fn of(container: Triple) -> FreeRoom {
        FreeRoom { rooms: vec![Room { low: [0; 3], high: container }], pieces: Vec::new() }
    }

    /// The maximal empty boxes.
    pub(super) fn rooms(&self) -> &[Room] {
        &self.rooms
    }

    /// Takes a placed box out of the free room.
    pub(super) fn fill(&mut self, placed: Room) {
        let FreeRoom { rooms, pieces } = self;
        pieces.clear();
        rooms.retain(|room| {
            let hit = room.overlaps(placed);
            if hit {
                push_pieces(*room, placed, pieces);
            }
            !hit
        });
        for (index, piece) in pieces.iter().enumerate() {
            let inside_later = pieces[index + 1..].iter().any(|other| other.contains(*piece));
            let inside_kept = rooms.iter().any(|room| room.contains(*piece));
            if !inside_later && !inside_kept {
                rooms.push(*piece);
            }
        }
    }

    /// Gives up a room that nothing fits into.
    pub(super) fn forget(&mut self, room: Room) {
        self.rooms.retain(|other| *other != room);
    }
}

/// The up to six maximal boxes that are left of a room around a placed box.
fn push_pieces(room: Room, placed: Room, pieces: &mut Vec<Room>) {
    for axis in 0..3 {
        if room.low[axis] < placed.low[axis] {
            let mut piece = room;
            piece.high[axis] = placed.low[axis];
            pieces.push(piece);
        }
        if placed.high[axis] < room.high[axis] {
            let mut piece = room;
            piece.low[axis] = placed.high[axis];
            pieces.push(piece);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_in_the_middle_leaves_six_rooms() {
        let mut free = FreeRoom::of([3, 3, 3]);
        free.fill(Room::at([1, 1, 1], [1, 1, 1]));
        assert_eq!(free.rooms().len(), 6);
        assert!(free.rooms().iter().all(|room| room.size().iter().product::<u64>() == 9));
    }

    /// Every unit cube is free in the rooms exactly when no box covers it.
    #[test]
    fn rooms_cover_what_is_empty_and_nothing_else() {
        let boxes = [
            Room::at([0, 0, 0], [2, 1, 3]),
            Room::at([2, 0, 0], [2, 2, 1]),
            Room::at([1, 2, 1], [1, 2, 2]),
            Room::at([3, 3, 3], [1, 1, 1]),
        ];
        let mut free = FreeRoom::of([4, 4, 4]);
        for (count, placed) in boxes.into_iter().enumerate() {
            free.fill(placed);
            for cell in 0..64_u64 {
                let cube = Room::at([cell % 4, cell / 4 % 4, cell / 16], [1, 1, 1]);
                let covered = boxes[..=count].iter().any(|it| it.overlaps(cube));
                let is_free = free.rooms().iter().any(|room| room.contains(cube));
                assert_ne!(covered, is_free);
            }
            for (index, room) in free.rooms().iter().enumerate() {
                let others = free.rooms().iter().enumerate().filter(|(at, _)| *at != index);
                assert!(others.map(|(_, other)| other).all(|other| !other.contains(*room)));
            }
        }
    }
}
