//! Words with gaps to be filled.
//!
//! In: a phrase of the page's language. Out: the phrase with its values put in. Not here: which
//! language a page is in, and which words it has (`bind`).

use std::sync::Arc;

use minijinja::value::{Kwargs, Object, ObjectRepr};
use minijinja::{Error, State, Value};
use rust_decimal::Decimal;

use super::fault::{describe_value, refuse};
use super::locale::{locale_of, page_locale};
use super::number::read_number;
use crate::language::{Locale, Phrase, PluralForm, pieces};
use crate::words::list_words;

/// Stands before a word that was printed without its gaps filled: a noncharacter of Unicode, which
/// no text should have.
const UNFILLED: char = '\u{fdd0}';

/// The error of a text in which a word was printed without its gaps filled, if it has one.
#[must_use]
pub(crate) fn find_unfilled(text: &str) -> Option<Error> {
    let (_, word) = text.split_once(UNFILLED)?;
    let gaps: Vec<&str> = pieces(word).map(|(_, gap)| gap).filter(|gap| !gap.is_empty()).collect();
    let gaps = if gaps.is_empty() { vec!["count"] } else { gaps };
    let call = gaps.iter().map(|gap| format!("{gap}=…")).collect::<Vec<_>>().join(", ");
    let message = "a word with gaps, or with forms for a count, is printed as it is";
    Some(refuse(message, format!("fill it: `… | fill({call})`")))
}

/// A phrase that cannot be printed as it is: it has gaps, or forms for counts.
#[derive(Debug)]
struct GappedPhrase(Phrase);

impl Object for GappedPhrase {
    fn repr(self: &Arc<Self>) -> ObjectRepr {
        ObjectRepr::Plain
    }

    /// Marks the text, so that no page shows a gap: an error of this function would be a panic
    /// wherever a filter asks for the text of a value.
    fn render(self: &Arc<Self>, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{UNFILLED}{}", self.0.text_for(PluralForm::Other))
    }
}

/// A phrase as templates have it: text where nothing is to be put in.
#[must_use]
pub(crate) fn phrase_value(phrase: &Phrase) -> Value {
    match phrase {
        Phrase::Text(text) if phrase.gaps().is_empty() => Value::from(&**text),
        phrase => Value::from_object(GappedPhrase(phrase.clone())),
    }
}

/// The filter `fill`: a word with its values put in, in the form of its `count`.
pub(super) fn fill(state: &State<'_, '_>, word: &Value, values: Kwargs) -> Result<String, Error> {
    let find = |gap: &str| values.get::<Option<Value>>(gap).ok().flatten();
    // A language may have no use for a value that another one needs.
    values.args().for_each(|name| drop(find(name)));
    fill_word(word, page_locale(state), find)
}

/// A word with its values put in, without a run of the template engine; `None` when that has to see
/// to it.
#[must_use]
pub(crate) fn fill_plain(
    word: &Value,
    language: Option<&Value>,
    find: impl Fn(&str) -> Option<Value>,
) -> Option<String> {
    fill_word(word, locale_of(language), find).ok()
}

/// A word with its values put in.
fn fill_word(
    word: &Value,
    locale: &Locale,
    find: impl Fn(&str) -> Option<Value>,
) -> Result<String, Error> {
    if let Some(text) = word.as_str() {
        return Ok(text.to_owned());
    }
    let Some(GappedPhrase(phrase)) = word.downcast_object_ref() else {
        let found = describe_value(word);
        let hint = "put a word before it: `words.page_of | fill(page=page, pages=pages)`";
        return Err(refuse(format!("expected a word for `fill`, found {found}"), hint.to_owned()));
    };
    let form = choose_form(phrase, locale, &find)?;
    let text = phrase.text_for(form);
    let mut filled = String::with_capacity(text.len() + 16);
    for (before, gap) in pieces(text) {
        filled.push_str(before);
        if gap.is_empty() {
            continue;
        }
        let value = find(gap).ok_or_else(|| lacks_value(phrase, gap))?;
        filled.push_str(&write_value(gap, &value, locale)?);
    }
    Ok(filled)
}

/// The form of a phrase that goes with its `count`.
fn choose_form(
    phrase: &Phrase,
    locale: &Locale,
    find: &impl Fn(&str) -> Option<Value>,
) -> Result<PluralForm, Error> {
    if matches!(phrase, Phrase::Text(_)) {
        return Ok(PluralForm::Other);
    }
    let count = find("count").ok_or_else(|| lacks_value(phrase, "count"))?;
    let count: Option<Decimal> = read_number("fill", &count)?;
    Ok(count.map_or(PluralForm::Other, |count| locale.plural_form(count)))
}

/// An error for a gap that nothing is given for.
fn lacks_value(phrase: &Phrase, gap: &str) -> Error {
    let gaps = list_words(phrase.gaps());
    let message = format!("this word needs a value for `{gap}`");
    let hint = match gaps.is_empty() {
        true => format!("name it in the brackets: `fill({gap}=…)`"),
        false => format!("name it in the brackets: `fill({gap}=…)`; the word's gaps are {gaps}"),
    };
    refuse(message, hint)
}

/// What is put in a gap: text as it is, a whole number in the digits of the language.
fn write_value(gap: &str, value: &Value, locale: &Locale) -> Result<String, Error> {
    if let Some(text) = value.as_str() {
        return Ok(text.to_owned());
    }
    let count = i128::try_from(value.clone()).ok().filter(|_| value.is_integer());
    count.map(|count| locale.write_count(count)).ok_or_else(|| {
        let found = describe_value(value);
        refuse(format!("expected text or a whole number for `{gap}`, found {found}"), None)
    })
}
