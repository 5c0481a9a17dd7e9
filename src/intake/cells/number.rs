//! Numbers as exports write them: decimal marks, marks between thousands, units and signs around.
//!
//! In: a cell and the map's decimal mark. Out: plain digits with a point, or why they cannot be
//! told. Nothing passes through a float, and nothing is guessed: `1,234` is refused until the map
//! says what its comma means. Not here: what a number is for (`values`).

use crate::words::is_digits;

/// The mark before decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum DecimalMark {
    /// `12.50`, and `1,234.50`.
    Point,
    /// `12,50`, and `1.234,50`.
    Comma,
}

impl DecimalMark {
    /// The words of the map.
    pub(crate) const WORDS: &'static [&'static str] = &["point", "comma"];

    /// The mark of a word of the map.
    pub(crate) fn parse(word: &str) -> Option<DecimalMark> {
        match word {
            "point" => Some(DecimalMark::Point),
            "comma" => Some(DecimalMark::Comma),
            _ => None,
        }
    }

    /// Its word in the map.
    pub(crate) fn word(self) -> &'static str {
        match self {
            DecimalMark::Point => "point",
            DecimalMark::Comma => "comma",
        }
    }

    /// The mark itself, and the other one, which may part thousands.
    pub(crate) fn marks(self) -> (char, char) {
        match self {
            DecimalMark::Point => ('.', ','),
            DecimalMark::Comma => (',', '.'),
        }
    }

    /// The one that it may be taken for.
    fn other(self) -> DecimalMark {
        match self {
            DecimalMark::Point => DecimalMark::Comma,
            DecimalMark::Comma => DecimalMark::Point,
        }
    }
}

/// Why digits are no number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum NumberFault {
    /// It is not a number with either decimal mark.
    NoNumber,
    /// It is below zero.
    Negative,
    /// It would be one with the other decimal mark.
    OtherMark(DecimalMark),
    /// It can be read with either mark, and the map names none: with a point, with a comma.
    Ambiguous(String, String),
}

/// Plain digits, with a point before decimals, of a number without anything around it.
pub(crate) fn parse_number(text: &str, mark: Option<DecimalMark>) -> Result<String, NumberFault> {
    let text = text.trim();
    if let Some(rest) = text.strip_prefix(['-', '−', '\u{2013}']) {
        let is_number = parse_number(rest, mark).is_ok_and(|digits| !is_zero(&digits));
        return Err(if is_number { NumberFault::Negative } else { NumberFault::NoNumber });
    }
    let text = text.strip_prefix('+').unwrap_or(text);
    let used = mark.unwrap_or(DecimalMark::Point);
    let read = read_with(text, used);
    let other = read_with(text, used.other());
    match (read, other) {
        (Some(digits), Some(others)) if mark.is_none() && digits != others => {
            Err(NumberFault::Ambiguous(digits, others))
        }
        (Some(digits), _) => Ok(digits),
        (None, Some(_)) => Err(NumberFault::OtherMark(used.other())),
        (None, None) => Err(NumberFault::NoNumber),
    }
}

/// Reads a number with one decimal mark; `None` when the text is not a number.
fn read_with(text: &str, mark: DecimalMark) -> Option<String> {
    let (point, group) = mark.marks();
    let (whole, decimals) = match text.split_once(point) {
        Some((whole, decimals)) => (whole, Some(decimals)),
        None => (text, None),
    };
    if decimals.is_some_and(|decimals| !is_digits(decimals)) {
        return None;
    }
    let whole = join_groups(whole, group)?;
    Some(match decimals {
        Some(decimals) => format!("{whole}.{decimals}"),
        None => whole,
    })
}

/// Digits without the marks between thousands, which must stand in right groups and be all alike.
fn join_groups(text: &str, group: char) -> Option<String> {
    let is_mark = |c: char| c == group || matches!(c, ' ' | '\u{a0}' | '\u{202f}' | '\'' | '’');
    let Some(mark) = text.chars().find(|c| is_mark(*c)) else {
        return is_digits(text).then(|| text.to_owned());
    };
    let mut groups = text.split(mark);
    let first = groups.next()?;
    let starts = is_digits(first) && first.len() <= 3 && !first.starts_with('0');
    let mut digits = first.to_owned();
    for next in groups {
        if next.len() != 3 || !is_digits(next) {
            return None;
        }
        digits.push_str(next);
    }
    starts.then_some(digits)
}

/// Whether plain digits are zero.
pub(crate) fn is_zero(digits: &str) -> bool {
    digits.bytes().all(|byte| matches!(byte, b'0' | b'.'))
}

/// The number in a cell, and what stands before and after it, such as a unit or a sign of money.
pub(crate) fn split_around(text: &str) -> (&str, &str, &str) {
    let text = text.trim();
    let is_part = |c: char| c.is_ascii_digit() || matches!(c, '-' | '−' | '+' | '.' | ',');
    let start = text.find(|c: char| c.is_ascii_digit()).unwrap_or(text.len());
    // A sign belongs to the number; a point right before digits too.
    let signed = text[..start].trim_end_matches(is_part);
    let start = signed.len();
    let end = text.rfind(|c: char| c.is_ascii_digit()).map_or(start, |at| at + 1);
    (text[..start].trim(), text[start..end.max(start)].trim(), text[end.max(start)..].trim())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_with_their_mark_and_groups() {
        let point = Some(DecimalMark::Point);
        let comma = Some(DecimalMark::Comma);
        for (text, mark, digits) in [
            ("12", None, "12"),
            ("12.50", None, "12.50"),
            ("0.350", None, "0.350"),
            ("1234.567", None, "1234.567"),
            ("1,234.50", None, "1234.50"),
            ("1,234", point, "1234"),
            ("1,234", comma, "1.234"),
            ("1.234,50", comma, "1234.50"),
            ("1 234,50", comma, "1234.50"),
            ("1\u{a0}234\u{a0}567,5", comma, "1234567.5"),
            ("1'234.50", point, "1234.50"),
            ("12,5", comma, "12.5"),
            ("+3", point, "3"),
            ("007", point, "007"),
        ] {
            assert_eq!(parse_number(text, mark).as_deref(), Ok(digits), "{text}");
        }
    }

    #[test]
    fn what_could_be_either_is_refused_until_the_map_says() {
        let either = |a: &str, b: &str| Err(NumberFault::Ambiguous(a.into(), b.into()));
        assert_eq!(parse_number("1,234", None), either("1234", "1.234"));
        assert_eq!(parse_number("1.234", None), either("1.234", "1234"));
        let comma = DecimalMark::Comma;
        assert_eq!(parse_number("12,50", None), Err(NumberFault::OtherMark(comma)));
        assert_eq!(parse_number("0,350", None), Err(NumberFault::OtherMark(comma)));
        assert_eq!(
            parse_number("12.50", Some(comma)),
            Err(NumberFault::OtherMark(DecimalMark::Point))
        );
        assert_eq!(parse_number("-3", None), Err(NumberFault::Negative));
        for text in ["", "-", ".", "1,23,4", "12 34", "1,234,56", "1e3", "4711x", "١٢"] {
            assert_eq!(
                parse_number(text, Some(DecimalMark::Point)),
                Err(NumberFault::NoNumber),
                "{text}"
            );
        }
    }

    #[test]
    fn what_stands_around_a_number_is_told_apart() {
        for (text, parts) in [
            ("£12.50", ("£", "12.50", "")),
            ("12,50 €", ("", "12,50", "€")),
            ("EUR -3", ("EUR", "-3", "")),
            ("0.35 kg", ("", "0.35", "kg")),
            ("-£4", ("-£", "4", "")),
            ("free", ("free", "", "")),
            ("", ("", "", "")),
        ] {
            assert_eq!(split_around(text), parts, "{text}");
        }
    }
}
