//! JSON Schema (draft 2020-12) of record tables, for editors and other programs.

use serde_json::{Map, Value, json};

use super::{Kind, Record};

/// What a schema says of fields that its table does not have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum OtherFields {
    /// They may be there: who sends orders may know more than we ask.
    Allowed,
    /// They are a mistake: what a seller writes by hand has no others.
    Refused,
}

/// The schema of a record; records inside it are written out where they stand ([`name_parts`]).
#[must_use]
pub(crate) fn record_schema(record: &Record, others: OtherFields) -> Value {
    let mut properties = Map::new();
    for field in record.fields {
        let mut schema = kind_schema(field.kind, others);
        if !field.doc.is_empty() {
            schema["description"] = field.doc.into();
        }
        properties.insert(field.name.to_owned(), schema);
    }
    let required: Vec<_> =
        record.fields.iter().filter(|field| field.required).map(|field| field.name).collect();
    let mut schema = json!({
        "type": "object",
        "description": record.doc,
        "properties": properties,
    });
    if !required.is_empty() {
        schema["required"] = required.into();
    }
    if others == OtherFields::Refused {
        schema["additionalProperties"] = false.into();
    }
    schema
}

/// The schema of what may stand in a field.
///
/// # Panics
/// When a scalar's schema in our own tables is not JSON, which a test rules out.
#[must_use]
pub(crate) fn kind_schema(kind: Kind, others: OtherFields) -> Value {
    match kind {
        Kind::Scalar(scalar) => {
            serde_json::from_str(scalar.schema).expect("the schemas in our tables are JSON")
        }
        Kind::Word(words) => json!({"enum": words}),
        Kind::List(inner) => json!({"type": "array", "items": kind_schema(*inner, others)}),
        Kind::Row(count, inner) => json!({
            "type": "array",
            "items": kind_schema(*inner, others),
            "minItems": count,
            "maxItems": count,
        }),
        Kind::Map(record) => record_schema(record, others),
        Kind::Named(inner) => {
            json!({"type": "object", "additionalProperties": kind_schema(*inner, others)})
        }
        Kind::Either(kinds) => {
            let kinds: Vec<_> = kinds.iter().map(|kind| kind_schema(*kind, others)).collect();
            json!({"anyOf": kinds})
        }
        Kind::Other(name) => json!({"$ref": format!("#/$defs/{name}")}),
    }
}

/// A schema whose maps below the top are named under `$defs`, by the field they stand in, so that
/// editors and generators of code have a name for each.
#[must_use]
pub(crate) fn name_parts(mut schema: Value) -> Value {
    let mut parts = Map::new();
    if let Some(fields) = schema["properties"].as_object_mut() {
        for (name, field) in fields {
            take_out(name, field, &mut parts);
        }
    }
    schema["$defs"] = parts.into();
    schema
}

/// Takes the maps of a field out, the innermost first, and leaves references in their places.
fn take_out(name: &str, schema: &mut Value, parts: &mut Map<String, Value>) {
    match schema {
        Value::Array(several) => several.iter_mut().for_each(|it| take_out(name, it, parts)),
        Value::Object(entries) => {
            for (key, value) in entries {
                match (key.as_str(), value) {
                    ("properties", Value::Object(fields)) => {
                        for (field, inner) in fields {
                            take_out(&format!("{name}_{field}"), inner, parts);
                        }
                    }
                    ("items" | "additionalProperties" | "anyOf" | "oneOf", value) => {
                        take_out(name, value, parts);
                    }
                    _ => {}
                }
            }
        }
        _ => {}
    }
    if schema.get("properties").is_none() {
        return;
    }
    let mut free = name.to_owned();
    while parts.contains_key(&free) {
        free.push_str("_too");
    }
    let mut reference = json!({"$ref": format!("#/$defs/{free}")});
    if let Some(description) = schema.get("description") {
        reference["description"] = description.clone();
    }
    parts.insert(free, std::mem::replace(schema, reference));
}
