//! The JSON Schema of orders files.

use serde_json::{Value, json};

use crate::record::{OtherFields, record_schema};

use super::table::{BATCH, ORDER, SET_ASIDE};

/// The JSON Schema (draft 2020-12) of the three forms an orders file may have: a batch, a list of
/// orders, or, a line at a time, single orders.
///
/// The reader is more lenient in two ways: a field may also be `null`, which counts as left out,
/// and what stands under `set_aside` may be anything.
#[must_use]
pub fn orders_schema() -> Value {
    let mut order = record_schema(&ORDER, OtherFields::Allowed);
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
    order["properties"]["tax"]["maxItems"] = 20.into();
    order["properties"]["tax"]["items"]["anyOf"] = one_of_two("rate", "amount");
    let mut batch = record_schema(&BATCH, OtherFields::Allowed);
    batch["properties"]["orders"]["minItems"] = 1.into();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:slipwright:schema:orders",
        "title": "Orders for slipwright",
        "description": "A batch, a list of orders, or one order of a file that has one a line.",
        "anyOf": [
            {"$ref": "#/$defs/batch"},
            {"type": "array", "items": {"$ref": "#/$defs/order"}, "minItems": 1},
            {"$ref": "#/$defs/order"},
        ],
        "$defs": {"batch": batch, "order": order, SET_ASIDE: aside_schema()},
    })
}

/// The schema of the reasons that [`write_aside`](super::write_aside) puts beside the orders.
fn aside_schema() -> Value {
    json!({
        "type": "array",
        "items": {
            "type": "object",
            "properties": {
                "path": {"type": "string", "description": "the order, by its place in this file"},
                "order": {"type": "string", "description": "its id"},
                "parcel": {
                    "type": "string",
                    "description": "the ids of all orders of its parcel, when it shares one",
                },
                "reasons": {"type": "array", "items": reason_schema(), "minItems": 1},
            },
            "required": ["path", "reasons"],
        },
    })
}

/// Why an order was set aside, as it stands beside the orders.
fn reason_schema() -> Value {
    json!({
        "type": "object",
        "properties": {
            "rule": {"type": "string", "description": "the rule that it breaks"},
            "message": {"type": "string", "description": "what is wrong"},
            "path": {"type": "string", "description": "the field, by its place in this file"},
            "place": {
                "type": "string",
                "description": "file, line and column, when it is in another file, such as the layout",
            },
            "block": {"type": "string", "description": "the layout's block"},
            "hints": {"type": "array", "items": {"type": "string"}},
        },
        "required": ["rule", "message"],
    })
}
