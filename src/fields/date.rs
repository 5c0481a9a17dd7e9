//! Dates: those of data files, checked and kept as text, and [`Day`], which can be counted on from.
//! Nothing here knows today.

use std::fmt;

use crate::record::{Refusal, Scalar};
use crate::tree::Value;
use crate::words::is_digits;

use super::text::expect_text;

/// A date or date and time after ISO 8601, such as `2026-11-25` or `2026-11-25T18:30:00+01:00`;
/// empty text, as exports write it, is no date.
pub(crate) static DATE: Scalar = Scalar {
    expected: "a date such as `2026-11-25`, or with a time, `2026-11-25T18:30:00Z`",
    accepts: accept_date,
    schema: concat!(
        r#"{"type": "string", "pattern": "^([0-9]{4}-[0-9]{2}-[0-9]{2}"#,
        r"([T ][0-9]{2}:[0-9]{2}(:[0-9]{2}(\\.[0-9]{1,9})?)?(Z|[+-][0-9]{2}:?[0-9]{2})?)?)?$",
        r#""}"#,
    ),
};

/// Accepts a date that the calendar has, with or without a time of day.
fn accept_date(value: &Value) -> Result<(), Refusal> {
    let text = expect_text(value).map_err(|_| Refusal::hint("write it as `\"2026-11-25\"`"))?;
    if text.is_empty() {
        return Ok(());
    }
    let (date, time) = match text.split_once(['T', ' ']) {
        Some((date, time)) => (date, Some(time)),
        None => (text, None),
    };
    let Some((year, month, day)) = split_date(date) else {
        return Err(Refusal::hint(suggest_date(text)));
    };
    if !(1..=12).contains(&month) || !(1..=days_in(year, month)).contains(&day) {
        let message = format!("there is no day `{date}`");
        return Err(Refusal::new(message, "write year, month and day: `2026-11-25`"));
    }
    if time.is_some_and(|time| !is_time(time)) {
        return Err(Refusal::hint(format!("write the time as in `{date}T18:30:00Z`")));
    }
    Ok(())
}

/// Year, month and day of `YYYY-MM-DD`.
fn split_date(text: &str) -> Option<(u32, u32, u32)> {
    let bytes = text.as_bytes();
    if bytes.len() != 10 || bytes[4] != b'-' || bytes[7] != b'-' {
        return None;
    }
    Some((number(text.get(..4)?)?, number(text.get(5..7)?)?, number(text.get(8..)?)?))
}

/// A day of the Gregorian calendar, of the years 0 to 9999.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Day {
    /// The year, 0 to 9999.
    pub(crate) year: u32,
    /// The month, 1 to 12.
    pub(crate) month: u32,
    /// The day of the month, from 1.
    pub(crate) day: u32,
}

impl Day {
    /// Reads `2026-11-25`; `None` for any other form, and for a day that the calendar does not have.
    #[must_use]
    pub fn parse(text: &str) -> Option<Day> {
        let (year, month, day) = split_date(text)?;
        let exists = (1..=12).contains(&month) && (1..=days_in(year, month)).contains(&day);
        exists.then_some(Day { year, month, day })
    }

    /// The day so many days later, or earlier where `days` is below zero; `None` outside the years
    /// 0 to 9999.
    #[must_use]
    pub fn plus_days(self, days: i32) -> Option<Day> {
        // Any year's days are counted by themselves, so that no formula has to be believed.
        let mut left = i64::from(days) + i64::from(self.day_of_year()) - 1;
        let mut year = i64::from(self.year);
        let length = |year: i64| {
            let february = days_in(u32::try_from(year).unwrap_or_default(), 2);
            i64::from(february) + 337
        };
        while left < 0 {
            year -= 1;
            left += length(year);
            if year < 0 {
                return None;
            }
        }
        while left >= length(year) {
            left -= length(year);
            year += 1;
        }
        let year = u32::try_from(year).ok().filter(|year| *year <= 9999)?;
        let mut month = 1;
        let mut left = u32::try_from(left).ok()?;
        while left >= days_in(year, month) {
            left -= days_in(year, month);
            month += 1;
        }
        Some(Day { year, month, day: left + 1 })
    }

    /// How many days of its year there are up to it, itself included.
    fn day_of_year(self) -> u32 {
        (1..self.month).map(|month| days_in(self.year, month)).sum::<u32>() + self.day
    }
}

/// After ISO 8601: `2026-11-25`.
impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

/// How many days a month has in the Gregorian calendar.
pub(crate) fn days_in(year: u32, month: u32) -> u32 {
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        2 if leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Whether text is a time of day, with or without a zone.
fn is_time(text: &str) -> bool {
    let (clock, zone) = match text.find(['Z', '+', '-']) {
        Some(at) => text.split_at(at),
        None => (text, ""),
    };
    let (clock, fraction) = match clock.split_once('.') {
        Some((clock, fraction)) => (clock, Some(fraction)),
        None => (clock, None),
    };
    let parts: Vec<_> = clock.split(':').collect();
    let within = |text: &str, most: u32| text.len() == 2 && number(text).is_some_and(|n| n <= most);
    let clock_is_good = match parts[..] {
        [hour, minute] => within(hour, 23) && within(minute, 59) && fraction.is_none(),
        // A leap second is a second like any other.
        [hour, minute, second] => within(hour, 23) && within(minute, 59) && within(second, 60),
        _ => false,
    };
    let zone_is_good = match zone.strip_prefix(['+', '-']) {
        None => zone.is_empty() || zone == "Z",
        Some(shift) => {
            let shift = shift.replacen(':', "", 1);
            shift.len() == 4
                && shift.is_ascii()
                && within(&shift[..2], 23)
                && within(&shift[2..], 59)
        }
    };
    let fraction_is_good =
        fraction.is_none_or(|digits| (1..=9).contains(&digits.len()) && is_digits(digits));
    clock_is_good && zone_is_good && fraction_is_good
}

/// The hint for a date in another order, with the date itself where there is no doubt.
fn suggest_date(text: &str) -> String {
    let date = text.split(['T', ' ']).next().unwrap_or_default();
    let parts: Vec<_> = date.split(['.', '/', '-']).collect();
    let plain = "write year, month and day: `2026-11-25`".to_owned();
    let [first, second, third] = parts[..] else { return plain };
    let (Some(a), Some(b), Some(c)) = (number(first), number(second), number(third)) else {
        return plain;
    };
    let (year, month, day) = match (first.len(), third.len()) {
        (4, _) => (a, b, c),
        // With dots the day comes first everywhere; with strokes only a number over 12 tells.
        (_, 4) if date.contains('.') || a > 12 => (c, b, a),
        (_, 4) if b > 12 => (c, a, b),
        _ => return plain,
    };
    if (1..=12).contains(&month) && (1..=days_in(year, month)).contains(&day) {
        return format!("write `{year:04}-{month:02}-{day:02}`");
    }
    plain
}

/// The number that digits mean.
fn number(text: &str) -> Option<u32> {
    if is_digits(text) { text.parse().ok() } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str) -> Result<(), String> {
        accept_date(&Value::Text(text.into())).map_err(|refusal| refusal.hint.unwrap_or_default())
    }

    #[test]
    fn dates_of_the_calendar_pass() {
        for text in [
            "2026-11-25",
            "2024-02-29",
            "2000-02-29",
            "2026-11-25T18:30",
            "2026-11-25 18:30:59",
            "2026-11-25T18:30:59.123Z",
            "2026-11-25T18:30:60+05:30",
            "2026-11-25T18:30-0800",
        ] {
            assert_eq!(check(text), Ok(()), "{text}");
        }
    }

    #[test]
    fn other_dates_do_not() {
        for text in [
            "2023-02-29",
            "1900-02-29",
            "2026-13-01",
            "2026-00-10",
            "2026-04-31",
            "2026-1-5",
            "2026-11-25T",
            "2026-11-25T24:00",
            "2026-11-25T1:00",
            "2026-11-25T18:30+5",
            "2026-11-25T18:30+ü55",
            "2026-11-25T18:30:00.",
            "yesterday",
        ] {
            assert!(check(text).is_err(), "{text}");
        }
    }

    #[test]
    fn dates_in_other_orders_are_turned_when_there_is_no_doubt() {
        let hint = |text| check(text).unwrap_err();
        assert_eq!(hint("5.11.2026"), "write `2026-11-05`");
        assert_eq!(hint("25/11/2026"), "write `2026-11-25`");
        assert_eq!(hint("11/25/2026 18:00"), "write `2026-11-25`");
        assert_eq!(hint("2026/1/5"), "write `2026-01-05`");
        assert_eq!(hint("5/11/2026"), "write year, month and day: `2026-11-25`");
    }
}
