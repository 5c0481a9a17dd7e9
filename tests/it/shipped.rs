//! The layouts that come with the engine, and the schemas that editors use.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;
use slipwright::layout::layout_schema;
use slipwright::shipped::SHIPPED;
use slipwright::{NoFiles, Sources, read_layout};

/// The folder of the layouts.
fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("layouts")
}

#[test]
fn the_schema_beside_the_layouts_is_the_one_of_the_tables() {
    let file = folder().join("layout.schema.json");
    let failure = crate::support::compare(&file, &format!("{:#}\n", layout_schema()));
    assert!(failure.is_none(), "run SLIPWRIGHT_BLESS=1 cargo test: the block table changed");
}

#[test]
fn every_layout_file_ships_names_its_schema_and_reads_clean() {
    let schema = jsonschema::validator_for(&layout_schema()).unwrap();
    let page = fs::read_to_string(folder().join("../docs/layouts.md")).unwrap();
    let mut files: Vec<_> = fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "yaml"))
        .collect();
    files.sort();
    assert_eq!(files.len(), SHIPPED.len());
    for path in files {
        let text = fs::read_to_string(&path).unwrap();
        let name = path.file_stem().unwrap().to_str().unwrap();
        let shipped = SHIPPED.iter().find(|shipped| shipped.name == name);
        let shipped = shipped.unwrap_or_else(|| panic!("{name} is not in `SHIPPED`"));
        assert!(!shipped.doc().is_empty(), "{name}");
        assert!(page.contains(&format!("`{name}`")), "docs/layouts.md does not list {name}");
        assert!(
            text.starts_with("# yaml-language-server: $schema=layout.schema.json\n"),
            "{name} names its schema first"
        );
        let mut sources = Sources::new();
        let file = sources.add(name, text.clone());
        let (layout, faults) = read_layout(&mut sources, file, &NoFiles, Path::new(""));
        assert!(layout.is_some() && faults.is_empty(), "{name}: {faults:?}");
        let errors: Vec<_> =
            schema.iter_errors(&to_json(&text)).map(|error| error.to_string()).collect();
        assert!(errors.is_empty(), "{name}: {errors:?}");
    }
}

/// The schema is a help for editors, so it must also refuse what the engine refuses for its form.
#[test]
fn the_schema_refuses_what_has_the_wrong_form() {
    let schema = jsonschema::validator_for(&layout_schema()).unwrap();
    for case in [
        "misspelt-block",
        "misspelt-setting",
        "misspelt-top-key",
        "wrong-unit",
        "missing-makes",
        "missing-body",
        "block-as-setting",
        "container-without-list",
        "wrong-word",
        "address-of-nobody",
        "each-without-show",
        "inset-of-three",
        "type-with-unknown-setting",
    ] {
        let path = folder().join("../tests/cases/layout").join(case).join("layout.yaml");
        let value = to_json(&fs::read_to_string(path).unwrap());
        assert!(!schema.is_valid(&value), "{case}");
    }
}

/// What is wrong with a layout and where, as an editor marks it.
fn marks(body: &str) -> Vec<String> {
    let schema = jsonschema::validator_for(&layout_schema()).unwrap();
    let value = to_json(&format!("page: {{stock: 4x6in}}\nmakes: label\n{body}"));
    schema.iter_errors(&value).map(|error| format!("{}: {error}", error.instance_path())).collect()
}

#[test]
fn the_schema_points_at_the_setting_that_is_wrong() {
    let inner = "body:\n  down:\n    - text: a\n    - across:\n        - text: b\n          ";
    let cases = [
        (format!("{inner}sise: 9pt\n"), "/body/down/1/across/0: ", "sise"),
        (format!("{inner}align: middle\n"), "/body/down/1/across/0/align: ", "middle"),
        (format!("{inner}width: 3cm\n"), "/body/down/1/across/0/width: ", "3cm"),
        ("body:\n  down:\n    - txet: a\n".into(), "/body/down/0: ", "txet"),
        ("body: {table: items}\n".into(), "/body: ", "columns"),
    ];
    for (body, place, word) in cases {
        let marked = marks(&body);
        let here = marked.iter().filter(|it| it.starts_with(place) && it.contains(word)).count();
        assert!(here > 0, "{body}{marked:#?}");
        assert!(marked.iter().all(|it| it.starts_with(place)), "{body}{marked:#?}");
    }
}

#[test]
fn the_schema_takes_what_the_reader_takes() {
    let schema = jsonschema::validator_for(&layout_schema()).unwrap();
    let blocks = [
        "{text: 7}",
        "{text: true}",
        "{text: 2026-11-25}",
        "{text: a, when: true}",
        "{text: a, width: 20}",
        "{text: a, width: \"20\"}",
        "{text: a, width: 20 mm}",
        "{text: a, width: .5in}",
        "{text: a, width: 160dot}",
        "{text: a, width: 160 dots}",
        "{text: a, width: 2cm}",
        "{text: a, width: -2}",
        "{text: a, grow: \"1\"}",
        "{text: a, grow: 0.5}",
        "{text: a, grow: 0}",
        "{text: a, grow: \"0.0\"}",
        "{text: a, inset: [1, 2]}",
        "{text: a, inset: [1, 2, 3]}",
        "{text: a, border: 2dots}",
        "{text: a, keep: next}",
        "{text: a, align: decimal}",
        "{qr: a, most: 4}",
        "{qr: a, most: 0}",
        "{qr: a, most: 4.5}",
        "{qr: a, gs1: true}",
        "{code128: \"12\", gs1: maybe}",
        "{each: items, show: {text: a}}",
        "{each: items}",
        "{blank: boxes, count: 3}",
        "{image: [a]}",
        "{down: {text: a}}",
    ];
    for block in blocks {
        let text = format!("page: {{stock: 4x6in}}\nmakes: label\nbody: {block}\n");
        let mut sources = Sources::new();
        let file = sources.add("mine.yaml", text.clone());
        let read = read_layout(&mut sources, file, &NoFiles, Path::new(""));
        let is_taken = read.0.is_some() && read.1.is_empty();
        assert_eq!(schema.is_valid(&to_json(&text)), is_taken, "{block}: {:?}", read.1);
    }
}

/// YAML as JSON by a reader that is not ours.
fn to_json(text: &str) -> Value {
    serde_saphyr::from_str(text).unwrap()
}
