//! `slipwright ledger history`: what happened, oldest first.

use super::super::arguments::ledger::{HistoryArguments, LedgerOptions};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::table::{CellAlign, Grid};
use super::answer::{LedgerAnswer, entry_json};
use super::event_words::event_words;
use super::open::OpenLedger;
use super::what::{find_one_order, find_parcel, refuse_two_meanings};
use crate::ledger::{Event, LedgerEntry, LedgerError};

/// The columns of the table.
const COLUMNS: [(&str, CellAlign); 4] = [
    ("day", CellAlign::Left),
    ("time", CellAlign::Left),
    ("what", CellAlign::Left),
    ("by", CellAlign::Left),
];

/// Tells what happened.
pub(super) fn run(options: &LedgerOptions, arguments: &HistoryArguments) -> Result<Exit, Halt> {
    let open = OpenLedger::open(options)?;
    let entries = read_story(&open, arguments)?;
    let mut answer = LedgerAnswer::new("history", options);
    let undone: Vec<i64> = entries.iter().filter_map(|it| undone_act(&it.event)).collect();
    let mut grid = Grid::new(&COLUMNS);
    for entry in &entries {
        let mut what = event_words(&entry.event);
        if undone.contains(&entry.act) {
            what.push_str(" (taken back later)");
        }
        grid.row([entry.at.date(), entry.at.clock(), what, entry.by.to_string()]);
    }
    answer.table(&grid.to_text(""));
    answer.put("entries", entries.iter().map(entry_json).collect::<Vec<_>>());
    answer.show()?;
    Ok(Exit::Done)
}

/// The number of the act that an event takes back, if it takes one back.
fn undone_act(event: &Event) -> Option<i64> {
    match event {
        Event::Undone { undoes } => Some(*undoes),
        _ => None,
    }
}

/// The entries that are asked for.
fn read_story(open: &OpenLedger, arguments: &HistoryArguments) -> Result<Vec<LedgerEntry>, Halt> {
    let sitting = open.sitting_or_newest(arguments.sitting)?;
    if let Some(words) = &arguments.order {
        let order = find_one_order(open, words, |_| true)?;
        return Ok(open.ledger.story_of_order(&order.id)?);
    }
    let Some(what) = arguments.what.as_deref().map(str::trim) else {
        let sitting = sitting.ok_or(LedgerError::NoSitting(None))?;
        // Asked of a sitting that there is not, it would tell of nothing.
        open.ledger.line(sitting)?;
        return Ok(open.ledger.story(sitting)?);
    };
    let line = sitting.map(|sitting| open.ledger.line(sitting)).transpose()?;
    let order = open.ledger.order(what)?;
    if let Some((line, parcel)) = line.as_ref().and_then(|it| Some((it, find_parcel(it, what)?))) {
        refuse_two_meanings(what, line.sitting, parcel, order.as_ref())?;
        if order.is_none() {
            let story = open.ledger.story(line.sitting)?;
            let is_its = |entry: &LedgerEntry| entry.event.number() == Some(parcel.number);
            return Ok(story.into_iter().filter(is_its).collect());
        }
    }
    let order = find_one_order(open, what, |_| true)?;
    Ok(open.ledger.story_of_order(&order.id)?)
}
