//! Rows of seats become lines. Comes in: the cleaned parts, the country's
//! record and the country line (only to see what it already says); goes out:
//! the lines above the country line. Not its job: which seat is where (`seats`).

use super::capitals::capitalise;
use super::country::Country;
use super::postcode::{in_form, without_prefix};
use super::seats::{FormatRow, Seat, seat_parts};
use super::text::{has_other_script, is_unspaced};
use super::{AddressLine, CleanParts, Part, Role};

/// Lays the parts out as lines, the country line not among them.
pub(super) fn lay_lines(
    mut values: CleanParts,
    country: &Country,
    country_line: Option<&str>,
) -> Vec<AddressLine> {
    let format = if is_local(&values) { country.local } else { country.latin };
    // Without a country line it stays in the country.
    let format = if country_line.is_some() { format.into() } else { country.at_home(format) };
    let rows = seat_parts(&format, country.prefix, &mut values, country_line);
    rows.iter()
        .flat_map(|row| match row {
            FormatRow::Fixed(text) => split_lines(text, Role::Locality),
            FormatRow::Seats(seats) => lay_row(seats, &values, country),
        })
        .collect()
}

/// Whether the address is written in another script than Latin: the parts that
/// the post sorts by decide, the street if they have no letters.
fn is_local(values: &CleanParts) -> bool {
    let sorted = [Part::City, Part::Region, Part::District].map(|part| values.get(part));
    let sorted = sorted.concat();
    if sorted.chars().any(char::is_alphabetic) {
        has_other_script(&sorted)
    } else {
        has_other_script(values.get(Part::Street))
    }
}

/// Sets one row; no line if none of its parts was given.
fn lay_row(seats: &[Seat], values: &CleanParts, country: &Country) -> Vec<AddressLine> {
    let mut text = String::new();
    let mut laid: Vec<Part> = Vec::new();
    // Gaps since the last part that was set, those of empty seats among them.
    let mut gaps: Vec<&str> = Vec::new();
    for seat in seats {
        gaps.push(&seat.gap);
        if !values.has(seat.part) {
            continue;
        }
        let part = write_part(seat, values, country);
        if let Some(before) = laid.last() {
            let gap = choose_gap(&gaps, *before, seat.part);
            text.push_str(fill_gap(gap, &text, &part));
        }
        text.push_str(&part);
        laid.push(seat.part);
        gaps.clear();
    }
    split_lines(&text, role_of(&laid))
}

/// The part's text in the country's capitals, behind its prefix unless it
/// carries that already; a postcode in the country's own form.
fn write_part(seat: &Seat, values: &CleanParts, country: &Country) -> String {
    let given = values.get(seat.part);
    if seat.part == Part::Postcode
        && is_ascii_written(given)
        && let Some(form) = in_form(country, given)
    {
        return format!("{}{form}", seat.prefix);
    }
    let text = if country.capitals(seat.part) {
        capitalise(given, country.capital_i())
    } else {
        String::from(given)
    };
    if without_prefix(&text, &seat.prefix).is_some() {
        text
    } else {
        format!("{}{text}", seat.prefix)
    }
}

/// Whether all letters and digits are those of ASCII; others, such as full-width ones, are kept.
fn is_ascii_written(text: &str) -> bool {
    text.chars().all(|c| c.is_ascii() || !c.is_alphanumeric())
}

/// Of the gaps on both sides of empty seats, the one that reads well: a plain
/// space beside a postcode, else the first with a comma or dash.
fn choose_gap<'a>(gaps: &[&'a str], before: Part, after: Part) -> &'a str {
    let by_postcode = before == Part::Postcode || after == Part::Postcode;
    let plain = |gap: &&&str| gap.trim().is_empty() == by_postcode;
    let chosen = gaps.iter().find(plain).or_else(|| gaps.first());
    chosen.copied().unwrap_or(" ")
}

/// An empty gap stays empty only where the script sets words without spaces.
fn fill_gap<'a>(gap: &'a str, before: &str, after: &str) -> &'a str {
    let unspaced = |c: Option<char>| c.is_some_and(is_unspaced);
    let joined = unspaced(before.chars().next_back()) && unspaced(after.chars().next());
    if gap.is_empty() && !joined { " " } else { gap }
}

/// What a line with these parts tells.
fn role_of(parts: &[Part]) -> Role {
    if parts.contains(&Part::Street) {
        return Role::Street;
    }
    match parts {
        [Part::Name, ..] => Role::Name,
        [Part::Company, ..] => Role::Company,
        [Part::CareOf, ..] => Role::CareOf,
        [Part::Phone, ..] => Role::Phone,
        [Part::District] => Role::District,
        _ => Role::Locality,
    }
}

/// Parts a text at its line ends; each line without space at its ends.
fn split_lines(text: &str, role: Role) -> Vec<AddressLine> {
    let lines = text.split('\n').map(str::trim);
    lines
        .filter(|text| !text.is_empty())
        .map(|text| AddressLine { text: String::from(text), role })
        .collect()
}
