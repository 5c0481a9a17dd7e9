//! The order in which text is read, which is not always the order in which it stands.
//!
//! In: a paragraph and one of its lines. Out: what begins with the line, and where each of its runs
//! comes in reading; the PDF's tags are made of both. Not here: how a line is painted.

use crate::fonts::{GlyphRun, Line, Paragraph};
use crate::scene::RunStart;

/// What begins with a line of a paragraph. A line's text has the spaces that hang over its end.
pub(super) fn find_start(paragraph: &Paragraph, line: &Line) -> RunStart {
    match paragraph.text()[..line.text.start].chars().next_back() {
        None => RunStart::Paragraph,
        Some(last) if last.is_whitespace() => RunStart::Line,
        Some(_) => RunStart::BrokenLine,
    }
}

/// How many runs later than it stands from the left each run of a line is read; nothing when all
/// are read as they stand.
pub(super) fn find_reading_order(line: &Line) -> Vec<i32> {
    if !line.runs.iter().any(|run| run.rtl) {
        return Vec::new();
    }
    let place =
        |run: &GlyphRun| line.runs.iter().filter(|it| it.text.start < run.text.start).count();
    let places = line.runs.iter().enumerate();
    places.map(|(stands, run)| place(run) as i32 - stands as i32).collect()
}
