//! Intake: a shop's export, rows of cells, to orders.
//!
//! In: a map ([`read_intake_map`]) and a file that can be opened twice: once to find out its
//! encoding, once to read it. Out: an orders file, written order by order, and everything that was
//! found, each with its place in the export. Nothing is dropped without a word: columns that no
//! field uses are named, cells without a column and values that contradict each other are errors.
//! Only the rows of one order, the ids of all, and what messages show are held. Not here: the disk,
//! and what is made of orders.

mod cells;
mod group;
mod map;
mod propose;
mod report;
mod rows;
mod values;
mod write;

use std::io::{self, Read, Write};

use encoding_rs::{Encoding, UTF_16BE, UTF_16LE, WINDOWS_1252};

pub use map::{IntakeMap, intake_schema, read_intake_map};
pub use propose::propose_map;

use crate::diag::Diagnostic;
use crate::source::{FileId, Sources, Span};
use cells::{
    Decoded, Detected, ExportRecord, RecordEnd, RecordFault, Records, declared_separator,
    detect_encoding, detect_separator, find_encoding,
};
use group::Group;
use map::{Binding, bind};
use report::ExportReport;
use rows::Rows;
use values::ValueReader;
use write::OrdersWriter;

/// A file that is opened anew for each pass over it.
pub type OpenExport<'a> = &'a dyn Fn() -> io::Result<Box<dyn Read>>;

/// What came of an export.
#[derive(Clone, Debug, Default)]
pub struct Intake {
    /// How many orders were written.
    pub orders: usize,
    /// How many items they have together.
    pub items: usize,
    /// Everything found, in the order of the file; with an error among it, what was written is not
    /// to be used.
    pub findings: Vec<Diagnostic>,
    /// Whether the file could not be read to its end.
    pub broken: bool,
}

/// Why there is no outcome at all.
#[derive(Debug)]
pub enum IntakeError {
    /// The export cannot be read.
    Read(io::Error),
    /// The orders cannot be written.
    Write(io::Error),
}

/// Reads an export and writes its orders to `out`.
///
/// `name` is what messages call the file. Parts of it that messages show are added to `sources`.
///
/// # Errors
/// When reading or writing itself fails; all else is in [`Intake::findings`].
pub fn take_in(
    map: &IntakeMap,
    open: OpenExport<'_>,
    name: &str,
    out: &mut dyn Write,
    sources: &mut Sources,
) -> Result<Intake, IntakeError> {
    let mut report = ExportReport::new(name);
    let mut opened = match open_records(open, map.encoding, map.separator) {
        Ok(opened) => opened,
        Err(fault) => return stop(fault, report, sources),
    };
    opened.notes.drain(..).for_each(|note| report.say(note));
    let mut header = ExportRecord::default();
    match opened.records.read(&mut header) {
        Ok(true) => {}
        Ok(false) => return stop(Stop::Empty, report, sources),
        Err(fault) => return stop(Stop::Fault(fault), report, sources),
    }
    let mut found = Vec::new();
    let binding = bind(map, &header, name, sources, &mut found);
    report.take_all(found);
    let mut intake = Intake::default();
    if !report.has_errors() {
        let mut writer = OrdersWriter::start(out, &map.batch).map_err(IntakeError::Write)?;
        let mut reading = RowPass { binding: &binding, report, sources, intake: &mut intake };
        let end = reading.read_rows(map, opened.records, &mut writer)?;
        report = reading.report;
        if let Some(end) = end {
            return stop(end, report, sources);
        }
        writer.finish().map_err(IntakeError::Write)?;
    }
    intake.findings = report.finish();
    Ok(intake)
}

/// The cells of a file, row by row as they are written, empty rows left out; with the separator and
/// encoding given, or those found out. The whole is held: this is for looking at files, and for
/// checking the reader against others.
///
/// # Errors
/// When reading itself fails; a fault in the file is in the findings.
pub fn list_cells(
    open: OpenExport<'_>,
    encoding: Option<&str>,
    separator: Option<u8>,
    sources: &mut Sources,
) -> Result<(Vec<Vec<String>>, Intake), IntakeError> {
    let report = ExportReport::new("export");
    let mut rows = Vec::new();
    let failed = |reason, rows, report, sources| Ok((rows, stop(reason, report, sources)?));
    let mut opened = match open_records(open, encoding, separator) {
        Ok(opened) => opened,
        Err(reason) => return failed(reason, rows, report, sources),
    };
    let mut record = ExportRecord::default();
    loop {
        match opened.records.read(&mut record) {
            Ok(true) => {
                let cells = (0..record.cells.len()).filter_map(|index| record.cell(index));
                rows.push(cells.map(Into::into).collect());
            }
            Ok(false) => return Ok((rows, Intake::default())),
            Err(fault) => return failed(Stop::Fault(fault), rows, report, sources),
        }
    }
}

/// What a pass over the rows needs beside them.
struct RowPass<'a, 'b> {
    /// The fields and their columns.
    binding: &'a Binding<'a>,
    /// What was found.
    report: ExportReport<'b>,
    /// The texts that messages show.
    sources: &'a mut Sources,
    /// The outcome so far.
    intake: &'a mut Intake,
}

impl RowPass<'_, '_> {
    /// Reads all rows and writes their orders; returns what kept it from the end of the file.
    fn read_rows(
        &mut self,
        map: &IntakeMap,
        mut records: Records<Box<dyn Read>>,
        writer: &mut OrdersWriter<'_>,
    ) -> Result<Option<Stop>, IntakeError> {
        let binding = self.binding;
        let mut rows = Rows::new(binding, ValueReader::new(map));
        let mut record = ExportRecord::default();
        let mut any = false;
        loop {
            let group = match records.read(&mut record) {
                Ok(true) => rows.take(&record, &mut self.report, self.sources),
                Ok(false) => break,
                Err(fault) => return Ok(Some(Stop::Fault(fault))),
            };
            any |= !record.is_blank();
            if let Some(group) = group {
                self.finish_order(group, &mut rows.values, writer)?;
            }
        }
        if let Some(group) = rows.finish() {
            self.finish_order(group, &mut rows.values, writer)?;
        }
        Ok((!any).then_some(Stop::NoRows))
    }

    /// Makes an order of its rows and writes it, unless something is wrong.
    fn finish_order(
        &mut self,
        mut group: Group,
        values: &mut ValueReader<'_>,
        writer: &mut OrdersWriter<'_>,
    ) -> Result<(), IntakeError> {
        let made = group.finish(self.binding, values);
        self.report.take(group.found, &group.text, group.line, self.sources);
        let Some(made) = made else { return Ok(()) };
        self.intake.orders += 1;
        self.intake.items += made.items;
        // After an error nothing is used of the output, so nothing more need be written.
        if self.report.has_errors() {
            return Ok(());
        }
        writer.write(&made.node).map_err(IntakeError::Write)
    }
}

/// A file that is open, its encoding and separator known.
struct Opened {
    /// Its records.
    records: Records<Box<dyn Read>>,
    /// What is worth knowing of how it is read.
    notes: Vec<Diagnostic>,
}

/// Why a file cannot be read, or not to its end.
enum Stop {
    /// A fault in the file.
    Fault(RecordFault),
    /// It is empty.
    Empty,
    /// There is nothing below its first row.
    NoRows,
}

/// Opens a file and finds out how it is to be read.
fn open_records(
    open: OpenExport<'_>,
    encoding: Option<&str>,
    separator: Option<u8>,
) -> Result<Opened, Stop> {
    let read = |error| Stop::Fault(RecordFault::Read(error));
    let mut notes = Vec::new();
    let encoding = find_out_encoding(open, encoding, &mut notes)?;
    let decoded = Decoded::new(open().map_err(read)?, encoding);
    let mut records = Records::new(decoded);
    let (ahead, _) = records.look_ahead().map_err(Stop::Fault)?;
    let declared = declared_separator(ahead);
    let found = detect_separator(ahead);
    if declared.is_some() {
        records.skip_line();
    }
    records.separator = separator.or(declared).unwrap_or(found);
    Ok(Opened { records, notes })
}

/// The encoding that the map names, or that the file has.
fn find_out_encoding(
    open: OpenExport<'_>,
    named: Option<&str>,
    notes: &mut Vec<Diagnostic>,
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
                Diagnostic::note(
                    "encoding-guessed",
                    "the file is not UTF-8 and is read as Windows-1252",
                )
                .hint("if accents come out wrong, put `encoding: …` into the map"),
            );
            Ok(WINDOWS_1252)
        }
    }
}

/// Ends an intake that cannot go on.
fn stop(
    stop: Stop,
    mut report: ExportReport<'_>,
    sources: &mut Sources,
) -> Result<Intake, IntakeError> {
    let broken = !matches!(stop, Stop::NoRows);
    match stop {
        Stop::Fault(RecordFault::Read(error)) => return Err(IntakeError::Read(error)),
        Stop::Fault(RecordFault::Malformed { text, line }) => {
            let place = Span::new(FileId::UNPLACED, text.len(), text.len());
            let fault = Diagnostic::error(
                "wrong-encoding",
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
            Diagnostic::error(
                "too-long",
                format!("the row that starts in line {line} does not end"),
            )
            .hint("see whether the file is a table of comma-separated values at all"),
        ),
        Stop::Empty => report.say(
            Diagnostic::error("empty-file", "the file is empty").hint("export the orders anew"),
        ),
        Stop::NoRows => report.say(
            Diagnostic::error("no-orders", "there are no orders below the first row")
                .hint("the first row names the columns; each row below it is an order or an item"),
        ),
    }
    Ok(Intake { findings: report.finish(), broken, ..Intake::default() })
}

/// The complaint about a record that is wrong in itself.
fn explain_cut(cut: &RecordEnd) -> Diagnostic {
    let at = |place: usize| Span::new(FileId::UNPLACED, place, place + 1);
    match *cut {
        RecordEnd::Unclosed(place) => Diagnostic::error("open-quote", "this quote is never closed")
            .at(at(place))
            .hint("close it, or double it if it is part of the text: `\"5\"\" nib\"`"),
        RecordEnd::AfterQuote(place) => {
            Diagnostic::error("after-quote", "expected the end of the cell after its closing quote")
                .at(at(place))
                .hint("double quotes that are part of the text: `\"the \"\"Heron\"\" pen\"`")
        }
        RecordEnd::Whole(..) | RecordEnd::Unfinished => {
            Diagnostic::error("open-quote", "the row does not end")
        }
    }
}
