//! What the encodation schemes of Data Matrix hold (ISO/IEC 16022:2006, 5.2.5 to 5.2.8, as
//! `datamatrix/decoder/decoded_bit_stream_parser.rs` of rxing 0.9.3 reads them).
//!
//! In: one unit of data. Out: the values that write it in a scheme. Not here: which scheme is best.

use crate::codes::code128::Data;

/// The schemes that pack three values of 0 to 39 into two codewords.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TripleSet {
    /// Capitals and digits in a value each.
    C40,
    /// Small letters and digits in a value each.
    Text,
    /// Capitals, digits, space, `*`, `>` and the return, and nothing else.
    X12,
}

/// The first of two values: the second is of set 1, control characters.
pub(super) const SHIFT_1: u8 = 0;

/// The first of two values: the second is of set 2, marks.
const SHIFT_2: u8 = 1;

/// The first of two values: the second is of set 3, the letters of the other case.
const SHIFT_3: u8 = 2;

/// FNC1 in set 2.
const FNC1: u8 = 27;

/// In set 2: what follows is meant with its highest bit.
const UPPER_SHIFT: u8 = 30;

impl TripleSet {
    /// All of them.
    pub(super) const ALL: [TripleSet; 3] = [TripleSet::C40, TripleSet::Text, TripleSet::X12];

    /// The codeword that leads from ASCII into the scheme.
    pub(super) fn latch(self) -> u8 {
        match self {
            TripleSet::C40 => 230,
            TripleSet::Text => 239,
            TripleSet::X12 => 238,
        }
    }

    /// The values that write a unit; none where the scheme cannot. FNC1 is a separator here: in front
    /// of all data it has to be a codeword of its own.
    pub(super) fn values(self, datum: Data) -> Option<Vec<u8>> {
        match (self, datum) {
            (TripleSet::X12, Data::Char(byte)) => x12_value(byte).map(|value| vec![value]),
            (TripleSet::X12, Data::Fnc1) => None,
            (_, Data::Fnc1) => Some(vec![SHIFT_2, FNC1]),
            (_, Data::Char(byte @ 128..)) => {
                let low = self.shifted_values(byte - 128);
                Some([&[SHIFT_2, UPPER_SHIFT], &low[..]].concat())
            }
            (_, Data::Char(byte)) => Some(self.shifted_values(byte)),
        }
    }

    /// The values of an ASCII character in C40 or Text.
    fn shifted_values(self, byte: u8) -> Vec<u8> {
        // Text is C40 with the cases of letters exchanged.
        let byte = match (self, byte) {
            (TripleSet::Text, b'a'..=b'z' | b'A'..=b'Z') => byte ^ 0x20,
            _ => byte,
        };
        match byte {
            b' ' => vec![3],
            b'0'..=b'9' => vec![byte - b'0' + 4],
            b'A'..=b'Z' => vec![byte - b'A' + 14],
            0..=31 => vec![SHIFT_1, byte],
            b'!'..=b'/' => vec![SHIFT_2, byte - b'!'],
            b':'..=b'@' => vec![SHIFT_2, byte - b':' + 15],
            b'['..=b'_' => vec![SHIFT_2, byte - b'[' + 22],
            _ => vec![SHIFT_3, byte.saturating_sub(96)],
        }
    }
}

/// The value of a character in X12.
fn x12_value(byte: u8) -> Option<u8> {
    match byte {
        b'\r' => Some(0),
        b'*' => Some(1),
        b'>' => Some(2),
        b' ' => Some(3),
        b'0'..=b'9' => Some(byte - b'0' + 4),
        b'A'..=b'Z' => Some(byte - b'A' + 14),
        _ => None,
    }
}

/// The six bits of a character in EDIFACT.
pub(super) fn edifact_value(datum: Data) -> Option<u8> {
    match datum {
        Data::Char(byte @ 32..=94) => Some(byte & 0x3F),
        _ => None,
    }
}

/// The codewords that a unit takes in ASCII when it stands alone.
pub(super) fn ascii_codewords(datum: Data) -> usize {
    match datum {
        Data::Char(128..) => 2,
        _ => 1,
    }
}
