//! The square sizes of Data Matrix (ISO/IEC 16022:2006, Table 7, as `datamatrix/decoder/version.rs`
//! of rxing 0.9.3 has it).

/// A square symbol that ISO/IEC 16022 has.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct SymbolSize {
    /// Modules along each side, without quiet zone.
    pub(super) modules: usize,
    /// Data regions along each side.
    pub(super) regions: usize,
    /// Data codewords.
    pub(super) data: usize,
    /// Error correction codewords of each block.
    pub(super) correction: usize,
    /// Blocks that are corrected by themselves.
    pub(super) blocks: usize,
}

/// A row of [`SIZES`].
const fn size(
    modules: usize,
    regions: usize,
    data: usize,
    correction: usize,
    blocks: usize,
) -> SymbolSize {
    SymbolSize { modules, regions, data, correction, blocks }
}

/// All sizes, from the smallest.
pub(super) static SIZES: [SymbolSize; 24] = [
    size(10, 1, 3, 5, 1),
    size(12, 1, 5, 7, 1),
    size(14, 1, 8, 10, 1),
    size(16, 1, 12, 12, 1),
    size(18, 1, 18, 14, 1),
    size(20, 1, 22, 18, 1),
    size(22, 1, 30, 20, 1),
    size(24, 1, 36, 24, 1),
    size(26, 1, 44, 28, 1),
    size(32, 2, 62, 36, 1),
    size(36, 2, 86, 42, 1),
    size(40, 2, 114, 48, 1),
    size(44, 2, 144, 56, 1),
    size(48, 2, 174, 68, 1),
    size(52, 2, 204, 42, 2),
    size(64, 4, 280, 56, 2),
    size(72, 4, 368, 36, 4),
    size(80, 4, 456, 48, 4),
    size(88, 4, 576, 56, 4),
    size(96, 4, 696, 68, 4),
    size(104, 4, 816, 56, 6),
    size(120, 6, 1050, 68, 6),
    size(132, 6, 1304, 62, 8),
    size(144, 6, LARGEST, 62, 10),
];

/// Data codewords of the largest size.
pub(super) const LARGEST: usize = 1558;

impl SymbolSize {
    /// Modules along each side of a data region, without its border.
    pub(super) fn region(&self) -> usize {
        self.modules / self.regions - 2
    }

    /// Modules along each side of all data regions together, without borders.
    pub(super) fn mapping(&self) -> usize {
        self.region() * self.regions
    }

    /// Data and error correction codewords together.
    pub(super) fn codewords(&self) -> usize {
        self.data + self.correction * self.blocks
    }

    /// The column and row in the symbol of a cell of the data regions, which are counted row by row
    /// without borders.
    pub(super) fn place_of(&self, cell: usize) -> (usize, usize) {
        let region = self.region();
        let along = |at: usize| at + 1 + 2 * (at / region);
        (along(cell % self.mapping()), along(cell / self.mapping()))
    }

    /// The block that a codeword belongs to: they take turns, data and error correction alike. In the
    /// largest size the last two blocks have a data codeword less, so that the turn goes on where the
    /// data end.
    pub(super) fn block_of(&self, codeword: usize) -> usize {
        codeword % self.blocks
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_size_has_room_for_its_codewords_and_no_more_than_four_modules_over() {
        for size in &SIZES {
            assert_eq!((size.region() + 2) * size.regions, size.modules);
            let over = size.mapping() * size.mapping() - 8 * size.codewords();
            assert!(over == 0 || over == 4, "{size:?}: {over}");
            assert_eq!(size.place_of(0), (1, 1));
            let last = size.mapping() * size.mapping() - 1;
            assert_eq!(size.place_of(last), (size.modules - 2, size.modules - 2));
        }
        assert!(SIZES.is_sorted_by_key(|size| (size.modules, size.data)));
    }
}
