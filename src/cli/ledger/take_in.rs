//! `slipwright ledger take-in`: orders or a shop's export into the ledger.
//!
//! In: orders JSON, or an export with its map. Out: for every order what it is to the ledger: new,
//! changed, known, gone before, held back. One faulty order stops all, unless its rows are to go aside. Not
//! here: what an order is made of (`orders`, `intake`), and when two are one (`ledger`). Long, as each of
//! these has its words here.

use std::io;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::super::arguments::ledger::{LedgerOptions, TakeInArguments};
use super::super::aside::OpenAside;
use super::super::exit::Exit;
use super::super::export_file::Export;
use super::super::halt::Halt;
use super::super::inputs::read_orders_text;
use super::super::intake::{open_aside, read_map, stop_intake};
use super::super::output::{cannot_write, let_appear, show_path};
use super::super::report::count_findings;
use super::super::terminal;
use super::answer::{LedgerAnswer, how_shown};
use super::changed::{redeclare_words, reweigh_words};
use super::open::{Did, OpenLedger};
use super::order_words::OrderWords;
use super::outdated::tell_torn_of;
use super::shown::parcel_words;
use crate::findings::{Finding, Severity, has_errors, rules};
use crate::intake::{Intake, IntakeError, IntakeOutput, take_in_with};
use crate::ledger::{Arrival, Arrived, Difference, News, OrderNow, OrderPlace};
use crate::orders::{Orders, read_orders};
use crate::source::Sources;
use crate::verify::ProofTally;
use crate::words::{counted, shorten};

/// The most orders of a kind that are named to people; programs are told all.
const NAMED: usize = 40;

/// Orders that were read, with the text they stand in.
struct ReadOrders {
    /// All texts, for messages.
    sources: Sources,
    /// What came in.
    orders: Orders,
    /// The ids of those that do not go by what an export says.
    not_going: Vec<String>,
    /// The rows that something is wrong with, where there are some and they are to go aside.
    aside: Option<RowsAside>,
}

/// Rows of an export that something is wrong with, and that are not taken in.
struct RowsAside {
    /// Of how many orders they are.
    orders: usize,
    /// The file they go to.
    file: OpenAside,
}

/// What the ledger says of orders that came in.
struct TakenIn {
    /// What became of each.
    arrived: Vec<Arrived>,
    /// Orders that do not go by what the export says, and that wait or lie in the line.
    still_here: Vec<OrderNow>,
}

/// Takes orders in.
pub(super) fn run(options: &LedgerOptions, arguments: &TakeInArguments) -> Result<Exit, Halt> {
    let mut read = match &arguments.map {
        Some(map) => read_export(options, arguments, map)?,
        None => read_plain(&arguments.orders)?,
    };
    refuse_faults(&read)?;
    if arguments.orders == Path::new("-") {
        read.orders
            .orders
            .iter()
            .for_each(|it| arguments.act.ask(read.sources.slice(it.span()).as_bytes()));
    }
    terminal::show(&read.orders.findings, &read.sources, how_shown(options));
    let arrivals: Vec<Arrival<'_>> = read
        .orders
        .orders
        .iter()
        .map(|order| Arrival { id: order.id(), json: read.sources.slice(order.span()) })
        .collect();
    let aside = read.aside.take();
    // Rows that are nowhere are lost; rows that stand in a file beside their order are not.
    let kept = aside.map(|aside| keep_aside(aside, arguments.act.dry_run)).transpose()?;
    let mut open = match arguments.act.dry_run {
        true => OpenLedger::open_or_imagine(options)?,
        false => OpenLedger::open_or_create(options)?,
    };
    let done = open.act("take-in", &arguments.act, |act| {
        let arrived = act.take_in_knowing(&arrivals, &arguments.same)?;
        Ok(TakenIn { arrived, still_here: act.call_off(&read.not_going)? })
    })?;
    let mut answer = LedgerAnswer::of_act("take-in", options, &arguments.act);
    let news_use = match done {
        Did::Now(_) => NewsUse::Entered,
        Did::Rehearsed(_) | Did::Before(_) => NewsUse::Shown,
    };
    if let Some(taken) = answer.take(done) {
        tell(&open, &taken.arrived, news_use, &mut answer)?;
        tell_still_here(&open, &taken.still_here, &mut answer)?;
        let changed = |number: u32| taken.arrived.iter().any(|it| it.news.changes(number));
        tell_torn_of(&open, options, changed, &mut answer)?;
    }
    let Some(kept) = kept else {
        answer.show()?;
        return Ok(Exit::Done);
    };
    let (orders, path) = (counted(kept.orders, "order"), show_path(&kept.path));
    answer.line(&format!("set aside: {orders}, as they stand in the export, in {path}"));
    answer
        .put("rows_aside", json!({"orders": kept.orders, "file": kept.path.display().to_string()}));
    answer.show()?;
    Ok(Exit::Findings)
}

/// Rows that were set aside.
struct KeptRows {
    /// Of how many orders they are.
    orders: usize,
    /// The file they are in.
    path: PathBuf,
}

/// Lets the file of rows that are set aside appear; a dry run only tells of it.
fn keep_aside(aside: RowsAside, dry_run: bool) -> Result<KeptRows, Halt> {
    let RowsAside { orders, file: OpenAside { path, pending } } = aside;
    if !dry_run {
        let settled = pending.settle().map_err(|error| cannot_write(&path, &error))?;
        let_appear(vec![settled])?;
    }
    Ok(KeptRows { orders, path })
}

/// Reads orders JSON.
fn read_plain(path: &Path) -> Result<ReadOrders, Halt> {
    let (name, text) = read_orders_text(path)?;
    let mut sources = Sources::new();
    let file = sources.add(name, text);
    let orders = read_orders(sources.get(file).shared_text(), file);
    Ok(ReadOrders { sources, orders, not_going: Vec::new(), aside: None })
}

/// Reads a shop's export by its map.
fn read_export(
    options: &LedgerOptions,
    arguments: &TakeInArguments,
    map: &Path,
) -> Result<ReadOrders, Halt> {
    let path = &*arguments.orders;
    let mut sources = Sources::new();
    let read = read_map(map, &mut sources)?;
    terminal::show(&read.remarks, &sources, how_shown(options));
    let export = Export::open(path)?;
    let name = match path.to_str() {
        Some("-") => "standard input".into(),
        _ => path.to_string_lossy(),
    };
    let others = [(path, "the export"), (map, "the map"), (&*options.ledger, "the ledger")];
    let aside = arguments.set_aside.as_deref().map(|aside| open_aside(aside, &others));
    let mut aside = aside.transpose()?;
    let mut json = Vec::new();
    let rows = aside.as_mut().map(|aside| &mut aside.pending as &mut dyn io::Write);
    let output = IntakeOutput { orders: &mut json, aside: rows };
    let outcome = take_in_with(&read.map, &|| export.reopen(), &name, output, &mut sources);
    let unread = |error: io::Error| Halt::unreadable(&format!("`{name}`"), &error);
    let intake = outcome.map_err(|error| match error {
        IntakeError::Read(error) | IntakeError::Write(error) => unread(error),
    })?;
    export.settle().map_err(unread)?;
    if leaves_all_out(&intake) && options.ledger.exists() {
        return Ok(tell_all_left_out(intake, sources, options));
    }
    if intake.stopped {
        return Err(stop_intake(intake, &sources, "taken in"));
    }
    terminal::show(&intake.findings, &sources, how_shown(options));
    let text = String::from_utf8(json)
        .map_err(|_| Halt::usage(format!("the orders of `{name}` are not UTF-8 text")))?;
    let file = sources.add(format!("the orders of {name}"), text);
    let orders = read_orders(sources.get(file).shared_text(), file);
    let count = intake.set_aside;
    let aside = aside.filter(|_| count > 0).map(|file| RowsAside { orders: count, file });
    Ok(ReadOrders { sources, orders, not_going: intake.not_going, aside })
}

/// Whether an export has no order to take in because its map leaves all of them out, and is right in all else.
fn leaves_all_out(intake: &Intake) -> bool {
    let mut errors = intake.findings.iter().filter(|found| found.is_error()).peekable();
    errors.peek().is_some() && errors.all(|found| found.is(&rules::ALL_LEFT_OUT))
}

/// What such an export says of orders that are here already is news, though it brings none.
fn tell_all_left_out(intake: Intake, sources: Sources, options: &LedgerOptions) -> ReadOrders {
    let Intake { findings, not_going, .. } = intake;
    let soften = |found: Finding| match found.is(&rules::ALL_LEFT_OUT) {
        true => found.weighing(Severity::Warning),
        false => found,
    };
    let findings: Vec<Finding> = findings.into_iter().map(soften).collect();
    terminal::show(&findings, &sources, how_shown(options));
    ReadOrders { sources, orders: Orders::default(), not_going, aside: None }
}

/// Refuses orders with errors: what is wrong in one is mended before any is taken in.
fn refuse_faults(read: &ReadOrders) -> Result<(), Halt> {
    let findings = &read.orders.findings;
    if !has_errors(findings) {
        return Ok(());
    }
    let said = format!("nothing was taken in: {}", count_findings(findings));
    let halt = Halt::found(findings.clone(), ProofTally::default(), &read.sources).saying(said);
    Err(halt.ending_in(Exit::Usage))
}

/// What is done with the news of an export.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum NewsUse {
    /// They are entered, and papers grow old by them.
    Entered,
    /// They are only shown.
    Shown,
}

/// Tells what became of each order.
fn tell(
    open: &OpenLedger,
    arrived: &[Arrived],
    news_use: NewsUse,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    let kinds =
        KINDS.map(|kind| arrived.iter().filter(|it| NewsKind::of(&it.news) == kind).collect());
    let of = |kind: NewsKind| -> &Vec<&Arrived> {
        &kinds[KINDS.iter().position(|&it| it == kind).unwrap_or_default()]
    };
    let counts = KINDS.iter().filter(|kind| !of(**kind).is_empty());
    let counts: Vec<String> =
        counts.map(|kind| format!("{} {}", of(*kind).len(), kind.word())).collect();
    let orders = counted(arrived.len(), "order");
    answer.line(&match counts.is_empty() {
        true => format!("{orders}: nothing to take in"),
        false => format!("{orders}: {}", counts.join(", ")),
    });
    for kind in KINDS {
        let told: Vec<Value> = of(kind).iter().map(|it| arrived_json(it)).collect();
        answer.put(kind.name(), told);
        if matches!(kind, NewsKind::New | NewsKind::Known) || of(kind).is_empty() {
            continue;
        }
        answer.line(kind.heading());
        for order in of(kind).iter().take(NAMED) {
            answer.line(&format!("  {}", sentence(open, order, news_use)?));
        }
        if of(kind).len() > NAMED {
            answer.line(&format!("  and {} more; `--json` has all", of(kind).len() - NAMED));
        }
        if kind == NewsKind::Another {
            NAMESAKES.iter().for_each(|line| answer.line(line));
        }
    }
    Ok(())
}

/// Tells of orders that do not go by what the export says: only the seller takes them off.
fn tell_still_here(
    open: &OpenLedger,
    here: &[OrderNow],
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    if here.is_empty() {
        return Ok(());
    }
    answer.line(
        "the export leaves these out or calls them cancelled; `take-off` takes them off, `seen` puts \
         this away:",
    );
    for order in here.iter().take(NAMED) {
        answer.line(&format!(
            "  {}: {}",
            order.id,
            place_words(open, &order.place, NewsUse::Shown)?
        ));
    }
    if here.len() > NAMED {
        answer.line(&format!("  and {} more; `--json` has all", here.len() - NAMED));
    }
    let told = here.iter().map(|order| {
        let mut value = json!({"id": order.id});
        put_place(&mut value, &order.place);
        value
    });
    answer.put("not_going", told.collect::<Vec<_>>());
    Ok(())
}

/// The kinds of news, each told in one place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum NewsKind {
    /// Orders that had not come in before.
    New,
    /// Orders that say something else now.
    Changed,
    /// Orders that say what they said.
    Known,
    /// Orders that went or were taken off.
    Gone,
    /// Orders that may be others once more.
    HeldBack,
    /// Orders that have the id of another.
    Another,
    /// Orders that say what they said before they changed.
    Older,
}

/// What to do about orders whose id is another's.
const NAMESAKES: [&str; 2] = [
    "  two orders cannot have one id: let one shop put a letter before its numbers, or join a column \
     that tells the shops apart to the id, `id: {columns: [Shop, Order], join: \"-\"}` in the map",
    "  if it is the same order, for another buyer elsewhere by now: `take-in` it with `--same ID`",
];

/// All kinds, in the order in which they are told.
const KINDS: [NewsKind; 7] = [
    NewsKind::New,
    NewsKind::Changed,
    NewsKind::Known,
    NewsKind::Gone,
    NewsKind::HeldBack,
    NewsKind::Another,
    NewsKind::Older,
];

impl NewsKind {
    /// The kind of what became of an order.
    fn of(news: &News) -> NewsKind {
        match news {
            News::New => NewsKind::New,
            News::Doubted { .. } | News::Known(OrderPlace::Doubted(_)) => NewsKind::HeldBack,
            News::Known(_) => NewsKind::Known,
            News::Changed { .. } => NewsKind::Changed,
            News::Gone { .. } => NewsKind::Gone,
            News::Another { .. } => NewsKind::Another,
            News::Older { .. } => NewsKind::Older,
        }
    }

    /// Its name in JSON.
    fn name(self) -> &'static str {
        match self {
            NewsKind::New => "new",
            NewsKind::Changed => "changed",
            NewsKind::Known => "known",
            NewsKind::Gone => "gone",
            NewsKind::HeldBack => "held_back",
            NewsKind::Another => "another",
            NewsKind::Older => "older",
        }
    }

    /// Its word behind a count.
    fn word(self) -> &'static str {
        match self {
            NewsKind::New => "new",
            NewsKind::Changed => "changed",
            NewsKind::Known => "known",
            NewsKind::Gone => "gone before",
            NewsKind::HeldBack => "held back",
            NewsKind::Another => "not taken in",
            NewsKind::Older => "older than known",
        }
    }

    /// The line above its orders.
    fn heading(self) -> &'static str {
        match self {
            NewsKind::New => "new:",
            NewsKind::Changed => "changed:",
            NewsKind::Known => "known:",
            NewsKind::Gone => "gone before; they do not go again:",
            NewsKind::Another => "not taken in, because another order came in before under its id:",
            NewsKind::Older => {
                "as they were before they changed; they stay as they are, and `--same ID` takes what the \
                 export says:"
            }
            NewsKind::HeldBack => {
                "held back; `slipwright ledger again ID --because REASON` lets one go:"
            }
        }
    }
}

/// An order's news in a sentence.
fn sentence(open: &OpenLedger, arrived: &Arrived, news_use: NewsUse) -> Result<String, Halt> {
    let id = &arrived.id;
    Ok(match &arrived.news {
        News::New | News::Known(OrderPlace::Waiting) => id.to_string(),
        News::Known(place) => format!("{id} is {place}"),
        News::Doubted { other, place } => {
            format!("{id} may be `{other}` once more, which is {place}")
        }
        News::Changed { place, differences, hazard_before, weight_before } => {
            let words = place_words(open, place, news_use)?;
            let again = hazard_before.as_ref().map(|noted| redeclare_words(noted, place));
            let weigh = weight_before.map(|grams| reweigh_words(grams, place));
            let [again, weigh] = [again, weigh].map(Option::unwrap_or_default);
            format!("{id}, {words}: {}{again}{weigh}", difference_words(differences))
        }
        News::Another { place, was, is } => {
            let [was, is] = [was, is].map(|json| summary_of(json));
            let place = place_words(open, place, NewsUse::Shown)?;
            format!(
                "{id}: this one is for {is}; the one that came in before, {place}, is for {was}"
            )
        }
        News::Older { place, as_of, changed, differences } => format!(
            "{id}, {}: as it was on {}, before the change of {}: {}",
            place_words(open, place, NewsUse::Shown)?,
            as_of.to_minute(),
            changed.to_minute(),
            older_words(differences)
        ),
        News::Gone { place, since, differences } if differences.is_empty() => {
            format!("{id}: {place} on {since}")
        }
        News::Gone { place, since, differences } => {
            format!("{id}: {place} on {since}; changed since: {}", difference_words(differences))
        }
    })
}

/// For whom an order is, where to, and what is in it.
fn summary_of(json: &str) -> String {
    let words = OrderWords::read(json);
    format!("{}, {} ({})", words.name, words.place(), words.what())
}

/// Where an order is that has changed, and what its parcel needs now.
pub(super) fn place_words(
    open: &OpenLedger,
    place: &OrderPlace,
    news_use: NewsUse,
) -> Result<String, Halt> {
    let OrderPlace::InLine(sitting, number) = place else { return Ok(place.to_string()) };
    let line = open.ledger.line(*sitting)?;
    let Some(parcel) = line.parcel(*number) else { return Ok(place.to_string()) };
    let words = format!("parcel {}, {}", parcel_words(parcel), parcel.state.word());
    Ok(match news_use == NewsUse::Entered && !parcel.papers.is_empty() {
        true => format!("{words}, to be printed again"),
        false => words,
    })
}

/// In what an order differs, in words.
pub(super) fn difference_words(differences: &[Difference]) -> String {
    let told = differences.iter().map(|it| match (&*it.was, &*it.is) {
        ("", is) => format!("{} is `{}` now", it.path, shorten(is)),
        (was, "") => format!("{} was `{}` and is gone", it.path, shorten(was)),
        (was, is) => format!("{} was `{}`, is `{}`", it.path, shorten(was), shorten(is)),
    });
    told.collect::<Vec<_>>().join("; ")
}

/// In what an older export differs from what is known, in words.
fn older_words(differences: &[Difference]) -> String {
    let told = differences.iter().map(|it| match (&*it.was, &*it.is) {
        ("", is) => format!("{} was `{}` and is gone", it.path, shorten(is)),
        (was, "") => format!("{} is `{}` by now", it.path, shorten(was)),
        (was, is) => format!("{} was `{}`, is `{}` by now", it.path, shorten(is), shorten(was)),
    });
    told.collect::<Vec<_>>().join("; ")
}

/// What became of an order, for a program.
fn arrived_json(arrived: &Arrived) -> Value {
    let mut value = json!({"id": arrived.id});
    let differences = |value: &mut Value, differences: &[Difference]| {
        let told =
            differences.iter().map(|it| json!({"path": it.path, "was": it.was, "is": it.is}));
        value["differences"] = told.collect::<Vec<_>>().into();
    };
    match &arrived.news {
        News::New => {}
        News::Known(place) => put_place(&mut value, place),
        News::Doubted { other, place } => {
            put_place(&mut value, place);
            value["may_be"] = json!(other);
        }
        News::Changed { place, differences: found, hazard_before, weight_before } => {
            put_place(&mut value, place);
            differences(&mut value, found);
            if let Some(noted) = hazard_before {
                value["hazard_before"] = json!(noted);
            }
            if let Some(grams) = weight_before {
                value["weight_before"] = json!(grams);
            }
        }
        News::Another { place, was, is } => {
            put_place(&mut value, place);
            value["was"] = json!(summary_of(was));
            value["is"] = json!(summary_of(is));
        }
        News::Older { place, as_of, changed, differences: found } => {
            put_place(&mut value, place);
            value["as_of"] = json!(as_of.to_string());
            value["changed_since"] = json!(changed.to_string());
            differences(&mut value, found);
        }
        News::Gone { place, since, differences: found } => {
            put_place(&mut value, place);
            value["since"] = json!(since);
            differences(&mut value, found);
        }
    }
    value
}

/// Puts where an order is into its value.
pub(super) fn put_place(value: &mut Value, place: &OrderPlace) {
    value["state"] = json!(place.word());
    match place {
        OrderPlace::InLine(sitting, number) | OrderPlace::HandedOver(sitting, number) => {
            value["sitting"] = json!(sitting);
            value["number"] = json!(number);
        }
        OrderPlace::TakenOff(reason) => value["reason"] = json!(reason),
        OrderPlace::Doubted(other) => value["may_be"] = json!(other),
        OrderPlace::Waiting => {}
    }
}
