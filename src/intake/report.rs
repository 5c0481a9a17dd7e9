//! What is found in an export: the same fault in many rows is told a few times and then counted.
//!
//! In: the findings of one order with the text of its rows. Out: the findings of the whole file,
//! each with a place in a part of it. Only rows that something is said of are kept. Not here: the
//! faults themselves.

use crate::findings::{FewOfEach, Finding};
use crate::source::{FileId, Sources, Span};

/// The findings of a file.
pub(super) struct ExportReport<'a> {
    /// The file's name in messages.
    name: &'a str,
    /// What was found, the first few of each rule and field.
    found: FewOfEach,
}

impl<'a> ExportReport<'a> {
    /// Nothing found yet in the file of this name.
    pub(super) fn new(name: &'a str) -> ExportReport<'a> {
        ExportReport { name, found: FewOfEach::default() }
    }

    /// Takes what was found of the file as a whole, which is named because it has no place in it.
    pub(super) fn say(&mut self, mut found: Finding) {
        found.message.push_str(&format!(": `{}`", self.name));
        self.found.push(found);
    }

    /// Takes findings that have their places already.
    pub(super) fn take_all(&mut self, found: Vec<Finding>) {
        found.into_iter().for_each(|finding| self.found.push(finding));
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
        for finding in found {
            let field = field_of(&finding);
            if let Some(told) = self.found.push_of_kind(finding, field) {
                let file = *file.get_or_insert_with(|| {
                    sources.add_part(self.name, plain_line_ends(text), line)
                });
                place(told, file);
            }
        }
    }

    /// Whether an error was found.
    pub(super) fn has_errors(&self) -> bool {
        self.found.has_errors()
    }

    /// All findings, with the counts of those that were not told.
    pub(super) fn finish(self) -> Vec<Finding> {
        self.found.finish()
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
