//! Nothing that a terminal obeys comes out of the command, whatever stands in its files: text of
//! control characters in every value and every key of every kind of file, by turns.

use std::fs;
use std::path::Path;
use std::process::Output;

use serde_json::Value;

use crate::command::Desk;

/// What is put into texts: colours, a cleared screen, a faked line, C1, directions, separators.
const SPIKES: [&str; 4] = [
    "\u{1b}[2J\n12 parcels: no findings\n",
    "\u{9b}31m\u{202e}x\u{2066}\u{200f}\u{61c}",
    "\u{2028}12 parcels: no findings\u{2029}\u{85}",
    "\r12 parcels: no findings\u{7}\u{8}\u{7f}\t\u{0}",
];

/// A text in double quotes, as JSON and YAML both read it: every character outside ASCII and every
/// control character escaped.
fn quote(text: &str) -> String {
    let mut quoted = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => quoted.extend(['\\', c]),
            ' '..='~' => quoted.push(c),
            c => quoted.push_str(&format!("\\u{:04x}", u32::from(c))),
        }
    }
    quoted + "\""
}

/// Every text of a value, keys too, counted by `at`; the one at `spiked` gets `spike` at its end.
fn write_spiked(value: &Value, at: &mut usize, spiked: usize, spike: &str, out: &mut String) {
    let mut text = |text: &str, out: &mut String| {
        let end = if *at == spiked { spike } else { "" };
        *at += 1;
        out.push_str(&quote(&format!("{text}{end}")));
    };
    match value {
        Value::String(it) => text(it, out),
        Value::Array(list) => {
            out.push('[');
            for (index, value) in list.iter().enumerate() {
                out.push_str(if index > 0 { ", " } else { "" });
                write_spiked(value, at, spiked, spike, out);
            }
            out.push(']');
        }
        Value::Object(map) => {
            out.push('{');
            for (index, (key, value)) in map.iter().enumerate() {
                out.push_str(if index > 0 { ", " } else { "" });
                let end = if *at == spiked { spike } else { "" };
                *at += 1;
                out.push_str(&quote(&format!("{key}{end}")));
                out.push_str(": ");
                write_spiked(value, at, spiked, spike, out);
            }
            out.push('}');
        }
        other => out.push_str(&other.to_string()),
    }
}

/// A file with one of its texts spiked; nothing when it has not so many.
fn spike(file: &Value, spiked: usize) -> Option<String> {
    let (mut at, mut out) = (0, String::new());
    write_spiked(file, &mut at, spiked, SPIKES[spiked % SPIKES.len()], &mut out);
    (spiked < at).then_some(out)
}

/// Expects that a terminal would show what was said, and take no line of a file for one of ours.
fn check_shown(output: &Output, what: &str) {
    for said in [&output.stdout, &output.stderr] {
        let said = String::from_utf8(said.clone()).unwrap();
        let obeyed = said.chars().find(|&c| {
            let steers = matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2066}'..='\u{2069}');
            (c.is_control() && c != '\n') || steers || matches!(c, '\u{2028}'..='\u{202e}')
        });
        assert!(obeyed.is_none(), "{what}: {obeyed:?} in {said}");
        assert!(!said.lines().any(|line| line.trim_start().starts_with("12 parcels")), "{said}");
    }
}

/// Runs the command on the desk, with the file `name` spiked in one place after the other: every
/// `step`th, each way of the `ways` by turns.
fn check_file(desk: &Desk, name: &str, file: &Value, step: usize, ways: &[&[&str]]) {
    let mut runs = 0;
    for spiked in (0..).step_by(step) {
        let Some(text) = spike(file, spiked) else { break };
        desk.put(name, &text);
        let way = ways[runs % ways.len()];
        let output = desk.run(way, b"");
        check_shown(&output, &format!("{name}, text {spiked}, {way:?}"));
        if way.contains(&"json") {
            let said = String::from_utf8(output.stdout).unwrap();
            let is_json = |text: &str| serde_json::from_str::<Value>(text).is_ok();
            assert!(is_json(&said) || said.lines().all(is_json), "{said}");
        }
        runs += 1;
    }
    assert!(runs > 5, "{name} has no texts");
}

/// Two orders with everything that orders may say.
const ORDERS: &str = r#"{"batch": "Evening", "orders": [
    {"id": "1", "tag": "Marlow", "placed": "2026-11-22", "note": "n", "message": "m",
     "service": "s", "hazard": "none", "extras": ["a"], "gift": true,
     "ship_to": {"name": "Ada", "company": "C", "lines": ["1 Row"], "city": "Quay", "state": "S",
                 "postcode": "TR79 1QX", "country": "GB", "phone": "1", "email": "e"},
     "items": [{"sku": "K", "title": "Pen", "qty": 1, "price": "14.00", "shelf": "B3",
                "options": {"nib": "F"}, "hs": "960830", "origin": "GB", "weight_g": 24}],
     "parcel": {"pack": "box", "weight_g": 372, "size_mm": [220, 110, 40]}},
    {"id": "2", "tag": "Marlow", "ship_to": {"name": "Ada", "lines": ["x"], "country": "XQ"},
     "items": [{"title": "Pen"}]}]}"#;

#[test]
fn orders_say_nothing_to_the_terminal() {
    let desk = Desk::new();
    let file = serde_json::from_str(ORDERS).unwrap();
    check_file(
        &desk,
        "orders.json",
        &file,
        1,
        &[
            &["check", "orders.json", "--diagnostics", "short"],
            &["weigh", "orders.json"],
            &["check", "orders.json"],
            &["check", "orders.json", "--diagnostics", "json"],
            &["weigh", "orders.json", "--json"],
        ],
    );
}

#[test]
fn shop_files_say_nothing_to_the_terminal() {
    let desk = Desk::new();
    desk.put("orders.json", ORDERS);
    let shop = r#"{"name": "Tern Hollow Pens", "address": {"company": "T", "lines": ["L"], "city": "T",
        "postcode": "TR77 4NH", "country": "GB", "phone": "1"}, "currency": "GBP", "language": "en",
        "packs": [{"name": "box", "inside": "220 x 110 x 40 mm", "own_weight": "64 g"}],
        "printers": {"bench": {"dpi": 203}}, "defaults": {"service": "s", "pack": "box"},
        "goods": {"K": {"weight": "24 g"}}, "limits": {"s": {"weight": "2 kg"}},
        "kit": {"customs_sheets": "customs-sheet-a5"}}"#;
    check_file(
        &desk,
        "shop.yaml",
        &serde_json::from_str(shop).unwrap(),
        1,
        &[
            &["check", "orders.json", "--diagnostics", "short"],
            &["weigh", "orders.json"],
            &["kit", "orders.json", "--to", "kit", "--replace"],
        ],
    );
}

#[test]
fn layouts_say_nothing_to_the_terminal() {
    let desk = Desk::new();
    desk.put("orders.json", ORDERS);
    let layout = r#"{"page": {"stock": "4x6in", "inset": "5mm"}, "makes": "label",
        "type": {"small": {"size": "8pt", "family": "sans"}}, "let": {"who": "{{ tag }}"},
        "body": {"down": [{"text": "{{ who }}", "type": "small"}, {"qr": "{{ order.id }}"},
                          {"image": "a.png"}, {"page_of": "a.pdf", "page": "1"},
                          {"table": "items", "columns": [{"head": "h", "cell": "{{ item.title }}"}]},
                          {"include": "a.yaml"}, {"text": "{{ tag | nosuch }}", "when": "gone"}]}}"#;
    check_file(
        &desk,
        "mine.yaml",
        &serde_json::from_str(layout).unwrap(),
        1,
        &[
            &["check", "orders.json", "--layout", "mine.yaml"],
            &["check", "orders.json", "--layout", "mine.yaml", "--diagnostics", "short"],
        ],
    );
}

#[test]
fn exports_and_maps_say_nothing_to_the_terminal() {
    let desk = Desk::new();
    desk.sample("export.csv");
    let map = r#"{"separator": ",", "dates": "day first", "fields": {"id": "Order", "ship_to.name": "Name",
        "ship_to.country": {"always": "GB"}, "items.title": {"column": "Title", "else": "x"}},
        "patterns": [{"column": "A", "pattern": "{a}"}], "leave_out": [{"column": "S", "is": ["x"]}]}"#;
    let ways: [&[&str]; 3] = [
        &["intake", "export.csv", "--map", "map.yaml", "-o", "made.json"],
        &["intake", "export.csv", "--map", "map.yaml", "-o", "made.json", "--diagnostics", "short"],
        &["intake", "export.csv", "--map", "map.yaml", "-o", "made.json", "--diagnostics", "json"],
    ];
    check_file(&desk, "map.yaml", &serde_json::from_str(map).unwrap(), 1, &ways);
    // The same in the cells and heads of an export.
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    fs::copy(sample.join("export-map.yaml"), desk.path("map.yaml")).unwrap();
    let export = fs::read_to_string(sample.join("export.csv")).unwrap();
    let commas = export.match_indices(',').count().min(60);
    for (index, (at, _)) in export.match_indices(',').take(commas).enumerate() {
        let spike = SPIKES[index % SPIKES.len()].replace('\n', " ");
        desk.put("export.csv", format!("{}{spike}{}", &export[..at], &export[at..]));
        let propose = ["intake", "export.csv", "--propose", "-o", "proposed.yaml"];
        let way = if index % 4 == 3 { &propose[..] } else { ways[index % 3] };
        check_shown(&desk.run(way, b""), &format!("cell {index}, {way:?}"));
        let _ = fs::remove_file(desk.path("proposed.yaml"));
    }
}

#[test]
fn records_of_kits_say_nothing_to_the_terminal() {
    let desk = Desk::new();
    let order = r#"[{"id": "1", "ship_to": {"name": "Ines Marlow", "lines": ["14 Quay Street"],
        "city": "Oakhaven", "postcode": "LS1 4AP", "country": "GB"}, "items": [{"title": "Nib"}],
        "hazard": "none"}]"#;
    let shop = "address: {lines: [The Loft], city: Ternmouth, postcode: TR77 4NH, country: GB}\n";
    desk.put("orders.json", order).put("shop.yaml", format!("name: Tern Hollow Pens\n{shop}"));
    desk.done(&["kit", "orders.json", "--to", "kit"]);
    let record = fs::read_to_string(desk.path("kit/batch.json")).unwrap();
    check_file(
        &desk,
        "kit/batch.json",
        &serde_json::from_str(&record).unwrap(),
        2,
        &[
            &["kit", "orders.json", "--to", "kit", "--only", "1"],
            &["kit", "orders.json", "--to", "kit", "--replace", "--diagnostics", "short"],
        ],
    );
}

#[test]
fn names_of_files_say_nothing_to_the_terminal() {
    let desk = Desk::new();
    for way in [
        &["check", "a\u{1b}[2J\nb.json"][..],
        &["check", "a.json", "--layout", "b\u{202e}\u{85}.yaml"],
        &["intake", "e\u{2028}.csv", "--map", "m\r.yaml", "-o", "-"],
        &["layouts", "--copy", "x\n12 parcels: no findings"],
    ] {
        check_shown(&desk.run(way, b""), &format!("{way:?}"));
    }
    desk.put("a\u{1b}[2J.json", "[{}]").put("b\u{85}.yaml", "page: {}");
    let ways = ["a\u{1b}[2J.json", "--layout", "b\u{85}.yaml"];
    check_shown(&desk.run(&[&["check"], &ways[..]].concat(), b""), "files");
}

/// A kit is handed on: what was found names its files without the folders they lay in.
#[test]
fn findings_of_a_kit_name_no_folders() {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml").sample("logo.svg");
    let place = |name| desk.path(name).to_str().unwrap().to_owned();
    let (orders, shop) = (place("evening.json"), place("shop.yaml"));
    let output = desk.run(&["kit", &orders, "--shop", &shop, "--to", "kit", "--combine"], b"");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    let found = fs::read_to_string(desk.path("kit/findings.json")).expect(&said);
    let folder = orders.strip_suffix("evening.json").unwrap();
    assert!(said.contains(folder), "nothing is said of {orders}: {said}");
    assert!(found.contains("\"evening.json\"") && !found.contains(folder), "{found}");
}
