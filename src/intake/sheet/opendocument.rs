//! Spreadsheets of OpenDocument, `.ods` (OASIS OpenDocument): the rows of one
//! sheet.
//!
//! In: the parts of the file. Out: rows of cells as they are shown, which the file itself says; dates
//! alone are written as ISO dates. Not here: what the cells mean.

use super::fault::SheetFault;
use super::xml::{BROKEN, XmlPiece, XmlReader, XmlTag, resolve};
use super::zip::Archive;
use super::{SheetChoice, SheetRow, column_name};

/// The kind that such a file says it is.
const KIND: &str = "application/vnd.oasis.opendocument.spreadsheet";

/// A sheet that is being read.
pub(super) struct OpenSheet {
    /// The XML of all sheets.
    text: String,
    /// How far the XML has been read.
    reader: XmlReader,
    /// The decimal mark of numbers that the file does not show itself.
    mark: char,
    /// The row that comes next, from 1.
    row: usize,
    /// How often the row that was read last is still to be given out.
    again: usize,
    /// The row that was read last.
    last: SheetRow,
}

/// Opens the sheet that is asked for; tells the names of all.
///
/// # Errors
/// When the file cannot be read, or has no such sheet.
pub(super) fn open(
    archive: &mut Archive,
    wanted: Option<&str>,
    mark: char,
) -> Result<(OpenSheet, SheetChoice), SheetFault> {
    if archive.text("mimetype")?.is_some_and(|kind| kind.trim() != KIND) {
        return Err(SheetFault::OtherKind("an OpenDocument file that is no spreadsheet"));
    }
    let manifest = archive.text("META-INF/manifest.xml")?;
    if manifest.is_some_and(|manifest| manifest.contains("encryption-data")) {
        return Err(SheetFault::Locked);
    }
    let text = archive.text("content.xml")?.ok_or(BROKEN)?;
    let tables = list_tables(&text)?;
    let names: Vec<(&str, bool)> = tables.iter().map(|(name, _)| (name.as_str(), false)).collect();
    let choice = SheetChoice::make(&names, wanted)?;
    let reader = tables.into_iter().nth(choice.index).ok_or(BROKEN)?.1;
    let last = SheetRow::default();
    Ok((OpenSheet { text, reader, mark, row: 1, again: 0, last }, choice))
}

/// The names of the tables, each with a reader inside of it.
fn list_tables(text: &str) -> Result<Vec<(String, XmlReader)>, SheetFault> {
    let mut tables = Vec::new();
    let mut reader = XmlReader::new();
    loop {
        match reader.next(text)? {
            XmlPiece::Open(tag) if tag.name == "table" => {
                let name = tag.value("table:name")?.unwrap_or_default().into_owned();
                tables.push((name, reader.clone()));
                reader.skip(text)?;
            }
            XmlPiece::End => return Ok(tables),
            _ => {}
        }
    }
}

/// How often an element is repeated; once unless it says otherwise.
fn repeats(tag: &XmlTag<'_>, attribute: &str) -> usize {
    tag.raw(attribute).and_then(|count| count.parse().ok()).unwrap_or(1).max(1)
}

impl OpenSheet {
    /// Reads the next row that has cells; `false` at the end.
    ///
    /// # Errors
    /// When the sheet is damaged, or a cell cannot be shown.
    pub(super) fn read(&mut self, into: &mut SheetRow) -> Result<bool, SheetFault> {
        if self.again == 0 {
            let text = std::mem::take(&mut self.text);
            let read = self.read_row(&text);
            self.text = text;
            if !read? {
                return Ok(false);
            }
        }
        self.again -= 1;
        into.clone_from(&self.last);
        into.row = self.row;
        self.row += 1;
        Ok(true)
    }

    /// Reads the next row that has cells out of the text.
    fn read_row(&mut self, text: &str) -> Result<bool, SheetFault> {
        loop {
            match self.reader.next(text)? {
                XmlPiece::Open(tag) if tag.name == "table-row" => {
                    let count = repeats(&tag, "table:number-rows-repeated");
                    self.last.cells.clear();
                    self.last.hidden =
                        matches!(tag.raw("table:visibility"), Some("collapse" | "filter"));
                    self.read_cells(text)?;
                    if !self.last.cells.is_empty() {
                        self.again = count;
                        return Ok(true);
                    }
                    self.row = self.row.saturating_add(count);
                }
                XmlPiece::Close("table") | XmlPiece::End => return Ok(false),
                _ => {}
            }
        }
    }

    /// Reads the cells of a row to its end.
    fn read_cells(&mut self, text: &str) -> Result<(), SheetFault> {
        let mut column = 0_usize;
        loop {
            match self.reader.next(text)? {
                XmlPiece::Open(tag) if matches!(tag.name, "table-cell" | "covered-table-cell") => {
                    let count = repeats(&tag, "table:number-columns-repeated");
                    let shown = self.read_cell(text, &tag, column)?;
                    if !shown.is_empty() {
                        for index in column..column.saturating_add(count) {
                            self.last.put(index, shown.clone())?;
                        }
                    }
                    column = column.saturating_add(count);
                }
                XmlPiece::Close("table-row") => return Ok(()),
                XmlPiece::End => return Err(BROKEN),
                _ => {}
            }
        }
    }

    /// What a cell shows.
    fn read_cell(
        &mut self,
        text: &str,
        tag: &XmlTag<'_>,
        column: usize,
    ) -> Result<String, SheetFault> {
        let mut lines: Vec<String> = Vec::new();
        loop {
            match self.reader.next(text)? {
                XmlPiece::Open(inner) if inner.name == "p" => {
                    let mut line = String::new();
                    self.read_paragraph(text, &mut line)?;
                    lines.push(line);
                }
                // Comments, and pictures that lie on a cell.
                XmlPiece::Open(_) => self.reader.skip(text)?,
                XmlPiece::Close("table-cell" | "covered-table-cell") => break,
                XmlPiece::End => return Err(BROKEN),
                _ => {}
            }
        }
        let shown = lines.join("\n");
        let stored = |name: &str| tag.raw(name).filter(|value| !value.is_empty());
        let kind = stored("office:value-type").unwrap_or_default();
        if kind.is_empty() && shown.is_empty() && tag.raw("table:formula").is_some() {
            return Err(SheetFault::NotComputed(format!("{}{}", column_name(column), self.row)));
        }
        let stored_number = || {
            let style = super::format::NumberStyle { epoch: Default::default(), mark: self.mark };
            stored("office:value").map(|value| super::format::show_number(value, "General", style))
        };
        let is_short = shown.contains("E+") || shown.contains("###");
        Ok(match kind {
            "date" => stored("office:date-value")
                .map_or(shown, |date| date.trim_end_matches("T00:00:00").replace('T', " ")),
            "float" | "currency" | "percentage" if shown.is_empty() || is_short => {
                stored_number().unwrap_or(shown)
            }
            "boolean" if shown.is_empty() => {
                stored("office:boolean-value").unwrap_or_default().to_uppercase()
            }
            "string" if shown.is_empty() => {
                tag.value("office:string-value")?.unwrap_or_default().into_owned()
            }
            _ => shown,
        })
    }

    /// The text of a paragraph, to its end.
    fn read_paragraph(&mut self, text: &str, into: &mut String) -> Result<(), SheetFault> {
        let mut inside = 1;
        loop {
            match self.reader.next(text)? {
                XmlPiece::Text(piece) => into.push_str(&resolve(piece)?),
                XmlPiece::Plain(piece) => into.push_str(piece),
                XmlPiece::Open(tag) => {
                    inside += 1;
                    match tag.name {
                        "s" => {
                            let count = repeats(&tag, "text:c").min(1_000);
                            into.extend(std::iter::repeat_n(' ', count));
                        }
                        "tab" => into.push('\t'),
                        "line-break" => into.push('\n'),
                        "annotation" | "ruby-text" => {
                            self.reader.skip(text)?;
                            inside -= 1;
                        }
                        _ => {}
                    }
                }
                XmlPiece::Close(_) => {
                    inside -= 1;
                    if inside == 0 {
                        return Ok(());
                    }
                }
                XmlPiece::End => return Err(BROKEN),
            }
        }
    }
}
