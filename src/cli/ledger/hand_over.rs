//! `slipwright ledger hand-over` and `close`: parcels that go, and the end of an evening.

use serde_json::Value;

use super::super::arguments::ledger::{CloseArguments, HandOverArguments, LedgerOptions};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::line::TornParcel;
use super::answer::LedgerAnswer;
use super::changed::put_parcels;
use super::news::{lies_in, tell_news};
use super::open::OpenLedger;
use super::outdated::{LineTrouble, find_trouble};
use super::shown::{line_json, parcel_words, sitting_json, tell_states};
use super::take_off::read_reason;
use crate::ledger::{BenchLine, Event, LineParcel, ParcelState, SentOrders};
use crate::words::{counted, list_ranges};

/// Hands parcels over.
pub(super) fn run(options: &LedgerOptions, arguments: &HandOverArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let mut answer = LedgerAnswer::of_act("hand-over", options, &arguments.act);
    let line = open.expect_line()?;
    let sitting = line.sitting;
    let trouble = find_trouble(&open, &line, options);
    let did = open.act("hand-over", &arguments.act, |act| {
        let mut line = act.line(sitting)?;
        let numbers = match arguments.all_matched {
            true => matched_numbers(&line, &trouble)?,
            false => arguments.numbers.clone(),
        };
        for &number in &numbers {
            line = act.happen(sitting, Event::HandedOver { number })?;
        }
        Ok((numbers, line))
    })?;
    if let Some((numbers, line)) = answer.take(did) {
        let stays = |torn: &&TornParcel| {
            !numbers.contains(&torn.number) && line.parcel(torn.number).is_some_and(is_matched)
        };
        let staying = trouble.torn.iter().filter(stays).map(TornParcel::to_json);
        let staying: Vec<Value> = staying.collect();
        if arguments.all_matched && !staying.is_empty() {
            answer.put("disagree", staying);
        }
        // Whoever names a parcel sends it; nobody sends by one key what no longer belongs together.
        for torn in &trouble.torn {
            let (words, says) = (line.parcel(torn.number).map(parcel_words), torn.says());
            let words = words.unwrap_or_default();
            match numbers.contains(&torn.number) {
                true => answer.line(&format!("the orders of {words} did not agree: {says}")),
                false if arguments.all_matched && stays(&torn) => {
                    answer.line(&format!("{words} stays: its orders no longer agree ({says}):"));
                    torn.ways_out().iter().for_each(|way| answer.line(&format!("  {way}")));
                }
                false => {}
            }
        }
        tell_handed_over(&mut answer, &numbers, &line);
        for (number, changes) in
            trouble.outdated.iter().filter(|(number, _)| numbers.contains(number))
        {
            let parcel = line.parcel(*number).map(parcel_words).unwrap_or_default();
            let changes = changes.join("; ");
            answer.line(&format!("the papers of {parcel} were out of date: {changes}"));
        }
        tell_news(&open, &mut answer, |news| lies_in(news, sitting, &numbers))?;
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// Whether a parcel is matched and still here.
fn is_matched(parcel: &LineParcel) -> bool {
    parcel.state == ParcelState::Matched
}

/// The numbers of all parcels that are matched and whose orders agree.
fn matched_numbers(line: &BenchLine, trouble: &LineTrouble) -> Result<Vec<u32>, Halt> {
    let matched: Vec<u32> =
        line.parcels().filter(|it| is_matched(it)).map(|parcel| parcel.number).collect();
    let (torn, numbers): (Vec<u32>, Vec<u32>) =
        matched.into_iter().partition(|&number| trouble.torn(number).is_some());
    let first_torn = torn.first().and_then(|&number| trouble.torn(number));
    match (numbers.is_empty(), first_torn) {
        (true, Some(torn)) => {
            let (number, tag, says) = (torn.number, &torn.tag, torn.says());
            let message = format!("the orders of parcel {number} `{tag}` no longer agree ({says})");
            let halt = Halt::refused(message);
            Err(torn.ways_out().into_iter().fold(halt, |halt, way| halt.hint(way)))
        }
        (true, None) => Err(Halt::refused("no parcel is matched and still here")
            .hint("match cards and labels first: `slipwright ledger match`")),
        (false, _) => Ok(numbers),
    }
}

/// Tells what went and what stays.
fn tell_handed_over(answer: &mut LedgerAnswer, numbers: &[u32], line: &BenchLine) {
    let mut sorted: Vec<usize> =
        numbers.iter().filter_map(|it| usize::try_from(*it).ok()).collect();
    sorted.sort_unstable();
    let went = counted(numbers.len(), "parcel");
    answer.line(&format!("{went} handed over: {}", list_ranges(&sorted)));
    put_parcels(answer, line, numbers);
    let left: Vec<&LineParcel> = line.parcels().filter(|it| it.state.is_open()).collect();
    if !left.is_empty() {
        let named = left.iter().map(|it| format!("{} ({})", parcel_words(it), it.state.word()));
        let named: Vec<String> = named.collect();
        answer.line(&format!("still here: {}", named.join(", ")));
    }
    answer.put("left", line_json(line, |parcel| parcel.state.is_open()));
}

/// Closes the sitting.
pub(super) fn close(options: &LedgerOptions, arguments: &CloseArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let mut answer = LedgerAnswer::of_act("close", options, &arguments.act);
    let sitting = open.expect_line()?.sitting;
    let leave = arguments.leave.as_deref().map(read_reason).transpose()?;
    let did = open.act("close", &arguments.act, |act| Ok(act.close(sitting, leave)?))?;
    if let Some(line) = answer.take(did) {
        answer.line(&format!("sitting {} `{}` is closed", line.sitting, line.name));
        answer.line(&tell_states(&line));
        let waiting = open.ledger.orders_in("waiting")?.len();
        if waiting > 0 {
            let verb = if waiting == 1 { "waits" } else { "wait" };
            answer.line(&format!("{} {verb} for the next", counted(waiting, "order")));
        }
        let untold = open.ledger.sent(SentOrders::Untold)?.len();
        if untold > 0 {
            answer.line(&format!(
                "the shop is yet to be told of {}: `slipwright ledger tell-shop`",
                counted(untold, "order")
            ));
        }
        answer.put("sitting", sitting_json(&line));
        answer.put("waiting", waiting);
        answer.put("untold", untold);
    }
    answer.show()?;
    Ok(Exit::Done)
}
