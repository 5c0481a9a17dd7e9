//! Content hashes, so that equal pictures are embedded once and equal documents get equal names.
//!
//! In: bytes. Out: 128 bits that differ for different bytes by all likelihood. Not here: any
//! defence against someone who wants two contents to collide.

/// Multiplies one lane; the golden ratio's fraction, odd.
const LANE_A: u64 = 0x9E37_79B9_7F4A_7C15;

/// Multiplies the other lane; the fraction of the square root of three, odd.
const LANE_B: u64 = 0xBB67_AE85_84CA_A73B;

/// A running hash.
#[derive(Clone, Copy, Debug)]
pub(super) struct Digest {
    /// One half.
    a: u64,
    /// The other half.
    b: u64,
}

impl Digest {
    /// The hash of nothing.
    pub(super) fn new() -> Digest {
        Digest { a: LANE_B, b: LANE_A }
    }

    /// Adds bytes; how they are split over calls counts.
    pub(super) fn add(&mut self, bytes: &[u8]) {
        let mut words = bytes.chunks_exact(8);
        for word in &mut words {
            self.add_word(word.try_into().map_or(0, u64::from_le_bytes));
        }
        let mut last = [0; 8];
        let rest = words.remainder();
        last[..rest.len()].copy_from_slice(rest);
        self.add_word(u64::from_le_bytes(last));
        self.add_word(bytes.len() as u64);
    }

    /// Adds one number.
    pub(super) fn add_word(&mut self, word: u64) {
        self.a = (self.a ^ word).wrapping_mul(LANE_A).rotate_left(29) ^ self.b;
        self.b = self.b.wrapping_add(word).wrapping_mul(LANE_B).rotate_left(37);
    }

    /// The hash of all that was added.
    pub(super) fn finish(mut self) -> u128 {
        self.add_word(0);
        self.add_word(0);
        (u128::from(self.a) << 64) | u128::from(self.b)
    }
}
