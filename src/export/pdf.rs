//! Finished pages into a PDF at true size.
//!
//! In: [`Page`]s of a scene, the fonts they name, [`PdfOptions`]. Out: a PDF 1.7 made to the rules
//! of PDF/A-2b: vector, exact stock sizes, embedded subset fonts with their text, an outline, the
//! same bytes every time. The work is in two halves: [`PdfEncoder`] turns each page into an
//! [`EncodedPage`] by itself, on as many threads as there are, and [`PdfWriter`] writes them in
//! order and forgets them. Not here: judging a page, threads, files.
//!
//! The way of a page: `frame` makes printer dots the unit, `page` walks its marks, `text`, `code`
//! and `art` paint them through `content`, and `tags` says what they are; then `writer` numbers
//! everything with `objects`, `page_tree` and `structure`, and adds fonts (`fontfile`, `face`) and
//! `metadata` at the end.

mod art;
mod code;
mod content;
mod deflate;
mod digest;
mod face;
mod fontfile;
mod frame;
mod glyphs;
mod metadata;
mod objects;
mod page;
mod page_tree;
mod profile;
mod structure;
mod tags;
mod text;
mod writer;

use std::fmt;
use std::io::{self, Write};

use crate::fonts::FontBook;
use crate::scene::Page;
use crate::sides::TurnEdge;

pub use page::{EncodedPage, PdfEncoder};
pub use writer::PdfWriter;

/// How a document is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PdfOptions {
    /// Whether streams are compressed and small objects gathered; yes by default. Without, the
    /// file is for people to read.
    pub compress: bool,
    /// The document's title; the first page's title by default.
    pub title: Option<String>,
    /// Who it is from; nobody by default.
    pub author: Option<String>,
    /// The language of its text as a BCP 47 tag, such as `en`; not stated by default.
    pub language: Option<String>,
    /// Whether pages say what they hold, in reading order, to programs that read them aloud; yes by
    /// default.
    pub tagged: bool,
    /// When it was made; not stated by default, so that the same input gives the same bytes.
    pub created: Option<PdfDate>,
    /// How sheets are printed on both sides; left to the printer by default.
    pub duplex: Option<Duplex>,
}

impl Default for PdfOptions {
    fn default() -> PdfOptions {
        PdfOptions {
            compress: true,
            title: None,
            author: None,
            language: None,
            tagged: true,
            created: None,
            duplex: None,
        }
    }
}

/// A moment in universal time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PdfDate {
    /// The year, 0 to 9999.
    pub year: u16,
    /// The month, 1 to 12.
    pub month: u8,
    /// The day, 1 to 31.
    pub day: u8,
    /// The hour, 0 to 23.
    pub hour: u8,
    /// The minute, 0 to 59.
    pub minute: u8,
    /// The second, 0 to 59.
    pub second: u8,
}

/// How sheets are printed on both sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Duplex {
    /// On the front only.
    OneSided,
    /// On both sides, turned over this edge.
    Turned(TurnEdge),
}

/// Why a document could not be written.
#[derive(Debug)]
#[non_exhaustive]
pub enum PdfError {
    /// There was no page.
    NoPages,
    /// A font cannot be embedded.
    Font {
        /// What the face is called, as the font book has it.
        family: String,
        /// Why.
        reason: String,
    },
    /// The output failed.
    Write(io::Error),
}

impl fmt::Display for PdfError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PdfError::NoPages => f.write_str("expected at least one page, found none"),
            PdfError::Font { family, reason } => {
                write!(f, "the font `{family}` cannot be embedded: {reason}")
            }
            PdfError::Write(error) => write!(f, "the PDF cannot be written: {error}"),
        }
    }
}

impl std::error::Error for PdfError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            PdfError::Write(error) => Some(error),
            PdfError::NoPages | PdfError::Font { .. } => None,
        }
    }
}

impl From<io::Error> for PdfError {
    fn from(error: io::Error) -> PdfError {
        PdfError::Write(error)
    }
}

/// Writes pages as a PDF, one after the other on this thread, and gives back where it went.
///
/// # Errors
/// As [`PdfWriter::push`] and [`PdfWriter::finish`].
pub fn write_pdf<'a, W: Write>(
    pages: impl IntoIterator<Item = &'a Page>,
    book: &FontBook,
    options: &PdfOptions,
    out: W,
) -> Result<W, PdfError> {
    let encoder = PdfEncoder::new(book, options);
    let mut writer = PdfWriter::new(out, book, options)?;
    for page in pages {
        writer.push(encoder.encode_page(page))?;
    }
    writer.finish()
}
