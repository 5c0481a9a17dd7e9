//! `slipwright ledger take-off` and `set-aside`: parcels leave the line, waiting orders the ledger.
//!
//! A number stays empty: no other parcel ever gets it.

use serde_json::{Value, json};

use super::super::arguments::ledger::{LedgerOptions, SetAsideArguments, TakeOffArguments};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::answer::LedgerAnswer;
use super::changed::put_parcels;
use super::open::OpenLedger;
use super::shown::parcel_told;
use super::typed::read_words;
use super::what::{find_one_order, find_parcel, refuse_two_meanings};
use crate::ledger::{BenchLine, Event, OrderNow, OrderPlace};

/// What is taken off.
#[derive(Default)]
struct Leaving {
    /// Parcels of the line, by their numbers.
    numbers: Vec<u32>,
    /// Orders that are in no line.
    orders: Vec<OrderNow>,
}

/// Takes parcels and waiting orders off.
pub(super) fn run_take_off(
    options: &LedgerOptions,
    arguments: &TakeOffArguments,
) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let reason = read_reason(&arguments.why.because)?;
    let leaving = find_leaving(&open, arguments)?;
    let done = open.act("take-off", &arguments.act, |act| {
        for order in &leaving.orders {
            act.cancel(&order.id, reason)?;
        }
        let mut line = None;
        for &number in &leaving.numbers {
            let sitting = act.expect_sitting()?;
            line = Some(act.happen(sitting, Event::TakenOff { number, reason: reason.into() })?);
        }
        Ok(line)
    })?;
    let mut answer = LedgerAnswer::of_act("take-off", options, &arguments.act);
    if let Some(after) = answer.take(done) {
        for order in &leaving.orders {
            answer.line(&format!("{} is taken off: {reason}", order.id));
        }
        if let Some(after) = &after {
            tell_out(after, &leaving.numbers, reason, &mut answer);
        }
        let orders: Vec<Value> = leaving.orders.iter().map(|it| json!(it.id)).collect();
        answer.put("orders_taken_off", orders);
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// Sets parcels aside for another sitting.
pub(super) fn run_set_aside(
    options: &LedgerOptions,
    arguments: &SetAsideArguments,
) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let reason = read_reason(&arguments.why.because)?;
    let done = open.act("set-aside", &arguments.act, |act| {
        let sitting = act.expect_sitting()?;
        for &number in &arguments.numbers {
            act.happen(sitting, Event::SetAside { number, reason: reason.into() })?;
        }
        Ok(act.line(sitting)?)
    })?;
    let mut answer = LedgerAnswer::of_act("set-aside", options, &arguments.act);
    if let Some(after) = answer.take(done) {
        tell_out(&after, &arguments.numbers, reason, &mut answer);
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// A reason that lists can show.
///
/// # Errors
/// When it is empty, has several lines or cannot be printed as it stands.
pub(super) fn read_reason(typed: &str) -> Result<&str, Halt> {
    read_words("the reason", typed)
}

/// What the words of a seller take off: a number or a pair code is a parcel of the open line, all else an
/// order.
fn find_leaving(open: &OpenLedger, arguments: &TakeOffArguments) -> Result<Leaving, Halt> {
    let line = open.open_line()?;
    let mut leaving = Leaving::default();
    let fits = |place: &OrderPlace| matches!(place, OrderPlace::Waiting | OrderPlace::Doubted(_));
    for words in &arguments.what {
        let words = words.trim();
        let order = open.ledger.order(words)?;
        match line.as_ref().and_then(|line| Some((line, find_parcel(line, words)?))) {
            Some((line, parcel)) => {
                let order = order.filter(|order| may_leave(&order.place));
                refuse_two_meanings(words, line.sitting, parcel, order.as_ref())?;
                leaving.numbers.push(parcel.number);
            }
            None => leaving.orders.push(find_one_order(open, words, fits)?),
        }
    }
    for id in &arguments.order {
        let order = find_one_order(open, id, may_leave)?;
        match alone_in(line.as_ref(), &order) {
            Some(number) => leaving.numbers.push(number),
            None => leaving.orders.push(order),
        }
    }
    for order in &leaving.orders {
        refuse_in_line(order)?;
    }
    Ok(leaving)
}

/// Whether an order can be taken off where it is.
fn may_leave(place: &OrderPlace) -> bool {
    matches!(place, OrderPlace::Waiting | OrderPlace::Doubted(_) | OrderPlace::InLine(..))
}

/// The number of the parcel of the open line that has an order and nothing else; none where it shares one,
/// or lies in none.
fn alone_in(line: Option<&BenchLine>, order: &OrderNow) -> Option<u32> {
    let OrderPlace::InLine(sitting, number) = order.place else { return None };
    let parcel = line.filter(|line| line.sitting == sitting)?.parcel(number)?;
    (parcel.orders.len() == 1).then_some(number)
}

/// Refuses an order that lies in a parcel with others, with what can be done.
fn refuse_in_line(order: &OrderNow) -> Result<(), Halt> {
    let OrderPlace::InLine(_, number) = order.place else { return Ok(()) };
    let (id, place) = (&order.id, &order.place);
    Err(Halt::refused(format!("the order `{id}` is {place}"))
        .hint(format!(
            "take the parcel off: `slipwright ledger take-off {number} --because REASON`"
        ))
        .hint(format!("or part it from the others first: `slipwright ledger part {number} {id}`")))
}

/// Tells which parcels are out.
fn tell_out(after: &BenchLine, numbers: &[u32], reason: &str, answer: &mut LedgerAnswer) {
    for parcel in numbers.iter().filter_map(|&number| after.parcel(number)) {
        let (named, state) = (parcel_told(parcel), parcel.state.word());
        answer.line(&format!("{named} is {state}: {reason}; its number stays empty"));
        if !parcel.papers.is_empty() {
            answer.line(&format!("throw its label and card away: {}", parcel.tag));
        }
    }
    put_parcels(answer, after, numbers);
}
