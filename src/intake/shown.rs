//! What the cells of a column show of how they are to be read: the decimal mark, kilograms, several
//! parts of an address.
//!
//! In: the cells of a first map's columns. Out: what they show, or that they do not tell. Not here:
//! the map's text (`propose`).

use super::cells::{DecimalMark, ExportRecord, NumberFault, parse_number, split_around};
use super::columns::{FieldColumns, cells_of, first_column};
use super::map::guess_postcode_and_city;
use crate::address::named_countries;

/// The decimal mark of a column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum ShownMark {
    /// This one: some cells can be read with no other.
    Only(DecimalMark),
    /// This number can be read with either.
    Either(String),
    /// There are no decimals, or some of either kind.
    Nothing,
}

/// The decimal mark that cells show.
pub(super) fn shown_mark(cells: impl Iterator<Item = String>) -> ShownMark {
    let (mut point, mut comma, mut either) = (false, false, None);
    for cell in cells {
        let number = split_around(&cell).1;
        match parse_number(number, None) {
            Err(NumberFault::OtherMark(DecimalMark::Comma)) => comma = true,
            Err(NumberFault::Ambiguous(..)) => either = either.or(Some(number.to_owned())),
            Ok(digits) if digits.contains('.') => point = true,
            _ => {}
        }
    }
    match (point, comma, either) {
        (true, false, _) => ShownMark::Only(DecimalMark::Point),
        (false, true, _) => ShownMark::Only(DecimalMark::Comma),
        (false, false, Some(number)) => ShownMark::Either(number),
        _ => ShownMark::Nothing,
    }
}

/// Whether weights without a unit are probably kilograms: some have decimals, and none is as large as
/// a parcel's in grams.
pub(super) fn seems_kilograms(cells: impl Iterator<Item = String>) -> bool {
    let mut decimals = false;
    for cell in cells {
        let (_, number, after) = split_around(&cell);
        let whole: String = number.chars().take_while(char::is_ascii_digit).collect();
        if !after.is_empty() || whole.len() > 2 {
            return false;
        }
        decimals |= number.len() > whole.len();
    }
    decimals
}

/// The column that holds several parts of an address, and its pattern: postcode and town by its name,
/// a whole address by its cells.
pub(super) fn propose_pattern(
    names: &[String],
    rows: &[ExportRecord],
    fields: &[FieldColumns],
) -> Option<(usize, String)> {
    let has = |name: &str| first_column(fields, name).is_some();
    if has("ship_to.postcode") && has("ship_to.city") {
        return None;
    }
    let pair = names.iter().position(|name| guess_postcode_and_city(name));
    if let Some(column) = pair {
        return Some((column, "{postcode} {city}".to_owned()));
    }
    if has("ship_to.postcode") || has("ship_to.city") {
        return None;
    }
    let column = first_column(fields, "ship_to.lines")?;
    let pattern = whole_address(cells_of(rows, column).take(20).collect(), !has("ship_to.name"))?;
    Some((column, pattern))
}

/// The pattern of whole addresses; none when the cells hold no such addresses.
fn whole_address(cells: Vec<String>, with_name: bool) -> Option<String> {
    let mark = if cells.iter().all(|cell| cell.contains('\n')) { '\n' } else { ',' };
    let parted: Vec<Vec<&str>> = cells
        .iter()
        .map(|cell| cell.split(mark).map(str::trim).filter(|part| !part.is_empty()).collect())
        .collect();
    let with_country = parted.iter().all(|parts| parts.last().is_some_and(|it| is_country(it)));
    let least = 2 + usize::from(with_name) + usize::from(with_country);
    if cells.is_empty() || parted.iter().any(|parts| parts.len() < least) {
        return None;
    }
    let town = parted[0][parted[0].len() - 1 - usize::from(with_country)];
    let has_digit = |word: Option<&str>| {
        word.is_some_and(|word| word.bytes().any(|byte| byte.is_ascii_digit()))
    };
    let town = match has_digit(town.split_whitespace().next()) {
        true => "{postcode} {city}",
        false if has_digit(town.split_whitespace().last()) => "{city} {postcode}",
        false => return None,
    };
    let parts = [
        with_name.then_some("{name}"),
        Some("{lines}"),
        Some(town),
        with_country.then_some("{country}"),
    ];
    let between = if mark == '\n' { "\n" } else { ", " };
    Some(parts.into_iter().flatten().collect::<Vec<_>>().join(between))
}

/// Whether a text names a country.
fn is_country(text: &str) -> bool {
    text.len() <= 60 && !named_countries(text).is_empty()
}
