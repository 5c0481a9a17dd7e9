//! How a language writes: numbers, money, dates and counts, and the words that layouts print.
//!
//! In: a language tag such as `de` or `pt-PT`. Out: its [`Locale`], from a table that a script makes
//! of the Unicode CLDR (`data/`), and its [`WordTable`], which is ours (`words/`), with what a seller
//! corrects in it. Not here: which language a page is in (`bind`), and how a layout asks for a word
//! (`layout`).

mod countries;
mod dates;
mod direction;
mod figures;
mod locale;
mod plural;
mod read;
mod table;

pub(crate) use countries::country_in;
pub(crate) use dates::DAY_FORMS;
pub(crate) use direction::reads_from_right;
pub(crate) use locale::Locale;
pub(crate) use plural::PluralForm;
pub(crate) use read::{WORDS, WordsOf, check_words, read_words};
#[cfg(feature = "desk")]
pub(crate) use table::shipped_languages;
pub(crate) use table::{Phrase, WordTable, WordTables, pieces, shipped_keys};
