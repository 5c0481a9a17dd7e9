//! What `slipwright ledger print` would print now, to be looked at first.
//!
//! In: a ledger. Out: the pages, and what was found on them; nothing is made. Not here: how they are drawn
//! (`kit::line`), and the page that shows them (`desk`).

use std::path::Path;

use super::super::arguments::ledger::LedgerOptions;
use super::super::halt::Halt;
use super::super::inputs::ShopPlace;
use super::super::kit::{DrawnLine, draw_line};
use super::super::line::LineInputs;
use super::super::setup::PrintSetup;
use super::open::OpenLedger;
use super::shop_file::shop_beside;
use crate::fonts::FontBook;
use crate::source::Sources;

/// What would be printed, drawn, with its fonts.
pub(crate) struct DrawnPapers {
    /// The documents, and what was found on them.
    pub(crate) line: DrawnLine,
    /// Their fonts.
    pub(crate) book: FontBook,
    /// The texts that findings lie in.
    pub(crate) sources: Sources,
}

/// Draws what `print` would print now, for whoever wants to look at it first.
///
/// # Errors
/// When no sitting is open, or something cannot be read.
pub(crate) fn draw_papers(ledger: &Path) -> Result<DrawnPapers, Halt> {
    let options = LedgerOptions { ledger: ledger.to_owned(), json: true };
    let open = OpenLedger::open(&options)?;
    let beside = shop_beside(&options);
    let place = ShopPlace { named: None, beside: &beside };
    let mut source = LineInputs::read(&open.ledger, open.expect_line()?, place)?;
    let setup = PrintSetup::with(None, &source.inputs, None, None)?;
    let line = draw_line(&mut source, &setup)?;
    Ok(DrawnPapers { line, book: setup.book, sources: source.inputs.sources })
}
