//! What went, as a CSV file that the shop takes in.
//!
//! In: a map and the orders that went. Out: the file's bytes, after RFC 4180, or everything that keeps
//! it from being written: nothing is cut, and no letter is replaced by another. Not here: which orders
//! the shop is to be told of.

use encoding_rs::Encoding;

use super::Dispatched;
use super::map::{ColumnHolds, DispatchColumn, DispatchMap, FormulaCells};
use crate::findings::{FewOfEach, Finding, rules};

/// The marks that make a formula of a cell that begins with one: OWASP Application Security
/// Verification Standard 5.0, requirement 1.2.10. The line ends are ours: a spreadsheet may trim them.
const FORMULA_MARKS: [char; 8] = ['=', '+', '-', '@', '\t', '\0', '\r', '\n'];

/// Writes the file; what is wrong goes to `out`, and then there is none.
#[must_use]
pub fn write_dispatches(
    map: &DispatchMap,
    orders: &[Dispatched],
    out: &mut Vec<Finding>,
) -> Option<Vec<u8>> {
    let mut found = FewOfEach::default();
    let mut text = String::new();
    let names = map.columns.iter().map(|column| (column, column.name.clone()));
    write_row(map, names, "the first row", &mut text, &mut found);
    for order in orders {
        let cells = map.columns.iter().map(|column| {
            let cell = make_cell(map, column, order);
            (column, guard(map, column, order, cell, &mut found))
        });
        let cells: Vec<_> = cells.collect();
        write_row(
            map,
            cells.into_iter(),
            &format!("order `{}`", order.order),
            &mut text,
            &mut found,
        );
    }
    let has_errors = found.has_errors();
    out.extend(found.finish());
    (!has_errors).then(|| encode(&text, map.encoding))
}

/// What a column says of an order.
fn make_cell(map: &DispatchMap, column: &DispatchColumn, order: &Dispatched) -> String {
    let field = match &column.holds {
        ColumnHolds::Always(text) => return text.clone(),
        ColumnHolds::Field(field) => field,
    };
    let own = (field.show)(order, map.form);
    if let Some((_, word)) = column.words.iter().find(|(text, _)| *text == own) {
        return word.clone();
    }
    if own.is_empty() { column.empty.clone() } else { own }
}

/// A cell that no spreadsheet runs, as the map wants it. What the map itself says is the seller's own.
fn guard(
    map: &DispatchMap,
    column: &DispatchColumn,
    order: &Dispatched,
    cell: String,
    found: &mut FewOfEach,
) -> String {
    let is_own = matches!(column.holds, ColumnHolds::Always(_));
    if is_own || !cell.starts_with(FORMULA_MARKS) {
        return cell;
    }
    match map.formulas {
        FormulaCells::Keep => cell,
        FormulaCells::Quote => format!("'{cell}"),
        FormulaCells::Refuse => {
            let (id, name) = (&order.order, &column.name);
            let message = format!(
                "a spreadsheet would run `{cell}` as a formula: order `{id}`, column `{name}`"
            );
            found.push(Finding::new(&rules::FORMULA_CELL, message).at(column.span).hint(
                "write `formulas: quote` for an apostrophe in front, or `formulas: keep` if the \
                 file never meets a spreadsheet",
            ));
            cell
        }
    }
}

/// Writes a row, quoting what needs it, and reports letters that the encoding lacks.
fn write_row<'a>(
    map: &DispatchMap,
    cells: impl Iterator<Item = (&'a DispatchColumn, String)>,
    place: &str,
    text: &mut String,
    found: &mut FewOfEach,
) {
    for (index, (column, cell)) in cells.enumerate() {
        if let Some(letter) = find_unwritable(&cell, map.encoding) {
            let message = format!(
                "`{}` has no letter `{letter}`: {place}, column `{}`, in `{cell}`",
                map.encoding, column.name
            );
            found.push(Finding::new(&rules::UNWRITABLE_LETTER, message).at(column.span).hint(
                "write `encoding: utf-8` if the shop reads it, or another word with `words`",
            ));
        }
        if index > 0 {
            text.push(char::from(map.separator));
        }
        push_cell(&cell, map.separator, text);
    }
    text.push_str("\r\n");
}

/// Writes a cell, in quotes where RFC 4180 (section 2, rules 5 to 7) asks for them, and where white
/// space at an end could be lost.
fn push_cell(cell: &str, separator: u8, text: &mut String) {
    let is_special = |c: char| matches!(c, '"' | '\r' | '\n') || c == char::from(separator);
    let is_trimmed = cell.trim().len() < cell.len();
    if cell.contains(is_special) || is_trimmed {
        text.push('"');
        text.push_str(&cell.replace('"', "\"\""));
        text.push('"');
    } else {
        text.push_str(cell);
    }
}

/// The first letter of a text that an encoding lacks.
fn find_unwritable(text: &str, encoding: &str) -> Option<char> {
    if matches!(encoding, "utf-8" | "utf-16") || text.is_ascii() {
        return None;
    }
    let known = Encoding::for_label(encoding.as_bytes())?;
    text.chars().find(|letter| known.encode(letter.encode_utf8(&mut [0; 4])).2)
}

/// A text's bytes. UTF-16 is written with its smaller byte first and a mark that says so, as
/// spreadsheets do; the Encoding Standard has no encoder for it.
fn encode(text: &str, encoding: &str) -> Vec<u8> {
    match (encoding, Encoding::for_label(encoding.as_bytes())) {
        ("utf-16", _) => {
            let units = std::iter::once(0xFEFF).chain(text.encode_utf16());
            units.flat_map(u16::to_le_bytes).collect()
        }
        (_, Some(known)) => known.encode(text).0.into_owned(),
        (_, None) => text.as_bytes().to_vec(),
    }
}
