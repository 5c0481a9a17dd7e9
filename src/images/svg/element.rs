//! Elements of an SVG file: which are SVG, what they refer to, and what is said of one at fault.
//!
//! In: the XML's nodes. Out: the element that is meant, or an error with its line and name. Not here:
//! what an element may be (`check`).

use std::collections::BTreeMap;

use usvg::roxmltree::Node;

use super::super::error::ImageError;

/// The namespace of SVG elements.
pub(super) const SVG_NAMESPACE: &str = "http://www.w3.org/2000/svg";

/// The namespace of `xlink:href`.
const XLINK_NAMESPACE: &str = "http://www.w3.org/1999/xlink";

/// Elements by their id; the first of several counts.
pub(super) type Ids<'d, 'input> = BTreeMap<&'d str, Node<'d, 'input>>;

/// The way out for what a drawing on paper has no use for.
pub(super) const REMOVE_HINT: &str = "remove it in the drawing program";

/// What a `use` element repeats, with its id.
pub(super) fn find_target<'d, 'input>(
    node: Node<'d, 'input>,
    ids: &Ids<'d, 'input>,
) -> Result<(&'d str, Node<'d, 'input>), ImageError> {
    let href = node.attribute("href").or(node.attribute((XLINK_NAMESPACE, "href")));
    let Some(href) = href.map(str::trim) else {
        return Err(problem(node, "refers to nothing", REMOVE_HINT));
    };
    let target = href.strip_prefix('#').and_then(|id| ids.get_key_value(id));
    let (id, target) = target.ok_or_else(|| missing(node, href))?;
    Ok((*id, *target))
}

/// Whether a node is an element that the resolver takes for SVG.
pub(super) fn is_svg(node: Node<'_, '_>) -> bool {
    node.is_element() && matches!(node.tag_name().namespace(), None | Some(SVG_NAMESPACE))
}

/// The error for a reference to something that is not in the file.
pub(super) fn missing(node: Node<'_, '_>, href: &str) -> ImageError {
    let words = format!("refers to `{href}`, which is not in the file");
    problem(node, &words, "copy what it refers to into the drawing")
}

/// An error about an element: `what` follows its name.
pub(super) fn problem(node: Node<'_, '_>, what: &str, hint: &str) -> ImageError {
    let line = node.document().text_pos_at(node.range().start).row;
    let problem = match node.attribute("id") {
        Some(id) => format!("the element `{}` named `{id}` {what}", node.tag_name().name()),
        None => format!("the element `{}` {what}", node.tag_name().name()),
    };
    ImageError::NotOutlines { line: Some(line), problem, hint: hint.to_owned() }
}
