//! All rows of an export looked over for those that are probably no parcels.
//!
//! In: rows, one by one. Out: the lines for `rows:` of a first map, each with how often its kind of row
//! was seen, for a person to look through. Of the cells only a few short ones are kept. Not here:
//! leaving rows out.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use rust_decimal::Decimal;

use super::cells::{DecimalMark, ExportRecord};
use super::map::{is_cancelled, is_total, quote, read_signed, says_something};
use crate::words::counted;

/// The different words of a column that are counted; a column with more holds no states.
const MOST_WORDS: usize = 12;

/// The longest cell that is counted, in bytes.
const LONGEST: usize = 40;

/// What a column is to the map.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ColumnKind {
    /// The name of a person, a company or a town: any word may be one.
    Name,
    /// Another field: its words are no states, though a sum may stand in it.
    Field,
    /// No field.
    Open,
}

/// What the cells of one column say, as far as it matters here.
#[derive(Clone, Debug, Default)]
struct ColumnSurvey {
    /// Its different words and how often each stands there; none once there were too many.
    words: Vec<(String, usize)>,
    /// Whether there were too many different words.
    varied: bool,
    /// Whether one of them says that a row is cancelled.
    cancels: bool,
    /// Words for totals, each once.
    totals: Vec<String>,
    /// How many rows have one of those.
    total_rows: usize,
    /// How many cells hold more than no or zero.
    filled: usize,
}

/// What the rows of a file say.
pub(super) struct Survey {
    /// What the cells of each hold, in the order of the file.
    columns: Vec<ColumnSurvey>,
    /// The column with the item's number of pieces, when it is known.
    quantity: Option<usize>,
    /// How many rows have less than one piece.
    without_pieces: usize,
    /// How many rows there are.
    rows: usize,
}

impl Survey {
    /// Nothing seen yet; `quantity` is the column with the number of pieces.
    pub(super) fn new(columns: usize, quantity: Option<usize>) -> Survey {
        let columns = vec![ColumnSurvey::default(); columns];
        Survey { columns, quantity, without_pieces: 0, rows: 0 }
    }

    /// Looks at a row.
    pub(super) fn look(&mut self, record: &ExportRecord) {
        self.rows += 1;
        for (index, survey) in self.columns.iter_mut().enumerate() {
            let Some(cell) = record.cell(index) else { break };
            let cell = cell.trim();
            if cell.is_empty() {
                continue;
            }
            survey.look(cell);
            if Some(index) == self.quantity {
                let number = read_signed(cell, Some(DecimalMark::Point));
                let number = number.or_else(|| read_signed(cell, Some(DecimalMark::Comma)));
                self.without_pieces += usize::from(number.is_some_and(|it| it < Decimal::ONE));
            }
        }
    }

    /// The lines of a first map, if there are any; the columns that they name go to `ruled`. `kind` tells what each
    /// column is to the map.
    pub(super) fn write_rules(
        &self,
        names: &[String],
        kind: impl Fn(usize) -> ColumnKind,
        ruled: &mut BTreeSet<usize>,
    ) -> String {
        let mut text = String::new();
        for (index, (survey, name)) in self.columns.iter().zip(names).enumerate() {
            let before = text.len();
            let asked = match kind(index) {
                _ if name.is_empty() => continue,
                ColumnKind::Name => continue,
                ColumnKind::Field => ColumnSurvey { cancels: false, ..survey.clone() },
                ColumnKind::Open => survey.clone(),
            };
            let by_name = kind(index) == ColumnKind::Open && is_cancelled(name);
            asked.write_rule(&quote(name), by_name, self.rows, &mut text);
            if text.len() > before {
                ruled.insert(index);
            }
        }
        if let Some(quantity) = self.quantity.filter(|_| self.without_pieces > 0) {
            let name = quote(&names[quantity]);
            let rows = counted(self.without_pieces, "row");
            let _ = writeln!(text, "  - {{column: {name}, below: 1}}   # {rows}");
        }
        match text.is_empty() {
            true => text,
            false => format!(
                "rows:   # rows that are no parcels are left out, counted and named\n{text}"
            ),
        }
    }
}

impl ColumnSurvey {
    /// Looks at a cell that is not empty.
    fn look(&mut self, cell: &str) {
        if cell.len() > LONGEST {
            self.varied = true;
            return;
        }
        self.filled += usize::from(says_something(cell));
        if is_total(cell) {
            self.total_rows += 1;
            if self.totals.len() < MOST_WORDS && !self.totals.iter().any(|known| known == cell) {
                self.totals.push(cell.to_owned());
            }
            return;
        }
        if self.varied {
            return;
        }
        let known = self.words.iter().position(|(known, _)| known.eq_ignore_ascii_case(cell));
        match known {
            Some(at) => self.words[at].1 += 1,
            None if self.words.len() == MOST_WORDS => self.varied = true,
            None => {
                self.cancels |= is_cancelled(cell);
                self.words.push((cell.to_owned(), 1));
            }
        }
    }

    /// The rule for a column, if it needs one; `by_name` tells whether its name alone says that what
    /// it holds is cancelled.
    fn write_rule(&self, name: &str, by_name: bool, rows: usize, text: &mut String) {
        if self.total_rows > 0 {
            let words: Vec<String> = self.totals.iter().map(|word| quote(word)).collect();
            let (words, rows) = (words.join(", "), counted(self.total_rows, "row"));
            let _ = writeln!(text, "  - {{column: {name}, is: [{words}]}}   # {rows}");
        }
        if self.cancels && !self.varied {
            let (gone, stay): (Vec<_>, Vec<_>) =
                self.words.iter().partition(|(word, _)| is_cancelled(word));
            let words: Vec<String> = gone.iter().map(|(word, _)| quote(word)).collect();
            let rows = counted(gone.iter().map(|(_, count)| count).sum::<usize>(), "row");
            let stay: Vec<String> = stay.iter().map(|(word, _)| quote(word)).collect();
            let also = match &stay[..] {
                [] => String::new(),
                stay => format!("; these stay: {}", stay.join(", ")),
            };
            let words = words.join(", ");
            let _ = writeln!(text, "  - {{column: {name}, is: [{words}]}}   # {rows}{also}");
        } else if by_name && self.filled > 0 && self.filled < rows {
            let rows = counted(self.filled, "row");
            let _ = writeln!(text, "  - {{column: {name}, filled: true}}   # {rows}");
        }
    }
}
