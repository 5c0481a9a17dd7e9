//! `slipwright ledger move`: a parcel lies elsewhere on the bench; its number stays.

use super::super::arguments::ledger::{LedgerOptions, MoveArguments};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::answer::LedgerAnswer;
use super::changed::put_parcels;
use super::open::OpenLedger;
use super::shown::parcel_words;
use crate::ledger::Event;

/// Moves a parcel.
pub(super) fn run(options: &LedgerOptions, arguments: &MoveArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let (number, before) = (arguments.number, arguments.before);
    let done = open.act("move", &arguments.act, |act| {
        let sitting = act.expect_sitting()?;
        Ok(act.happen(sitting, Event::Moved { number, before })?)
    })?;
    let mut answer = LedgerAnswer::of_act("move", options, &arguments.act);
    if let Some(after) = answer.take(done) {
        let named = |number| after.parcel(number).map(parcel_words).unwrap_or_default();
        answer.line(&match before {
            Some(before) => format!("{} lies before {} now", named(number), named(before)),
            None => format!("{} lies at the end now", named(number)),
        });
        put_parcels(&mut answer, &after, &[number]);
    }
    answer.show()?;
    Ok(Exit::Done)
}
