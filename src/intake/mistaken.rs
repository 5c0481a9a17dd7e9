//! A map that was made for cells parted otherwise than those of the file.
//!
//! In: the map, the file's first row, and what it was cut with. Out: the one complaint that takes the
//! place of one for each column that was not found. Not here: finding the separator out (`cells`).

use super::cells::{ExportRecord, RecordEnd, TextTail, cut_record};
use super::map::{IntakeMap, column_names, separator_name};
use crate::findings::{Finding, rules};
use crate::source::{Sources, Span};

/// The complaint, when another separator gives more of the map's columns than the one in `use`.
pub(super) fn find_other_separator(
    map: &IntakeMap,
    header: &ExportRecord,
    used: u8,
    name: &str,
    sources: &mut Sources,
) -> Option<Finding> {
    let found = |separator: u8| {
        let RecordEnd::Whole(_, cells) = cut_record(&header.text, separator, TextTail::End) else {
            return 0;
        };
        let names = column_names(&ExportRecord { cells, ..header.clone() });
        map.columns().filter(|wanted| names.iter().any(|name| name == wanted)).count()
    };
    let others = [b',', b';', b'\t', b'|'].into_iter().filter(|other| *other != used);
    let (count, other) =
        others.map(|other| (found(other), other)).max_by_key(|(count, _)| *count)?;
    if count <= found(used) {
        return None;
    }
    let source = match map.separator {
        Some(_) => SeparatorSource::Map,
        None => SeparatorSource::Guess,
    };
    let file = sources.add_part(name, header.text.as_str(), header.line);
    Some(complain(used, other, source).at(Span::new(file, 0, header.text.trim_end().len())))
}

/// Who said what parts the cells.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum SeparatorSource {
    /// The seller, in the map.
    Map,
    /// Nobody: it was found out from the file.
    Guess,
}

/// The complaint about a wrong separator.
pub(super) fn complain(used: u8, likely: u8, source: SeparatorSource) -> Finding {
    let (used, likely) = (separator_name(used), separator_name(likely));
    let who = match source {
        SeparatorSource::Map => "the map says",
        SeparatorSource::Guess => "the file is read with",
    };
    let message = format!("the cells are parted by `{likely}`, but {who} `separator: {used}`");
    Finding::new(&rules::WRONG_SEPARATOR, message)
        .hint(format!("write `separator: {likely}` into the map"))
}
