//! How much of a QR Code's error correction a damaged print leaves unused.
//!
//! In: a symbol as it was made, and what each of its modules looks like in print. Out: the unused
//! error correction of ISO/IEC 15415. Not here: finding modules in a print (`verify`).

use super::tables::block_plan;
use super::template::template_of;
use super::{Ecc, Qr};

impl Qr {
    /// The share of the error correction that is left when modules look as `is_dark` (column, row)
    /// says: 1 − 2·errors ÷ capacity, of the block that has least left; 0 when a block cannot be
    /// corrected (ISO/IEC 15415, "unused error correction": the part of the capacity that is left for
    /// further errors; there are no erasures, so every wrong codeword counts twice).
    pub fn unused_correction(&self, is_dark: impl Fn(usize, usize) -> bool) -> f64 {
        let template = template_of(self.version());
        let plan = block_plan(self.version(), self.ecc());
        let capacity = plan.ecc - detection_only(self.version(), self.ecc());
        let mut wrong = vec![0_usize; plan.blocks];
        let codewords = template.order.chunks_exact(8).take(plan.codewords());
        for (place, modules) in codewords.enumerate() {
            let differs = |&[x, y]: &[u8; 2]| {
                let (x, y) = (usize::from(x), usize::from(y));
                is_dark(x, y) != self.grid().get(x, y)
            };
            if modules.iter().any(differs) {
                wrong[block_of(place, &plan)] += 1;
            }
        }
        let most = wrong.into_iter().max().unwrap_or(0);
        (1.0 - 2.0 * most as f64 / capacity as f64).max(0.0)
    }
}

/// The block that the codeword at a place of the symbol belongs to: codewords of all blocks take
/// turns, and short blocks have no last data codeword (7.6).
fn block_of(place: usize, plan: &super::tables::BlockPlan) -> usize {
    let even = plan.blocks * plan.short_data;
    match place {
        _ if place < even => place % plan.blocks,
        _ if place < plan.data() => plan.short_blocks + place - even,
        _ => (place - plan.data()) % plan.blocks,
    }
}

/// Error correction codewords of small symbols that only detect misreading (7.5.1, Table 9, the
/// values of p).
fn detection_only(version: u8, ecc: Ecc) -> usize {
    match (version, ecc) {
        (1, Ecc::L) => 3,
        (1, Ecc::M) | (2, Ecc::L) => 2,
        (1, Ecc::Q | Ecc::H) | (3, Ecc::L) => 1,
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::codes::QrOptions;

    /// The same symbol with the modules of these codewords inverted.
    fn spoilt(qr: &Qr, codewords: &[usize]) -> impl Fn(usize, usize) -> bool {
        let order = &template_of(qr.version()).order;
        let hit: Vec<[u8; 2]> = codewords.iter().map(|place| order[8 * place + 3]).collect();
        let qr = qr.clone();
        move |x, y| qr.grid().get(x, y) != hit.contains(&[x as u8, y as u8])
    }

    /// A symbol of one level.
    fn qr(text: &str, ecc: Ecc) -> Qr {
        Qr::encode(text, &QrOptions { ecc, boost: false, ..QrOptions::default() }).unwrap()
    }

    #[test]
    fn a_clean_symbol_leaves_all_and_each_wrong_codeword_takes_two() {
        // Version 1 at level M has 10 codewords for correction, of which 2 only detect: 4 errors.
        let qr = qr("01234567", Ecc::M);
        assert_eq!(qr.version(), 1);
        for (wrong, left) in [(0, 1.0), (1, 0.75), (2, 0.5), (3, 0.25), (4, 0.0), (7, 0.0)] {
            let hit: Vec<usize> = (0..wrong).collect();
            assert!((qr.unused_correction(spoilt(&qr, &hit)) - left).abs() < 1e-9, "{wrong}");
            assert_eq!(qr.grid().count_wrong(spoilt(&qr, &hit)), wrong);
        }
    }

    #[test]
    fn the_worst_block_counts() {
        // Version 5 at level Q: two blocks of 15 and two of 16 data codewords, 18 for correction.
        let qr = qr(&"a".repeat(60), Ecc::Q);
        assert_eq!((qr.version(), qr.ecc()), (5, Ecc::Q));
        let left = |hit: &[usize]| qr.unused_correction(spoilt(&qr, hit));
        let each = |wrong: f64| 1.0 - 2.0 * wrong / 18.0;
        assert!((left(&[0, 1, 2, 3]) - each(1.0)).abs() < 1e-9, "one in every block");
        assert!((left(&[0, 4, 8]) - each(3.0)).abs() < 1e-9, "all in the first block");
        // Codewords 60 and 61 are the sixteenth of the two long blocks; 62 begins the correction.
        assert!((left(&[60, 2]) - each(2.0)).abs() < 1e-9, "the third block is the first long one");
        assert!((left(&[62, 0]) - each(2.0)).abs() < 1e-9, "correction takes turns from the first");
    }
}
