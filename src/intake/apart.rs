//! A cell that holds several parts of an address, taken apart by the map's patterns.
//!
//! In: the cell, the patterns, and the order's country where another column gives it. Out: the fields
//! that it fills, or the complaint with a way out. Patterns are tried in their order; one that could
//! be read in two ways is never read in either. Not here: how a pattern is matched (`map::pattern`).

use super::map::{CellParts, CellPattern, PATTERN_FIELDS, PatternFault, describe_parts, quote};
use super::values::ValueReader;
use crate::address::postcode_fits;
use crate::findings::{Finding, rules};
use crate::words::shorten;

/// The text of one part among the parts of a cell.
fn part<'a>(parts: &'a CellParts, name: &str) -> Option<&'a str> {
    let found = parts.iter().find(|(part, _)| PATTERN_FIELDS[*part].0 == name);
    found.map(|(_, text)| text.as_str())
}

/// The fields that a cell fills, each with its text; lines of a street end with LF.
///
/// # Errors
/// The complaint about a cell that no pattern takes apart in one way.
pub(super) fn take_cell_apart(
    patterns: &[CellPattern],
    cell: &str,
    country: Option<&str>,
    values: &mut ValueReader<'_>,
) -> Result<Vec<(&'static str, String)>, Finding> {
    for pattern in patterns {
        let mut is_likely = |parts: &CellParts| {
            let named = part(parts, "country").map(|text| values.country_of(text));
            if named == Some(None) {
                return false;
            }
            let code = named.flatten().map(|code| code.as_str().to_owned());
            let code = code.as_deref().or(country);
            match (code, part(parts, "postcode")) {
                (Some(code), Some(postcode)) => postcode_fits(code, postcode).unwrap_or(true),
                _ => true,
            }
        };
        match pattern.take_apart(cell, &mut is_likely) {
            Ok(parts) => return Ok(fill_fields(parts, values)),
            Err(PatternFault::NoMatch) => {}
            Err(PatternFault::Several(one, other)) => {
                let (one, other) = (describe_parts(&one), describe_parts(&other));
                let message = format!("`{}` can be {one}, or {other}", shorten(cell));
                return Err(Finding::new(&rules::TWO_WAYS, message).hint(
                    "mark the parts off by a comma in the export, and in the pattern: \
                     `pattern: \"{city}, {region}\"`",
                ));
            }
            Err(PatternFault::TooMany) => {
                let message = format!("`{}` can be taken apart in too many ways", shorten(cell));
                return Err(Finding::new(&rules::TWO_WAYS, message)
                    .hint("give each part a column of its own in the export"));
            }
        }
    }
    Err(explain_no_match(patterns, cell, country))
}

/// The fields of parts; a country by its two letters.
fn fill_fields(parts: CellParts, values: &mut ValueReader<'_>) -> Vec<(&'static str, String)> {
    let fields = parts.into_iter().map(|(part, text)| {
        let (name, target) = PATTERN_FIELDS[part];
        let code = if name == "country" { values.country_of(&text) } else { None };
        (target, code.map_or(text, |code| code.as_str().to_owned()))
    });
    fields.collect()
}

/// What stands before a postcode that is one without it, such as `D-`.
fn find_prefix<'a>(postcode: &'a str, country: &str) -> Option<&'a str> {
    let (prefix, _) = postcode.split_at(postcode.find('-')? + 1);
    let fits = postcode_fits(country, postcode[prefix.len()..].trim()) == Some(true);
    fits.then_some(prefix)
}

/// The complaint about a cell that has none of the forms; a postcode alone may be the reason.
fn explain_no_match(patterns: &[CellPattern], cell: &str, country: Option<&str>) -> Finding {
    let shown = shorten(&cell.replace('\n', " / "));
    let forms: Vec<String> =
        patterns.iter().map(|pattern| format!("`{}`", pattern.text.replace('\n', " / "))).collect();
    let message = format!("`{shown}` does not have the form {}", forms.join(" or "));
    let fault = Finding::new(&rules::NO_MATCH, message);
    let any = patterns.iter().find_map(|pattern| pattern.take_apart(cell, &mut |_| true).ok());
    let postcode = any.as_ref().and_then(|parts| part(parts, "postcode"));
    match (postcode, country) {
        (Some(postcode), Some(country)) if let Some(prefix) = find_prefix(postcode, country) => {
            let first = patterns.first().map(|it| it.text.as_str()).unwrap_or_default();
            let other = first.replace("{postcode}", &format!("{prefix}{{postcode}}"));
            let (first, other) = (quote(first), quote(&other));
            fault.hint(format!("give the form with `{prefix}` too: `pattern: [{first}, {other}]`"))
        }
        (Some(postcode), Some(country)) => fault
            .hint(format!("`{postcode}` is no postcode of `{country}`: correct one of the two")),
        _ => fault.hint(format!(
            "correct it in the export, or give the form it has too: `pattern: [{}, …]`",
            patterns.first().map(|pattern| quote(&pattern.text)).unwrap_or_default()
        )),
    }
}
