//! A document that is to be printed: a PDF, its dots, or both.
//!
//! In: a file. Out: its pages, paper and sides; of a kit's PDF the dots beside it too, if the kit's record
//! proves that they belong together. Not here: which of the two is sent (`shipment`).

use std::fs;
use std::path::{Path, PathBuf};

use crate::cli::disk::Disk;
use crate::cli::documents::dots_of;
use crate::cli::halt::Halt;
use crate::cli::kit::belong_together;
use crate::cli::output::show_path;
use crate::export::PwgFile;
use crate::geom::Size;
use crate::images::PdfFile;
use crate::ipp::PaperSize;
use crate::sides::TurnEdge;
use crate::source::Env as _;
use crate::stock::STOCKS;

/// What a file holds that a printer may take.
pub(super) struct PrintDocument {
    /// Its file.
    pub(super) path: PathBuf,
    /// The PDF, if there is one.
    pub(super) pdf: Option<Vec<u8>>,
    /// The dots, if there are any.
    pub(super) dots: Option<PwgFile>,
    /// How many pages it has.
    pub(super) pages: usize,
    /// How large its pages are; all are alike.
    pub(super) paper: PaperSize,
    /// The edge that its sheets are turned over; none for one side.
    pub(super) turn: Option<TurnEdge>,
}

impl PrintDocument {
    /// Reads a document.
    ///
    /// # Errors
    /// When it cannot be read, is neither of the two, or its pages are of several sizes.
    pub(super) fn read(path: &Path) -> Result<PrintDocument, Halt> {
        let bytes = Disk::anywhere().read(path);
        let bytes = bytes.map_err(|error| Halt::unreadable(&show_path(path), &error))?;
        match bytes.starts_with(b"RaS2") {
            true => PrintDocument::of_dots(path, bytes),
            false => PrintDocument::of_pdf(path, bytes),
        }
    }

    /// A document of dots alone.
    fn of_dots(path: &Path, bytes: Vec<u8>) -> Result<PrintDocument, Halt> {
        let dots = PwgFile::read(bytes).map_err(|fault| refuse(path, &fault))?;
        let first = dots.pages()[0];
        if let Some(other) =
            dots.pages().iter().position(|page| page.paper != first.paper || page.dpi != first.dpi)
        {
            return Err(refuse_sizes(path, other + 1));
        }
        let pages = dots.pages().len();
        let (paper, turn) = (name_size(first.paper), first.turn);
        Ok(PrintDocument { path: path.to_owned(), pdf: None, dots: Some(dots), pages, paper, turn })
    }

    /// A PDF, and its dots where there are any.
    fn of_pdf(path: &Path, bytes: Vec<u8>) -> Result<PrintDocument, Halt> {
        let pdf = PdfFile::open(bytes.clone());
        let pdf = pdf.map_err(|fault| refuse(path, &fault.to_string()))?;
        let size = |page: usize| -> Result<PaperSize, Halt> {
            let size = pdf.page_size(page).map_err(|fault| refuse(path, &fault.to_string()))?;
            Ok(PaperSize::of(size))
        };
        let (pages, paper) = (pdf.page_count(), size(1)?);
        for page in 2..=pages {
            if !paper.is_about(size(page)?) {
                return Err(refuse_sizes(path, page));
            }
        }
        let dots = read_dots_beside(path).filter(|dots| dots.pages().len() == pages);
        let turn = pdf.turn_edge();
        Ok(PrintDocument { path: path.to_owned(), pdf: Some(bytes), dots, pages, paper, turn })
    }

    /// The dots an inch that its dots are made for.
    pub(super) fn dpi(&self) -> Option<u32> {
        self.dots.as_ref().and_then(|dots| dots.pages().first()).map(|page| page.dpi)
    }
}

/// The dots beside a kit's PDF, if the kit's record lists both as they are.
fn read_dots_beside(pdf: &Path) -> Option<PwgFile> {
    let dots = dots_of(pdf);
    if !belong_together(pdf, &dots) {
        return None;
    }
    PwgFile::read(fs::read(dots).ok()?).ok()
}

/// The size of a page of dots, which says whole points only: that of a stock so large, if there is one.
fn name_size(size: Size) -> PaperSize {
    let said = PaperSize::of(size);
    let known = STOCKS.iter().map(|stock| PaperSize::of(stock.size));
    known.into_iter().find(|known| known.is_about(said)).unwrap_or(said)
}

/// What stops a file that cannot be printed.
fn refuse(path: &Path, fault: &str) -> Halt {
    let shown = show_path(path);
    Halt::usage(format!("{shown} cannot be printed: {fault}"))
        .hint("name a PDF, or dots from `slipwright render -o FILE.pwg`")
}

/// What stops a document whose pages do not go on one paper; `page` is the first that is not as page 1.
fn refuse_sizes(path: &Path, page: usize) -> Halt {
    let shown = show_path(path);
    Halt::usage(format!("page {page} of {shown} is of another size than page 1"))
        .hint(format!("print the pages by themselves: `--pages 1-{}`", page.saturating_sub(1)))
}
