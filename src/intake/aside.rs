//! Rows of orders that cannot be taken in, written out as they stand, so that the others can go on.
//!
//! In: the first row of an export, and rows that something is wrong with. Out: a file that is such an
//! export again, to be mended and taken in with the same map. Nothing is changed in it: what was UTF-16
//! or Windows-1252 is UTF-8 with a byte order mark, which goes before what the map says. Not here: what
//! is wrong.

use std::io::{self, Write};

/// The rows that were set aside.
pub(super) struct AsideRows<'a> {
    /// Where they go.
    out: &'a mut dyn Write,
    /// The first row of the export, until it is written.
    header: Option<String>,
    /// How many orders there are, and rows without a number.
    pub(super) count: usize,
}

impl<'a> AsideRows<'a> {
    /// None yet, of an export with this first row.
    pub(super) fn new(out: &'a mut dyn Write, header: &str) -> AsideRows<'a> {
        AsideRows { out, header: Some(header.to_owned()), count: 0 }
    }

    /// Writes the rows of one order.
    ///
    /// # Errors
    /// When they cannot be written.
    pub(super) fn write(&mut self, rows: &str) -> io::Result<()> {
        if let Some(header) = self.header.take() {
            self.out.write_all("\u{feff}".as_bytes())?;
            write_lines(self.out, &header)?;
        }
        self.count += 1;
        write_lines(self.out, rows)
    }
}

/// Writes rows; the last of a file may have no line end.
fn write_lines(out: &mut dyn Write, rows: &str) -> io::Result<()> {
    out.write_all(rows.as_bytes())?;
    if rows.ends_with(['\n', '\r']) { Ok(()) } else { out.write_all(b"\n") }
}
