//! Why a spreadsheet cannot be read, or not to its end.
//!
//! In: what the readers come upon. Out: the complaint with a way out. Not here: where it is shown.

use crate::findings::{Finding, rules};
use crate::intake::kind::WAY_OUT;
use crate::words::did_you_mean;

/// Why a spreadsheet cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::intake) enum SheetFault {
    /// The file is damaged; the words say what of it.
    Broken(&'static str),
    /// It is encrypted.
    Locked,
    /// It is larger than any seller's, packed or unpacked.
    TooLarge,
    /// It is a file of another kind, called so.
    OtherKind(&'static str),
    /// It has no sheet of this name; it has these.
    NoSheet(String, Vec<String>),
    /// This cell holds a formula whose result was never stored.
    NotComputed(String),
    /// This cell stands far beside the table.
    FarCell(String),
}

impl SheetFault {
    /// The complaint.
    pub(in crate::intake) fn explain(&self) -> Finding {
        match self {
            SheetFault::Broken(what) => {
                let message = format!("the spreadsheet cannot be read: {what}");
                Finding::new(&rules::BROKEN_SPREADSHEET, message)
                    .hint("save it anew, or save it as CSV")
            }
            SheetFault::Locked => {
                let message = "the spreadsheet is locked with a password";
                Finding::new(&rules::BROKEN_SPREADSHEET, message)
                    .hint("save it without the password, or save it as CSV")
            }
            SheetFault::TooLarge => {
                let message = "the spreadsheet is larger than can be read";
                Finding::new(&rules::TOO_LARGE, message)
                    .hint("delete other sheets and old rows from a copy of it, or save it as CSV")
            }
            SheetFault::OtherKind(kind) => {
                Finding::new(&rules::NO_TABLE, format!("expected a table, found {kind}"))
                    .hint(WAY_OUT)
            }
            SheetFault::NoSheet(name, known) => {
                let known: Vec<&str> = known.iter().map(String::as_str).collect();
                let message = format!("the spreadsheet has no sheet `{name}`");
                Finding::new(&rules::UNKNOWN_SHEET, message).hint_if(did_you_mean(name, &known))
            }
            SheetFault::NotComputed(cell) => {
                let message =
                    format!("the cell {cell} holds a formula whose result is not in the file");
                Finding::new(&rules::FORMULA_WITHOUT_VALUE, message)
                    .hint("open the file in a spreadsheet program and save it there")
            }
            SheetFault::FarCell(cell) => {
                let message = format!("the cell {cell} stands far outside of the table");
                Finding::new(&rules::TOO_LARGE, message)
                    .hint("delete it from the sheet, or save the table as CSV")
            }
        }
    }
}
