//! Outputs of the command: their formats, their names in messages, and their failures.

use std::io::{self, IsTerminal as _, Write as _};
use std::path::Path;

use super::appear::{Appeared, NotWritten, appear, appear_before};
use super::arguments::Format;
use super::files::{Pending, Settled};
use super::halt::Halt;
use super::scratch::without_scratch;
use super::voice::Voice;
use crate::export::PdfError;
use crate::geom::Mm;

/// Batches smaller than this are done before a progress bar could be read.
const WORTH_A_BAR: usize = 300;

/// How wide it is, in characters.
const BAR_WIDTH: usize = 40;

/// Whether two names lead to one plain file, or will; devices may be named twice.
pub(super) fn is_same_file(one: &Path, other: &Path) -> bool {
    let place = |path: &Path| {
        let folder = match path.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        // A file that is yet to be made has no place of its own, but its folder has.
        std::fs::canonicalize(path)
            .or_else(|_| {
                Ok(std::fs::canonicalize(folder)?.join(path.file_name().unwrap_or_default()))
            })
            .unwrap_or_else(|_: io::Error| path.to_owned())
    };
    let plain = |path: &Path| std::fs::metadata(path).map_or(true, |known| known.is_file());
    one != Path::new("-") && place(one) == place(other) && plain(one)
}

/// Refuses outputs that would replace an input or each other: one of the two would be lost. Each
/// file comes with the name it has in messages.
///
/// # Errors
/// When two of them are one file.
pub(super) fn refuse_same_files<'a>(
    mut files: Vec<(&'a str, &'a Path)>,
    outputs: impl IntoIterator<Item = (&'a str, &'a Path)>,
) -> Result<(), Halt> {
    for (name, path) in outputs {
        if let Some((other, _)) = files.iter().find(|(_, other)| is_same_file(path, other)) {
            let message = format!("{name} names the same file as {other}: {}", show_path(path));
            return Err(Halt::usage(message).hint("name another file"));
        }
        files.push((name, path));
    }
    Ok(())
}

/// A failure of the PDF writer as one of output.
pub(super) fn to_io(error: PdfError) -> io::Error {
    match error {
        PdfError::Write(error) => error,
        other => io::Error::other(other.to_string()),
    }
}

/// Opens an output.
///
/// # Errors
/// When it cannot be written.
pub(super) fn open_output(path: &Path) -> Result<Pending, Halt> {
    Pending::create(path).map_err(|error| cannot_write(path, &error))
}

/// What stops a command whose output cannot be written.
pub(super) fn cannot_write(path: &Path, error: &io::Error) -> Halt {
    Halt::unwritten(&show_path(path), error)
}

/// Lets outputs appear, all of them or none.
///
/// # Errors
/// When one of them cannot be written.
pub(super) fn let_appear(outputs: Vec<Settled>) -> Result<Appeared, Halt> {
    appear(outputs).map_err(|NotWritten { said, error }| cannot_write(&said, &error))
}

/// Lets outputs appear before a folder that belongs to them, all of them or none.
///
/// # Errors
/// When one of them cannot be written.
pub(super) fn let_appear_before(outputs: Vec<Settled>, folder: &Path) -> Result<Appeared, Halt> {
    let appeared = appear_before(outputs, Some(folder));
    appeared.map_err(|NotWritten { said, error }| cannot_write(&said, &error))
}

/// A path as messages show it: as it will be, without the hidden folders that things are made in.
pub(super) fn show_path(path: &Path) -> String {
    if path == Path::new("-") {
        return "standard output".into();
    }
    format!("`{}`", without_scratch(path).display())
}

/// The format that was asked for, or that the output's name has.
///
/// # Errors
/// When the name's ending is no format.
pub(super) fn choose_format(format: Option<Format>, output: &Path) -> Result<Format, Halt> {
    if let Some(format) = format {
        return Ok(format);
    }
    let ending = output.extension().and_then(|ending| ending.to_str());
    match (format_of(output), ending) {
        (Some(format), _) => Ok(format),
        (None, Some(ending)) if output.components().all(|part| part.as_os_str() != "dev") => {
            Err(Halt::usage(format!("`.{ending}` is no format that can be written"))
                .hint("end the output's name in .pdf, .svg, .png or .pwg, or name a `--format`"))
        }
        _ => Ok(Format::Pdf),
    }
}

/// The format that a file's name has.
pub(super) fn format_of(path: &Path) -> Option<Format> {
    match path.extension()?.to_str()?.to_lowercase().as_str() {
        "pdf" => Some(Format::Pdf),
        "svg" => Some(Format::Svg),
        "png" => Some(Format::Png),
        "pwg" => Some(Format::Pwg),
        _ => None,
    }
}

/// How far capitals can be read, in metres: 200 times their height, 17 minutes of arc. NUREG-0700,
/// Rev. 2, 1.3.1-4, asks for 16 at least and prefers 20 to 22 for reading; a tag is one word.
pub(super) fn reading_distance(capitals: Mm) -> f64 {
    // Rounded down: a promise.
    (capitals.0 * 200.0 / 100.0).floor() / 10.0
}

/// A bar for a long batch on a terminal; none in a pipe. It goes when it is dropped.
pub(super) struct ProgressBar {
    /// How many pages there will be.
    pages: usize,
    /// Whether anybody sees it.
    visible: bool,
}

impl ProgressBar {
    /// The bar of a batch of so many pages.
    pub(super) fn new(pages: usize) -> ProgressBar {
        ProgressBar {
            pages,
            visible: pages >= WORTH_A_BAR && io::stderr().is_terminal() && !Voice::current().json,
        }
    }

    /// Shows how many pages are done.
    pub(super) fn show(&self, done: usize) {
        if self.visible {
            paint(&draw_bar(done, self.pages));
        }
    }
}

impl Drop for ProgressBar {
    /// Clears its line for what is said next.
    fn drop(&mut self) {
        if self.visible {
            paint("\r\x1b[K");
        }
    }
}

/// Writes part of a bar; a terminal that is gone does not stop the work.
fn paint(text: &str) {
    let _ = io::stderr().lock().write_all(text.as_bytes());
}

/// The line of a bar, over the one before it.
fn draw_bar(done: usize, pages: usize) -> String {
    let filled = BAR_WIDTH * done.min(pages) / pages.max(1);
    let (full, left) = ("█".repeat(filled), "░".repeat(BAR_WIDTH - filled));
    format!("\r{full}{left} {done} of {pages} pages")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_fills_with_its_pages() {
        assert_eq!(draw_bar(0, 400), format!("\r{} 0 of 400 pages", "░".repeat(40)));
        let half = format!("\r{}{} 200 of 400 pages", "█".repeat(20), "░".repeat(20));
        assert_eq!(draw_bar(200, 400), half);
        assert_eq!(draw_bar(400, 400), format!("\r{} 400 of 400 pages", "█".repeat(40)));
    }

    #[test]
    fn nobody_sees_the_bar_of_a_small_batch() {
        assert!(!ProgressBar::new(WORTH_A_BAR - 1).visible);
    }
}
