//! Cells that are words: yes and no, what was declared, countries and currencies.

use super::{CellText, ValueFault};
use crate::address::{country_name, named_countries, suggest_countries};
use crate::fields::{Answer, CountryCode, answer_of, is_unsure, tidy_hazard};
use crate::intake::cells::read_money;
use crate::intake::map::{Assignment, quote};
use crate::words::{list_words, shorten};

/// The country that a text names; else a way out.
pub(super) fn find_country(text: &str) -> Result<CountryCode, String> {
    if let Some(code) = CountryCode::parse(&text.to_uppercase()) {
        return Ok(code);
    }
    if let [code] = named_countries(text)[..]
        && let Some(code) = CountryCode::parse(code)
    {
        return Ok(code);
    }
    let likely = suggest_countries(text);
    let named = |code: &&str| format!("`{code}` ({})", country_name(code, "en").unwrap_or(code));
    let listed: Vec<_> = likely.iter().map(named).collect();
    Err(if listed.is_empty() {
        let text = serde_json::Value::from(shorten(text));
        format!("write its two letters, or say what it means in the map: `words: {{{text}: DE}}`")
    } else {
        format!("did you mean {}?", listed.join(" or "))
    })
}

/// A currency by its code in any case, or by a sign that only one has.
pub(super) fn read_currency(cell: &CellText<'_>) -> Result<&'static str, ValueFault> {
    read_money(cell.text).and_then(|money| money.alone).ok_or_else(|| {
        cell.expected(
            "a currency's three capitals, such as `EUR`",
            "use its three capitals in ISO 4217, such as `EUR` or `USD`".into(),
        )
    })
}

/// What was declared of hazards; the map says what a bare yes or no means.
pub(super) fn read_hazard(
    cell: &CellText<'_>,
    assignment: &Assignment,
) -> Result<String, ValueFault> {
    let meaning = match answer_of(cell.text) {
        Some(Answer::No) => "none",
        Some(Answer::Yes) => "what it is",
        None if is_unsure(cell.text) => "none",
        None => return Ok(tidy_hazard(cell.text).to_owned()),
    };
    Err(cell.expected("`none` or what it is", say_meaning(cell, assignment, meaning)))
}

/// The hint to say in the map what a word means.
fn say_meaning(cell: &CellText<'_>, assignment: &Assignment, meaning: &str) -> String {
    let column = assignment.columns.first().map_or_else(|| "…".into(), |(name, _)| quote(name));
    let (name, word) = (assignment.target.name, serde_json::Value::from(shorten(cell.text)));
    format!(
        "say what it means in the map: `{name}: {{column: {column}, words: {{{word}: {meaning}}}}}`"
    )
}

/// The words for no among some cells, in small letters and each once; for a first map.
pub(crate) fn words_for_no(cells: impl Iterator<Item = String>) -> Vec<String> {
    let words = cells.map(|cell| cell.to_lowercase());
    let mut words: Vec<String> = words.filter(|word| answer_of(word) == Some(Answer::No)).collect();
    words.sort_unstable();
    words.dedup();
    words
}

/// Yes or no.
pub(super) fn read_flag(cell: &CellText<'_>, assignment: &Assignment) -> Result<bool, ValueFault> {
    match answer_of(cell.text) {
        Some(answer) => Ok(answer == Answer::Yes),
        None => Err(cell.expected(
            &format!("yes or no, such as {}", list_words(["yes", "x", "no"])),
            say_meaning(cell, assignment, "\"yes\""),
        )),
    }
}
