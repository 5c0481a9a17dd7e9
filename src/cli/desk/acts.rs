//! Doing what a page asks for: a verb of `slipwright ledger`, run in this process as it is typed.
//!
//! In: the words of the command. Out: what it says to a program, and how it ended. Not here: what pages
//! may ask for (`forms`).

use std::ffi::OsString;
use std::thread;

use clap::Parser as _;
use serde_json::{Value, json};

use super::super::arguments::{Arguments, Command, Diagnostics};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::intake;
use super::super::ledger;
use super::super::print;
use super::super::terminal::{self, KeptText};
use super::super::voice::Voice;
use super::ways::say_on_page;

/// The stack of the thread that a command runs on, as large as that of a program's first.
const STACK: usize = 8 << 20;

/// What a command came to.
#[derive(Debug)]
pub(super) struct CommandOutcome {
    /// How it ended.
    pub(super) exit: Exit,
    /// Its answer; none where it was refused.
    pub(super) answer: Option<Value>,
    /// What it said beside it: findings, and sentences as `{"said": …}`.
    pub(super) remarks: Vec<Value>,
}

impl CommandOutcome {
    /// It for a page.
    pub(super) fn to_json(&self) -> Value {
        json!({"exit": self.exit.code(), "answer": self.answer, "remarks": self.remarks})
    }

    /// The same with some text left out of every remark, such as a folder that nobody knows.
    pub(super) fn without(mut self, text: &str) -> CommandOutcome {
        self.remarks.iter_mut().for_each(|remark| leave_out(remark, text));
        self
    }
}

/// Takes a text out of everything that a value says, at whatever depth.
fn leave_out(value: &mut Value, text: &str) {
    match value {
        Value::String(said) if said.contains(text) => *said = said.replace(text, ""),
        Value::Array(values) => values.iter_mut().for_each(|value| leave_out(value, text)),
        Value::Object(values) => values.values_mut().for_each(|value| leave_out(value, text)),
        _ => {}
    }
}

/// Runs a command of the ledger; none when it broke down, which is our fault.
pub(super) fn run_command(words: &[OsString]) -> Option<CommandOutcome> {
    let (exit, kept) = on_own_thread(|| terminal::keep(|| run_words(words)))?;
    Some(read_outcome(exit, &kept))
}

/// A refusal of the desk's own, as a command would tell it.
pub(super) fn refuse(halt: &Halt) -> CommandOutcome {
    let (exit, kept) = terminal::keep(|| terminal::show_halt(halt, Diagnostics::Json));
    read_outcome(exit, &kept)
}

/// What a command came to, from what it said.
fn read_outcome(exit: Exit, kept: &KeptText) -> CommandOutcome {
    let remarks = kept.remarks.lines().filter_map(|line| serde_json::from_str(line).ok());
    let mut remarks: Vec<Value> = remarks.collect();
    for hints in remarks.iter_mut().filter_map(|it| it.get_mut("hints")?.as_array_mut()) {
        *hints =
            hints.iter().filter_map(|hint| say_on_page(hint.as_str()?).map(Value::from)).collect();
    }
    CommandOutcome { exit, answer: serde_json::from_str(&kept.answer).ok(), remarks }
}

/// Does something on a thread of its own: commands take more stack than a connection's thread has. None
/// when it broke down.
pub(super) fn on_own_thread<T: Send>(what: impl FnOnce() -> T + Send) -> Option<T> {
    thread::scope(|scope| {
        let builder = thread::Builder::new().stack_size(STACK);
        builder.spawn_scoped(scope, what).ok()?.join().ok()
    })
}

/// Runs a command as `run_command` of the program does; nothing but the ledger's verbs,
/// taking in and printing.
fn run_words(words: &[OsString]) -> Exit {
    Voice { json: true, coloured: false }.set();
    match Arguments::try_parse_from(words) {
        Err(error) => terminal::show_usage(&error),
        Ok(Arguments { command, .. }) => match &command {
            Command::Ledger(arguments) => show_end(ledger::run(arguments), &command),
            Command::Print(arguments) => show_end(print::run(arguments), &command),
            Command::Intake(arguments) => show_end(intake::run(arguments), &command),
            _ => Exit::Usage,
        },
    }
}

/// Shows what stopped a command, if anything did.
fn show_end(end: Result<Exit, Halt>, command: &Command) -> Exit {
    end.unwrap_or_else(|halt| terminal::show_halt(&halt, command.diagnostics()))
}
