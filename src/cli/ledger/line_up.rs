//! `slipwright ledger line-up`: waiting orders become parcels at the end of the line.

use serde_json::{Value, json};

use super::super::arguments::ledger::{FactOptions, LedgerOptions, LineUpArguments};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::terminal;
use super::answer::{LedgerAnswer, how_shown};
use super::changed::tell_weights;
use super::facts::read_facts;
use super::mates::tell_mates;
use super::open::{OpenLedger, time_of};
use super::order_words::OrderWords;
use super::proposing::{LineProposal, ProposedParcel, propose};
use super::shop_file::read_shop_file;
use super::shown::{fact_words, line_json, parcel_words, sitting_json};
use super::what::find_waiting;
use crate::ledger::{Act, BenchLine, Facts, OrderNow};
use crate::shop::Shop;
use crate::words::counted;

/// Lines up orders.
pub(super) fn run(options: &LedgerOptions, arguments: &LineUpArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let shop = read_shop_file(options, &arguments.shop)?;
    let facts = read_facts(&arguments.facts, shop.as_ref())?;
    let orders = match arguments.all {
        true => open.ledger.orders_in("waiting")?,
        false => find_waiting(&open, &arguments.orders)?,
    };
    let line = open.open_line()?;
    refuse_other_sitting(line.as_ref(), arguments.sitting.as_deref())?;
    let mut answer = LedgerAnswer::of_act("line-up", options, &arguments.act);
    if orders.is_empty() {
        answer.line("no order waits: nothing is lined up");
        answer.put("parcels", Vec::<Value>::new());
        answer.show()?;
        return Ok(Exit::Done);
    }
    let proposal = propose(&open, line.as_ref(), &orders, shop.as_ref(), arguments.combine)?;
    refuse_facts_of_many(&proposal, &arguments.facts)?;
    let known = line.as_ref().map(BenchLine::next_number);
    let name = sitting_name(arguments);
    let done = open.act("line-up", &arguments.act, |act| {
        refuse_moved(act, known)?;
        enter(act, &proposal, &facts, &name)
    })?;
    terminal::show(&proposal.findings, &proposal.sources, how_shown(options));
    if let Some(after) = answer.take(done) {
        tell(&open, &orders, known, &after, shop.as_ref(), &mut answer)?;
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// The name of a sitting that begins.
fn sitting_name(arguments: &LineUpArguments) -> String {
    let named = arguments.sitting.as_deref().map(str::trim).filter(|name| !name.is_empty());
    named.map_or_else(|| time_of(&arguments.act).date(), str::to_owned)
}

/// Refuses another sitting than the one that is open: a bench has one line.
fn refuse_other_sitting(line: Option<&BenchLine>, wanted: Option<&str>) -> Result<(), Halt> {
    match (line, wanted) {
        (Some(line), Some(wanted)) if *line.name != *wanted.trim() => {
            let message = format!("sitting {} `{}` is open", line.sitting, line.name);
            Err(Halt::refused(message).hint("close it first: `slipwright ledger close`"))
        }
        _ => Ok(()),
    }
}

/// Refuses what is said of one parcel where there are several.
fn refuse_facts_of_many(proposal: &LineProposal, typed: &FactOptions) -> Result<(), Halt> {
    if proposal.parcels.len() < 2 || *typed == FactOptions::default() {
        return Ok(());
    }
    let parcels = counted(proposal.parcels.len(), "parcel");
    Err(Halt::usage(format!("a tag, a weight and the like are of one parcel; these are {parcels}"))
        .hint("line up the others by themselves, or say it of each with `slipwright ledger note`"))
}

/// Refuses a line that another station has changed meanwhile: the tags were made for it as it was.
fn refuse_moved(act: &Act<'_>, known: Option<u32>) -> Result<(), Halt> {
    let now = match act.open_sitting()? {
        Some(sitting) => Some(act.line(sitting)?.next_number()),
        None => None,
    };
    if now == known {
        return Ok(());
    }
    Err(Halt::refused("another station has lined up parcels at this moment")
        .hint("give the command again"))
}

/// Lines up what was proposed; begins a sitting when none is open.
fn enter(
    act: &mut Act<'_>,
    proposal: &LineProposal,
    facts: &Facts,
    name: &str,
) -> Result<BenchLine, Halt> {
    let mut line = match act.open_sitting()? {
        Some(sitting) => act.line(sitting)?,
        None => act.begin_sitting(name)?,
    };
    for ProposedParcel { orders, tag } in &proposal.parcels {
        let tag = facts.tag.as_ref().unwrap_or(tag);
        let facts = Facts { tag: None, ..facts.clone() };
        line = act.line_up(line.sitting, orders, tag, facts)?;
    }
    Ok(line)
}

/// Tells what was lined up; `known` is the number that came next before.
fn tell(
    open: &OpenLedger,
    orders: &[OrderNow],
    known: Option<u32>,
    after: &BenchLine,
    shop: Option<&Shop>,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    if known.is_none() {
        answer.line(&format!("sitting {} `{}` begins", after.sitting, after.name));
    }
    let first = known.unwrap_or(1);
    for parcel in after.parcels().filter(|parcel| parcel.number >= first) {
        let mut told = vec![parcel.orders.join(" + ")];
        if let Some(order) = orders.iter().find(|order| Some(&order.id) == parcel.orders.first()) {
            let words = OrderWords::read(&open.text_of(order)?);
            told.extend([words.name.clone(), words.place(), words.what()]);
        }
        told.push(fact_words(&parcel.facts));
        told.retain(|part| !part.is_empty());
        answer.line(&format!("{}: {}", parcel_words(parcel), told.join(", ")));
    }
    for parcel in after.parcels().filter(|parcel| parcel.number >= first) {
        tell_weights(open, parcel, answer)?;
    }
    tell_mates(open, after, first, shop, answer)?;
    let count = after.parcels().filter(|parcel| parcel.number >= first).count();
    answer.line(&format!("{} lined up", counted(count, "parcel")));
    answer.put("began", json!(known.is_none()));
    answer.put("sitting", sitting_json(after));
    answer.put("parcels", line_json(after, |parcel| parcel.number >= first));
    Ok(())
}
