//! What must be found in a page once it is written, for those who check our output from outside.
//!
//! In: a [`Page`]. Out: its codes, texts and one-bit pictures as JSON, with where they are in dots.
//! `tests/outside/pdf_tools.py` holds the drawings and readings of other programs against it.

use serde_json::{Value, json};

use crate::images::Raster;
use crate::scene::{CodeMark, Mark, MarkKind, Page, Symbol, SymbolForm};

/// What a page must hold, as JSON: `{"size_mm", "dpi", "title", "codes", "texts", "pictures",
/// "foreign"}`.
///
/// A code is `{"kind", "payload", "module_dots", "turn", "dots": [x, y, width, height], "rows"}`,
/// its rows strings of `0` and `1`, one module a digit, top row first; a Code 128 has one row, or one
/// column when it is turned. Texts are the runs of a page in painting order. Pictures are those of
/// one bit whose pixels are dots, with `dots` and `rows` as a code has them. A page is foreign when
/// pages of other PDFs stand on it, whose own texts and codes are not listed.
#[must_use]
pub fn expect_page(page: &Page) -> Value {
    let codes = page.marks.iter().filter_map(|mark| match &mark.kind {
        MarkKind::Code(code) => Some(expect_code(code)),
        _ => None,
    });
    let texts = page.marks.iter().filter_map(|mark| match &mark.kind {
        MarkKind::Text(run) => Some(run.text.as_str()),
        _ => None,
    });
    json!({
        "size_mm": [page.size.width.0, page.size.height.0],
        "dpi": page.grid.dpi(),
        "title": page.title,
        "codes": codes.collect::<Vec<_>>(),
        "texts": texts.collect::<Vec<_>>(),
        "pictures": page.marks.iter().filter_map(|mark| expect_picture(mark, page)).collect::<Vec<_>>(),
        "foreign": page.marks.iter().any(|mark| matches!(mark.kind, MarkKind::Foreign(_))),
    })
}

/// A one-bit picture whose pixels are dots, in the form of a code; none for other pictures.
fn expect_picture(mark: &Mark, page: &Page) -> Option<Value> {
    let MarkKind::Picture(picture) = &mark.kind else { return None };
    let Raster::Bits(image) = &*picture.raster else { return None };
    let dots = |length| page.grid.dots(length).round() as u32;
    let (width, height) = (dots(picture.rect.width), dots(picture.rect.height));
    if (width, height) != (image.width, image.height) {
        return None;
    }
    let pixel = |x, y| if image.get(x, y) { '1' } else { '0' };
    let rows: Vec<String> =
        (0..height).map(|y| (0..width).map(|x| pixel(x, y)).collect()).collect();
    Some(json!({
        "dots": [dots(picture.rect.x), dots(picture.rect.y), width, height],
        "rows": rows,
    }))
}

/// The modules of a code as it lies on the page, row by row; bars have one row, or one column when
/// they lie.
#[must_use]
pub fn list_modules(code: &CodeMark) -> Vec<Vec<bool>> {
    match code.symbol.shape() {
        SymbolForm::Bars(row) => {
            let mut modules = row.to_modules();
            if code.stance.runs_back() {
                modules.reverse();
            }
            match code.stance.is_lying() {
                false => vec![modules],
                true => modules.into_iter().map(|dark| vec![dark]).collect(),
            }
        }
        SymbolForm::Square(grid) => {
            let (grid, size) = (grid.oriented(code.stance), grid.size());
            (0..size).map(|y| (0..size).map(|x| grid.get(x, y)).collect()).collect()
        }
    }
}

/// What a code must be.
fn expect_code(code: &CodeMark) -> Value {
    let digits = |row: Vec<bool>| row.iter().map(|&dark| if dark { '1' } else { '0' }).collect();
    let rows: Vec<String> = list_modules(code).into_iter().map(digits).collect();
    json!({
        "kind": match code.symbol {
            Symbol::Code128(_) => "code128",
            Symbol::Ean(_) => "ean",
            Symbol::Qr(_) => "qr",
            Symbol::DataMatrix(_) => "data_matrix",
        },
        "payload": code.payload,
        "module_dots": code.module_dots,
        "turn": if code.stance.is_lying() { "quarter" } else { "upright" },
        "dots": [code.dots.x, code.dots.y, code.dots.width, code.dots.height],
        "rows": rows,
    })
}
