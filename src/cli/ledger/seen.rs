//! `slipwright ledger seen`: what exports say of orders was looked at, and is put away.

use super::super::arguments::ledger::{LedgerOptions, SeenArguments};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::answer::LedgerAnswer;
use super::open::OpenLedger;
use super::what::find_one_order;
use crate::words::counted;

/// Puts it away.
pub(super) fn run(options: &LedgerOptions, arguments: &SeenArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let news = open.ledger.news()?;
    let mut ids: Vec<Box<str>> = Vec::new();
    if arguments.all {
        ids.extend(news.iter().map(|news| news.order.id.clone()));
    }
    for words in &arguments.orders {
        let id = find_one_order(&open, words, |_| true)?.id;
        if !news.iter().any(|news| news.order.id == id) {
            return Err(Halt::refused(format!("nothing is to be looked at of `{id}`"))
                .hint("`slipwright ledger list news` lists the orders of which something is"));
        }
        if !ids.contains(&id) {
            ids.push(id);
        }
    }
    let done = open.act("seen", &arguments.act, |act| {
        for id in &ids {
            act.see(id)?;
        }
        Ok(())
    })?;
    let mut answer = LedgerAnswer::of_act("seen", options, &arguments.act);
    if answer.take(done).is_some() {
        answer.line(&format!("put away: what exports say of {}", counted(ids.len(), "order")));
        answer.put("seen", ids.iter().map(|id| id.to_string()).collect::<Vec<_>>());
    }
    answer.show()?;
    Ok(Exit::Done)
}
