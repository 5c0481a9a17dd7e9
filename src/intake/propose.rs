//! A first map for an export, guessed from its columns and the cells below them.
//!
//! In: the file. Out: a map as text, to be looked through by a person: what was guessed says so,
//! what was not recognised is listed. Not here: using it.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use super::cells::{DateForm, DecimalMark, ExportRecord, Unit, parse_date};
use super::columns::{FieldColumns, cells_of, choose_columns, first_column, is_free};
use super::map::{
    Guess, Standing, Takes, Target, column_names, currency_in, quote, separator_name,
};
use super::open::{HowToRead, Stop, open_export, stop};
use super::report::ExportReport;
use super::shown::{ShownMark, propose_pattern, seems_kilograms, shown_mark};
use super::survey::{ColumnKind, Survey};
use super::values::words_for_no;
use super::{Intake, IntakeError, OpenExport};
use crate::parcel::MassUnit;
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
    let mut survey = Survey::new(proposal.names.len(), proposal.column_of("items.qty"));
    proposal.rows.iter().for_each(|row| survey.look(row));
    // Totals stand in the last row, and cancelled orders anywhere.
    loop {
        match opened.read(&mut record) {
            Ok(true) => survey.look(&record),
            Ok(false) => break,
            Err(fault) => return failed(fault, report, sources),
        }
    }
    let mut file = String::new();
    if let Some(separator) = opened.separator() {
        let _ = writeln!(file, "separator: {}", separator_name(separator));
    }
    if let Some(sheet) = opened.sheet.as_ref().filter(|sheet| !sheet.others.is_empty()) {
        let _ = writeln!(file, "sheet: {}", quote(&sheet.name));
    }
    opened.notes.drain(..).for_each(|note| report.say(note));
    let intake = Intake { findings: report.finish(), ..Intake::default() };
    let mut ruled = BTreeSet::new();
    let rules = survey.write_rules(&proposal.names, |index| proposal.kind_of(index), &mut ruled);
    Ok((proposal.write(&file, &rules, ruled), intake))
}

/// What was guessed.
struct Proposal {
    /// The columns' names.
    names: Vec<String>,
    /// The first rows.
    rows: Vec<ExportRecord>,
    /// For each field that was recognised, its columns.
    fields: Vec<FieldColumns>,
    /// The column that holds several parts of an address, and its pattern.
    pattern: Option<(usize, String)>,
}

impl Proposal {
    /// Guesses from names and rows.
    fn new(names: Vec<String>, rows: Vec<ExportRecord>) -> Proposal {
        let mut fields = choose_columns(&names, &rows);
        let pattern = propose_pattern(&names, &rows, &fields);
        if let Some((column, _)) = pattern {
            for (_, columns) in &mut fields {
                columns.retain(|(index, _)| *index != column);
            }
            fields.retain(|(_, columns)| !columns.is_empty());
        }
        Proposal { names, rows, fields, pattern }
    }

    /// The first column of a field, if it was recognised.
    fn column_of(&self, name: &str) -> Option<usize> {
        first_column(&self.fields, name)
    }

    /// What a column is to the rules for rows.
    fn kind_of(&self, index: usize) -> ColumnKind {
        let holds = |(_, columns): &&FieldColumns| columns.iter().any(|(at, _)| *at == index);
        match self.fields.iter().find(holds).map(|(target, _)| target.name) {
            Some("ship_to.name" | "ship_to.company" | "ship_to.city") => ColumnKind::Name,
            Some(_) => ColumnKind::Field,
            None => ColumnKind::Open,
        }
    }

    /// The cells of a column that say something.
    fn cells(&self, index: usize) -> impl Iterator<Item = String> {
        cells_of(&self.rows, index)
    }

    /// The cells of all columns of some kinds.
    fn cells_of(&self, kinds: &[Takes]) -> Vec<String> {
        let fields = self.fields.iter().filter(|(target, _)| kinds.contains(&target.takes));
        let columns = fields.flat_map(|(_, columns)| columns.iter().map(|(index, _)| *index));
        columns.flat_map(|index| self.cells(index)).collect()
    }

    /// The decimal mark that the prices show, else most columns of numbers, a point when none does; and a number that
    /// can be read either way, when nothing tells which it is.
    fn decimal(&self) -> (DecimalMark, Option<String>) {
        let kinds = [Takes::Price, Takes::Weight, Takes::Count, Takes::Size];
        let shown_of = |takes: &Takes| {
            let fields = self.fields.iter().filter(move |(target, _)| target.takes == *takes);
            let columns = fields.flat_map(|(_, columns)| columns);
            columns.map(|(index, _)| shown_mark(self.cells(*index))).collect::<Vec<_>>()
        };
        // Prices are what most files have, and what a wrong mark harms most.
        if let Some(ShownMark::Only(mark)) = shown_of(&Takes::Price).first() {
            return (*mark, None);
        }
        let shown: Vec<ShownMark> = kinds.iter().flat_map(shown_of).collect();
        let count = |mark| shown.iter().filter(|shown| **shown == ShownMark::Only(mark)).count();
        let (point, comma) = (count(DecimalMark::Point), count(DecimalMark::Comma));
        let either = shown.into_iter().find_map(|shown| match shown {
            ShownMark::Either(example) => Some(example),
            _ => None,
        });
        match (point, comma) {
            (0, 0) => (DecimalMark::Point, either),
            _ if comma > point => (DecimalMark::Comma, None),
            _ => (DecimalMark::Point, None),
        }
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
    fn write(&self, file: &str, rules: &str, ruled: BTreeSet<usize>) -> String {
        let mut text = String::from(
            "# A first map, guessed from the names of the columns. Look it through, then:\n\
             #   slipwright intake FILE --map THIS -o orders.json\n",
        );
        text.push_str(file);
        let (decimal, either) = self.decimal();
        match either {
            // Taken for granted, a price may be a thousandth of what it is.
            Some(number) => {
                let number = quote(&number);
                let _ = writeln!(
                    text,
                    "#decimal: {}   # point or comma? {number} can be read either way; leave out the first `#`",
                    decimal.word()
                );
            }
            None => {
                let _ = writeln!(text, "decimal: {}", decimal.word());
            }
        }
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
        text.push_str(rules);
        if let Some((column, pattern)) = &self.pattern {
            let column = quote(&self.names[*column]);
            let pattern = serde_json::Value::from(pattern.as_str());
            let _ = writeln!(text, "patterns:   # what stands in one cell");
            let _ = writeln!(text, "  - {{column: {column}, pattern: {pattern}}}");
        }
        text.push_str("fields:\n");
        let by_pattern = self.pattern.as_ref().is_some_and(|(_, it)| it.contains("{country}"));
        for (name, question) in NEEDED {
            let filled = by_pattern && *name == "ship_to.country";
            if !filled && !self.fields.iter().any(|(target, _)| target.name == *name) {
                let _ = writeln!(text, "  {name}:   # {question}");
            }
        }
        for (target, columns) in &self.fields {
            let source = self.write_source(target, columns, decimal);
            let doubt = self.write_doubt(target, columns);
            let _ = writeln!(text, "  {}: {source}{doubt}", target.name);
            if self.is_on_top(target, columns) {
                let _ = writeln!(text, "  tax.on_top: {{always: true}}");
            }
        }
        if let Some(currency) = self.named_currency() {
            let _ = writeln!(text, "  currency: {{always: {currency}}}");
        }
        self.write_others(ruled, &mut text);
        text
    }

    /// The currency that the name of a column of prices ends with, as in `Price (EUR)`, where no column has it.
    fn named_currency(&self) -> Option<String> {
        if self.column_of("currency").is_some() {
            return None;
        }
        let is_price = |target: &Target| matches!(target.takes, Takes::Price | Takes::Discount);
        let prices = self.fields.iter().filter(|(target, _)| is_price(target));
        let mut names = prices.flat_map(|(_, columns)| columns).map(|(at, _)| &self.names[*at]);
        names.find_map(|name| currency_in(name))
    }

    /// Whether columns hold a tax that comes on top of the prices, by their names.
    fn is_on_top(&self, target: &Target, columns: &[(usize, Guess)]) -> bool {
        let says_so =
            |(index, _): &(usize, Guess)| self.names[*index].to_lowercase().contains("sales tax");
        target.name == "tax.amount" && columns.iter().any(says_so)
    }

    /// What a person should look at beside a source.
    fn write_doubt(&self, target: &Target, columns: &[(usize, Guess)]) -> String {
        let [(index, guess)] = columns else { return String::new() };
        if target.name == "tax.amount" && !self.is_on_top(target, columns) {
            return "   # in the prices? for one on top of them: tax.on_top: {always: true}"
                .to_owned();
        }
        if target.name != "items.weight_g" {
            return String::new();
        }
        let unit = match guess.unit {
            None if seems_kilograms(self.cells(*index)) => "kg because of its decimals; ",
            _ => "",
        };
        match (unit, guess.standing == Standing::Told) {
            ("", true) => String::new(),
            (unit, true) => format!("   # {}", unit.trim_end_matches("; ")),
            (unit, false) => {
                format!("   # {unit}of one item? the packed parcel's is parcel.weight_g")
            }
        }
    }

    /// What stands after a field's name; the file's decimals have the mark `decimal`.
    fn write_source(
        &self,
        target: &Target,
        columns: &[(usize, Guess)],
        decimal: DecimalMark,
    ) -> String {
        let names: Vec<String> =
            columns.iter().map(|(index, _)| quote(&self.names[*index])).collect();
        let unit =
            columns.iter().find_map(|(_, guess)| guess.unit).filter(|unit| match target.takes {
                Takes::Weight => matches!(unit, Unit::Mass(_)),
                Takes::Size => matches!(unit, Unit::Length(_)),
                _ => false,
            });
        let kilograms = Unit::Mass(MassUnit::Kilogram);
        let unit = match columns {
            [(index, _)] if unit.is_none() && target.takes == Takes::Weight => {
                seems_kilograms(self.cells(*index)).then_some(kilograms)
            }
            _ => unit,
        };
        let list = format!("[{}]", names.join(", "));
        let mut settings = String::new();
        if let Some(unit) = unit {
            settings.push_str(&format!(", unit: {}", unit.symbol()));
        }
        if let [(index, _)] = columns
            && matches!(target.takes, Takes::Price | Takes::Weight | Takes::Size | Takes::Count)
            && let ShownMark::Only(mark) = shown_mark(self.cells(*index))
            && mark != decimal
        {
            settings.push_str(&format!(", decimal: {}", mark.word()));
        }
        if let (Takes::Hazard, [(index, _)], [one]) = (target.takes, columns, &names[..]) {
            let no = words_for_no(self.cells(*index));
            let words: Vec<String> =
                no.iter().map(|word| format!("{}: none", quote(word))).collect();
            if !words.is_empty() {
                return format!("{{column: {one}, words: {{{}}}}}", words.join(", "));
            }
        }
        if let ("shipping", [(index, _)]) = (target.name, columns) {
            let mut free: Vec<String> = self.cells(*index).filter(|cell| is_free(cell)).collect();
            free.sort();
            free.dedup();
            if !free.is_empty() {
                let words: Vec<String> =
                    free.iter().map(|word| format!("{}: 0", quote(word))).collect();
                settings.push_str(&format!(", words: {{{}}}", words.join(", ")));
            }
        }
        match (&*settings, &names[..]) {
            ("", [one]) => one.clone(),
            ("", _) => list,
            (settings, [one]) => format!("{{column: {one}{settings}}}"),
            (settings, _) => format!("{{columns: {list}{settings}}}"),
        }
    }

    /// The columns that were not recognised, and are not used by rules or patterns either.
    fn write_others(&self, mut used: BTreeSet<usize>, text: &mut String) {
        let by_fields = self.fields.iter().flat_map(|(_, columns)| columns);
        let by_pattern = self.pattern.iter().map(|(index, _)| *index);
        used.extend(by_fields.map(|(index, _)| *index).chain(by_pattern));
        let others: Vec<&String> = (0..self.names.len())
            .filter(|index| !used.contains(index) && !self.names[*index].is_empty())
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
