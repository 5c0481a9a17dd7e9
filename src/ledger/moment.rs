//! When something happened: a date and time of day with its offset from UTC, as text.
//!
//! In: seconds of a clock that somebody else reads, or what a person typed. Out: a [`Moment`], which
//! sorts by time. Not here: reading a clock, and time zones.

use std::cmp::Ordering;
use std::fmt;

use crate::fields::days_in;

/// Seconds of a day.
const DAY: i64 = 86_400;

/// A moment to the second: `2026-11-27T19:42:05+01:00`, or `…Z` for UTC.
///
/// Two moments are equal when they are the same instant, whatever their offsets.
#[derive(Clone, Copy)]
pub struct Moment {
    /// Seconds since 1970-01-01T00:00:00Z, leap seconds not counted.
    seconds: i64,
    /// Minutes that its clock is ahead of UTC.
    offset: i16,
}

impl Moment {
    /// The moment that a clock shows, in seconds since 1970-01-01T00:00:00Z, as people see it whose
    /// clocks are `offset_minutes` ahead of UTC. Moments outside the years 1970 to 9999 are brought
    /// to their nearest end, and so are offsets of a day or more.
    #[must_use]
    pub fn of_clock(seconds: i64, offset_minutes: i16) -> Moment {
        // 9999-12-30, so that no offset leads into the year 10000; and a day in for the other end.
        Moment {
            seconds: seconds.clamp(DAY, 253_402_128_000),
            offset: offset_minutes.clamp(-1439, 1439),
        }
    }

    /// Reads `2026-11-27T19:42:05+01:00`; seconds may be left out, `Z` and nothing stand for UTC,
    /// and a space may stand for the `T`. A date alone is its first second.
    #[must_use]
    pub fn parse(text: &str) -> Option<Moment> {
        let text = text.trim();
        let (date, rest) = match text.split_once(['T', ' ']) {
            Some((date, rest)) => (date, rest),
            None => (text, "00:00:00Z"),
        };
        let [year, month, day] = numbers(date, '-', &[4, 2, 2])?[..] else { return None };
        let is_day = (1970..=9999).contains(&year)
            && (1..=12).contains(&month)
            && (1..=days_in(year, month)).contains(&day);
        let (clock, offset) = split_offset(rest)?;
        let parts = numbers(clock, ':', &[2, 2, 2]).or_else(|| numbers(clock, ':', &[2, 2]))?;
        let second = parts.get(2).copied().unwrap_or_default();
        if !is_day || parts[0] > 23 || parts[1] > 59 || second > 59 {
            return None;
        }
        let of_day = i64::from(parts[0] * 3600 + parts[1] * 60 + second);
        let local = days_from_civil(year, month, day) * DAY + of_day;
        Some(Moment::of_clock(local - i64::from(offset) * 60, offset))
    }

    /// Its date where its clock stands: `2026-11-27`.
    #[must_use]
    pub fn date(&self) -> String {
        let (year, month, day) = civil_from_days(self.local().div_euclid(DAY));
        format!("{year:04}-{month:02}-{day:02}")
    }

    /// Its time of day where its clock stands: `19:42`.
    #[must_use]
    pub fn clock(&self) -> String {
        let of_day = self.local().rem_euclid(DAY);
        format!("{:02}:{:02}", of_day / 3600, of_day / 60 % 60)
    }

    /// Date and time of day where its clock stands: `2026-11-27 19:42`.
    #[must_use]
    pub fn to_minute(&self) -> String {
        format!("{} {}", self.date(), self.clock())
    }

    /// Seconds since 1970-01-01T00:00:00Z.
    #[must_use]
    pub fn seconds(&self) -> i64 {
        self.seconds
    }

    /// Seconds since 1970-01-01T00:00:00 on its own clock.
    fn local(&self) -> i64 {
        self.seconds + i64::from(self.offset) * 60
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let second = self.local().rem_euclid(60);
        write!(f, "{}T{}:{second:02}", self.date(), self.clock())?;
        let (sign, ahead) = if self.offset < 0 { ('-', -self.offset) } else { ('+', self.offset) };
        match ahead {
            0 => f.write_str("Z"),
            _ => write!(f, "{sign}{:02}:{:02}", ahead / 60, ahead % 60),
        }
    }
}

impl fmt::Debug for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl PartialEq for Moment {
    fn eq(&self, other: &Moment) -> bool {
        self.seconds == other.seconds
    }
}

impl Eq for Moment {}

impl PartialOrd for Moment {
    fn partial_cmp(&self, other: &Moment) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Moment {
    fn cmp(&self, other: &Moment) -> Ordering {
        self.seconds.cmp(&other.seconds)
    }
}

/// The time of day and the minutes ahead of UTC of `19:42:05+01:00`.
fn split_offset(text: &str) -> Option<(&str, i16)> {
    if let Some(clock) = text.strip_suffix('Z') {
        return Some((clock, 0));
    }
    let Some(at) = text.rfind(['+', '-']) else { return Some((text, 0)) };
    let (clock, offset) = text.split_at(at);
    let (sign, digits) = offset.split_at(1);
    let [hours, minutes] = numbers(digits, ':', &[2, 2])?[..] else { return None };
    let ahead = i16::try_from(hours * 60 + minutes).ok().filter(|_| hours < 24 && minutes < 60)?;
    Some((clock, if sign == "-" { -ahead } else { ahead }))
}

/// The numbers of a text, each written in as many digits as are expected of it.
fn numbers(text: &str, between: char, digits: &[usize]) -> Option<Vec<u32>> {
    let parts: Vec<&str> = text.split(between).collect();
    let is_good = parts.len() == digits.len()
        && parts.iter().zip(digits).all(|(part, &count)| {
            part.len() == count && part.bytes().all(|byte| byte.is_ascii_digit())
        });
    is_good.then(|| parts.iter().filter_map(|part| part.parse().ok()).collect())
}

/// Days since 1970-01-01 of a date of the Gregorian calendar, from 1970 on.
fn days_from_civil(year: u32, month: u32, day: u32) -> i64 {
    let whole_years: i64 = i64::from(year - 1970) * 365 + leap_days(year) - leap_days(1970);
    let whole_months: u32 = (1..month).map(|month| days_in(year, month)).sum();
    whole_years + i64::from(whole_months + day - 1)
}

/// How many leap days the calendar had before a year.
fn leap_days(year: u32) -> i64 {
    let before = i64::from(year - 1);
    before / 4 - before / 100 + before / 400
}

/// The date that lies so many days after 1970-01-01.
fn civil_from_days(days: i64) -> (u32, u32, u32) {
    // A guess that is never too late, and early by 22 years at most.
    let mut year = u32::try_from(1970 + days / 366).unwrap_or(1970);
    while days_from_civil(year + 1, 1, 1) <= days {
        year += 1;
    }
    let mut left = u32::try_from(days - days_from_civil(year, 1, 1)).unwrap_or_default();
    let mut month = 1;
    while left >= days_in(year, month) {
        left -= days_in(year, month);
        month += 1;
    }
    (year, month, left + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 3339 §5.8: the same instant at two offsets; and the seconds that POSIX.1-2017 §4.16
    /// counts for the first second of 2000 and of 2001.
    #[test]
    fn published_moments() {
        let there = Moment::parse("1996-12-19T16:39:57-08:00").unwrap();
        assert_eq!(Moment::parse("1996-12-20T00:39:57Z"), Some(there));
        assert_eq!(there.to_string(), "1996-12-19T16:39:57-08:00");
        // tm_sec + tm_min*60 + … + (tm_year-70)*31536000 + ((tm_year-69)/4)*86400 - … + …
        assert_eq!(Moment::parse("2000-01-01").unwrap().seconds(), 30 * 31_536_000 + 7 * DAY);
        assert_eq!(Moment::parse("2001-01-01").unwrap().seconds(), 31 * 31_536_000 + 8 * DAY);
    }

    #[test]
    fn every_day_reads_back() {
        for day in (1..200_000).step_by(13) {
            let moment = Moment::of_clock(day * DAY + 71_000, 0);
            assert_eq!(Moment::parse(&moment.to_string()), Some(moment));
            assert_eq!(moment.clock(), "19:43");
        }
        assert_eq!(Moment::of_clock(i64::MAX, -1439).date().len(), 10);
        assert_eq!(Moment::of_clock(i64::MIN, -1439).date(), "1970-01-01");
    }

    #[test]
    fn what_is_no_moment() {
        for text in [
            "",
            "2026-02-29",
            "2026-13-01",
            "2026-11-27T24:00",
            "2026-11-27T19:42:60Z",
            "2026-11-27T19",
            "26-11-27",
            "2026-11-27T19:42+1:00",
            "1969-12-31",
        ] {
            assert_eq!(Moment::parse(text), None, "{text}");
        }
        let short = Moment::parse("2026-11-27 19:42+01:00").unwrap();
        assert_eq!(short.to_string(), "2026-11-27T19:42:00+01:00");
    }
}
