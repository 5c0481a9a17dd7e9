//! What the programs of `tests/outside/` compare with: the engine, driven by their scripts.
//!
//! `addresses` and `cells` answer the lines of standard input, `languages` prints what every locale
//! writes, `pages FOLDER`, `colours FOLDER` and `samples FOLDER` write files to look at,
//! `page FILE NUMBER OUT` places one page of a PDF.

mod addresses;
mod cells;
mod colours;
mod imports;
mod languages;
mod pages;
#[path = "../../it/pdf_page_support.rs"]
mod pdf_page_support;
#[path = "../../it/sample_pages.rs"]
mod sample_pages;

use std::error::Error;
use std::path::Path;
use std::process::ExitCode;

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
        ["addresses"] => addresses::format_lines(),
        ["cells"] => Ok(cells::print_cells()?),
        ["colours", folder] => {
            colours::write_colours(Path::new(folder));
            Ok(())
        }
        ["languages"] => languages::print_languages(),
        ["pages", folder] => {
            pages::write_pages(Path::new(folder));
            Ok(())
        }
        ["samples", folder] => imports::place_samples(Path::new(folder)),
        ["page", file, number, out] => imports::place_page(file, number, out),
        _ => Err(
            "expected `addresses`, `cells`, `colours`, `languages`, `pages`, `samples` or `page`"
                .into(),
        ),
    }
}
