//! Orders that are set aside, written as an orders file of their own.

use crate::source::Span;

/// A file with the orders at `spans` of `text`, each written as it stands there, so that nothing
/// of it is lost or changed; it can be mended and read again.
///
/// The spans must be those of orders that [`read_orders`](super::read_orders) read from this
/// text, good or bad.
#[must_use]
pub fn write_aside(batch_name: Option<&str>, spans: &[Span], text: &str) -> String {
    let mut file = String::from("{\n");
    if let Some(name) = batch_name {
        file.push_str("  \"batch\": ");
        file.push_str(&serde_json::Value::from(name).to_string());
        file.push_str(",\n");
    }
    file.push_str("  \"orders\": [");
    for (index, span) in spans.iter().enumerate() {
        let order = text.get(span.start as usize..span.end as usize).unwrap_or("null");
        file.push_str(if index == 0 { "\n    " } else { ",\n    " });
        file.push_str(order);
    }
    file.push_str("\n  ]\n}\n");
    file
}
