//! What more than one group of tests needs.

use std::path::Path;
use std::{fs, io};

use slipwright::Page;
use slipwright::images::DRAWS_PAGES;
use slipwright::scene::{Mark, MarkKind};

/// The files of the machine, for cases that name some.
pub(crate) struct Disk;

impl slipwright::Env for Disk {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        fs::read(path)
    }
}

/// Compares a text with the file that holds what is expected; with `SLIPWRIGHT_BLESS=1` the file
/// is written instead. A case without expectations fails and leaves a file to look at.
pub(crate) fn compare(expected: &Path, actual: &str) -> Option<String> {
    if std::env::var_os("SLIPWRIGHT_BLESS").is_some() {
        fs::write(expected, actual).unwrap();
        return None;
    }
    let wanted = fs::read_to_string(expected).unwrap_or_default();
    if wanted == actual {
        return None;
    }
    let name = expected.display();
    Some(format!("{name}\n--- expected\n{wanted}\n--- actual\n{actual}\n"))
}

/// Whether this build draws all of a page: pages of other PDFs take the feature `draw`.
pub(crate) fn is_drawable(page: &Page) -> bool {
    let is_foreign = |mark: &Mark| matches!(mark.kind, MarkKind::Foreign(_));
    DRAWS_PAGES || !page.marks.iter().any(is_foreign)
}
