//! Findings as text, for people and for scripts.
//!
//! In: findings, and what a proof came to. Out: text. Not here: where it goes (`terminal`).

use std::fmt::Write as _;
use std::path::Path;

use serde_json::json;

use crate::findings::{Finding, Severity, Style, render, rules};
use crate::source::Sources;
use crate::verify::ProofTally;
use crate::words::{counted, escape_obeyed};

/// Findings of one severity shown in full before the rest is only counted; scripts get all.
const SHOWN: usize = 40;

/// Findings as people read them: the heaviest last, where the eye is.
pub(super) fn to_text(findings: &[Finding], sources: &Sources, style: Style) -> String {
    let mut text = String::new();
    for severity in Severity::ALL {
        let these = findings.iter().filter(|finding| finding.severity == severity);
        let count = these.clone().count();
        for finding in these.take(SHOWN) {
            text.push_str(&render(finding, sources, style));
            if style != Style::Short {
                text.push('\n');
            }
        }
        if count > SHOWN {
            let (word, more) = (severity.word(), count - SHOWN);
            let _ =
                writeln!(text, "{word}: {more} more like these; `--diagnostics json` lists all\n");
        }
    }
    text
}

/// Whether a finding is about the arguments or a whole file, so that a sentence is all of it.
pub(super) fn is_plain(finding: &Finding) -> bool {
    let plain = [&rules::USAGE, &rules::UNREADABLE, &rules::UNWRITTEN, &rules::LEDGER_REFUSED];
    plain.iter().any(|rule| finding.is(rule))
}

/// A finding that is a sentence, and its ways out.
pub(super) fn plain_text(finding: &Finding) -> String {
    let message = escape_obeyed(&finding.message);
    let mut text = format!("{}: {message}\n", finding.severity.word());
    for hint in &finding.hints {
        let _ = writeln!(text, "  help: {}", escape_obeyed(hint));
    }
    text
}

/// What was found, as a file for scripts: how much of each weight, the findings, and every code
/// that was proven.
pub(super) fn findings_file(findings: &[Finding], proof: &ProofTally, sources: &Sources) -> String {
    let count = |severity| count_of(findings, severity).to_string();
    let list = |entries: Vec<String>| match &entries[..] {
        [] => "[]".to_owned(),
        entries => format!("[\n    {}\n  ]", entries.join(",\n    ")),
    };
    let folders = list_folders(sources);
    let found = findings.iter().map(|finding| finding.to_json(sources).to_string());
    let found = found.map(|text| leave_out(text, &folders)).collect();
    let codes = proof.to_json().map(|code| code.to_string()).collect();
    let parts = [
        ("errors", count(Severity::Error)),
        ("warnings", count(Severity::Warning)),
        ("notes", count(Severity::Note)),
        ("findings", list(found)),
        ("codes", list(codes)),
    ];
    let parts = parts.map(|(name, value)| format!("  \"{name}\": {value}"));
    format!("{{\n{}\n}}\n", parts.join(",\n"))
}

/// The folders of files that were named with a whole path, as JSON writes them, the longest first.
fn list_folders(sources: &Sources) -> Vec<String> {
    let absolute = sources.names().map(Path::new).filter(|path| path.is_absolute());
    let folders = absolute.filter_map(|path| {
        let name = path.file_name()?.to_str()?;
        let folder = path.to_str()?.strip_suffix(name)?;
        Some(json!(folder).to_string().trim_matches('"').to_owned())
    });
    let mut folders: Vec<String> = folders.filter(|folder| folder.len() > 1).collect();
    folders.sort_by_key(|folder| std::cmp::Reverse(folder.len()));
    folders.dedup();
    folders
}

/// A text without the folders in it: a kit is handed on, and where its orders lay on the seller's
/// disk is nobody's business.
fn leave_out(text: String, folders: &[String]) -> String {
    folders.iter().fold(text, |text, folder| match text.contains(folder) {
        true => text.replace(folder, ""),
        false => text,
    })
}

/// Findings as a JSON list, a line each; the grades of proven codes follow as notes of the rule
/// `proof`.
pub(super) fn to_json(findings: &[Finding], proof: &ProofTally, sources: &Sources) -> String {
    let found = findings.iter().map(|finding| finding.to_json(sources));
    let entries: Vec<String> = found.chain(proof.to_json()).map(|it| it.to_string()).collect();
    format!("[{}]\n", entries.join(",\n "))
}

/// Findings and the grades of proven codes, one JSON object a line.
pub(super) fn to_json_lines(findings: &[Finding], proof: &ProofTally, sources: &Sources) -> String {
    let found = findings.iter().map(|finding| finding.to_json(sources));
    found.chain(proof.to_json()).map(|it| format!("{it}\n")).collect()
}

/// Something said of a run, as a line of JSON.
pub(super) fn said_to_json(text: &str) -> String {
    format!("{}\n", json!({"said": text}))
}

/// What is wrong with the arguments, as clap tells it, as a line of JSON.
pub(super) fn usage_to_json(text: &str) -> String {
    let text = text.strip_prefix("error: ").unwrap_or(text);
    let mut lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    let finding = Finding::new(&rules::USAGE, lines.next().unwrap_or_default());
    let finding = finding.details(lines.map(str::to_owned));
    format!("{}\n", finding.to_json(&Sources::new()))
}

/// How many findings have a weight.
fn count_of(findings: &[Finding], severity: Severity) -> usize {
    findings.iter().filter(|finding| finding.severity == severity).count()
}

/// How many findings there are of each weight, in words.
pub(super) fn count_findings(findings: &[Finding]) -> String {
    let parts = Severity::ALL.into_iter().rev().filter_map(|severity| {
        let count = count_of(findings, severity);
        (count > 0).then(|| counted(count, severity.word()))
    });
    let parts: Vec<String> = parts.collect();
    if parts.is_empty() { "no findings".into() } else { parts.join(", ") }
}
