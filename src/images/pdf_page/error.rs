//! Why a page of a PDF cannot be placed.
//!
//! In: what the reader stumbled on. Out: the words for a person, with the change to make. Not
//! here: the place in the layout or the order, which the caller adds to the finding.

use std::fmt;

use super::limits::{LONGEST_SIDE, SHORTEST_SIDE};
use crate::findings::{Finding, Rule, rules};
use crate::geom::{Mm, Size};

/// What the modules of the importer return.
pub(super) type Result<T> = std::result::Result<T, PdfImportError>;

/// Why a PDF, or one page of it, is refused.
#[derive(Clone, Debug, PartialEq)]
pub enum PdfImportError {
    /// The bytes are something other than a PDF.
    NotAPdf,
    /// The file is encrypted, be it with a password to open it or only against changes.
    Encrypted,
    /// The file is damaged or cut short.
    Broken {
        /// What is wrong with it, as the end of a sentence.
        what: String,
    },
    /// There is no such page.
    NoSuchPage {
        /// The number asked for.
        asked: usize,
        /// How many pages there are.
        pages: usize,
    },
    /// A side of the page is too short or too long to be paper.
    AbsurdSize {
        /// The size that the page claims.
        size: Size,
    },
    /// The file or the page takes more room or work than a page of print ever does.
    TooLarge {
        /// What there is too much of, with the limit.
        what: String,
    },
    /// Something on the page lies on a layer that is switched off.
    HiddenLayer {
        /// The layer's name.
        layer: String,
    },
    /// A mark on the page is printed by viewers, but the file holds no picture of it.
    NoAppearance {
        /// What it is, such as `filled form field`.
        kind: String,
    },
    /// The pages are made only when a form viewer opens the file.
    DynamicForm,
    /// A part of the page lies in another file.
    OutsideData,
}

impl PdfImportError {
    /// The error as a person sees it, about the file called `name`; the caller adds the place.
    #[must_use]
    pub fn finding(&self, name: &str) -> Finding {
        let subject = match self {
            PdfImportError::NotAPdf => format!("`{name}`"),
            _ => format!("the PDF `{name}`"),
        };
        Finding::new(self.rule(), self.words(&subject)).hint(self.hint())
    }

    /// The rule of its finding.
    fn rule(&self) -> &'static Rule {
        match self {
            PdfImportError::NotAPdf => &rules::PDF_PAGE_NOT_A_PDF,
            PdfImportError::Encrypted => &rules::PDF_PAGE_ENCRYPTED,
            PdfImportError::Broken { .. } => &rules::PDF_PAGE_BROKEN,
            PdfImportError::NoSuchPage { .. } => &rules::PDF_PAGE_NUMBER,
            PdfImportError::AbsurdSize { .. } => &rules::PDF_PAGE_SIZE,
            PdfImportError::TooLarge { .. } => &rules::PDF_PAGE_TOO_LARGE,
            PdfImportError::HiddenLayer { .. } => &rules::PDF_PAGE_HIDDEN_LAYER,
            PdfImportError::NoAppearance { .. } => &rules::PDF_PAGE_NO_APPEARANCE,
            PdfImportError::DynamicForm => &rules::PDF_PAGE_DYNAMIC_FORM,
            PdfImportError::OutsideData => &rules::PDF_PAGE_OUTSIDE_DATA,
        }
    }

    /// The message, with the file called `subject`.
    fn words(&self, subject: &str) -> String {
        match self {
            PdfImportError::NotAPdf => {
                format!("{subject} is not a PDF: expected `%PDF-` at its start, found other data")
            }
            PdfImportError::Encrypted => format!("{subject} is protected with a password"),
            PdfImportError::Broken { what } => format!("{subject} is broken: {what}"),
            PdfImportError::NoSuchPage { asked, pages: 1 } => {
                format!("{subject} has no page {asked}: expected page 1, its only one")
            }
            PdfImportError::NoSuchPage { asked, pages } => {
                format!("{subject} has no page {asked}: expected a page from 1 to {pages}")
            }
            PdfImportError::AbsurdSize { size } => format!(
                "the page of {subject} cannot be paper: expected sides from {SHORTEST_SIDE} to \
                 {LONGEST_SIDE}, found {} × {}",
                short(size.width),
                short(size.height)
            ),
            PdfImportError::TooLarge { what } => format!("{subject} is too large: {what}"),
            PdfImportError::HiddenLayer { layer } => {
                format!("the page of {subject} uses the layer `{layer}`, which is switched off")
            }
            PdfImportError::NoAppearance { kind } => {
                format!("the page of {subject} has a {kind} of which the file holds no picture")
            }
            PdfImportError::DynamicForm => {
                format!("{subject} is a dynamic form: its pages exist only in a form viewer")
            }
            PdfImportError::OutsideData => {
                format!("the page of {subject} needs data that lies in another file")
            }
        }
    }

    /// The way out.
    fn hint(&self) -> String {
        match self {
            PdfImportError::NotAPdf => "name a PDF file, or place a picture with `image`".into(),
            PdfImportError::Encrypted => {
                "save an unprotected copy; a PDF that opens without a password can still be \
                 protected against changes"
                    .into()
            }
            PdfImportError::Broken { .. } => {
                "fetch the file again, or print it to a new PDF from a viewer that opens it".into()
            }
            PdfImportError::NoSuchPage { pages, .. } => {
                format!("change the page to {pages} or less; the first page is 1")
            }
            PdfImportError::AbsurdSize { .. } | PdfImportError::TooLarge { .. } => {
                "print the page you need to a new PDF at its real size".into()
            }
            PdfImportError::HiddenLayer { layer } => {
                format!(
                    "switch `{layer}` as you want it in a viewer and print the page to a new PDF"
                )
            }
            PdfImportError::NoAppearance { .. }
            | PdfImportError::DynamicForm
            | PdfImportError::OutsideData => {
                "open it in a viewer that shows it right and print it to a new PDF".into()
            }
        }
    }
}

/// A length in whole millimetres when it is long, for messages.
fn short(length: Mm) -> Mm {
    if length.0.abs() < 100.0 { length } else { Mm(length.0.round()) }
}

impl fmt::Display for PdfImportError {
    /// The message without the file's name.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let subject = if *self == PdfImportError::NotAPdf { "the file" } else { "the PDF" };
        f.write_str(&self.words(subject))
    }
}

impl std::error::Error for PdfImportError {}

/// The error for a damaged file.
pub(super) fn broken(what: impl Into<String>) -> PdfImportError {
    PdfImportError::Broken { what: what.into() }
}

/// The error for too much of something.
pub(super) fn too_large(what: impl Into<String>) -> PdfImportError {
    PdfImportError::TooLarge { what: what.into() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_name_the_file_and_hints_the_change() {
        let said = |error: &PdfImportError| {
            let said = error.finding("label.pdf");
            format!("{}\n  {}", said.message, said.hints[0])
        };
        assert_eq!(
            said(&PdfImportError::Encrypted),
            "the PDF `label.pdf` is protected with a password\n  save an unprotected copy; a PDF \
             that opens without a password can still be protected against changes"
        );
        assert_eq!(
            said(&PdfImportError::NoSuchPage { asked: 7, pages: 3 }),
            "the PDF `label.pdf` has no page 7: expected a page from 1 to 3\n  change the page to \
             3 or less; the first page is 1"
        );
        assert_eq!(
            said(&PdfImportError::NotAPdf),
            "`label.pdf` is not a PDF: expected `%PDF-` at its start, found other data\n  name a \
             PDF file, or place a picture with `image`"
        );
        let size = Size::new(Mm(0.2), Mm(30_000.4));
        assert_eq!(
            PdfImportError::AbsurdSize { size }.to_string(),
            "the page of the PDF cannot be paper: expected sides from 1 mm to 5080 mm, \
             found 0.2 mm × 30000 mm"
        );
    }
}
