//! Intake: a shop's export, rows of cells, to orders.
//!
//! In: a map ([`read_intake_map`]) and a file that can be opened twice: once to find out its
//! encoding, once to read it. Out: an orders file, written order by order, and everything that was
//! found, each with its place in the export. Nothing is dropped without a word: columns that no
//! field uses are named, cells without a column and values that contradict each other are errors.
//! Only the rows of one order, the ids of all, and what messages show are held. Not here: the disk,
//! and what is made of orders.

mod apart;
mod aside;
mod cells;
mod columns;
mod group;
mod kind;
mod left_out;
mod making;
mod map;
mod mistaken;
mod open;
mod propose;
mod repeated;
mod report;
mod rows;
mod sheet;
mod shown;
mod street;
mod survey;
mod taxes;
mod values;
mod write;

use std::io::{self, Read, Write};

pub use map::{IntakeMap, intake_schema, read_intake_map};
pub use propose::propose_map;

pub(crate) use cells::{DateForm, DecimalMark, ExportRecord};
pub(crate) use map::{COLUMN, ENCODINGS, SEPARATORS, quote, read_separator};

use crate::findings::{Finding, has_errors, rules};
use crate::source::Sources;
use aside::AsideRows;
use group::Group;
use map::{Binding, bind};
use mistaken::find_other_separator;
use open::{HowToRead, OpenedExport, Stop, open_export, stop};
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
    /// How many orders were left out because the map says that they are no parcels.
    pub orders_left_out: usize,
    /// The ids of orders that do not go by what the file says of them: those that were left out, and
    /// those of which a row says that it is cancelled although they were written.
    pub not_going: Vec<String>,
    /// How many rows were left out beside those, of orders that stay or of none.
    pub rows_left_out: usize,
    /// How many orders, and rows without a number, were set aside because something is wrong with them.
    pub set_aside: usize,
    /// Whether what was written is not to be used, because an error belongs to no single order.
    pub stopped: bool,
    /// Everything found, in the order of the file.
    pub findings: Vec<Finding>,
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

/// Where the orders of an export go.
pub struct IntakeOutput<'a> {
    /// The orders, as JSON.
    pub orders: &'a mut dyn Write,
    /// The rows of orders that something is wrong with, as they stand in the export; without this one
    /// faulty order stops all.
    pub aside: Option<&'a mut dyn Write>,
}

/// Reads an export and writes its orders to `out`; one faulty order stops all.
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
    take_in_with(map, open, name, IntakeOutput { orders: out, aside: None }, sources)
}

/// As [`take_in`], with a say in where faulty orders go.
///
/// # Errors
/// As [`take_in`].
pub fn take_in_with(
    map: &IntakeMap,
    open: OpenExport<'_>,
    name: &str,
    out: IntakeOutput<'_>,
    sources: &mut Sources,
) -> Result<Intake, IntakeError> {
    let mut report = ExportReport::new(name);
    let mut opened = match open_export(open, HowToRead::by(map)) {
        Ok(opened) => opened,
        Err(reason) => return stop(reason, report, sources),
    };
    opened.notes.drain(..).for_each(|note| report.say(note));
    let mut header = ExportRecord::default();
    match opened.read(&mut header) {
        Ok(true) => {}
        Ok(false) => return stop(Stop::Empty, report, sources),
        Err(reason) => return stop(opened.blame_separator(reason, map), report, sources),
    }
    let mut found = Vec::new();
    let binding = bind(map, &header, name, sources, &mut found);
    if has_errors(&found)
        && let Some(used) = opened.separator()
        && let Some(other) = find_other_separator(map, &header, used, name, sources)
    {
        found = vec![other];
    }
    report.take_all(found);
    let mut intake = Intake { stopped: report.has_errors(), ..Intake::default() };
    if !intake.stopped {
        let mut writer = OrdersWriter::start(out.orders, &map.batch).map_err(IntakeError::Write)?;
        let aside = out.aside.map(|out| AsideRows::new(out, &header.text));
        let intake = &mut intake;
        let mut reading = RowPass { binding: &binding, report, sources, intake, aside };
        let end = reading.read_rows(map, &mut opened, &mut writer)?;
        report = reading.report;
        if let Some(end) = end {
            let not_going = std::mem::take(&mut intake.not_going);
            return Ok(Intake { not_going, ..stop(end, report, sources)? });
        }
        writer.finish().map_err(IntakeError::Write)?;
        opened.tell_hidden_rows().into_iter().for_each(|found| report.say(found));
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
    let how = HowToRead { encoding, separator, ..HowToRead::default() };
    let (records, intake) = list_records_as(open, how, "export", sources)?;
    let cells_of = |record: &ExportRecord| {
        let cells = (0..record.cells.len()).filter_map(|index| record.cell(index));
        cells.map(Into::into).collect()
    };
    Ok((records.iter().map(cells_of).collect(), intake))
}

/// The rows of a small table, each with its place, empty ones left out; the whole is held. Encoding
/// and separator are found out. `name` is what messages call the file.
///
/// # Errors
/// When reading itself fails; a fault in the file is in the findings.
pub(crate) fn list_records(
    open: OpenExport<'_>,
    name: &str,
    sources: &mut Sources,
) -> Result<(Vec<ExportRecord>, Intake), IntakeError> {
    list_records_as(open, HowToRead::default(), name, sources)
}

/// As [`list_records`], with a say in how the file is read.
fn list_records_as(
    open: OpenExport<'_>,
    how: HowToRead<'_>,
    name: &str,
    sources: &mut Sources,
) -> Result<(Vec<ExportRecord>, Intake), IntakeError> {
    let report = ExportReport::new(name);
    let mut rows = Vec::new();
    let mut opened = match open_export(open, how) {
        Ok(opened) => opened,
        Err(reason) => return Ok((rows, stop(reason, report, sources)?)),
    };
    loop {
        let mut record = ExportRecord::default();
        match opened.read(&mut record) {
            Ok(true) => rows.push(record),
            Ok(false) => return Ok((rows, Intake::default())),
            Err(reason) => return Ok((rows, stop(reason, report, sources)?)),
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
    /// Where rows that something is wrong with go.
    aside: Option<AsideRows<'a>>,
}

impl RowPass<'_, '_> {
    /// Reads all rows and writes their orders; returns what kept it from the end of the file.
    fn read_rows(
        &mut self,
        map: &IntakeMap,
        opened: &mut OpenedExport,
        writer: &mut OrdersWriter<'_>,
    ) -> Result<Option<Stop>, IntakeError> {
        let binding = self.binding;
        let mut rows = Rows::new(binding, ValueReader::new(map));
        let mut record = ExportRecord::default();
        let mut any = false;
        loop {
            let group = match opened.read(&mut record) {
                Ok(true) => rows.take(&record, &mut self.report, self.sources),
                Ok(false) => break,
                Err(reason) => return Ok(Some(reason)),
            };
            any |= !record.is_blank();
            if std::mem::take(&mut rows.refused_row) {
                self.set_aside(&record.text)?;
            }
            if let Some(group) = group {
                self.finish_order(group, &mut rows, writer)?;
            }
        }
        if let Some(group) = rows.finish() {
            self.finish_order(group, &mut rows, writer)?;
        }
        self.intake.set_aside = self.aside.as_ref().map_or(0, |aside| aside.count);
        self.intake.orders_left_out = rows.left_out.count_orders();
        self.intake.rows_left_out = rows.left_out.count_rows();
        self.report.take_all(rows.left_out.tell(binding));
        let none_stays = self.intake.orders == 0 && self.intake.orders_left_out > 0;
        Ok(match (any, none_stays && !self.report.has_errors()) {
            (false, _) => Some(Stop::NoRows),
            (true, true) => Some(Stop::AllLeftOut),
            (true, false) => None,
        })
    }

    /// Makes an order of its rows and writes it, unless something is wrong.
    fn finish_order(
        &mut self,
        mut group: Group,
        rows: &mut Rows<'_>,
        writer: &mut OrdersWriter<'_>,
    ) -> Result<(), IntakeError> {
        if !group.stays {
            let rule = group.left_out.first().copied().unwrap_or_default();
            rows.left_out.count_order(rule, &group.id);
            self.intake.not_going.push(group.id);
            return Ok(());
        }
        if group.found.iter().any(|found| found.is(&rules::CANCELLED_ROW)) {
            self.intake.not_going.push(group.id.clone());
        }
        group.left_out.iter().for_each(|rule| rows.left_out.count_row(*rule, &group.id));
        let made = group.finish(self.binding, &mut rows.values);
        // Rows that are parted from the others of their order, or not all held, cannot go aside.
        let goes_whole = !group
            .found
            .iter()
            .any(|found| found.is(&rules::SPLIT_ORDER) || found.is(&rules::TOO_MANY_ROWS));
        self.report.take(group.found, &group.text, group.line, self.sources);
        let Some(made) = made else {
            if goes_whole {
                return self.set_aside(&group.text);
            }
            self.intake.stopped = true;
            return Ok(());
        };
        self.intake.orders += 1;
        self.intake.items += made.items;
        // After an error that stops all nothing is used of the output.
        if self.intake.stopped {
            return Ok(());
        }
        writer.write(&made.node).map_err(IntakeError::Write)
    }

    /// Sets rows aside that something is wrong with; where that is not wanted, they stop all.
    fn set_aside(&mut self, rows: &str) -> Result<(), IntakeError> {
        match &mut self.aside {
            Some(aside) => aside.write(rows).map_err(IntakeError::Write),
            None => {
                self.intake.stopped = true;
                Ok(())
            }
        }
    }
}
