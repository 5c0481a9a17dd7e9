//! Rows that are no parcels: counted, and named.
//!
//! In: rows, and the rules of the map bound to their columns. Out: which rule leaves a row out, and at
//! the end a note for each rule that did, so that nothing is missing without a word. Not here: the
//! rules themselves (`map`).

use super::cells::{DecimalMark, ExportRecord};
use super::map::Binding;
use crate::findings::{Finding, rules};

/// How many orders are named by one note.
const NAMED: usize = 12;

/// Ids that are counted, the first of them kept.
#[derive(Clone, Debug, Default)]
struct CountedIds {
    /// How many there are.
    count: usize,
    /// The first of them, each once.
    first: Vec<String>,
}

impl CountedIds {
    /// Counts an order or row, and keeps its id if it is among the first.
    fn add(&mut self, id: &str) {
        self.count += 1;
        if self.first.len() < NAMED && !self.first.iter().any(|known| known == id) {
            self.first.push(crate::words::shorten(id));
        }
    }

    /// Their names as a list.
    fn list(&self) -> String {
        let named: Vec<String> = self.first.iter().map(|id| format!("`{id}`")).collect();
        let more = if self.count > named.len() && named.len() == NAMED { ", …" } else { "" };
        format!("{}{more}", named.join(", "))
    }
}

/// How much one rule left out, and of which orders.
#[derive(Clone, Debug, Default)]
struct LeftOutByRule {
    /// Whole orders.
    orders: CountedIds,
    /// Rows of orders that have others.
    rows: CountedIds,
    /// Rows without an order number.
    nameless: usize,
    /// What the cell held the last time that it held something, for the rows below.
    before: String,
}

/// What all rules left out.
pub(super) struct LeftOut {
    /// What each did, in the order of the map.
    rules: Vec<LeftOutByRule>,
    /// The id of the row before.
    id: String,
    /// The decimal mark of the map.
    mark: Option<DecimalMark>,
}

impl LeftOut {
    /// Nothing yet.
    pub(super) fn new(binding: &Binding<'_>, mark: Option<DecimalMark>) -> LeftOut {
        let rules = vec![LeftOutByRule::default(); binding.rules.len()];
        LeftOut { rules, id: String::new(), mark }
    }

    /// The rule that leaves a row out, if any. An order's later rows that leave a cell empty are
    /// judged by what stands above.
    pub(super) fn judge(
        &mut self,
        binding: &Binding<'_>,
        record: &ExportRecord,
        id: &str,
    ) -> Option<usize> {
        if binding.rules.is_empty() {
            return None;
        }
        let same = !id.is_empty() && self.id == id;
        self.id.clear();
        self.id.push_str(id);
        let mut first = None;
        for (index, (rule, column)) in binding.rules.iter().enumerate() {
            let cell = record.cell(*column).unwrap_or_default();
            let cell = cell.trim();
            let before = &mut self.rules[index].before;
            if !(same && rule.is_of_order() && cell.is_empty()) {
                before.clear();
                before.push_str(cell);
            }
            if first.is_none() && rule.leaves_out(before, self.mark) {
                first = Some(index);
            }
        }
        first
    }

    /// Counts an order that was left out whole.
    pub(super) fn count_order(&mut self, rule: usize, id: &str) {
        self.rules[rule].orders.add(id);
    }

    /// Counts a row of an order that has others; of none when it has no number.
    pub(super) fn count_row(&mut self, rule: usize, id: &str) {
        match id {
            "" => self.rules[rule].nameless += 1,
            id => self.rules[rule].rows.add(id),
        }
    }

    /// How many orders were left out whole.
    pub(super) fn count_orders(&self) -> usize {
        self.rules.iter().map(|rule| rule.orders.count).sum()
    }

    /// How many rows were left out beside them.
    pub(super) fn count_rows(&self) -> usize {
        self.rules.iter().map(|rule| rule.rows.count + rule.nameless).sum()
    }

    /// What was left out, rule by rule.
    pub(super) fn tell(&self, binding: &Binding<'_>) -> Vec<Finding> {
        let mut found = Vec::new();
        for (left, (rule, _)) in self.rules.iter().zip(&binding.rules) {
            let mut said = Vec::new();
            match left.orders.count {
                0 => {}
                1 => said.push(format!("order {} is left out", left.orders.list())),
                many => said.push(format!("{many} orders are left out: {}", left.orders.list())),
            }
            match left.rows.count {
                0 => {}
                1 => said.push(format!("a row of order {} is left out", left.rows.list())),
                many => said.push(format!(
                    "{many} rows of orders that stay are left out: {}",
                    left.rows.list()
                )),
            }
            match left.nameless {
                0 => {}
                1 => said.push("a row without an order number is left out".to_owned()),
                many => said.push(format!("{many} rows without an order number are left out")),
            }
            if !said.is_empty() {
                found.push(
                    Finding::new(&rules::ROWS_LEFT_OUT, said.join("; ")).at(rule.span).path("rows"),
                );
            }
        }
        found
    }
}
