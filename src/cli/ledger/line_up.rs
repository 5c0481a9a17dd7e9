//! `slipwright ledger line-up`: waiting orders become parcels at the end of the line.

use std::collections::HashSet;

use serde_json::{Value, json};

use super::super::arguments::ledger::{ActOptions, FactOptions, LedgerOptions, LineUpArguments};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::line::LineInputs;
use super::answer::{LedgerAnswer, show_found};
use super::changed::{put_parcels, tell_weights};
use super::computed::{AskedParcels, Computed};
use super::facts::{judge_typed, read_facts};
use super::mates::tell_mates;
use super::news::{lies_in, news_words, tell_news};
use super::open::{OpenLedger, time_of};
use super::proposing::{LineProposal, ProposedParcel, propose};
use super::shop_file::{place_of, shop_beside};
use super::typed::read_words;
use super::what::find_waiting;
use crate::ledger::{Act, BenchLine, Facts, LedgerError, LineParcel, OrderNow};
use crate::pairs::BatchKey;
use crate::words::counted;

/// Lines up orders.
pub(super) fn run(options: &LedgerOptions, arguments: &LineUpArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let (orders, left_out) = match arguments.all {
        true => waiting_that_go(&open)?,
        false => (find_waiting(&open, &arguments.orders)?, Vec::new()),
    };
    let line = open.open_line()?;
    refuse_other_sitting(line.as_ref(), arguments.sitting.as_deref())?;
    let mut answer = LedgerAnswer::of_act("line-up", options, &arguments.act);
    if orders.is_empty() {
        answer.line(match left_out.is_empty() {
            true => "no order waits: nothing is lined up",
            false => "no other order waits: nothing is lined up",
        });
        tell_left_out(&open, &left_out, &mut answer)?;
        answer.put("parcels", Vec::<Value>::new());
        answer.show()?;
        return Ok(Exit::Done);
    }
    let known = line.as_ref().map(BenchLine::next_number);
    let name = sitting_name(arguments)?;
    let line = line.unwrap_or_else(|| imagine_line(&name, &arguments.act));
    let beside = shop_beside(options);
    let mut source = LineInputs::read(&open.ledger, line, place_of(&arguments.shop, &beside))?;
    let facts = read_facts(&arguments.facts, source.inputs.shop.as_ref())?;
    if let Some(tag) = &facts.tag {
        judge_typed(&source, tag, None, &mut answer)?;
    }
    let proposal = propose(&open, &mut source, &orders, arguments.combine)?;
    refuse_facts_of_many(&proposal, &arguments.facts)?;
    let done = open.act("line-up", &arguments.act, |act| {
        refuse_moved(act, known)?;
        enter(act, &proposal, &facts, &name)
    })?;
    show_found(&proposal.findings, &proposal.sources, options);
    if let Some(after) = answer.take(done) {
        let lined_up = LinedUp { known, after: &after };
        lined_up.tell(&open, options, arguments, &mut answer)?;
        tell_left_out(&open, &left_out, &mut answer)?;
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// All orders that wait, without those that the shop's export calls cancelled; and those.
///
/// # Errors
/// Those of the ledger.
fn waiting_that_go(open: &OpenLedger) -> Result<(Vec<OrderNow>, Vec<OrderNow>), Halt> {
    let news = open.ledger.news()?;
    let called_off: HashSet<&str> =
        news.iter().filter(|news| news.called_off.is_some()).map(|news| &*news.order.id).collect();
    let waiting = open.ledger.orders_in("waiting")?;
    Ok(waiting.into_iter().partition(|order| !called_off.contains(&*order.id)))
}

/// Tells which orders were left out of the line, and what can be done.
///
/// # Errors
/// Those of the ledger.
fn tell_left_out(
    open: &OpenLedger,
    left_out: &[OrderNow],
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    answer.put("left_out", left_out.iter().map(|order| json!(order.id)).collect::<Vec<_>>());
    let Some(first) = left_out.first() else { return Ok(()) };
    answer.line(&format!("{} left out:", counted(left_out.len(), "order")));
    for news in open.ledger.news()? {
        if left_out.iter().any(|order| order.id == news.order.id) {
            answer.line(&format!("  {}", news_words(open, &news)?));
        }
    }
    answer.line(&format!(
        "take off what does not go; what goes all the same is lined up by its id: `slipwright ledger \
         line-up {}`",
        first.id
    ));
    Ok(())
}

/// The line of a sitting that is yet to begin, for what is proposed before it does.
fn imagine_line(name: &str, act: &ActOptions) -> BenchLine {
    let at = time_of(act);
    let key = BatchKey::of_sitting(name, 0, at.seconds(), 0, |_| false);
    BenchLine::open(0, name, key, at)
}

/// The name of a sitting that begins.
///
/// # Errors
/// When it cannot be printed as it stands.
fn sitting_name(arguments: &LineUpArguments) -> Result<String, Halt> {
    match arguments.sitting.as_deref().filter(|name| !name.trim().is_empty()) {
        Some(name) => Ok(read_words("the sitting's name", name)?.to_owned()),
        None => Ok(time_of(&arguments.act).date()),
    }
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
        line = act
            .line_up(line.sitting, orders, tag, facts)
            .map_err(|refused| name_orders(refused, orders))?;
    }
    Ok(line)
}

/// A refusal that says which orders have the tracking number of another parcel.
fn name_orders(refused: LedgerError, orders: &[Box<str>]) -> Halt {
    let is_number = matches!(refused, LedgerError::TrackingUsed { .. });
    let halt = Halt::from(refused);
    match is_number {
        true => halt.hint(format!(
            "it stands in the order `{}`: take that in once more with its own, or without one",
            orders.join(" + ")
        )),
        false => halt,
    }
}

/// What the new parcels are, for the answer.
struct LinedUp<'a> {
    /// The number that came next before; none when no sitting was open.
    known: Option<u32>,
    /// The line now.
    after: &'a BenchLine,
}

impl LinedUp<'_> {
    /// Puts the new parcels into the answer, with what the shop's rules make of them.
    fn tell(
        &self,
        open: &OpenLedger,
        options: &LedgerOptions,
        arguments: &LineUpArguments,
        answer: &mut LedgerAnswer,
    ) -> Result<(), Halt> {
        let LinedUp { known, after } = *self;
        if known.is_none() {
            answer.line(&format!("sitting {} `{}` begins", after.sitting, after.name));
        }
        let first = known.unwrap_or(1);
        let new: Vec<&LineParcel> =
            after.parcels().filter(|parcel| parcel.number >= first).collect();
        let numbers: Vec<u32> = new.iter().map(|parcel| parcel.number).collect();
        let question = AskedParcels { open, line: after, numbers: &numbers };
        let computed = Computed::ask(&question, &arguments.shop, options)?;
        computed.show(options, answer);
        answer.table(&computed.table());
        for parcel in &new {
            tell_weights(open, parcel, answer)?;
        }
        tell_mates(open, after, first, computed.shop(), answer)?;
        answer.line(&format!("{} lined up", counted(new.len(), "parcel")));
        tell_news(open, answer, |news| lies_in(news, after.sitting, &numbers))?;
        answer.put("began", json!(known.is_none()));
        put_parcels(answer, after, &numbers);
        Ok(())
    }
}
