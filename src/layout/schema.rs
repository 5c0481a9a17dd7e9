//! The layout language as a JSON Schema, for editors that complete and check while one writes.

use serde_json::{Map, Value, json};

use super::blocks::{BLOCKS, BlockRule, COMMON};
use super::records::{LAYOUT, NEEDED};
use crate::record::{kind_schema, record_schema};

/// The JSON Schema (draft 2020-12) of layout files.
///
/// It says what the tables say; that a block's name comes first, that templates parse and that
/// names exist is checked by reading the layout itself.
#[must_use]
pub fn layout_schema() -> Value {
    let mut schema = record_schema(&LAYOUT, false);
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema".into();
    schema["title"] = "Slipwright layout".into();
    // A file that is only there to be included may have nothing but parts.
    schema["anyOf"] = json!([{"required": NEEDED}, {"required": ["parts"]}]);
    schema["$defs"] = json!({
        "block": {"oneOf": BLOCKS.iter().map(block_schema).collect::<Vec<_>>()},
        "blocks": {"type": "array", "items": {"$ref": "#/$defs/block"}},
    });
    schema
}

/// The schema of one block.
fn block_schema(rule: &BlockRule) -> Value {
    let mut properties = Map::new();
    let mut content = kind_schema(rule.content, false);
    content["description"] = format!("{} Here: {}.", rule.doc, rule.content_doc).into();
    properties.insert(rule.name.to_owned(), content);
    for field in rule.settings.iter().chain(COMMON) {
        let mut schema = kind_schema(field.kind, false);
        schema["description"] = field.doc.into();
        properties.insert(field.name.to_owned(), schema);
    }
    let settings = rule.settings.iter().filter(|field| field.required).map(|field| field.name);
    let required: Vec<_> = std::iter::once(rule.name).chain(settings).collect();
    json!({
        "type": "object",
        "description": rule.doc,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}
