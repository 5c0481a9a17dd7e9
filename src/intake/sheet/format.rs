//! A number of a workbook as its cell shows it: with its leading zeros, decimals and signs, and as a
//! date where the format says so.
//!
//! In: the number as it is stored and the cell's format code (ECMA-376 part 1, 18.8.30 and 18.8.31).
//! Out: text as an export would have it. In three things it is not what the screen shows: a date is
//! written `2026-11-25`, because many formats show another date on another computer; there are no
//! marks between thousands, which could be taken for decimal marks; and no digit is hidden in favour
//! of an exponent. Not here: the workbook.

use super::days::{Epoch, show_date};
use super::digits::StoredDigits;

/// The longest format code that is looked at; Office writes none longer ([MS-OE376] 2.1.739).
const LONGEST: usize = 255;

/// The format codes that a workbook names by number only (ECMA-376 part 1, 18.8.30). Those of money
/// are written without a sign: which one is shown depends on the computer.
pub(super) fn built_in(id: u32) -> &'static str {
    match id {
        1 => "0",
        2 => "0.00",
        3 | 5 | 6 | 37 | 38 | 41 | 42 => "#,##0",
        4 | 7 | 8 | 39 | 40 | 43 | 44 => "#,##0.00",
        9 => "0%",
        10 => "0.00%",
        // The dates of other languages lie at 27 to 36 and 50 to 58.
        14..=17 | 27..=31 | 36 | 50..=54 | 57 | 58 => "yyyy-mm-dd",
        18..=21 | 32..=35 | 45 | 46 | 55 | 56 => "h:mm:ss",
        22 => "yyyy-mm-dd h:mm",
        47 => "h:mm:ss",
        49 => "@",
        _ => "General",
    }
}

/// What a section of a format code is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum FormatToken {
    /// The place of a digit: `0`, `#` or `?`.
    Place(u8),
    /// The decimal mark.
    Mark,
    /// Anything that is shown as it is.
    Literal(char),
    /// A part of a date: `y`, `m`, `d`, `h` or `s`, in small letters.
    Date(u8),
    /// The number as it is, whatever its digits.
    Whole,
}

/// How numbers are written.
#[derive(Clone, Copy, Debug)]
pub(super) struct NumberStyle {
    /// Where days are counted from.
    pub(super) epoch: Epoch,
    /// The mark before decimals.
    pub(super) mark: char,
}

/// A number by its format code.
pub(super) fn show_number(stored: &str, code: &str, style: NumberStyle) -> String {
    let Some(digits) = StoredDigits::read(stored) else { return stored.to_owned() };
    let plain = || digits.write(style.mark);
    if code.len() > LONGEST || digits.is_cut() {
        return plain();
    }
    let sections = split_sections(code);
    let (section, drops_sign) = match (sections.len(), digits.is_zero(), digits.is_negative()) {
        (2.., false, true) => (&*sections[1], true),
        (3.., true, _) => (&*sections[2], false),
        _ => (&*sections[0], false),
    };
    let Some(tokens) = read_section(section) else { return plain() };
    if tokens.iter().any(|token| matches!(token, FormatToken::Date(_))) {
        return show_date(&digits, &date_parts(&tokens), style.epoch).unwrap_or_else(plain);
    }
    if tokens.contains(&FormatToken::Whole) {
        return frame(&tokens, &plain());
    }
    let percent = tokens.contains(&FormatToken::Literal('%'));
    let placed = if percent { digits.shift(2) } else { digits.clone() };
    let shown = fill_places(&tokens, &placed, style.mark, drops_sign);
    shown.unwrap_or_else(plain)
}

/// The letters of a date's parts, each once.
fn date_parts(tokens: &[FormatToken]) -> Vec<u8> {
    let mut parts: Vec<u8> = Vec::new();
    for token in tokens {
        if let FormatToken::Date(letter) = token
            && !parts.contains(letter)
        {
            parts.push(*letter);
        }
    }
    parts
}

/// A format's sections; a semicolon inside quotes parts none.
fn split_sections(code: &str) -> Vec<String> {
    let mut sections = vec![String::new()];
    let mut quoted = false;
    let mut escaped = false;
    for c in code.chars() {
        if c == ';' && !quoted && !escaped {
            sections.push(String::new());
            continue;
        }
        quoted ^= c == '"' && !escaped;
        escaped = c == '\\' && !escaped && !quoted;
        if let Some(last) = sections.last_mut() {
            last.push(c);
        }
    }
    sections
}

/// The tokens of a section; none when it shows numbers in a way that hides digits (exponents,
/// fractions, thousands) or only under a condition: such numbers are written whole.
fn read_section(section: &str) -> Option<Vec<FormatToken>> {
    let mut tokens = Vec::new();
    let mut chars = section.chars().peekable();
    let mut comma = false;
    while let Some(c) = chars.next() {
        let was_comma = std::mem::take(&mut comma);
        match c {
            '"' => {
                let text: String = chars.by_ref().take_while(|c| *c != '"').collect();
                tokens.extend(text.chars().map(FormatToken::Literal));
            }
            '\\' => tokens.extend(chars.next().map(FormatToken::Literal)),
            // A space as wide as the next character, and what fills the cell: neither is text.
            '_' | '*' => drop(chars.next()),
            '[' => {
                let inner: String = chars.by_ref().take_while(|c| *c != ']').collect();
                read_bracket(&inner, &mut tokens)?;
            }
            '0' | '#' | '?' => tokens.push(FormatToken::Place(c as u8)),
            '.' => tokens.push(FormatToken::Mark),
            ',' => comma = true,
            '@' => tokens.push(FormatToken::Whole),
            'G' | 'g' if starts_with(&mut chars, "eneral") => tokens.push(FormatToken::Whole),
            'E' if matches!(chars.peek(), Some('+' | '-')) => return None,
            'y' | 'Y' | 'm' | 'M' | 'd' | 'D' | 'h' | 'H' | 's' | 'S' => {
                tokens.push(FormatToken::Date(c.to_ascii_lowercase() as u8));
            }
            '/' if tokens.iter().any(|token| matches!(token, FormatToken::Place(_))) => {
                return None;
            }
            _ => tokens.push(FormatToken::Literal(c)),
        }
        // A comma right of all places shows thousands as ones.
        if was_comma && !matches!(c, '0' | '#' | '?' | ',') {
            return None;
        }
    }
    (!comma).then_some(tokens)
}

/// Takes so many characters off when they are these, in either case.
fn starts_with(chars: &mut std::iter::Peekable<std::str::Chars<'_>>, word: &str) -> bool {
    let mut ahead = chars.clone();
    let same = word.chars().all(|c| ahead.next().is_some_and(|next| next.eq_ignore_ascii_case(&c)));
    if same {
        *chars = ahead;
    }
    same
}

/// What stands in brackets: a colour, a sign of money with its language, hours counted on; none for
/// a condition.
fn read_bracket(inner: &str, tokens: &mut Vec<FormatToken>) -> Option<()> {
    if let Some(money) = inner.strip_prefix('$') {
        let sign = money.split('-').next().unwrap_or_default();
        tokens.extend(sign.chars().map(FormatToken::Literal));
    } else if inner.starts_with(['<', '>', '=']) {
        return None;
    } else if let Some(first) = inner.bytes().next()
        && inner.bytes().all(|byte| byte.eq_ignore_ascii_case(&first))
        && matches!(first.to_ascii_lowercase(), b'h' | b'm' | b's')
    {
        return None;
    }
    Some(())
}

/// A text with a section's literals around it.
fn frame(tokens: &[FormatToken], inner: &str) -> String {
    let mut shown = String::new();
    for token in tokens {
        match token {
            FormatToken::Whole => shown.push_str(inner),
            FormatToken::Literal(c) => shown.push(*c),
            _ => {}
        }
    }
    shown.trim().to_owned()
}

/// StoredDigits put into their places; none when there are more decimals than any number has.
fn fill_places(
    tokens: &[FormatToken],
    digits: &StoredDigits,
    mark: char,
    drops_sign: bool,
) -> Option<String> {
    let point = tokens.iter().position(|token| *token == FormatToken::Mark).unwrap_or(tokens.len());
    let (before, after) = tokens.split_at(point);
    let is_place = |token: &&FormatToken| matches!(token, FormatToken::Place(_));
    let decimals = after.iter().filter(is_place).count();
    if decimals > 15 || before.iter().filter(is_place).count() > 40 {
        return None;
    }
    let (whole, part) = digits.round(decimals);
    let mut left: Vec<char> = whole.trim_start_matches('0').chars().collect();
    let first = before.iter().position(|token| matches!(token, FormatToken::Place(_)));
    let mut shown: Vec<char> = Vec::new();
    for (index, token) in before.iter().enumerate().rev() {
        match token {
            FormatToken::Place(place) => {
                shown.extend(left.pop().or((*place == b'0').then_some('0')));
                if Some(index) == first {
                    shown.extend(left.drain(..).rev());
                }
            }
            // The parentheses around what is below zero mean a minus.
            FormatToken::Literal('(' | ')' | '-') if drops_sign => {}
            FormatToken::Literal(c) => shown.push(*c),
            _ => {}
        }
    }
    let mut text: String = shown.into_iter().rev().collect();
    let mut decimals: Vec<char> = part.chars().collect();
    let places: Vec<&FormatToken> = after.iter().filter(is_place).collect();
    while decimals.last() == Some(&'0') && *places[decimals.len() - 1] != FormatToken::Place(b'0') {
        decimals.pop();
    }
    let mut next = decimals.iter();
    if !decimals.is_empty() {
        text.push(mark);
    }
    for token in after {
        match token {
            FormatToken::Place(_) => text.extend(next.next()),
            FormatToken::Literal('(' | ')' | '-') if drops_sign => {}
            FormatToken::Literal(c) => text.push(*c),
            _ => {}
        }
    }
    let is_below = digits.is_negative() && (whole + &part).bytes().any(|byte| byte != b'0');
    let text = text.trim();
    Some(if is_below { format!("-{text}") } else { text.to_owned() })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn show(stored: &str, code: &str) -> String {
        show_number(stored, code, NumberStyle { epoch: Epoch::Year1900, mark: '.' })
    }

    #[test]
    fn numbers_are_shown_as_their_cells_show_them() {
        for (stored, code, shown) in [
            ("123", "00000", "00123"),
            ("123456789", "00000-0000", "12345-6789"),
            ("4711", "\"TH-\"0000", "TH-4711"),
            ("12.5", "0.00", "12.50"),
            ("1234.5", "#,##0.00 \"€\"", "1234.50 €"),
            ("1234.5", "[$€-407] #,##0.00", "€ 1234.50"),
            ("1234.5", "_-[$£-809]* #,##0.00_-", "£1234.50"),
            ("-4", "0.00;[Red](0.00)", "-4.00"),
            ("-4", "0.00", "-4.00"),
            ("-0.001", "0.00", "0.00"),
            ("0.5", "0%", "50%"),
            ("0.35", "0.00 \"kg\"", "0.35 kg"),
            ("0.35", "General\" kg\"", "0.35 kg"),
            ("0.350", "0.###", "0.35"),
            ("3", "0.###", "3"),
            ("0", "#", ""),
            ("0", "0;-0;\"none\"", "none"),
            ("1", ";;;", ""),
            ("1234567", "0.0,,", "1234567"),
            ("1234.5", "0,.0", "1234.5"),
            ("1.5", "# ?/?", "1.5"),
            ("123456789012", "0.00E+00", "123456789012"),
            ("0.30000000000000004", "General", "0.3"),
            ("2.675", "0.00", "2.68"),
            ("12", "@", "12"),
            ("12", "[>100]0.0;0", "12"),
            ("no number", "0", "no number"),
        ] {
            assert_eq!(show(stored, code), shown, "{stored} as {code}");
        }
        let comma = NumberStyle { epoch: Epoch::Year1900, mark: ',' };
        assert_eq!(show_number("1234.5", "#,##0.00", comma), "1234,50");
        assert_eq!(show_number("0.031", "General", comma), "0,031");
    }

    #[test]
    fn dates_are_written_as_iso_dates() {
        for (stored, code, shown) in [
            ("46351", "yyyy-mm-dd", "2026-11-25"),
            ("46351", "dd.mm.yy", "2026-11-25"),
            ("46351.770891", "d/m/yyyy h:mm", "2026-11-25 18:30"),
            ("46351.770891203706", "d/m/yyyy hh:mm:ss", "2026-11-25 18:30:05"),
            ("46351.770891", "d mmm", "2026-11-25"),
            ("0.75", "h:mm AM/PM", "18:00"),
            // What is less than a second before midnight is the next day.
            ("46351.999999", "yyyy-mm-dd h:mm:ss", "2026-11-26 00:00:00"),
            ("59", "yyyy-mm-dd", "1900-02-28"),
            ("60", "yyyy-mm-dd", "1900-02-29"),
            ("61", "yyyy-mm-dd", "1900-03-01"),
            ("1", "yyyy-mm-dd", "1900-01-01"),
            ("-5", "yyyy-mm-dd", "-5"),
            ("99999999", "yyyy-mm-dd", "99999999"),
            ("46351", "[$-407]d. mmmm yyyy", "2026-11-25"),
        ] {
            assert_eq!(show(stored, code), shown, "{stored} as {code}");
        }
        let since_1904 = NumberStyle { epoch: Epoch::Year1904, mark: '.' };
        assert_eq!(show_number("44889", "yyyy-mm-dd", since_1904), "2026-11-25");
    }

    #[test]
    fn built_in_formats_are_those_of_the_standard() {
        for (id, shown) in [
            (0, "46351.5"),
            (1, "46352"),
            (14, "2026-11-25"),
            (22, "2026-11-25 12:00"),
            (49, "46351.5"),
        ] {
            assert_eq!(show("46351.5", built_in(id)), shown, "{id}");
        }
    }

    #[test]
    fn digits_that_were_never_stored_are_not_made_up() {
        assert_eq!(show("340434161094021501", "0"), "3.40434161094022E+17");
        assert_eq!(show("123456789012345", "0"), "123456789012345");
    }
}
