//! Small text rules that the other files share: cleaning a part, telling its
//! script, comparing two. Not its job: capitals (`capitals`).

/// Whether a character ends a line: Unicode's mandatory breaks (UAX #14 BK, CR, LF, NL).
fn is_line_end(c: char) -> bool {
    matches!(c, '\n' | '\r' | '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}')
}

/// Trims every line of a part, makes one space of each run of spaces, and drops
/// empty lines. Lines are parted by `\n`. A wide or no-break space that stands
/// alone is kept as it is.
pub(super) fn clean(part: &str) -> String {
    if is_clean(part) {
        return part.to_owned();
    }
    let lines = part.split(is_line_end).map(clean_line);
    let lines: Vec<String> = lines.filter(|line| !line.is_empty()).collect();
    lines.join("\n")
}

/// Whether a part is one line without white space but single spaces between words, as most are.
fn is_clean(part: &str) -> bool {
    let ends_bare = !part.starts_with(' ') && !part.ends_with(' ') && !part.contains("  ");
    ends_bare && part.chars().all(|c| c == ' ' || !(c.is_whitespace() || is_line_end(c)))
}

/// A line without white space at its ends, and with one space where several were.
fn clean_line(line: &str) -> String {
    let mut cleaned = String::with_capacity(line.len());
    let mut chars = line.trim().chars().peekable();
    while let Some(c) = chars.next() {
        if !c.is_whitespace() {
            cleaned.push(c);
            continue;
        }
        let mut alone = true;
        while chars.next_if(|next| next.is_whitespace()).is_some() {
            alone = false;
        }
        let kept = alone && matches!(c, '\u{3000}' | '\u{a0}' | '\u{202f}');
        cleaned.push(if kept { c } else { ' ' });
    }
    cleaned
}

/// The text without its case, for comparing parts of one address.
pub(super) fn fold(text: &str) -> String {
    text.to_lowercase()
}

/// Letters and digits only, in capitals, full-width forms made narrow.
pub(super) fn squeeze(text: &str) -> String {
    if text.is_ascii() {
        let kept = text.chars().filter(char::is_ascii_alphanumeric);
        return kept.map(|c| c.to_ascii_uppercase()).collect();
    }
    narrow(text).chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_uppercase).collect()
}

/// Makes ASCII of full-width forms (U+FF01 to U+FF5E) and of the many dashes.
pub(super) fn narrow(text: &str) -> String {
    text.chars().map(narrow_char).collect()
}

/// One character of [`narrow`].
fn narrow_char(c: char) -> char {
    match c {
        '\u{3000}' | '\u{a0}' | '\u{202f}' => ' ',
        '\u{2010}'..='\u{2015}' | '\u{2212}' | '\u{30fc}' | '\u{ff70}' => '-',
        '\u{ff01}'..='\u{ff5e}' => char::from_u32(u32::from(c) - 0xff01 + 0x21).unwrap_or(c),
        _ => c,
    }
}

/// Whether a letter belongs to another script than Latin.
fn is_other_script(c: char) -> bool {
    let latin = matches!(
        c,
        '\0'..='\u{2af}'
            | '\u{1d00}'..='\u{1eff}'
            | '\u{2071}'..='\u{209c}'
            | '\u{2100}'..='\u{218f}'
            | '\u{2c60}'..='\u{2c7f}'
            | '\u{a722}'..='\u{a7ff}'
            | '\u{ab30}'..='\u{ab6f}'
            | '\u{fb00}'..='\u{fb06}'
            | '\u{ff21}'..='\u{ff5a}'
    );
    c.is_alphabetic() && !latin
}

/// Whether any letter of the text belongs to another script than Latin.
pub(super) fn has_other_script(text: &str) -> bool {
    text.chars().any(is_other_script)
}

/// Whether a script sets words without spaces: Han and kana.
pub(super) fn is_unspaced(c: char) -> bool {
    matches!(
        c,
        '\u{3005}'..='\u{3007}'
            | '\u{3041}'..='\u{30ff}'
            | '\u{3400}'..='\u{4dbf}'
            | '\u{4e00}'..='\u{9fff}'
            | '\u{f900}'..='\u{faff}'
            | '\u{20000}'..='\u{3ffff}'
    )
}

#[cfg(test)]
mod tests {
    use super::{clean, has_other_script, narrow, squeeze};

    #[test]
    fn a_part_is_trimmed_line_by_line() {
        assert_eq!(clean("  12  High\tSt \r\n\n Flat 3 "), "12 High St\nFlat 3");
        assert_eq!(clean(" \u{2028}\u{a0} "), "");
        assert_eq!(clean("山田\u{3000}花子"), "山田\u{3000}花子");
        assert_eq!(clean("a\u{3000} b"), "a b");
    }

    #[test]
    fn full_width_forms_become_narrow() {
        assert_eq!(narrow("１００−８９９４"), "100-8994");
        assert_eq!(squeeze("ec1a 1bb"), "EC1A1BB");
    }

    #[test]
    fn the_script_is_told_by_letters_alone() {
        assert!(!has_other_script("Þórsgata 3, Łódź ª ﬁ １２"));
        assert!(has_other_script("Ул. 3"));
        assert!(has_other_script("東京"));
    }
}
