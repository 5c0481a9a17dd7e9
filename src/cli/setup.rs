//! What pages are made with: fonts, the printer's dots, threads, and how they are proven.

use std::num::NonZeroUsize;
use std::path::Path;

use super::arguments::InputArguments;
use super::clock;
use super::font_folder::read_fonts;
use super::halt::Halt;
use super::inputs::Inputs;
use crate::fields::Day;
use crate::fonts::FontBook;
use crate::geom::DotGrid;
use crate::verify::Proofing;

/// What pages are made with.
pub(super) struct PrintSetup {
    /// Those that are compiled in, and those of the folders that were named.
    pub(super) book: FontBook,
    /// The printer's dots, if the user says them.
    pub(super) grid: Option<DotGrid>,
    /// The threads, if the user says them.
    pub(super) threads: Option<NonZeroUsize>,
    /// How pages are proven; none when they are not.
    pub(super) proof: Option<Proofing>,
    /// What `today` is; none where nobody says.
    pub(super) date: Option<Day>,
}

impl PrintSetup {
    /// What the user wants pages to be made with.
    ///
    /// # Errors
    /// When a font cannot be used.
    pub(super) fn read(
        arguments: &InputArguments,
        inputs: &Inputs,
        proof: Option<Proofing>,
    ) -> Result<PrintSetup, Halt> {
        let fonts = arguments.fonts.as_deref();
        let setup = PrintSetup::with(fonts, inputs, arguments.threads, proof)?;
        Ok(PrintSetup { date: arguments.date.or(setup.date), ..setup })
    }

    /// The same from its parts: a folder of further fonts beside that of the shop file, threads, and how
    /// pages are proven; the day is today.
    ///
    /// # Errors
    /// When a font cannot be used.
    pub(super) fn with(
        fonts: Option<&Path>,
        inputs: &Inputs,
        threads: Option<u16>,
        proof: Option<Proofing>,
    ) -> Result<PrintSetup, Halt> {
        let threads = threads.and_then(|count| NonZeroUsize::new(usize::from(count)));
        let date = Day::parse(&clock::now().date());
        Ok(PrintSetup { book: read_fonts(fonts, inputs)?, grid: None, threads, proof, date })
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
