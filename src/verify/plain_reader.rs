//! What a reader makes of a Code 128 that does not know its fourth function character.
//!
//! In: the symbol characters that the decoder found. Out: their text, FNC4 passed over. Letters
//! outside ASCII are written as an FNC4 and another letter (ISO/IEC 15417), and readers that pass
//! it over, zbar's among them, read that other letter without a word. Not here: finding the bars.

/// What is in force while characters are read.
#[derive(Clone, Copy, PartialEq, Eq)]
enum CodeSet {
    /// Capitals, figures and control characters.
    A,
    /// Capitals, small letters and figures.
    B,
    /// Figures in pairs.
    C,
}

/// The text of symbol characters from the start to the stop, check character included, as it is
/// read without FNC4; `None` when they begin with no start.
pub(super) fn read_plainly(characters: &[u8]) -> Option<String> {
    let [start, data @ .., _check, _stop] = characters else { return None };
    let mut set = match start {
        103 => CodeSet::A,
        104 => CodeSet::B,
        105 => CodeSet::C,
        _ => return None,
    };
    let mut text = String::new();
    let mut shifted = None;
    for &value in data {
        let now = shifted.take().unwrap_or(set);
        match (now, value) {
            (CodeSet::C, 0..=99) => text.push_str(&format!("{value:02}")),
            (CodeSet::A, 64..=95) => text.push(char::from(value - 64)),
            (_, 0..=95) => text.push(char::from(value + 32)),
            (CodeSet::A, 98) => shifted = Some(CodeSet::B),
            (CodeSet::B, 98) => shifted = Some(CodeSet::A),
            (_, 99) => set = CodeSet::C,
            (CodeSet::A | CodeSet::C, 100) => set = CodeSet::B,
            (CodeSet::B | CodeSet::C, 101) => set = CodeSet::A,
            // FNC4 says nothing to this reader; FNC1 to 3 are for other ends.
            _ => {}
        }
    }
    Some(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::codes::Code128;

    /// What is read of a text, by the characters that our encoder writes.
    fn read(text: &str) -> Option<String> {
        read_plainly(Code128::encode_text(text).unwrap().codewords())
    }

    #[test]
    fn ascii_is_read_as_it_is() {
        for text in ["TH-1041", "a1\t2B", "123456", "AB\u{1}cd 0099", "~", "X98y\nz1234"] {
            assert_eq!(read(text).as_deref(), Some(text));
        }
    }

    /// The first is what zbar reads of it.
    #[test]
    fn other_letters_are_read_as_the_letters_that_stand_for_them() {
        assert_eq!(read("Ä-104é").as_deref(), Some("D-104i"));
        assert_eq!(read("ÀÉÎÕÜàéîõü").as_deref(), Some("@INU\\`inu|"));
    }

    #[test]
    fn no_start_is_no_symbol() {
        assert_eq!(read_plainly(&[33, 34, 35, 106]), None);
        assert_eq!(read_plainly(&[104, 106]), None);
    }
}
