//! SHA-256 (FIPS 180-4), the digest of a kit's files.
//!
//! In: bytes, a piece at a time. Out: their digest. A crate for it brings six others. Not here: what is
//! digested, and what a digest proves (`proof`).

/// The fractional parts of the cube roots of the first 64 primes (FIPS 180-4, section 4.2.2).
#[rustfmt::skip]
const ROUNDS: [u32; 64] = [
    0x428a_2f98, 0x7137_4491, 0xb5c0_fbcf, 0xe9b5_dba5, 0x3956_c25b, 0x59f1_11f1,
    0x923f_82a4, 0xab1c_5ed5, 0xd807_aa98, 0x1283_5b01, 0x2431_85be, 0x550c_7dc3,
    0x72be_5d74, 0x80de_b1fe, 0x9bdc_06a7, 0xc19b_f174, 0xe49b_69c1, 0xefbe_4786,
    0x0fc1_9dc6, 0x240c_a1cc, 0x2de9_2c6f, 0x4a74_84aa, 0x5cb0_a9dc, 0x76f9_88da,
    0x983e_5152, 0xa831_c66d, 0xb003_27c8, 0xbf59_7fc7, 0xc6e0_0bf3, 0xd5a7_9147,
    0x06ca_6351, 0x1429_2967, 0x27b7_0a85, 0x2e1b_2138, 0x4d2c_6dfc, 0x5338_0d13,
    0x650a_7354, 0x766a_0abb, 0x81c2_c92e, 0x9272_2c85, 0xa2bf_e8a1, 0xa81a_664b,
    0xc24b_8b70, 0xc76c_51a3, 0xd192_e819, 0xd699_0624, 0xf40e_3585, 0x106a_a070,
    0x19a4_c116, 0x1e37_6c08, 0x2748_774c, 0x34b0_bcb5, 0x391c_0cb3, 0x4ed8_aa4a,
    0x5b9c_ca4f, 0x682e_6ff3, 0x748f_82ee, 0x78a5_636f, 0x84c8_7814, 0x8cc7_0208,
    0x90be_fffa, 0xa450_6ceb, 0xbef9_a3f7, 0xc671_78f2,
];

/// The fractional parts of the square roots of the first eight primes (section 5.3.3).
#[rustfmt::skip]
const START: [u32; 8] = [
    0x6a09_e667, 0xbb67_ae85, 0x3c6e_f372, 0xa54f_f53a, 0x510e_527f, 0x9b05_688c,
    0x1f83_d9ab, 0x5be0_cd19,
];

/// Bytes of a block.
const BLOCK: usize = 64;

/// A digest that is being made.
#[derive(Clone, Debug)]
pub(super) struct Sha256 {
    /// What all whole blocks so far have made.
    state: [u32; 8],
    /// The bytes of a block that is not whole yet.
    rest: Vec<u8>,
    /// How many bytes were added.
    length: u64,
}

impl Sha256 {
    /// The digest of nothing.
    pub(super) fn new() -> Sha256 {
        Sha256 { state: START, rest: Vec::with_capacity(BLOCK), length: 0 }
    }

    /// Adds bytes.
    pub(super) fn add(&mut self, mut bytes: &[u8]) {
        self.length += bytes.len() as u64;
        if !self.rest.is_empty() {
            let (now, later) = bytes.split_at(bytes.len().min(BLOCK - self.rest.len()));
            self.rest.extend_from_slice(now);
            bytes = later;
            if let Ok(block) = self.rest.as_slice().try_into() {
                add_block(&mut self.state, block);
                self.rest.clear();
            }
        }
        let (blocks, rest) = bytes.as_chunks::<BLOCK>();
        blocks.iter().for_each(|block| add_block(&mut self.state, block));
        self.rest.extend_from_slice(rest);
    }

    /// The digest of all that was added, in hexadecimal digits.
    pub(super) fn finish(mut self) -> String {
        let bits = self.length * 8;
        // A one, noughts, and the length at the end of a block (section 5.1.1).
        let noughts = (2 * BLOCK - 9 - self.rest.len()) % BLOCK;
        self.add(&[0x80]);
        self.add(&[0; BLOCK][..noughts]);
        self.add(&bits.to_be_bytes());
        self.state.iter().map(|word| format!("{word:08x}")).collect()
    }
}

/// Makes the state after one more block (section 6.2.2).
fn add_block(state: &mut [u32; 8], block: &[u8; BLOCK]) {
    let schedule = expand_block(block);
    let [mut a, mut b, mut c, mut d, mut e, mut f, mut g, mut h] = *state;
    for (constant, word) in ROUNDS.iter().zip(schedule) {
        let sum1 = e.rotate_right(6) ^ e.rotate_right(11) ^ e.rotate_right(25);
        let choice = (e & f) ^ (!e & g);
        let first =
            [sum1, choice, *constant, word].into_iter().fold(h, |sum, term| sum.wrapping_add(term));
        let sum0 = a.rotate_right(2) ^ a.rotate_right(13) ^ a.rotate_right(22);
        let majority = (a & b) ^ (a & c) ^ (b & c);
        let second = sum0.wrapping_add(majority);
        (h, g, f, e) = (g, f, e, d.wrapping_add(first));
        (d, c, b, a) = (c, b, a, first.wrapping_add(second));
    }
    for (word, now) in state.iter_mut().zip([a, b, c, d, e, f, g, h]) {
        *word = word.wrapping_add(now);
    }
}

/// The words that the rounds take of a block.
fn expand_block(block: &[u8; BLOCK]) -> [u32; 64] {
    let mut words = [0; 64];
    for (word, bytes) in words.iter_mut().zip(block.as_chunks::<4>().0) {
        *word = u32::from_be_bytes(*bytes);
    }
    for at in 16..64 {
        let (near, far) = (words[at - 2], words[at - 15]);
        let near = near.rotate_right(17) ^ near.rotate_right(19) ^ (near >> 10);
        let far = far.rotate_right(7) ^ far.rotate_right(18) ^ (far >> 3);
        words[at] = near.wrapping_add(words[at - 7]).wrapping_add(far).wrapping_add(words[at - 16]);
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The digest of bytes that are added in pieces of one length.
    fn digest(bytes: &[u8], piece: usize) -> String {
        let mut hash = Sha256::new();
        bytes.chunks(piece).for_each(|piece| hash.add(piece));
        hash.finish()
    }

    /// The examples of FIPS 180-4 ("SHA-256" example file of NIST), and a million times `a`, which FIPS
    /// 180-2 has as its third.
    #[test]
    fn digests_are_those_of_the_standard() {
        let two_blocks = b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
        let million = vec![b'a'; 1_000_000];
        for (bytes, expected) in [
            (&b"abc"[..], "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
            (two_blocks, "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"),
            (&million, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"),
        ] {
            for piece in [1, 63, 64, 65, 1000] {
                assert_eq!(digest(bytes, piece), expected, "{piece}");
            }
        }
    }

    #[test]
    fn every_length_of_a_last_block_is_padded() {
        // Python's hashlib of 0 to 129 times `x`, one after the other, digested again.
        let all: String = (0..130).map(|length| digest(&vec![b'x'; length], 7)).collect();
        assert_eq!(
            digest(all.as_bytes(), 64),
            "199af942eba7fa5d1e16d475169eb24018b14e69339c93d26a9ea6d873b4ace6"
        );
    }
}
