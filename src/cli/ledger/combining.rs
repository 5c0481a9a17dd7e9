//! `slipwright ledger join` and `part`: orders that share a parcel.
//!
//! Whoever joins or parts changes what the parcel holds, so what the scale said of it and what was
//! declared of it hold no longer; both are told, and both can be said anew at once.

use super::super::arguments::ledger::{JoinArguments, LedgerOptions, PartArguments};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::answer::LedgerAnswer;
use super::changed::{how_to_weigh, put_parcels, tell_papers, tell_weights};
use super::facts::read_facts;
use super::open::OpenLedger;
use super::order_words::OrderWords;
use super::proposing::read_texts;
use super::shop_file::read_shop_file;
use super::shown::parcel_words;
use super::what::find_waiting;
use crate::batch::{Batch, BatchOptions};
use crate::ledger::{BenchLine, Event, Facts, LineParcel, LineRefusal, OrderNow};
use crate::shop::Shop;
use crate::source::Sources;

/// Lets waiting orders join a parcel.
pub(super) fn run_join(options: &LedgerOptions, arguments: &JoinArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let shop = read_shop_file(options, &arguments.shop)?;
    let facts = read_facts(&arguments.facts, shop.as_ref())?;
    let orders = find_waiting(&open, &arguments.orders)?;
    let number = arguments.number;
    let line = open.expect_line()?;
    let parcel = line.parcel(number).ok_or(LineRefusal::NoParcel(number))?;
    if !arguments.elsewhere {
        refuse_strangers(&open, parcel, &orders, shop.as_ref())?;
    }
    let done = open.act("join", &arguments.act, |act| {
        let sitting = act.expect_sitting()?;
        for order in &orders {
            act.join(sitting, number, &order.id)?;
        }
        if facts != Facts::default() {
            act.happen(sitting, Event::Noted { number, facts: facts.clone() })?;
        }
        Ok(act.line(sitting)?)
    })?;
    let mut answer = LedgerAnswer::of_act("join", options, &arguments.act);
    if let Some(after) = answer.take(done) {
        let joined: Vec<&str> = orders.iter().map(|order| &*order.id).collect();
        let parcel = after.parcel(number).ok_or(LineRefusal::NoParcel(number))?;
        answer.line(&format!("{} has {} now", parcel_words(parcel), parcel.orders.join(" + ")));
        answer.put("joined", joined);
        tell_of_contents(&open, &line, &after, number, &mut answer)?;
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// Parts an order from its parcel.
pub(super) fn run_part(options: &LedgerOptions, arguments: &PartArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let (number, order) = (arguments.number, arguments.order.trim());
    let before = open.expect_line()?;
    let done = open.act("part", &arguments.act, |act| {
        let sitting = act.expect_sitting()?;
        Ok(act.happen(sitting, Event::Parted { number, order: order.into() })?)
    })?;
    let mut answer = LedgerAnswer::of_act("part", options, &arguments.act);
    if let Some(after) = answer.take(done) {
        let parcel = after.parcel(number).ok_or(LineRefusal::NoParcel(number))?;
        let left = parcel.orders.join(" + ");
        answer.line(&format!("{order} waits again; {} has {left}", parcel_words(parcel)));
        answer.put("parted", order);
        tell_of_contents(&open, &before, &after, number, &mut answer)?;
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// Refuses orders that could not share the parcel by the rules of combining.
fn refuse_strangers(
    open: &OpenLedger,
    parcel: &LineParcel,
    orders: &[OrderNow],
    shop: Option<&Shop>,
) -> Result<(), Halt> {
    let Some(first) = parcel.orders.first() else { return Ok(()) };
    let text =
        |id: &str| -> Result<String, Halt> { Ok(open.ledger.order_json(id)?.unwrap_or_default()) };
    for order in orders {
        let texts = [text(first)?, text(&order.id)?];
        let mut sources = Sources::new();
        let read = read_texts(&texts, &mut sources)?;
        let options = BatchOptions { combine: true, ..BatchOptions::default() };
        let mut findings = Vec::new();
        let batch = Batch::assemble(None, read, shop, options, &mut findings);
        if batch.parcels.len() > 1 {
            let (id, parcel) = (&order.id, parcel_words(parcel));
            let to = |json: &str| {
                let words = OrderWords::read(json);
                format!("{}, {}", words.name, words.place())
            };
            return Err(Halt::refused(format!(
                "the order `{id}` cannot simply share parcel {parcel}"
            ))
            .hint(format!("it goes to {}; the parcel to {}", to(&texts[1]), to(&texts[0])))
            .hint("address, service, hazards, gift and currency must be the same")
            .hint("if it is right all the same: `--elsewhere`"));
        }
    }
    Ok(())
}

/// Tells what no longer holds of a parcel whose contents changed, and which weights its orders give.
fn tell_of_contents(
    open: &OpenLedger,
    before: &BenchLine,
    after: &BenchLine,
    number: u32,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    let (Some(old), Some(new)) = (before.parcel(number), after.parcel(number)) else {
        return Ok(());
    };
    let weigh = how_to_weigh(number);
    match (old.facts.weight_g, new.facts.weight_g) {
        (Some(was), None) => {
            answer.line(&format!("the {was} g were of other contents; weigh it again: {weigh}"));
        }
        (_, Some(_)) => {}
        (None, None) => tell_weights(open, new, answer)?,
    }
    if let (Some(was), None) = (&old.facts.hazard, &new.facts.hazard) {
        let note = format!("`slipwright ledger note {number} --hazard WORDS`");
        answer.line(&format!("`{was}` was declared of other contents; declare it again: {note}"));
    }
    tell_papers(answer, new);
    put_parcels(answer, after, &[number]);
    Ok(())
}
