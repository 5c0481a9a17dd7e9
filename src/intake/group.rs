//! The rows of one order, gathered and made into an order.
//!
//! In: rows that share an id. Out: the order as a node, or everything that is wrong with it. What
//! belongs to the order is taken from the first row that gives it; a later row that says otherwise
//! is at fault, because one of the two would be lost. Not here: which rows belong together
//! (`rows`).

use super::cells::ExportRecord;
use super::making::{Making, put};
use super::map::{Assignment, Binding};
use super::report::strip_indexes;
use super::taxes::read_taxes;
use super::values::{Given, ValueReader};
use crate::findings::{Finding, Subject, rules};
use crate::limits::{GROUP_BYTES, GROUP_ROWS};
use crate::orders::{check_whole_order, doubt_quantity};
use crate::source::{FileId, Span};
use crate::tree::{Node, Value};
use crate::words::shorten;

/// The rows of one order so far.
pub(super) struct Group {
    /// The order's id.
    pub(super) id: String,
    /// The file's line where its first row starts.
    pub(super) line: usize,
    /// What its rows say, as they stand in the file.
    pub(super) text: String,
    /// What was found while they were gathered.
    pub(super) found: Vec<Finding>,
    /// Whether a row of it stays, and the rules that left others out, by row.
    pub(super) stays: bool,
    /// The rules that left rows of it out.
    pub(super) left_out: Vec<usize>,
    /// How many rows there are.
    rows: usize,
    /// The cells of the order's own fields, by field.
    values: Vec<Option<Given>>,
    /// The cells of each item's fields, by field, and the row's place.
    items: Vec<(Vec<Option<Given>>, Span)>,
}

/// An order that was made of rows.
pub(super) struct MadeOrder {
    /// What the orders file will have, each value with the cell it came from.
    pub(super) node: Node,
    /// How many items it has.
    pub(super) items: usize,
}

impl Group {
    /// The start of an order, without rows yet.
    pub(super) fn new(id: String, line: usize, fields: usize) -> Group {
        Group {
            id,
            line,
            text: String::new(),
            found: Vec::new(),
            stays: false,
            left_out: Vec::new(),
            rows: 0,
            values: vec![None; fields],
            items: Vec::new(),
        }
    }

    /// Adds a row; of one that a rule leaves out only what it says of the order itself, because other
    /// rows of the order often leave that to the first. `given` are its cells by field, with places
    /// in the row.
    pub(super) fn add_row(
        &mut self,
        record: &ExportRecord,
        mut given: Vec<Given>,
        left_out: Option<usize>,
        binding: &Binding<'_>,
    ) {
        self.stays |= left_out.is_none();
        self.left_out.extend(left_out);
        self.rows += 1;
        if self.rows > GROUP_ROWS {
            return self.refuse_row(&format!("{GROUP_ROWS} rows"));
        }
        if self.text.len() + record.text.len() > GROUP_BYTES {
            return self.refuse_row(&format!("{} MB", GROUP_BYTES >> 20));
        }
        let start = self.text.len();
        self.text.push_str(&record.text);
        let row = Span::new(FileId::UNPLACED, start, start + record.text.trim_end().len());
        for (_, span) in given.iter_mut().flat_map(|given| &mut given.parts) {
            if span.file == FileId::UNPLACED {
                *span =
                    Span::new(span.file, start + span.start as usize, start + span.end as usize);
            }
        }
        let mut item = vec![None; given.len()];
        let mut has_item = false;
        for (index, given) in given.into_iter().enumerate() {
            let (assignment, columns) = &binding.fields[index];
            if given.is_empty() {
                continue;
            }
            if assignment.target.is_item() {
                // A constant alone is no item.
                has_item |= !columns.is_empty();
                item[index] = Some(given);
            } else {
                self.keep(index, given, assignment);
            }
        }
        if has_item && left_out.is_none() {
            self.items.push((item, row));
        }
    }

    /// Keeps what a row says of the order, unless an earlier row said otherwise.
    fn keep(&mut self, index: usize, given: Given, assignment: &Assignment) {
        let Some(first) = &self.values[index] else {
            self.values[index] = Some(given);
            return;
        };
        if first.says_same(&given) {
            return;
        }
        let (before, now) = (shorten(&first.join(" ")), shorten(&given.join(" ")));
        let mut fault = Finding::new(
            &rules::TWO_VALUES,
            format!("expected `{before}`, as in the order's first row, found `{now}`"),
        )
        .path(assignment.path())
        .hint("an order has one of it: make both the same, or give each row an order of its own");
        fault.span = given.span();
        if let Some(span) = first.span() {
            fault = fault.related(span, "the order's first row has it here");
        }
        self.found.push(fault);
    }

    /// Reports an order of more rows than any has; those after are not held.
    fn refuse_row(&mut self, most: &str) {
        if self.found.iter().any(|found| found.is(&rules::TOO_MANY_ROWS)) {
            return;
        }
        let message = format!("expected at most {most} of one order, found more");
        self.found.push(
            Finding::new(&rules::TOO_MANY_ROWS, message)
                .at(Span::new(FileId::UNPLACED, 0, self.text.lines().next().map_or(0, str::len)))
                .hint("see whether `id` names the right column: all these rows have one number"),
        );
    }

    /// Makes the order; what is wrong with it stands in [`Group::found`] afterwards.
    pub(super) fn finish(
        &mut self,
        binding: &Binding<'_>,
        values: &mut ValueReader<'_>,
    ) -> Option<MadeOrder> {
        let span = Span::new(FileId::UNPLACED, 0, self.text.trim_end().len());
        let mut making = Making { found: Vec::new(), prices: Vec::new(), values };
        let mut order = Node { span, value: Value::Map(Vec::new()) };
        for (index, (assignment, _)) in binding.fields.iter().enumerate() {
            let is_one =
                assignment.patterns.is_empty() && assignment.target.field_of_tax().is_none();
            if let Some(given) = self.values[index].as_ref().filter(|_| is_one) {
                let name = assignment.path();
                if let Some(node) = making.read(assignment, given, name.clone()) {
                    put(&mut order, &name, node);
                }
            }
        }
        for (index, (assignment, _)) in binding.fields.iter().enumerate() {
            if let Some(given) =
                self.values[index].as_ref().filter(|_| !assignment.patterns.is_empty())
            {
                making.take_apart(assignment, given, &mut order);
            }
        }
        let taxes = read_taxes(&self.values, binding, &mut making);
        if !taxes.is_empty() {
            put(&mut order, "tax", Node { span, value: Value::List(taxes) });
        }
        let mut items = Vec::new();
        for (cells, row) in &self.items {
            let mut item = Node { span: *row, value: Value::Map(Vec::new()) };
            for (index, given) in cells.iter().enumerate() {
                let Some(given) = given else { continue };
                let (assignment, _) = &binding.fields[index];
                let name = assignment.path();
                let name = name.trim_start_matches("items.");
                let path = format!("items[{}].{name}", items.len());
                if let Some(node) = making.read(assignment, given, path) {
                    put(&mut item, name, node);
                }
            }
            making.found.extend(doubt_pieces(cells, *row, items.len(), binding));
            items.push(item);
        }
        let count = items.len();
        if count > 0 {
            put(&mut order, "items", Node { span, value: Value::List(items) });
        }
        making.settle_currency(&mut order);
        let mut found = making.found;
        check(&order, binding, &mut found);
        self.found.extend(found);
        for finding in &mut self.found {
            name_column(finding, binding);
            finding.subject = Some(Subject { order: self.id.clone(), position: None });
        }
        (!crate::findings::has_errors(&self.found))
            .then_some(MadeOrder { node: order, items: count })
    }
}

/// The doubt about an item whose cell in the column of quantities is empty.
fn doubt_pieces(
    cells: &[Option<Given>],
    row: Span,
    item: usize,
    binding: &Binding<'_>,
) -> Option<Finding> {
    let named = |(assignment, columns): &(&Assignment, Vec<usize>)| {
        assignment.target.name == "items.qty" && !columns.is_empty()
    };
    let index = binding.fields.iter().position(named)?;
    let doubt = || doubt_quantity().at(row).path(format!("items[{item}].qty"));
    cells.get(index)?.is_none().then(doubt)
}

/// Checks an order as the reader of orders will; a missing country is told in words of our own.
fn check(order: &Node, binding: &Binding<'_>, found: &mut Vec<Finding>) {
    let has_fault = |found: &[Finding], path: &str| {
        found.iter().any(|it| it.is_error() && it.path.as_deref() == Some(path))
    };
    let country = order.get("ship_to").and_then(|ship_to| ship_to.get("country"));
    if country.is_none() && !has_fault(found, "ship_to.country") {
        let columns = binding.fields.iter().find(|(it, _)| it.target.name == "ship_to.country");
        let columns = columns.map(|(assignment, _)| assignment.describe()).unwrap_or_default();
        found.push(
            Finding::new(&rules::MISSING_COUNTRY, format!("this order names no country{columns}"))
                .at(order.span)
                .hint(
                    "fill it in; if all of them go to one country, write \
                     `ship_to.country: {always: GB}` into the map",
                ),
        );
    }
    let mut more = Vec::new();
    let _ = check_whole_order(order, "", &mut more);
    more.retain(|it| {
        let about_country =
            ["`country`", "`ship_to`"].iter().any(|field| it.message.ends_with(field));
        !(it.is(&rules::MISSING_FIELD) && about_country)
    });
    found.extend(more);
}

/// Says in which columns a value stands, and gives a way out where there is none yet.
fn name_column(finding: &mut Finding, binding: &Binding<'_>) {
    let path = finding.path.as_deref().map(strip_indexes).unwrap_or_default();
    let field = binding.fields.iter().find(|(assignment, _)| assignment.target.name == path);
    if let Some((assignment, _)) = field {
        finding.message.push_str(&assignment.describe());
    }
    if finding.hints.is_empty() && finding.is_error() {
        finding.hints.push("correct it in the export".into());
    }
}
