//! `slipwright ledger hand-over` and `close`: parcels that go, and the end of an evening.

use std::collections::BTreeMap;

use serde_json::json;

use super::super::arguments::ledger::{
    ActOptions, CloseArguments, HandOverArguments, LedgerOptions,
};
use super::super::clock::now;
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::inputs::ShopPlace;
use super::answer::LedgerAnswer;
use super::carrying::read_carried;
use super::changed::put_parcels;
use super::news::{lies_in, tell_news};
use super::open::OpenLedger;
use super::outdated::{LineTrouble, find_trouble, tell_outdated};
use super::shop_file::shop_beside;
use super::shown::{line_json, parcel_words, sitting_json, tell_states};
use super::take_off::read_reason;
use crate::ledger::{BenchLine, Event, LineParcel, Moment, ParcelState, SentOrders};
use crate::words::{counted, list_ranges, list_words};

/// The seconds of a minute.
const MINUTE: i64 = 60;
/// The seconds of a day, for clocks that go by another zone.
const DAY: i64 = 24 * 60 * MINUTE;

/// Hands parcels over.
pub(super) fn run(options: &LedgerOptions, arguments: &HandOverArguments) -> Result<Exit, Halt> {
    let mut open = OpenLedger::open(options)?;
    let mut answer = LedgerAnswer::of_act("hand-over", options, &arguments.act);
    let line = open.expect_line()?;
    let sitting = line.sitting;
    let trouble = find_trouble(&open, &line, options);
    let objections = match arguments.as_printed {
        true => BTreeMap::new(),
        false => find_objections(&open, &line, &trouble)?,
    };
    let beside = shop_beside(options);
    // Without the shop file there is no more to keep than what was noted.
    let shop = ShopPlace { named: None, beside: &beside };
    let mut carried = read_carried(&open, line, shop).unwrap_or_default();
    let did = open.act("hand-over", &arguments.act, |act| {
        let mut line = act.line(sitting)?;
        let numbers = match arguments.all_matched {
            true => matched_numbers(&line)?,
            false => arguments.numbers.clone(),
        };
        let (kept, going): (Vec<u32>, Vec<u32>) =
            numbers.into_iter().partition(|number| objections.contains_key(number));
        for &number in &going {
            refuse_other_time(&arguments.act, line.parcel(number))?;
            let carried = carried.remove(&number).map(Box::new);
            line = act.happen(sitting, Event::HandedOver { number, carried })?;
        }
        Ok(HandedOver { going, kept, line })
    })?;
    let mut exit = Exit::Done;
    if let Some(HandedOver { going, kept, line }) = answer.take(did) {
        tell_handed_over(&mut answer, &going, &line);
        tell_kept(&mut answer, &kept, &objections);
        exit = if kept.is_empty() { Exit::Done } else { Exit::Findings };
        let named: Vec<u32> = going.into_iter().chain(kept).collect();
        tell_outdated(&trouble.outdated, &line, &mut answer, |number| named.contains(&number));
        tell_news(&open, &mut answer, |news| lies_in(news, sitting, &named))?;
    }
    answer.show()?;
    Ok(exit)
}

/// What came of handing over.
struct HandedOver {
    /// The numbers of the parcels that went.
    going: Vec<u32>,
    /// The numbers of those that did not, because something speaks against it.
    kept: Vec<u32>,
    /// How the bench looks then.
    line: BenchLine,
}

/// Refuses to hand a parcel over at a time that was given and cannot be right: before its papers were
/// printed, or more than a day after whatever happened to it last and after this machine's clock.
fn refuse_other_time(options: &ActOptions, parcel: Option<&LineParcel>) -> Result<(), Halt> {
    let (Some(at), Some(parcel)) = (options.at, parcel) else { return Ok(()) };
    let words = |at: Moment| format!("{} {}", at.date(), at.clock());
    let named = parcel_words(parcel);
    // A time is typed to the minute.
    if let Some(printed) = parcel.printed.filter(|it| at.seconds() + MINUTE <= it.seconds()) {
        let (at, printed) = (words(at), words(printed));
        let message = format!("{named} cannot have gone on {at}: it was printed on {printed}");
        return Err(Halt::usage(message).hint("look at the day and the time after `--at`"));
    }
    if at.seconds() > now().seconds().max(parcel.since.seconds()) + DAY {
        let message = format!("{named} cannot have gone on {}: that day is to come", words(at));
        return Err(Halt::usage(message).hint("look at the day and the time after `--at`"));
    }
    Ok(())
}

/// What speaks against handing a parcel over, and what can be done.
struct Objection {
    /// Of which one.
    parcel: String,
    /// What it is.
    why: String,
    /// The ways out.
    hints: Vec<String>,
}

/// What speaks against handing over matched parcels, by number: orders that no longer agree, papers that say
/// what is no longer so, and orders that the shop no longer sends.
fn find_objections(
    open: &OpenLedger,
    line: &BenchLine,
    trouble: &LineTrouble,
) -> Result<BTreeMap<u32, Objection>, Halt> {
    let news = open.ledger.news()?;
    let mut objections = BTreeMap::new();
    for parcel in line.parcels().filter(|parcel| parcel.state == ParcelState::Matched) {
        let number = parcel.number;
        let called_off: Vec<&str> = news
            .iter()
            .filter(|it| it.called_off.is_some() && lies_in(it, line.sitting, &[number]))
            .map(|it| &*it.order.id)
            .collect();
        let as_printed = format!("`slipwright ledger hand-over {number} --as-printed`");
        let outdated = trouble.outdated.contains_key(&number);
        let (why, hints) = match (&called_off[..], trouble.torn(number), outdated) {
            ([], None, false) => continue,
            ([], None, true) => (
                "its papers are out of date".to_owned(),
                vec![format!(
                    "print them and match it again: `slipwright ledger print`; or, if it goes as it \
                     is: {as_printed}"
                )],
            ),
            ([], Some(torn), _) => {
                let mut hints = torn.ways_out();
                hints.push(format!("or, if it goes as it is: {as_printed}"));
                (format!("its orders no longer agree ({})", torn.says()), hints)
            }
            (ids, ..) => (
                format!(
                    "the shop's export calls {} cancelled or leaves it out",
                    list_words(ids.iter().copied())
                ),
                vec![format!(
                    "take it off: `slipwright ledger take-off {number} --because cancelled`; or, if \
                     it goes all the same: {as_printed}"
                )],
            ),
        };
        objections.insert(number, Objection { parcel: parcel_words(parcel), why, hints });
    }
    Ok(objections)
}

/// Tells which parcels stay, why, and what can be done.
fn tell_kept(answer: &mut LedgerAnswer, kept: &[u32], objections: &BTreeMap<u32, Objection>) {
    let mut told = Vec::new();
    for (number, Objection { parcel, why, hints }) in
        kept.iter().filter_map(|number| Some((number, objections.get(number)?)))
    {
        answer.line(&format!("{parcel} stays: {why}"));
        hints.iter().for_each(|hint| answer.line(&format!("  {hint}")));
        told.push(json!({"number": number, "says": format!("{parcel} stays: {why}")}));
    }
    answer.put("kept_back", told);
}

/// Whether a parcel is matched and still here.
fn is_matched(parcel: &LineParcel) -> bool {
    parcel.state == ParcelState::Matched
}

/// The numbers of all parcels that are matched.
fn matched_numbers(line: &BenchLine) -> Result<Vec<u32>, Halt> {
    let numbers: Vec<u32> =
        line.parcels().filter(|it| is_matched(it)).map(|parcel| parcel.number).collect();
    match numbers.is_empty() {
        true => Err(Halt::refused("no parcel is matched and still here")
            .hint("match cards and labels first: `slipwright ledger match`")),
        false => Ok(numbers),
    }
}

/// Tells what went and what stays.
fn tell_handed_over(answer: &mut LedgerAnswer, numbers: &[u32], line: &BenchLine) {
    let mut sorted: Vec<usize> =
        numbers.iter().filter_map(|it| usize::try_from(*it).ok()).collect();
    sorted.sort_unstable();
    answer.line(&match sorted.is_empty() {
        true => "no parcel is handed over".to_owned(),
        false => {
            let went = counted(numbers.len(), "parcel");
            format!("{went} handed over: {}", list_ranges(&sorted))
        }
    });
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
        tell_news(&open, &mut answer, |news| news.told.is_some())?;
        answer.put("sitting", sitting_json(&line));
        answer.put("waiting", waiting);
        answer.put("untold", untold);
    }
    answer.show()?;
    Ok(Exit::Done)
}
