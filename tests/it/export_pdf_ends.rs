//! Where a PDF's writing ends: without a page, on a full disk, at absurd marks.

use std::io::{self, Write};

use slipwright::export::PdfError;
use slipwright::fonts::{Cut, Shaper};
use slipwright::geom::Rect;
use slipwright::scene::{Ink, MarkKind};
use slipwright::{DotGrid, FontBook, Mm, PdfOptions, write_pdf};

use crate::export_pdf::{labels, read_back, to_pdf};
use crate::export_support::ladder::noise;
use crate::export_support::{self, PageBuilder};

#[test]
fn a_document_without_pages_is_refused() {
    let refused = write_pdf([], &FontBook::builtin(), &PdfOptions::default(), Vec::new());
    let error = refused.err().unwrap();
    assert!(matches!(error, PdfError::NoPages));
    assert_eq!(error.to_string(), "expected at least one page, found none");
}

/// An output that takes so many bytes and then is full.
struct Full(usize);

impl Write for Full {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.0 < bytes.len() {
            return Err(io::Error::new(io::ErrorKind::StorageFull, "no space left"));
        }
        self.0 -= bytes.len();
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_full_disk_is_an_error_wherever_it_comes() {
    let pages = labels(2);
    let size = to_pdf(&pages, &PdfOptions::default()).len();
    for room in (0..size).step_by(997) {
        let out = write_pdf(&pages, &FontBook::builtin(), &PdfOptions::default(), Full(room));
        let error = out.err().unwrap();
        assert!(matches!(error, PdfError::Write(_)), "{room}");
        assert_eq!(error.to_string(), "the PDF cannot be written: no space left");
    }
    assert!(write_pdf(&pages, &FontBook::builtin(), &PdfOptions::default(), Full(size)).is_ok());
}

#[test]
fn absurd_marks_end_in_a_readable_file() {
    let mut shaper = Shaper::new(&FontBook::builtin());
    let mut page = PageBuilder::new(&mut shaper, (50.0, 25.0), DotGrid::DPI_203, "p");
    for (x, width) in [(f64::NAN, 1.0), (1e300, 1e300), (-1e300, f64::INFINITY), (0.0, -5.0)] {
        let rect = Rect::new(Mm(x), Mm(0.0), Mm(width), Mm(1.0));
        page.mark(MarkKind::Fill(rect, Ink::Black));
    }
    page.text((1e9, -1e9), 9.0, Cut::Bold, "far").text((f64::NAN, 5.0), 1e9, Cut::Bold, "large");
    page.picture([1e9, f64::NAN, -1.0, 0.0], &noise(3, 3));
    page.outline(&export_support::gear(40), (f64::INFINITY, 5.0), f64::NAN);
    let document = read_back(&[page.finish()]);
    let content = document.get_page_content(document.get_pages()[&1]);
    let text = String::from_utf8_lossy(&content);
    assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
    assert!(lopdf::content::Content::decode(&content).unwrap().operations.len() > 10);
}
