//! The carrier's table: tracking numbers, and what it calls each parcel by.
//!
//! In: CSV, a spreadsheet or JSON, as a carrier's page or a script hands it out. Out: the numbers, each
//! with an order's id or a pair code and its place; check digits are verified. Or everything that is
//! wrong. Not here: which parcel an id or pair code means.

use std::io;

use crate::fields::{LONG_ID, TRACKING, tracking_key};
use crate::findings::{FewOfEach, Finding, Severity, has_errors, rules};
use crate::intake::{ExportRecord, IntakeError, list_records};
use crate::record::{Kind, Record, RecordCheck, check, check_kind, optional, required};
use crate::source::{Sources, Span};
use crate::tree::{Node, Value, json};
use crate::words::{did_you_mean, list_words, shorten};

/// Names of the column with ids or pair codes, in small letters, where none is given.
const OF_COLUMNS: [&str; 6] = ["id", "order", "order number", "reference", "pair", "pair code"];
/// Names of the column with tracking numbers, in small letters, where none is given.
const TRACKING_COLUMNS: [&str; 4] =
    ["tracking", "tracking number", "tracking_number", "tracking no"];

/// An entry of a JSON table.
static NUMBER: Record = Record {
    name: "tracking number",
    doc: "A tracking number, and the order or parcel that it is for.",
    fields: &[
        optional("id", Kind::Scalar(&LONG_ID), "the order's id"),
        optional("pair", Kind::Scalar(&LONG_ID), "the parcel's pair code, in place of the id"),
        required("tracking", Kind::Scalar(&TRACKING), "the tracking number"),
    ],
};

/// A tracking number as a carrier gave it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CarrierNumber {
    /// The id of an order, or a parcel's pair code.
    pub of: Box<str>,
    /// The tracking number, as the carrier wrote it.
    pub tracking: Box<str>,
    /// Where it stands.
    pub span: Span,
}

/// The columns of a carrier's table, where they are not called as usual.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NumberColumns {
    /// The column with ids or pair codes.
    pub of: Option<Box<str>>,
    /// The column with tracking numbers; when none, it is looked for by its usual names.
    pub tracking: Option<Box<str>>,
}

/// Reads a carrier's table. Rows without a tracking number are told and left out.
///
/// # Errors
/// When anything is wrong with it: all that was found.
pub fn read_carrier_numbers(
    bytes: &[u8],
    name: &str,
    columns: &NumberColumns,
    sources: &mut Sources,
) -> Result<(Vec<CarrierNumber>, Vec<Finding>), Vec<Finding>> {
    let first = bytes.iter().find(|byte| !byte.is_ascii_whitespace());
    let mut found = Vec::new();
    let numbers = match (first, std::str::from_utf8(bytes)) {
        (Some(b'[' | b'{'), Ok(text)) => read_json(text, name, sources, &mut found),
        _ => read_rows(bytes, name, columns, sources, &mut found),
    };
    refuse_doubled(&numbers, &mut found);
    if numbers.is_empty() && !has_errors(&found) {
        let message = format!("`{name}` has no tracking numbers");
        found.push(
            Finding::new(&rules::NO_TABLE, message)
                .hint("give a table with a column of ids or pair codes and one of numbers"),
        );
    }
    if has_errors(&found) { Err(found) } else { Ok((numbers, found)) }
}

/// Reads `[{"id": …, "tracking": …}, …]`, or such an object a line.
fn read_json(
    text: &str,
    name: &str,
    sources: &mut Sources,
    out: &mut Vec<Finding>,
) -> Vec<CarrierNumber> {
    let file = sources.add(name, text);
    let nodes: Result<Vec<Node>, Finding> = json::read_values(text, file)
        .and_then(|pieces| pieces.into_iter().map(json::JsonPiece::to_node).collect());
    let nodes = match nodes {
        Ok(nodes) => nodes,
        Err(fault) => {
            out.push(fault);
            return Vec::new();
        }
    };
    let nodes = nodes.iter().flat_map(|node| match &node.value {
        Value::List(items) => items.as_slice(),
        _ => std::slice::from_ref(node),
    });
    let mut numbers = Vec::new();
    for (index, node) in nodes.enumerate() {
        // Whatever else a carrier says of a parcel is its own business.
        let how = RecordCheck { unknown: Severity::Note, ..RecordCheck::STRICT };
        let is_good = check(node, &NUMBER, &format!("[{index}]"), how, out);
        out.retain(|found| !(is_good && found.is(&rules::UNKNOWN_FIELD)));
        if !is_good {
            continue;
        }
        let text = |name| node.get(name).and_then(Node::literal).filter(|text| !text.is_empty());
        match (text("id"), text("pair"), text("tracking")) {
            (Some(of), None, Some(tracking)) | (None, Some(of), Some(tracking)) => {
                numbers.push(CarrierNumber {
                    of: of.into(),
                    tracking: tracking.into(),
                    span: node.span,
                });
            }
            (_, _, Some(_)) => out.push(
                Finding::new(&rules::MISSING_ID, "this tracking number is for no one parcel")
                    .at(node.span)
                    .hint("give either `id` or `pair`"),
            ),
            (_, _, None) => out.push(without_number(node.span)),
        }
    }
    numbers
}

/// Reads rows of cells.
fn read_rows(
    bytes: &[u8],
    name: &str,
    columns: &NumberColumns,
    sources: &mut Sources,
    out: &mut Vec<Finding>,
) -> Vec<CarrierNumber> {
    let open = || Ok(Box::new(io::Cursor::new(bytes.to_vec())) as Box<dyn io::Read>);
    let rows = match list_records(&open, name, sources) {
        Ok((rows, intake)) => {
            out.extend(intake.findings);
            rows
        }
        Err(IntakeError::Read(error) | IntakeError::Write(error)) => {
            out.push(Finding::new(&rules::UNREADABLE, format!("`{name}`: {error}")));
            return Vec::new();
        }
    };
    if has_errors(out) {
        return Vec::new();
    }
    let Some((header, rows)) = rows.split_first() else { return Vec::new() };
    let of = find_column(header, columns.of.as_deref(), &OF_COLUMNS, name);
    let tracking = find_column(header, columns.tracking.as_deref(), &TRACKING_COLUMNS, name);
    let (of, tracking) = match (of, tracking) {
        (Ok(of), Ok(tracking)) => (of, tracking),
        (of, tracking) => {
            out.extend(of.err().into_iter().chain(tracking.err()));
            return Vec::new();
        }
    };
    let mut found = FewOfEach::default();
    let numbers = rows.iter().filter_map(|row| {
        let file = sources.add_part(name, row.text.as_str(), row.line);
        let place = |index: usize| {
            let range = row.cells.get(index).map_or(0..0, |cell| cell.0.clone());
            Span::new(file, range.start, range.end)
        };
        let text = |index: usize| row.cell(index).unwrap_or_default().trim().to_owned();
        read_row(
            PlacedCell { text: text(of), span: place(of) },
            PlacedCell { text: text(tracking), span: place(tracking) },
            &mut found,
        )
    });
    let numbers = numbers.collect();
    out.extend(found.finish());
    numbers
}

/// What a cell of a carrier's table says.
struct PlacedCell {
    /// Its text, without white space around it.
    text: String,
    /// Where it stands.
    span: Span,
}

/// A parcel and its number; rows without either are passed over, and half a row is told of.
fn read_row(of: PlacedCell, tracking: PlacedCell, found: &mut FewOfEach) -> Option<CarrierNumber> {
    match (of.text.is_empty(), tracking.text.is_empty()) {
        (true, true) => return None,
        (false, true) => {
            found.push(without_number(of.span));
            return None;
        }
        (true, false) => {
            let message = "this tracking number is for no one parcel";
            found.push(
                Finding::new(&rules::MISSING_ID, message)
                    .at(tracking.span)
                    .hint("write the order's id or the pair code into this row"),
            );
            return None;
        }
        (false, false) => {}
    }
    let node = Node { span: tracking.span, value: Value::Text(tracking.text.clone()) };
    let mut wrong = Vec::new();
    check_kind(&node, Kind::Scalar(&TRACKING), "tracking", RecordCheck::STRICT, &mut wrong);
    let is_good = wrong.is_empty();
    wrong.into_iter().for_each(|fault| found.push(fault));
    is_good.then(|| CarrierNumber {
        of: of.text.into(),
        tracking: tracking.text.into(),
        span: tracking.span,
    })
}

/// What is said of a row without a number.
fn without_number(span: Span) -> Finding {
    Finding::new(&rules::NO_TRACKING, "this row has no tracking number and is left out").at(span)
}

/// The index of a column: the one that was named, or the only one that is called as usual.
fn find_column(
    header: &ExportRecord,
    wanted: Option<&str>,
    usual: &[&str],
    file: &str,
) -> Result<usize, Finding> {
    let cells = (0..header.cells.len()).filter_map(|index| header.cell(index));
    let names: Vec<String> = cells.map(|cell| cell.trim().to_owned()).collect();
    let fits = |name: &String| match wanted {
        Some(wanted) => *name == wanted,
        None => usual.contains(&&*name.to_lowercase()),
    };
    let fitting: Vec<usize> = (0..names.len()).filter(|&index| fits(&names[index])).collect();
    match fitting[..] {
        // Which of them has the shop's ids, and which the carrier's own, nobody can tell by their names.
        [first, second, ..] if wanted.is_none() => {
            let [first, second] = [first, second].map(|index| shorten(&names[index]));
            let message =
                format!("`{file}` has two columns that may be meant: `{first}` and `{second}`");
            return Err(Finding::new(&rules::TWO_COLUMNS, message));
        }
        [first, ..] => return Ok(first),
        [] => {}
    }
    let known: Vec<&str> = names.iter().map(String::as_str).collect();
    let shown: Vec<String> = known.iter().take(12).map(|name| shorten(name)).collect();
    let message = match wanted {
        Some(wanted) => format!("`{file}` has no column `{wanted}`"),
        None => format!("`{file}` has no column called {}", list_words(usual.iter().copied())),
    };
    let near = wanted.and_then(|wanted| did_you_mean(wanted, &known));
    let listed = list_words(shown.iter().map(String::as_str));
    Err(Finding::new(&rules::UNKNOWN_COLUMN, message)
        .hint(near.unwrap_or_else(|| format!("say which column it is; there are {listed}"))))
}

/// Reports numbers that stand in the table for two parcels, and parcels that have two numbers.
fn refuse_doubled(numbers: &[CarrierNumber], out: &mut Vec<Finding>) {
    let mut by_number = std::collections::BTreeMap::new();
    let mut by_parcel = std::collections::BTreeMap::new();
    for number in numbers {
        let first = by_number.entry(tracking_key(&number.tracking)).or_insert(number);
        if first.of != number.of {
            let message = format!(
                "the tracking number `{}` stands here for `{}` and for `{}`",
                number.tracking, first.of, number.of
            );
            out.push(
                Finding::new(&rules::TWO_VALUES, message)
                    .at(number.span)
                    .related(first.span, "the first is here")
                    .hint("ask the carrier which of the two has it"),
            );
        }
        let first = by_parcel.entry(&number.of).or_insert(number);
        if tracking_key(&first.tracking) != tracking_key(&number.tracking) {
            let message = format!(
                "`{}` has two tracking numbers here: `{}` and `{}`",
                number.of, first.tracking, number.tracking
            );
            out.push(
                Finding::new(&rules::TWO_VALUES, message)
                    .at(number.span)
                    .related(first.span, "the first is here")
                    .hint("leave in the row that holds"),
            );
        }
    }
}
