//! What pages are made with: fonts, the printer's dots, threads, and how they are proven.

use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

use super::arguments::InputArguments;
use super::clock;
use super::disk::Disk;
use super::halt::Halt;
use crate::fields::Day;
use crate::fonts::{FontBook, FontError, read_face_labels};
use crate::geom::DotGrid;
use crate::source::Env as _;
use crate::verify::Proofing;

/// What pages are made with.
pub(super) struct PrintSetup {
    /// The fonts.
    pub(super) book: FontBook,
    /// The printer's dots, if the user says them.
    pub(super) grid: Option<DotGrid>,
    /// The threads, if the user says them.
    pub(super) threads: Option<NonZeroUsize>,
    /// How pages are proven; none when they are not.
    pub(super) proof: Option<Proofing>,
    /// The day of printing.
    pub(super) date: Option<Day>,
}

impl PrintSetup {
    /// What the user wants pages to be made with.
    ///
    /// # Errors
    /// When a font cannot be used.
    pub(super) fn read(
        arguments: &InputArguments,
        proof: Option<Proofing>,
    ) -> Result<PrintSetup, Halt> {
        let setup = PrintSetup::with(arguments.fonts.as_deref(), arguments.threads, proof)?;
        Ok(PrintSetup { date: arguments.date.or(setup.date), ..setup })
    }

    /// The same from its parts: a folder of further fonts, threads, and how pages are proven; the day
    /// is today.
    ///
    /// # Errors
    /// When a font cannot be used.
    pub(super) fn with(
        fonts: Option<&Path>,
        threads: Option<u16>,
        proof: Option<Proofing>,
    ) -> Result<PrintSetup, Halt> {
        let threads = threads.and_then(|count| NonZeroUsize::new(usize::from(count)));
        let date = Day::parse(&clock::now().date());
        Ok(PrintSetup { book: read_fonts(fonts)?, grid: None, threads, proof, date })
    }
}

/// The dots that the user says, if any.
///
/// # Errors
/// When no printer has such dots.
pub(super) fn read_grid(dpi: Option<f64>) -> Result<Option<DotGrid>, Halt> {
    let Some(dpi) = dpi else { return Ok(None) };
    DotGrid::from_dpi(dpi).map(Some).ok_or_else(|| {
        Halt::usage(format!("expected from 50 to 2400 dpi, found {dpi}"))
            .hint("common heads have 203, 300 or 600")
    })
}

/// The built-in fonts and those of a folder, in the order of their file names.
fn read_fonts(folder: Option<&Path>) -> Result<FontBook, Halt> {
    let mut book = FontBook::builtin();
    let Some(folder) = folder else { return Ok(book) };
    let name = format!("`{}`", folder.display());
    let listed = std::fs::read_dir(folder).map_err(|error| Halt::unreadable(&name, &error))?;
    let mut files: Vec<PathBuf> = listed.flatten().map(|entry| entry.path()).collect();
    files.retain(|file| {
        let ending = file.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
        matches!(ending.to_lowercase().as_str(), "ttf" | "otf" | "ttc" | "otc")
    });
    files.sort();
    if files.is_empty() {
        return Err(Halt::usage(format!("there are no fonts in {name}")));
    }
    for file in files {
        add_font(&mut book, &file)?;
    }
    Ok(book)
}

/// Adds the faces of a font file that serve as one of our cuts.
fn add_font(book: &mut FontBook, file: &Path) -> Result<(), Halt> {
    let name = format!("`{}`", file.display());
    let data = Disk::anywhere().read(file).map_err(|error| Halt::unreadable(&name, &error))?;
    let refuse = |error: FontError| {
        Halt::usage(format!("the font {name} cannot be used: {error}")).hint_if(error.hint())
    };
    for label in read_face_labels(&data).map_err(refuse)? {
        if let Some(cut) = label.cut
            && !label.variable
            && book.family(&label.family).and_then(|family| book.face(family, cut)).is_none()
        {
            book.add_face(&label.family, cut, data.clone(), label.index).map_err(refuse)?;
        }
    }
    Ok(())
}
