//! Attributes and styles of SVG elements.
//!
//! In: a property's name and value, from an attribute, a `style` attribute or a style sheet.
//! Out: nothing, or why it cannot be followed. Values that cannot be read are errors, because
//! the resolver would take a default in their place. Not here: references and elements (`check`).

use std::str::FromStr;

use svgtypes::{Length, LengthListParser, NumberListParser, Paint, PathParser, Transform, ViewBox};
use usvg::roxmltree::Node;

use super::super::ImageError;
use super::element::problem;
use crate::words::shorten;

/// Where a property stands.
#[derive(Clone, Copy)]
pub(super) enum PropertyPlace {
    /// In an attribute of its own.
    Attribute,
    /// In the `style` attribute of an `svg` element.
    RootStyle,
    /// In the `style` attribute of any other element, or in a style sheet.
    Style,
}

/// Why a property cannot be followed.
pub(super) struct PropertyFault {
    /// What follows the element's name.
    what: String,
    /// The way out.
    hint: &'static str,
}

impl PropertyFault {
    /// The error about an element with this fault.
    pub(super) fn at(self, node: Node<'_, '_>) -> ImageError {
        problem(node, &self.what, self.hint)
    }
}

/// The way out for what drawing programs can turn into plain outlines.
const EXPAND_HINT: &str = "expand it into plain paths in the drawing program";

/// The way out for values that cannot be read.
const VALUE_HINT: &str = "open the file in a drawing program and save it as plain SVG";

/// The largest length that is taken, in its own unit.
const LARGEST: f64 = 1e7;

/// Geometry that CSS can set and the resolver reads only from attributes.
const GEOMETRY: [&str; 10] = ["d", "x", "y", "width", "height", "r", "rx", "ry", "cx", "cy"];

/// Looks at one property.
pub(super) fn check(name: &str, value: &str, place: PropertyPlace) -> Result<(), PropertyFault> {
    let value = value.trim();
    let inherited = matches!(value, "inherit" | "initial" | "unset");
    let plain = inherited || matches!(value, "none" | "");
    if !matches!(place, PropertyPlace::Attribute) {
        check_style_only(name, value, place)?;
    }
    let readable = match name {
        "filter" | "mask" | "mask-image" | "marker" | "marker-start" | "marker-mid"
        | "marker-end" => {
            return match plain {
                true => Ok(()),
                false => Err(PropertyFault { what: format!("has a `{name}`"), hint: EXPAND_HINT }),
            };
        }
        "vector-effect" | "transform-box" if !plain && value != "view-box" => {
            let what = format!("has `{name}` set to `{value}`");
            return Err(PropertyFault { what, hint: EXPAND_HINT });
        }
        "clip-path" => plain || value.starts_with("url("),
        "fill" | "stroke" | "color" => plain || Paint::from_str(value).is_ok(),
        "transform" => plain || Transform::from_str(value).is_ok(),
        "d" => value == "none" || PathParser::from(value).all(|segment| segment.is_ok()),
        "points" => reads_points(value),
        "viewBox" => ViewBox::from_str(value).is_ok(),
        "stroke-dasharray" => plain || LengthListParser::from(value).all(|part| part.is_ok()),
        "opacity" | "fill-opacity" | "stroke-opacity" => inherited || reads_length(value),
        "x" | "y" | "width" | "height" | "r" | "rx" | "ry" | "cx" | "cy" | "x1" | "y1" | "x2"
        | "y2" | "stroke-width" | "stroke-dashoffset" | "stroke-miterlimit" => {
            inherited || value == "auto" || reads_length(value)
        }
        _ => true,
    };
    match readable {
        true => Ok(()),
        false => Err(unreadable(name, value)),
    }
}

/// Looks at what can stand only in styles.
fn check_style_only(name: &str, value: &str, place: PropertyPlace) -> Result<(), PropertyFault> {
    if ["var(", "calc(", "env(", "attr("].iter().any(|call| value.contains(call)) {
        return Err(unreadable(name, value));
    }
    // On the root these ask for a size on a web page; the viewBox keeps the proportions.
    let on_root = matches!(place, PropertyPlace::RootStyle);
    match GEOMETRY.contains(&name) && !on_root {
        true => {
            Err(PropertyFault { what: format!("has `{name}` in its style"), hint: EXPAND_HINT })
        }
        false => Ok(()),
    }
}

/// The fault of a value that cannot be read.
fn unreadable(name: &str, value: &str) -> PropertyFault {
    let shown = shorten(value);
    PropertyFault {
        what: format!("has `{name}` set to `{shown}`, which cannot be read"),
        hint: VALUE_HINT,
    }
}

/// Whether a value is a number with or without a unit.
fn reads_length(value: &str) -> bool {
    Length::from_str(value).is_ok_and(|length| length.number.abs() <= LARGEST)
}

/// Whether a value is pairs of numbers.
fn reads_points(value: &str) -> bool {
    let mut count = 0_usize;
    NumberListParser::from(value).all(|number| {
        count += 1;
        number.is_ok()
    }) && count.is_multiple_of(2)
}

/// The declarations of a `style` attribute or of one rule, names and values trimmed.
pub(super) fn declarations(style: &str) -> impl Iterator<Item = (&str, &str)> {
    style.split(';').filter_map(|declaration| {
        let (name, value) = declaration.split_once(':')?;
        let value = value.trim();
        let value = value.strip_suffix("!important").unwrap_or(value);
        Some((name.trim(), value.trim()))
    })
}

/// Looks at all declarations of a `style` attribute or of one rule.
pub(super) fn check_declarations(style: &str, place: PropertyPlace) -> Result<(), PropertyFault> {
    if style.contains("/*") {
        return Err(unreadable("style", style));
    }
    declarations(style).try_for_each(|(name, value)| check(name, value, place))
}

/// Looks at a style sheet: its declarations, and whether the resolver understands its rules.
/// Gives the declarations of all rules.
pub(super) fn check_stylesheet(text: &str) -> Result<String, PropertyFault> {
    let plain = without_comments(text)?;
    let mut bodies = String::new();
    let mut rest = plain.as_str();
    loop {
        rest = rest.trim_start();
        if rest.is_empty() {
            return Ok(bodies);
        }
        if rest.starts_with('@') {
            rest = skip_at_rule(rest)?;
            continue;
        }
        let (selector, body) = rest.split_once('{').ok_or_else(|| odd_rule(rest))?;
        let (body, after) = body.split_once('}').ok_or_else(|| odd_rule(rest))?;
        if selector.contains([':', '~', '|', '@', '}', ';', '\\']) || body.contains('{') {
            return Err(odd_rule(rest));
        }
        if declarations(body).any(|(name, _)| name == "transform") {
            return Err(PropertyFault { what: "sets `transform`".to_owned(), hint: EXPAND_HINT });
        }
        check_declarations(body, PropertyPlace::Style)?;
        bodies.push_str(body);
        bodies.push(';');
        rest = after;
    }
}

/// Goes past an at-rule that says nothing about shapes.
fn skip_at_rule(rest: &str) -> Result<&str, PropertyFault> {
    if rest.starts_with("@charset") || rest.starts_with("@namespace") {
        return rest.split_once(';').map(|(_, after)| after).ok_or_else(|| odd_rule(rest));
    }
    match rest.starts_with("@font-face") {
        true => rest.split_once('}').map(|(_, after)| after).ok_or_else(|| odd_rule(rest)),
        false => Err(odd_rule(rest)),
    }
}

/// The fault of a rule that cannot be followed.
fn odd_rule(rest: &str) -> PropertyFault {
    let shown: String =
        rest.split(['{', '\n']).next().unwrap_or(rest).trim().chars().take(40).collect();
    PropertyFault {
        what: format!("has the rule `{shown}`, which cannot be followed"),
        hint: VALUE_HINT,
    }
}

/// A style sheet without comments and the old wrapping of comment marks.
fn without_comments(text: &str) -> Result<String, PropertyFault> {
    let mut plain = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, comment)) = rest.split_once("/*") {
        plain.push_str(before);
        rest = comment.split_once("*/").map(|(_, after)| after).ok_or_else(|| odd_rule(rest))?;
    }
    plain.push_str(rest);
    Ok(plain.replace("<!--", "").replace("-->", ""))
}
