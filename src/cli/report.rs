//! What the command says to people: findings, errors and what was done.

use std::fmt::Write as _;
use std::io::{self, IsTerminal as _, Write as _};

use super::Exit;
use super::arguments::Diagnostics;
use crate::findings::{Finding, Severity, Style, render};
use crate::source::{Sources, describe_failure};
use crate::verify::ProofTally;

/// Findings of one severity shown in full before the rest is only counted; scripts get all.
const SHOWN: usize = 40;

/// Reports that output could not be written.
pub(super) fn cannot_write(what: &str, error: &io::Error) -> Exit {
    let hint = match error.kind() {
        io::ErrorKind::NotFound => "  help: its folder does not exist; make it first\n",
        _ => "",
    };
    say(&format!("error: {what} could not be written: {}\n{hint}", describe_failure(error)));
    Exit::Output
}

/// Reports that an input could not be read.
pub(super) fn cannot_read(what: &str, error: &io::Error) -> Exit {
    say(&format!("error: {what} could not be read: {}\n", describe_failure(error)));
    Exit::Usage
}

/// Reports that the arguments do not make sense.
pub(super) fn usage(message: &str, hint: Option<String>) -> Exit {
    let hint = hint.map(|hint| format!("  help: {hint}\n")).unwrap_or_default();
    say(&format!("error: {message}\n{hint}"));
    Exit::Usage
}

/// Says which place on a sheet is the next free one, if there is a sheet; 1 stands for a new one.
pub(super) fn say_next_place(next: Option<usize>, sheet: &str) {
    match next {
        None => {}
        Some(1) => say(&format!("the last {sheet} is full\n")),
        Some(next) => say(&format!("the next free place on the {sheet} is {next}\n")),
    }
}

/// Says something on standard error; a terminal that is gone does not stop the work.
pub(super) fn say(text: &str) {
    let _ = io::stderr().lock().write_all(text.as_bytes());
}

/// Shows findings on standard error.
pub(super) fn show(findings: &[Finding], sources: &Sources, how: Diagnostics) {
    show_proven(findings, &ProofTally::default(), sources, how);
}

/// Shows findings on standard error, and to scripts the grade of every code that was proven.
pub(super) fn show_proven(
    findings: &[Finding],
    proof: &ProofTally,
    sources: &Sources,
    how: Diagnostics,
) {
    if how == Diagnostics::Json {
        if !findings.is_empty() || proof.to_json().next().is_some() {
            say(&to_json(findings, proof, sources));
        }
        return;
    }
    let style = match how {
        Diagnostics::Short => Style::Short,
        _ if io::stderr().is_terminal() => Style::Coloured,
        _ => Style::Full,
    };
    let mut text = String::new();
    for severity in [Severity::Note, Severity::Warning, Severity::Error] {
        let these = findings.iter().filter(|finding| finding.severity == severity);
        let count = these.clone().count();
        for finding in these.take(SHOWN) {
            text.push_str(&render(finding, sources, style));
            if style != Style::Short {
                text.push('\n');
            }
        }
        if count > SHOWN {
            let word = severity.word();
            let _ = writeln!(
                text,
                "{word}: {} more like these; `--diagnostics json` lists all\n",
                count - SHOWN
            );
        }
    }
    say(&text);
}

/// Shows findings, but to scripts nothing: they have a file of them.
pub(super) fn show_findings(findings: &[Finding], sources: &Sources, how: Diagnostics) {
    if how != Diagnostics::Json {
        show(findings, sources, how);
    }
}

/// What was found, as a file for scripts: how much of each weight, the findings, and every code
/// that was proven.
pub(super) fn findings_file(findings: &[Finding], proof: &ProofTally, sources: &Sources) -> String {
    let count = |severity| findings.iter().filter(|it| it.severity == severity).count();
    let list = |entries: Vec<String>| match &entries[..] {
        [] => "[]".to_owned(),
        entries => format!("[\n    {}\n  ]", entries.join(",\n    ")),
    };
    let found = findings.iter().map(|finding| finding.to_json(sources).to_string()).collect();
    let codes = proof.to_json().map(|code| code.to_string()).collect();
    let parts = [
        ("errors", count(Severity::Error).to_string()),
        ("warnings", count(Severity::Warning).to_string()),
        ("notes", count(Severity::Note).to_string()),
        ("findings", list(found)),
        ("codes", list(codes)),
    ];
    let parts = parts.map(|(name, value)| format!("  \"{name}\": {value}"));
    format!("{{\n{}\n}}\n", parts.join(",\n"))
}

/// Findings as a JSON list, a line each; the grades of proven codes follow as notes of the rule
/// `proof`.
pub(super) fn to_json(findings: &[Finding], proof: &ProofTally, sources: &Sources) -> String {
    let found = findings.iter().map(|finding| finding.to_json(sources));
    let entries: Vec<String> = found.chain(proof.to_json()).map(|it| it.to_string()).collect();
    format!("[{}]\n", entries.join(",\n "))
}

/// A count with its noun, which gets an `s` for all but one.
pub(super) fn counted(count: usize, noun: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {noun}{plural}")
}

/// How many findings there are of each weight, in words.
pub(super) fn count_findings(findings: &[Finding]) -> String {
    let count = |severity, one: &str| {
        let count = findings.iter().filter(|finding| finding.severity == severity).count();
        (count > 0).then(|| counted(count, one))
    };
    let parts: Vec<String> = [
        count(Severity::Error, "error"),
        count(Severity::Warning, "warning"),
        count(Severity::Note, "note"),
    ]
    .into_iter()
    .flatten()
    .collect();
    if parts.is_empty() { "no findings".into() } else { parts.join(", ") }
}
