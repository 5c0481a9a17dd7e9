//! What a verb answers: sentences for people, or one JSON object for programs.
//!
//! In: lines and named values, in the order in which they are told. Out: text on standard output. The
//! object's shape stands in `ledger.schema.json`; a test holds every verb to it.

use serde_json::{Map, Value, json};

use super::super::arguments::Diagnostics;
use super::super::arguments::ledger::{ActOptions, LedgerOptions};
use super::super::halt::Halt;
use super::super::line::{LINE_NAME, WAITING_NAME};
use super::super::terminal;
use super::open::{Did, time_of};
use crate::findings::Finding;
use crate::ledger::LedgerEntry;
use crate::source::{Sources, Span};
use crate::words::escape_obeyed;

/// An answer that is being put together.
pub(super) struct LedgerAnswer {
    /// Whether a program asked.
    json: bool,
    /// What is told to people.
    text: String,
    /// What is told to programs.
    values: Map<String, Value>,
}

impl LedgerAnswer {
    /// The answer of a verb that only asks.
    pub(super) fn new(verb: &str, options: &LedgerOptions) -> LedgerAnswer {
        let mut values = Map::new();
        values.insert("did".into(), verb.into());
        LedgerAnswer { json: options.json, text: String::new(), values }
    }

    /// The answer of a verb that enters something.
    pub(super) fn of_act(verb: &str, options: &LedgerOptions, act: &ActOptions) -> LedgerAnswer {
        let mut answer = LedgerAnswer::new(verb, options);
        answer.put("at", time_of(act).to_string());
        answer.put("dry_run", act.dry_run);
        answer.put("before", false);
        if act.dry_run {
            answer.line("a dry run: nothing is entered");
        }
        answer
    }

    /// Tells people a line; what a terminal would obey is shown as an escape.
    pub(super) fn line(&mut self, line: &str) {
        self.text.push_str(&escape_obeyed(line));
        self.text.push('\n');
    }

    /// Tells people a table, which has escaped what is in its cells.
    pub(super) fn table(&mut self, table: &str) {
        self.text.push_str(table);
    }

    /// Tells programs a value.
    pub(super) fn put(&mut self, name: &str, value: impl Into<Value>) {
        self.values.insert(name.into(), value.into());
    }

    /// Takes what came of an act; what was done before is told and is none.
    pub(super) fn take<T>(&mut self, did: Did<T>) -> Option<T> {
        match did {
            Did::Now(done) | Did::Rehearsed(done) => Some(done),
            Did::Before(entries) => {
                self.tell_before(&entries);
                None
            }
        }
    }

    /// Tells that a request was done before, and what it entered.
    fn tell_before(&mut self, entries: &[LedgerEntry]) {
        let Some(first) = entries.first() else { return };
        let (date, clock) = (first.at.date(), first.at.clock());
        self.line(&format!("this request was done on {date} at {clock}; it is not done again"));
        self.put("before", true);
        self.put("entries", entries.iter().map(entry_json).collect::<Vec<_>>());
    }

    /// Shows it.
    ///
    /// # Errors
    /// When standard output cannot be written.
    pub(super) fn show(self) -> Result<(), Halt> {
        match self.json {
            true => terminal::print_json(&format!("{:#}\n", Value::Object(self.values))),
            false => terminal::print(&self.text),
        }
    }
}

/// How findings are shown beside an answer.
pub(super) fn how_shown(options: &LedgerOptions) -> Diagnostics {
    if options.json { Diagnostics::Json } else { Diagnostics::Full }
}

/// Shows findings beside an answer. Where they lie in texts that the ledger keeps is no place that a
/// seller could go to: the order and its field are named, the line is not shown.
pub(super) fn show_found(found: &[Finding], sources: &Sources, options: &LedgerOptions) {
    let is_kept = |span: Span| [LINE_NAME, WAITING_NAME].contains(&sources.get(span.file).name());
    let found = found.iter().map(|found| match found.span {
        Some(span) if is_kept(span) => Finding { span: None, related: Vec::new(), ..found.clone() },
        _ => found.clone(),
    });
    let found: Vec<Finding> = found.collect();
    terminal::show(&found, sources, how_shown(options));
}

/// An entry for a program.
pub(super) fn entry_json(entry: &LedgerEntry) -> Value {
    json!({
        "entry": entry.seq,
        "act": entry.act,
        "at": entry.at.to_string(),
        "by": entry.by,
        "sitting": entry.sitting,
        "event": serde_json::from_str::<Value>(&entry.event.to_json()).unwrap_or_default(),
    })
}
