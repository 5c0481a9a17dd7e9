//! The lines of an address whose parts stand in columns of their own.
//!
//! In: the cells of street, house number, flat and the like. Out: the lines as they are printed: a house number
//! stands on its street's line and never alone, as do a few letters right behind it. Not here: which columns those
//! are (`columns`).

/// The longest house number in letters, ours: `1234-36a`.
const LONGEST_NUMBER: usize = 8;

/// The longest addition to a house number in letters, ours: `bis`, `hs`, `IV`.
const LONGEST_ADDITION: usize = 4;

/// What the last line ends with.
#[derive(Clone, Copy, PartialEq, Eq)]
enum LineEnd {
    /// A house number that waits for its street.
    Waiting,
    /// A house number behind its street.
    Numbered,
    /// Anything else.
    Other,
}

/// The lines of an address: house numbers stand behind their street, or before it where they come first. What
/// comes with a part stays with the line that it begins.
pub(super) fn join_numbers<T>(parts: impl Iterator<Item = (String, T)>) -> Vec<(String, T)> {
    let mut lines: Vec<(String, T)> = Vec::new();
    let mut end = LineEnd::Other;
    for (part, place) in parts {
        let joined = lines.last_mut().and_then(|(line, _)| {
            let ends = end_of_joined(line, end, &part)?;
            *line = format!("{line} {part}");
            Some(ends)
        });
        end = joined.unwrap_or_else(|| {
            let waits = lines.is_empty() && is_number(&part);
            lines.push((part, place));
            if waits { LineEnd::Waiting } else { LineEnd::Other }
        });
    }
    lines
}

/// What a line ends with that a part is put behind; none when the part begins a line.
fn end_of_joined(line: &str, end: LineEnd, part: &str) -> Option<LineEnd> {
    let has_number = line.bytes().any(|byte| byte.is_ascii_digit());
    match end {
        LineEnd::Waiting => Some(LineEnd::Other),
        LineEnd::Numbered if is_addition(part) => Some(LineEnd::Other),
        LineEnd::Other if is_number(part) && !has_number => Some(LineEnd::Numbered),
        _ => None,
    }
}

/// Whether a text is a house number and nothing more.
fn is_number(text: &str) -> bool {
    let is_part = |c: char| c.is_alphanumeric() || matches!(c, '-' | '/');
    let letters = text.chars().filter(|c| c.is_alphabetic()).count();
    text.starts_with(|c: char| c.is_ascii_digit())
        && text.chars().count() <= LONGEST_NUMBER
        && text.chars().all(is_part)
        && letters <= 1
}

/// Whether a text is an addition to a house number.
fn is_addition(text: &str) -> bool {
    text.chars().count() <= LONGEST_ADDITION && text.chars().all(char::is_alphanumeric)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn house_numbers_stand_on_their_streets_line() {
        for (parts, lines) in [
            (&["Zoutlaan", "8", "bis"][..], &["Zoutlaan 8 bis"][..]),
            (&["Am Alten Sägewerk", "7", "Hinterhaus"], &["Am Alten Sägewerk 7", "Hinterhaus"]),
            (&["12a", "Rope Walk", "Flat 2"], &["12a Rope Walk", "Flat 2"]),
            (&["12 Rope Walk", "4"], &["12 Rope Walk", "4"]),
            (&["Straße des 17. Juni", "135"], &["Straße des 17. Juni", "135"]),
            (&["Mill House", "12 Rope Walk"], &["Mill House", "12 Rope Walk"]),
            (&["Kade", "110-112"], &["Kade 110-112"]),
            (&["7"], &["7"]),
            (&[], &[]),
        ] {
            let joined = join_numbers(parts.iter().map(|part| ((*part).to_owned(), ())));
            let joined: Vec<&str> = joined.iter().map(|(line, ())| line.as_str()).collect();
            assert_eq!(joined, lines, "{parts:?}");
        }
    }
}
