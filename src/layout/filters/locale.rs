//! The language that a filter writes in.
//!
//! In: what a template runs with, and the language that a filter names. Out: the [`Locale`]. Not here:
//! which language a page is in (`bind`).

use minijinja::value::Kwargs;
use minijinja::{Error, State, Value};

use super::fault::refuse;
use crate::language::Locale;
use crate::words::nearest;

/// The variable with the tag of the page's language.
pub(crate) const LANGUAGE: &str = "language";

/// The locale of the page that a template is run for; English where there is no page.
pub(super) fn page_locale(state: &State<'_, '_>) -> &'static Locale {
    locale_of(state.lookup(LANGUAGE).as_ref())
}

/// The locale of the value of the variable `language`.
pub(super) fn locale_of(tag: Option<&Value>) -> &'static Locale {
    tag.and_then(Value::as_str).and_then(Locale::find).unwrap_or_else(Locale::usual)
}

/// The locale that a filter is asked for, in its place or by the word `language`; the page's when none
/// is named. A filter of amounts or dates takes no other word.
pub(super) fn choose_locale(
    state: &State<'_, '_>,
    tag: Option<&str>,
    options: &Kwargs,
) -> Result<&'static Locale, Error> {
    let tag = match tag {
        Some(tag) => Some(tag),
        None => options.get("language")?,
    };
    options.assert_all_used()?;
    let Some(tag) = tag else { return Ok(page_locale(state)) };
    Locale::find(tag).ok_or_else(|| {
        let message = format!("there is no language `{tag}` for amounts and dates");
        let near = nearest(tag, Locale::tags()).map(|near| format!("did you mean `{near}`?"));
        let hint = near.unwrap_or_else(|| "write its two letters, such as `de` or `pt-PT`".into());
        refuse(message, hint)
    })
}
