//! Places pages of existing PDFs into new ones, for the checks in tests/outside.
//!
//! `pdf_pages samples FOLDER` writes each sample of the tests as `NAME.source.pdf` and, imported
//! into a new page of the same size, as `NAME.placed.pdf`, and prints its name, page number, width
//! and height in millimetres. `pdf_pages page FILE NUMBER OUT` does the same with one page of any file.

#[path = "../tests/it/pdf_page_support.rs"]
mod pdf_page_support;

use std::error::Error;
use std::path::Path;
use std::process::ExitCode;

use pdf_page_support::{import, place, samples};
use slipwright::images::{ImportedPage, PdfFile};

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match run(&arguments) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}

/// Does what the arguments ask for.
fn run(arguments: &[&str]) -> Result<(), Box<dyn Error>> {
    match *arguments {
        ["samples", folder] => {
            for (name, file, number) in samples() {
                let path = |kind: &str| Path::new(folder).join(format!("{name}.{kind}.pdf"));
                std::fs::write(path("source"), &file)?;
                let page = import(file, number);
                std::fs::write(path("placed"), alone(&page))?;
                let size = page.size();
                println!("{name} {number} {} {}", size.width.0, size.height.0);
            }
            Ok(())
        }
        ["page", file, number, out] => {
            let page = PdfFile::open(std::fs::read(file)?)?.page(number.parse()?)?;
            std::fs::write(out, alone(&page))?;
            let size = page.size();
            println!("{} × {}, {} bytes", size.width, size.height, page.byte_count());
            page.archival_problems().iter().for_each(|problem| println!("not PDF/A-2b: {problem}"));
            page.remarks().iter().for_each(|remark| println!("note: {remark}"));
            Ok(())
        }
        _ => Err("expected `samples FOLDER` or `page FILE NUMBER OUT`".into()),
    }
}

/// A PDF with the page alone, at its own size.
fn alone(page: &ImportedPage) -> Vec<u8> {
    let (width, height) = (page.size().width.to_pt() as f32, page.size().height.to_pt() as f32);
    place((width, height), &[(page, [0., 0., width, height])])
}
