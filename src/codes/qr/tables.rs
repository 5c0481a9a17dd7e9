//! The figures of QR Code model 2 that depend on version and error correction level.
//!
//! In: a version from 1 to 40 and an [`Ecc`]. Out: sizes, block structures, positions. Not here:
//! anything that looks at a payload.
//!
//! Clauses named in this module and its siblings are numbered as in ISO/IEC 18004:2015. The figures
//! are what two other libraries have too: the tests compare with the crates qrcode and rxing.

use super::Ecc;

/// The smallest version.
pub(super) const FIRST_VERSION: u8 = 1;

/// The largest version.
pub(super) const LAST_VERSION: u8 = 40;

/// The last versions of the three ranges that share the lengths of character counts (7.4.1,
/// Table 3).
pub(super) const CLASS_ENDS: [u8; 3] = [9, 26, 40];

/// Error correction codewords in each block, by level and version (7.5.1, Table 9).
#[rustfmt::skip]
const BLOCK_ECC: [[u8; 40]; 4] = [
    [7, 10, 15, 20, 26, 18, 20, 24, 30, 18, 20, 24, 26, 30, 22, 24, 28, 30, 28, 28,
     28, 28, 30, 30, 26, 28, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30],
    [10, 16, 26, 18, 24, 16, 18, 22, 22, 26, 30, 22, 22, 24, 24, 28, 28, 26, 26, 26,
     26, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28],
    [13, 22, 18, 26, 18, 24, 18, 22, 20, 24, 28, 26, 24, 20, 30, 24, 28, 28, 26, 30,
     28, 30, 30, 30, 30, 28, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30],
    [17, 28, 22, 16, 22, 28, 26, 26, 24, 28, 24, 28, 22, 24, 24, 30, 28, 28, 26, 28,
     30, 24, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30],
];

/// Blocks in the symbol, by level and version (7.5.1, Table 9).
#[rustfmt::skip]
const BLOCKS: [[u8; 40]; 4] = [
    [1, 1, 1, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 6, 6, 6, 6, 7, 8,
     8, 9, 9, 10, 12, 12, 12, 13, 14, 15, 16, 17, 18, 19, 19, 20, 21, 22, 24, 25],
    [1, 1, 1, 2, 2, 4, 4, 4, 5, 5, 5, 8, 9, 9, 10, 10, 11, 13, 14, 16,
     17, 17, 18, 20, 21, 23, 25, 26, 28, 29, 31, 33, 35, 37, 38, 40, 43, 45, 47, 49],
    [1, 1, 2, 2, 4, 4, 6, 6, 8, 8, 8, 10, 12, 16, 12, 17, 16, 18, 21, 20,
     23, 23, 25, 27, 29, 34, 34, 35, 38, 40, 43, 45, 48, 51, 53, 56, 59, 62, 65, 68],
    [1, 1, 2, 4, 4, 4, 5, 6, 8, 8, 11, 11, 16, 16, 18, 16, 19, 21, 25, 25,
     25, 34, 30, 32, 35, 37, 40, 42, 45, 48, 51, 54, 57, 60, 63, 66, 70, 74, 77, 81],
];

/// How a symbol's codewords are split into blocks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct BlockPlan {
    /// How many blocks the symbol has, short and long ones together.
    pub(super) blocks: usize,
    /// The first so many blocks have one data codeword less than the others.
    pub(super) short_blocks: usize,
    /// Data codewords in a short block.
    pub(super) short_data: usize,
    /// Error correction codewords in every block.
    pub(super) ecc: usize,
}

impl BlockPlan {
    /// Data codewords in all blocks.
    pub(super) fn data(&self) -> usize {
        self.blocks * self.short_data + (self.blocks - self.short_blocks)
    }

    /// Data and error correction codewords of all blocks: the symbol is full with them.
    pub(super) fn codewords(&self) -> usize {
        self.data() + self.blocks * self.ecc
    }
}

/// Modules along each side (6.3.1).
pub(super) fn size_of(version: u8) -> usize {
    17 + 4 * usize::from(version)
}

/// The block structure of a version and level.
pub(super) fn block_plan(version: u8, ecc: Ecc) -> BlockPlan {
    let column = usize::from(version) - 1;
    let blocks = usize::from(BLOCKS[ecc as usize][column]);
    let block_ecc = usize::from(BLOCK_ECC[ecc as usize][column]);
    let codewords = data_modules(version) / 8;
    BlockPlan {
        blocks,
        short_blocks: blocks - codewords % blocks,
        short_data: codewords / blocks - block_ecc,
        ecc: block_ecc,
    }
}

/// The bits of payload that a version and level hold.
pub(super) fn capacity_bits(version: u8, ecc: Ecc) -> usize {
    8 * block_plan(version, ecc).data()
}

/// Modules left for codewords and remainder bits: all but finders with separators (3 × 64),
/// format information with the dark module (31), timing patterns, alignment patterns less what
/// they share with the timing patterns, and version information (2 × 18 from version 7).
pub(super) fn data_modules(version: u8) -> usize {
    let size = size_of(version);
    let timing = 2 * (size - 16);
    let across = alignment_centres(version).len();
    // Three corners of the grid of centres hold finders. All other patterns of its first row and
    // column lie on a timing pattern with five modules each.
    let alignment = match across {
        0 => 0,
        _ => 25 * (across * across - 3) - 2 * 5 * (across - 2),
    };
    let version_information = if version >= 7 { 36 } else { 0 };
    size * size - 192 - 31 - timing - alignment - version_information
}

/// Rows and columns of the centres of alignment patterns (Annex E): from 6 to 7 short of the far
/// side, evenly spaced from the far side with an even step; only the space after the first may
/// be smaller. Version 32 has a smaller step than this rule gives.
pub(super) fn alignment_centres(version: u8) -> Vec<usize> {
    if version == 1 {
        return Vec::new();
    }
    let gaps = usize::from(version) / 7 + 1;
    let last = size_of(version) - 7;
    let step = if version == 32 { 26 } else { 2 * (last - 6).div_ceil(2 * gaps) };
    let mut centres = vec![6];
    centres.extend((0..gaps).rev().map(|gap| last - gap * step));
    centres
}

/// Format information: level and mask with a BCH (15,5) code, masked so that it is never empty
/// (7.9).
pub(super) fn format_bits(ecc: Ecc, mask: u8) -> u16 {
    let level: u16 = match ecc {
        Ecc::L => 0b01,
        Ecc::M => 0b00,
        Ecc::Q => 0b11,
        Ecc::H => 0b10,
    };
    let data = level << 3 | u16::from(mask);
    let remainder = (0..10).fold(data, |rest, _| (rest << 1) ^ ((rest >> 9) * 0x537));
    (data << 10 | remainder) ^ 0x5412
}

/// Version information: the version with a BCH (18,6) code (7.10).
pub(super) fn version_bits(version: u8) -> u32 {
    let data = u32::from(version);
    let remainder = (0..12).fold(data, |rest, _| (rest << 1) ^ ((rest >> 11) * 0x1F25));
    data << 12 | remainder
}
