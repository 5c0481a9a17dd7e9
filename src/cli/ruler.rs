//! `slipwright ruler`: one page that shows what a printer does, and what to write about it.

use std::io::{self, Write as _};
use std::path::Path;

use super::arguments::{Diagnostics, Format, RulerArguments};
use super::files::Settled;
use super::inputs::{choose_printer, read_grid, read_shop};
use super::output::{cannot_write, choose_format, is_same_file, open_output, show_path, to_io};
use super::{Exit, report};
use crate::correct::correct_page;
use crate::export::{PdfOptions, SvgOptions, render_png, render_svg, write_pdf};
use crate::fonts::FontBook;
use crate::ruler::{Ruler, draw_ruler, ruler_guide};
use crate::scene::Page;
use crate::source::Sources;
use crate::stock::Stock;

/// Draws a ruler page.
pub(super) fn run(arguments: &RulerArguments) -> Exit {
    match draw(arguments) {
        Ok(()) => Exit::Done,
        Err(exit) => exit,
    }
}

/// Draws it, or says why not.
fn draw(arguments: &RulerArguments) -> Result<(), Exit> {
    let format = choose_format(arguments.format, &arguments.output)?;
    let stock = Stock::find(&arguments.stock)
        .map_err(|(message, hint)| report::usage(&message, Some(hint)))?;
    let mut sources = Sources::new();
    let beside = Path::new("shop.yaml");
    let named = arguments.shop.as_deref();
    if is_same_file(&arguments.output, named.unwrap_or(beside)) {
        let message =
            format!("`-o` names the same file as the shop file: {}", show_path(&arguments.output));
        return Err(report::usage(&message, Some("name another file".into())));
    }
    let mut faults = Vec::new();
    let mut shop = read_shop((named, beside), &mut sources, &mut faults, Diagnostics::Full)?;
    report::show(&faults, &sources, Diagnostics::Full);
    choose_printer(shop.as_mut(), arguments.printer.as_deref())?;
    let profile = shop.as_ref().and_then(|shop| shop.printers.suiting(&stock)).cloned();
    let profile = profile.unwrap_or_default();
    let grid = read_grid(arguments.dpi)?.or(profile.grid).unwrap_or_else(|| stock.usual_grid());
    let printer = if arguments.corrected { profile } else { profile.uncorrected() };
    let ruler = Ruler { stock: &stock, printer: &printer, grid };
    let book = FontBook::builtin();
    let page = draw_ruler(&ruler, &book)
        .map_err(|fault| report::usage(&fault.message, fault.hints.first().cloned()))?;
    let page = if printer.is_true() { page } else { correct_page(&page, &printer) };
    write(&page, &book, format, &arguments.output)?;
    let place = show_path(&arguments.output);
    report::say(&format!("a ruler for {} in {place}\n\n{}", stock.name, ruler_guide(&ruler)));
    Ok(())
}

/// Writes the page.
fn write(page: &Page, book: &FontBook, format: Format, path: &Path) -> Result<(), Exit> {
    let bytes = match format {
        Format::Pdf => {
            let options = PdfOptions { language: Some("en".into()), ..PdfOptions::default() };
            write_pdf([page], book, &options, Vec::new()).map_err(to_io)
        }
        Format::Svg => Ok(render_svg(page, book, &SvgOptions::default()).into_bytes()),
        Format::Png => render_png(page, book),
    };
    let mut pending = open_output(path)?;
    let written: io::Result<()> = bytes.and_then(|bytes| pending.write_all(&bytes));
    let done = written.and_then(|()| pending.settle()).and_then(Settled::commit);
    done.map_err(|error| cannot_write(path, &error))
}
