//! How the command speaks to programs and people: lines of JSON, lists, schemas, colours, examples,
//! and names of files that are no UTF-8.

use std::fs;

use serde_json::Value;

use crate::command::Desk;
use crate::kit_kept::schema_of;
use crate::ledger_cases::{print_parcels, split_words};

/// A place with the samples, as the examples name them.
fn prepared() -> Desk {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml").sample("export.csv");
    let sample = |name: &str| {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
        fs::read(root.join("samples").join(name)).unwrap()
    };
    desk.put("orders.json", sample("evening.json")).put("map.yaml", sample("export-map.yaml"));
    desk
}

#[test]
fn every_line_for_a_program_is_one_object_of_the_schema() {
    let desk = prepared();
    let bad = r#"[{"id": "A", "odd": 1, "ship_to": {"name": "Ada 備", "country": "GB"}}]"#;
    desk.put("bad.json", bad).put("broken.json", "{");
    let schema = schema_of("diagnostics");
    let runs: [(&[&str], i32); 9] = [
        (&["render", "orders.json", "-o", "out.pdf"], 0),
        (&["render", "orders.json", "-o", "out.pdf", "--proof"], 0),
        (&["kit", "orders.json", "--combine", "--to", "tonight"], 0),
        (&["kit", "orders.json", "--to", "tonight"], 2),
        (&["render", "bad.json", "-o", "out.pdf"], 1),
        (&["render", "broken.json", "-o", "out.pdf"], 2),
        (&["render", "nowhere.json", "-o", "out.pdf"], 2),
        (&["render", "orders.json", "--nonsense"], 2),
        (&["weigh", "bad.json"], 1),
    ];
    for (words, code) in runs {
        let words = [words, &["--diagnostics", "json"]].concat();
        let output = desk.run(&words, b"");
        let told = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(code), "{words:?}: {told}");
        assert!(!told.is_empty(), "{words:?}");
        for line in told.lines() {
            let value: Value = serde_json::from_str(line).unwrap_or_else(|_| panic!("{line}"));
            let faults: Vec<String> =
                schema.iter_errors(&value).map(|error| error.to_string()).collect();
            assert!(faults.is_empty(), "{words:?}: {line}: {faults:?}");
        }
    }
}

#[test]
fn lists_are_there_for_programs_too() {
    let desk = Desk::new();
    let list = |word: &str| -> Vec<Value> {
        serde_json::from_slice(&desk.done(&[word, "--json"]).stdout).unwrap()
    };
    let stock = list("stock");
    let label = stock.iter().find(|it| it["name"] == "4x6in").unwrap();
    assert_eq!(
        (label["width_mm"].as_f64(), label["printed"].as_str()),
        (Some(101.6), Some("thermal"))
    );
    let layouts = list("layouts");
    assert_eq!(layouts.len(), slipwright::shipped::SHIPPED.len());
    assert!(layouts.iter().all(|it| it["used_for"].as_str().is_some_and(|it| !it.is_empty())));
}

#[test]
fn schemas_have_a_name_and_name_their_parts() {
    let desk = Desk::new();
    for of in [
        "orders",
        "layout",
        "shop",
        "intake",
        "dispatch",
        "weigh",
        "parcels",
        "diagnostics",
        "ledger",
    ] {
        let text = desk.done(&["schema", of]).stdout;
        let schema: Value = serde_json::from_slice(&text).unwrap();
        assert_eq!(schema["$id"], format!("urn:slipwright:schema:{of}"));
        assert!(!schema["$defs"].as_object().unwrap().is_empty(), "{of}");
        assert!(
            jsonschema::meta::is_valid(&schema) && jsonschema::draft202012::new(&schema).is_ok()
        );
    }
}

#[test]
fn colours_come_when_they_are_asked_for() {
    let desk = Desk::new();
    desk.put("bad.json", r#"[{"id": "A"}]"#);
    let told = |more: &[&str]| {
        let words = [&["check", "bad.json"], more].concat();
        String::from_utf8(desk.run(&words, b"").stderr).unwrap()
    };
    assert!(told(&["--color", "always"]).contains("\u{1b}["));
    // A pipe is no terminal.
    assert!(!told(&[]).contains('\u{1b}') && !told(&["--color", "never"]).contains('\u{1b}'));
}

/// The examples in a command's help, without the program's name.
fn examples_of(command: &[&str]) -> Vec<String> {
    let help = prepared().done(&[command, &["--help"]].concat()).stdout;
    let help = String::from_utf8(help).unwrap();
    let (_, examples) = help.split_once("Examples:\n").unwrap_or_else(|| panic!("{command:?}"));
    let lines = examples.lines().filter_map(|line| line.strip_prefix("  slipwright "));
    let lines: Vec<String> = lines.map(str::to_owned).collect();
    assert!(!lines.is_empty(), "{command:?}");
    lines
}

/// Makes the ledger in which an example of a verb makes sense.
fn prepare_ledger(desk: &Desk, verb: &str) {
    let before: &[&str] = match verb {
        "take-in" => &[],
        "list" | "line-up" => &["take-in orders.json"],
        "join" => &["take-in orders.json", "line-up TH-1042"],
        "again" => &["take-in orders.json", "take-off TH-1041 --because cancelled"],
        "seen" => &["take-in orders.json", "line-up --all --combine", "take-in changed.json"],
        "copy-in" => &["take-in orders.json", "copy-out -o ledger.jsonl"],
        "hand-over" => {
            &["take-in orders.json", "line-up --all --combine", "@print", "match --by-eye 1 2"]
        }
        "tell-shop" => &[
            "take-in orders.json",
            "line-up --all --combine",
            "@print",
            "match --by-eye 1 2",
            "hand-over --all-matched",
        ],
        "match" => &["take-in orders.json", "line-up --all --combine", "@print"],
        _ => &["take-in orders.json", "line-up --all --combine"],
    };
    let changed = fs::read_to_string(desk.path("orders.json")).unwrap();
    desk.put("changed.json", changed.replacen("\"name\": \"", "\"name\": \"Dr. ", 1));
    desk.put("numbers.csv", "Order,Barcode\nTH-1041,RR473124829GB\n");
    desk.put("shop-map.yaml", "fields: {id: Order, tracking: Tracking, date: Shipped on}\n");
    for line in before {
        match *line {
            "@print" => print_parcels(desk, "1 2"),
            line => drop(desk.done(&split_words(&format!("ledger {line}")))),
        }
    }
}

/// Every command but `help` ends its help with examples, and each of them does what it says.
#[test]
fn examples_in_the_help_run() {
    let verbs = [
        "take-in",
        "list",
        "line-up",
        "note",
        "move",
        "take-off",
        "set-aside",
        "join",
        "part",
        "again",
        "seen",
        "undo",
        "print",
        "match",
        "track",
        "hand-over",
        "close",
        "tell-shop",
        "forget",
        "history",
        "backup",
        "check",
        "copy-out",
        "copy-in",
        "rebuild",
    ];
    for verb in verbs {
        for line in examples_of(&["ledger", verb]) {
            let desk = prepared();
            prepare_ledger(&desk, verb);
            desk.done(&split_words(&line));
        }
    }
    let commands = [
        "render",
        "kit",
        "check",
        "weigh",
        "intake",
        "layouts",
        "ruler",
        "ledger",
        "stock",
        "schema",
        "completions",
    ];
    for command in commands {
        for line in examples_of(&[command]) {
            let desk = prepared();
            if command == "ledger" {
                let verb = line.split_whitespace().nth(1).unwrap();
                prepare_ledger(&desk, verb);
            }
            if line.contains("--replace") || line.contains("--only") {
                desk.done(&["kit", "orders.json", "--combine", "--to", "friday"]);
            }
            if line.contains("--propose") {
                fs::remove_file(desk.path("map.yaml")).unwrap();
            }
            desk.done(&line.split_whitespace().collect::<Vec<_>>());
        }
    }
}

#[cfg(unix)]
#[test]
fn names_of_files_may_be_any_bytes() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt as _;
    use std::process::Command;

    let desk = prepared();
    let name = |bytes: &'static [u8]| OsStr::from_bytes(bytes);
    let place = |bytes: &'static [u8]| desk.path(".").join(name(bytes));
    fs::copy(desk.path("orders.json"), place(b"caf\xe9.json")).unwrap();
    fs::copy(desk.path("export.csv"), place(b"caf\xe9.csv")).unwrap();
    desk.done(&["layouts", "--copy", "label-4x6in", "--to", "mine.yaml"]);
    fs::rename(desk.path("mine.yaml"), place(b"caf\xe9.yaml")).unwrap();
    let run = |words: &[&OsStr]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_slipwright"));
        let output = command.args(words).current_dir(desk.path(".")).output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    };
    let word = OsStr::new;
    run(&[
        word("render"),
        name(b"caf\xe9.json"),
        word("--layout"),
        name(b"caf\xe9.yaml"),
        word("-o"),
        name(b"caf\xe9.pdf"),
    ]);
    assert!(place(b"caf\xe9.pdf").is_file());
    run(&[word("kit"), name(b"caf\xe9.json"), word("--to"), name(b"kit\xe9")]);
    run(&[word("kit"), word("--to"), name(b"kit\xe9"), word("--only"), word("2")]);
    run(&[
        word("intake"),
        name(b"caf\xe9.csv"),
        word("--map"),
        word("map.yaml"),
        word("-o"),
        name(b"neu\xe9.json"),
    ]);
    assert!(place(b"neu\xe9.json").is_file());
}
