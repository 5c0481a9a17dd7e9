//! How a few languages write amounts and dates.
//!
//! In: a language's two letters. Out: its marks, month names and orders. Not here: putting them
//! together (`money`, `day`), and any language that is not listed: asking for one is an error.
//!
//! The facts are those of the Unicode CLDR as PyPI's Babel 2.18.0 prints them; how many digits a
//! group needs before it, which Babel leaves out, is `minimumGroupingDigits` in npm's
//! cldr-numbers-full 48.2.0. Three choices are ours: English dates go day, month, year; French
//! groups digits with the ordinary no-break space, which every font has; and the first of a month
//! in French is `1er`.

use minijinja::Error;
use minijinja::value::Kwargs;

use super::fault::refuse;
use crate::words::did_you_mean;

/// Where a currency stands beside its amount.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum SignSeat {
    /// A sign touches the figures, `€12.50`, `CA$12.50`; a code keeps a space, `CHF 12.50`.
    Before,
    /// Before the figures with a space, and a minus follows it: `€ -12,50`.
    BeforeSpaced,
    /// After the figures with a space: `12,50 €`.
    After,
}

/// How a language writes amounts and dates.
#[derive(Debug)]
pub(super) struct Language {
    /// Its two letters, ISO 639.
    pub(super) code: &'static str,
    /// Between whole and fraction.
    pub(super) decimal: char,
    /// Between groups of three digits.
    pub(super) group: char,
    /// How many digits stand before the first group at least; with fewer there are no groups.
    pub(super) least_before_group: usize,
    /// Where the currency stands.
    pub(super) seat: SignSeat,
    /// The months.
    pub(super) months: [&'static str; 12],
    /// The months, shortened.
    pub(super) short_months: [&'static str; 12],
    /// What stands between day and month, month and year, in a long date.
    pub(super) long_joints: [&'static str; 2],
    /// The same in a short date.
    pub(super) short_joints: [&'static str; 2],
    /// Between the numbers of a date.
    pub(super) numeric_joint: char,
    /// The first of a month, where it is not `1`.
    pub(super) first: &'static str,
}

impl Language {
    /// The language that a filter is asked for, in its place or by the word `language`; English when
    /// none is named. A filter of amounts or dates takes no other word.
    pub(super) fn choose(code: Option<&str>, options: &Kwargs) -> Result<&'static Language, Error> {
        let code = match code {
            Some(code) => Some(code),
            None => options.get("language")?,
        };
        let language = Language::find(code)?;
        options.assert_all_used()?;
        Ok(language)
    }

    /// The language by its letters; English when none is named.
    fn find(code: Option<&str>) -> Result<&'static Language, Error> {
        let code = code.unwrap_or("en");
        LANGUAGES.iter().find(|language| language.code == code).ok_or_else(|| {
            let known: Vec<&str> = LANGUAGES.iter().map(|language| language.code).collect();
            let message = format!("there is no language `{code}` for amounts and dates");
            refuse(message, did_you_mean(code, &known))
        })
    }
}

/// The space that lines are not broken at.
pub(super) const NO_BREAK_SPACE: char = '\u{a0}';

/// How many languages there are.
pub(super) const LANGUAGE_COUNT: usize = 6;

/// Every language there is; English first, as the one without being asked.
pub(super) static LANGUAGES: [Language; LANGUAGE_COUNT] = [
    Language {
        code: "en",
        decimal: '.',
        group: ',',
        least_before_group: 1,
        seat: SignSeat::Before,
        months: [
            "January",
            "February",
            "March",
            "April",
            "May",
            "June",
            "July",
            "August",
            "September",
            "October",
            "November",
            "December",
        ],
        short_months: [
            "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
        ],
        long_joints: [" ", " "],
        short_joints: [" ", " "],
        numeric_joint: '/',
        first: "1",
    },
    Language {
        code: "de",
        decimal: ',',
        group: '.',
        least_before_group: 1,
        seat: SignSeat::After,
        months: [
            "Januar",
            "Februar",
            "März",
            "April",
            "Mai",
            "Juni",
            "Juli",
            "August",
            "September",
            "Oktober",
            "November",
            "Dezember",
        ],
        short_months: [
            "Jan.", "Feb.", "März", "Apr.", "Mai", "Juni", "Juli", "Aug.", "Sept.", "Okt.", "Nov.",
            "Dez.",
        ],
        long_joints: [". ", " "],
        short_joints: [". ", " "],
        numeric_joint: '.',
        first: "1",
    },
    Language {
        code: "fr",
        decimal: ',',
        group: NO_BREAK_SPACE,
        least_before_group: 1,
        seat: SignSeat::After,
        months: [
            "janvier",
            "février",
            "mars",
            "avril",
            "mai",
            "juin",
            "juillet",
            "août",
            "septembre",
            "octobre",
            "novembre",
            "décembre",
        ],
        short_months: [
            "janv.", "févr.", "mars", "avr.", "mai", "juin", "juil.", "août", "sept.", "oct.",
            "nov.", "déc.",
        ],
        long_joints: [" ", " "],
        short_joints: [" ", " "],
        numeric_joint: '/',
        first: "1er",
    },
    Language {
        code: "es",
        decimal: ',',
        group: '.',
        least_before_group: 2,
        seat: SignSeat::After,
        months: [
            "enero",
            "febrero",
            "marzo",
            "abril",
            "mayo",
            "junio",
            "julio",
            "agosto",
            "septiembre",
            "octubre",
            "noviembre",
            "diciembre",
        ],
        short_months: [
            "ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sept", "oct", "nov", "dic",
        ],
        long_joints: [" de ", " de "],
        short_joints: [" ", " "],
        numeric_joint: '/',
        first: "1",
    },
    Language {
        code: "it",
        decimal: ',',
        group: '.',
        least_before_group: 2,
        seat: SignSeat::After,
        months: [
            "gennaio",
            "febbraio",
            "marzo",
            "aprile",
            "maggio",
            "giugno",
            "luglio",
            "agosto",
            "settembre",
            "ottobre",
            "novembre",
            "dicembre",
        ],
        short_months: [
            "gen", "feb", "mar", "apr", "mag", "giu", "lug", "ago", "set", "ott", "nov", "dic",
        ],
        long_joints: [" ", " "],
        short_joints: [" ", " "],
        numeric_joint: '/',
        first: "1",
    },
    Language {
        code: "nl",
        decimal: ',',
        group: '.',
        least_before_group: 1,
        seat: SignSeat::BeforeSpaced,
        months: [
            "januari",
            "februari",
            "maart",
            "april",
            "mei",
            "juni",
            "juli",
            "augustus",
            "september",
            "oktober",
            "november",
            "december",
        ],
        short_months: [
            "jan", "feb", "mrt", "apr", "mei", "jun", "jul", "aug", "sep", "okt", "nov", "dec",
        ],
        long_joints: [" ", " "],
        short_joints: [" ", " "],
        numeric_joint: '-',
        first: "1",
    },
];
