//! A first map for an export, guessed from its columns and the cells below them.
//!
//! In: the file. Out: a map as text, to be looked through by a person: what was guessed says so,
//! what was not recognised is listed. Not here: using it.

use std::fmt::Write as _;

use super::cells::{
    DateForm, DecimalMark, ExportRecord, NumberFault, Unit, parse_date, parse_number, split_around,
};
use super::map::{Guess, TARGETS, Takes, Target, column_names, guess, quote, separator_name};
use super::open::{HowToRead, Stop, open_export, stop};
use super::report::ExportReport;
use super::values::words_for_no;
use super::{Intake, IntakeError, OpenExport};
use crate::source::Sources;

/// Rows looked at for the forms of numbers and dates.
const LOOKED_AT: usize = 300;

/// Proposes a map for an export; the text is empty when there is an error among the findings.
///
/// # Errors
/// When the export itself cannot be read.
pub fn propose_map(
    open: OpenExport<'_>,
    name: &str,
    sources: &mut Sources,
) -> Result<(String, Intake), IntakeError> {
    let mut report = ExportReport::new(name);
    let failed = |reason, report, sources| Ok((String::new(), stop(reason, report, sources)?));
    let mut opened = match open_export(open, HowToRead::default()) {
        Ok(opened) => opened,
        Err(reason) => return failed(reason, report, sources),
    };
    let mut header = ExportRecord::default();
    match opened.read(&mut header) {
        Ok(true) => {}
        Ok(false) => return failed(Stop::Empty, report, sources),
        Err(fault) => return failed(fault, report, sources),
    }
    let mut rows = Vec::new();
    let mut record = ExportRecord::default();
    while rows.len() < LOOKED_AT {
        match opened.read(&mut record) {
            Ok(true) => rows.push(record.clone()),
            Ok(false) => break,
            Err(fault) => return failed(fault, report, sources),
        }
    }
    let proposal = Proposal::new(column_names(&header), rows);
    let mut file = String::new();
    if let Some(separator) = opened.separator() {
        let _ = writeln!(file, "separator: {}", separator_name(separator));
    }
    if let Some(sheet) = opened.sheet.as_ref().filter(|sheet| !sheet.others.is_empty()) {
        let _ = writeln!(file, "sheet: {}", quote(&sheet.name));
    }
    opened.notes.drain(..).for_each(|note| report.say(note));
    let intake = Intake { findings: report.finish(), ..Intake::default() };
    Ok((proposal.write(&file), intake))
}

/// What was guessed.
struct Proposal {
    /// The columns' names.
    names: Vec<String>,
    /// The first rows.
    rows: Vec<ExportRecord>,
    /// For each field that was recognised, its columns.
    fields: Vec<(&'static Target, Vec<(usize, Guess)>)>,
}

impl Proposal {
    /// Guesses from names and rows.
    fn new(names: Vec<String>, rows: Vec<ExportRecord>) -> Proposal {
        let guesses: Vec<Option<Guess>> = names.iter().map(|name| guess(name)).collect();
        let twice = |name: &str| names.iter().filter(|known| *known == name).count() > 1;
        let mut fields = Vec::new();
        for target in TARGETS {
            let mut columns: Vec<(usize, Guess)> = guesses
                .iter()
                .enumerate()
                .filter(|(index, _)| !twice(&names[*index]))
                .filter_map(|(index, guess)| Some((index, (*guess)?)))
                .filter(|(_, guess)| guess.target == target.name)
                .collect();
            if columns.iter().any(|(_, guess)| guess.explicit) {
                columns.retain(|(_, guess)| guess.explicit);
            }
            keep_what_fits(target, &mut columns);
            if !columns.is_empty() {
                fields.push((target, columns));
            }
        }
        Proposal { names, rows, fields }
    }

    /// The cells of a column that say something.
    fn cells(&self, index: usize) -> impl Iterator<Item = String> {
        let cells = self.rows.iter().filter_map(move |row| row.cell(index));
        cells.map(|cell| cell.trim().to_owned()).filter(|cell| !cell.is_empty())
    }

    /// The cells of all columns of some kinds.
    fn cells_of(&self, kinds: &[Takes]) -> Vec<String> {
        let fields = self.fields.iter().filter(|(target, _)| kinds.contains(&target.takes));
        let columns = fields.flat_map(|(_, columns)| columns.iter().map(|(index, _)| *index));
        columns.flat_map(|index| self.cells(index)).collect()
    }

    /// The decimal mark that the cells show; a point when none does.
    fn decimal(&self) -> DecimalMark {
        let cells = self.cells_of(&[Takes::Price, Takes::Weight, Takes::Count]);
        let comma = cells.iter().any(|cell| {
            let read = parse_number(split_around(cell).1, None);
            read == Err(NumberFault::OtherMark(DecimalMark::Comma))
        });
        if comma { DecimalMark::Comma } else { DecimalMark::Point }
    }

    /// The first form that all dates have, and whether it is the only one.
    fn dates(&self) -> Option<(DateForm, bool)> {
        let cells = self.cells_of(&[Takes::Date]);
        let fits = |form: &DateForm| {
            !cells.is_empty() && cells.iter().all(|cell| parse_date(cell, *form).is_some())
        };
        let mut forms = DateForm::ALL.into_iter().filter(fits);
        let first = forms.next()?;
        Some((first, first == DateForm::YearMonthDay || forms.next().is_none()))
    }

    /// The map as text.
    fn write(&self, file: &str) -> String {
        let mut text = String::from(
            "# A first map, guessed from the names of the columns. Look it through, then:\n\
             #   slipwright intake FILE --map THIS -o orders.json\n",
        );
        text.push_str(file);
        let _ = writeln!(text, "decimal: {}", self.decimal().word());
        match self.dates() {
            Some((form, true)) => {
                let _ = writeln!(text, "dates: {}", form.word());
            }
            Some((form, false)) => {
                let _ =
                    writeln!(text, "dates: {}   # or m/d/y: the file does not tell", form.word());
            }
            None => {}
        }
        text.push_str("fields:\n");
        for (name, question) in NEEDED {
            if !self.fields.iter().any(|(target, _)| target.name == *name) {
                let _ = writeln!(text, "  {name}:   # {question}");
            }
        }
        for (target, columns) in &self.fields {
            let _ = writeln!(text, "  {}: {}", target.name, self.write_source(target, columns));
        }
        self.write_others(&mut text);
        text
    }

    /// What stands after a field's name.
    fn write_source(&self, target: &Target, columns: &[(usize, Guess)]) -> String {
        let names: Vec<String> =
            columns.iter().map(|(index, _)| quote(&self.names[*index])).collect();
        let unit =
            columns.iter().find_map(|(_, guess)| guess.unit).filter(|unit| match target.takes {
                Takes::Weight => matches!(unit, Unit::Mass(_)),
                Takes::Size => matches!(unit, Unit::Length(_)),
                _ => false,
            });
        let list = format!("[{}]", names.join(", "));
        if let (Takes::Hazard, [(index, _)], [one]) = (target.takes, columns, &names[..]) {
            let no = words_for_no(self.cells(*index));
            let words: Vec<String> =
                no.iter().map(|word| format!("{}: none", quote(word))).collect();
            if !words.is_empty() {
                return format!("{{column: {one}, words: {{{}}}}}", words.join(", "));
            }
        }
        match (unit, &names[..]) {
            (None, [one]) => one.clone(),
            (None, _) => list,
            (Some(unit), [one]) => format!("{{column: {one}, unit: {}}}", unit.symbol()),
            (Some(unit), _) => format!("{{columns: {list}, unit: {}}}", unit.symbol()),
        }
    }

    /// The columns that were not recognised.
    fn write_others(&self, text: &mut String) {
        let used = |index: usize| {
            self.fields.iter().any(|(_, columns)| columns.iter().any(|(used, _)| *used == index))
        };
        let others: Vec<&String> = (0..self.names.len())
            .filter(|index| !used(*index) && !self.names[*index].is_empty())
            .map(|index| &self.names[index])
            .collect();
        if others.is_empty() {
            return;
        }
        text.push_str(
            "# No field was found for these columns. Give one a field above, or leave out its `#`\n\
             # to ignore it; until then each run names it.\nignore:\n",
        );
        for name in others {
            let _ = writeln!(text, "#  - {}", quote(name));
        }
    }
}

/// The fields that every map needs, and what to ask when none was recognised.
const NEEDED: &[(&str, &str)] = &[
    ("id", "which column has the order's number?"),
    ("ship_to.country", "which column has the country? or, for all: {always: GB}"),
];

/// Leaves a field the columns that it can take: all for names and lines, three or one for a size,
/// else the first.
fn keep_what_fits(target: &Target, columns: &mut Vec<(usize, Guess)>) {
    match (target.takes, target.name) {
        (Takes::List, "ship_to.lines") | (Takes::Paragraph, _) | (_, "ship_to.name") => {}
        (Takes::Size, _) if columns.len() >= 3 => columns.truncate(3),
        _ => columns.truncate(1),
    }
}
