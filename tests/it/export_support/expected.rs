//! What a document must hold, as JSON for `tests/outside/pdf_tools.py`.

use serde_json::{Value, json};
use slipwright::{CodeMark, Mark, MarkKind, Page, Raster, Symbol, Turn};

/// What the pages of a document must hold: `{"dpi", "pages": [{"size_mm", "title",
/// "codes", "texts", "pictures"}]}`.
///
/// A code is `{"kind", "payload", "module_dots", "turn", "dots": [x, y, width, height], "rows"}`,
/// its rows strings of `0` and `1`, one module a digit, top row first; a Code 128 has one row, read
/// along it. Texts are the runs of a page in painting order.
pub(crate) fn expect(pages: &[Page]) -> Value {
    let dpi = pages.first().map(|page| page.grid.dpi());
    json!({ "dpi": dpi, "pages": pages.iter().map(expect_page).collect::<Vec<_>>() })
}

/// What a page must hold.
fn expect_page(page: &Page) -> Value {
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
        "title": page.title,
        "codes": codes.collect::<Vec<_>>(),
        "texts": texts.collect::<Vec<_>>(),
        "pictures": page.marks.iter().filter_map(|mark| expect_picture(mark, page)).collect::<Vec<_>>(),
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
    let pixel = |x: u32, y: u32| {
        let at = y as usize * width.div_ceil(8) as usize + x as usize / 8;
        if image.rows[at] >> (7 - x % 8) & 1 == 1 { '1' } else { '0' }
    };
    let rows: Vec<String> =
        (0..height).map(|y| (0..width).map(|x| pixel(x, y)).collect()).collect();
    Some(json!({
        "dots": [dots(picture.rect.x), dots(picture.rect.y), width, height],
        "rows": rows,
    }))
}

/// What a code must be.
fn expect_code(code: &CodeMark) -> Value {
    let digits = |row: &[bool]| row.iter().map(|&dark| if dark { '1' } else { '0' }).collect();
    let (kind, rows): (&str, Vec<String>) = match &code.symbol {
        Symbol::Code128(symbol) => ("code128", vec![digits(&symbol.to_modules())]),
        Symbol::Qr(symbol) => {
            let size = symbol.size();
            let row = |y| digits(&(0..size).map(|x| symbol.get(x, y)).collect::<Vec<bool>>());
            ("qr", (0..size).map(row).collect())
        }
    };
    json!({
        "kind": kind,
        "payload": code.payload,
        "module_dots": code.module_dots,
        "turn": match code.turn { Turn::Upright => "upright", Turn::Quarter => "quarter" },
        "dots": [code.dots.x, code.dots.y, code.dots.width, code.dots.height],
        "rows": rows,
    })
}
