//! Finding a field of an order again: orders keep the places of few of their fields, because a
//! hundred thousand are held at a time.

use crate::source::{Sources, Span};
use crate::tree::Node;
use crate::tree::json::read_values;

/// The place of a field inside an order, such as `ship_to.postcode`: that of the deepest map on
/// the way to it which is there, or none when the place of the order is not that of an order.
#[must_use]
pub fn locate_field(sources: &Sources, order: Span, path: &str) -> Option<Span> {
    let pieces = read_values(sources.slice(order), order.file).ok()?;
    let whole = pieces.first()?.to_node().ok()?;
    let mut node: &Node = &whole;
    for name in path.split('.') {
        match node.get(name) {
            Some(field) if !field.is_null() => node = field,
            _ => break,
        }
    }
    let span =
        Span { start: node.span.start + order.start, end: node.span.end + order.start, ..order };
    Some(span)
}
