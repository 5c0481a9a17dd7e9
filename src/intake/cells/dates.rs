//! Dates as exports write them, to ISO 8601.
//!
//! In: a cell and the form that the map names. Out: a date, or date and time, that orders take.
//! Not here: what else a cell may hold (`values`).

use crate::fields::days_in;

/// The order of a date's parts and the marks between them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum DateForm {
    /// `2026-11-25`; also `2026/11/25` and `2026.11.25`.
    #[default]
    YearMonthDay,
    /// `25.11.2026`
    DayMonthYear,
    /// `25/11/2026`; also `25-11-2026`.
    DayMonthYearStrokes,
    /// `11/25/2026`; also `11-25-2026`.
    MonthDayYear,
}

impl DateForm {
    /// The words of the map, in the order of the forms.
    pub(crate) const WORDS: &'static [&'static str] = &["y-m-d", "d.m.y", "d/m/y", "m/d/y"];

    /// Every form, the usual one first.
    pub(crate) const ALL: [DateForm; 4] = [
        DateForm::YearMonthDay,
        DateForm::DayMonthYear,
        DateForm::DayMonthYearStrokes,
        DateForm::MonthDayYear,
    ];

    /// What a word of the map asks for; none when it is no such word.
    pub(crate) fn parse(word: &str) -> Option<DateForm> {
        Self::ALL.into_iter().find(|form| form.word() == word)
    }

    /// Its word in the map.
    pub(crate) fn word(self) -> &'static str {
        Self::WORDS[self as usize]
    }

    /// A date in this form, for messages.
    pub(crate) fn example(self) -> &'static str {
        ["2026-11-25", "25.11.2026", "25/11/2026", "11/25/2026"][self as usize]
    }

    /// A date of ISO 8601 in this form; text that is none stays as it is.
    pub(crate) fn write(self, date: &str) -> String {
        let parts: Vec<&str> = date.split('-').collect();
        let [year, month, day] = parts[..] else { return date.to_owned() };
        match self {
            DateForm::YearMonthDay => date.to_owned(),
            DateForm::DayMonthYear => format!("{day}.{month}.{year}"),
            DateForm::DayMonthYearStrokes => format!("{day}/{month}/{year}"),
            DateForm::MonthDayYear => format!("{month}/{day}/{year}"),
        }
    }
}

/// A cell's date, with its time if it has one; `None` when it has another form.
///
/// A date that starts with a year of four digits is taken whatever the form, because it can mean
/// nothing else. Years of two digits lie in this century: nobody's order is older.
pub(crate) fn parse_date(text: &str, form: DateForm) -> Option<String> {
    let text = text.trim();
    let end = text.find(|c: char| c.is_whitespace() || c == 'T').unwrap_or(text.len());
    let (date, time) = text.split_at(end);
    let time = time.strip_prefix('T').unwrap_or(time).trim();
    let mark = date.chars().find(|c| !c.is_ascii_digit())?;
    let parts: Vec<&str> = date.split(mark).collect();
    let [first, second, third] = parts[..] else { return None };
    let (year, month, day) = if first.len() == 4 {
        matches!(mark, '-' | '/' | '.').then_some((first, second, third))?
    } else {
        match form {
            DateForm::YearMonthDay => return None,
            DateForm::DayMonthYear if mark == '.' => (third, second, first),
            DateForm::DayMonthYearStrokes if matches!(mark, '/' | '-') => (third, second, first),
            DateForm::MonthDayYear if matches!(mark, '/' | '-') => (third, first, second),
            _ => return None,
        }
    };
    let year = match year.len() {
        4 => number(year, 9999)?,
        2 => 2000 + number(year, 99)?,
        _ => return None,
    };
    let month = number(month, 12).filter(|month| *month > 0)?;
    let day = number(day, days_in(year, month)).filter(|day| *day > 0)?;
    let date = format!("{year:04}-{month:02}-{day:02}");
    if time.is_empty() { Some(date) } else { Some(format!("{date}T{}", parse_time(time)?)) }
}

/// A time of day: seconds, fractions, `PM` and a zone may follow.
fn parse_time(text: &str) -> Option<String> {
    let end = text.find(|c: char| !c.is_ascii_digit() && c != ':' && c != '.');
    let (clock, rest) = text.split_at(end.unwrap_or(text.len()));
    let (clock, fraction) = match clock.split_once('.') {
        Some((clock, fraction)) => (clock, format!(".{fraction}")),
        None => (clock, String::new()),
    };
    let mut rest = rest.trim().to_uppercase();
    let mut half = None;
    for word in ["AM", "A.M.", "PM", "P.M."] {
        if let Some(after) = rest.strip_prefix(word) {
            half = Some(word.starts_with('P'));
            rest = after.trim().to_owned();
            break;
        }
    }
    let zone = match rest.as_str() {
        "UTC" | "GMT" | "Z" => "Z".to_owned(),
        "" => String::new(),
        zone if zone.starts_with(['+', '-']) => zone.to_owned(),
        _ => return None,
    };
    let mut parts = clock.split(':');
    let hour = number(parts.next()?, 23)?;
    let hour = match half {
        None => hour,
        Some(_) if hour == 0 || hour > 12 => return None,
        Some(later) => hour % 12 + if later { 12 } else { 0 },
    };
    let minute = number(parts.next()?, 59)?;
    let second = match parts.next() {
        Some(second) => format!(":{:02}", number(second, 60)?),
        None if fraction.is_empty() => String::new(),
        None => return None,
    };
    parts.next().is_none().then(|| format!("{hour:02}:{minute:02}{second}{fraction}{zone}"))
}

/// A number of one to four digits, at most `most`.
fn number(text: &str, most: u32) -> Option<u32> {
    let digits = (1..=4).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit());
    text.parse().ok().filter(|number| digits && *number <= most)
}

/// The first form that a date of another form has; the map's own first where several do.
pub(crate) fn other_form(text: &str, form: DateForm) -> Option<DateForm> {
    DateForm::ALL.into_iter().find(|other| *other != form && parse_date(text, *other).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_become_iso_dates() {
        use DateForm::{DayMonthYear, DayMonthYearStrokes, MonthDayYear, YearMonthDay};
        for (text, form, iso) in [
            ("2026-11-25", YearMonthDay, "2026-11-25"),
            ("2026-11-25", MonthDayYear, "2026-11-25"),
            ("2026/1/5", YearMonthDay, "2026-01-05"),
            ("2026-11-25 18:30:05 +0100", YearMonthDay, "2026-11-25T18:30:05+0100"),
            ("2026-11-25T18:30:05.123Z", YearMonthDay, "2026-11-25T18:30:05.123Z"),
            ("2026-11-25 18:30 UTC", YearMonthDay, "2026-11-25T18:30Z"),
            ("5.1.2026", DayMonthYear, "2026-01-05"),
            ("05.01.26 8:05", DayMonthYear, "2026-01-05T08:05"),
            ("25/11/2026", DayMonthYearStrokes, "2026-11-25"),
            ("25-11-2026", DayMonthYearStrokes, "2026-11-25"),
            ("11/25/2026 6:30 PM", MonthDayYear, "2026-11-25T18:30"),
            ("11/25/2026 12:05:09 am", MonthDayYear, "2026-11-25T00:05:09"),
        ] {
            assert_eq!(parse_date(text, form).as_deref(), Some(iso), "{text}");
        }
    }

    #[test]
    fn other_forms_are_refused_and_named() {
        use DateForm::{DayMonthYear, DayMonthYearStrokes, MonthDayYear, YearMonthDay};
        for (text, form, other) in [
            ("25.11.2026", YearMonthDay, Some(DayMonthYear)),
            ("05.11.2026", MonthDayYear, Some(DayMonthYear)),
            ("11/25/2026", DayMonthYearStrokes, Some(MonthDayYear)),
            ("25/11/2026", MonthDayYear, Some(DayMonthYearStrokes)),
            ("yesterday", YearMonthDay, None),
            ("2026-11", YearMonthDay, None),
            ("2026-11-25 25:00", YearMonthDay, None),
            ("2026-11-25 13:00 PM", YearMonthDay, None),
            ("2026-00-10", YearMonthDay, None),
            ("2026-02-29", YearMonthDay, None),
            ("126-11-25", YearMonthDay, None),
        ] {
            assert_eq!(parse_date(text, form), None, "{text}");
            assert_eq!(other_form(text, form), other, "{text}");
        }
    }
}
