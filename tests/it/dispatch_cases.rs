//! The two tables at the end of an evening, right and wrong: one folder a case in
//! `tests/cases/dispatch`, with `map.yaml` and `went.json` for what the shop is told, or with
//! `numbers.csv` or `numbers.json` (and `columns.txt`, when its columns have other names) for what the
//! carrier says; and the whole text that must come of it.
//!
//! `SLIPWRIGHT_BLESS=1 cargo test` writes the texts anew. A case without one fails.

use std::fs;
use std::path::{Path, PathBuf};

use encoding_rs::Encoding;
use proptest::prelude::*;
use serde_json::Value;
use slipwright::dispatch::{
    Dispatched, NumberColumns, dispatch_schema, read_carrier_numbers, read_dispatch_map,
    write_dispatches,
};
use slipwright::{Finding, Sources, findings};

/// An order that went, from its JSON.
fn dispatched(value: &Value) -> Dispatched {
    let text = |name: &str| -> Box<str> { value[name].as_str().unwrap_or_default().into() };
    let number = |name: &str| value[name].as_u64().and_then(|it| u32::try_from(it).ok());
    Dispatched {
        order: text("id"),
        tracking: text("tracking"),
        service: text("service"),
        extras: value["extras"]
            .as_array()
            .into_iter()
            .flatten()
            .map(|it| it.as_str().unwrap().into())
            .collect(),
        pack: text("pack"),
        weight_g: number("weight_g"),
        date: text("date"),
        time: text("time"),
        tag: text("tag"),
        sitting: text("sitting"),
        number: number("number").unwrap_or_default(),
    }
}

/// Findings as a person sees them.
fn show_findings(found: &[Finding], sources: &Sources) -> String {
    let mut shown = String::new();
    for finding in found {
        assert!(!finding.is_error() || !finding.hints.is_empty(), "{finding:?}");
        shown += &findings::render(finding, sources, findings::Style::Full);
        shown.push('\n');
    }
    shown
}

/// What the shop is told.
fn show_way_back(case: &Path, map: &str) -> String {
    let mut sources = Sources::new();
    let file = sources.add("map.yaml", map);
    let mut found = Vec::new();
    let Some(read) = read_dispatch_map(map, file, &mut found) else {
        return show_findings(&found, &sources) + "the map cannot be used\n";
    };
    let went: Value =
        serde_json::from_str(&fs::read_to_string(case.join("went.json")).unwrap()).unwrap();
    let went: Vec<Dispatched> = went.as_array().unwrap().iter().map(dispatched).collect();
    let written = write_dispatches(&read, &went, &mut found);
    let shown = show_findings(&found, &sources);
    let Some(bytes) = written else { return shown + "nothing is written\n" };
    let encoding = map.lines().find_map(|line| line.strip_prefix("encoding: "));
    let known = Encoding::for_label(encoding.unwrap_or("utf-8").as_bytes()).unwrap();
    let (text, _, is_broken) = known.decode(&bytes);
    assert!(!is_broken, "{}", case.display());
    assert!(text.lines().count() == went.len() + 1 && text.ends_with("\r\n"));
    format!("{shown}{} bytes\n{}", bytes.len(), text.replace("\r\n", "\n"))
}

/// What the carrier says.
fn show_numbers(case: &Path, name: &str) -> String {
    let mut sources = Sources::new();
    let columns = fs::read_to_string(case.join("columns.txt")).unwrap_or_default();
    let named = |start: &str| {
        columns.lines().find_map(|line| line.strip_prefix(start)).map(|name| name.trim().into())
    };
    let columns = NumberColumns { of: named("of:"), tracking: named("number:") };
    let bytes = fs::read(case.join(name)).unwrap();
    match read_carrier_numbers(&bytes, name, &columns, &mut sources) {
        Err(found) => show_findings(&found, &sources) + "nothing is taken in\n",
        Ok((numbers, found)) => {
            let lines = numbers.iter().map(|it| format!("{} has {}\n", it.of, it.tracking));
            show_findings(&found, &sources) + &lines.collect::<String>()
        }
    }
}

#[test]
fn every_case_gives_its_text() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/dispatch");
    let mut cases: Vec<PathBuf> =
        fs::read_dir(root).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.sort();
    assert!(cases.len() >= 12, "the cases are gone");
    let show = |case: &Path| match fs::read_to_string(case.join("map.yaml")) {
        Ok(map) => show_way_back(case, &map),
        Err(_) if case.join("numbers.json").exists() => show_numbers(case, "numbers.json"),
        Err(_) => show_numbers(case, "numbers.csv"),
    };
    let failures: Vec<String> = cases
        .iter()
        .filter_map(|case| crate::support::compare(&case.join("expected.txt"), &show(case)))
        .collect();
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// Maps that only the reader can refuse.
const BEYOND_THE_SCHEMA: [&str; 1] = ["map-column-twice"];

#[test]
fn the_schema_of_the_way_back_agrees_with_the_reader() {
    let schema = dispatch_schema();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/dispatch");
    let mut judged = 0;
    for folder in fs::read_dir(root).unwrap() {
        let folder = folder.unwrap().path();
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        let Ok(text) = fs::read_to_string(folder.join("map.yaml")) else { continue };
        let value: Value = serde_saphyr::from_str(&text).unwrap();
        let is_refused = name.starts_with("map-") && !BEYOND_THE_SCHEMA.contains(&&*name);
        let faults: Vec<_> = validator.iter_errors(&value).map(|it| it.to_string()).collect();
        assert_eq!(faults.is_empty(), !is_refused, "{name}: {faults:?}");
        judged += 1;
    }
    assert!(judged > 6, "{judged} maps were judged");
}

/// `SLIPWRIGHT_BLESS=1` writes the table anew.
#[test]
fn the_docs_list_every_field() {
    let schema = dispatch_schema();
    let fields = find_properties(&schema, "tracking").expect("the fields of a map");
    assert!(fields.len() >= 12);
    let mut rows = String::from("\n| field | what stands in its column |\n|---|---|\n");
    for (name, field) in fields {
        rows += &format!("| `{name}` | {} |\n", field["description"].as_str().unwrap());
    }
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/dispatch.md");
    let text = fs::read_to_string(&path).unwrap();
    let (before, rest) = text.split_once("<!-- generated: dispatch -->").unwrap();
    let (_, after) = rest.split_once("<!-- end -->").unwrap();
    let whole = format!("{before}<!-- generated: dispatch -->{rows}<!-- end -->{after}");
    let failure = crate::support::compare(&path, &whole);
    assert!(failure.is_none(), "run SLIPWRIGHT_BLESS=1 cargo test: docs/dispatch.md is stale");
}

/// The properties of the first object in a schema that has one of a name.
fn find_properties<'a>(
    schema: &'a Value,
    name: &str,
) -> Option<&'a serde_json::Map<String, Value>> {
    match schema {
        Value::Object(map) => {
            let own = map.get("properties").and_then(Value::as_object);
            let own = own.filter(|properties| properties.contains_key(name));
            own.or_else(|| map.values().find_map(|value| find_properties(value, name)))
        }
        Value::Array(values) => values.iter().find_map(|value| find_properties(value, name)),
        _ => None,
    }
}

proptest! {
    /// Whatever orders are called, the csv crate reads back what was to be said, cell for cell.
    #[test]
    fn the_csv_crate_reads_back_every_cell(
        ids in proptest::collection::vec("\\PC{1,12}", 1..6),
        separator in prop_oneof![Just("comma"), Just("semicolon"), Just("tab"), Just("bar")],
    ) {
        let map = format!("separator: {separator}\nformulas: keep\nfields: {{id: [A, B], tag: C}}\n");
        let mut sources = Sources::new();
        let file = sources.add("map.yaml", map.as_str());
        let mut found = Vec::new();
        let map = read_dispatch_map(&map, file, &mut found).unwrap();
        let went: Vec<Dispatched> = ids
            .iter()
            .map(|id| Dispatched { order: id.as_str().into(), tag: "T \"x\"".into(), ..Dispatched::default() })
            .collect();
        let bytes = write_dispatches(&map, &went, &mut found).unwrap();
        let separator = match separator {
            "comma" => b',',
            "semicolon" => b';',
            "tab" => b'\t',
            _ => b'|',
        };
        let mut reader = csv::ReaderBuilder::new().delimiter(separator).from_reader(&bytes[..]);
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        prop_assert_eq!(rows.len(), ids.len());
        for (row, id) in rows.iter().zip(&ids) {
            prop_assert_eq!(&row[0], id.as_str());
            prop_assert_eq!(&row[1], id.as_str());
            prop_assert_eq!(&row[2], "T \"x\"");
        }
    }
}
