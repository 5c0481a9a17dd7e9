//! The JSON Schema of orders files.

use serde_json::{Value, json};

use crate::record::record_schema;

use super::table::{BATCH, ORDER};

/// The JSON Schema (draft 2020-12) of the three forms an orders file may have: a batch, a list of
/// orders, or, a line at a time, single orders.
///
/// The reader is more lenient in one way: a field may also be `null`, which counts as left out.
#[must_use]
pub fn orders_schema() -> Value {
    let mut order = record_schema(&ORDER, true);
    let one_of_two = |first: &str, second: &str| {
        json!([
            {"required": [first], "properties": {first: {"minLength": 1}}},
            {"required": [second], "properties": {second: {"minLength": 1}}},
        ])
    };
    order["properties"]["ship_to"]["anyOf"] = one_of_two("name", "company");
    order["properties"]["items"]["items"]["anyOf"] = one_of_two("title", "sku");
    order["properties"]["items"]["maxItems"] = 1_000.into();
    order["properties"]["extras"]["maxItems"] = 20.into();
    let mut batch = record_schema(&BATCH, true);
    batch["properties"]["orders"]["minItems"] = 1.into();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Orders for slipwright",
        "description": "A batch, a list of orders, or one order of a file that has one a line.",
        "anyOf": [
            {"$ref": "#/$defs/batch"},
            {"type": "array", "items": {"$ref": "#/$defs/order"}, "minItems": 1},
            {"$ref": "#/$defs/order"},
        ],
        "$defs": {"batch": batch, "order": order},
    })
}
