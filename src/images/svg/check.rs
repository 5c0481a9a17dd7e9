//! Looking through an SVG file before it is resolved.
//!
//! In: the XML. Out: nothing, or the first thing that outlines cannot show. The resolver leaves
//! out what it does not know, and a label with half a logo looks right to nobody but the
//! program; so every element, attribute and style is looked at here first. Parts that are never
//! shown (hidden ones, unused definitions, notes of drawing programs) are passed over.
//! Not here: sizes and repetitions (`measure`), and what depends on resolved styles, such as
//! opacity and gradients (`trace`).

use std::collections::BTreeSet;

use usvg::roxmltree::{Document, Node};

use super::super::error::{ImageError, ImageFormat};
use super::element::{Ids, REMOVE_HINT, SVG_NAMESPACE, find_target, is_svg, missing, problem};
use super::measure::check_extent;
use super::property::{self, PropertyPlace};
use crate::limits::{SHEET_DECLARATIONS, STYLE_DECLARATIONS};

/// The most rules of all style sheets; each is tried on each element.
const MAX_RULES: usize = 2_000;

/// Elements that draw nothing themselves and hold others.
const CONTAINERS: [&str; 8] = ["svg", "g", "a", "defs", "symbol", "switch", "use", "clipPath"];

/// Elements that draw an outline.
const SHAPES: [&str; 7] = ["path", "rect", "circle", "ellipse", "line", "polyline", "polygon"];

/// Elements that are not shown, or only where a property that is looked at refers to them.
const UNSEEN: [&str; 14] = [
    "title",
    "desc",
    "metadata",
    "style",
    "view",
    "linearGradient",
    "radialGradient",
    "pattern",
    "mask",
    "filter",
    "marker",
    "color-profile",
    "font",
    "font-face",
];

/// Elements that cannot be shown, with what they are and the way out.
const REFUSED: [(&str, &str, &str); 19] = [
    ("text", "is text", TEXT_HINT),
    ("tspan", "is text", TEXT_HINT),
    ("textPath", "is text", TEXT_HINT),
    ("tref", "is text", TEXT_HINT),
    ("altGlyph", "is text", TEXT_HINT),
    ("flowRoot", "is text", TEXT_HINT),
    ("foreignObject", "holds something other than a drawing", REMOVE_HINT),
    ("image", "is a picture inside the drawing", IMAGE_HINT),
    ("video", "is a film", REMOVE_HINT),
    ("audio", "is a sound", REMOVE_HINT),
    ("canvas", "is a picture inside the drawing", IMAGE_HINT),
    ("iframe", "is a web page", REMOVE_HINT),
    ("script", "is a program", REMOVE_HINT),
    ("animate", "is an animation", REMOVE_HINT),
    ("animateColor", "is an animation", REMOVE_HINT),
    ("animateMotion", "is an animation", REMOVE_HINT),
    ("animateTransform", "is an animation", REMOVE_HINT),
    ("set", "is an animation", REMOVE_HINT),
    ("discard", "is an animation", REMOVE_HINT),
];

/// The way out for text.
const TEXT_HINT: &str = "turn its text into paths in the drawing program";

/// The way out for pictures inside drawings.
const IMAGE_HINT: &str = "trace the picture into paths, or save the whole as PNG";

/// The way out for paint of more than one colour.
pub(super) const PLAIN_HINT: &str = "give it one plain colour, dark for black or light for white";

/// Looks through a whole document.
pub(super) fn check_document(document: &Document<'_>) -> Result<(), ImageError> {
    let root = document.root_element();
    if root.tag_name().name() != "svg" || !is_svg(root) {
        return Err(ImageError::Damaged {
            format: ImageFormat::Svg,
            detail: format!("expected the root element `svg`, found `{}`", root.tag_name().name()),
        });
    }
    let mut ids = Ids::new();
    for node in root.descendants() {
        if let Some(id) = node.attribute("id") {
            ids.entry(id).or_insert(node);
        }
    }
    check_extent(root, &ids)?;
    let mut styles = root.descendants().filter_map(|node| node.attribute("style"));
    styles.try_for_each(|style| check_count(style, STYLE_DECLARATIONS))?;
    let sheets = || root.descendants().filter(|node| node.has_tag_name("style"));
    let has_sheet = sheets().next().is_some();
    let rules = sheets().filter_map(|sheet| sheet.text()).map(|text| text.matches('{').count());
    if rules.sum::<usize>() > MAX_RULES {
        return Err(ImageError::TooComplex { what: "style rules", limit: MAX_RULES });
    }
    let texts: Vec<&str> = sheets().filter_map(|sheet| sheet.text()).collect();
    check_count(&texts.join(";"), SHEET_DECLARATIONS)?;
    let mut check = SvgCheck { ids, has_sheet, repeated: BTreeSet::new() };
    sheets().try_for_each(|sheet| check.check_sheet(sheet))?;
    check.visit(root)
}

/// Refuses a style of more than `most` declarations: the resolver takes far longer for each of them
/// than for the one before.
fn check_count(style: &str, most: usize) -> Result<(), ImageError> {
    match style.matches(':').count() > most {
        true => Err(ImageError::TooComplex { what: "style declarations", limit: most }),
        false => Ok(()),
    }
}

/// The state of looking through a document.
struct SvgCheck<'d, 'input> {
    /// Elements by their id; the first counts.
    ids: Ids<'d, 'input>,
    /// Whether there is a style sheet.
    has_sheet: bool,
    /// What has been looked at because a `use` repeats it.
    repeated: BTreeSet<&'d str>,
}

impl<'d, 'input> SvgCheck<'d, 'input> {
    /// Looks at a node and all below it that is shown.
    fn visit(&mut self, node: Node<'d, 'input>) -> Result<(), ImageError> {
        if !is_svg(node) || self.is_hidden(node) {
            return Ok(());
        }
        let name = node.tag_name().name();
        if UNSEEN.contains(&name) {
            return Ok(());
        }
        if !CONTAINERS.contains(&name) && !SHAPES.contains(&name) {
            return match may_be_dropped(node) {
                true => Ok(()),
                false => Err(refuse_element(node)),
            };
        }
        self.check_attributes(node)?;
        if name == "use" {
            let (id, target) = find_target(node, &self.ids)?;
            if self.repeated.insert(id) {
                self.visit(target)?;
            }
        }
        node.children().try_for_each(|child| self.visit(child))
    }

    /// Looks at an element's attributes and styles.
    fn check_attributes(&self, node: Node<'_, '_>) -> Result<(), ImageError> {
        for attribute in node.attributes() {
            if !matches!(attribute.namespace(), None | Some(SVG_NAMESPACE)) {
                continue;
            }
            let checked = match attribute.name() {
                "style" if node.has_tag_name("svg") => {
                    property::check_declarations(attribute.value(), PropertyPlace::RootStyle)
                }
                "style" => property::check_declarations(attribute.value(), PropertyPlace::Style),
                name => property::check(name, attribute.value(), PropertyPlace::Attribute),
            };
            checked.map_err(|fault| fault.at(node))?;
            self.check_references(node, attribute.value())?;
        }
        Ok(())
    }

    /// Looks at a style sheet.
    fn check_sheet(&self, node: Node<'_, '_>) -> Result<(), ImageError> {
        // The resolver reads only the first stretch of text.
        if node.children().filter(Node::is_text).count() > 1 {
            return Err(problem(node, "is broken up by comments", "remove the comments in it"));
        }
        let text = node.text().unwrap_or("");
        let bodies = property::check_stylesheet(text).map_err(|fault| fault.at(node))?;
        self.check_references(node, &bodies)
    }

    /// Whether an element is switched off where nothing can switch it on again.
    fn is_hidden(&self, node: Node<'_, '_>) -> bool {
        let style = node.attribute("style").unwrap_or("");
        let displays = property::declarations(style).filter(|(name, _)| *name == "display");
        match displays.last() {
            Some((_, value)) => value == "none",
            // A style sheet outranks the attribute.
            None => !self.has_sheet && node.attribute("display").map(str::trim) == Some("none"),
        }
    }

    /// Looks whether everything an attribute refers to is in the file.
    fn check_references(&self, node: Node<'_, '_>, value: &str) -> Result<(), ImageError> {
        for rest in value.split("url(").skip(1) {
            let href = rest.split(')').next().unwrap_or(rest);
            let href = href.trim().trim_matches(['"', '\'']);
            let target = href.strip_prefix('#').and_then(|id| self.ids.get(id));
            let target = target.ok_or_else(|| missing(node, href))?;
            if target.has_tag_name("pattern") {
                return Err(problem(node, "is filled with a pattern", PLAIN_HINT));
            }
        }
        Ok(())
    }
}

/// Whether leaving an unknown element out loses nothing: text without characters, and what only
/// one drawing program can show and itself gives a substitute for.
fn may_be_dropped(node: Node<'_, '_>) -> bool {
    let name = node.tag_name().name();
    let is_text = REFUSED.iter().any(|(known, what, _)| *known == name && *what == "is text");
    let has_words = node
        .descendants()
        .filter(|part| part.is_text())
        .any(|part| part.text().is_some_and(|text| !text.trim().is_empty()));
    let switched = node.parent_element().is_some_and(|above| above.has_tag_name("switch"));
    (is_text && !has_words) || (switched && node.has_attribute("requiredExtensions"))
}

/// The error for an element that cannot be shown.
fn refuse_element(node: Node<'_, '_>) -> ImageError {
    let name = node.tag_name().name();
    match REFUSED.iter().find(|(known, _, _)| *known == name) {
        Some((_, what, hint)) => problem(node, what, hint),
        None => problem(node, "is of an unknown kind", REMOVE_HINT),
    }
}
