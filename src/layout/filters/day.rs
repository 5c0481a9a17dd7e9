//! Days of the calendar in words.
//!
//! In: a date after ISO 8601, with or without a time of day. Out: the day in one of four forms
//! and six languages. A day the Gregorian calendar does not have is an error. Not here: time zones
//! and counting days; the day is the one that is written.

use minijinja::value::Kwargs;
use minijinja::{Error, Value};

use super::fault::{expect_text, refuse};
use super::language::Language;
use crate::fields::days_in;
use crate::words::did_you_mean;

/// The forms of a date.
const FORMS: [&str; 4] = ["long", "short", "iso", "numeric"];

/// A day of the Gregorian calendar.
struct Day {
    /// 0 to 9999.
    year: u32,
    /// 1 to 12.
    month: u32,
    /// 1 to 31.
    day: u32,
}

/// The filter `day`.
pub(super) fn day(
    value: &Value,
    form: Option<&str>,
    language: Option<&str>,
    options: Kwargs,
) -> Result<String, Error> {
    let language = Language::choose(language, &options)?;
    let form = form.unwrap_or("long");
    if !FORMS.contains(&form) {
        let hint = did_you_mean(form, &FORMS);
        return Err(refuse(format!("there is no form of dates `{form}`"), hint));
    }
    let text = expect_text("day", value)?;
    match text.trim() {
        "" => Ok(String::new()),
        text => Ok(write_day(&read_day(text)?, form, language)),
    }
}

/// The day that a date names.
fn read_day(text: &str) -> Result<Day, Error> {
    let date = match text.split_once(['T', ' ']) {
        Some((date, _)) => date,
        None => text,
    };
    let Some(day) = split_date(date) else {
        return Err(refuse(
            format!("expected a date for `day`, found `{text}`"),
            "write year, month and day: `2026-11-25`".to_owned(),
        ));
    };
    if !(1..=12).contains(&day.month) {
        let message = format!("there is no day `{date}`");
        return Err(refuse(message, "months go from `01` to `12`".to_owned()));
    }
    let last = days_in(day.year, day.month);
    if !(1..=last).contains(&day.day) {
        let month = &date[..7];
        let hint = format!("the last day of that month is `{month}-{last}`");
        return Err(refuse(format!("there is no day `{date}`"), hint));
    }
    Ok(day)
}

/// Year, month and day of `YYYY-MM-DD`.
fn split_date(text: &str) -> Option<Day> {
    let number = |part: &str, length: usize| {
        let is_good = part.len() == length && part.bytes().all(|byte| byte.is_ascii_digit());
        if is_good { part.parse().ok() } else { None }
    };
    let mut parts = text.splitn(3, '-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    Some(Day { year: number(year, 4)?, month: number(month, 2)?, day: number(day, 2)? })
}

/// A day in a form and a language.
fn write_day(date: &Day, form: &str, language: &Language) -> String {
    let Day { year, month, day } = date;
    let name_day = match day {
        1 => language.first.to_owned(),
        _ => day.to_string(),
    };
    let in_words = |months: &[&str; 12], [first, second]: [&str; 2]| {
        format!("{name_day}{first}{}{second}{year}", months[*month as usize - 1])
    };
    match form {
        "short" => in_words(&language.short_months, language.short_joints),
        "iso" => format!("{year:04}-{month:02}-{day:02}"),
        "numeric" => {
            let joint = language.numeric_joint;
            format!("{day:02}{joint}{month:02}{joint}{year:04}")
        }
        _ => in_words(&language.months, language.long_joints),
    }
}
