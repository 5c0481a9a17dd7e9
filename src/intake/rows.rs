//! The rows of an export: checked for their shape, and those of one order gathered.
//!
//! In: records below the header. Out: one [`Group`] after the other; only one is held. Not here:
//! what an order is made of (`group`).

use super::cells::{Cell, ExportRecord};
use super::group::Group;
use super::left_out::LeftOut;
use super::map::{Assignment, Binding, is_cancelled, quote};
use super::repeated::{SeenRows, doubt_twin, whole};
use super::report::ExportReport;
use super::values::{Given, ValueReader};
use crate::findings::{Finding, rules};
use crate::source::{FileId, Sources, Span};
use crate::words::{list_words, shorten};

/// Takes rows in and hands over orders.
pub(super) struct Rows<'a> {
    /// The fields and their columns.
    binding: &'a Binding<'a>,
    /// Reads cells by the map.
    pub(super) values: ValueReader<'a>,
    /// Whether the row that was taken last has no number and belongs to no order.
    pub(super) refused_row: bool,
    /// What the map's rules left out.
    pub(super) left_out: LeftOut,
    /// The order whose rows are being gathered.
    group: Option<Group>,
    /// The rows of all orders, it too.
    seen: SeenRows,
}

impl<'a> Rows<'a> {
    /// No rows yet.
    pub(super) fn new(binding: &'a Binding<'a>, values: ValueReader<'a>) -> Rows<'a> {
        let left_out = LeftOut::new(binding, values.mark());
        let seen = SeenRows::new(binding);
        Rows { binding, values, refused_row: false, left_out, group: None, seen }
    }

    /// Takes a row; hands over the order before it when the row starts a new one.
    pub(super) fn take(
        &mut self,
        record: &ExportRecord,
        report: &mut ExportReport<'_>,
        sources: &mut Sources,
    ) -> Option<Group> {
        if record.is_blank() {
            return None;
        }
        let mut found = Vec::new();
        let given: Vec<Given> = self
            .binding
            .fields
            .iter()
            .map(|(assignment, columns)| read_given(record, assignment, columns))
            .collect();
        // The table's first field is the id, and a map has it.
        let id = given.first().map(|given| given.join(" ")).unwrap_or_default();
        let left_out = self.left_out.judge(self.binding, record, &id);
        let same = self.group.as_ref().is_some_and(|group| group.id == id);
        if let Some(rule) = left_out
            && (id.is_empty() || !same && self.seen.first_line(&id).is_some())
        {
            self.left_out.count_row(rule, &id);
            return None;
        }
        if !same && let Some(found) = self.seen.find_again(&id, record) {
            report.take(vec![found], &record.text, record.line, sources);
            return None;
        }
        if left_out.is_none() {
            check_shape(record, self.binding, &mut found);
            found.extend(doubt_row(record, self.binding, &id));
        }
        if id.is_empty() {
            let columns = self.binding.fields.first().map(|(it, _)| it.describe());
            let message = format!("this row has no order number{}", columns.unwrap_or_default());
            let column = self.binding.fields.first().and_then(|(it, _)| it.columns.first());
            let column = quote(column.map_or("…", |(name, _)| name));
            found.push(Finding::new(&rules::MISSING_ID, message).at(whole(record)).hint(format!(
                "give each row its order's number, or leave such rows out in the map: \
                 `rows: [{{column: {column}, empty: true}}]`"
            )));
            report.take(found, &record.text, record.line, sources);
            self.refused_row = true;
            return None;
        }
        let first = self.seen.first_line(&id);
        let twin = self.seen.keep(&id, record).filter(|_| same && left_out.is_none());
        found.extend(twin.map(|line| doubt_twin(&id, line, record)));
        let finished = if same { None } else { self.start(id, first, record, &mut found) };
        if let Some(group) = &mut self.group {
            let start = u32::try_from(group.text.len()).unwrap_or(u32::MAX);
            for span in found.iter_mut().filter_map(|found| found.span.as_mut()) {
                *span = Span { start: span.start + start, end: span.end + start, ..*span };
            }
            group.found.extend(found);
            group.add_row(record, given, left_out, self.binding);
        }
        finished
    }

    /// Starts an order, of which another row stood in line `first`; hands over the one before it.
    fn start(
        &mut self,
        id: String,
        first: Option<u32>,
        record: &ExportRecord,
        found: &mut Vec<Finding>,
    ) -> Option<Group> {
        let finished = self.finish();
        if let Some(first) = first {
            let message = format!(
                "order `{}` comes again: its other rows start in line {first}, and other orders \
                 stand between",
                shorten(&id)
            );
            let column = self.binding.fields.first().and_then(|(it, _)| it.columns.first());
            let column = column.map_or("its number", |(name, _)| name.as_str());
            found.push(
                Finding::new(&rules::SPLIT_ORDER, message)
                    .at(whole(record))
                    .hint(format!("sort the rows by `{column}`, or correct the number")),
            );
        }
        self.group = Some(Group::new(id, record.line, self.binding.fields.len()));
        finished
    }

    /// Hands over the last order.
    pub(super) fn finish(&mut self) -> Option<Group> {
        self.group.take()
    }
}

/// The warning about a row that says it is cancelled, in a column that no field uses.
fn doubt_row(record: &ExportRecord, binding: &Binding<'_>, id: &str) -> Option<Finding> {
    let watched = binding.watched.iter().map(|index| (*index, false));
    let asked = binding.rules.iter().filter(|(rule, _)| rule.is_of_order());
    let asked = asked.map(|(_, index)| (*index, true));
    if id.is_empty() {
        return None;
    }
    watched.chain(asked).find_map(|(index, by_rule)| {
        let cell = record.cell(index)?;
        let cell = cell.trim();
        if !is_cancelled(cell) {
            return None;
        }
        let (name, word) = (&binding.names[index], shorten(cell));
        let message =
            format!("order `{}` says `{word}` in column `{name}` and is taken in", shorten(id));
        let (name, word) = (quote(name), quote(&word));
        let place = &record.cells.get(index)?.0;
        let hint = if by_rule {
            format!("add {word} to the rule of this column under `rows` if it is no parcel")
        } else {
            format!(
                "if it is no parcel, write `rows: [{{column: {name}, is: {word}}}]` into the map; \
                 if it is one, name the column under `ignore`"
            )
        };
        let place = Span::new(FileId::UNPLACED, place.start, place.end);
        Some(Finding::new(&rules::CANCELLED_ROW, message).at(place).hint(hint))
    })
}

/// Reports cells that have no column, and columns that have no cells.
fn check_shape(record: &ExportRecord, binding: &Binding<'_>, found: &mut Vec<Finding>) {
    let wanted = binding.names.len();
    let count = record.cells.len();
    let place = |cell: &Cell| Span::new(FileId::UNPLACED, cell.0.start, cell.0.end);
    let says = |index: usize| record.cell(index).is_some_and(|text| !text.trim().is_empty());
    if let Some(index) = (wanted..count).find(|index| says(*index)) {
        found.push(
            Finding::new(&rules::LONG_ROW, format!("expected {wanted} cells, found {count}"))
                .at(place(&record.cells[index]))
                .hint("put cells that hold the separator into quotes, or give the column a name"),
        );
    }
    for index in (0..wanted.min(count)).filter(|index| !binding.named[*index] && says(*index)) {
        let text = record.cell(index).unwrap_or_default();
        let message = format!("`{}` stands in a column without a name", shorten(text.trim()));
        found.push(
            Finding::new(&rules::NAMELESS_COLUMN, message)
                .at(place(&record.cells[index]))
                .hint("it is not used; give the column a name in the file's first row to use it"),
        );
    }
    if count < wanted {
        let missing = list_words(binding.names[count..].iter().map(String::as_str));
        found.push(
            Finding::new(&rules::SHORT_ROW, format!("expected {wanted} cells, found {count}"))
                .at(whole(record))
                .hint(format!("taken as empty: {missing}; see whether the row is whole")),
        );
    }
}

/// The cells of a field in a row, or its constant.
fn read_given(record: &ExportRecord, assignment: &Assignment, columns: &[usize]) -> Given {
    if !assignment.always.is_empty() {
        return Given { parts: assignment.always.clone() };
    }
    let cells = columns.iter().map(|&index| {
        let text = record.cell(index).unwrap_or_default();
        let text = unwrap_formula(text.trim());
        let range = record.cells.get(index).map_or(0..0, |cell| cell.0.clone());
        let replaced = assignment.words.iter().find(|(word, _)| text.to_lowercase() == *word);
        let text = replaced.map_or(text, |(_, meaning)| meaning);
        (text.to_owned(), Span::new(FileId::UNPLACED, range.start, range.end))
    });
    Given { parts: cells.collect() }
}

/// The text of a cell that is written as a formula, `="00123"`, to keep a spreadsheet from
/// changing it.
fn unwrap_formula(text: &str) -> &str {
    let inner = text.strip_prefix("=\"").and_then(|rest| rest.strip_suffix('"'));
    inner.map_or(text, str::trim)
}
