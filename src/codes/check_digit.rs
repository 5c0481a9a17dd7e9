//! Check digits of GS1 keys and of UPU S10 tracking numbers.
//!
//! In: numbers as they stand in an order. Out: what kind of number it is, or an error that names
//! the fault and, where a check digit is wrong, the right one. Not here: making up numbers. Only
//! a postal operator issues S10 numbers, and GS1 keys need a prefix that GS1 gave out.

use std::error::Error;
use std::fmt;

/// The kinds of GS1 key whose check digit stands last (GS1 General Specifications §7.9).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gs1Key {
    /// Trade item number of 8 digits.
    Gtin8,
    /// Trade item number of 12 digits.
    Gtin12,
    /// Trade item number of 13 digits.
    Gtin13,
    /// Trade item number of 14 digits.
    Gtin14,
    /// Number of a parcel or pallet, 18 digits.
    Sscc,
}

/// What is wrong with a number that carries a GS1 check digit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CheckDigitError {
    /// It has the wrong number of digits.
    Length {
        /// The allowed numbers of digits, as words: `8, 12, 13 or 14`.
        expected: &'static str,
        /// How many characters it has.
        found: usize,
    },
    /// It holds something other than a digit.
    NotDigit {
        /// What stands there.
        character: char,
        /// How many characters stand before it.
        index: usize,
    },
    /// Its last digit does not follow from the others.
    Wrong {
        /// The number as given.
        number: String,
        /// The digit that would be right.
        expected: u8,
        /// The digit that stands there.
        found: u8,
    },
}

/// The parts of a verified S10 number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct S10 {
    /// The whole number, 13 characters.
    number: String,
}

/// What is wrong with an S10 number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum S10Error {
    /// It does not have 13 characters.
    Length {
        /// How many it has.
        found: usize,
    },
    /// A character is not of the kind that its place asks for.
    Character {
        /// `a capital letter` or `a digit`.
        expected: &'static str,
        /// What stands there.
        found: char,
        /// How many characters stand before it.
        index: usize,
    },
    /// The check digit does not follow from the eight digits before it.
    Wrong {
        /// The number as given.
        number: String,
        /// The digit that would be right.
        expected: u8,
        /// The digit that stands there.
        found: u8,
    },
}

/// Characters in an S10 number: two letters, eight digits, check digit, country.
const S10_LENGTH: usize = 13;

/// Where an S10 number's check digit stands.
const S10_CHECK_AT: usize = 10;

/// Weights of the eight digits of an S10 number (UPU S10-12, 2017).
const S10_WEIGHTS: [u32; 8] = [8, 6, 4, 2, 3, 5, 9, 7];

impl fmt::Display for CheckDigitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CheckDigitError::Length { expected, found } => {
                write!(f, "expected {expected} digits, found {found}")
            }
            CheckDigitError::NotDigit { character, index } => {
                write!(f, "expected a digit, found `{character}` as character {}", index + 1)
            }
            CheckDigitError::Wrong { number, expected, found } => {
                write!(f, "expected check digit {expected} in `{number}`, found {found}")
            }
        }
    }
}

impl Error for CheckDigitError {}

impl fmt::Display for S10Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            S10Error::Length { found } => {
                write!(f, "expected {S10_LENGTH} characters in an S10 number, found {found}")
            }
            S10Error::Character { expected, found, index } => write!(
                f,
                "expected {expected} as character {} of an S10 number, found `{found}`",
                index + 1
            ),
            S10Error::Wrong { number, expected, found } => {
                write!(f, "expected check digit {expected} in `{number}`, found {found}")
            }
        }
    }
}

impl Error for S10Error {}

/// The GS1 modulo-10 check digit that belongs behind `digits`: weights 3 and 1 in turn from the
/// right (GS1 General Specifications §7.9.1).
///
/// # Errors
/// [`CheckDigitError::Length`] for no digits at all, [`CheckDigitError::NotDigit`] for the first
/// character that is no digit.
pub fn gs1_check_digit(digits: &str) -> Result<u8, CheckDigitError> {
    let values = digit_values(digits)?;
    if values.is_empty() {
        return Err(CheckDigitError::Length { expected: "one or more", found: 0 });
    }
    Ok(mod10(&values))
}

/// Checks that the last digit of `number` is the GS1 check digit of those before it.
///
/// # Errors
/// As [`CheckDigitError`] says; a number needs at least two digits.
pub fn verify_mod10(number: &str) -> Result<(), CheckDigitError> {
    let values = digit_values(number)?;
    let (last, rest) = match values.split_last() {
        Some((last, rest)) if !rest.is_empty() => (*last, rest),
        _ => return Err(CheckDigitError::Length { expected: "two or more", found: values.len() }),
    };
    let expected = mod10(rest);
    if last == expected {
        return Ok(());
    }
    Err(CheckDigitError::Wrong { number: number.to_owned(), expected, found: last })
}

/// Checks a GTIN of 8, 12, 13 or 14 digits and tells which it is.
///
/// # Errors
/// As [`CheckDigitError`] says.
pub fn verify_gtin(number: &str) -> Result<Gs1Key, CheckDigitError> {
    let key = match number.chars().count() {
        8 => Gs1Key::Gtin8,
        12 => Gs1Key::Gtin12,
        13 => Gs1Key::Gtin13,
        14 => Gs1Key::Gtin14,
        found => return Err(CheckDigitError::Length { expected: "8, 12, 13 or 14", found }),
    };
    verify_mod10(number).map(|()| key)
}

/// Checks an SSCC, 18 digits without its application identifier.
///
/// # Errors
/// As [`CheckDigitError`] says.
pub fn verify_sscc(number: &str) -> Result<Gs1Key, CheckDigitError> {
    match number.chars().count() {
        18 => verify_mod10(number).map(|()| Gs1Key::Sscc),
        found => Err(CheckDigitError::Length { expected: "18", found }),
    }
}

/// The S10 check digit that belongs to eight digits: 11 less the weighted sum modulo 11, where 10
/// stands as 0 and 11 as 5 (UPU S10-12, 2017).
///
/// # Errors
/// [`CheckDigitError::Length`] unless there are eight characters,
/// [`CheckDigitError::NotDigit`] for the first that is no digit.
pub fn s10_check_digit(digits: &str) -> Result<u8, CheckDigitError> {
    let values = digit_values(digits)?;
    let values: [u8; 8] = values
        .try_into()
        .map_err(|v: Vec<u8>| CheckDigitError::Length { expected: "8", found: v.len() })?;
    Ok(s10_check(values))
}

impl S10 {
    /// Checks a whole S10 number: 13 characters without spaces, letters in capitals. Whether its
    /// letters name a service and a country is the carrier's to say.
    ///
    /// # Errors
    /// As [`S10Error`] says.
    pub fn verify(number: &str) -> Result<S10, S10Error> {
        let found = number.chars().count();
        if found != S10_LENGTH {
            return Err(S10Error::Length { found });
        }
        let mut digits = Vec::with_capacity(9);
        for (index, character) in number.chars().enumerate() {
            let is_letter_place = !(2..=S10_CHECK_AT).contains(&index);
            match character {
                'A'..='Z' if is_letter_place => {}
                '0'..='9' if !is_letter_place => digits.push(digit_value(character)),
                found => {
                    let expected = if is_letter_place { "a capital letter" } else { "a digit" };
                    return Err(S10Error::Character { expected, found, index });
                }
            }
        }
        verify_s10_digits(number, &digits)?;
        Ok(S10 { number: number.to_owned() })
    }

    /// The whole number.
    #[must_use]
    pub fn number(&self) -> &str {
        &self.number
    }

    /// The two letters of the service.
    #[must_use]
    pub fn service(&self) -> &str {
        &self.number[..2]
    }

    /// The eight digits of the serial number.
    #[must_use]
    pub fn serial(&self) -> &str {
        &self.number[2..S10_CHECK_AT]
    }

    /// The country that issued the number, ISO 3166 alpha-2.
    #[must_use]
    pub fn country(&self) -> &str {
        &self.number[S10_CHECK_AT + 1..]
    }
}

/// Compares the ninth of an S10 number's digits with the one that follows from the first eight.
fn verify_s10_digits(number: &str, digits: &[u8]) -> Result<(), S10Error> {
    if let [serial @ .., found] = digits
        && let Ok(serial) = <[u8; 8]>::try_from(serial)
        && *found != s10_check(serial)
    {
        let (number, found) = (number.to_owned(), *found);
        return Err(S10Error::Wrong { number, expected: s10_check(serial), found });
    }
    Ok(())
}

/// What each digit is worth, 0 to 9.
fn digit_values(digits: &str) -> Result<Vec<u8>, CheckDigitError> {
    let value = |(index, character): (usize, char)| match character {
        '0'..='9' => Ok(digit_value(character)),
        _ => Err(CheckDigitError::NotDigit { character, index }),
    };
    digits.chars().enumerate().map(value).collect()
}

/// The value of a character known to be an ASCII digit.
fn digit_value(character: char) -> u8 {
    character as u8 - b'0'
}

/// The GS1 modulo-10 digit behind these digit values.
fn mod10(values: &[u8]) -> u8 {
    let weighted = values.iter().rev().enumerate().map(|(place, &value)| {
        let weight = if place % 2 == 0 { 3 } else { 1 };
        u64::from(value) * weight
    });
    ((10 - weighted.sum::<u64>() % 10) % 10) as u8
}

/// The S10 check digit of eight digit values.
fn s10_check(values: [u8; 8]) -> u8 {
    let sum: u32 = values.iter().zip(S10_WEIGHTS).map(|(&v, weight)| u32::from(v) * weight).sum();
    match 11 - sum % 11 {
        10 => 0,
        11 => 5,
        digit => digit as u8,
    }
}
