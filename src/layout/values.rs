//! The single values of the layout language: what is accepted, and what it becomes.

use super::Length;
use crate::colour::Rgb;
use crate::geom::{MM_PER_INCH, MM_PER_PT};
use crate::limits::{LENGTH_DOTS, LENGTH_MM};
use crate::record::{Refusal, Scalar, TEXT};
use crate::stock::Stock;
use crate::tree::Value;

/// A length: a bare number is millimetres, other units are written out.
pub(super) static LENGTH: Scalar = Scalar {
    expected: "a length",
    accepts: |value| match bare(value) {
        Some(text) => parse_length(text).map(|_| ()),
        None => Err(Refusal::hint("write a number of millimetres, or `9pt`, `0.5in`, `3dots`")),
    },
    schema: r#"{"anyOf": [
        {"type": "number", "minimum": 0, "maximum": 2000},
        {"type": "string", "pattern": "^ *([0-9]+\\.?[0-9]*|\\.[0-9]+) *(mm|pt|in|dots?)? *$"}
    ]}"#,
};

/// The ink of a block.
pub(super) static INK_NAME: Scalar = Scalar {
    expected: "`black`, `reversed` or a name of `inks`",
    accepts: |value| match bare(value) {
        Some(_) => Ok(()),
        None => Err(Refusal::default()),
    },
    schema: r#"{"type": "string"}"#,
};

/// The ground of a block.
pub(super) static GROUND_NAME: Scalar = Scalar { expected: "a name of `inks`", ..INK_NAME };

/// Red, green and blue as six hexadecimal digits.
pub(super) static COLOUR: Scalar = Scalar {
    expected: "a colour such as `\"#0b6e6e\"`",
    accepts: |value| match bare(value) {
        Some(text) if Rgb::parse(text).is_some() => Ok(()),
        _ => Err(Refusal::hint(
            "write red, green and blue as six hexadecimal digits behind `#`, in quotes",
        )),
    },
    schema: r##"{"type": "string", "pattern": "^#?[0-9A-Fa-f]{6}$"}"##,
};

/// What a loop goes over: an expression, in which a list of one's own is written too.
pub(super) static LISTED: Scalar = Scalar {
    expected: "text",
    accepts: |value| match value {
        Value::List(_) => Err(Refusal::hint(
            "put the list in quotes, its texts in others: `each: \"['one', 'two']\"`",
        )),
        _ => (TEXT.accepts)(value),
    },
    schema: r#"{"type": "string"}"#,
};

/// A positive share of the room left over.
pub(super) static SHARE: Scalar = Scalar {
    expected: "a share of the room left over, such as `1`",
    accepts: |value| match bare(value).and_then(parse_number) {
        Some(share) if share > 0.0 && share <= 1000.0 => Ok(()),
        _ => Err(Refusal::hint("write `grow: 1`, or leave `grow` out")),
    },
    schema: r#"{"anyOf": [
        {"type": "number", "exclusiveMinimum": 0, "maximum": 1000},
        {"type": "string", "pattern": "^ *([0-9]*[1-9][0-9]*\\.?[0-9]*|[0-9]*\\.[0-9]*[1-9][0-9]*) *$"}
    ]}"#,
};

/// A factor of the em.
pub(super) static EM: Scalar = Scalar {
    expected: "a number of em from 0 to 5",
    accepts: |value| match bare(value).and_then(parse_number) {
        Some(em) if em <= 5.0 => Ok(()),
        _ => Err(Refusal::hint("an em is the type size: `spacing: 0.05`, `leading: 1.2`")),
    },
    schema: r#"{"anyOf": [
        {"type": "number", "minimum": 0, "maximum": 5},
        {"type": "string", "pattern": "^ *([0-5]\\.?|[0-4]?\\.[0-9]+|5\\.0+) *$"}
    ]}"#,
};

/// The language of a layout's words.
pub(super) static LANGUAGE: Scalar = Scalar {
    expected: "a language such as `en` or `pt-BR`",
    accepts: |value| match bare(value) {
        Some(text) if is_language_tag(text) => Ok(()),
        // What YAML's `no` would mean elsewhere is Norwegian here.
        _ => Err(Refusal::hint("use its code of two or three letters in ISO 639, such as `en`")),
    },
    schema: r#"{"type": "string", "pattern": "^[A-Za-z]{2,3}(-[A-Za-z0-9]{1,8})*$"}"#,
};

/// Whether a text has the form of a language tag (RFC 5646 §2.1): a code of two or three letters,
/// then parts of up to eight letters and figures.
fn is_language_tag(text: &str) -> bool {
    let mut parts = text.split('-');
    let first = parts.next().unwrap_or_default();
    let is_code = matches!(first.len(), 2 | 3) && first.bytes().all(|it| it.is_ascii_alphabetic());
    let is_part =
        |it: &str| matches!(it.len(), 1..=8) && it.bytes().all(|it| it.is_ascii_alphanumeric());
    is_code && parts.all(is_part)
}

/// The name of a stock, or a size.
pub(super) static STOCK: Scalar = Scalar {
    expected: "a stock such as `4x6in`",
    accepts: |value| match bare(value) {
        Some(text) => {
            Stock::find(text).map(|_| ()).map_err(|(message, hint)| Refusal::new(message, hint))
        }
        None => Err(Refusal::default()),
    },
    schema: r#"{"type": "string", "pattern": "[a-zA-Z]"}"#,
};

/// The text of a scalar that carries a value and not a structure.
fn bare(value: &Value) -> Option<&str> {
    match value {
        Value::Bare(text) | Value::Text(text) | Value::Number(text) => Some(text.trim()),
        _ => None,
    }
}

/// A number from zero up, written plainly.
pub(super) fn parse_number(text: &str) -> Option<f64> {
    let plain = !text.is_empty()
        && text.len() <= 12
        && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    text.parse().ok().filter(|number: &f64| plain && number.is_finite())
}

/// From 1; none for anything but digits.
pub(crate) fn read_page_number(text: &str) -> Option<usize> {
    let text = text.trim();
    let plain = text.len() <= 9 && text.bytes().all(|byte| byte.is_ascii_digit());
    text.parse().ok().filter(|&number| plain && number > 0)
}

/// Reads a length.
///
/// # Errors
/// Why it is not one.
pub(super) fn parse_length(text: &str) -> Result<Length, Refusal> {
    let digits = text.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.len());
    let (number, unit) = text.split_at(digits);
    let unit = unit.trim();
    let with_point = unit.starts_with(',').then(|| text.replacen(',', ".", 1));
    if let Some(right) = with_point.filter(|text| parse_length(text).is_ok()) {
        return Err(Refusal::hint(format!("write it with a point: `{right}`")));
    }
    if text.starts_with('-') {
        let message = format!("expected a length from zero up, found `{text}`");
        return Err(Refusal::new(message, "move the block instead, or take the minus away"));
    }
    let Some(number) = parse_number(number) else {
        return Err(Refusal::hint("write a number of millimetres, or `9pt`, `0.5in`, `3dots`"));
    };
    let length = match unit {
        "" | "mm" => Length::Mm(number),
        "pt" => Length::Mm(number * MM_PER_PT),
        "in" => Length::Mm(number * MM_PER_INCH),
        "dots" | "dot" => Length::Dots(number),
        other => return Err(refuse_unit(number, other)),
    };
    match length {
        Length::Mm(mm) if mm > f64::from(LENGTH_MM) => Err(Refusal::new(
            format!("a length of {text} is absurd"),
            format!("lengths go up to {LENGTH_MM} mm"),
        )),
        Length::Dots(dots) if dots > f64::from(LENGTH_DOTS) => Err(Refusal::new(
            format!("a length of {text} is absurd"),
            format!("lengths go up to {LENGTH_DOTS} dots"),
        )),
        good => Ok(good),
    }
}

/// The complaint about a unit we do not read, with the same length in one we do.
fn refuse_unit(number: f64, unit: &str) -> Refusal {
    let hint = match unit {
        "cm" => format!("write `{}` (millimetres)", number * 10.0),
        "px" => {
            "pixels have no size on paper; write millimetres, or `3dots` for printer dots".into()
        }
        "\"" | "inch" | "inches" => format!("write `{number}in`"),
        "em" | "rem" => "write the size itself, such as `9pt`".into(),
        "%" => "use `grow` to share the room between blocks".into(),
        _ => {
            format!("write `{number}` (millimetres), `{number}pt`, `{number}in` or `{number}dots`")
        }
    };
    Refusal::new(format!("expected a length in mm, pt, in or dots, found the unit `{unit}`"), hint)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_in_every_unit() {
        assert_eq!(parse_length("4").unwrap(), Length::Mm(4.0));
        assert_eq!(parse_length("72pt").unwrap(), Length::Mm(25.4));
        assert_eq!(parse_length("0.5in").unwrap(), Length::Mm(12.7));
        assert_eq!(parse_length("3dots").unwrap(), Length::Dots(3.0));
        assert_eq!(parse_length("3 dots").unwrap(), Length::Dots(3.0));
    }

    #[test]
    fn what_is_no_length_says_what_to_write() {
        let hint = |text| parse_length(text).unwrap_err().hint.unwrap();
        assert_eq!(hint("2.5cm"), "write `25` (millimetres)");
        assert!(hint("40%").contains("grow"));
        assert!(parse_length("1e9").is_err());
        assert!(parse_length("99999").is_err());
        assert!(parse_length("-3").is_err());
        assert!(parse_length("NaN").is_err());
        assert!(parse_length("1.2.3").is_err());
    }
}
