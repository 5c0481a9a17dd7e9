//! Workbooks of Office Open XML, `.xlsx` (ECMA-376 part 1, 18): the rows of one sheet.
//!
//! In: the parts of the file. Out: rows of cells as they are shown, one after the other; only the
//! texts that cells share are held beside the sheet's own text. Not here: what the cells mean.

use std::ops::Range;

use super::days::Epoch;
use super::fault::SheetFault;
use super::format::{NumberStyle, built_in, show_number};
use super::xml::{BROKEN, XmlPiece, XmlReader, XmlTag, resolve};
use super::zip::Archive;
use super::{SheetChoice, SheetRow, column_name};
use crate::limits::{SHEET_FORMATS, SHEET_TEXTS};

/// A sheet that is being read.
pub(super) struct ExcelSheet {
    /// The sheet's XML.
    text: String,
    /// How far the XML has been read.
    reader: XmlReader,
    /// All texts that cells share, one after the other.
    shared: String,
    /// Where each of them stands.
    texts: Vec<Range<u32>>,
    /// The format codes of cells, by their style.
    formats: Vec<String>,
    /// How numbers are written.
    style: NumberStyle,
    /// The row that was read last, from 1.
    row: usize,
}

/// What a workbook says of its sheets.
struct Workbook {
    /// Name, relation and whether it is hidden, in the order of the tabs.
    sheets: Vec<(String, String, bool)>,
    /// Where days are counted from.
    epoch: Epoch,
}

/// Opens the sheet that is asked for; tells the names of all.
///
/// # Errors
/// When the workbook cannot be read, or has no such sheet.
pub(super) fn open(
    archive: &mut Archive,
    wanted: Option<&str>,
    mark: char,
) -> Result<(ExcelSheet, SheetChoice), SheetFault> {
    let workbook = archive.text("xl/workbook.xml")?.ok_or(BROKEN)?;
    let workbook = read_workbook(&workbook)?;
    let names: Vec<(&str, bool)> =
        workbook.sheets.iter().map(|(name, _, hidden)| (name.as_str(), *hidden)).collect();
    let choice = SheetChoice::make(&names, wanted)?;
    let relation = &workbook.sheets[choice.index].1;
    let relations = archive.text("xl/_rels/workbook.xml.rels")?.ok_or(BROKEN)?;
    let path = find_target(&relations, relation)?.ok_or(BROKEN)?;
    let formats = match archive.text("xl/styles.xml")? {
        Some(styles) => read_formats(&styles)?,
        None => Vec::new(),
    };
    let (shared, texts) = match archive.text("xl/sharedStrings.xml")? {
        Some(strings) => read_shared(&strings)?,
        None => (String::new(), Vec::new()),
    };
    let text = archive.text(&path)?.ok_or(BROKEN)?;
    let style = NumberStyle { epoch: workbook.epoch, mark };
    let reader = XmlReader::new();
    Ok((ExcelSheet { text, reader, shared, texts, formats, style, row: 0 }, choice))
}

/// Reads the list of sheets.
fn read_workbook(text: &str) -> Result<Workbook, SheetFault> {
    let mut workbook = Workbook { sheets: Vec::new(), epoch: Epoch::Year1900 };
    let mut reader = XmlReader::new();
    loop {
        match reader.next(text)? {
            XmlPiece::Open(tag) if tag.name == "sheet" => {
                let name = tag.value("name")?.ok_or(BROKEN)?.into_owned();
                let relation = tag.value("r:id")?.unwrap_or_default().into_owned();
                let hidden = tag.raw("state").is_some_and(|state| state != "visible");
                workbook.sheets.push((name, relation, hidden));
            }
            XmlPiece::Open(tag)
                if tag.name == "workbookPr"
                    && tag.raw("date1904").is_some_and(|value| matches!(value, "1" | "true")) =>
            {
                workbook.epoch = Epoch::Year1904;
            }
            XmlPiece::End => return Ok(workbook),
            _ => {}
        }
    }
}

/// The part that a relation of the workbook leads to.
fn find_target(text: &str, relation: &str) -> Result<Option<String>, SheetFault> {
    let mut reader = XmlReader::new();
    loop {
        match reader.next(text)? {
            XmlPiece::Open(tag)
                if tag.name == "Relationship" && tag.raw("Id") == Some(relation) =>
            {
                let target = tag.value("Target")?.unwrap_or_default();
                return Ok(Some(match target.strip_prefix('/') {
                    Some(whole) => whole.to_owned(),
                    None => format!("xl/{}", target.trim_start_matches("./")),
                }));
            }
            XmlPiece::End => return Ok(None),
            _ => {}
        }
    }
}

/// The format code of each style of cells.
fn read_formats(text: &str) -> Result<Vec<String>, SheetFault> {
    let mut own: Vec<(u32, String)> = Vec::new();
    let mut formats = Vec::new();
    let mut in_cells = false;
    let mut reader = XmlReader::new();
    loop {
        match reader.next(text)? {
            XmlPiece::Open(tag) if tag.name == "numFmt" => {
                let id = tag.raw("numFmtId").and_then(|id| id.parse().ok()).ok_or(BROKEN)?;
                own.push((id, tag.value("formatCode")?.unwrap_or_default().into_owned()));
                refuse_more(own.len(), SHEET_FORMATS)?;
            }
            XmlPiece::Open(tag) if tag.name == "cellXfs" => {
                in_cells = true;
                own.sort_by_key(|(id, _)| *id);
            }
            XmlPiece::Close("cellXfs") => in_cells = false,
            XmlPiece::Open(tag) if tag.name == "xf" && in_cells => {
                let id: u32 = tag.raw("numFmtId").and_then(|id| id.parse().ok()).unwrap_or(0);
                let at = own.binary_search_by_key(&id, |(known, _)| *known);
                formats.push(match at {
                    Ok(at) => own[at].1.clone(),
                    Err(_) => built_in(id).to_owned(),
                });
                // Cells of a style left out would lose their leading zeros and dates.
                refuse_more(formats.len(), SHEET_FORMATS)?;
            }
            XmlPiece::End => return Ok(formats),
            _ => {}
        }
    }
}

/// Refuses a workbook that has more of something than is read.
fn refuse_more(count: usize, most: usize) -> Result<(), SheetFault> {
    if count > most { Err(SheetFault::TooLarge) } else { Ok(()) }
}

/// The texts that cells share, and where each stands.
fn read_shared(text: &str) -> Result<(String, Vec<Range<u32>>), SheetFault> {
    let mut shared = String::new();
    let mut texts = Vec::new();
    let mut reader = XmlReader::new();
    loop {
        match reader.next(text)? {
            XmlPiece::Open(tag) if tag.name == "si" => {
                let start = place(shared.len())?;
                read_rich(text, &mut reader, "si", &mut shared)?;
                texts.push(start..place(shared.len())?);
                refuse_more(texts.len(), SHEET_TEXTS)?;
            }
            XmlPiece::End => return Ok((shared, texts)),
            _ => {}
        }
    }
}

/// A place in the shared texts.
fn place(at: usize) -> Result<u32, SheetFault> {
    u32::try_from(at).map_err(|_| SheetFault::TooLarge)
}

/// The text of an element that holds `t` elements, to its end; readings of Japanese words are no
/// part of it.
fn read_rich(
    text: &str,
    reader: &mut XmlReader,
    element: &str,
    into: &mut String,
) -> Result<(), SheetFault> {
    let mut in_text = false;
    loop {
        match reader.next(text)? {
            XmlPiece::Open(tag) if tag.name == "rPh" => reader.skip(text)?,
            XmlPiece::Open(tag) if tag.name == "t" => in_text = true,
            XmlPiece::Close("t") => in_text = false,
            XmlPiece::Text(piece) if in_text => push_text(&resolve(piece)?, into),
            XmlPiece::Plain(piece) if in_text => push_text(piece, into),
            XmlPiece::Close(name) if name == element => return Ok(()),
            XmlPiece::End => return Err(BROKEN),
            _ => {}
        }
    }
}

/// Appends text, its `_x000D_` resolved: characters that XML cannot hold are written so (ECMA-376
/// part 1, 22.9.2.19).
fn push_text(text: &str, into: &mut String) {
    let mut rest = text;
    while let Some(at) = rest.find("_x") {
        let (before, escape) = rest.split_at(at);
        into.push_str(before);
        let code = escape.get(2..6).filter(|_| escape.as_bytes().get(6) == Some(&b'_'));
        let code =
            code.and_then(|code| u32::from_str_radix(code, 16).ok()).and_then(char::from_u32);
        match code {
            Some(c) => into.push(c),
            None => into.push_str("_x"),
        }
        rest = &escape[if code.is_some() { 7 } else { 2 }..];
    }
    into.push_str(rest);
}

impl ExcelSheet {
    /// Reads the next row that has cells; `false` at the end.
    ///
    /// # Errors
    /// When the sheet is damaged, or a cell cannot be shown.
    pub(super) fn read(&mut self, into: &mut SheetRow) -> Result<bool, SheetFault> {
        // The text is taken out while it is read, because cells look things up beside it.
        let text = std::mem::take(&mut self.text);
        let read = self.read_row(&text, into);
        self.text = text;
        read
    }

    /// Reads the next row that has cells out of the sheet's text.
    fn read_row(&mut self, text: &str, into: &mut SheetRow) -> Result<bool, SheetFault> {
        into.cells.clear();
        loop {
            match self.reader.next(text)? {
                XmlPiece::Open(tag) if tag.name == "row" => {
                    let row = tag.raw("r").and_then(|row| row.parse().ok());
                    self.row = row.unwrap_or(self.row.saturating_add(1));
                    into.row = self.row;
                    into.hidden = tag.raw("hidden").is_some_and(|it| matches!(it, "1" | "true"));
                    self.read_cells(text, into)?;
                    if !into.cells.is_empty() {
                        return Ok(true);
                    }
                }
                XmlPiece::End => return Ok(false),
                _ => {}
            }
        }
    }

    /// Reads the cells of a row to its end.
    fn read_cells(&mut self, text: &str, into: &mut SheetRow) -> Result<(), SheetFault> {
        let mut column = 0;
        loop {
            match self.reader.next(text)? {
                XmlPiece::Open(tag) if tag.name == "c" => {
                    column = tag.raw("r").and_then(read_column).unwrap_or(column);
                    let shown = self.read_cell(text, &tag, into.row, column)?;
                    into.put(column, shown)?;
                    column += 1;
                }
                XmlPiece::Close("row") => return Ok(()),
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
        row: usize,
        column: usize,
    ) -> Result<String, SheetFault> {
        let mut value = String::new();
        let (mut in_value, mut is_formula) = (false, false);
        loop {
            match self.reader.next(text)? {
                XmlPiece::Open(inner) if inner.name == "v" => in_value = true,
                XmlPiece::Close("v") => in_value = false,
                XmlPiece::Open(inner) if inner.name == "is" => {
                    read_rich(text, &mut self.reader, "is", &mut value)?;
                }
                XmlPiece::Open(inner) if inner.name == "f" => {
                    is_formula = true;
                    self.reader.skip(text)?;
                }
                XmlPiece::Text(piece) if in_value => value.push_str(&resolve(piece)?),
                XmlPiece::Plain(piece) if in_value => value.push_str(piece),
                XmlPiece::Close("c") => break,
                XmlPiece::End => return Err(BROKEN),
                _ => {}
            }
        }
        let kind = tag.raw("t").unwrap_or("n");
        if is_formula && value.is_empty() && kind != "str" {
            return Err(SheetFault::NotComputed(format!("{}{row}", column_name(column))));
        }
        let style = tag.raw("s").and_then(|style| style.parse().ok()).unwrap_or(0);
        self.show(value, kind, style)
    }

    /// A stored value as its cell shows it.
    fn show(&self, value: String, kind: &str, style: usize) -> Result<String, SheetFault> {
        Ok(match kind {
            "s" => {
                let index: usize = value.trim().parse().map_err(|_| BROKEN)?;
                let range = self.texts.get(index).ok_or(BROKEN)?;
                self.shared[range.start as usize..range.end as usize].to_owned()
            }
            "str" => {
                let mut text = String::new();
                push_text(&value, &mut text);
                text
            }
            "b" => String::from(if value.trim() == "1" { "TRUE" } else { "FALSE" }),
            "d" => value.trim().trim_end_matches("T00:00:00").replace('T', " "),
            "n" if !value.is_empty() => {
                let code = self.formats.get(style).map_or("General", String::as_str);
                show_number(value.trim(), code, self.style)
            }
            // Texts of the cell's own, errors such as `#N/A`, and nothing.
            _ => value,
        })
    }
}

/// The column of a cell's name, counted from 0: `B5` is 1.
fn read_column(name: &str) -> Option<usize> {
    let letters = name.bytes().take_while(u8::is_ascii_alphabetic);
    let mut column = 0_usize;
    for letter in letters.take(4) {
        column = column * 26 + usize::from(letter.to_ascii_uppercase() - b'A') + 1;
    }
    column.checked_sub(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_have_letters() {
        for (name, column) in [("A1", 0), ("Z9", 25), ("AA1", 26), ("XFD1048576", 16_383)] {
            assert_eq!(read_column(name), Some(column), "{name}");
            assert!(name.starts_with(&column_name(column)));
        }
        assert_eq!(read_column("7"), None);
    }

    /// Office writes how Japanese words are read beside them.
    #[test]
    fn readings_of_words_are_no_part_of_their_text() {
        let (shared, texts) = read_shared(
            "<sst><si><t>山田</t><rPh sb='0' eb='2'><t>ヤマダ</t></rPh></si><si><t>b</t></si></sst>",
        )
        .unwrap();
        let texts: Vec<&str> =
            texts.iter().map(|at| &shared[at.start as usize..at.end as usize]).collect();
        assert_eq!(texts, ["山田", "b"]);
    }

    #[test]
    fn characters_that_xml_cannot_hold_come_back() {
        let mut text = String::new();
        push_text("a_x000D_b_x_y_x00e4", &mut text);
        assert_eq!(text, "a\rb_x_y_x00e4");
    }
}
