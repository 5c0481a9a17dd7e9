//! Evenings at the counter, told as transcripts: one folder a case in `tests/cases/ledger`. Its files are
//! copied to an empty place, the lines of `script` are run there one after another, and what each
//! said and how it ended stands in `expected.txt`.
//!
//! A line is a command without the program's name, as a shell takes it. `{card 1}`, `{label 1}` and
//! `{pair 1}` are the codes of parcel 1 of the newest sitting. Lines that begin with two spaces are the
//! input of the command before them. `@print 1 2` records papers of those parcels as a kit's printing
//! does, `@done …` runs a command that has to succeed and whose words are no matter, `@show FILE` shows a file, `@list DIR` what is in a folder and who may read it, `@copy FROM TO` copies one, `@cut FILE BYTES` overwrites the middle of one, `# …` is a remark.
//! `SLIPWRIGHT_BLESS=1 cargo test` writes the transcripts anew.

use std::fs;
use std::path::{Path, PathBuf};

use slipwright::ledger::{ActStamp, Done, Ledger, LedgerError, Moment, Paper, PrintedParcel};

use crate::command::Desk;

/// The ledger of a case, under the name that the command gives it.
const LEDGER: &str = "slipwright.ledger";

/// A line of a script with its input.
struct Step {
    /// The line.
    line: String,
    /// What it reads.
    input: String,
}

/// The steps of a script.
fn read_script(text: &str) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    for line in text.lines() {
        match (line.strip_prefix("  "), steps.last_mut()) {
            (Some(input), Some(step)) => step.input += &format!("{input}\n"),
            _ => steps.push(Step { line: line.to_owned(), input: String::new() }),
        }
    }
    steps
}

/// A text with the codes of the newest sitting in place of their names.
fn fill(desk: &Desk, text: &str) -> String {
    let mut filled = text.to_owned();
    for (name, side) in [("{card ", "C"), ("{label ", "L"), ("{pair ", "")] {
        while let Some(start) = filled.find(name) {
            let end = start + filled[start..].find('}').unwrap();
            let number: u32 = filled[start + name.len()..end].parse().unwrap();
            let ledger = Ledger::open(&desk.path(LEDGER)).unwrap();
            let line = ledger.line(ledger.sittings().unwrap()[0].sitting).unwrap();
            let pair = line.parcel(number).unwrap().pair;
            let code = match side {
                "" => pair.to_string(),
                side => format!("SW/{side}/{pair}/{number}-9/{}", line.key),
            };
            filled.replace_range(start..=end, &code);
        }
    }
    filled
}

/// The words of a line as a shell takes them.
pub(crate) fn split_words(line: &str) -> Vec<&str> {
    let parts = line.split('"').enumerate().flat_map(|(at, part)| match at % 2 {
        0 => part.split_whitespace().collect(),
        _ => vec![part],
    });
    parts.collect()
}

/// Records papers of parcels as if a kit had been printed.
pub(crate) fn print_parcels(desk: &Desk, numbers: &str) {
    let mut ledger = Ledger::open(&desk.path(LEDGER)).unwrap();
    let sitting = ledger.open_sitting().unwrap().unwrap();
    let at = Moment::parse("2026-11-27T19:00+01:00").unwrap();
    let stamp = ActStamp { at, by: "test".into(), request: None };
    let papers = vec![Paper { document: "labels".into(), digest: "0123456789abcdef".into() }];
    let parcels = numbers
        .split_whitespace()
        .map(|number| PrintedParcel {
            number: number.parse().unwrap(),
            count: 9,
            papers: papers.clone(),
        })
        .collect();
    let kit = desk.path("friday");
    let done: Result<Done<_>, LedgerError> =
        ledger.act(&stamp, |act| act.printed(sitting, parcels, kit.to_str()));
    done.unwrap();
}

/// Tells what is in a folder, and who may read it where the system says so.
fn list_modes(desk: &Desk, name: &str, told: &mut String) {
    let mut paths: Vec<PathBuf> =
        fs::read_dir(desk.path(name)).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths.insert(0, desk.path(name));
    for path in paths {
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            let mode = fs::metadata(&path).unwrap().permissions().mode();
            told.push_str(&format!("{:o} ", mode & 0o777));
        }
        told.push_str(&format!("{}\n", path.file_name().unwrap().to_str().unwrap()));
    }
}

/// Runs a step and tells it.
fn run_step(desk: &Desk, step: &Step, told: &mut String) {
    told.push_str(&format!("$ {}\n", step.line));
    for line in step.input.lines() {
        told.push_str(&format!("  {line}\n"));
    }
    if let Some(numbers) = step.line.strip_prefix("@print ") {
        return print_parcels(desk, numbers);
    }
    if let Some(name) = step.line.strip_prefix("@show ") {
        let text = fs::read_to_string(desk.path(name));
        told.push_str(&text.map_or("not there\n".to_owned(), |text| text.replace('\r', "")));
        return;
    }
    if let Some(name) = step.line.strip_prefix("@list ") {
        return list_modes(desk, name, told);
    }
    if let Some(words) = step.line.strip_prefix("@copy ") {
        let (from, to) = words.split_once(' ').unwrap();
        fs::copy(desk.path(from), desk.path(to)).unwrap();
        return;
    }
    if let Some(words) = step.line.strip_prefix("@cut ") {
        let (name, bytes) = words.split_once(' ').unwrap();
        let bytes: usize = bytes.parse().unwrap();
        let mut whole = fs::read(desk.path(name)).unwrap();
        let middle = whole.len() / 2;
        whole[middle..middle + bytes].fill(0xAA);
        fs::write(desk.path(name), whole).unwrap();
        return;
    }
    if step.line.starts_with('#') || step.line.is_empty() {
        return;
    }
    if let Some(line) = step.line.strip_prefix("@done ") {
        desk.done(&split_words(&fill(desk, line)));
        return;
    }
    let line = fill(desk, &step.line);
    let output = desk.run(&split_words(&line), fill(desk, &step.input).as_bytes());
    let place = desk.path("").display().to_string();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).replace('\r', "").replace(&place, "");
    told.push_str(&text(&output.stdout));
    for line in text(&output.stderr).lines() {
        told.push_str(&format!("! {line}\n"));
    }
    match output.status.code() {
        Some(0) => {}
        code => told.push_str(&format!("exit {}\n", code.unwrap_or(-1))),
    }
}

/// Runs a case and tells it.
fn run_case(case: &Path) -> String {
    let desk = Desk::new();
    for entry in fs::read_dir(case).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap();
        if !["expected.txt", "script"].contains(&name) {
            desk.put(name, fs::read(&path).unwrap());
        }
    }
    if !desk.path("orders.json").exists() {
        let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/ledger.json");
        desk.put("orders.json", fs::read(samples).unwrap());
    }
    let mut told = String::new();
    let script = fs::read_to_string(case.join("script")).unwrap();
    for step in read_script(&script) {
        run_step(&desk, &step, &mut told);
    }
    told
}

#[test]
fn every_evening_goes_as_told() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/ledger");
    let mut cases: Vec<PathBuf> =
        fs::read_dir(root).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.sort();
    assert!(cases.len() >= 8, "the cases are gone");
    let failures: Vec<String> = cases
        .iter()
        .filter_map(|case| crate::support::compare(&case.join("expected.txt"), &run_case(case)))
        .collect();
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}
