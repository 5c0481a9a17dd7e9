//! Where lines must end and where they may.
//!
//! Comes in: text. Goes out: [`Section`]s between forced breaks, and within a
//! section the [`Break`]s that UAX #14 allows, with the spaces that hang over
//! the line's end already taken off. Widths are not its job.

use std::ops::Range;

use super::line_rules::find_line_breaks;

/// The soft hyphen: invisible, but a hyphen where a line breaks after it.
pub(super) const SOFT_HYPHEN: char = '\u{ad}';

/// A stretch of text between two forced breaks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Section {
    /// What is to be set, as byte offsets.
    pub(super) content: Range<usize>,
    /// End of the line terminator; the content's end if there is none.
    pub(super) end: usize,
}

/// A place where a line may end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Break {
    /// Byte offset at which the next line would begin.
    pub(super) at: usize,
    /// End of what the line shows; spaces between here and `at` hang.
    pub(super) shown: usize,
    /// Whether a hyphen shows in place of the soft hyphen before `shown`.
    pub(super) hyphen: bool,
}

/// Cuts text at line feeds (with or without a carriage return before them)
/// and at the line and paragraph separators U+2028 and U+2029.
///
/// A terminator ends a section; nothing after the last one is no section.
pub(super) fn split_sections(text: &str) -> Vec<Section> {
    let mut sections = Vec::with_capacity(1);
    let mut start = 0;
    for (at, found) in text.match_indices(['\n', '\u{2028}', '\u{2029}']) {
        let content_end = match text.as_bytes()[start..at].last() {
            Some(b'\r') if found == "\n" => at - 1,
            _ => at,
        };
        let end = at + found.len();
        sections.push(Section { content: start..content_end, end });
        start = end;
    }
    if start < text.len() {
        sections.push(Section { content: start..text.len(), end: text.len() });
    }
    sections
}

/// Finds where the lines of a section may end, its own end last.
///
/// Thai, Lao, Khmer and Burmese, which need a dictionary, break at spaces only.
pub(super) fn find_breaks(text: &str, content: &Range<usize>) -> Vec<Break> {
    let section = &text[content.clone()];
    if section.is_empty() {
        return Vec::new();
    }
    if breaks_at_spaces_only(section) {
        return find_spaces(section, content.start);
    }
    let mut breaks: Vec<Break> = Vec::with_capacity(section.len() / 6 + 1);
    let (mut start, mut shown) = (0, 0);
    for at in find_line_breaks(section) {
        let piece = section[start..at].trim_end_matches(hangs);
        if !piece.is_empty() {
            shown = start + piece.len();
        }
        start = at;
        let line = &section[..at];
        let soft = shown == at && at < section.len() && line.ends_with(SOFT_HYPHEN);
        if soft && !hyphenates(line) {
            continue;
        }
        breaks.push(Break { at: content.start + at, shown: content.start + shown, hyphen: soft });
    }
    breaks
}

/// Says whether a text is so plain that UAX #14 breaks it after spaces and
/// nowhere else: ASCII letters, figures, commas, full stops and spaces, with a
/// letter or figure after each space (LB7, LB13, LB18, LB25, LB28, LB29).
///
/// Most text on a label is; this saves a quarter of its shaping time.
fn breaks_at_spaces_only(section: &str) -> bool {
    let mut after_space = false;
    section.bytes().all(|byte| {
        let plain = match byte {
            b' ' => true,
            b',' | b'.' => !after_space,
            _ => byte.is_ascii_alphanumeric(),
        };
        after_space = byte == b' ';
        plain
    })
}

/// The breaks of a plain text that begins at byte `start` of the paragraph.
fn find_spaces(section: &str, start: usize) -> Vec<Break> {
    let bytes = section.as_bytes();
    let mut breaks = Vec::new();
    let mut shown = 0;
    for (at, byte) in bytes.iter().enumerate() {
        if *byte != b' ' {
            shown = at + 1;
        }
        let ends = bytes.get(at + 1).is_none_or(|next| *next != b' ' && *byte == b' ');
        if ends {
            breaks.push(Break { at: start + at + 1, shown: start + shown, hyphen: false });
        }
    }
    breaks
}

/// Says whether a line that ends with a soft hyphen has a word before it.
fn hyphenates(line: &str) -> bool {
    line.trim_end_matches(SOFT_HYPHEN).ends_with(|c: char| c.is_alphanumeric())
}

/// Says whether a character hangs over the end of a line instead of counting
/// towards its width: spaces at which a line may break, and zero-width space.
fn hangs(c: char) -> bool {
    matches!(
        c,
        ' ' | '\t'
            | '\u{1680}'
            | '\u{2000}'..='\u{2006}'
            | '\u{2008}'..='\u{200b}'
            | '\u{205f}'
            | '\u{3000}'
    )
}
