//! The one door through which text reaches the terminal.
//!
//! In: sentences, tables, findings, and what stopped a command. Out: bytes on standard output or
//! standard error, all of them by one function. What was read from files or arguments can stand in
//! any of them, so what a terminal would obey leaves here as an escape such as `\u{1b}`. Not here:
//! documents, which are no text and go where
//! the user sends them (`files`), and the bar that shows how far a long batch is (`output`).

use std::cell::RefCell;
use std::io::{self, Write as _};

use super::arguments::Diagnostics;
use super::exit::Exit;
use super::halt::Halt;
use super::report;
use super::voice::Voice;
use crate::findings::{Finding, Style};
use crate::source::Sources;
use crate::verify::ProofTally;
use crate::words::{escape_but, escape_obeyed, is_obeyed};

/// Where text goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Channel {
    /// Standard output: what was asked for.
    Answer,
    /// Standard error: what is said about it.
    Remark,
}

/// What a run said that was kept.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct KeptText {
    /// What was asked for.
    pub(super) answer: String,
    /// What was said about it.
    pub(super) remarks: String,
}

thread_local! {
    /// What a run on this thread says while it is kept.
    static KEPT: RefCell<Option<KeptText>> = const { RefCell::new(None) };
}

/// Keeps what a run on this thread says instead of showing it.
#[cfg(feature = "desk")]
pub(super) fn keep<T>(run: impl FnOnce() -> T) -> (T, KeptText) {
    KEPT.set(Some(KeptText::default()));
    let done = run();
    (done, KEPT.take().unwrap_or_default())
}

/// Adds text to what is kept; whether anything is.
fn add_to_kept(channel: Channel, text: &str) -> bool {
    KEPT.with_borrow_mut(|kept| {
        let Some(kept) = kept else { return false };
        match channel {
            Channel::Answer => kept.answer.push_str(text),
            Channel::Remark => kept.remarks.push_str(text),
        }
        true
    })
}

/// Writes text; everything that the terminal shows comes by here.
fn write(channel: Channel, text: &str) -> io::Result<()> {
    if add_to_kept(channel, text) {
        return Ok(());
    }
    match channel {
        Channel::Answer => {
            let mut out = io::stdout().lock();
            out.write_all(text.as_bytes()).and_then(|()| out.flush())
        }
        Channel::Remark => io::stderr().lock().write_all(text.as_bytes()),
    }
}

/// Says a line on standard error; a terminal that is gone does not stop the work.
pub(super) fn say(line: &str) {
    let text = match Voice::current().json {
        true => escape_json(&report::said_to_json(line)),
        false => format!("{}\n", escape_obeyed(line)),
    };
    let _ = write(Channel::Remark, &text);
}

/// Says which place on a sheet is the next free one, if there is a sheet; 1 stands for a new one.
pub(super) fn say_next_place(next: Option<usize>, sheet: &str) {
    match next {
        None => {}
        Some(1) => say(&format!("the last {sheet} is full")),
        Some(next) => say(&format!("the next free place on the {sheet} is {next}")),
    }
}

/// Prints lines that were asked for to standard output. Their line ends and tabs are ours: whoever
/// makes a table escapes what is in its cells.
///
/// # Errors
/// When standard output cannot be written.
pub(super) fn print(text: &str) -> Result<(), Halt> {
    answer(&escape_but(text, &['\n', '\t']))
}

/// Prints JSON that was asked for to standard output.
///
/// # Errors
/// When standard output cannot be written.
pub(super) fn print_json(json: &str) -> Result<(), Halt> {
    answer(&escape_json(json))
}

/// Writes to standard output.
fn answer(text: &str) -> Result<(), Halt> {
    write(Channel::Answer, text).map_err(|error| Halt::unwritten("standard output", &error))
}

/// JSON in which what a terminal would obey is escaped as JSON does it, so that it says the same:
/// such characters stand in its texts only, but for the line ends between values.
fn escape_json(json: &str) -> String {
    let mut escaped = String::with_capacity(json.len());
    for c in json.chars() {
        match c {
            // Every one of them is in the Basic Multilingual Plane, so four digits do.
            c if is_obeyed(c) && c != '\n' => escaped += &format!("\\u{:04x}", u32::from(c)),
            c => escaped.push(c),
        }
    }
    escaped
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
    let text = match how {
        Diagnostics::Json if findings.is_empty() && proof.to_json().next().is_none() => return,
        Diagnostics::Json => escape_json(&report::to_json_lines(findings, proof, sources)),
        Diagnostics::Short => report::to_text(findings, sources, Style::Short),
        Diagnostics::Full if Voice::current().coloured => {
            report::to_text(findings, sources, Style::Coloured)
        }
        Diagnostics::Full => report::to_text(findings, sources, Style::Full),
    };
    let _ = write(Channel::Remark, &text);
}

/// Shows what stopped a command, and ends as it says.
pub(super) fn show_halt(halt: &Halt, how: Diagnostics) -> Exit {
    match &halt.findings[..] {
        [finding] if report::is_plain(finding) && how != Diagnostics::Json => {
            let _ = write(Channel::Remark, &report::plain_text(finding));
        }
        findings => show_proven(findings, &halt.proof, &halt.sources, how),
    }
    halt.closing.iter().for_each(|line| say(line));
    halt.exit
}

/// Shows what clap has to say: help and version as they were asked for, and mistakes.
pub(super) fn show_usage(error: &clap::Error) -> Exit {
    let channel = if error.use_stderr() { Channel::Remark } else { Channel::Answer };
    let said = error.render().to_string();
    let text = match error.use_stderr() && Voice::current().json {
        true => escape_json(&report::usage_to_json(&said)),
        false => escape_but(&said, &['\n']).into_owned(),
    };
    match (channel, write(channel, &text)) {
        (Channel::Remark, _) => Exit::Usage,
        (Channel::Answer, Ok(())) => Exit::Done,
        (Channel::Answer, Err(_)) => Exit::Output,
    }
}
