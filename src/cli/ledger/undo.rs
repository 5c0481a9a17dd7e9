//! `slipwright ledger undo`: what was done last in the line is taken back by a newer entry.

use super::super::arguments::ledger::{LedgerOptions, UndoArguments};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::answer::{LedgerAnswer, entry_json};
use super::event_words::{event_words, says_of};
use super::news::{lies_in, tell_news};
use super::open::OpenLedger;
use super::shown::sitting_json;
use crate::ledger::LedgerEntry;

/// Takes back what was done last.
pub(super) fn run(options: &LedgerOptions, arguments: &UndoArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let done = open.act("undo", &arguments.act, |act| {
        let sitting = act.expect_sitting()?;
        if let Some(only) = arguments.only {
            act.expect_last(sitting, only)?;
        }
        Ok(act.undo(sitting)?)
    })?;
    let mut answer = LedgerAnswer::of_act("undo", options, &arguments.act);
    if let Some((taken, after)) = answer.take(done) {
        for entry in &taken {
            let (what, at) = (event_words(&entry.event), entry.at.clock());
            answer.line(&format!("taken back: {what} ({}, {at})", entry.by));
        }
        tell_news(&open, &mut answer, |news| {
            news.told.is_some() && lies_in(news, after.sitting, &numbers_of(&taken))
        })?;
        answer.put("sitting", sitting_json(&after));
        answer.put("says", says_of(&taken));
        answer.put("taken_back", taken.iter().map(entry_json).collect::<Vec<_>>());
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// The numbers of the parcels that some entries are about.
fn numbers_of(entries: &[LedgerEntry]) -> Vec<u32> {
    entries.iter().filter_map(|entry| entry.event.number()).collect()
}
