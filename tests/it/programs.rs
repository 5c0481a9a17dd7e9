//! What a program gets from the library is what the command writes, and what `docs/programs.md`
//! shows to programs and scripts runs.

use std::fs;
use std::path::Path;
use std::process::Command;

use slipwright::{BatchOptions, Env, FontBook, PrintJob, Report};

use crate::command::Desk;
use crate::readme::{prepared_desk, snippets};

/// A sample's text.
fn sample(name: &str) -> String {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    fs::read_to_string(samples.join(name)).unwrap()
}

/// The sample's orders and shop, in a layout.
fn job(layout: &str) -> PrintJob<'static> {
    PrintJob::new(sample("evening.json")).shop(sample("shop.yaml")).layout(layout)
}

/// What the command writes of the sample in a layout.
fn rendered(layout: &str, output: &str) -> Vec<u8> {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml");
    desk.done(&["render", "evening.json", "--layout", layout, "-o", output]);
    // One file a page: the first has a 1 behind its name.
    let numbered = desk.path(&output.replace('.', "-01."));
    fs::read(desk.path(output)).or_else(|_| fs::read(numbered)).unwrap()
}

#[test]
fn a_job_makes_the_bytes_of_the_command() {
    // A label, a document that runs on, sheets with backs, and a list of all.
    for layout in ["label-4x6in", "slip-a4", "thank-you-a4", "handover-list-a4"] {
        let printed = job(layout).to_pdf().unwrap();
        assert!(printed.output == rendered(layout, "made.pdf"), "{layout}");
    }
    let printed = job("label-4x6in").to_svg().unwrap();
    assert_eq!(printed.output.len(), 12);
    assert_eq!(printed.output[0].as_bytes(), rendered("label-4x6in", "made.svg"));
    let printed = job("label-4x6in").to_png().unwrap();
    assert_eq!(printed.output[0], rendered("label-4x6in", "made.png"));
}

#[test]
fn options_reach_the_batch_and_values_are_read_as_text_is() {
    let how = BatchOptions { combine: true, ..BatchOptions::default() };
    let book = FontBook::builtin();
    let combined = job("label-4x6in").batch(how).fonts(&book).to_svg().unwrap();
    assert_eq!(combined.output.len(), 11);
    let value: serde_json::Value = serde_json::from_str(&sample("evening.json")).unwrap();
    let printed = PrintJob::of_value(&value).shop(sample("shop.yaml")).to_svg().unwrap();
    assert!(printed.output == job("label-4x6in").to_svg().unwrap().output);
}

/// A world with one file.
struct OneFile(&'static str, &'static str);

impl Env for OneFile {
    fn read(&self, path: &Path) -> std::io::Result<Vec<u8>> {
        match path == Path::new(self.0) {
            true => Ok(self.1.into()),
            false => Err(std::io::ErrorKind::NotFound.into()),
        }
    }
}

#[test]
fn layouts_come_by_name_from_a_file_or_as_text() {
    let text = "page: {stock: 100x50mm, inset: 4}\nmakes: label\nbody: {address: ship_to}\n";
    let from_text = job("label-4x6in").layout_text(text).to_pdf().unwrap();
    let files = OneFile("mine.yaml", text);
    let from_file = job("mine.yaml").files(&files).to_pdf().unwrap();
    assert!(from_text.output == from_file.output);
    let shop = format!("{}\n", sample("shop.yaml"));
    let usual = PrintJob::new(sample("evening.json")).shop(shop).to_pdf().unwrap();
    assert!(usual.output == job("label-4x6in").to_pdf().unwrap().output);
}

#[test]
fn what_stops_a_job_is_one_report_of_everything() {
    let case = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/job/everything-wrong");
    let read = |name: &str| fs::read_to_string(case.join(name)).unwrap();
    let job = PrintJob::new(read("orders.json")).shop(read("shop.yaml"));
    let report: Report = job.layout("label-4x6inch").to_pdf().unwrap_err();
    assert!(report.has_errors());
    let failure = crate::support::compare(&case.join("expected.txt"), &report.to_string());
    assert!(failure.is_none(), "{}", failure.unwrap());
    // As `main` shows the error it returns.
    assert_eq!(format!("{report:?}"), report.to_string());
    let rules: Vec<_> = report.findings().iter().map(|finding| finding.rule.name).collect();
    let json = report.to_json();
    let told: Vec<_> =
        json.as_array().unwrap().iter().map(|it| it["rule"].as_str().unwrap()).collect();
    assert_eq!(rules, told);
    assert_eq!(report.sources().get(report.findings()[0].span.unwrap().file).name(), "orders.json");
}

#[test]
fn a_check_prints_nothing_and_tells_what_could_be_better() {
    let report = job("label-4x6in").check();
    assert!(!report.has_errors(), "{report}");
    assert!(report.findings().iter().any(|it| it.rule == "could-combine"), "{report}");
}

/// The code of an example, without the comment at its top.
fn example(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name);
    let text = fs::read_to_string(path).unwrap();
    let code = text.lines().skip_while(|line| line.starts_with("//!") || line.is_empty());
    code.map(|line| format!("{line}\n")).collect()
}

#[test]
fn the_rust_program_of_the_docs_is_the_example() {
    let shown = snippets("rust");
    assert_eq!(shown.len(), 1);
    assert_eq!(shown[0].text, example("orders_to_pdf.rs"));
    let body = shown[0].text.lines().skip_while(|line| !line.starts_with("fn main"));
    assert!(body.skip(1).take_while(|line| *line != "}").count() <= 10, "ten lines at most");
}

/// Runs a program in a prepared folder where the command is found by its name.
fn run(desk: &Desk, program: &mut Command) -> String {
    let command = Path::new(env!("CARGO_BIN_EXE_slipwright")).parent().unwrap();
    let mut places = vec![command.to_owned()];
    places.extend(std::env::split_paths(&std::env::var_os("PATH").unwrap_or_default()));
    let path = std::env::join_paths(places).unwrap();
    let output = program.current_dir(desk.path("")).env("PATH", path).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn examples_run() {
    let desk = prepared_desk();
    for (name, made) in [("orders_to_pdf", "labels.pdf"), ("compose_page", "shelf.pdf")] {
        // `cargo test` has built it already, unless only these tests were asked for.
        let mut cargo = Command::new(env!("CARGO"));
        let manifest = Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml");
        cargo.args(["run", "--quiet", "--locked", "--example", name, "--manifest-path"]);
        run(&desk, cargo.arg(manifest));
        assert!(fs::read(desk.path(made)).unwrap().starts_with(b"%PDF"), "{made}");
    }
    assert!(desk.path("shelf.svg").is_file() && desk.path("shelf.png").is_file());
}

#[test]
fn the_shell_lines_of_the_docs_run() {
    let desk = prepared_desk();
    for line in snippets("sh pipe").iter().flat_map(|snippet| snippet.text.lines()) {
        run(&desk, Command::new("sh").args(["-c", line]));
    }
    assert!(desk.path("thursday/overview.pdf").is_file());
    let counts = fs::read_to_string(desk.path("counts")).unwrap();
    assert_eq!(counts.trim(), "1 \"severity\":\"note\"");
}

/// Left to `.ci/run`, because not every machine that has Rust has Python.
#[test]
#[ignore = "needs python3"]
fn the_python_script_of_the_docs_runs() {
    let desk = prepared_desk();
    for snippet in snippets("python") {
        run(&desk, Command::new("python3").args(["-c", &snippet.text]));
    }
    assert!(fs::read(desk.path("label.pdf")).unwrap().starts_with(b"%PDF"));
}
