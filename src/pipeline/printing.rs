//! Pages as their printer must be given them.
//!
//! In: composed and checked pages or sheets, and the printer's profile. Out: the pages corrected
//! for it, and what it cannot print of them; before that, the frame that layout and printer give a
//! page. A page on a sheet lies elsewhere on the paper than by itself, so of sheets the whole is
//! looked at. Not here: how a page is corrected (`correct`).

use std::borrow::Cow;

use super::{Document, Run};
use crate::compose::{PageFrame, Unprintable};
use crate::correct::{correct_page, printable_part};
use crate::draft;
use crate::findings::Finding;
use crate::geom::Insets;
use crate::layout::{Makes, Sides};
use crate::preflight::{Rules, inspect_sheet};
use crate::scene::Page;
use crate::stock::{Press, Printer};

/// The printer that a document goes to; one with nothing to say where the shop file has none.
pub(super) fn printer_of(document: &Document<'_>) -> Printer {
    let layout = document.layout;
    // A page that goes on a sheet is printed by the printer of the sheet.
    let printed_on = layout.sheet.as_ref().map_or(&layout.page.stock, |sheet| &sheet.stock);
    let known = document.shop.and_then(|shop| shop.printers.suiting(printed_on));
    known.cloned().unwrap_or_default()
}

/// The page that a document's layout and printer make together; its clear edge is that of the
/// paper it is printed on, which may be a sheet.
pub(super) fn page_frame(document: &Document<'_>, printer: &Printer) -> PageFrame {
    let setup = &document.layout.page;
    // A page that goes on a sheet is printed by the printer of the sheet.
    let printed_on = document.layout.sheet.as_ref().map_or(&setup.stock, |sheet| &sheet.stock);
    let thermal = printed_on.press == Press::Thermal;
    let grid = document.grid.or(printer.grid).unwrap_or_else(|| printed_on.usual_grid());
    let clear_edge = match printer.clear_edge {
        Some(edge) => Insets::all(edge),
        None => printed_on.clear_edge(),
    };
    let Sides { top, right, bottom, left } = setup.inset;
    PageFrame {
        size: setup.stock.size,
        grid,
        one_bit: thermal && !printer.colour,
        colour: printer.colour,
        clear_edge,
        stance: setup.stance,
        inset: Insets {
            top: top.to_mm(grid),
            right: right.to_mm(grid),
            bottom: bottom.to_mm(grid),
            left: left.to_mm(grid),
        },
        unprintable: match document.layout.makes {
            Makes::List => Unprintable::Spelt,
            _ => Unprintable::Refused,
        },
    }
}

impl Run<'_> {
    /// The printer that the document goes to, as the shop file has it.
    #[must_use]
    pub fn printer(&self) -> &Printer {
        &self.printer
    }

    /// A page as its printer must be given it.
    pub(super) fn correct<'p>(&self, page: &'p Page) -> Cow<'p, Page> {
        match self.printer.is_true() {
            true => Cow::Borrowed(page),
            false => Cow::Owned(correct_page(page, &self.printer)),
        }
    }

    /// The rules for a page of a parcel or list.
    pub(super) fn page_rules(&self, page: &Page) -> Cow<'_, Rules> {
        match self.plan {
            Some(_) => Cow::Borrowed(&self.rules),
            None => self.rules_for(page),
        }
    }

    /// What the printer cannot print of the sides of a sheet.
    pub(super) fn inspect_sides(&self, sides: &[Page]) -> Vec<Finding> {
        sides
            .iter()
            .flat_map(|side| inspect_sheet(side, self.document.book, &self.rules_for(side)))
            // What a draft has in its edge may be left out, and its page is judged without it.
            .filter(|found| found.block.as_deref() != Some(draft::BLOCK))
            .collect()
    }

    /// The rules for what a printer is given: all of the paper, unless its profile says otherwise.
    fn rules_for(&self, page: &Page) -> Cow<'_, Rules> {
        if self.printer.is_true() && self.printer.area.is_none() {
            return Cow::Borrowed(&self.rules);
        }
        let printable = Some(printable_part(page, &self.printer));
        Cow::Owned(Rules { printable, ..self.rules.clone() })
    }
}
