//! What parts the cells of a file.
//!
//! In: the start of its text. Out: a separator. Not here: separators that a map names.

use super::records::{RecordEnd, cut_record};

/// The separators that are tried, the commonest first.
const TRIED: [u8; 4] = [b',', b';', b'\t', b'|'];

/// Records looked at.
const LOOKED_AT: usize = 30;

/// The separator that a first line `sep=;` names, as spreadsheets write it.
pub(crate) fn declared_separator(text: &str) -> Option<u8> {
    let line = text.split(['\n', '\r']).next()?;
    let line = line.trim_matches('"');
    let separator = line.strip_prefix("sep=").or_else(|| line.strip_prefix("SEP="))?;
    TRIED.into_iter().find(|known| separator.as_bytes() == [*known])
}

/// The separator with which the most records have as many cells as the first, and more than one;
/// of those the one that makes the most cells. A file of one column has commas.
pub(crate) fn detect_separator(text: &str) -> u8 {
    let mut best = (b',', 0, 0);
    for separator in TRIED {
        let (even, cells) = try_separator(text, separator);
        if cells > 1 && (even, cells) > (best.1, best.2) {
            best = (separator, even, cells);
        }
    }
    best.0
}

/// How many in a hundred records have as many cells as the first, and how many it has.
fn try_separator(text: &str, separator: u8) -> (usize, usize) {
    let mut rest = text;
    let mut counts = Vec::new();
    while counts.len() < LOOKED_AT && !rest.is_empty() {
        // The last record may be cut off where the text ends.
        let last = counts.is_empty();
        let RecordEnd::Whole(length, cells) = cut_record(rest, separator, last) else { break };
        if !rest[..length].trim().is_empty() {
            counts.push(cells.len());
        }
        rest = &rest[length..];
    }
    let first = counts.first().copied().unwrap_or_default();
    let even = counts.iter().filter(|count| **count == first).count();
    (even * 100 / counts.len().max(1), first)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn separators_are_found_out() {
        for (text, separator) in [
            ("a,b\n1,2\n", b','),
            ("a;b;c\n1;2,50;3\n1;\"x;y\";2\n", b';'),
            ("a\tb, c\n1\t2\n", b'\t'),
            ("a|b\n1|2", b'|'),
            ("\"Name, first\";Price;Note\nx;2,5;a\ny;3,5;b\n", b';'),
            ("a\n1\n", b','),
            ("", b','),
            ("a;b", b';'),
            ("a;b\n\"1\n2;3\n4\";5\n", b';'),
        ] {
            assert_eq!(detect_separator(text), separator, "{text}");
        }
        assert_eq!(declared_separator("sep=;\r\na,b"), Some(b';'));
        assert_eq!(declared_separator("a,b"), None);
    }
}
