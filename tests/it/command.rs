//! The command itself, run as a person runs it. A case is a folder of `tests/cases/command`: its
//! files are copied to an empty place, `arguments` are given to the command there (one a line),
//! and exit code, what was said, and which files changed are compared with `expected.txt`. What
//! stands in `first` is run before, and has to succeed.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

/// A place with some files where the command is run.
pub(crate) struct Desk {
    /// The place.
    folder: tempfile::TempDir,
}

impl Desk {
    /// An empty place.
    pub(crate) fn new() -> Desk {
        Desk { folder: tempfile::tempdir().unwrap() }
    }

    /// A file's path.
    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Puts a file there.
    pub(crate) fn put(&self, name: &str, text: impl AsRef<[u8]>) -> &Desk {
        fs::write(self.path(name), text).unwrap();
        self
    }

    /// Copies a sample there.
    pub(crate) fn sample(&self, name: &str) -> &Desk {
        let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(name);
        fs::copy(from, self.path(name)).unwrap();
        self
    }

    /// Starts the command, which waits for its input if it wants some. What it keeps in temporary
    /// files, and in its home, goes to the place too.
    pub(crate) fn start(&self, arguments: &[&str]) -> Child {
        Command::new(env!("CARGO_BIN_EXE_slipwright"))
            .args(arguments)
            .current_dir(self.folder.path())
            .env("TMPDIR", self.folder.path())
            .env("HOME", self.folder.path())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap()
    }

    /// Runs the command with some input.
    pub(crate) fn run(&self, arguments: &[&str], input: &[u8]) -> Output {
        let mut child = self.start(arguments);
        // A command that does not read its input closes the pipe, which is no fault of the test.
        let _ = child.stdin.take().unwrap().write_all(input);
        child.wait_with_output().unwrap()
    }

    /// Runs the command and expects it to be done.
    pub(crate) fn done(&self, arguments: &[&str]) -> Output {
        let output = self.run(arguments, b"");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        output
    }
}

/// The exit code of a run.
fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

#[test]
fn cases_end_as_expected() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/command");
    let mut cases: Vec<_> =
        fs::read_dir(&root).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.sort();
    assert!(cases.len() >= 15, "the cases are gone");
    let failures: Vec<String> = cases
        .iter()
        .filter_map(|case| crate::support::compare(&case.join("expected.txt"), &run_case(case)))
        .collect();
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// Runs a case and tells how it ended.
fn run_case(case: &Path) -> String {
    let desk = Desk::new();
    for entry in fs::read_dir(case).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap();
        if !["expected.txt", "arguments", "first"].contains(&name) {
            desk.put(name, fs::read(&path).unwrap());
        }
    }
    desk.put("out.pdf", "was here before");
    if let Ok(first) = fs::read_to_string(case.join("first")) {
        desk.done(&first.lines().collect::<Vec<_>>());
    }
    let arguments = fs::read_to_string(case.join("arguments")).unwrap();
    let arguments: Vec<&str> = arguments.lines().collect();
    let input = fs::read(desk.path("stdin")).unwrap_or_default();
    let output = desk.run(&arguments, &input);
    let mut told = format!("exit {}\n", code(&output));
    told.push_str(&String::from_utf8_lossy(&output.stderr));
    if !output.stdout.is_empty() {
        told.push_str("\n--- standard output\n");
        told.push_str(&String::from_utf8_lossy(&output.stdout));
    }
    let kept = fs::read(desk.path("out.pdf")).unwrap() == b"was here before";
    told.push_str(&list_folder(&desk.path("tonight"), "tonight"));
    told.push_str(if kept { "\n--- out.pdf is untouched\n" } else { "\n--- out.pdf is new\n" });
    let left: Vec<_> = fs::read_dir(desk.folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.starts_with(".slipwright"))
        .collect();
    assert!(left.is_empty(), "{left:?} was left behind");
    told
}

/// The files of a folder and of those in it, a line each; nothing when it is not there.
fn list_folder(folder: &Path, name: &str) -> String {
    let Ok(entries) = fs::read_dir(folder) else { return String::new() };
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    let mut told = format!("\n--- {name}\n");
    let mut below = String::new();
    for path in paths {
        let file = path.file_name().unwrap().to_str().unwrap();
        told.push_str(&format!("{file}\n"));
        below.push_str(&list_folder(&path, &format!("{name}/{file}")));
    }
    told + &below
}

#[test]
fn a_copy_gets_the_schema_beside_it_and_no_file_is_lost_for_it() {
    let desk = Desk::new();
    let older = r#"{"$id": "urn:slipwright:schema:layout", "title": "an older one"}"#;
    desk.put("layout.schema.json", older);
    desk.done(&["layouts", "--copy", "bench-card"]);
    let there = || fs::read(desk.path("layout.schema.json")).unwrap();
    assert!(there() == desk.done(&["schema", "layout"]).stdout, "an older one of ours is replaced");
    desk.put("layout.schema.json", "{}");
    let told = desk.done(&["layouts", "--copy", "slip-a4"]).stderr;
    let wanted = "`layout.schema.json` is another file; `slipwright schema layout` prints ours\n";
    assert_eq!(String::from_utf8(told).unwrap(), wanted);
    assert_eq!(there(), b"{}");
    let alone = Desk::new();
    alone.done(&["layouts", "--copy", "slip-a4", "--to", "-"]);
    assert!(!alone.path("layout.schema.json").exists());
}

#[test]
fn the_sample_becomes_labels_and_cards() {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml");
    let run = desk.done(&[
        "render",
        "evening.json",
        "--combine",
        "-o",
        "labels.pdf",
        "--cards",
        "cards.pdf",
    ]);
    let said = String::from_utf8_lossy(&run.stderr);
    assert!(
        said.contains("11 parcels: 11 pages in `labels.pdf`, 11 pages in `cards.pdf`"),
        "{said}"
    );
    assert!(run.stdout.is_empty());
    for name in ["labels.pdf", "cards.pdf"] {
        let document = lopdf::Document::load(desk.path(name)).unwrap();
        assert_eq!(document.get_pages().len(), 11, "{name}");
    }
}

#[test]
fn orders_come_from_a_pipe_and_go_into_one() {
    let desk = Desk::new();
    desk.sample("shop.yaml");
    let orders = fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/evening.json"));
    let run = desk.run(&["render", "-o", "-"], &orders.unwrap());
    assert_eq!(code(&run), 0, "{}", String::from_utf8_lossy(&run.stderr));
    assert!(run.stdout.starts_with(b"%PDF-"), "nothing but the PDF is on standard output");
    assert_eq!(lopdf::Document::load_mem(&run.stdout).unwrap().get_pages().len(), 12);
}

#[test]
fn the_same_input_gives_the_same_bytes_on_any_number_of_threads() {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml");
    let mut made = Vec::new();
    for threads in ["1", "2", "3", "8"] {
        let run = desk.done(&["render", "evening.json", "-o", "-", "--threads", threads]);
        made.push(run.stdout);
    }
    assert!(made.windows(2).all(|pair| pair[0] == pair[1]));
}

#[test]
fn pictures_are_numbered_files() {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml");
    desk.done(&["render", "evening.json", "-o", "label.png"]);
    desk.done(&["render", "evening.json", "-o", "label.svg"]);
    for page in 1..=12 {
        let png = fs::read(desk.path(&format!("label-{page:02}.png"))).unwrap();
        let reader = png::Decoder::new(std::io::Cursor::new(png)).read_info().unwrap();
        let info = reader.info();
        assert_eq!((info.width, info.height), (812, 1219), "4×6 in at 8 dots/mm, FACTS of stock");
        assert_eq!(info.bit_depth, png::BitDepth::One);
        let svg = fs::read_to_string(desk.path(&format!("label-{page:02}.svg"))).unwrap();
        assert!(svg.starts_with("<svg") || svg.starts_with("<?xml"), "{}", &svg[..40]);
    }
    assert!(!desk.path("label.png").exists());

    // Fewer pages than before: what is left of the earlier print is told, else it is printed again.
    let first: serde_json::Value =
        serde_json::from_slice(&fs::read(desk.path("evening.json")).unwrap()).unwrap();
    let orders = first["orders"].as_array().unwrap();
    desk.put("two.json", serde_json::json!({"orders": orders[..2]}).to_string());
    let fewer = desk.done(&["render", "two.json", "-o", "label.png"]);
    let said = String::from_utf8(fewer.stderr).unwrap();
    let told =
        "2 pages in `label-1.png` and on; `label-01.png` and 11 more are of an earlier print";
    assert!(said.contains(told), "{said}");
}

#[test]
fn good_parcels_print_and_the_others_come_back_whole() {
    let desk = Desk::new();
    let good = r#"{"id": "A-1", "ship_to": {"name": "Ada Marlow", "lines": ["1 Quay"], "city": "Oakhaven", "postcode": "LS1 4AP", "country": "GB"}, "items": [{"title": "Pen"}], "hazard": "none"}"#;
    let bad = r#"{"id": "A-2",  "ship_to": {"name": "Mei 山田"}, "odd": [1.50]}"#;
    let missing = r#"{"ship_to": {"name": "Nobody", "country": "GB"}}"#;
    desk.sample("shop.yaml").put("orders.json", format!("[{missing},\n{good}, {bad}]"));
    let run =
        desk.run(&["render", "orders.json", "-o", "out.pdf", "--set-aside", "rest.json"], b"");
    assert_eq!(code(&run), 1, "{}", String::from_utf8_lossy(&run.stderr));
    assert_eq!(lopdf::Document::load(desk.path("out.pdf")).unwrap().get_pages().len(), 1);
    let rest = fs::read_to_string(desk.path("rest.json")).unwrap();
    assert!(rest.contains(bad) && rest.contains(missing), "they come back to the letter: {rest}");
    let rest: serde_json::Value = serde_json::from_str(&rest).unwrap();
    assert_eq!(rest["orders"].as_array().unwrap().len(), 2);
}

/// An output never replaces an input or another output.
#[test]
fn one_file_is_not_named_twice() {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml");
    for arguments in [
        &["render", "evening.json", "-o", "evening.json", "--format", "pdf"][..],
        &["render", "evening.json", "-o", "a.pdf", "--set-aside", "evening.json"],
        &["render", "evening.json", "-o", "a.pdf", "--cards", "a.pdf"],
        &["render", "evening.json", "-o", "./a.pdf", "--set-aside", "a.pdf"],
    ] {
        let before = fs::read(desk.path("evening.json")).unwrap();
        desk.put("a.pdf", "here");
        let run = desk.run(arguments, b"");
        assert_eq!(code(&run), 2, "{arguments:?}");
        assert_eq!(fs::read(desk.path("evening.json")).unwrap(), before);
        assert!(String::from_utf8_lossy(&run.stderr).contains("names the same file as"));
    }
}

/// What is set aside is always the rest of this run, also when there is none.
#[test]
fn an_old_rest_does_not_stay() {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml").put("rest.json", "{\"orders\": []}");
    desk.done(&["render", "evening.json", "-o", "a.pdf", "--set-aside", "rest.json"]);
    let rest: serde_json::Value =
        serde_json::from_slice(&fs::read(desk.path("rest.json")).unwrap()).unwrap();
    assert_eq!(rest["orders"].as_array().unwrap().len(), 0);
}

#[cfg(unix)]
#[test]
fn a_full_device_a_closed_pipe_and_a_locked_folder_are_told() {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml");
    let full = desk.run(&["render", "evening.json", "-o", "/dev/full"], b"");
    assert_eq!(code(&full), 3);
    let said = String::from_utf8_lossy(&full.stderr).into_owned();
    assert!(said.contains("`/dev/full` could not be written: its disk is full"), "{said}");
    assert!(said.contains("help: make room there and start again"), "{said}");

    let nowhere = desk.run(&["render", "evening.json", "-o", "no/such/folder/out.pdf"], b"");
    assert_eq!(code(&nowhere), 3);

    let mut child = Command::new(env!("CARGO_BIN_EXE_slipwright"))
        .args(["render", "evening.json", "-o", "-"])
        .current_dir(desk.folder.path())
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let closed = child.wait_with_output().unwrap();
    assert_eq!(code(&closed), 3, "{}", String::from_utf8_lossy(&closed.stderr));
    assert!(String::from_utf8_lossy(&closed.stderr).contains("broken pipe"));

    // A shell's `>&-`: nothing may count as written that went nowhere.
    let line = format!("exec {} render evening.json -o - >&-", env!("CARGO_BIN_EXE_slipwright"));
    let shell = Command::new("sh").args(["-c", &line]).current_dir(desk.folder.path()).output();
    let shell = shell.unwrap();
    assert_eq!(code(&shell), 3, "{}", String::from_utf8_lossy(&shell.stderr));
    assert!(String::from_utf8_lossy(&shell.stderr).contains("it is closed"));
}

#[test]
fn lists_schemas_and_completions_are_printed() {
    let desk = Desk::new();
    for layout in slipwright::shipped::SHIPPED {
        let listed = desk.done(&["layouts"]).stdout;
        assert!(String::from_utf8(listed).unwrap().contains(layout.name));
    }
    desk.done(&["layouts", "--copy", "bench-card", "--to", "mine.yaml"]);
    let schema = desk.done(&["schema", "layout"]).stdout;
    assert!(fs::read(desk.path("layout.schema.json")).unwrap() == schema);
    let again = desk.run(&["layouts", "--copy", "bench-card", "--to", "mine.yaml"], b"");
    assert_eq!(code(&again), 2, "a copy never replaces a file");
    assert!(String::from_utf8(desk.done(&["stock"]).stdout).unwrap().contains("4x6in"));
    for of in ["orders", "layout", "shop"] {
        let schema = desk.done(&["schema", of]).stdout;
        let schema: serde_json::Value = serde_json::from_slice(&schema).unwrap();
        assert!(jsonschema::validator_for(&schema).is_ok(), "{of}");
    }
    let script = desk.done(&["completions", "bash"]).stdout;
    assert!(String::from_utf8(script).unwrap().contains("_slipwright"));
}
