//! Places pages of existing PDFs into new ones, for `tests/outside/pdf_import.py`.

use std::error::Error;
use std::path::Path;

use slipwright::images::{ImportedPage, PdfFile};

use crate::pdf_page_support::{import, place, samples};

/// Writes each sample of the tests as `NAME.source.pdf` and, imported into a new page of the same
/// size, as `NAME.placed.pdf`; prints its name, page number, width and height in millimetres.
pub(super) fn place_samples(folder: &Path) -> Result<(), Box<dyn Error>> {
    for (name, file, number) in samples() {
        let path = |kind: &str| folder.join(format!("{name}.{kind}.pdf"));
        std::fs::write(path("source"), &file)?;
        let page = import(file, number);
        std::fs::write(path("placed"), alone(&page))?;
        let size = page.size();
        println!("{name} {number} {} {}", size.width.0, size.height.0);
    }
    Ok(())
}

/// Does the same with one page of any file, and prints what is to be said of it.
pub(super) fn place_page(file: &str, number: &str, out: &str) -> Result<(), Box<dyn Error>> {
    let page = PdfFile::open(std::fs::read(file)?)?.page(number.parse()?)?;
    std::fs::write(out, alone(&page))?;
    let size = page.size();
    println!("{} × {}, {} bytes", size.width, size.height, page.byte_count());
    page.archival_problems().iter().for_each(|problem| println!("not PDF/A-2b: {problem}"));
    page.remarks().iter().for_each(|remark| println!("note: {remark}"));
    Ok(())
}

/// A PDF with the page alone, at its own size.
fn alone(page: &ImportedPage) -> Vec<u8> {
    let (width, height) = (page.size().width.to_pt() as f32, page.size().height.to_pt() as f32);
    place((width, height), &[(page, [0., 0., width, height])])
}
