//! `slipwright ledger list`: what waits, what lies in the line, what went.

use serde_json::{Value, json};

use super::super::arguments::ledger::{LedgerOptions, ListArguments, ListWhat};
use super::super::exit::Exit;
use super::super::halt::Halt;
use super::super::table::{CellAlign, Grid};
use super::answer::LedgerAnswer;
use super::computed::{AskedParcels, Computed};
use super::event_words::last_act_json;
use super::news::{lies_in, news_json, news_words, tell_news};
use super::open::OpenLedger;
use super::order_words::{OrderWords, order_json};
use super::outdated::{find_torn, find_trouble, tell_outdated, tell_torn};
use super::postage::Postage;
use super::shown::{line_json, line_table, sitting_json, tell_states};
use crate::ledger::{BenchLine, LineParcel, OrderNow, SittingNow};
use crate::words::counted;

/// The most orders that words find.
const FOUND: usize = 10_000;

/// The columns of a table of orders.
const ORDER_COLUMNS: [(&str, CellAlign); 6] = [
    ("order", CellAlign::Left),
    ("for", CellAlign::Left),
    ("to", CellAlign::Left),
    ("what", CellAlign::Left),
    ("since", CellAlign::Left),
    ("is", CellAlign::Left),
];

/// The columns of the table of sittings.
const SITTING_COLUMNS: [(&str, CellAlign); 5] = [
    ("", CellAlign::Right),
    ("sitting", CellAlign::Left),
    ("began", CellAlign::Left),
    ("ended", CellAlign::Left),
    ("parcels", CellAlign::Right),
];

/// Lists what is asked for.
pub(super) fn run(options: &LedgerOptions, arguments: &ListArguments) -> Result<Exit, Halt> {
    let open = OpenLedger::open(options)?;
    let mut answer = LedgerAnswer::new("list", options);
    let text = arguments.text.as_deref().unwrap_or_default();
    match (arguments.sitting, arguments.what) {
        (Some(sitting), _) => {
            let line = open.ledger.line(sitting)?;
            list_line(&open, options, &line, text, &mut answer)?;
            tell_contents(&open, options, arguments, &line, &mut answer)?;
        }
        (None, Some(ListWhat::Line)) => {
            let line = open.expect_line()?;
            list_line(&open, options, &line, text, &mut answer)?;
            tell_contents(&open, options, arguments, &line, &mut answer)?;
        }
        (None, Some(ListWhat::Sittings)) => list_sittings(&open.ledger.sittings()?, &mut answer),
        (None, Some(ListWhat::Waiting)) => list_state(&open, "waiting", text, &mut answer)?,
        (None, Some(ListWhat::HeldBack)) => list_state(&open, "doubted", text, &mut answer)?,
        (None, Some(ListWhat::News)) => list_news(&open, options, &mut answer)?,
        (None, Some(ListWhat::Sent)) => list_state(&open, "handed over", text, &mut answer)?,
        (None, Some(ListWhat::TakenOff)) => list_state(&open, "taken off", text, &mut answer)?,
        (None, None) if !text.is_empty() => {
            list_orders(&open, &open.ledger.find_orders(text, FOUND)?, &mut answer)?;
        }
        (None, None) => list_evening(&open, options, &mut answer)?,
    }
    answer.show()?;
    Ok(Exit::Done)
}

/// The open line, and how many orders wait beside it.
fn list_evening(
    open: &OpenLedger,
    options: &LedgerOptions,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    match open.open_line()? {
        Some(line) => list_line(open, options, &line, "", answer)?,
        None => answer.line("no sitting is open"),
    }
    let waiting = open.ledger.orders_in("waiting")?.len();
    let held_back = open.ledger.orders_in("doubted")?.len();
    answer.line(&match waiting {
        0 => "no order waits".to_owned(),
        1 => "1 order waits".to_owned(),
        _ => format!("{waiting} orders wait"),
    });
    if held_back > 0 {
        let orders = counted(held_back, "order");
        answer.line(&format!("{orders} held back: `slipwright ledger list held-back`"));
    }
    answer.put("waiting", waiting);
    answer.put("held_back", held_back);
    Ok(())
}

/// The parcels of a line that have some words.
fn list_line(
    open: &OpenLedger,
    options: &LedgerOptions,
    line: &BenchLine,
    text: &str,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    let found = match text {
        "" => None,
        text => Some(open.ledger.find_orders(text, FOUND)?),
    };
    let is_wanted = |parcel: &LineParcel| {
        found
            .as_ref()
            .is_none_or(|found| found.iter().any(|order| parcel.orders.contains(&order.id)))
    };
    let (name, opened) = (&line.name, line.opened.date());
    let state = match line.closed {
        Some(closed) => format!("closed {}", closed.date()),
        None => "open".to_owned(),
    };
    answer.line(&format!("sitting {} `{name}` of {opened}, {state}", line.sitting));
    if line.parcels().any(is_wanted) {
        answer.table(&line_table(open, line, is_wanted)?);
    }
    answer.line(&tell_states(line));
    let numbers: Vec<u32> = line.parcels().filter(|it| is_wanted(it)).map(|it| it.number).collect();
    let trouble = find_trouble(open, line, options);
    tell_torn(&trouble.torn, answer);
    tell_outdated(&trouble.outdated, line, answer, |number| numbers.contains(&number));
    tell_news(open, answer, |news| lies_in(news, line.sitting, &numbers))?;
    answer.put("sitting", sitting_json(line));
    answer.put("parcels", line_json(line, is_wanted));
    Ok(())
}

/// What is in a line's parcels and what the shop file makes of them, where that is asked for.
fn tell_contents(
    open: &OpenLedger,
    options: &LedgerOptions,
    arguments: &ListArguments,
    line: &BenchLine,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    if !arguments.full {
        return Ok(());
    }
    if line.closed.is_none() {
        let last = open.ledger.last_act(line.sitting)?;
        answer.put("last_act", last_act_json(last.as_ref()));
    }
    let numbers: Vec<u32> = line.parcels().map(|parcel| parcel.number).collect();
    let question = AskedParcels { open, line, numbers: &numbers };
    let computed = Computed::ask(&question, &arguments.shop, options)?;
    computed.show(options, answer);
    let postage = Postage::of(&computed, line);
    answer.put("postage", postage.to_json());
    if !numbers.is_empty() {
        answer.table(&computed.table());
        answer.table(&postage.to_table());
    }
    let mut orders: Vec<Value> = Vec::new();
    for id in line.parcels().flat_map(|parcel| &parcel.orders) {
        if let Some(order) = open.ledger.order(id)? {
            orders.push(order_json(&order, &OrderWords::read(&open.text_of(&order)?)));
        }
    }
    answer.put("orders", orders);
    Ok(())
}

/// The orders of a state that have some words.
fn list_state(
    open: &OpenLedger,
    state: &str,
    text: &str,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    let mut orders = open.ledger.orders_in(state)?;
    if !text.is_empty() {
        let found = open.ledger.find_orders(text, FOUND)?;
        orders.retain(|order| found.iter().any(|it| it.id == order.id));
    }
    list_orders(open, &orders, answer)
}

/// A table of orders.
fn list_orders(
    open: &OpenLedger,
    orders: &[OrderNow],
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    let mut grid = Grid::new(&ORDER_COLUMNS);
    let mut values: Vec<Value> = Vec::with_capacity(orders.len());
    for order in orders {
        let words = OrderWords::read(&open.text_of(order)?);
        values.push(order_json(order, &words));
        grid.row([
            order.id.to_string(),
            words.name.clone(),
            words.place(),
            words.what(),
            order.since.date(),
            order.place.to_string(),
        ]);
    }
    if !orders.is_empty() {
        answer.table(&grid.to_text(""));
    }
    answer.line(&counted(orders.len(), "order"));
    answer.put("orders", values);
    Ok(())
}

/// The orders of which exports say what the seller has not put away, and those that keep their parcel from
/// going.
fn list_news(
    open: &OpenLedger,
    options: &LedgerOptions,
    answer: &mut LedgerAnswer,
) -> Result<(), Halt> {
    let news = open.ledger.news()?;
    for news in &news {
        answer.line(&news_words(open, news)?);
    }
    answer.line(&counted(news.len(), "order"));
    answer.put("news", news.iter().map(news_json).collect::<Vec<_>>());
    if let Some(line) = open.open_line()? {
        tell_torn(&find_torn(open, &line, options), answer);
    }
    Ok(())
}

/// A table of sittings, the newest first.
fn list_sittings(sittings: &[SittingNow], answer: &mut LedgerAnswer) {
    let mut grid = Grid::new(&SITTING_COLUMNS);
    for sitting in sittings {
        let ended = sitting.closed.map_or("open".to_owned(), |at| at.date());
        grid.row([
            sitting.sitting.to_string(),
            sitting.name.to_string(),
            sitting.opened.date(),
            ended,
            sitting.parcels.to_string(),
        ]);
    }
    if !sittings.is_empty() {
        answer.table(&grid.to_text(""));
    }
    answer.line(&counted(sittings.len(), "sitting"));
    let values = sittings.iter().map(|sitting| {
        json!({
            "number": sitting.sitting,
            "name": sitting.name,
            "key": sitting.key,
            "opened": sitting.opened.to_string(),
            "closed": sitting.closed.map(|at| at.to_string()),
            "parcels": sitting.parcels,
        })
    });
    answer.put("sittings", values.collect::<Vec<_>>());
}
