//! The texts the engine was given, places in them, and the one door to the world outside.
//!
//! In: names and texts of files. Out: [`Span`]s that any later stage can carry along, and the
//! line and column behind a span. Not here: how a place is shown to a person (`findings`).

use std::borrow::{Borrow, Cow};
use std::fmt;
use std::hash::{Hash, Hasher};
use std::io;
use std::ops::Deref;
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, OnceLock};

/// Which of the [`Sources`] a place lies in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(u16);

impl FileId {
    /// Stands for a part of a file that is added to the [`Sources`] only if something is said of it.
    pub(crate) const UNPLACED: FileId = FileId(u16::MAX);
}

/// A stretch of bytes in one source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Span {
    /// The source it lies in.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// The stretch from `start` to `end`, in bytes.
    #[must_use]
    pub fn new(file: FileId, start: usize, end: usize) -> Span {
        let clamp = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        Span { file, start: clamp(start), end: clamp(end.max(start)) }
    }

    /// Whether another stretch lies inside this one.
    #[must_use]
    pub fn contains(&self, other: Span) -> bool {
        self.file == other.file && self.start <= other.start && other.end <= self.end
    }
}

/// A text that is held once, however many look into it; as small as one pointer, because every order
/// has one and every parcel several.
#[derive(Clone, Default)]
pub struct SharedText(Option<Arc<String>>);

impl Deref for SharedText {
    type Target = str;

    fn deref(&self) -> &str {
        self.0.as_ref().map_or("", |text| text)
    }
}

impl Borrow<str> for SharedText {
    fn borrow(&self) -> &str {
        self
    }
}

impl PartialEq for SharedText {
    fn eq(&self, other: &SharedText) -> bool {
        **self == **other
    }
}

impl Eq for SharedText {}

impl Hash for SharedText {
    /// As its text, by which it is looked up.
    fn hash<H: Hasher>(&self, state: &mut H) {
        (**self).hash(state);
    }
}

impl fmt::Debug for SharedText {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        (**self).fmt(f)
    }
}

impl fmt::Display for SharedText {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self)
    }
}

impl From<String> for SharedText {
    /// Takes the text over as it is: a file of orders is not held twice, not even for a moment.
    fn from(text: String) -> SharedText {
        SharedText((!text.is_empty()).then(|| Arc::new(text)))
    }
}

impl From<&str> for SharedText {
    fn from(text: &str) -> SharedText {
        text.to_owned().into()
    }
}

impl From<&String> for SharedText {
    fn from(text: &String) -> SharedText {
        text.as_str().into()
    }
}

impl From<&SharedText> for SharedText {
    fn from(text: &SharedText) -> SharedText {
        text.clone()
    }
}

impl From<Cow<'_, str>> for SharedText {
    fn from(text: Cow<'_, str>) -> SharedText {
        text.into_owned().into()
    }
}

/// One text the engine reads, with the name it is called by in messages.
#[derive(Clone, Debug)]
pub struct Source {
    /// The file's name as the user gave it, or a description such as `standard input`.
    name: String,
    /// The whole text.
    text: SharedText,
    /// The number of its first line: 1 unless it is a part of a longer text.
    first_line: usize,
    /// Where each line starts; found when a place is first asked for.
    line_starts: OnceLock<Vec<u32>>,
    /// How many characters start before every [`STRIDE`]th byte; found like the lines.
    characters: OnceLock<Vec<u32>>,
}

/// Bytes between two places whose characters are counted once and for all: an export is often one
/// line of megabytes, and counting from its start for every finding would take for ever.
const STRIDE: usize = 1024;

impl Source {
    /// The name shown in messages.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Where each line starts, in bytes.
    fn line_starts(&self) -> &[u32] {
        self.line_starts.get_or_init(|| {
            let ends = self.text.bytes().enumerate().filter(|&(_, byte)| byte == b'\n');
            let after = ends.map(|(at, _)| u32::try_from(at + 1).unwrap_or(u32::MAX));
            std::iter::once(0).chain(after).collect()
        })
    }

    /// How many characters start before a byte.
    fn characters_before(&self, end: usize) -> usize {
        let starts = |bytes: &[u8]| bytes.iter().filter(|byte| **byte & 0xC0 != 0x80).count();
        let bytes = self.text.as_bytes();
        let counted = self.characters.get_or_init(|| {
            let mut before = 0;
            let counts = bytes.chunks(STRIDE).map(|chunk| {
                let here = before;
                before += u32::try_from(starts(chunk)).unwrap_or(u32::MAX);
                here
            });
            counts.collect()
        });
        let known = (end / STRIDE).min(counted.len().saturating_sub(1));
        let base = counted.get(known).map_or(0, |count| *count as usize);
        base + starts(&bytes[(known * STRIDE).min(end)..end])
    }

    /// The text without a copy of it, for what outlives the sources.
    #[must_use]
    pub fn shared_text(&self) -> SharedText {
        self.text.clone()
    }
}

/// Line and column of a place, both counted from 1; columns count characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Position {
    /// Line number.
    pub line: usize,
    /// Column number, in characters.
    pub column: usize,
}

/// Every text of one run.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    /// The texts, by [`FileId`].
    files: Vec<Source>,
}

impl Sources {
    /// No texts yet.
    #[must_use]
    pub fn new() -> Sources {
        Sources::default()
    }

    /// Takes in a text under a name; a byte order mark at its start is not part of the text.
    ///
    /// # Panics
    /// When more than 65,535 texts are added, which no run does.
    pub fn add(&mut self, name: impl Into<String>, text: impl Into<SharedText>) -> FileId {
        self.add_part(name, text, 1)
    }

    /// Takes in a part of a text that is never held whole; its first line has this number there.
    ///
    /// # Panics
    /// As [`Sources::add`].
    pub(crate) fn add_part(
        &mut self,
        name: impl Into<String>,
        text: impl Into<SharedText>,
        first_line: usize,
    ) -> FileId {
        let text: SharedText = text.into();
        let text = match text.strip_prefix('\u{feff}') {
            Some(rest) => rest.into(),
            None => text,
        };
        let id = u16::try_from(self.files.len()).expect("a run reads few files");
        self.files.push(Source {
            name: name.into(),
            text,
            first_line,
            line_starts: OnceLock::new(),
            characters: OnceLock::new(),
        });
        FileId(id)
    }

    /// The source behind an id of this collection.
    #[must_use]
    pub fn get(&self, file: FileId) -> &Source {
        &self.files[usize::from(file.0)]
    }

    /// All texts.
    #[cfg(feature = "desk")]
    pub(crate) fn all(&self) -> impl Iterator<Item = &Source> {
        self.files.iter()
    }

    /// The names of all texts.
    #[cfg(feature = "command")]
    pub(crate) fn names(&self) -> impl Iterator<Item = &str> {
        self.files.iter().map(Source::name)
    }

    /// The text that a span covers.
    #[must_use]
    pub fn slice(&self, span: Span) -> &str {
        self.get(span.file).text().get(span.start as usize..span.end as usize).unwrap_or_default()
    }

    /// Line and column of a span's first character.
    #[must_use]
    pub fn position(&self, span: Span) -> Position {
        let source = self.get(span.file);
        let text = source.text();
        let mut start = (span.start as usize).min(text.len());
        while !text.is_char_boundary(start) {
            start -= 1;
        }
        let line = source.line_starts().partition_point(|&line| line as usize <= start);
        let line_start = source.line_starts()[line - 1] as usize;
        let column = source.characters_before(start) - source.characters_before(line_start) + 1;
        Position { line: line + source.first_line - 1, column }
    }
}

/// What the engine may ask of the world: files, and nothing else.
///
/// The core does no I/O of its own and reads no clock, so that the same input gives the same
/// bytes; the command gives it a disk, tests give it a map.
pub trait Env: Sync {
    /// The bytes of a file that a layout or shop file names.
    ///
    /// # Errors
    /// Whatever kept the file from being read.
    fn read(&self, path: &Path) -> io::Result<Vec<u8>>;
}

/// The path of a file in or below a folder, spelt in one way however often its name says `.`; `None`
/// when its name leads outside.
///
/// Layouts and orders may come from anyone; they read files in their own folder and below it, and
/// nothing else.
#[must_use]
pub(crate) fn confine(folder: &Path, name: &str) -> Option<PathBuf> {
    let path = Path::new(name);
    let inside =
        path.components().all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
    let plain = path.components().filter(|part| matches!(part, Component::Normal(_)));
    inside.then(|| folder.join(plain.collect::<PathBuf>()))
}

/// The system's words for a failure, without its number; plain ones for a disk that takes no more.
#[must_use]
pub(crate) fn describe_failure(error: &io::Error) -> String {
    if has_no_room(error) {
        return "its disk is full".to_owned();
    }
    let words = error.to_string().to_lowercase();
    words.split(" (os error").next().unwrap_or_default().to_owned()
}

/// Whether something could not be written because its disk takes no more.
#[must_use]
pub(crate) fn has_no_room(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded)
}

/// A world without files, for tests and for layouts that name none.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoFiles;

impl Env for NoFiles {
    fn read(&self, _path: &Path) -> io::Result<Vec<u8>> {
        Err(io::Error::from(io::ErrorKind::NotFound))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_stay_in_their_folder_and_are_spelt_in_one_way() {
        let inside = |file| confine(Path::new(""), file);
        assert_eq!(inside("./a//b.pdf"), inside("a/b.pdf"));
        assert_eq!(confine(Path::new("bench"), "a/b.pdf"), Some(PathBuf::from("bench/a/b.pdf")));
        for file in ["../a.pdf", "/a.pdf", "a/../../b.pdf"] {
            assert_eq!(inside(file), None, "{file}");
        }
    }

    #[test]
    fn positions_count_characters_from_one() {
        let mut sources = Sources::new();
        let file = sources.add("a", "é1\nzwei: ø!");
        let at = |byte| sources.position(Span::new(file, byte, byte));
        assert_eq!(at(0), Position { line: 1, column: 1 });
        assert_eq!(at(2), Position { line: 1, column: 2 });
        assert_eq!(at(4), Position { line: 2, column: 1 });
        assert_eq!(at(12), Position { line: 2, column: 8 });
        assert_eq!(at(99), Position { line: 2, column: 9 });
    }

    #[test]
    fn columns_of_a_long_line_are_counted_in_characters() {
        let text = format!("a\n{}", "é€🖋x".repeat(1_000));
        let mut sources = Sources::new();
        let file = sources.add("a", text.as_str());
        let second = &text[2..];
        for (index, (byte, _)) in second.char_indices().enumerate().step_by(7) {
            let position = sources.position(Span::new(file, byte + 2, byte + 2));
            assert_eq!(position, Position { line: 2, column: index + 1 });
        }
    }

    #[test]
    fn lines_of_a_part_are_counted_from_the_start_of_the_whole() {
        let mut sources = Sources::new();
        let file = sources.add_part("a", "zwei\ndrei", 2);
        assert_eq!(sources.position(Span::new(file, 6, 7)), Position { line: 3, column: 2 });
    }

    #[test]
    fn a_byte_order_mark_is_not_text() {
        let mut sources = Sources::new();
        let file = sources.add("a", "\u{feff}x");
        assert_eq!(sources.get(file).text(), "x");
    }
}
