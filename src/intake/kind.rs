//! What a file is that is no table, by its first bytes.
//!
//! In: the start of a file. Out: its kind, where it is one that sellers have lying beside an export.
//! The marks are their usual first bytes. Not here: reading it.

/// What the first bytes of a file say that it is, if it is no table in text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum FileKind {
    /// A zip file, which spreadsheets are.
    Zip,
    /// A kind that holds no table, called so.
    Other(&'static str),
}

/// What to do with a file that holds no table.
pub(super) const WAY_OUT: &str = "give the shop's export: CSV, .xlsx or .ods";

/// What to do with an old workbook.
pub(super) const SAVE_ANEW: &str =
    "open it in a spreadsheet program and save it as .xlsx, .ods or CSV";

/// The first bytes of kinds of files.
const MARKS: &[(&[u8], &str)] = &[
    (b"%PDF-", "a PDF"),
    (b"\x89PNG\r\n\x1a\n", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"\x1f\x8b", "a gzip file"),
    (b"BZh", "a bzip2 file"),
    (b"\xfd7zXZ\0", "an xz file"),
    (b"\x28\xb5\x2f\xfd", "a Zstandard file"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z file"),
    (b"Rar!\x1a\x07", "a RAR file"),
    (b"{\\rtf", "a text document (RTF)"),
    (b"SQLite format 3\0", "a database (SQLite)"),
];

/// The mark of Microsoft's compound files ([MS-CFB]).
const COMPOUND: &[u8] = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1";

/// The old workbook, or one with a password, that a compound file is.
pub(super) const OLD_WORKBOOK: &str = "an old workbook (.xls), or one with a password";

/// The kind of a file by its start; none for what may be a table.
pub(super) fn sniff(start: &[u8]) -> Option<FileKind> {
    if start.starts_with(b"PK\x03\x04") || start.starts_with(b"PK\x05\x06") {
        return Some(FileKind::Zip);
    }
    if start.starts_with(COMPOUND) {
        return Some(FileKind::Other(OLD_WORKBOOK));
    }
    let marked = MARKS.iter().find(|(mark, _)| start.starts_with(mark));
    marked.map(|(_, name)| *name).or_else(|| sniff_text(start)).map(FileKind::Other)
}

/// The kind of a text that is no table: JSON, HTML or XML.
fn sniff_text(start: &[u8]) -> Option<&'static str> {
    let start = start.strip_prefix(b"\xef\xbb\xbf").unwrap_or(start).trim_ascii_start();
    let head = start[..start.len().min(200)].to_ascii_lowercase();
    let second = start.get(1..).unwrap_or_default().trim_ascii_start().first();
    match head.first()? {
        b'{' if matches!(second, Some(b'"' | b'}')) => Some("JSON"),
        b'[' if matches!(second, Some(b'{' | b'[' | b'"' | b']')) => Some("JSON"),
        b'<' if head.starts_with(b"<!doctype html") || head.starts_with(b"<html") => {
            Some("a web page (HTML)")
        }
        b'<' if head.starts_with(b"<table") || head.starts_with(b"<meta") => {
            Some("a web page (HTML)")
        }
        b'<' if head.starts_with(b"<?xml") || head.starts_with(b"<!") => Some("XML"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_are_told_by_their_first_bytes() {
        for (start, kind) in [
            (&b"PK\x03\x04..."[..], Some(FileKind::Zip)),
            (b"%PDF-1.7", Some(FileKind::Other("a PDF"))),
            (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1..", Some(FileKind::Other(OLD_WORKBOOK))),
            (b"\xef\xbb\xbf {\"orders\": []}", Some(FileKind::Other("JSON"))),
            (b"[{\"id\": 1}]", Some(FileKind::Other("JSON"))),
            (b"\n<!DOCTYPE HTML><p>", Some(FileKind::Other("a web page (HTML)"))),
            (b"<?xml version='1.0'?>", Some(FileKind::Other("XML"))),
            (b"Order,Name\n", None),
            (b"[Order],Name\n", None),
            (b"{Order},Name\n", None),
            (b"", None),
        ] {
            assert_eq!(sniff(start), kind, "{start:?}");
        }
    }
}
