//! The locales, one a line of a generated table.
//!
//! In: a language tag. Out: the line of the nearest locale that there is: `de-LU` is written as `de`.
//! Not here: what is done with a line (`figures`, `dates`, `plural`).

use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::plural::PluralRule;

/// The generated table.
const TABLE: &str = include_str!("data/locales.tsv");

/// How many cells a line has, the tag included.
const CELLS: usize = 24;

/// Languages by a second tag, and the one that the table has them under. The first four are CLDR's
/// `parentLocales` and aliases; Portuguese outside Brazil is written as in Portugal there too.
const OTHER_TAGS: &[(&str, &str)] = &[
    ("no", "nb"),
    ("nn", "nb"),
    ("zh-TW", "zh-Hant"),
    ("zh-HK", "zh-Hant"),
    ("pt-AO", "pt-PT"),
    ("pt-CH", "pt-PT"),
    ("pt-CV", "pt-PT"),
    ("pt-LU", "pt-PT"),
    ("pt-MZ", "pt-PT"),
    ("pt-BR", "pt"),
];

/// The mark before decimals, and the one between groups of digits.
#[derive(Clone, Copy, Debug)]
pub(super) struct Marks {
    /// Before decimals.
    pub(super) decimal: &'static str,
    /// Between groups.
    pub(super) group: &'static str,
}

/// How one language, in one country or in all, writes what it counts.
#[derive(Debug)]
pub(crate) struct Locale {
    /// By what layouts and orders ask for it, such as `de` or `pt-PT`.
    pub(crate) tag: &'static str,
    /// Its digit zero; the others follow it in Unicode.
    pub(super) zero: char,
    /// The marks of amounts of money.
    pub(super) money_marks: Marks,
    /// The marks of all other numbers.
    pub(super) marks: Marks,
    /// Its minus sign.
    pub(super) minus: &'static str,
    /// How many digits stand before the first group at least; with fewer there are no groups.
    pub(super) least_before_group: usize,
    /// The digits of every group but the last, which has three.
    pub(super) second_group: usize,
    /// Money, with `{n}` for the figures and `{c}` for the currency.
    pub(super) money: &'static str,
    /// The same below zero.
    pub(super) money_below: &'static str,
    /// Dates in the order of [`DAY_FORMS`](super::DAY_FORMS), with their parts in braces.
    pub(super) dates: [&'static str; 4],
    /// The first of a month, where it is not `1`.
    pub(super) first_day: &'static str,
    /// The months inside a date, `|` between.
    pub(super) months: &'static str,
    /// The months by themselves.
    pub(super) lone_months: &'static str,
    /// The months, shortened.
    pub(super) short_months: &'static str,
    /// The forms of counts, each with its rule; what none of them holds for is the last form.
    pub(super) plurals: Vec<PluralRule>,
    /// Grams, kilograms and millimetres, with `{n}` for the figures; empty where it is the usual way.
    pub(super) units: [&'static str; 3],
    /// The signs of currencies that are not the usual ones: `USD=US$ JPY=`.
    pub(super) signs: &'static str,
}

impl Locale {
    /// The locale of a language tag: itself, that of another tag for it, or that of its language.
    #[must_use]
    pub(crate) fn find(tag: &str) -> Option<&'static Locale> {
        let table = locales();
        let by_tag = |tag: &str| {
            let tag = OTHER_TAGS.iter().find(|(other, _)| *other == tag).map_or(tag, |(_, it)| it);
            table.get(tag)
        };
        by_tag(tag).or_else(|| by_tag(tag.split('-').next().unwrap_or(tag)))
    }

    /// The locale that holds where nothing is said: that of English.
    #[must_use]
    pub(crate) fn usual() -> &'static Locale {
        locales().get("en").expect("a test looks for it in the table")
    }

    /// What languages may be asked for by.
    pub(crate) fn tags() -> impl Iterator<Item = &'static str> {
        locales().keys().copied()
    }

    /// The two or three letters of its language.
    #[must_use]
    pub(crate) fn language(&self) -> &'static str {
        self.tag.split('-').next().unwrap_or(self.tag)
    }
}

/// The table, read once.
fn locales() -> &'static BTreeMap<&'static str, Locale> {
    /// What is read.
    static LOCALES: OnceLock<BTreeMap<&'static str, Locale>> = OnceLock::new();
    LOCALES.get_or_init(|| {
        let lines = table_lines().filter_map(read_line);
        lines.map(|locale| (locale.tag, locale)).collect()
    })
}

/// The lines of the table that are no comments.
fn table_lines() -> impl Iterator<Item = &'static str> {
    TABLE.lines().filter(|line| !line.starts_with('#'))
}

/// The signs of currencies that most locales have: `EUR=€ GBP=£`.
pub(super) fn usual_signs() -> &'static str {
    let line = table_lines().find_map(|line| line.strip_prefix("usual\t"));
    line.unwrap_or_default()
}

/// One line; `None` for the one with the usual signs.
fn read_line(line: &'static str) -> Option<Locale> {
    let cells: Vec<&'static str> = line.split('\t').collect();
    let cells: [&'static str; CELLS] = cells.try_into().ok()?;
    let [tag, zero, decimal, group, minus, least, second, money, money_below, rest @ ..] = cells;
    let [other_decimal, other_group, long, short, numbers, month, first_day, rest @ ..] = rest;
    let [months, lone_months, short_months, plurals, gram, kilogram, millimetre, signs] = rest;
    let money_marks = Marks { decimal, group };
    let or = |text: &'static str, other| if text.is_empty() { other } else { text };
    Some(Locale {
        tag,
        zero: zero.chars().next().unwrap_or('0'),
        money_marks,
        marks: Marks { decimal: or(other_decimal, decimal), group: or(other_group, group) },
        minus,
        least_before_group: least.parse().unwrap_or(1),
        second_group: second.parse().unwrap_or(3),
        money,
        money_below,
        dates: [long, short, numbers, month],
        first_day,
        months,
        lone_months: or(lone_months, months),
        short_months: or(short_months, months),
        plurals: plurals.split("; ").filter_map(PluralRule::read).collect(),
        units: [gram, kilogram, millimetre],
        signs,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_the_table_is_read() {
        let lines = table_lines().count();
        assert_eq!(locales().len(), lines - 1, "a line has another number of cells");
        assert!(locales().len() >= 35);
        for locale in locales().values() {
            for months in [locale.months, locale.lone_months, locale.short_months] {
                assert_eq!(months.split('|').count(), 12, "{}", locale.tag);
            }
            assert!(locale.money.contains("{n}") && locale.money.contains("{c}"), "{}", locale.tag);
        }
        assert_eq!(Locale::usual().tag, "en");
    }

    #[test]
    fn a_country_without_a_line_of_its_own_has_its_languages() {
        let found = |tag| Locale::find(tag).map(|locale| locale.tag);
        assert_eq!(found("de-LU"), Some("de"));
        assert_eq!(found("de-CH"), Some("de-CH"));
        assert_eq!(found("no"), Some("nb"));
        assert_eq!(found("zh-TW"), Some("zh-Hant"));
        assert_eq!(found("pt-AO"), Some("pt-PT"));
        assert_eq!(found("xx"), None);
        for (_, tag) in OTHER_TAGS {
            assert!(locales().contains_key(tag), "{tag}");
        }
    }
}
