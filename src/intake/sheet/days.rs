//! Days as spreadsheets count them, to ISO dates.
//!
//! In: a number of days and the parts of a date that its format shows. Out: `2026-11-25`, with the
//! time of day where the format shows one. Not here: format codes.

use super::digits::StoredDigits;

/// Where a workbook's days are counted from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Epoch {
    /// The first of January 1900 is day 1, and 1900 has a 29th of February.
    #[default]
    Year1900,
    /// The first of January 1904 is day 0.
    Year1904,
}

/// A number of days as date, as time of day, or both; none when it is no date.
pub(super) fn show_date(number: &StoredDigits, parts: &[u8], epoch: Epoch) -> Option<String> {
    let (days, seconds) = number.to_days()?;
    let has = |letter: u8| parts.contains(&letter);
    let has_time = has(b'h') || has(b's');
    // Beside hours or seconds `m` is minutes, else it is a month.
    let has_day = has(b'y') || has(b'd') || !has_time;
    let mut shown = String::new();
    if has_day {
        shown = show_day(days, epoch);
    }
    if has_time {
        let (hour, minute, second) = (seconds / 3_600, seconds / 60 % 60, seconds % 60);
        if has_day {
            shown.push(' ');
        }
        shown.push_str(&format!("{hour:02}:{minute:02}"));
        if has(b's') {
            shown.push_str(&format!(":{second:02}"));
        }
    }
    Some(shown)
}

/// A day as an ISO date.
fn show_day(days: u32, epoch: Epoch) -> String {
    // Days since the first of March of the year 0, from which leap days are regular.
    let since = match epoch {
        Epoch::Year1904 => 695_361 + days,
        // Day 60 is a 29th of February that 1900 did not have.
        Epoch::Year1900 if days == 60 => return "1900-02-29".into(),
        Epoch::Year1900 if days > 60 => 693_899 + days,
        Epoch::Year1900 => 693_900 + days,
    };
    let era = since / 146_097;
    let of_era = since % 146_097;
    let year = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let month = (5 * of_year + 2) / 153;
    let day = of_year - (153 * month + 2) / 5 + 1;
    let (month, next) = if month < 10 { (month + 3, 0) } else { (month - 9, 1) };
    format!("{:04}-{month:02}-{day:02}", year + era * 400 + next)
}
