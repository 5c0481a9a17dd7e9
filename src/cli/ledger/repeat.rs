//! A request that a script gives again: its answer tells what was done then.
//!
//! A verb is looked at as it was typed only when it is new: an order that a request lined up no longer
//! waits, and giving the request again must still be right.

use std::path::Path;

use super::super::arguments::ledger::{ActOptions, LedgerOptions, LedgerVerb};
use super::super::disk::Disk;
use super::super::halt::Halt;
use super::answer::LedgerAnswer;
use super::open::{Did, OpenLedger, author_of, request_of};
use crate::ledger::LedgerError;
use crate::source::Env as _;

/// What a request reads beside its words.
enum RequestInput<'a> {
    /// Its words are all of it.
    Nothing,
    /// What is in this file when it is given.
    File(&'a Path),
    /// Standard input, which can be read once alone: its verb counts it in by itself.
    Input,
}

/// What a verb reads that is part of what it asks.
fn reading_of(verb: &LedgerVerb) -> RequestInput<'_> {
    let read = match verb {
        LedgerVerb::TakeIn(arguments) => Some(&*arguments.orders),
        LedgerVerb::Note(arguments) => arguments.weights.as_deref(),
        LedgerVerb::Track(arguments) => arguments.from.as_deref(),
        _ => None,
    };
    match read {
        None => RequestInput::Nothing,
        Some(path) if path == Path::new("-") => RequestInput::Input,
        Some(path) => RequestInput::File(path),
    }
}

/// Counts in what a request asks: its verb, all its arguments but how it is entered, and the file it reads.
fn count_in(verb: &LedgerVerb, act: &ActOptions) {
    act.ask(
        match verb {
            // Where the table goes is not what the shop is told, and given again it is `--again` by itself.
            LedgerVerb::TellShop(it) => format!("{:?} {:?}", it.map, it.sitting),
            other => format!("{other:?}"),
        }
        .as_bytes(),
    );
    if let RequestInput::File(path) = reading_of(verb) {
        // One that cannot be read is told by its verb.
        act.ask(&Disk::anywhere().read(path).unwrap_or_default());
    }
}

/// Whether a verb's request was done before, which is then told.
///
/// # Errors
/// When the request was something else, or the ledger cannot be read.
pub(super) fn was_done_before(options: &LedgerOptions, verb: &LedgerVerb) -> Result<bool, Halt> {
    let Some(act) = verb.act() else { return Ok(false) };
    let Some(request) = act.request.as_deref() else { return Ok(false) };
    count_in(verb, act);
    if verb.repeats_itself() || matches!(reading_of(verb), RequestInput::Input) {
        return Ok(false);
    }
    // The first request of all makes the ledger.
    if !options.ledger.exists() {
        return Ok(false);
    }
    let open = OpenLedger::open(options)?;
    let entries = open.ledger.entries_of(request)?;
    let Some(first) = entries.first() else { return Ok(false) };
    if first.by != author_of(verb.name()) {
        return Err(LedgerError::RequestUsed(request.into()).into());
    }
    open.ledger.expect_same(&request_of(request, act))?;
    let mut answer = LedgerAnswer::of_act(verb.name(), options, act);
    answer.take(Did::<()>::Before(entries));
    answer.show()?;
    Ok(true)
}
