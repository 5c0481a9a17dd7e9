//! Days of the calendar in words.
//!
//! In: a date after ISO 8601, with or without a time of day. Out: the day in one of a few forms and
//! in the language of the page or another, or a day so many days later. A day the Gregorian calendar
//! does not have is an error. Not here: time zones; the day is the one that is written.

use minijinja::value::Kwargs;
use minijinja::{Error, State, Value};

use super::fault::{describe_value, expect_text, refuse};
use super::locale::choose_locale;
use crate::fields::{Day, days_in};
use crate::language::DAY_FORMS;
use crate::words::{did_you_mean, is_digits};

/// The filter `day`.
pub(super) fn day(
    state: &State<'_, '_>,
    value: &Value,
    form: Option<&str>,
    language: Option<&str>,
    options: Kwargs,
) -> Result<String, Error> {
    let locale = choose_locale(state, language, &options)?;
    let form = form.unwrap_or("long");
    let Some((_, form)) = DAY_FORMS.iter().find(|(word, _)| *word == form) else {
        let words: Vec<&str> = DAY_FORMS.iter().map(|(word, _)| *word).collect();
        let hint = did_you_mean(form, &words);
        return Err(refuse(format!("there is no form of dates `{form}`"), hint));
    };
    let text = expect_text("day", value)?;
    match text.trim() {
        "" => Ok(String::new()),
        text => Ok(locale.write_day(&read_day("day", text)?, *form)),
    }
}

/// The filter `plus_days`: the day so many days later, after ISO 8601 again, so that filters chain.
pub(super) fn plus_days(value: &Value, days: &Value) -> Result<String, Error> {
    let count =
        i32::try_from(days.clone()).ok().filter(|_| days.is_integer()).ok_or_else(|| {
            let found = describe_value(days);
            let message = format!("expected a whole number of days for `plus_days`, found {found}");
            refuse(message, "write how many: `plus_days(14)`".to_owned())
        })?;
    let text = expect_text("plus_days", value)?;
    if text.trim().is_empty() {
        return Ok(String::new());
    }
    let day = read_day("plus_days", text.trim())?;
    day.plus_days(count).map(|day| day.to_string()).ok_or_else(|| {
        let message = format!("the calendar has no day {count} days from `{day}`");
        refuse(message, "years go from 0 to 9999".to_owned())
    })
}

/// What stands for the day of printing where nobody says it: using it is an error.
#[must_use]
pub(crate) fn unknown_day() -> Value {
    let hint = "say it: with `--date 2026-11-25`, or in a program with `PrintJob::date`";
    Value::from(refuse("the day of printing is not known", hint.to_owned()))
}

/// The day that a date names.
fn read_day(filter: &str, text: &str) -> Result<Day, Error> {
    let date = match text.split_once(['T', ' ']) {
        Some((date, _)) => date,
        None => text,
    };
    if let Some(day) = Day::parse(date) {
        return Ok(day);
    }
    let Some((year, month)) = split_month(date) else {
        return Err(refuse(
            format!("expected a date for `{filter}`, found `{text}`"),
            "write year, month and day: `2026-11-25`".to_owned(),
        ));
    };
    let hint = match (1..=12).contains(&month) {
        true => format!("the last day of that month is `{}-{}`", &date[..7], days_in(year, month)),
        false => "months go from `01` to `12`".to_owned(),
    };
    Err(refuse(format!("there is no day `{date}`"), hint))
}

/// Year and month of `YYYY-MM-DD`, whether or not there is such a day.
fn split_month(text: &str) -> Option<(u32, u32)> {
    let number = |part: &str, length: usize| {
        let is_good = part.len() == length && is_digits(part);
        if is_good { part.parse().ok() } else { None }
    };
    let mut parts = text.splitn(3, '-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    number(day, 2)?;
    Some((number(year, 4)?, number(month, 2)?))
}
