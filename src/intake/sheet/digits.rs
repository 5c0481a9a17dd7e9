//! A stored number as decimal digits.
//!
//! In: a number as a workbook stores it, a double written out. Out: its fifteen digits, which is as
//! many as spreadsheets keep, to be rounded and written without ever being computed with. Not here:
//! formats.

/// The digits that a double holds without fail, and that spreadsheets keep.
const KEPT: usize = 15;

/// A number as its digits: `0.d₁d₂d₃… × 10^exponent`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct StoredDigits {
    /// Whether it is below zero.
    negative: bool,
    /// The digits, each 0 to 9, without zeros at either end; none for zero.
    digits: Vec<u8>,
    /// How many of them stand before the decimal mark; below zero for zeros after it.
    exponent: i32,
}

impl StoredDigits {
    /// Reads a stored number; none when the text is not a number.
    pub(super) fn read(stored: &str) -> Option<StoredDigits> {
        let number: f64 = stored.trim().parse().ok().filter(|number: &f64| number.is_finite())?;
        let written = format!("{:.*e}", KEPT - 1, number.abs());
        let (mantissa, power) = written.split_once('e')?;
        let mut digits: Vec<u8> =
            mantissa.bytes().filter(u8::is_ascii_digit).map(|byte| byte - b'0').collect();
        while digits.last() == Some(&0) {
            digits.pop();
        }
        let exponent = if digits.is_empty() { 0 } else { power.parse::<i32>().ok()? + 1 };
        Some(StoredDigits { negative: number < 0.0, digits, exponent })
    }

    /// Whether nothing is left of it but zeros.
    pub(super) fn is_zero(&self) -> bool {
        self.digits.is_empty()
    }

    /// Whether it is below zero.
    pub(super) fn is_negative(&self) -> bool {
        self.negative
    }

    /// Whether it has more digits than were stored.
    pub(super) fn is_cut(&self) -> bool {
        self.exponent > KEPT as i32
    }

    /// The number times ten to a power.
    pub(super) fn shift(&self, power: i32) -> StoredDigits {
        let exponent = if self.is_zero() { 0 } else { self.exponent + power };
        StoredDigits { exponent, ..self.clone() }
    }

    /// The digit at a place: 0 is the first before the decimal mark, -1 the first after it.
    fn at(&self, place: i32) -> u8 {
        let index = self.exponent - 1 - place;
        usize::try_from(index).ok().and_then(|index| self.digits.get(index)).copied().unwrap_or(0)
    }

    /// Its digits before the decimal mark and so many after it, rounded half away from zero.
    pub(super) fn round(&self, decimals: usize) -> (String, String) {
        let last = -i32::try_from(decimals).unwrap_or(0);
        let mut digits: Vec<u8> =
            (last..self.exponent.max(1)).map(|place| self.at(place)).collect();
        let mut carry = self.at(last - 1) >= 5;
        for digit in &mut digits {
            let sum = *digit + u8::from(carry);
            carry = sum == 10;
            *digit = sum % 10;
        }
        if carry {
            digits.push(1);
        }
        let text: String = digits.iter().rev().map(|digit| char::from(b'0' + digit)).collect();
        let (whole, part) = text.split_at(text.len() - decimals);
        (whole.to_owned(), part.to_owned())
    }

    /// The whole number; with an exponent, as spreadsheets write them, where digits are missing.
    pub(super) fn write(&self, mark: char) -> String {
        let sign = if self.negative && !self.is_zero() { "-" } else { "" };
        let digits: String = self.digits.iter().map(|digit| char::from(b'0' + digit)).collect();
        if self.is_cut() || self.exponent < -KEPT_SMALL {
            let (first, rest) = digits.split_at(1);
            let rest = if rest.is_empty() { "0" } else { rest };
            return format!("{sign}{first}{mark}{rest}E{:+03}", self.exponent - 1);
        }
        let decimals = usize::try_from(i32::try_from(digits.len()).unwrap_or(0) - self.exponent);
        let (whole, part) = self.round(decimals.unwrap_or(0));
        let part = part.trim_end_matches('0');
        match part {
            "" => format!("{sign}{whole}"),
            _ => format!("{sign}{whole}{mark}{part}"),
        }
    }

    /// Its whole days and the seconds of the day, rounded; none when they are no date that any
    /// calendar program knows.
    pub(super) fn to_days(&self) -> Option<(u32, u32)> {
        /// The 31st of December 9999, the last day that spreadsheets know.
        const LAST: u32 = 2_958_465;
        if self.negative || self.exponent > 7 {
            return None;
        }
        let (days, part) = self.round(12);
        let days: u32 = days.parse().ok()?;
        let part: u64 = part.parse().ok()?;
        let seconds = (part * 86_400 + 500_000_000_000) / 1_000_000_000_000;
        let (days, seconds) = if seconds == 86_400 { (days + 1, 0) } else { (days, seconds) };
        (days <= LAST).then_some((days, u32::try_from(seconds).ok()?))
    }
}

/// The most zeros after the decimal mark that are written out.
const KEPT_SMALL: i32 = 15;
