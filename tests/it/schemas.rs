//! The JSON Schemas against an independent validator (the jsonschema crate): files that the
//! readers take validate, and files that they refuse do not.

use std::path::Path;

use jsonschema::Validator;
use serde_json::{Value, json};
use slipwright::intake::intake_schema;
use slipwright::orders::orders_schema;
use slipwright::shop::shop_schema;

/// Cases that only the reader can refuse, because they are a matter of fact or of several fields.
const BEYOND_A_SCHEMA: &[&str] = &[
    "name-turned-around",
    "country-does-not-exist",
    "country-uk",
    "origin-does-not-exist",
    "currency-does-not-exist",
    "currency-replaced",
    "amount-finer-than-a-coin",
    "placed-on-no-day",
    "placed-at-no-time",
    "id-doubled",
    "id-three-times",
    "name-empty",
    "name-with-line-break",
    "name-with-tab",
    "name-with-control-character",
    "message-with-control-character",
    "carrier-label-empty-file",
    "too-many-lines",
    "id-empty",
    "something-after-the-batch",
    "nested-too-deeply",
    "half-a-surrogate",
    "field-given-twice",
    "id-decimal",
    "id-exponent",
    "price-exponent",
    "price-from-a-float",
    "gtin-wrong-check-digit",
    "tracking-s10-wrong-check-digit",
    "tracking-sscc-wrong-check-digit",
    "hazard-bare-no",
    "hazard-bare-yes",
];

/// Cases that only the reader takes: what counts as left out, and what it does not look into.
const BEFORE_A_SCHEMA: &[&str] = &["null-is-left-out", "qty-empty", "set-aside-is-not-read"];

/// A validator for a schema, which must itself be good.
fn validator(schema: &Value) -> Validator {
    assert!(jsonschema::meta::is_valid(schema), "the schema is one");
    jsonschema::draft202012::new(schema).expect("the schema compiles")
}

/// The values in a file, as the reader takes it: one, or one a line.
fn read_values(text: &str) -> Option<Vec<Value>> {
    let values = serde_json::Deserializer::from_str(text).into_iter().collect::<Result<_, _>>();
    values.ok().filter(|values: &Vec<_>| !values.is_empty())
}

#[test]
fn the_schema_of_orders_agrees_with_the_reader() {
    let validator = validator(&orders_schema());
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/orders");
    let mut judged = 0;
    for folder in std::fs::read_dir(root).expect("the cases") {
        let folder = folder.expect("a case").path();
        let name = folder.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let text = std::fs::read_to_string(folder.join("orders.json")).expect("the orders");
        let expected = std::fs::read_to_string(folder.join("expected.txt")).expect("the text");
        let Some(values) = read_values(&text) else { continue };
        let is_refused = expected.lines().any(|line| line.starts_with("error["));
        if BEYOND_A_SCHEMA.contains(&&*name) || BEFORE_A_SCHEMA.contains(&&*name) {
            continue;
        }
        judged += 1;
        let validates = values.iter().all(|value| validator.is_valid(value));
        assert_eq!(validates, !is_refused, "{name}");
    }
    assert!(judged > 50, "{judged} cases were judged");
}

#[test]
fn every_form_of_an_orders_file_validates() {
    let validator = validator(&orders_schema());
    let order = json!({"id": 7, "ship_to": {"company": "Fell", "country": "GB"}});
    assert!(validator.is_valid(&order));
    assert!(validator.is_valid(&json!([order])));
    assert!(validator.is_valid(&json!({"batch": "Tuesday", "orders": [order], "more": 1})));
    assert!(!validator.is_valid(&json!([])));
    assert!(!validator.is_valid(&json!({"orders": []})));
    assert!(!validator.is_valid(&json!(7)));
}

#[test]
fn the_sample_orders_validate() {
    let validator = validator(&orders_schema());
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/evening.json");
    let text = std::fs::read_to_string(path).expect("the sample");
    let value = serde_json::from_str(&text).expect("JSON");
    let faults: Vec<_> = validator.iter_errors(&value).map(|fault| fault.to_string()).collect();
    assert_eq!(faults, [""; 0]);
}

#[test]
fn the_schema_of_shop_files_refuses_what_the_reader_refuses() {
    let validator = validator(&shop_schema());
    let address = json!({"lines": ["7 Saltings Lane"], "city": "Ternmouth", "country": "GB"});
    let shop = json!({"name": "Tern Hollow Pens", "address": address});
    assert!(validator.is_valid(&shop));
    let with = |key: &str, value: Value| {
        let mut shop = shop.clone();
        shop[key] = value;
        shop
    };
    assert!(validator.is_valid(&with("printer", json!({"dpi": 203, "clear_edge": 2.5}))));
    assert!(validator.is_valid(&with("packs", json!([{"name": "a", "inside": "1 x 2 x 3.5 mm"}]))));
    for (key, value) in [
        ("name", json!(7)),
        ("thank", json!("Thank you")),
        ("address", json!({"city": "Ternmouth"})),
        ("address", json!({"country": "GB", "town": "Ternmouth"})),
        ("printer", json!({"dpi": 20})),
        ("printer", json!(203)),
        ("language", json!("English")),
        ("currency", json!("£")),
        ("packs", json!([{"name": "a", "inside": "1 x 2 mm"}])),
        ("packs", json!([{"inside": "1 x 2 x 3 mm"}])),
        ("packs", json!([{"name": "a", "inside": "1 x 2 x 3 mm", "max_weight": 1.5}])),
        ("weights", json!({"volume_factor": 6000})),
        ("limits", json!({"slot": {"height": "25 mm"}})),
        ("rates", json!({"zones": {"home": ["GB"]}})),
        ("goods", json!([{"size": "1 x 2 x 3 mm"}])),
    ] {
        assert!(!validator.is_valid(&with(key, value.clone())), "{key}: {value}");
    }
}

/// Maps that only the reader can refuse, because several settings disagree.
const MAPS_BEYOND_A_SCHEMA: &[&str] = &[
    "map-wrong-patterns",
    "map-rule-with-two-questions",
    "map-two-sources",
    "map-unit-misplaced",
    "map-two-columns-of-one-number",
    "map-join-misplaced",
];

#[test]
fn the_schema_of_maps_agrees_with_the_reader() {
    let validator = validator(&intake_schema());
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/intake");
    let mut judged = 0;
    for folder in std::fs::read_dir(root).expect("the cases") {
        let folder = folder.expect("a case").path();
        let name = folder.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let Ok(text) = std::fs::read_to_string(folder.join("map.yaml")) else { continue };
        let value: Value = serde_saphyr::from_str(&text).unwrap_or_default();
        let is_refused = name.starts_with("map-") && !MAPS_BEYOND_A_SCHEMA.contains(&&*name);
        let faults: Vec<_> = validator.iter_errors(&value).map(|it| it.to_string()).collect();
        assert_eq!(faults.is_empty(), !is_refused, "{name}: {faults:?}");
        judged += 1;
    }
    assert!(judged > 50, "{judged} maps were judged");
}
