//! Writes the sample batch in every shipped layout, all kinds of codes in every turn, and two ruler
//! pages, at 203.2 and 300 dots an inch, with what each page must hold beside it as JSON, for `tests/outside/pdf_tools.py`.

use std::fs;
use std::path::Path;

use slipwright::export::expect_page;
use slipwright::ruler::{Ruler, draw_ruler};
use slipwright::shipped::SHIPPED;
use slipwright::stock::{Printer, Stock};
use slipwright::{DotGrid, FontBook, Page, PdfOptions, write_pdf};

use crate::sample_pages::{layout_of, pages_of, sample_batch, sample_pages};

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
        let turned: Vec<Page> = TURNS.iter().map(|turn| turn_codes(turn, grid)).collect();
        write(&turned, &book, &folder.join(format!("codes-{dpi}.pdf")));
        let rulers: Vec<Page> = ["4x6in", "100x50mm"].map(|name| rule(name, grid, &book)).into();
        write(&rulers, &book, &folder.join(format!("ruler-{dpi}.pdf")));
    }
}

/// The turns of blocks.
const TURNS: [&str; 4] = ["none", "quarter", "half", "three-quarter"];

/// A page with a code of every kind, all turned so; of 6 dots a module at 203 dpi, so that they are read
/// from drawings of other resolutions too.
fn turn_codes(turn: &str, grid: DotGrid) -> Page {
    let code = |block: &str, side: u32| {
        format!("        - {{{block}, turn: {turn}, width: {side}, height: {side}, most: 6}}\n")
    };
    let text = [
        "page: {stock: a5, inset: 8}\nmakes: slip\nbody:\n  down:\n    - across:\n".to_owned(),
        code("ean: \"4512345678906\"", 76),
        code("data_matrix: PEN-0007", 12),
        code("data_matrix: \"Feder für Ærøskøbing\"", 18),
        "      gap: 3\n    - across:\n".to_owned(),
        code("ean: \"95012346\"", 60),
        code("qr: PEN-0007", 25),
        code("data_matrix: \"Слип 12\"", 20),
        "      gap: 3\n  gap: 4\n".to_owned(),
    ];
    let (batch, shop) = sample_batch();
    pages_of(&batch, &shop, &layout_of(&text.concat()), Some(grid)).swap_remove(0)
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
