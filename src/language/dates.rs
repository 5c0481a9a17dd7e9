//! Days of the calendar in the words of a locale.
//!
//! In: a day and a form. Out: its text. Not here: reading dates (`fields`).

use super::Locale;
use crate::fields::Day;

/// The forms of a date.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum DayForm {
    /// With the month's name.
    Long,
    /// With the month's name shortened.
    Short,
    /// In numbers, two for day and month and four for the year.
    Numeric,
    /// The month and the year alone.
    Month,
    /// After ISO 8601, in every language alike.
    Iso,
}

/// The words for [`DayForm`]; the first four stand in the table of locales in this order.
pub(crate) const DAY_FORMS: &[(&str, DayForm)] = &[
    ("long", DayForm::Long),
    ("short", DayForm::Short),
    ("numeric", DayForm::Numeric),
    ("month", DayForm::Month),
    ("iso", DayForm::Iso),
];

impl Locale {
    /// How a language writes a day; `form` says how short.
    #[must_use]
    pub(crate) fn write_day(&self, day: &Day, form: DayForm) -> String {
        let place = DAY_FORMS.iter().position(|(_, known)| *known == form);
        let Some(pattern) = place.and_then(|place| self.dates.get(place)) else {
            return day.to_string();
        };
        let mut text = String::new();
        let mut rest = *pattern;
        while let Some((before, (part, behind))) = next_part(rest) {
            text.push_str(before);
            text.push_str(&self.date_part(day, part));
            rest = behind;
        }
        text.push_str(rest);
        text
    }

    /// A part of a date by the letters that the CLDR's patterns have for it.
    fn date_part(&self, day: &Day, part: &str) -> String {
        let month_of = |months: &str| {
            let name = months.split('|').nth(day.month.saturating_sub(1) as usize);
            name.unwrap_or_default().to_owned()
        };
        let number = |number: u32| self.write_count(i128::from(number));
        let two = |count: u32| format!("{}{}", number(count / 10), number(count % 10));
        match part {
            "d" if day.day == 1 && !self.first_day.is_empty() => self.first_day.to_owned(),
            "d" => number(day.day),
            "dd" => two(day.day),
            "M" | "L" => number(day.month),
            "MM" | "LL" => two(day.month),
            "MMM" | "LLL" => month_of(self.short_months),
            "MMMM" => month_of(self.months),
            "LLLL" => month_of(self.lone_months),
            _ => number(day.year),
        }
    }
}

/// What stands before the next part in braces, the part, and what stands behind it.
fn next_part(pattern: &str) -> Option<(&str, (&str, &str))> {
    let (before, rest) = pattern.split_once('{')?;
    Some((before, rest.split_once('}')?))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A day in a form and a locale.
    fn write(tag: &str, date: &str, form: DayForm) -> String {
        Locale::find(tag).unwrap().write_day(&Day::parse(date).unwrap(), form)
    }

    #[test]
    fn days_are_written_as_the_locale_does() {
        use DayForm::{Iso, Long, Month, Numeric, Short};
        for (tag, form, expected) in [
            ("en", Long, "5 November 2026"),
            ("en-US", Long, "November 5, 2026"),
            ("de", Long, "5. November 2026"),
            ("pl", Long, "5 listopada 2026"),
            ("pl", Month, "listopad 2026"),
            ("fi", Month, "marraskuu 2026"),
            ("ja", Long, "2026年11月5日"),
            ("hu", Long, "2026. november 5."),
            ("sv", Numeric, "2026-11-05"),
            ("de", Numeric, "05.11.2026"),
            ("de", Short, "5. Nov. 2026"),
            ("fa", Long, "۵ نوامبر ۲۰۲۶"),
            ("fa", Iso, "2026-11-05"),
        ] {
            assert_eq!(write(tag, "2026-11-05", form), expected, "{form:?} in {tag}");
        }
        assert_eq!(write("fr", "2026-11-01", Long), "1er novembre 2026");
        assert_eq!(write("fr", "2026-11-01", Numeric), "01/11/2026");
    }
}
