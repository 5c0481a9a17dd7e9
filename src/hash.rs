//! A hash that never changes: the same text gives the same number on every machine and in every
//! version, so that a reprinted label carries the code of the first print.

/// Hashes fields of text one after another with FNV-1a, 64 bits.
#[derive(Clone, Copy, Debug)]
pub(crate) struct StableHash(u64);

impl StableHash {
    /// FNV's offset basis.
    pub(crate) fn new() -> StableHash {
        StableHash(0xcbf2_9ce4_8422_2325)
    }

    /// Takes in a number.
    pub(crate) fn number(self, number: u64) -> StableHash {
        self.bytes(&number.to_le_bytes())
    }

    /// Takes in some bytes.
    pub(crate) fn bytes(mut self, bytes: &[u8]) -> StableHash {
        for byte in bytes {
            self.0 ^= u64::from(*byte);
            self.0 = self.0.wrapping_mul(0x0000_0100_0000_01b3);
        }
        self
    }

    /// Takes in a field; its end counts, so that `ab`, `c` differs from `a`, `bc`.
    pub(crate) fn field(self, text: &str) -> StableHash {
        // No UTF-8 text has this byte.
        self.bytes(text.as_bytes()).bytes(&[0xff])
    }

    /// The hash, with its bits stirred once more, because FNV's low bits depend on few of the
    /// input's and remainders are taken of them (the finishing step of MurmurHash3).
    pub(crate) fn finish(self) -> u64 {
        let mut hash = self.0;
        hash ^= hash >> 33;
        hash = hash.wrapping_mul(0xff51_afd7_ed55_8ccd);
        hash ^= hash >> 33;
        hash = hash.wrapping_mul(0xc4ce_b9fe_1a85_ec53);
        hash ^ (hash >> 33)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test vectors of the Internet-Draft draft-eastlake-fnv, Appendix C ("A Few Test Vectors");
    /// the first is the offset basis itself.
    #[test]
    fn fnv_1a_gives_its_published_values() {
        let plain = |text: &str| StableHash::new().bytes(text.as_bytes()).0;
        assert_eq!(plain(""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(plain("a"), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(plain("foobar"), 0x8594_4171_f739_67e8);
    }

    #[test]
    fn where_a_field_ends_counts() {
        let hash = |fields: &[&str]| {
            fields.iter().fold(StableHash::new(), |hash, field| hash.field(field)).finish()
        };
        assert_ne!(hash(&["ab", "c"]), hash(&["a", "bc"]));
        assert_ne!(hash(&["ab"]), hash(&["ab", ""]));
    }
}
