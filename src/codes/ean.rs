//! EAN-13, EAN-8 and UPC-A (ISO/IEC 15420): the bars that shops scan a GTIN from.
//!
//! In: a GTIN of 8, 12 or 13 digits, its check digit included. Out: an [`Ean`] with its bars, its
//! guards, and where its digits are written below them. Not here: add-ons, UPC-E, lengths in
//! millimetres, and GTINs of 14 digits, which are for cartons and stand in a GS1-128.
//!
//! The widths of the digits and the rows of number sets are those of the "EAN-13" table of the
//! Lexmark bar code manual (easymanua.ls, "lexmark ms812dn", p. 66); the figures of the GS1 General
//! Specifications that the tests have are drawn by them.

use std::error::Error;
use std::fmt;

use super::bars::BarRow;
use super::check_digit::{CheckDigitError, verify_mod10};
use super::quiet::QuietZone;

/// How wide a digit is, in every number set.
const DIGIT_MODULES: usize = 7;

/// Widths of a digit's space, bar, space and bar in number set A, in modules. Set C has the same
/// widths beginning with a bar, set B the same from the other end.
const SET_A: [[u8; 4]; 10] = [
    [3, 2, 1, 1],
    [2, 2, 2, 1],
    [2, 1, 2, 2],
    [1, 4, 1, 1],
    [1, 1, 3, 2],
    [1, 2, 3, 1],
    [1, 1, 1, 4],
    [1, 3, 1, 2],
    [1, 2, 1, 3],
    [3, 1, 1, 2],
];

/// Which of the six digits of an EAN-13's left half are of set B, for each first digit: the first of
/// the six is the highest of six bits.
const SET_B_PLACES: [u8; 10] = [
    0b00_0000, 0b00_1011, 0b00_1101, 0b00_1110, 0b01_0011, 0b01_1001, 0b01_1100, 0b01_0101,
    0b01_0110, 0b01_1010,
];

/// The kinds, told apart by the number of digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EanKind {
    /// 13 digits.
    Ean13,
    /// 8 digits, for small articles.
    Ean8,
    /// 12 digits, the kind of North America.
    UpcA,
}

/// A finished symbol.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ean {
    /// Which of the three it is, by the number of its digits.
    kind: EanKind,
    /// The number, check digit included.
    number: String,
    /// Its bars with the guards, in modules, without the quiet zone.
    row: BarRow,
}

/// Digits written below the bars.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DigitGroup<'n> {
    /// The digits of one group, in the order they are read.
    pub digits: &'n str,
    /// The module that the first digit's seven begin with, counted from the first bar; negative to
    /// the left of it.
    pub module: i32,
    /// Whether they are set smaller, as those beside a UPC-A are.
    pub smaller: bool,
}

/// Why a number cannot be one of these codes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EanError {
    /// It has the wrong number of characters, or holds something other than digits, or its last digit
    /// does not follow from the others.
    Number(CheckDigitError),
    /// It has 14 digits, as cartons have.
    Carton {
        /// The number as given.
        number: String,
    },
}

impl fmt::Display for EanError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EanError::Number(error) => error.fmt(f),
            EanError::Carton { number } => {
                write!(f, "expected 8, 12 or 13 digits, found the 14 of a carton, `{number}`")
            }
        }
    }
}

impl Error for EanError {}

impl EanKind {
    /// What messages call it, such as `EAN-13`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            EanKind::Ean13 => "EAN-13",
            EanKind::Ean8 => "EAN-8",
            EanKind::UpcA => "UPC-A",
        }
    }

    /// The white that it needs: 11 modules before an EAN-13 and 7 behind it, 7 at both ends of an
    /// EAN-8, 9 of a UPC-A (gs1.se, "Guidelines for size").
    #[must_use]
    pub fn quiet_zone(self) -> QuietZone {
        let (before, behind) = match self {
            EanKind::Ean13 => (11, 7),
            EanKind::Ean8 => (7, 7),
            EanKind::UpcA => (9, 9),
        };
        QuietZone { before, behind, beside: 0 }
    }

    /// Modules of its bars.
    #[must_use]
    pub fn modules(self) -> usize {
        // Guards of 3, 5 and 3 modules.
        11 + DIGIT_MODULES * if self == EanKind::Ean8 { 8 } else { 12 }
    }

    /// The kind of a number of so many digits.
    #[must_use]
    pub fn of_digits(count: usize) -> Option<EanKind> {
        match count {
            8 => Some(EanKind::Ean8),
            12 => Some(EanKind::UpcA),
            13 => Some(EanKind::Ean13),
            _ => None,
        }
    }
}

impl Ean {
    /// Encodes a GTIN of 8, 12 or 13 digits.
    ///
    /// # Errors
    /// As [`EanError`] says.
    pub fn encode(number: &str) -> Result<Ean, EanError> {
        let count = number.chars().count();
        verify_mod10(number).map_err(|error| match EanKind::of_digits(count) {
            None if count != 14 && !matches!(error, CheckDigitError::NotDigit { .. }) => {
                wrong_length(count)
            }
            _ => EanError::Number(error),
        })?;
        let Some(kind) = EanKind::of_digits(count) else {
            return Err(match count {
                14 => EanError::Carton { number: number.to_owned() },
                _ => wrong_length(count),
            });
        };
        let digits: Vec<u8> = number.bytes().map(|byte| byte - b'0').collect();
        let row = BarRow::new(list_widths(kind, &digits));
        Ok(Ean { kind, number: number.to_owned(), row })
    }

    /// Which of the three it is; it follows from the number of its digits.
    #[must_use]
    pub fn kind(&self) -> EanKind {
        self.kind
    }

    /// The number, check digit included.
    #[must_use]
    pub fn number(&self) -> &str {
        &self.number
    }

    /// Its bars and spaces.
    #[must_use]
    pub fn row(&self) -> &BarRow {
        &self.row
    }

    /// The bars that reach further down than the others, each with its first module and its width:
    /// the guards, and of a UPC-A the bars of its first and last digit too.
    pub fn guards(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let end = self.row.modules();
        let outer = if self.kind == EanKind::UpcA { 3 + DIGIT_MODULES } else { 3 };
        let middle = end / 2 - 2..end / 2 + 3;
        self.row.bars().filter(move |&(start, _)| {
            start < outer || start >= end - outer || middle.contains(&start)
        })
    }

    /// The digits below the bars: those of each half below it, the first of an EAN-13 to the left, the
    /// first and last of a UPC-A smaller to its sides.
    #[must_use]
    pub fn digit_groups(&self) -> Vec<DigitGroup<'_>> {
        let group = |range: std::ops::Range<usize>, module| DigitGroup {
            digits: &self.number[range],
            module,
            smaller: false,
        };
        let small = |range, module| DigitGroup { smaller: true, ..group(range, module) };
        match self.kind {
            EanKind::Ean13 => {
                vec![group(0..1, -9), group(1..7, 3), group(7..13, 50)]
            }
            EanKind::Ean8 => vec![group(0..4, 3), group(4..8, 36)],
            EanKind::UpcA => {
                vec![small(0..1, -8), group(1..6, 10), group(6..11, 50), small(11..12, 96)]
            }
        }
    }
}

/// A number of the wrong length.
fn wrong_length(found: usize) -> EanError {
    EanError::Number(CheckDigitError::Length { expected: "8, 12 or 13", found })
}

/// The widths of all bars and spaces.
fn list_widths(kind: EanKind, digits: &[u8]) -> Vec<u8> {
    let (sets, encoded) = match (kind, digits) {
        (EanKind::Ean13, [first, rest @ ..]) => (SET_B_PLACES[usize::from(*first) % 10], rest),
        _ => (0, digits),
    };
    let half = encoded.len() / 2;
    let mut widths = vec![1, 1, 1];
    for (place, &digit) in encoded.iter().enumerate() {
        if place == half {
            widths.extend([1; 5]);
        }
        let mut digit = SET_A[usize::from(digit) % 10];
        if place < half && sets >> (5 - place.min(5)) & 1 == 1 {
            digit.reverse();
        }
        widths.extend(digit);
    }
    widths.extend([1, 1, 1]);
    widths
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The modules of a symbol as a row of figures.
    fn drawn(number: &str) -> String {
        let modules = Ean::encode(number).unwrap().row().to_modules();
        modules.iter().map(|dark| if *dark { '1' } else { '0' }).collect()
    }

    /// Figures of the GS1 General Specifications, drawn as `backend/tests/test_upcean.c` of zint has
    /// them: 5.1-1 (UPC-A and EAN-13), 5.2.2.1-2, 5.2.2.2-1, 5.2.6.6-1, 5.2.6.6-3, 5.10.6.3-1.
    #[test]
    fn figures_of_the_standard_are_drawn_module_by_module() {
        let figures = [
            (
                "012345678905",
                "10100011010011001001001101111010100011011000101010101000010001001001000111010011100101001110101",
            ),
            (
                "4512345678906",
                "10101100010110011001001101111010011101011100101010101000010001001001000111010011100101010000101",
            ),
            (
                "9501101531000",
                "10101100010100111011001100110010100111001100101010100111010000101100110111001011100101110010101",
            ),
            ("95012346", "1010001011011000100011010011001010101101100100001010111001010000101"),
            (
                "5012345678900",
                "10100011010110011001101101111010100011011100101010101000010001001001000111010011100101110010101",
            ),
            ("20123451", "1010010011000110100110010010011010101000010101110010011101100110101"),
            (
                "614141000302",
                "10101011110011001010001100110010100011001100101010111001011100101110010100001011100101101100101",
            ),
        ];
        for (number, modules) in figures {
            assert_eq!(drawn(number), modules, "{number}");
        }
    }

    #[test]
    fn an_ean13_that_begins_with_0_has_the_bars_of_the_upca_behind_it() {
        assert_eq!(drawn("0012345678905"), drawn("012345678905"));
    }

    #[test]
    fn guards_reach_down_and_digits_stand_between_them() {
        let guards = |number| Ean::encode(number).unwrap().guards().collect::<Vec<_>>();
        assert_eq!(guards("4512345678906"), [(0, 1), (2, 1), (46, 1), (48, 1), (92, 1), (94, 1)]);
        assert_eq!(guards("95012346"), [(0, 1), (2, 1), (32, 1), (34, 1), (64, 1), (66, 1)]);
        // Of a UPC-A the bars of the outer digits, two each, reach down too.
        assert_eq!(guards("012345678905").len(), 10);
        for number in ["4512345678906", "95012346", "012345678905"] {
            let ean = Ean::encode(number).unwrap();
            let written: String = ean.digit_groups().iter().map(|group| group.digits).collect();
            assert_eq!(written, number);
            assert_eq!(ean.row().modules(), ean.kind().modules());
            for group in ean.digit_groups() {
                let end = group.module + 7 * group.digits.len() as i32;
                let quiet = ean.kind().quiet_zone();
                assert!(group.module >= -(quiet.before as i32), "{group:?}");
                assert!(end <= (ean.row().modules() + quiet.behind) as i32, "{group:?}");
                let crosses = |(start, width): (usize, usize)| {
                    (start as i32) < end && group.module < (start + width) as i32
                };
                assert!(!ean.guards().any(crosses), "{group:?}");
            }
        }
    }

    #[test]
    fn what_is_no_such_number_is_refused_by_name() {
        let refused = |number: &str| Ean::encode(number).unwrap_err().to_string();
        assert_eq!(refused("4512345678905"), "expected check digit 6 in `4512345678905`, found 5");
        assert_eq!(refused("45123456789O6"), "expected a digit, found `O` as character 12");
        assert_eq!(refused("１２３４５６７０"), "expected a digit, found `１` as character 1");
        assert_eq!(refused("451234567890"), "expected check digit 8 in `451234567890`, found 0");
        for number in ["1", "12345", "1234567890", "123456789012345"] {
            let found = number.len();
            assert_eq!(refused(number), format!("expected 8, 12 or 13 digits, found {found}"));
        }
        assert_eq!(
            refused("09501101530003"),
            "expected 8, 12 or 13 digits, found the 14 of a carton, `09501101530003`"
        );
        assert_eq!(refused(""), "expected 8, 12 or 13 digits, found 0");
    }
}
