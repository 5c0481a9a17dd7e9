//! An export that is open: its kind, encoding, separator or sheet found out.
//!
//! In: a file that can be opened several times, and what the map says of it. Out: its records one by
//! one, whatever it is stored as, and notes on how it is read; or why it cannot be read, with the
//! complaint. Not here: what the records mean.

use std::io::Read;

use encoding_rs::{Encoding, UTF_16BE, UTF_16LE, WINDOWS_1252};

use super::cells::{
    DecimalMark, Decoded, Detected, ExportRecord, RecordEnd, RecordFault, Records,
    declared_separator, detect_encoding, detect_separator, find_encoding,
};
use super::kind::{FileKind, OLD_WORKBOOK, SAVE_ANEW, WAY_OUT, sniff};
use super::map::IntakeMap;
use super::mistaken::{SeparatorSource, complain};
use super::report::ExportReport;
use super::sheet::{OpenedSheet, SheetChoice, SheetFault, open_sheet};
use super::{Intake, IntakeError, OpenExport};
use crate::findings::{Finding, rules};
use crate::limits::SHEET_FILE_BYTES;
use crate::source::{FileId, Sources, Span};
use crate::words::list_words;

/// What is said of how a file is to be read; what is not said is found out.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct HowToRead<'a> {
    /// The name of its encoding.
    pub(super) encoding: Option<&'a str>,
    /// The separator of its cells.
    pub(super) separator: Option<u8>,
    /// The sheet of a spreadsheet.
    pub(super) sheet: Option<&'a str>,
    /// The mark that numbers of a spreadsheet get before their decimals; default: a point.
    pub(super) decimal: Option<DecimalMark>,
}

impl HowToRead<'_> {
    /// What a map says.
    pub(super) fn by(map: &IntakeMap) -> HowToRead<'_> {
        HowToRead {
            encoding: map.encoding,
            separator: map.separator,
            sheet: map.sheet.as_deref(),
            decimal: map.decimal,
        }
    }
}

/// A file that is open.
pub(super) struct OpenedExport {
    /// What is read row by row, of text or of a sheet.
    rows: ExportRows,
    /// What is worth knowing of how it is read.
    pub(super) notes: Vec<Finding>,
    /// The sheet that is read, when it is a spreadsheet.
    pub(super) sheet: Option<SheetChoice>,
    /// The separator that its first lines show, whatever was said.
    pub(super) likely_separator: u8,
}

/// The rows of a file, by how it is stored.
enum ExportRows {
    /// Text whose cells are parted by a separator.
    Text(Records<Box<dyn Read>>),
    /// A spreadsheet.
    Sheet(Box<OpenedSheet>),
}

impl OpenedExport {
    /// Reads the next row that is not empty; `false` at the end.
    ///
    /// # Errors
    /// What keeps any further row from being read.
    pub(super) fn read(&mut self, into: &mut ExportRecord) -> Result<bool, Stop> {
        match &mut self.rows {
            ExportRows::Text(records) => records.read(into).map_err(Stop::Fault),
            ExportRows::Sheet(sheet) => sheet.read(into).map_err(Stop::Sheet),
        }
    }

    /// The separator of its cells; none for a spreadsheet.
    pub(super) fn separator(&self) -> Option<u8> {
        match &self.rows {
            ExportRows::Text(records) => Some(records.separator),
            ExportRows::Sheet(_) => None,
        }
    }

    /// What is said of rows that were read and are hidden in the sheet.
    pub(super) fn tell_hidden_rows(&self) -> Option<Finding> {
        let ExportRows::Sheet(sheet) = &self.rows else { return None };
        let message = match sheet.hidden {
            0 => return None,
            1 => "a row that is hidden in the sheet was read too".to_owned(),
            count => format!("{count} rows that are hidden in the sheet were read too"),
        };
        Some(
            Finding::new(&rules::HIDDEN_ROWS, message)
                .hint("show all rows and see whether they are wanted; delete those that are not"),
        )
    }

    /// The reason why a first row cannot be read: the map's separator, when the file shows another.
    pub(super) fn blame_separator(&self, reason: Stop, map: &IntakeMap) -> Stop {
        match (reason, self.separator()) {
            (Stop::Fault(RecordFault::Broken { .. }), Some(used))
                if map.separator.is_some() && used != self.likely_separator =>
            {
                Stop::Separator(used, self.likely_separator)
            }
            (reason, _) => reason,
        }
    }
}

/// Why a file cannot be read, or not to its end.
pub(super) enum Stop {
    /// A fault in the file.
    Fault(RecordFault),
    /// A spreadsheet that cannot be read.
    Sheet(SheetFault),
    /// It is of a kind that holds no table, called so.
    OtherKind(&'static str),
    /// Its cells are not parted by the first of these, as the map says, but by the second.
    Separator(u8, u8),
    /// There is not even a first row.
    Empty,
    /// There is nothing below its first row.
    NoRows,
    /// The map leaves out all that is there.
    AllLeftOut,
}

/// Opens a file and finds out how it is to be read.
pub(super) fn open_export(open: OpenExport<'_>, how: HowToRead<'_>) -> Result<OpenedExport, Stop> {
    let read = |error| Stop::Fault(RecordFault::Read(error));
    let mut start = Vec::new();
    open().map_err(read)?.take(1_024).read_to_end(&mut start).map_err(read)?;
    match sniff(&start) {
        Some(FileKind::Zip) => return open_spreadsheet(open, how),
        Some(FileKind::Other(name)) => return Err(Stop::OtherKind(name)),
        None => {}
    }
    let mut notes = Vec::new();
    let encoding = find_out_encoding(open, how.encoding, &mut notes)?;
    let decoded = Decoded::new(open().map_err(read)?, encoding);
    let mut records = Records::new(decoded);
    let (ahead, _) = records.look_ahead().map_err(Stop::Fault)?;
    if is_binary(ahead) {
        return Err(Stop::OtherKind("bytes that are no text"));
    }
    let declared = declared_separator(ahead);
    let found = detect_separator(ahead);
    if declared.is_some() {
        records.skip_line();
    }
    records.separator = how.separator.or(declared).unwrap_or(found);
    let rows = ExportRows::Text(records);
    Ok(OpenedExport { rows, notes, sheet: None, likely_separator: found })
}

/// Finds the sheet that is read, and tells what is worth knowing of the others.
fn open_spreadsheet(open: OpenExport<'_>, how: HowToRead<'_>) -> Result<OpenedExport, Stop> {
    let read = |error| Stop::Fault(RecordFault::Read(error));
    let mut bytes = Vec::new();
    let most = u64::try_from(SHEET_FILE_BYTES + 1).unwrap_or(u64::MAX);
    open().map_err(read)?.take(most).read_to_end(&mut bytes).map_err(read)?;
    let mark = if how.decimal == Some(DecimalMark::Comma) { ',' } else { '.' };
    let (sheet, choice) = open_sheet(bytes, how.sheet, mark).map_err(Stop::Sheet)?;
    let mut notes = Vec::new();
    if how.sheet.is_none() && !choice.others.is_empty() {
        let others = list_words(choice.others.iter().map(String::as_str));
        let message = format!("the sheet `{}` is read; not read: {others}", choice.name);
        notes.push(
            Finding::new(&rules::FIRST_SHEET, message)
                .hint("to read another, put `sheet: …` into the map"),
        );
    }
    let rows = ExportRows::Sheet(Box::new(sheet));
    Ok(OpenedExport { rows, notes, sheet: Some(choice), likely_separator: b',' })
}

/// Whether bytes are no text at all: a zero byte, or more control characters than a mistake makes.
fn is_binary(text: &str) -> bool {
    let is_control =
        |byte: &u8| *byte < 0x20 && !matches!(byte, b'\t' | b'\n' | b'\r' | 0x0b | 0x0c);
    let controls = text.bytes().filter(is_control).count();
    text.contains('\0') || controls * 50 > text.len()
}

/// The encoding that the map names, or that the file has.
fn find_out_encoding(
    open: OpenExport<'_>,
    named: Option<&str>,
    notes: &mut Vec<Finding>,
) -> Result<&'static Encoding, Stop> {
    let read = |error| Stop::Fault(RecordFault::Read(error));
    if let Some(name) = named.filter(|name| *name != "utf-16") {
        return Ok(find_encoding(name));
    }
    let detected = detect_encoding(open().map_err(read)?).map_err(read)?;
    match detected {
        Detected::Known(encoding) if named.is_none() => Ok(encoding),
        Detected::Known(encoding) if encoding == UTF_16BE => Ok(UTF_16BE),
        _ if named.is_some() => Ok(UTF_16LE),
        Detected::Known(_) | Detected::Guessed => {
            notes.push(
                Finding::new(
                    &rules::ENCODING_GUESSED,
                    "the file is not UTF-8 and is read as Windows-1252",
                )
                .hint("if accents come out wrong, put `encoding: …` into the map"),
            );
            Ok(WINDOWS_1252)
        }
    }
}

/// Ends an intake that cannot go on.
pub(super) fn stop(
    stop: Stop,
    mut report: ExportReport<'_>,
    sources: &mut Sources,
) -> Result<Intake, IntakeError> {
    let broken = !matches!(stop, Stop::NoRows | Stop::AllLeftOut);
    match stop {
        Stop::Fault(RecordFault::Read(error)) => return Err(IntakeError::Read(error)),
        Stop::Fault(RecordFault::Malformed { text, line }) => {
            let place = Span::new(FileId::UNPLACED, text.len(), text.len());
            let fault = Finding::new(
                &rules::WRONG_ENCODING,
                "the byte that follows here belongs to no character",
            )
            .at(place)
            .hint(
                "name the file's encoding in the map, such as `encoding: windows-1252`, or \
                 export anew",
            );
            report.take(vec![fault], &text, line, sources);
        }
        Stop::Fault(RecordFault::Broken { text, line, cut }) => {
            report.take(vec![explain_cut(&cut)], &text, line, sources);
        }
        Stop::Fault(RecordFault::TooLong(line)) => report.say(
            Finding::new(
                &rules::TOO_LONG,
                format!("the row that starts in line {line} does not end within 1 MB"),
            )
            .hint("see whether the file is a table of comma-separated values at all"),
        ),
        Stop::Sheet(fault) => report.say(fault.explain()),
        Stop::OtherKind(kind) => report.say(
            Finding::new(&rules::NO_TABLE, format!("expected a table, found {kind}"))
                .hint(if kind == OLD_WORKBOOK { SAVE_ANEW } else { WAY_OUT }),
        ),
        Stop::Separator(used, likely) => report.say(complain(used, likely, SeparatorSource::Map)),
        Stop::Empty => report.say(
            Finding::new(&rules::EMPTY_FILE, "the file is empty").hint("export the orders anew"),
        ),
        Stop::AllLeftOut => report.say(
            Finding::new(
                &rules::ALL_LEFT_OUT,
                "every order is left out, as `rows` of the map says",
            )
            .hint("see whether the words under `rows` are those of orders that are no parcels"),
        ),
        Stop::NoRows => report.say(
            Finding::new(&rules::NO_ORDERS, "there are no orders below the first row")
                .hint("the first row names the columns; each row below it is an order or an item"),
        ),
    }
    Ok(Intake { findings: report.finish(), broken, stopped: true, ..Intake::default() })
}

/// The complaint about a record that is wrong in itself.
fn explain_cut(cut: &RecordEnd) -> Finding {
    let at = |place: usize| Span::new(FileId::UNPLACED, place, place + 1);
    match *cut {
        RecordEnd::Unclosed(place) => {
            Finding::new(&rules::OPEN_QUOTE, "this quote is never closed")
                .at(at(place))
                .hint("close it, or double it if it is part of the text: `\"5\"\" nib\"`")
        }
        RecordEnd::AfterQuote(place) => Finding::new(
            &rules::AFTER_QUOTE,
            "expected the end of the cell after its closing quote",
        )
        .at(at(place))
        .hint("double quotes that are part of the text: `\"the \"\"Heron\"\" pen\"`"),
        RecordEnd::Whole(..) | RecordEnd::Unfinished => {
            Finding::new(&rules::OPEN_QUOTE, "the row does not end")
        }
    }
}
