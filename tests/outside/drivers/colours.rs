//! Writes a page of patches in the inks of a layout, and one without ink, for `tests/outside/colour.py`.

use std::fs;
use std::path::Path;

use slipwright::scene::{Ink, MarkKind};
use slipwright::{DotGrid, FontBook, Page, PdfOptions, write_pdf};

use crate::sample_pages::{layout_of, pages_of, sample_batch};

/// The inks, as a layout writes them: the corners of the cube, and colours in between.
const INKS: [&str; 12] = [
    "#ff0000", "#00ff00", "#0000ff", "#00ffff", "#ff00ff", "#ffff00", "#0b6e6e", "#f4d4d8",
    "#808080", "#010203", "#fefdfc", "#7f3f1f",
];

/// Writes both files and what stands where to a folder.
pub(super) fn write_colours(folder: &Path) {
    fs::create_dir_all(folder).expect("the folder can be made");
    let page = paint_patches();
    let fills = page.marks.iter().filter_map(|mark| match mark.kind {
        MarkKind::Fill(rect, Ink::Colour(_)) => Some(rect),
        _ => None,
    });
    // Where each patch lies is the engine's word, what it is printed in the layout's.
    let patches: Vec<_> = fills
        .zip(INKS)
        .map(|(rect, ink)| {
            let [x, y, width, height] =
                [rect.x, rect.y, rect.width, rect.height].map(|length| length.0);
            serde_json::json!({ "ink": ink, "mm": [x, y, width, height] })
        })
        .collect();
    assert_eq!(patches.len(), INKS.len(), "a patch for every ink");
    write(&page, &folder.join("colours.pdf"));
    let patches = serde_json::json!({ "patches": patches }).to_string();
    fs::write(folder.join("colours.json"), patches).expect("the file can be written");
    let plain = "page: {stock: a6, inset: 8}\nmakes: insert\nbody: {text: plain}\n";
    write(&first_page(plain), &folder.join("grey.pdf"));
}

/// A page with a patch for every ink.
fn paint_patches() -> Page {
    let inks: Vec<String> =
        INKS.iter().enumerate().map(|(at, ink)| format!("  ink{at}: \"{ink}\"\n")).collect();
    let patch = |at| format!("    - {{rule: 8, ink: ink{at}}}\n");
    let patches: Vec<String> = (0..INKS.len()).map(patch).collect();
    let top = "page: {stock: a6, inset: 8}\nmakes: insert\ninks:\n";
    first_page(&[top, &inks.concat(), "body:\n  down:\n", &patches.concat(), "  gap: 2\n"].concat())
}

/// The first parcel's page of a layout.
fn first_page(layout: &str) -> Page {
    let (batch, shop) = sample_batch();
    pages_of(&batch, &shop, &layout_of(layout), DotGrid::from_dpi(300.0)).swap_remove(0)
}

/// Writes a page as a PDF.
fn write(page: &Page, name: &Path) {
    let book = FontBook::builtin();
    let pages = std::slice::from_ref(page);
    let file = write_pdf(pages, &book, &PdfOptions::default(), Vec::new());
    fs::write(name, file.expect("memory takes all")).expect("the file can be written");
}
