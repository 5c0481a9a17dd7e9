//! The whole engine in one value: texts in, finished bytes and findings out.
//!
//! In: a [`PrintJob`], which holds the texts of orders and of a shop file, and says which layout
//! they are printed in. Out: [`Printed`], the bytes of a PDF, or of a picture a page, with what was
//! found; or a [`Report`] of everything that stops it. What comes out is the command's `render`, to
//! the byte. Not here: a stage of the chain itself (`pipeline` and below), and batches so large that
//! their pages must not be held at once: for those there is [`Run`].

mod fields;
mod prepare;
mod report;

use std::io;

use serde_json::Value;

use crate::batch::BatchOptions;
use crate::export::{
    Duplex, PdfEncoder, PdfError, PdfOptions, PdfWriter, SvgOptions, render_png, render_svg,
};
use crate::fields::Day;
use crate::findings::{Finding, rules};
use crate::fonts::FontBook;
use crate::geom::DotGrid;
use crate::pipeline::{BatchCheck, Document, PictureStore, Run, Selection, watch_batch};
use crate::scene::Page;
use crate::shop::{PageOrder, Shop};
use crate::source::{Env, NoFiles, SharedText};

pub(crate) use fields::name_fields;
#[cfg(feature = "command")]
pub(crate) use prepare::{assemble_batch, assemble_line};
pub use report::Report;
#[cfg(feature = "command")]
pub(crate) use report::drop_echoes;

use prepare::{Prepared, prepare};

/// What is to be printed, and in what.
///
/// ```
/// use slipwright::{PrintJob, Printed};
///
/// let orders = r#"[{"id": "TH-1042", "hazard": "none", "ship_to": {"name": "Ines Marlow",
///     "lines": ["14 Quay Street"], "city": "Oakhaven", "postcode": "LS1 4AP", "country": "GB"}}]"#;
/// let shop = "name: Tern Hollow Pens\naddress: {lines: [7 Saltings Lane], city: Ternmouth, country: GB}";
/// let printed: Printed<Vec<u8>> = PrintJob::new(orders).shop(shop).layout("label-100x150mm").to_pdf()?;
/// assert!(printed.output.starts_with(b"%PDF"));
/// assert!(!printed.report.has_errors());
/// # Ok::<(), slipwright::Report>(())
/// ```
#[derive(Clone)]
pub struct PrintJob<'a> {
    /// The orders' JSON.
    orders: SharedText,
    /// The shop file's text, if there is one.
    shop: Option<SharedText>,
    /// What each parcel is put into; the shop's usual label when none is named.
    layout: LayoutOf,
    /// Where files are that layouts and orders name.
    files: &'a dyn Env,
    /// The fonts; none for those that come with the engine.
    book: Option<&'a FontBook>,
    /// How orders become parcels.
    how: BatchOptions,
    /// The printer's dots, where neither the shop file nor the paper says them.
    grid: Option<DotGrid>,
    /// The day of printing, if it is said.
    date: Option<Day>,
}

/// Where a job's layout comes from.
#[derive(Clone, Debug)]
enum LayoutOf {
    /// What the shop file says, or else the usual label.
    Usual,
    /// A shipped one by its name, or a file.
    Named(String),
    /// Written out, as in a layout file.
    Text(SharedText),
}

/// What pages are made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Purpose {
    /// To see what is wrong, and what could be better.
    Advice,
    /// A PDF, which holds pages of other PDFs as they are.
    Pdf,
    /// Pictures, for which pages of other PDFs are drawn.
    Pictures,
}

/// What was printed, with what was found on the way: notes and warnings, no errors.
#[derive(Clone, Debug)]
pub struct Printed<T> {
    /// The bytes.
    pub output: T,
    /// What was found.
    pub report: Report,
}

impl<'a> PrintJob<'a> {
    /// Orders as JSON text, on the label that the shop file names, or on `label-4x6in`.
    #[must_use]
    pub fn new(orders: impl Into<SharedText>) -> PrintJob<'a> {
        PrintJob {
            orders: orders.into(),
            shop: None,
            layout: LayoutOf::Usual,
            files: &NoFiles,
            book: None,
            how: BatchOptions::default(),
            grid: None,
            date: None,
        }
    }

    /// Orders as a JSON value. They are checked as text would be; findings show the value written
    /// out, an entry a line.
    #[must_use]
    pub fn of_value(orders: &Value) -> PrintJob<'a> {
        PrintJob::new(format!("{orders:#}"))
    }

    /// With the text of a shop file: who sends, on what printers, by what rules.
    #[must_use]
    pub fn shop(self, text: impl Into<SharedText>) -> PrintJob<'a> {
        PrintJob { shop: Some(text.into()), ..self }
    }

    /// In a shipped layout by its name, or one of the [files](PrintJob::files).
    #[must_use]
    pub fn layout(self, name: impl Into<String>) -> PrintJob<'a> {
        PrintJob { layout: LayoutOf::Named(name.into()), ..self }
    }

    /// In a layout of one's own, by its text.
    #[must_use]
    pub fn layout_text(self, text: impl Into<SharedText>) -> PrintJob<'a> {
        PrintJob { layout: LayoutOf::Text(text.into()), ..self }
    }

    /// With the files that layouts and orders name: pictures, PDFs, included layouts. Without it
    /// there are none.
    #[must_use]
    pub fn files(self, files: &'a dyn Env) -> PrintJob<'a> {
        PrintJob { files, ..self }
    }

    /// In these fonts; without it in those that come with the engine.
    #[must_use]
    pub fn fonts(self, book: &'a FontBook) -> PrintJob<'a> {
        PrintJob { book: Some(book), ..self }
    }

    /// With these options of how orders become parcels, such as whether those of one recipient
    /// share one.
    #[must_use]
    pub fn batch(self, how: BatchOptions) -> PrintJob<'a> {
        PrintJob { how, ..self }
    }

    /// On a printer with these dots; without it with those of the shop file's printer, or those
    /// that the paper is usually printed with.
    #[must_use]
    pub fn dots(self, grid: DotGrid) -> PrintJob<'a> {
        PrintJob { grid: Some(grid), ..self }
    }

    /// On this day, for layouts that print it; without it that is an error.
    #[must_use]
    pub fn date(self, day: Day) -> PrintJob<'a> {
        PrintJob { date: Some(day), ..self }
    }

    /// Everything that is wrong or could be better, and nothing printed.
    #[must_use]
    pub fn check(&self) -> Report {
        let made = self.make(Purpose::Advice, |press| press.draw(|_page, _book| Ok(())));
        made.map_or_else(|report| report, |printed| printed.report)
    }

    /// A PDF of all pages.
    ///
    /// # Errors
    /// Everything that stops it: nothing is printed while anything is wrong.
    pub fn to_pdf(&self) -> Result<Printed<Vec<u8>>, Report> {
        self.make(Purpose::Pdf, |press| press.write_pdf())
    }

    /// An SVG a page, as text.
    ///
    /// # Errors
    /// As [`PrintJob::to_pdf`].
    pub fn to_svg(&self) -> Result<Printed<Vec<String>>, Report> {
        self.make(Purpose::Pictures, |press| {
            press.draw(|page, book| Ok(render_svg(page, book, &SvgOptions::default())))
        })
    }

    /// A PNG a page, one bit a pixel and a pixel a printer dot.
    ///
    /// # Errors
    /// As [`PrintJob::to_pdf`].
    pub fn to_png(&self) -> Result<Printed<Vec<Vec<u8>>>, Report> {
        self.make(Purpose::Pictures, |press| press.draw(render_png))
    }

    /// Reads everything, makes the pages, and gives out what `print` made of them if nothing is
    /// wrong.
    fn make<T>(
        &self,
        purpose: Purpose,
        print: impl FnOnce(&mut PagePress<'_>) -> Result<T, PdfError>,
    ) -> Result<Printed<T>, Report> {
        let Prepared { batch, shop, layout, folder, mut report } = prepare(self)?;
        let builtin;
        let book = if let Some(book) = self.book {
            book
        } else {
            builtin = FontBook::builtin();
            &builtin
        };
        let pictures = PictureStore::new(self.files, folder);
        let pictures = if purpose == Purpose::Pictures { pictures.for_dots() } else { pictures };
        let order = shop.as_ref().map_or(PageOrder::Bench, |shop| shop.kit.order);
        let document = Document {
            shop: shop.as_ref(),
            grid: self.grid,
            date: self.date,
            selection: Selection::all(&batch, order),
            ..Document::new(&batch, &layout, book, &pictures)
        };
        let run = match Run::new(&document) {
            Ok(run) if purpose == Purpose::Advice => run.with_advice(),
            Ok(run) => run,
            Err(fault) => return Err(report.with([fault])),
        };
        let (watch, findings) = (watch_batch(&batch), Vec::new());
        let mut press = PagePress { run, document: &document, watch, findings };
        let printed = print(&mut press);
        name_fields(&mut press.findings, &batch, book, &report.sources);
        report = report.with(press.findings).with(press.watch.finish()).without_echoes();
        match printed {
            _ if report.has_errors() => Err(report),
            Ok(output) => Ok(Printed { output, report }),
            Err(error) => Err(report.with([Finding::new(&rules::UNWRITTEN, error.to_string())])),
        }
    }
}

/// A document ready to be printed, with what was found on its pages.
struct PagePress<'a> {
    /// The chain.
    run: Run<'a>,
    /// What it makes.
    document: &'a Document<'a>,
    /// Checks pages against each other.
    watch: BatchCheck,
    /// What was found.
    findings: Vec<Finding>,
}

impl PagePress<'_> {
    /// Makes every page into a picture of its own.
    fn draw<T: Send>(
        &mut self,
        render: impl Fn(&Page, &FontBook) -> io::Result<T> + Sync,
    ) -> Result<Vec<T>, PdfError> {
        let mut drawn = Vec::new();
        let finish = |page: &Page| render(page, self.document.book);
        let take = |page: io::Result<T>| {
            drawn.push(page?);
            Ok(())
        };
        let outcome = self.run.make(&mut self.watch, finish, take, |_done| {});
        self.findings.extend(outcome.map_err(PdfError::Write)?.findings);
        Ok(drawn)
    }

    /// Writes all pages into a PDF.
    fn write_pdf(&mut self) -> Result<Vec<u8>, PdfError> {
        let Document { layout, shop, .. } = *self.document;
        let options = pdf_options(&self.run, shop, layout.makes.word());
        let encoder = PdfEncoder::new(self.document.book, &options);
        let mut writer = PdfWriter::new(Vec::new(), self.document.book, &options)?;
        let take = |page| writer.push(page).map_err(io::Error::other);
        let finish = |page: &Page| encoder.encode_page(page);
        let outcome = self.run.make(&mut self.watch, finish, take, |_done| {});
        let outcome = outcome.map_err(PdfError::Write)?;
        self.findings.extend(outcome.findings);
        // A document that is not good is thrown away; it may not even have a page.
        if outcome.failed { Ok(Vec::new()) } else { writer.finish() }
    }
}

/// How a document is written as a PDF: by what it is called, its shop, its language and its backs.
pub(crate) fn pdf_options(run: &Run<'_>, shop: Option<&Shop>, kind: &str) -> PdfOptions {
    PdfOptions {
        title: Some(match shop {
            Some(shop) => format!("{}: {kind}", shop.name),
            None => kind.to_owned(),
        }),
        author: shop.map(|shop| shop.name.to_string()),
        language: run.language(),
        // A printer left at both sides would put one parcel's page behind another's.
        duplex: Some(run.turn_edge().map_or(Duplex::OneSided, Duplex::Turned)),
        ..PdfOptions::default()
    }
}
