//! Spreadsheets, `.xlsx` and `.ods`, as the rows of cells that a file of comma-separated values
//! would have: as they are shown, leading zeros included.
//!
//! In: the bytes of a file. Out: an [`OpenedSheet`], whose rows are read one after the other as records, as
//! if the sheet had been saved as CSV; a message's line is the sheet's row. Written by our own hand on
//! the crates that are there anyway: the reader that is usual for it brings 13 more, and would give
//! numbers without their formats. A file made to do harm ends in an error: unpacked bytes, columns
//! and cells are counted. Not here: what the columns mean.

mod days;
mod digits;
mod excel;
mod fault;
mod format;
mod opendocument;
mod xml;
mod zip;

use super::cells::{Cell, ExportRecord};
use crate::limits::{SHEET_CELLS, SHEET_COLUMNS, SHEET_FILE_BYTES, SHEET_ROWS, SHEET_SHOWN};
use excel::ExcelSheet;
use opendocument::OpenSheet;
use zip::Archive;

pub(super) use fault::SheetFault;

/// What a sheet shows in one row.
#[derive(Clone, Debug, Default)]
struct SheetRow {
    /// Its number, from 1.
    row: usize,
    /// Whether the sheet hides it; such a row is read all the same, and told.
    hidden: bool,
    /// What its cells show, each with its column, counted from 0; those that show nothing are left
    /// out.
    cells: Vec<(usize, String)>,
}

impl SheetRow {
    /// Puts a cell into it.
    fn put(&mut self, column: usize, shown: String) -> Result<(), SheetFault> {
        if shown.is_empty() {
            return Ok(());
        }
        if column >= SHEET_COLUMNS {
            return Err(SheetFault::FarCell(format!("{}{}", column_name(column), self.row)));
        }
        self.cells.push((column, shown));
        Ok(())
    }
}

/// The letters of a column that is counted from 0.
fn column_name(column: usize) -> String {
    let mut letters = Vec::new();
    let mut rest = column + 1;
    while rest > 0 {
        letters.push(char::from(b'A' + ((rest - 1) % 26) as u8));
        rest = (rest - 1) / 26;
    }
    letters.iter().rev().collect()
}

/// Which sheet of a file is read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct SheetChoice {
    /// Its place among the tabs, from 0.
    index: usize,
    /// Its name, as the tab shows it.
    pub(super) name: String,
    /// The names of the others.
    pub(super) others: Vec<String>,
}

impl SheetChoice {
    /// The sheet that is wanted, else the first that is not hidden. `sheets` are names, and whether
    /// they are hidden.
    fn make(sheets: &[(&str, bool)], wanted: Option<&str>) -> Result<SheetChoice, SheetFault> {
        let index = match wanted {
            Some(wanted) => sheets.iter().position(|(name, _)| *name == wanted),
            None => sheets.iter().position(|(_, hidden)| !hidden).or(sheets.first().map(|_| 0)),
        };
        let names = || sheets.iter().map(|(name, _)| (*name).to_owned());
        let Some(index) = index else {
            return Err(match wanted {
                Some(wanted) => SheetFault::NoSheet(wanted.to_owned(), names().collect()),
                None => SheetFault::Broken("it has no sheets"),
            });
        };
        let others = names().enumerate().filter(|(at, _)| *at != index).map(|(_, name)| name);
        Ok(SheetChoice { index, name: sheets[index].0.to_owned(), others: others.collect() })
    }
}

/// The rows of one sheet.
pub(super) struct OpenedSheet {
    /// What is read, by the kind of the file.
    kind: SheetKind,
    /// The row that was read last.
    row: SheetRow,
    /// How many columns the first row has.
    width: usize,
    /// How many cells were given out.
    cells: usize,
    /// How many bytes they showed.
    shown: usize,
    /// How many rows that were given out are hidden.
    pub(super) hidden: usize,
}

/// The kinds of spreadsheets.
enum SheetKind {
    /// Office Open XML.
    Excel(Box<ExcelSheet>),
    /// OpenDocument.
    Open(Box<OpenSheet>),
}

/// Opens the sheet of this name, or the first; numbers get this decimal mark.
///
/// # Errors
/// When the file is no spreadsheet, or one that cannot be read.
pub(super) fn open_sheet(
    bytes: Vec<u8>,
    wanted: Option<&str>,
    mark: char,
) -> Result<(OpenedSheet, SheetChoice), SheetFault> {
    if bytes.len() > SHEET_FILE_BYTES {
        return Err(SheetFault::TooLarge);
    }
    let mut archive = Archive::open(bytes)?;
    let (kind, choice) = if archive.has("xl/workbook.xml") {
        let (sheet, choice) = excel::open(&mut archive, wanted, mark)?;
        (SheetKind::Excel(Box::new(sheet)), choice)
    } else if archive.has("content.xml") && archive.has("mimetype") {
        let (sheet, choice) = opendocument::open(&mut archive, wanted, mark)?;
        (SheetKind::Open(Box::new(sheet)), choice)
    } else {
        return Err(SheetFault::OtherKind(name_archive(&archive)));
    };
    Ok((
        OpenedSheet { kind, row: SheetRow::default(), width: 0, cells: 0, shown: 0, hidden: 0 },
        choice,
    ))
}

/// What a zip file is that is no spreadsheet of the two kinds.
fn name_archive(archive: &Archive) -> &'static str {
    if archive.has("xl/workbook.bin") {
        "a binary workbook (.xlsb)"
    } else if archive.has("word/document.xml") {
        "a text document (.docx)"
    } else if archive.has("ppt/presentation.xml") {
        "a presentation (.pptx)"
    } else {
        "a zip file"
    }
}

impl OpenedSheet {
    /// Reads the next row with cells as a record; `false` at the end.
    ///
    /// # Errors
    /// When the sheet cannot be read further.
    pub(super) fn read(&mut self, into: &mut ExportRecord) -> Result<bool, SheetFault> {
        let more = match &mut self.kind {
            SheetKind::Excel(sheet) => sheet.read(&mut self.row)?,
            SheetKind::Open(sheet) => sheet.read(&mut self.row)?,
        };
        if !more {
            return Ok(false);
        }
        self.row.cells.sort_by_key(|(column, _)| *column);
        let last = self.row.cells.last().map_or(0, |(column, _)| column + 1);
        // A sheet has no short rows: what follows the last cell is empty.
        if self.width == 0 {
            self.width = last;
        }
        let count = last.max(self.width);
        self.cells += count;
        self.hidden += usize::from(self.row.hidden);
        self.shown += self.row.cells.iter().map(|(_, text)| text.len()).sum::<usize>();
        let is_long = self.cells > SHEET_CELLS || self.row.row > SHEET_ROWS;
        if is_long || self.shown > SHEET_SHOWN {
            return Err(SheetFault::TooLarge);
        }
        self.write_record(count, into);
        Ok(true)
    }

    /// Writes the row as a line of comma-separated values.
    fn write_record(&self, count: usize, into: &mut ExportRecord) {
        into.text.clear();
        into.cells.clear();
        into.line = self.row.row;
        let mut shown = self.row.cells.iter().peekable();
        for column in 0..count {
            if column > 0 {
                into.text.push(',');
            }
            let start = into.text.len();
            while let Some((_, text)) = shown.next_if(|(at, _)| *at <= column) {
                push_cell(text, &mut into.text);
            }
            into.cells.push(Cell(start..into.text.len()));
        }
        into.text.push('\n');
    }
}

/// Appends a cell, in quotes where it needs them.
fn push_cell(text: &str, into: &mut String) {
    if text.contains([',', '"', '\n', '\r']) || text.ends_with(' ') {
        into.push('"');
        into.push_str(&text.replace('"', "\"\""));
        into.push('"');
    } else {
        into.push_str(text);
    }
}
