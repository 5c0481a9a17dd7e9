//! Writes the sample batch in every shipped layout and two ruler pages, at 203.2 and 300 dots an
//! inch, with what each page must hold beside it as JSON, for `tests/outside/pdf_tools.py`.

use std::fs;
use std::path::Path;

use slipwright::export::expect_page;
use slipwright::ruler::{Ruler, draw_ruler};
use slipwright::shipped::SHIPPED;
use slipwright::stock::{Printer, Stock};
use slipwright::{DotGrid, FontBook, Page, PdfOptions, write_pdf};

use crate::sample_pages::sample_pages;

/// Writes all pages to a folder.
pub(super) fn write_pages(folder: &Path) {
    fs::create_dir_all(folder).expect("the folder can be made");
    let book = FontBook::builtin();
    for dpi in [203.2, 300.0] {
        let grid = DotGrid::from_dpi(dpi).expect("a common head");
        for layout in SHIPPED {
            let pages = sample_pages(layout.name, grid);
            write(&pages, &book, &folder.join(format!("{}-{dpi}.pdf", layout.name)));
        }
        let rulers: Vec<Page> = ["4x6in", "100x50mm"].map(|name| rule(name, grid, &book)).into();
        write(&rulers, &book, &folder.join(format!("ruler-{dpi}.pdf")));
    }
}

/// The ruler page of a stock.
fn rule(stock: &str, grid: DotGrid, book: &FontBook) -> Page {
    let stock = Stock::find(stock).expect("a named stock");
    let ruler = Ruler { stock: &stock, printer: &Printer::default(), grid };
    draw_ruler(&ruler, book).expect("the stock is large enough")
}

/// Writes pages, and what they must hold beside them.
fn write(pages: &[Page], book: &FontBook, name: &Path) {
    let file = write_pdf(pages, book, &PdfOptions::default(), Vec::new());
    fs::write(name, file.expect("memory takes all")).expect("the file can be written");
    let wanted: Vec<_> = pages.iter().map(expect_page).collect();
    let wanted = serde_json::json!({ "pages": wanted }).to_string();
    fs::write(name.with_extension("json"), wanted).expect("the file can be written");
}
