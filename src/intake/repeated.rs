//! Rows that say letter for letter what another row of their order says.
//!
//! In: the rows of orders as they come. Out: the line that a row repeats, and what is to be told of it. Further
//! down, where the rows of other orders stand between, it is the same row again: two downloads that overlap were
//! put together. Right below each other they may be two pieces, and stay. Not here: which rows are an order's
//! (`rows`).

use std::collections::HashMap;

use super::cells::ExportRecord;
use super::map::Binding;
use crate::findings::{Finding, rules};
use crate::hash::StableHash;
use crate::source::{FileId, Span};
use crate::words::shorten;

/// A row that was seen: its line, and the hash of what it says.
#[derive(Clone, Copy, Debug)]
struct SeenRow {
    /// The file's line where it starts.
    line: u32,
    /// The hash of its text.
    says: u64,
}

/// The rows of all orders so far; asked, never walked.
pub(super) struct SeenRows {
    /// By the order's id.
    orders: HashMap<Box<str>, Vec<SeenRow>, foldhash::fast::FixedState>,
    /// Whether a row tells how many pieces there are, so that a second piece is no second row.
    counts_pieces: bool,
}

impl SeenRows {
    /// None yet.
    pub(super) fn new(binding: &Binding<'_>) -> SeenRows {
        let is_item = |name: &str| name.starts_with("items.");
        let mut named = binding.fields.iter().filter(|(_, columns)| !columns.is_empty());
        let has_items = named.clone().any(|(it, _)| is_item(it.target.name));
        let counts = named.any(|(it, _)| it.target.name == "items.qty");
        let orders = HashMap::with_hasher(foldhash::fast::FixedState::default());
        SeenRows { orders, counts_pieces: counts || !has_items }
    }

    /// The line of an order's first row, if there was one.
    pub(super) fn first_line(&self, id: &str) -> Option<u32> {
        self.orders.get(id)?.first().map(|row| row.line)
    }

    /// Keeps a row of an order; the line of the row that it repeats.
    pub(super) fn keep(&mut self, id: &str, record: &ExportRecord) -> Option<u32> {
        let says = hash(record);
        let line = u32::try_from(record.line).unwrap_or(u32::MAX);
        if !self.orders.contains_key(id) {
            self.orders.insert(id.into(), Vec::with_capacity(1));
        }
        let rows = self.orders.get_mut(id)?;
        let same = rows.iter().find(|row| row.says == says).map(|row| row.line);
        rows.push(SeenRow { line, says });
        same.filter(|_| self.counts_pieces)
    }

    /// What is told of a row below other orders that says what a row of its own order said; none when it says
    /// something else, or may be another piece.
    pub(super) fn find_again(&self, id: &str, record: &ExportRecord) -> Option<Finding> {
        let says = hash(record);
        let rows = self.orders.get(id).filter(|_| self.counts_pieces)?;
        let line = rows.iter().find(|row| row.says == says)?.line;
        let id = shorten(id);
        let message = format!(
            "this row of order `{id}` says all that line {line} says, and is left out: other orders stand \
             between"
        );
        let hint = "nothing is to be done if two downloads overlap; if it is another piece, put it \
                    right below the other row";
        Some(Finding::new(&rules::REPEATED_ROW, message).at(whole(record)).hint(hint))
    }
}

/// What is told of a row right below one that says the same.
pub(super) fn doubt_twin(id: &str, line: u32, record: &ExportRecord) -> Finding {
    let message = format!(
        "this row of order `{}` says all that line {line} says; both are taken in",
        shorten(id)
    );
    let hint =
        "nothing is to be done if they are two pieces; if it is the same one, take the row out";
    Finding::new(&rules::TWIN_ROW, message).at(whole(record)).hint(hint)
}

/// A record's place in its own text, without its line end.
pub(super) fn whole(record: &ExportRecord) -> Span {
    Span::new(FileId::UNPLACED, 0, record.text.trim_end().len())
}

/// The hash of what a row says.
fn hash(record: &ExportRecord) -> u64 {
    StableHash::new().field(record.text.trim_end()).finish()
}
