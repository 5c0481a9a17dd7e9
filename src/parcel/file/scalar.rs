//! Values with a unit, as the shop file has them.
//!
//! In: a value of the file. Out: a [`Scalar`] that checks it, with a hint that shows how it is
//! written. Not here: what the value is for.

use crate::parcel::billing::VolumeFactor;
use crate::parcel::units::{Extent, Mass, parse_lengths, parse_size};
use crate::record::{Refusal, Scalar};
use crate::tree::{Node, Value};

/// The word that switches a rule off.
pub(super) const NONE: &str = "none";

/// A length with its unit.
pub(super) static EXTENT: Scalar = Scalar {
    expected: "a length such as `40 mm`, `4 cm` or `1.5 in`",
    accepts: |value| match text_of(value) {
        Some(text) if Extent::parse(text).is_some() => Ok(()),
        Some(text) if text.contains(',') => Err(Refusal::hint(write_point(text))),
        _ => Err(Refusal::hint("write it as `40 mm`; the units are mm, cm, m and in")),
    },
    schema: r#"{"type": ["string", "number"], "pattern": "^[0-9.]+ ?(mm|cm|m|in)?$"}"#,
};

/// Length, width and height with their unit.
pub(super) static SIZE: Scalar = Scalar {
    expected: "three lengths such as `220 x 110 x 40 mm`",
    accepts: |value| match text_of(value) {
        Some(text) if parse_size(text).is_some() => Ok(()),
        Some(text) if text.contains(',') => Err(Refusal::hint(write_point(text))),
        Some(text) if text.split(['x', '×', 'X']).count() == 2 => {
            Err(Refusal::hint("add the height: `220 x 110 x 40 mm`"))
        }
        _ => Err(Refusal::hint(
            show_list(value)
                .unwrap_or_else(|| "write length x width x height: `220 x 110 x 40 mm`".into()),
        )),
    },
    schema: r#"{"type": "string", "pattern": "^[0-9.]+.*[x×X].+[x×X].+$"}"#,
};

/// Two lengths with their unit.
pub(super) static FACE: Scalar = Scalar {
    expected: "two lengths such as `140 x 90 mm`",
    accepts: |value| match text_of(value) {
        Some(text) if parse_lengths::<2>(text).is_some() => Ok(()),
        _ => Err(Refusal::hint("write length x width: `140 x 90 mm`")),
    },
    schema: r#"{"type": "string", "pattern": "^[0-9.]+.*[x×X].+$"}"#,
};

/// A weight with its unit.
pub(super) static MASS: Scalar = Scalar {
    expected: "a weight with its unit, such as `250 g` or `1.5 kg`",
    accepts: accept_mass,
    schema: r#"{"type": "string", "pattern": "^[0-9.]+ ?(g|kg|oz|lbs?)$"}"#,
};

/// A weight with its unit, or `none`.
pub(super) static STEP: Scalar = Scalar {
    expected: "a weight such as `500 g`, or `none`",
    accepts: |value| match text_of(value) {
        Some(NONE) => Ok(()),
        _ => accept_mass(value),
    },
    schema: r#"{"type": "string", "pattern": "^([0-9.]+ ?(g|kg|oz|lbs?)|none)$"}"#,
};

/// What volume counts as what weight, or `none`.
pub(super) static FACTOR: Scalar = Scalar {
    expected: "a factor such as `6000 cm3/kg`, `139 in3/lb` or `250 kg/m3`, or `none`",
    accepts: |value| match text_of(value) {
        Some(NONE) => Ok(()),
        Some(text) if VolumeFactor::parse(text).is_some() => Ok(()),
        _ => Err(Refusal::hint("write what your carrier states, such as `6000 cm3/kg`")),
    },
    schema: r#"{"type": "string", "pattern": "^([0-9.]+ ?[a-z]+[3³]?( per |/)[a-z]+[3³]?|none)$"}"#,
};

/// A whole number from zero up.
pub(super) static LEFT: Scalar = Scalar {
    expected: "a whole number from 0 up",
    accepts: |value| match text_of(value) {
        Some(text) if parse_whole(text).is_some() => Ok(()),
        _ => Err(Refusal::hint("write how many there are, such as `25`")),
    },
    schema: r#"{"type": "integer", "minimum": 0, "maximum": 999999}"#,
};

/// Days: a whole number from one up.
pub(super) static DAYS: Scalar = Scalar {
    expected: "a whole number of days",
    accepts: |value| match text_of(value) {
        Some(text) if parse_whole(text).is_some_and(|days| days > 0) => Ok(()),
        _ => Err(Refusal::hint("write the days it takes at most, such as `3`")),
    },
    schema: r#"{"type": "integer", "minimum": 1, "maximum": 999999}"#,
};

/// The text or digits of a single value.
fn text_of(value: &Value) -> Option<&str> {
    match value {
        Value::Text(text) | Value::Bare(text) | Value::Number(text) => Some(text.trim()),
        _ => None,
    }
}

/// A hint to write a point where a comma stands.
fn write_point(text: &str) -> String {
    format!("write a point for the decimals: `{}`", text.replace(',', "."))
}

/// A hint that writes a list of three numbers as a size.
fn show_list(value: &Value) -> Option<String> {
    let Value::List(items) = value else { return None };
    let texts: Option<Vec<&str>> = items.iter().map(Node::literal).collect();
    let text = format!("{} mm", texts?.join(" x "));
    parse_size(&text).map(|_| format!("write it as `{text}`"))
}

/// Accepts a weight, and shows how one written another way is written here.
fn accept_mass(value: &Value) -> Result<(), Refusal> {
    let text = text_of(value).unwrap_or_default();
    if Mass::parse(text).is_some() {
        return Ok(());
    }
    if Mass::parse(&format!("{text} g")).is_some() {
        return Err(Refusal::hint(format!("write the unit: `{text} g`")));
    }
    if text.contains(',') {
        return Err(Refusal::hint(write_point(text)));
    }
    Err(Refusal::hint("write it as `250 g`; the units are g, kg, oz and lb, up to 1000 kg"))
}

/// A whole number from 0 to 999,999.
fn parse_whole(text: &str) -> Option<u32> {
    let digits = (1..=6).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit());
    if digits { text.parse().ok() } else { None }
}

/// A field's text, when there is a single value.
fn literal<'a>(node: &'a Node, name: &str) -> Option<&'a str> {
    node.get(name)?.literal().map(str::trim)
}

/// A field's length.
pub(super) fn read_extent(node: &Node, name: &str) -> Option<Extent> {
    Extent::parse(literal(node, name)?)
}

/// A field's three lengths.
pub(super) fn read_size(node: &Node, name: &str) -> Option<[Extent; 3]> {
    parse_size(literal(node, name)?)
}

/// A field's two lengths.
pub(super) fn read_face(node: &Node, name: &str) -> Option<[Extent; 2]> {
    parse_lengths(literal(node, name)?)
}

/// A field's weight.
pub(super) fn read_mass(node: &Node, name: &str) -> Option<Mass> {
    Mass::parse(literal(node, name)?)
}

/// A field's factor.
pub(super) fn read_factor(node: &Node, name: &str) -> Option<VolumeFactor> {
    VolumeFactor::parse(literal(node, name)?)
}

/// Whether a field says `none`.
pub(super) fn is_none(node: &Node, name: &str) -> bool {
    literal(node, name) == Some(NONE)
}

/// A value's whole number.
pub(super) fn read_whole(node: &Node) -> Option<u32> {
    parse_whole(node.literal()?.trim())
}

/// A field's yes or no; no when it is not given.
pub(super) fn read_flag(node: &Node, name: &str) -> bool {
    match node.get(name).map(|flag| &flag.value) {
        Some(Value::Bool(yes)) => *yes,
        Some(Value::Bare(word)) => word == "true",
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hint(scalar: &Scalar, text: &str) -> Option<String> {
        let refusal = (scalar.accepts)(&Value::Bare(text.into())).err()?;
        Some(refusal.hint.unwrap_or_default())
    }

    #[test]
    fn values_are_written_with_their_unit() {
        for text in ["250 g", "1.5kg", "8 oz", "2 lb", "2 lbs"] {
            assert_eq!(hint(&MASS, text), None, "{text}");
        }
        assert_eq!(hint(&MASS, "250").as_deref(), Some("write the unit: `250 g`"));
        assert_eq!(
            hint(&MASS, "1,5 kg").as_deref(),
            Some("write a point for the decimals: `1.5 kg`")
        );
        assert!(hint(&MASS, "none").is_some());
        assert_eq!(hint(&STEP, "none"), None);
        assert_eq!(hint(&EXTENT, "40"), None);
        assert_eq!(
            hint(&EXTENT, "4,5 cm").as_deref(),
            Some("write a point for the decimals: `4.5 cm`")
        );
        assert_eq!(
            hint(&SIZE, "220 x 110 mm").as_deref(),
            Some("add the height: `220 x 110 x 40 mm`")
        );
        assert!(hint(&FACTOR, "6000").is_some());
        assert_eq!(hint(&FACTOR, "6000 cm³/kg"), None);
        assert_eq!(hint(&LEFT, "0"), None);
        assert!(hint(&DAYS, "0").is_some());
    }

    #[test]
    fn schemas_are_json() {
        for scalar in [&EXTENT, &SIZE, &FACE, &MASS, &STEP, &FACTOR, &LEFT, &DAYS] {
            serde_json::from_str::<serde_json::Value>(scalar.schema).unwrap();
        }
    }
}
