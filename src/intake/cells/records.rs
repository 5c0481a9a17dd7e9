//! Text to records: cells with their places, after RFC 4180 and what exports make of it.
//!
//! In: decoded text in pieces. Out: the separator of its cells, and one [`ExportRecord`] after the
//! other, none held but the last. Read by our own hand and not by a library, because a message
//! needs each cell's place, a quote that never closes has to be an error and not a cell that
//! swallows the rest, and lines that end in a CR alone are counted. Python's csv module and the csv
//! crate are its judges in the tests. Not here: what the columns mean (`header`).

use std::borrow::Cow;
use std::io::{self, Read};
use std::ops::Range;

use super::decode::{Decoded, PieceEnd, count_lines};
use crate::limits::EXPORT_RECORD;

/// The text that is looked at before the first record is read, in bytes.
const LOOK_AHEAD: usize = 64 << 10;

/// One record of a file.
#[derive(Clone, Debug, Default)]
pub(crate) struct ExportRecord {
    /// Its text as it stands in the file, with its line end.
    pub(crate) text: String,
    /// The line of the file where it starts, from 1.
    pub(crate) line: usize,
    /// The places of its cells in the text, from left to right.
    pub(crate) cells: Vec<Cell>,
}

/// A cell's place in the text of its record, quotes included.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Cell(pub(crate) Range<usize>);

impl ExportRecord {
    /// A cell's text without its quotes.
    pub(crate) fn cell(&self, index: usize) -> Option<Cow<'_, str>> {
        let text = &self.text[self.cells.get(index)?.0.clone()];
        Some(match text.strip_prefix('"') {
            None => Cow::Borrowed(text),
            Some(quoted) => {
                let inner = quoted.trim_end().strip_suffix('"').unwrap_or(quoted);
                match inner.contains('"') {
                    true => Cow::Owned(inner.replace("\"\"", "\"")),
                    false => Cow::Borrowed(inner),
                }
            }
        })
    }

    /// Whether nothing stands in it.
    pub(crate) fn is_blank(&self) -> bool {
        (0..self.cells.len())
            .all(|index| self.cell(index).is_none_or(|text| text.trim().is_empty()))
    }
}

/// The result of looking for a record at the start of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum RecordEnd {
    /// So many bytes, line end included, are a record with these cells.
    Whole(usize, Vec<Cell>),
    /// The text ends before the record does.
    Unfinished,
    /// The quote at this byte never closes.
    Unclosed(usize),
    /// Text stands at this byte, after a closing quote.
    AfterQuote(usize),
}

/// What comes behind a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum TextTail {
    /// Nothing: the file ends with it.
    End,
    /// More, perhaps.
    More,
}

/// Cuts the first record out of a text.
pub(crate) fn cut_record(text: &str, separator: u8, tail: TextTail) -> RecordEnd {
    let last = tail == TextTail::End;
    let bytes = text.as_bytes();
    let mut cells = Vec::new();
    let mut at = 0;
    loop {
        let start = at;
        at = match end_of_cell(bytes, start, separator) {
            Ok(end) => end,
            Err(RecordEnd::Unclosed(_)) if !last => return RecordEnd::Unfinished,
            Err(cut) => return cut,
        };
        cells.push(Cell(start..at));
        match bytes.get(at) {
            Some(&byte) if byte == separator => at += 1,
            Some(b'\r') => match bytes.get(at + 1) {
                Some(b'\n') => return RecordEnd::Whole(at + 2, cells),
                None if !last => return RecordEnd::Unfinished,
                _ => return RecordEnd::Whole(at + 1, cells),
            },
            Some(_) => return RecordEnd::Whole(at + 1, cells),
            None if last => return RecordEnd::Whole(at, cells),
            None => return RecordEnd::Unfinished,
        }
    }
}

/// Where the cell that starts at `start` ends: at a separator, a line end or the end of the text.
fn end_of_cell(bytes: &[u8], start: usize, separator: u8) -> Result<usize, RecordEnd> {
    let ends = |byte: &u8| *byte == separator || matches!(byte, b'\n' | b'\r');
    let seek =
        |from: usize| bytes[from..].iter().position(ends).map_or(bytes.len(), |at| from + at);
    if bytes.get(start) != Some(&b'"') {
        return Ok(seek(start));
    }
    let mut at = start + 1;
    loop {
        let quote = bytes[at..].iter().position(|byte| *byte == b'"').map(|step| at + step);
        let Some(quote) = quote else { return Err(RecordEnd::Unclosed(start)) };
        if bytes.get(quote + 1) != Some(&b'"') {
            at = quote + 1;
            break;
        }
        at = quote + 2;
    }
    let end = seek(at);
    // Spaces between a quote and the separator are some exports' habit; anything else is a slip.
    match bytes[at..end].iter().position(|byte| *byte != b' ') {
        Some(step) => Err(RecordEnd::AfterQuote(at + step)),
        None => Ok(end),
    }
}

/// Why no further record can be read.
#[derive(Debug)]
pub(crate) enum RecordFault {
    /// The input cannot be read.
    Read(io::Error),
    /// Bytes belong to no character.
    Malformed {
        /// What stands before them in their line.
        text: String,
        /// In which line of the file, from 1.
        line: usize,
    },
    /// A record is wrong in itself.
    Broken {
        /// The record's text, or its start when it is long.
        text: String,
        /// The line where it starts.
        line: usize,
        /// What is wrong.
        cut: RecordEnd,
    },
    /// The record that starts in this line is longer than any table's.
    TooLong(usize),
}

/// The records of a file.
pub(crate) struct Records<R> {
    /// The text.
    input: Decoded<R>,
    /// The text that was read and not yet given out.
    buffer: String,
    /// The first byte of it that was not yet given out.
    start: usize,
    /// The result of reading the last piece.
    state: PieceEnd,
    /// The line of the next record.
    line: usize,
    /// The separator of cells.
    pub(crate) separator: u8,
}

impl<R: Read> Records<R> {
    /// The records of a text; the separator can be set before the first is read.
    pub(crate) fn new(input: Decoded<R>) -> Records<R> {
        let buffer = String::new();
        Records { input, buffer, start: 0, state: PieceEnd::More, line: 1, separator: b',' }
    }

    /// The text ahead: at least one piece of it unless the file is shorter, and whether that is all.
    ///
    /// # Errors
    /// When the input cannot be read.
    pub(crate) fn look_ahead(&mut self) -> Result<(&str, bool), RecordFault> {
        while self.state == PieceEnd::More && self.buffer.len() < LOOK_AHEAD {
            self.fill()?;
        }
        Ok((&self.buffer[self.start..], self.state == PieceEnd::End))
    }

    /// Leaves out a line at the start.
    pub(crate) fn skip_line(&mut self) {
        let rest = &self.buffer[self.start..];
        let end = rest.find(['\n', '\r']).unwrap_or(rest.len());
        let long = if rest[end..].starts_with("\r\n") { 2 } else { usize::from(end < rest.len()) };
        self.start += end + long;
        self.line += 1;
    }

    /// Reads one more piece.
    fn fill(&mut self) -> Result<(), RecordFault> {
        self.buffer.drain(..self.start);
        self.start = 0;
        self.state = self.input.read_piece(&mut self.buffer).map_err(RecordFault::Read)?;
        Ok(())
    }

    /// Reads the next record that is no empty line; `false` at the end.
    ///
    /// # Errors
    /// What keeps any further record from being read.
    pub(crate) fn read(&mut self, into: &mut ExportRecord) -> Result<bool, RecordFault> {
        loop {
            let rest = &self.buffer[self.start..];
            let last = self.state == PieceEnd::End;
            if rest.is_empty() && last {
                return Ok(false);
            }
            let tail = if last { TextTail::End } else { TextTail::More };
            match cut_record(rest, self.separator, tail) {
                RecordEnd::Whole(length, _) if length > EXPORT_RECORD => {
                    return Err(RecordFault::TooLong(self.line));
                }
                RecordEnd::Whole(length, cells) => {
                    let blank = rest[..length].trim_end_matches(['\r', '\n']).is_empty();
                    into.text.clear();
                    into.text.push_str(&rest[..length]);
                    into.line = self.line;
                    into.cells = cells;
                    self.start += length;
                    self.line += count_lines(&into.text);
                    if !blank {
                        return Ok(true);
                    }
                }
                RecordEnd::Unfinished if self.state == PieceEnd::Malformed => {
                    let line = self.line + count_lines(rest);
                    let start = rest.rfind(['\n', '\r']).map_or(0, |at| at + 1);
                    return Err(RecordFault::Malformed { text: rest[start..].to_owned(), line });
                }
                RecordEnd::Unfinished if rest.len() > EXPORT_RECORD => return Err(self.too_long()),
                RecordEnd::Unfinished => self.fill()?,
                cut => return Err(self.broken(cut)),
            }
        }
    }

    /// The complaint about a record without an end.
    fn too_long(&self) -> RecordFault {
        let rest = &self.buffer[self.start..];
        match cut_record(rest, self.separator, TextTail::End) {
            cut @ RecordEnd::Unclosed(_) => self.broken(cut),
            _ => RecordFault::TooLong(self.line),
        }
    }

    /// The complaint about a record that is wrong in itself, with as much of it as shows the place.
    fn broken(&self, cut: RecordEnd) -> RecordFault {
        let rest = &self.buffer[self.start..];
        let place = match cut {
            RecordEnd::Unclosed(at) | RecordEnd::AfterQuote(at) => at,
            RecordEnd::Whole(..) | RecordEnd::Unfinished => 0,
        };
        let mut end = rest.len().min(place + 2_000);
        while !rest.is_char_boundary(end) {
            end -= 1;
        }
        RecordFault::Broken { text: rest[..end].to_owned(), line: self.line, cut }
    }
}

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
        let tail = if counts.is_empty() { TextTail::End } else { TextTail::More };
        let RecordEnd::Whole(length, cells) = cut_record(rest, separator, tail) else {
            break;
        };
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
