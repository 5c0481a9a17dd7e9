//! How much of a Data Matrix's error correction a damaged print leaves unused.
//!
//! In: a symbol as it was made, and what each of its modules looks like in print. Out: the unused
//! error correction of ISO/IEC 15415. Not here: finding modules in a print (`verify`).

use super::DataMatrix;
use super::placement::{MatrixModule, place_codewords};

impl DataMatrix {
    /// The share of the error correction that is left when modules look as `is_dark` (column, row)
    /// says: 1 − 2·errors ÷ capacity, of the block that has least left; 0 when a block cannot be
    /// corrected (as for a QR Code).
    pub fn unused_correction(&self, is_dark: impl Fn(usize, usize) -> bool) -> f64 {
        let mut wrong = vec![false; self.codewords.len()];
        for (at, cell) in place_codewords(self.size.mapping()).iter().enumerate() {
            if let MatrixModule::Bit { codeword, .. } = *cell {
                let (x, y) = self.size.place_of(at);
                wrong[codeword] |= is_dark(x, y) != self.grid.get(x, y);
            }
        }
        let mut errors = vec![0_usize; self.size.blocks];
        for (codeword, _) in wrong.iter().enumerate().filter(|(_, wrong)| **wrong) {
            errors[self.size.block_of(codeword)] += 1;
        }
        let most = errors.into_iter().max().unwrap_or(0);
        (1.0 - 2.0 * most as f64 / self.size.correction as f64).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is left when one module of each of these codewords is inverted.
    fn left(symbol: &DataMatrix, codewords: &[usize]) -> f64 {
        let cells = place_codewords(symbol.size.mapping());
        let place = |wanted: &usize| {
            let is_it = |cell: &MatrixModule| matches!(cell, MatrixModule::Bit { codeword, bit: 3 } if codeword == wanted);
            symbol.size.place_of(cells.iter().position(is_it).unwrap())
        };
        let hit: Vec<(usize, usize)> = codewords.iter().map(place).collect();
        symbol.unused_correction(|x, y| symbol.grid().get(x, y) != hit.contains(&(x, y)))
    }

    #[test]
    fn each_wrong_codeword_takes_two_of_its_block() {
        // 10 modules: 5 codewords correct 2 errors.
        let symbol = DataMatrix::encode_text("123456").unwrap();
        for (hit, expected) in [(&[][..], 1.0), (&[0], 0.6), (&[0, 7], 0.2), (&[0, 1, 2], 0.0)] {
            assert!((left(&symbol, hit) - expected).abs() < 1e-9, "{hit:?}");
        }
        // 52 modules: two blocks that take turns, 42 codewords correct 21 errors of each.
        let symbol = DataMatrix::encode_text(&"aB3-".repeat(45)).unwrap();
        assert_eq!(symbol.size(), 52);
        let each = |wrong: f64| 1.0 - 2.0 * wrong / 42.0;
        assert!((left(&symbol, &[0, 1, 2, 3]) - each(2.0)).abs() < 1e-9);
        assert!((left(&symbol, &[0, 2, 4, 204]) - each(4.0)).abs() < 1e-9);
    }
}
