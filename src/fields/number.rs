//! Numbers by their literal digits: ids, prices, weights, sizes, counts, customs numbers.

use crate::words::is_digits;
use rust_decimal::Decimal;

use crate::geom::Mm;
use crate::record::{Refusal, Scalar};
use crate::tree::{Node, Value};

use super::text::{accept_line, expect_text};

/// An order's id: text of at most 200 characters, or a whole number taken by its digits.
pub(crate) static ID: Scalar = Scalar {
    expected: "an id, as text or as a whole number",
    accepts: |value| match value {
        Value::Number(digits) if is_digits(digits) && digits.len() <= 200 => Ok(()),
        Value::Number(digits) => {
            Err(Refusal::hint(format!("put it in quotes to keep it as it is: `\"{digits}\"`")))
        }
        value if expect_text(value).is_ok_and(str::is_empty) => {
            Err(Refusal::hint("give the number that your shop knows the order by"))
        }
        value => accept_line::<200>(value),
    },
    schema: concat!(
        r#"{"anyOf": [{"type": "string", "minLength": 1, "maxLength": 200}, "#,
        r#"{"type": "integer", "minimum": 0}]}"#
    ),
};

/// A price: at most nine digits and six decimals, as text or as a number taken by its digits.
pub(crate) static PRICE: Scalar = Scalar {
    expected: "a price such as `\"12.50\"`",
    accepts: accept_price,
    schema: concat!(
        r#"{"anyOf": [{"type": "string", "pattern": "^([0-9]{1,9}(\\.[0-9]{1,6})?)?$"}, "#,
        r#"{"type": "number", "minimum": 0, "maximum": 999999999}]}"#
    ),
};

/// A rate of tax in per cent: from 0 to 100, with at most four decimals.
pub(crate) static RATE: Scalar = Scalar {
    expected: "a rate in per cent such as `\"19\"`",
    accepts: |value| match value {
        Value::Number(text) | Value::Text(text) | Value::Bare(text)
            if text.trim().is_empty() || parse_rate(text.trim()).is_some() =>
        {
            Ok(())
        }
        Value::Number(text) | Value::Text(text) | Value::Bare(text) => {
            let plain = plain_decimal(text.trim_matches(|c: char| !c.is_ascii_digit()));
            match parse_rate(&plain) {
                Some(_) => Err(Refusal::hint(format!("write `\"{plain}\"`"))),
                None => Err(Refusal::hint("give per cent from 0 to 100, such as `\"8.875\"`")),
            }
        }
        _ => Err(Refusal::hint("write it as `\"19\"`")),
    },
    schema: concat!(
        r#"{"anyOf": [{"type": "string", "pattern": "^([0-9]{1,3}(\\.[0-9]{1,4})?)?$"}, "#,
        r#"{"type": "number", "minimum": 0, "maximum": 100}]}"#
    ),
};

/// A weight in whole grams, from 1 to 1,000,000.
pub(crate) static GRAMS: Scalar = Scalar {
    expected: "a weight in whole grams, such as `120`",
    accepts: accept_grams,
    schema: r#"{"type": "integer", "minimum": 1, "maximum": 1000000}"#,
};

/// A length in millimetres above 0 and up to 10,000.
pub(crate) static SIDE: Scalar = Scalar {
    expected: "a length in millimetres, such as `220`",
    accepts: |value| match value {
        Value::Number(text) | Value::Bare(text) if parse_side(text).is_some() => Ok(()),
        value => Err(unquote(value, "mm")
            .unwrap_or_else(|| Refusal::hint("give millimetres above 0 and up to 10000"))),
    },
    schema: r#"{"type": "number", "exclusiveMinimum": 0, "maximum": 10000}"#,
};

/// How many of an item: from 1 to 100,000.
pub(crate) static QUANTITY: Scalar = Scalar {
    expected: "a whole number from 1 to 100000",
    accepts: |value| match value {
        Value::Number(text) | Value::Bare(text) if parse_whole(text, 100_000).is_some() => Ok(()),
        Value::Number(text) if text == "0" => Err(Refusal::hint("leave the item out")),
        value => {
            Err(unquote(value, "").unwrap_or_else(|| Refusal::hint("write how many, such as `2`")))
        }
    },
    schema: r#"{"type": "integer", "minimum": 1, "maximum": 100000}"#,
};

/// A Harmonized System number: 4 to 10 digits in quotes, because zeros may lead it.
pub(crate) static HS_NUMBER: Scalar = Scalar {
    expected: "4 to 10 digits in quotes, such as `\"960830\"`",
    accepts: accept_hs,
    schema: r#"{"type": "string", "pattern": "^[0-9]{4,10}$"}"#,
};

/// Accepts a price, and shows how a price written another way is written here.
fn accept_price(value: &Value) -> Result<(), Refusal> {
    let text = match value {
        Value::Number(text) | Value::Text(text) | Value::Bare(text) => text.trim(),
        _ => return Err(Refusal::hint("write it as `\"12.50\"`")),
    };
    if text.is_empty() || parse_price(text).is_some() {
        return Ok(());
    }
    if text.contains('-') {
        return Err(Refusal::hint("give an amount from 0 up"));
    }
    let digits = text.trim_matches(|c: char| !c.is_ascii_digit());
    let plain = plain_decimal(digits);
    if parse_price(&plain).is_some() {
        return Err(Refusal::hint(format!("write `\"{plain}\"`")));
    }
    match (plain.split_once('.'), Decimal::from_str_exact(&plain)) {
        (Some((_, decimals)), Ok(price)) if decimals.len() > 6 => Err(Refusal::new(
            format!("expected at most 6 decimals, found {}", decimals.len()),
            format!("round it, such as `\"{:.2}\"`", price.round_dp(2)),
        )),
        _ => Err(explain_price(&plain, digits)),
    }
}

/// What is wrong with a price whose decimals are not too many.
fn explain_price(plain: &str, digits: &str) -> Refusal {
    let whole = plain.split('.').next().unwrap_or_default();
    if is_digits(whole) && whole.len() > 9 {
        let message = format!("expected at most 9 digits before the point, found {}", whole.len());
        return Refusal::new(message, "check the price, and its currency");
    }
    let written_out = digits
        .contains(['e', 'E'])
        .then(|| Decimal::from_scientific(digits).ok())
        .flatten()
        .map(|price| price.normalize().to_string())
        .filter(|price| parse_price(price).is_some());
    match written_out {
        Some(price) => Refusal::hint(format!("write its digits out: `\"{price}\"`")),
        None => Refusal::hint("write it as `\"12.50\"`"),
    }
}

/// Digits with points and commas as a decimal number: the last of them is the decimal mark
/// unless three digits follow it and it is a comma.
fn plain_decimal(text: &str) -> String {
    let Some(at) = text.rfind(['.', ',']) else { return text.to_owned() };
    let (whole, decimals) = (&text[..at], &text[at + 1..]);
    let whole = whole.replace(['.', ','], "");
    let groups = text[at..].starts_with(',') && decimals.len() == 3;
    if groups || decimals.is_empty() {
        return whole + decimals;
    }
    format!("{whole}.{decimals}")
}

/// Accepts a weight in whole grams.
fn accept_grams(value: &Value) -> Result<(), Refusal> {
    let text = match value {
        Value::Number(text) | Value::Bare(text) => text.as_str(),
        _ => "",
    };
    if parse_whole(text, 1_000_000).is_some() {
        return Ok(());
    }
    let is_number = text.starts_with(|c: char| c.is_ascii_digit() || c == '-')
        && text.bytes().all(|byte| byte.is_ascii_digit() || b"+-.eE".contains(&byte));
    if !is_number {
        let example = || Refusal::hint("write grams, such as `120`");
        return Err(unquote(value, "g").unwrap_or_else(example));
    }
    let hint = match text.split_once('.') {
        Some((whole, decimals)) if is_digits(decimals) => match parse_whole(whole, 999_999) {
            Some(whole) => format!("round up: `{}`", whole + 1),
            None => "round up to whole grams".into(),
        },
        _ if is_digits(text) && text.bytes().any(|byte| byte != b'0') => {
            "weights are in grams and end at 1000000, which is a tonne".into()
        }
        _ => "give a weight from 1 g up, or leave it out".into(),
    };
    Err(Refusal::hint(hint))
}

/// Accepts a Harmonized System number.
fn accept_hs(value: &Value) -> Result<(), Refusal> {
    let text = match value {
        Value::Number(digits) => {
            return Err(Refusal::hint(format!(
                "write `\"{digits}\"`, and put back the zero in front if it had one"
            )));
        }
        value => expect_text(value)?,
    };
    if text.is_empty() || ((4..=10).contains(&text.len()) && is_digits(text)) {
        return Ok(());
    }
    let digits: String = text.chars().filter(char::is_ascii_digit).collect();
    if (4..=10).contains(&digits.len()) {
        return Err(Refusal::hint(format!("write `\"{digits}\"`")));
    }
    Err(Refusal::hint("look the number up in the customs tariff, or leave it out"))
}

/// The refusal of a whole number in quotes, or with its unit after it.
fn unquote(value: &Value, unit: &str) -> Option<Refusal> {
    let text = expect_text(value).ok()?;
    let digits = text.strip_suffix(unit).unwrap_or(text).trim_end();
    is_digits(digits).then(|| Refusal::hint(format!("write the number alone: `{digits}`")))
}

/// A whole number from 1 to `most`.
fn parse_whole(text: &str, most: u32) -> Option<u32> {
    let number = if is_digits(text) { text.parse::<u32>().ok()? } else { return None };
    (1..=most).contains(&number).then_some(number)
}

/// A price as its digits say.
fn parse_price(text: &str) -> Option<Decimal> {
    let (whole, decimals) = text.split_once('.').unwrap_or((text, "0"));
    let good = is_digits(whole) && whole.len() <= 9 && is_digits(decimals) && decimals.len() <= 6;
    if good { Decimal::from_str_exact(text).ok() } else { None }
}

/// A rate as its digits say.
fn parse_rate(text: &str) -> Option<Decimal> {
    let rate = parse_price(text).filter(|rate| rate.scale() <= 4)?;
    (rate <= Decimal::ONE_HUNDRED).then_some(rate)
}

/// A side in millimetres.
fn parse_side(text: &str) -> Option<Mm> {
    let plain = text.len() <= 12 && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    let length: f64 = if plain { text.parse().ok()? } else { return None };
    (length > 0.0 && length <= 10_000.0).then_some(Mm(length))
}

/// A field's price.
pub(crate) fn read_price(node: &Node, name: &str) -> Option<Decimal> {
    parse_price(node.get(name)?.literal()?.trim())
}

/// A field's rate in per cent.
pub(crate) fn read_rate(node: &Node, name: &str) -> Option<Decimal> {
    parse_rate(node.get(name)?.literal()?.trim())
}

/// A field's weight in grams.
pub(crate) fn read_grams(node: &Node, name: &str) -> Option<u32> {
    parse_whole(node.get(name)?.literal()?, 1_000_000)
}

/// A field's count.
pub(crate) fn read_quantity(node: &Node, name: &str) -> Option<u32> {
    parse_whole(node.get(name)?.literal()?, 100_000)
}

/// A side in millimetres.
pub(crate) fn read_side(node: &Node) -> Option<Mm> {
    parse_side(node.literal()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hint(scalar: &Scalar, value: Value) -> Option<String> {
        (scalar.accepts)(&value).err().map(|refusal| refusal.hint.unwrap_or_default())
    }
    fn text(text: &str) -> Value {
        Value::Text(text.into())
    }
    fn number(digits: &str) -> Value {
        Value::Number(digits.into())
    }

    #[test]
    fn prices_keep_their_digits() {
        for literal in ["0", "12.50", "0.000001", "999999999.999999"] {
            assert_eq!(hint(&PRICE, text(literal)), None);
            assert_eq!(hint(&PRICE, number(literal)), None);
            assert_eq!(parse_price(literal).unwrap().to_string(), literal);
        }
    }

    #[test]
    fn other_prices_are_shown_as_they_should_be() {
        for (given, wanted) in [
            ("12,50", "write `\"12.50\"`"),
            ("€12.50", "write `\"12.50\"`"),
            ("12.50 EUR", "write `\"12.50\"`"),
            ("1,250.00", "write `\"1250.00\"`"),
            ("1.250,00", "write `\"1250.00\"`"),
            ("1,250", "write `\"1250\"`"),
            ("12.", "write `\"12\"`"),
            ("-3", "give an amount from 0 up"),
            ("€-3", "give an amount from 0 up"),
            ("1 250.00", "write it as `\"12.50\"`"),
            ("free", "write it as `\"12.50\"`"),
            ("12.4999999999", "round it, such as `\"12.50\"`"),
        ] {
            assert_eq!(hint(&PRICE, text(given)).as_deref(), Some(wanted), "{given}");
        }
        let digits = hint(&PRICE, number("1e3"));
        assert_eq!(digits.as_deref(), Some("write its digits out: `\"1000\"`"));
        assert_eq!(hint(&PRICE, text("")), None);
    }

    #[test]
    fn rates_are_per_cent() {
        for good in ["0", "19", "8.875", "100", "2.1000", ""] {
            assert_eq!(hint(&RATE, text(good)), None, "{good}");
        }
        for (given, wanted) in [
            ("19 %", "write `\"19\"`"),
            ("8,5", "write `\"8.5\"`"),
            ("101", "give per cent from 0 to 100, such as `\"8.875\"`"),
            ("0.00001", "give per cent from 0 to 100, such as `\"8.875\"`"),
            ("full", "give per cent from 0 to 100, such as `\"8.875\"`"),
        ] {
            assert_eq!(hint(&RATE, text(given)).as_deref(), Some(wanted), "{given}");
        }
    }

    #[test]
    fn weights_are_whole_grams() {
        assert_eq!(hint(&GRAMS, number("1")), None);
        assert_eq!(hint(&GRAMS, number("1000000")), None);
        assert_eq!(hint(&GRAMS, number("120.5")).as_deref(), Some("round up: `121`"));
        assert_eq!(hint(&GRAMS, text("120 g")).as_deref(), Some("write the number alone: `120`"));
        assert_eq!(hint(&GRAMS, text("1 kg")).as_deref(), Some("write grams, such as `120`"));
        for digits in ["0", "-5", "1e3", "1000001", "99999999999999999999"] {
            assert!(hint(&GRAMS, number(digits)).is_some(), "{digits}");
        }
    }

    #[test]
    fn sides_and_counts_have_bounds() {
        assert_eq!(hint(&SIDE, number("0.5")), None);
        for digits in ["0", "-1", "1e300", "10000.1", "1.2.3", "0.0"] {
            assert!(hint(&SIDE, number(digits)).is_some(), "{digits}");
        }
        assert_eq!(hint(&QUANTITY, number("0")).as_deref(), Some("leave the item out"));
        assert!(hint(&QUANTITY, number("100001")).is_some());
    }

    #[test]
    fn customs_numbers_are_digits_in_quotes() {
        assert_eq!(hint(&HS_NUMBER, text("960830")), None);
        assert_eq!(hint(&HS_NUMBER, text("9608.30")).as_deref(), Some("write `\"960830\"`"));
        assert!(hint(&HS_NUMBER, number("960830")).unwrap().contains("zero"));
        assert!(hint(&HS_NUMBER, text("96")).is_some());
    }
}
