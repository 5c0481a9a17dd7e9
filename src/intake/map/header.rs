//! The first row of an export: its columns, found by the map's names, and those that nobody asked
//! for.
//!
//! In: the header's record and the map. Out: a [`Binding`], and every mismatch between the two.
//! Not here: the rows below it (`rows`).

use std::collections::BTreeSet;

use super::super::cells::ExportRecord;
use super::IntakeMap;
use super::row_rules::RowRule;
use super::source::{Assignment, quote};
use super::words::{Guess, guess};
use crate::findings::{Finding, Severity, rules};
use crate::source::{Sources, Span};
use crate::words::{did_you_mean, list_words, shorten};

/// The map bound to the columns of a file.
pub(crate) struct Binding<'a> {
    /// Which rows are left out, each rule with the index of its column.
    pub(crate) rules: Vec<(&'a RowRule, usize)>,
    /// The fields, each with the indexes of its columns.
    pub(crate) fields: Vec<(&'a Assignment, Vec<usize>)>,
    /// The names of the columns.
    pub(crate) names: Vec<String>,
    /// The columns that nothing uses and nobody ignores.
    pub(crate) watched: Vec<usize>,
    /// Whether the header has a name for a column at all, by column.
    pub(crate) named: Vec<bool>,
}

/// The names of a header's columns, without white space around them.
pub(crate) fn column_names(header: &ExportRecord) -> Vec<String> {
    let cells = (0..header.cells.len()).filter_map(|index| header.cell(index));
    cells.map(|cell| cell.trim().to_owned()).collect()
}

/// Binds a map to a header; what does not fit goes to `out`.
pub(crate) fn bind<'a>(
    map: &'a IntakeMap,
    header: &ExportRecord,
    file_name: &str,
    sources: &mut Sources,
    out: &mut Vec<Finding>,
) -> Binding<'a> {
    let names = column_names(header);
    let file = sources.add_part(file_name, header.text.as_str(), header.line);
    let place = |index: usize| {
        let range = header.cells.get(index).map_or(0..0, |cell| cell.0.clone());
        Span::new(file, range.start, range.end)
    };
    let mut fields = Vec::new();
    for assignment in &map.fields {
        let mut columns = Vec::new();
        for (name, span) in &assignment.columns {
            match find_column(name, *span, &names, &place) {
                Ok(index) => columns.push(index),
                Err(fault) => {
                    out.push(fault.path(match assignment.patterns[..] {
                        [] => format!("fields.{}", assignment.target.name),
                        _ => "patterns".to_owned(),
                    }));
                }
            }
        }
        fields.push((assignment, columns));
    }
    let mut rules = Vec::new();
    for rule in &map.rows {
        match find_column(&rule.column.0, rule.column.1, &names, &place) {
            Ok(index) => rules.push((rule, index)),
            Err(fault) => out.push(fault.path("rows")),
        }
    }
    report_ignored(map, &names, out);
    let named = names.iter().map(|name| !name.is_empty()).collect();
    let mut binding = Binding { rules, fields, names, named, watched: Vec::new() };
    binding.report_unused(map, &place, out);
    binding
}

/// The index of a column by its name.
fn find_column(
    name: &str,
    span: Span,
    names: &[String],
    place: &dyn Fn(usize) -> Span,
) -> Result<usize, Finding> {
    let mut found = names.iter().enumerate().filter(|(_, known)| *known == name);
    match (found.next(), found.next()) {
        (Some((index, _)), None) => Ok(index),
        (Some((first, _)), Some((second, _))) => {
            Err(Finding::new(&rules::DOUBLED_COLUMN, format!("two columns are called `{name}`"))
                .at(span)
                .related(place(first), "the first is here")
                .related(place(second), "the second is here")
                .hint("give one of them another name in the file's first row"))
        }
        (None, _) => {
            let known: Vec<&str> =
                names.iter().map(String::as_str).filter(|name| !name.is_empty()).collect();
            Err(Finding::new(&rules::UNKNOWN_COLUMN, format!("the file has no column `{name}`"))
                .at(span)
                .hint_if(did_you_mean(name, &known)))
        }
    }
}

/// Tells of columns to be ignored that are not there.
fn report_ignored(map: &IntakeMap, names: &[String], out: &mut Vec<Finding>) {
    let known: BTreeSet<&str> = names.iter().map(String::as_str).collect();
    for (name, span) in map.ignore.iter().filter(|(name, _)| !known.contains(name.as_str())) {
        out.push(
            Finding::new(
                &rules::UNKNOWN_COLUMN,
                format!("the file has no column `{name}` to ignore"),
            )
            .weighing(Severity::Note)
            .at(*span)
            .path("ignore")
            .hint_if(
                crate::words::nearest(name, known.iter().copied())
                    .map(|near| format!("did you mean `{near}`?")),
            ),
        );
    }
}

impl Binding<'_> {
    /// Tells of every column that no field uses and nobody ignores: those that look like a field
    /// that the map does not fill one by one, the others together.
    fn report_unused(
        &mut self,
        map: &IntakeMap,
        place: &dyn Fn(usize) -> Span,
        out: &mut Vec<Finding>,
    ) {
        let ignored: BTreeSet<&str> = map.ignore.iter().map(|(name, _)| name.as_str()).collect();
        let by_rules = self.rules.iter().map(|(_, column)| *column);
        let by_fields = self.fields.iter().flat_map(|(_, columns)| columns.iter().copied());
        let used: BTreeSet<usize> = by_fields.chain(by_rules).collect();
        let unused = (0..self.names.len()).filter(|index| {
            self.named[*index]
                && !used.contains(index)
                && !ignored.contains(self.names[*index].as_str())
        });
        let unused: Vec<usize> = unused.collect();
        self.watched.clone_from(&unused);
        let mut others = Vec::new();
        for index in unused {
            let name = &self.names[index];
            let guessed = guess(name).filter(|guess| self.is_free(guess));
            let Some(guessed) = guessed else {
                others.push(index);
                continue;
            };
            out.push(
                Finding::new(&rules::UNUSED_COLUMN, format!("the column `{name}` is not used"))
                    .at(place(index))
                    .hint(format!(
                        "write `{}: {}` under `fields`, or name it under `ignore`",
                        guessed.target,
                        quote(name)
                    )),
            );
        }
        let Some(first) = others.first() else { return };
        let names: Vec<String> = others.iter().map(|at| shorten(&self.names[*at])).collect();
        let names = list_words(names.iter().map(String::as_str));
        let message = match others.len() {
            1 => format!("the column {names} is not used"),
            count => format!("{count} columns are not used: {names}"),
        };
        out.push(
            Finding::new(&rules::UNUSED_COLUMN, message)
                .at(place(*first))
                .hint("give each a field under `fields`, or name it under `ignore`"),
        );
    }

    /// Whether the map does not fill the field of a guess.
    fn is_free(&self, guess: &Guess) -> bool {
        !self.fields.iter().any(|(assignment, _)| assignment.target.name == guess.target)
    }
}
