//! `slipwright ruler`: one page that shows what a printer does, and what to write about it.

use std::io::{self, Write as _};
use std::path::Path;

use super::arguments::{Diagnostics, Format, RulerArguments};
use super::exit::Exit;
use super::files::Settled;
use super::halt::Halt;
use super::inputs::{ShopPlace, choose_printer, read_shop};
use super::output::{cannot_write, choose_format, is_same_file, open_output, show_path, to_io};
use super::setup::read_grid;
use super::terminal;
use crate::correct::correct_page;
use crate::export::{
    PWG_START, PdfOptions, PwgOptions, SvgOptions, encode_pwg_page, render_png, render_svg,
    write_pdf,
};
use crate::fonts::FontBook;
use crate::ruler::{Ruler, draw_ruler, ruler_guide};
use crate::scene::Page;
use crate::source::Sources;
use crate::stock::{Printer, Stock};

/// Draws a ruler page.
pub(super) fn run(arguments: &RulerArguments) -> Result<Exit, Halt> {
    let format = choose_format(arguments.format, &arguments.output)?;
    let stock =
        Stock::find(&arguments.stock).map_err(|(message, hint)| Halt::usage(message).hint(hint))?;
    let profile = find_profile(arguments, &stock)?;
    let grid = read_grid(arguments.dpi)?.or(profile.grid).unwrap_or_else(|| stock.usual_grid());
    let printer = if arguments.corrected { profile } else { profile.uncorrected() };
    let ruler = Ruler { stock: &stock, printer: &printer, grid };
    let book = FontBook::builtin();
    let page = draw_ruler(&ruler, &book)
        .map_err(|fault| Halt::usage(fault.message).hint_if(fault.hints.into_iter().next()))?;
    let page = if printer.is_true() { page } else { correct_page(&page, &printer) };
    write(&page, &book, format, &arguments.output)?;
    let place = show_path(&arguments.output);
    terminal::say(&format!("a ruler for {} in {place}", stock.name));
    terminal::say("");
    ruler_guide(&ruler).trim_end_matches('\n').lines().for_each(terminal::say);
    Ok(Exit::Done)
}

/// What the shop file says of the printer that the page is for.
fn find_profile(arguments: &RulerArguments, stock: &Stock) -> Result<Printer, Halt> {
    let beside = Path::new("shop.yaml");
    let place = ShopPlace { named: arguments.shop.as_deref(), beside };
    if is_same_file(&arguments.output, place.named.unwrap_or(beside)) {
        let output = show_path(&arguments.output);
        let message = format!("`-o` names the same file as the shop file: {output}");
        return Err(Halt::usage(message).hint("name another file"));
    }
    let (mut sources, mut faults) = (Sources::new(), Vec::new());
    let mut shop = read_shop(place, &mut sources, &mut faults)?.map(|read| read.shop);
    terminal::show(&faults, &sources, Diagnostics::Full);
    choose_printer(shop.as_mut(), arguments.printer.as_deref())?;
    let profile = shop.as_ref().and_then(|shop| shop.printers.suiting(stock)).cloned();
    Ok(profile.unwrap_or_default())
}

/// Writes the page in the format that its name asks for.
fn write(page: &Page, book: &FontBook, format: Format, path: &Path) -> Result<(), Halt> {
    let bytes = match format {
        Format::Pdf => {
            let options = PdfOptions { language: Some("en".into()), ..PdfOptions::default() };
            write_pdf([page], book, &options, Vec::new()).map_err(to_io)
        }
        Format::Svg => Ok(render_svg(page, book, &SvgOptions::default()).into_bytes()),
        Format::Png => render_png(page, book),
        Format::Pwg => encode_pwg_page(page, book, &PwgOptions::default())
            .map(|page| [&PWG_START[..], &page[..]].concat()),
    };
    let mut pending = open_output(path)?;
    let written: io::Result<()> = bytes.and_then(|bytes| pending.write_all(&bytes));
    let done = written.and_then(|()| pending.settle()).and_then(Settled::commit);
    done.map_err(|error| cannot_write(path, &error))
}
