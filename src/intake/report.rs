//! What is found in an export: the same fault in many rows is told a few times and then counted.
//!
//! In: the findings of one order with the text of its rows. Out: the findings of the whole file,
//! each with a place in a part of it. Only rows that something is said of are kept. Not here: the
//! faults themselves.

use std::collections::BTreeMap;

use crate::findings::{Finding, Repeats, Severity};
use crate::source::{FileId, Sources, Span};

/// How often one error or warning is told before it is only counted.
const TOLD: usize = 3;

/// How many of those that are only counted are still named by what was found there.
const NAMED: usize = 12;

/// The findings of a file.
pub(super) struct ExportReport<'a> {
    /// The file's name in messages.
    name: &'a str,
    /// What is told.
    found: Vec<Finding>,
    /// How often each fault was found: by severity, rule and field.
    counts: BTreeMap<(Severity, &'static str, String), Count>,
}

/// How often a fault was found.
#[derive(Clone, Debug, Default)]
struct Count {
    /// All of them.
    all: usize,
    /// The last that was told.
    last: usize,
    /// What was found where it was told, and then what else was found where it was not, so that a
    /// seller who mends them by a rule of the map sees all that need one.
    said: Vec<String>,
    /// How many of `said` were told.
    told: usize,
}

impl Count {
    /// Keeps what a fault says that it found, unless it was said before.
    fn name(&mut self, finding: &Finding, is_told: bool) {
        let Some((_, found)) = finding.message.rsplit_once(", found `") else { return };
        // The column is that of the fault that was told.
        let found = format!("`{}", found.split(" in column").next().unwrap_or(found));
        if self.said.len() < NAMED + self.told && !self.said.contains(&found) {
            self.told += usize::from(is_told);
            self.said.push(found);
        }
    }
}

impl<'a> ExportReport<'a> {
    /// Nothing found yet in the file of this name.
    pub(super) fn new(name: &'a str) -> ExportReport<'a> {
        ExportReport { name, found: Vec::new(), counts: BTreeMap::new() }
    }

    /// Takes what was found of the file as a whole, which is named because it has no place in it.
    pub(super) fn say(&mut self, mut found: Finding) {
        found.message.push_str(&format!(": `{}`", self.name));
        self.found.push(found);
    }

    /// Takes findings that have their places already.
    pub(super) fn take_all(&mut self, found: Vec<Finding>) {
        self.found.extend(found);
    }

    /// Takes what was found in some rows. `text` is what they say; places in it stand under
    /// [`FileId::UNPLACED`]; `line` is the number of its first line in the file.
    ///
    /// Rules and fields are few, so this keeps few texts however long the file.
    pub(super) fn take(
        &mut self,
        found: Vec<Finding>,
        text: &str,
        line: usize,
        sources: &mut Sources,
    ) {
        let mut file = None;
        for mut finding in found {
            let key = (finding.severity, finding.rule.name, field_of(&finding));
            let count = self.counts.entry(key).or_default();
            count.all += 1;
            let told = if finding.severity == Severity::Note { 1 } else { TOLD };
            count.name(&finding, count.all <= told);
            if count.all > told {
                continue;
            }
            count.last = self.found.len();
            let file = *file
                .get_or_insert_with(|| sources.add_part(self.name, plain_line_ends(text), line));
            place(&mut finding, file);
            self.found.push(finding);
        }
    }

    /// Whether an error was found.
    pub(super) fn has_errors(&self) -> bool {
        crate::findings::has_errors(&self.found)
    }

    /// All findings, with the counts of those that were not told.
    pub(super) fn finish(mut self) -> Vec<Finding> {
        for ((severity, ..), count) in &self.counts {
            let told = if *severity == Severity::Note { 1 } else { TOLD };
            let last = &mut self.found[count.last];
            match count.all.saturating_sub(told) {
                0 => {}
                more => last.repeats = Some(Repeats::Times(more)),
            }
            let others = count.said.get(count.told..).unwrap_or_default();
            if !others.is_empty() {
                last.details.push(format!("also found {}", others.join(", ")));
            }
        }
        self.found
    }
}

/// A finding's field without the numbers of its items and lines.
fn field_of(finding: &Finding) -> String {
    let path = finding.path.as_deref().unwrap_or_default();
    strip_indexes(path)
}

/// A path without `[3]`.
pub(super) fn strip_indexes(path: &str) -> String {
    let mut parts = path.split('[');
    let mut plain = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        plain.push_str(part.split_once(']').map_or("", |(_, after)| after));
    }
    plain
}

/// Puts a finding's unplaced spans into a file.
fn place(finding: &mut Finding, file: FileId) {
    let put = |span: &mut Span| {
        if span.file == FileId::UNPLACED {
            span.file = file;
        }
    };
    finding.span.iter_mut().for_each(put);
    finding.related.iter_mut().for_each(|(span, _)| put(span));
}

/// A text whose lines all end in LF, byte for byte of the same length, so that lines are counted
/// alike everywhere.
fn plain_line_ends(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        let alone = c == '\r' && chars.peek() != Some(&'\n');
        plain.push(if alone { '\n' } else { c });
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::rules;

    #[test]
    fn faults_are_told_three_times_and_then_counted() {
        let mut sources = Sources::new();
        let mut report = ExportReport::new("a.csv");
        for line in 1..=7 {
            let fault = Finding::new(&rules::WRONG_VALUE, format!("wrong in {line}"))
                .at(Span::new(FileId::UNPLACED, 0, 1))
                .path(format!("items[{line}].qty"));
            report.take(vec![fault], "x,y\r", line, &mut sources);
        }
        let found = report.finish();
        let messages: Vec<_> = found.iter().map(Finding::full_message).collect();
        assert_eq!(messages, ["wrong in 1", "wrong in 2", "wrong in 3 (and 4 more times)"]);
        let lines: Vec<_> =
            found.iter().map(|found| sources.position(found.span.unwrap()).line).collect();
        assert_eq!(lines, [1, 2, 3]);
    }

    #[test]
    fn numbers_of_items_are_no_part_of_a_field() {
        assert_eq!(strip_indexes("items[12].qty"), "items.qty");
        assert_eq!(strip_indexes("ship_to.lines[0]"), "ship_to.lines");
    }
}
