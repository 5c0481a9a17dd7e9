//! Which printer a document goes to.
//!
//! In: what the user says, the shop file, the document's paper. Out: a [`PrintTarget`]. Not here: how the
//! printer is.

use std::path::{Path, PathBuf};

use super::address::QueueAddress;
use super::queue::PrintQueue;
use crate::cli::arguments::Diagnostics;
use crate::cli::arguments::print::PrinterChoice;
use crate::cli::halt::Halt;
use crate::cli::inputs::{ReadShop, ShopPlace, read_shop};
use crate::cli::terminal;
use crate::geom::{Mm, Size};
use crate::ipp::PaperSize;
use crate::source::Sources;
use crate::stock::{Printer, Printers, Stock};

/// A printer with its queue.
#[derive(Debug)]
pub(crate) struct PrintTarget {
    /// Where its jobs go.
    pub(crate) queue: PrintQueue,
    /// Its profile; none when the user names a queue alone.
    pub(crate) profile: Option<Printer>,
}

impl PrintTarget {
    /// A printer of the shop file.
    ///
    /// # Errors
    /// When it has no queue.
    pub(crate) fn of_printer(printer: &Printer) -> Result<PrintTarget, Halt> {
        let said = if printer.name.is_empty() { "printer" } else { &*printer.name };
        let Some(queue) = &printer.queue else {
            let message = format!("the printer `{said}` has no print queue");
            return Err(Halt::usage(message).hint(
                "write its queue beside it in the shop file: `queue: NAME`; `slipwright print --list` \
                 tells names",
            ));
        };
        let queue = PrintQueue::new(said, QueueAddress::read(queue)?);
        Ok(PrintTarget { queue, profile: Some(printer.clone()) })
    }

    /// A queue that is in no shop file.
    ///
    /// # Errors
    /// When it is no name and no address.
    pub(crate) fn of_queue(queue: &str) -> Result<PrintTarget, Halt> {
        let queue = PrintQueue::new(queue, QueueAddress::read(queue)?);
        Ok(PrintTarget { queue, profile: None })
    }

    /// The printer that the user names, or else the one that a paper goes to.
    ///
    /// # Errors
    /// When there is none, or it has no queue.
    pub(super) fn choose(
        choice: &PrinterChoice,
        printers: &Printers,
        paper: Option<PaperSize>,
    ) -> Result<PrintTarget, Halt> {
        if let Some(queue) = &choice.queue {
            return PrintTarget::of_queue(queue);
        }
        let mut printers = printers.clone();
        if let Some(name) = &choice.printer {
            let chosen = printers.choose(name);
            chosen.map_err(|(message, hint)| Halt::usage(message).hint_if(hint))?;
        }
        let with_queue = |printer: &&Printer| printer.queue.is_some();
        let suiting = match paper {
            Some(paper) => printers.suiting(&to_stock(paper)),
            None if choice.printer.is_some() => printers.suiting(&to_stock(ANY)),
            // A job by its number alone: where there is one printer with a queue, it is meant.
            None => {
                let mut with = printers.list().iter().filter(with_queue);
                with.next().filter(|_| with.next().is_none())
            }
        };
        match suiting {
            Some(printer) => PrintTarget::of_printer(printer),
            None => Err(no_printer(&printers, paper)),
        }
    }
}

/// A paper for questions in which it does not matter.
const ANY: PaperSize = PaperSize { width: 10_000, length: 15_000 };

/// A paper as a stock, whose names do not matter to printers.
fn to_stock(paper: PaperSize) -> Stock {
    let side = |hundredths: i32| Mm(f64::from(hundredths) / 100.0);
    let size = Size::new(side(paper.width), side(paper.length));
    let known = crate::stock::STOCKS.iter().find(|stock| PaperSize::of(stock.size).is_about(paper));
    match known {
        Some(known) => Stock { name: known.name.to_owned(), size: known.size, press: known.press },
        None => Stock::of_size(size),
    }
}

/// What stops a document that no printer is for.
fn no_printer(printers: &Printers, paper: Option<PaperSize>) -> Halt {
    let message = match paper {
        Some(paper) => format!("no printer of the shop file is for paper of {paper}"),
        None => "it is not said which printer is meant".to_owned(),
    };
    let named = printers.list().iter().find(|it| it.queue.is_some() && !it.name.is_empty());
    Halt::usage(message).hint(match named {
        Some(printer) => format!("name one: `--printer {}`", printer.name),
        None => "name a queue: `--queue NAME`, or write one in the shop file: \
                 `printers: {bench: {queue: NAME}}`"
            .to_owned(),
    })
}

/// The printers of the shop file: the one that is named, or that lies beside the document, above its
/// folder, as in a kit with parcels printed once more, or here.
///
/// # Errors
/// When it cannot be read or has errors.
pub(super) fn read_printers(
    choice: &PrinterChoice,
    document: Option<&Path>,
    how: Diagnostics,
) -> Result<Printers, Halt> {
    let beside = document.map(|path| path.with_file_name("shop.yaml"));
    let above = document.and_then(Path::parent).and_then(Path::parent);
    let above = above.map(|folder| folder.join("shop.yaml"));
    let here = Some(PathBuf::from("shop.yaml"));
    let places = [beside, above, here.clone()].into_iter().flatten();
    let found = places.into_iter().find(|place| place.is_file()).or(here).unwrap_or_default();
    let place = ShopPlace { named: choice.shop.as_deref(), beside: &found };
    let (mut sources, mut findings) = (Sources::new(), Vec::new());
    let read = read_shop(place, &mut sources, &mut findings)?;
    terminal::show(&findings, &sources, how);
    Ok(read.map(|ReadShop { shop, .. }| shop.printers).unwrap_or_default())
}
