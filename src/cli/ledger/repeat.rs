//! A request that a script gives again: its answer tells what was done then.
//!
//! A verb is looked at as it was typed only when it is new: an order that a request lined up no longer
//! waits, and giving the request again must still be right.

use super::super::arguments::ledger::{LedgerOptions, LedgerVerb};
use super::super::halt::Halt;
use super::answer::LedgerAnswer;
use super::open::{Did, OpenLedger, author_of};
use crate::ledger::LedgerError;

/// Whether a verb's request was done before, which is then told.
///
/// # Errors
/// When the request was something else, or the ledger cannot be read.
pub(super) fn was_done_before(options: &LedgerOptions, verb: &LedgerVerb) -> Result<bool, Halt> {
    let Some(act) = verb.act() else { return Ok(false) };
    let Some(request) = act.request.as_deref() else { return Ok(false) };
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
    let mut answer = LedgerAnswer::of_act(verb.name(), options, act);
    answer.take(Did::<()>::Before(entries));
    answer.show()?;
    Ok(true)
}
