//! Whether a value is what its application identifier asks for.
//!
//! In: an identifier's row and a value. Out: nothing, or the first fault. Not here: the table
//! (`ai_table`), the brackets (the parent module).

use super::super::check_digit::verify_mod10;
use super::ai_table::{Ai, Set, ValueCheck, ValuePart};
use super::{Gs1Error, name_check_digit};

/// GS1 character set 82 in the order of its values (General Specifications §7.11).
const CSET82: &str =
    "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz";

/// The characters of a check pair in the order of their values (General Specifications §7.9.5).
const CSET32: &[u8; 32] = b"23456789ABCDEFGHJKLMNPQRSTUVWXYZ";

/// Weights of a check pair from the right: the primes (General Specifications §7.9.5).
const PRIMES: [usize; 23] =
    [2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71, 73, 79, 83];

/// The modulus of a check pair.
const PAIR_MODULUS: usize = 1021;

/// Checks length, characters and contents of a value.
pub(super) fn check_value(ai: &str, row: &Ai, value: &str) -> Result<(), Gs1Error> {
    let found = value.chars().count();
    let lengths = allowed_lengths(row.parts);
    if !lengths.iter().any(|[least, most]| (*least..=*most).contains(&found)) {
        let expected = describe_lengths(&lengths, row.parts);
        return Err(Gs1Error::Length { ai: ai.to_owned(), expected, found });
    }
    check_characters(ai, row.parts, value)?;
    // Every character is ASCII from here on, so that bytes are characters.
    let mut start = 0;
    for part in row.parts {
        let end = value.len().min(start + part.max);
        if start < end {
            check_content(ai, part, &value[start..end], start)?;
        }
        start = end;
    }
    Ok(())
}

/// The allowed lengths of a value as ranges, in rising order and without touching ones.
fn allowed_lengths(parts: &[ValuePart]) -> Vec<[usize; 2]> {
    let mut lengths: Vec<[usize; 2]> = vec![[0, 0]];
    for part in parts {
        let [_, end] = lengths.last().copied().unwrap_or([0, 0]);
        let extended = [end + part.min, end + part.max];
        match lengths.last_mut() {
            Some(last) if !part.optional => *last = [last[0] + part.min, last[1] + part.max],
            Some(last) if extended[0] <= last[1] + 1 => last[1] = extended[1],
            _ => lengths.push(extended),
        }
    }
    lengths
}

/// The allowed lengths in words: `14 digits`, `1 to 20 characters`, `3, 6 or 9 digits`.
fn describe_lengths(lengths: &[[usize; 2]], parts: &[ValuePart]) -> String {
    let range = |[least, most]: &[usize; 2]| match least == most {
        true => least.to_string(),
        false => format!("{least} to {most}"),
    };
    let mut words = String::new();
    for (place, length) in lengths.iter().enumerate() {
        let joint = match place {
            0 => "",
            _ if place + 1 == lengths.len() => " or ",
            _ => ", ",
        };
        words.push_str(joint);
        words.push_str(&range(length));
    }
    let only_digits = parts.iter().all(|part| part.set == Set::Digits);
    let one = lengths == [[1, 1]];
    match (only_digits, one) {
        (true, true) => words + " digit",
        (true, false) => words + " digits",
        (false, _) => words + " characters",
    }
}

/// Checks each character against the set of the part it falls into.
fn check_characters(ai: &str, parts: &[ValuePart], value: &str) -> Result<(), Gs1Error> {
    let mut ends = 0;
    let mut places = parts.iter().map(|part| {
        ends += part.max;
        (ends, part.set)
    });
    let mut place = places.next();
    for (index, found) in value.chars().enumerate() {
        while place.is_some_and(|(end, _)| index >= end) {
            place = places.next();
        }
        if let Some((_, set)) = place
            && !set.holds(found)
        {
            let expected = set.describe().to_owned();
            return Err(Gs1Error::Character { ai: ai.to_owned(), expected, found, index });
        }
    }
    Ok(())
}

impl Set {
    /// Whether a character belongs to the set.
    fn holds(self, character: char) -> bool {
        match self {
            Set::Digits => character.is_ascii_digit(),
            Set::Cset82 => CSET82.contains(character),
            Set::Cset39 => matches!(character, '0'..='9' | 'A'..='Z' | '#' | '-' | '/'),
            Set::Cset64 => {
                character.is_ascii_alphanumeric() || matches!(character, '-' | '_' | '=')
            }
        }
    }

    /// One character of the set, in words.
    fn describe(self) -> &'static str {
        match self {
            Set::Digits => "a digit",
            Set::Cset82 => "a character of GS1 set 82",
            Set::Cset39 => "a digit, capital letter, `#`, `-` or `/`",
            Set::Cset64 => "a character of URL-safe base 64",
        }
    }
}

/// Checks what a part says beyond its characters. `start` is how many characters of the value
/// stand before the part.
fn check_content(ai: &str, part: &ValuePart, text: &str, start: usize) -> Result<(), Gs1Error> {
    match part.check {
        ValueCheck::Nothing => Ok(()),
        ValueCheck::Mod10 => verify_mod10(text).map_err(|error| name_check_digit(ai, error)),
        ValueCheck::Pair => check_pair(ai, text),
        ValueCheck::Day => check_date(ai, text, "YYMMDD", DayZero::NoDay),
        ValueCheck::DayOrMonth => check_date(ai, text, "YYMMDD", DayZero::WholeMonth),
        ValueCheck::LongDay => check_date(ai, text, "YYYYMMDD", DayZero::NoDay),
        ValueCheck::OneOf(allowed) => match text.chars().find(|c| !allowed.contains(*c)) {
            None => Ok(()),
            Some(found) => {
                let expected = describe_choice(allowed);
                Err(Gs1Error::Character { ai: ai.to_owned(), expected, found, index: start })
            }
        },
    }
}

/// A choice of characters in words: `` `0` or `1` ``.
fn describe_choice(allowed: &str) -> String {
    let quoted: Vec<String> = allowed.chars().map(|c| format!("`{c}`")).collect();
    quoted.join(" or ")
}

/// What day 00 of a date means.
#[derive(Clone, Copy, PartialEq, Eq)]
enum DayZero {
    /// Nothing: there is no such day.
    NoDay,
    /// All of the month: the day does not matter.
    WholeMonth,
}

/// Checks month and day of a date.
fn check_date(
    ai: &str,
    text: &str,
    expected: &'static str,
    day_zero: DayZero,
) -> Result<(), Gs1Error> {
    let number = |digits: &str| digits.parse::<u32>().unwrap_or(0);
    let (year, month_day) = text.split_at(text.len() - 4);
    let (month, day) = month_day.split_at(2);
    let (year, month, day) = (number(year), number(month), number(day));
    if (1..=days_in_month(year, month)).contains(&day)
        || (day_zero == DayZero::WholeMonth && day == 0 && (1..=12).contains(&month))
    {
        return Ok(());
    }
    Err(Gs1Error::Date { ai: ai.to_owned(), expected, found: text.to_owned() })
}

/// The days of a month, none for a month that does not exist. Two-digit years stand for 1950 to
/// 2049 (General Specifications §7.12), where every fourth is a leap year.
fn days_in_month(year: u32, month: u32) -> u32 {
    let is_leap = year.is_multiple_of(4)
        && (year < 100 || !year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 => 28 + u32::from(is_leap),
        _ => 0,
    }
}

/// Checks the two check characters at the end of a value.
fn check_pair(ai: &str, value: &str) -> Result<(), Gs1Error> {
    let ai = ai.to_owned();
    let Some(body_length) = value.len().checked_sub(2).filter(|&length| length > 0) else {
        let (expected, found) = ("3 to 25 characters".to_owned(), value.len());
        return Err(Gs1Error::Length { ai, expected, found });
    };
    let (body, pair) = value.split_at(body_length);
    let expected = compute_pair(body);
    if pair == expected {
        return Ok(());
    }
    Err(Gs1Error::CheckPair { ai, value: value.to_owned(), expected })
}

/// The check pair behind characters of set 82: values weighted with the primes from the right,
/// modulo 1021, written as two digits to base 32.
fn compute_pair(body: &str) -> String {
    let weighted = body.chars().rev().zip(PRIMES).map(|(character, prime)| {
        let value = CSET82.find(character).unwrap_or(0);
        value * prime
    });
    let sum = weighted.sum::<usize>() % PAIR_MODULUS;
    [CSET32[sum / 32], CSET32[sum % 32]].map(char::from).iter().collect()
}
