//! Where the bits of codewords stand (ISO/IEC 16022:2006, Annex F).
//!
//! In: the side of the data regions together. Out: a cell for every module of them. Not here: the
//! borders between regions.

/// What a module of the data regions shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum MatrixModule {
    /// A bit of a codeword, bit 0 the highest.
    Bit {
        /// Which codeword, data and error correction counted through, from 0.
        codeword: usize,
        /// The bit, from 0, the most significant one.
        bit: u8,
    },
    /// Always dark: two of the four modules in the lower right corner that some sizes leave over.
    Dark,
    /// Always light: the other two.
    Light,
}

/// The eight places of an ordinary codeword beside the one it is named after, which is that of its
/// last bit: columns and rows from there, the highest bit first.
const SHAPE: [(isize, isize); 8] =
    [(-2, -2), (-1, -2), (-2, -1), (-1, -1), (0, -1), (-2, 0), (-1, 0), (0, 0)];

/// The places of the codewords that lie at two corners, counted from the left and the top, or from
/// the right and the foot where negative: columns and rows, the highest bit first.
const CORNERS: [[(isize, isize); 8]; 4] = [
    [(0, -1), (1, -1), (2, -1), (-2, 0), (-1, 0), (-1, 1), (-1, 2), (-1, 3)],
    [(0, -3), (0, -2), (0, -1), (-4, 0), (-3, 0), (-2, 0), (-1, 0), (-1, 1)],
    [(0, -3), (0, -2), (0, -1), (-2, 0), (-1, 0), (-1, 1), (-1, 2), (-1, 3)],
    [(0, -1), (-1, -1), (-3, 0), (-2, 0), (-1, 0), (-3, 1), (-2, 1), (-1, 1)],
];

/// The cells while they are filled.
struct Mapping {
    /// Modules along each side.
    side: isize,
    /// The cells row by row; `None` as long as nothing is placed there.
    cells: Vec<Option<MatrixModule>>,
    /// Codewords placed so far.
    placed: usize,
}

impl Mapping {
    /// Whether nothing stands in this place yet; a place outside is never free.
    fn is_free(&self, column: isize, row: isize) -> bool {
        let inside = (0..self.side).contains(&column) && (0..self.side).contains(&row);
        inside && self.cells[self.index(column, row)].is_none()
    }

    /// The number of a cell inside.
    fn index(&self, column: isize, row: isize) -> usize {
        usize::try_from(row * self.side + column).unwrap_or(0)
    }

    /// Places the next codeword's bits.
    fn place(&mut self, places: impl Iterator<Item = (isize, isize)>) {
        for (bit, (column, row)) in (0..).zip(places) {
            let at = self.index(column, row);
            self.cells[at] = Some(MatrixModule::Bit { codeword: self.placed, bit });
        }
        self.placed += 1;
    }

    /// Places an ordinary codeword; what reaches over the upper or left edge comes in again at the
    /// other one, moved along it.
    fn place_ordinary(&mut self, column: isize, row: isize) {
        let side = self.side;
        let moved = 4 - (side + 4) % 8;
        self.place(SHAPE.into_iter().map(|(right, down)| {
            let (mut column, mut row) = (column + right, row + down);
            if row < 0 {
                (column, row) = (column + moved, row + side);
            }
            if column < 0 {
                (column, row) = (column + side, row + moved);
            }
            (column, row)
        }));
    }

    /// Places a codeword at two corners.
    fn place_in_corners(&mut self, corner: usize) {
        let from_end = |at: isize| if at < 0 { at + self.side } else { at };
        let places = CORNERS[corner].map(|(column, row)| (from_end(column), from_end(row)));
        self.place(places.into_iter());
    }
}

/// The cells of data regions of this side, row by row.
pub(super) fn place_codewords(side: usize) -> Vec<MatrixModule> {
    let side = isize::try_from(side).unwrap_or(0);
    let count = usize::try_from(side * side).unwrap_or(0);
    let mut mapping = Mapping { side, cells: vec![None; count], placed: 0 };
    let (mut column, mut row) = (0, 4);
    while row < side || column < side {
        match () {
            () if (column, row) == (0, side) => mapping.place_in_corners(0),
            () if (column, row) == (0, side - 2) && side % 4 != 0 => mapping.place_in_corners(1),
            () if (column, row) == (0, side - 2) && side % 8 == 4 => mapping.place_in_corners(2),
            () if (column, row) == (2, side + 4) && side % 8 == 0 => mapping.place_in_corners(3),
            () => {}
        }
        // Up to the right, a codeword every two modules, then down to the left again.
        while row >= 0 && column < side {
            if mapping.is_free(column, row) {
                mapping.place_ordinary(column, row);
            }
            (column, row) = (column + 2, row - 2);
        }
        (column, row) = (column + 3, row + 1);
        while row < side && column >= 0 {
            if mapping.is_free(column, row) {
                mapping.place_ordinary(column, row);
            }
            (column, row) = (column - 2, row + 2);
        }
        (column, row) = (column + 1, row + 3);
    }
    finish(mapping)
}

/// The cells with the corner that some sizes leave over: dark from its upper left to its lower right.
fn finish(mapping: Mapping) -> Vec<MatrixModule> {
    let side = usize::try_from(mapping.side).unwrap_or(1).max(1);
    let cells = mapping.cells.into_iter().enumerate();
    let over = |at: usize| {
        if at / side % 2 == at % side % 2 { MatrixModule::Dark } else { MatrixModule::Light }
    };
    cells.map(|(at, cell)| cell.unwrap_or_else(|| over(at))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::codes::data_matrix::sizes::SIZES;

    #[test]
    fn every_bit_of_every_codeword_of_every_size_has_one_place() {
        for size in &SIZES {
            let cells = place_codewords(size.mapping());
            let mut bits: Vec<(usize, u8)> = cells
                .iter()
                .filter_map(|cell| match cell {
                    MatrixModule::Bit { codeword, bit } => Some((*codeword, *bit)),
                    _ => None,
                })
                .collect();
            bits.sort_unstable();
            let all =
                (0..size.codewords()).flat_map(|codeword| (0..8).map(move |bit| (codeword, bit)));
            assert!(bits.into_iter().eq(all), "{size:?}");
            let left =
                cells.iter().filter(|cell| !matches!(cell, MatrixModule::Bit { .. })).count();
            assert_eq!(left, cells.len() - 8 * size.codewords());
        }
    }
}
