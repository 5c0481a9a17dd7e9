//! Orders that are set aside, written as an orders file of their own, with the reasons.
//!
//! In: places of orders in a file that was read, and what is wrong with each. Out: an orders file
//! in which every order stands to the letter as it came; why it is there stands beside it, under
//! `set_aside`, which is for people and scripts and which [`read_orders`](super::read_orders) does
//! not look into. Not here: which orders are set aside.

use crate::words::is_digits;
use serde_json::Value;

use super::{BadOrder, Order};
use crate::findings::Finding;
use crate::source::{Sources, Span};

/// An order that is set aside, and why.
#[derive(Clone, Debug)]
pub struct AsideOrder<'a> {
    /// Its place in the file that it was read from.
    pub span: Span,
    /// Its id, when that much can be read.
    pub id: Option<&'a str>,
    /// The ids of all orders of its parcel, when it shares one.
    pub parcel: Option<&'a str>,
    /// What is wrong with it or its parcel.
    pub reasons: Vec<&'a Finding>,
}

impl<'a> AsideOrder<'a> {
    /// An order that a file's reader refused; `findings` are those of the file.
    #[must_use]
    pub fn refused(bad: &'a BadOrder, findings: &'a [Finding]) -> AsideOrder<'a> {
        let reasons = bad.errors.iter().filter_map(|&error| findings.get(error)).collect();
        AsideOrder { span: bad.span, id: bad.id.as_deref(), parcel: None, reasons }
    }

    /// A good order, set aside for what is wrong with its parcel.
    #[must_use]
    pub fn withheld(
        order: &'a Order,
        parcel: Option<&'a str>,
        reasons: Vec<&'a Finding>,
    ) -> AsideOrder<'a> {
        AsideOrder { span: order.span(), id: Some(order.id()), parcel, reasons }
    }
}

/// A file with some orders, each written as it stands in its source, so that nothing of it is lost
/// or changed; it can be mended and read again. In front of them stands why each is there.
///
/// The places must be those of orders that [`read_orders`](super::read_orders) read from one of the
/// sources, good or bad.
#[must_use]
pub fn write_aside(
    batch_name: Option<&str>,
    orders: &[AsideOrder<'_>],
    sources: &Sources,
) -> String {
    let mut file = String::from("{\n");
    if let Some(name) = batch_name {
        file.push_str("  \"batch\": ");
        file.push_str(&Value::from(name).to_string());
        file.push_str(",\n");
    }
    if !orders.is_empty() {
        let entries = orders.iter().enumerate();
        let entries: Vec<_> = entries.map(|(at, it)| write_entry(at, it, sources)).collect();
        file.push_str("  \"set_aside\": [\n    ");
        file.push_str(&entries.join(",\n    "));
        file.push_str("\n  ],\n");
    }
    file.push_str("  \"orders\": [");
    for (index, order) in orders.iter().enumerate() {
        file.push_str(if index == 0 { "\n    " } else { ",\n    " });
        let text = sources.slice(order.span);
        file.push_str(if text.is_empty() { "null" } else { text });
    }
    file.push_str("\n  ]\n}\n");
    file
}

/// Why an order is set aside: a line for the order, which will be the one with this index, and a
/// line for each reason.
fn write_entry(index: usize, order: &AsideOrder<'_>, sources: &Sources) -> String {
    let own_path = format!("orders[{index}]");
    let mut fields = vec![("path", own_path.clone().into())];
    fields.extend(order.id.map(|id| ("order", id.into())));
    fields.extend(order.parcel.map(|parcel| ("parcel", parcel.into())));
    let reasons =
        order.reasons.iter().map(|it| describe_reason(it, order.span, &own_path, sources));
    let reasons: Vec<_> = reasons.map(|reason| format!("\n      {{{}}}", list(&reason))).collect();
    format!("{{{}, \"reasons\": [{}]}}", list(&fields), reasons.join(","))
}

/// Fields as they stand between the braces of a map, in this order.
fn list(fields: &[(&str, Value)]) -> String {
    let fields = fields.iter().map(|(key, value)| format!("\"{key}\": {value}"));
    fields.collect::<Vec<_>>().join(", ")
}

/// One reason, with the keys that findings have: only places differ. What lies in the order has
/// its path in the new file; what lies elsewhere, such as in the layout, its place there.
fn describe_reason(
    reason: &Finding,
    order: Span,
    own_path: &str,
    sources: &Sources,
) -> Vec<(&'static str, Value)> {
    let mut fields: Vec<(&str, Value)> =
        vec![("rule", reason.rule.name.into()), ("message", reason.message.clone().into())];
    match reason.span {
        Some(span) if span.file != order.file => {
            let position = sources.position(span);
            let file = sources.get(span.file).name();
            let (line, column) = (position.line, position.column);
            fields.push(("place", format!("{file}:{line}:{column}").into()));
        }
        Some(span) if order.contains(span) => {
            let path = reason.path.as_deref().map_or("", path_in_order);
            let joint = if path.is_empty() || path.starts_with('[') { "" } else { "." };
            fields.push(("path", format!("{own_path}{joint}{path}").into()));
        }
        _ => {}
    }
    fields.extend(reason.block.as_ref().map(|block| ("block", block.clone().into())));
    fields.push(("hints", reason.hints.clone().into()));
    fields
}

/// The part of a path that lies inside its order: `ship_to.city` of `orders[3].ship_to.city`.
fn path_in_order(path: &str) -> &str {
    let list = path.strip_prefix("orders").unwrap_or(path);
    let Some((index, rest)) = list.strip_prefix('[').and_then(|list| list.split_once(']')) else {
        return path;
    };
    let is_index = is_digits(index);
    if is_index { rest.strip_prefix('.').unwrap_or(rest) } else { path }
}

#[cfg(test)]
mod tests {
    use super::path_in_order;

    #[test]
    fn paths_are_told_from_the_order_on() {
        for (path, inside) in [
            ("orders[12].ship_to.city", "ship_to.city"),
            ("[0].items[2]", "items[2]"),
            ("orders[0]", ""),
            ("ship_to.lines[1]", "ship_to.lines[1]"),
            ("", ""),
        ] {
            assert_eq!(path_in_order(path), inside, "{path}");
        }
    }
}
