//! What happened, in a short sentence a event.

use serde_json::{Value, json};

use super::shown::fact_words;
use crate::ledger::{Event, LastAct, LedgerEntry, Matching};
use crate::words::counted;

/// What an act entered, an event each in words.
pub(super) fn says_of(entries: &[LedgerEntry]) -> Vec<String> {
    entries.iter().map(|entry| event_words(&entry.event)).collect()
}

/// The act that can be taken back, for a program; null when there is none.
pub(super) fn last_act_json(last: Option<&LastAct>) -> Value {
    let Some((last, newest)) = last.and_then(|last| Some((last, last.entries.last()?))) else {
        return Value::Null;
    };
    json!({
        "act": last.act,
        "at": newest.at.to_string(),
        "by": newest.by,
        "request": last.request,
        "says": says_of(&last.entries),
    })
}

/// What happened, as `history` tells it.
pub(super) fn event_words(event: &Event) -> String {
    match event {
        Event::Came { order, .. } => format!("{order} came in"),
        Event::Changed { order, .. } => format!("{order} came in again, changed"),
        Event::Again { order, reason } => format!("{order} goes again: {reason}"),
        Event::Cancelled { order, reason } => format!("{order} is taken off: {reason}"),
        Event::CalledOff { order } => {
            format!("the shop's export leaves {order} out or calls it cancelled")
        }
        Event::Seen { order } => format!("what exports say of {order} is put away"),
        Event::Opened { name, .. } => format!("the sitting `{name}` begins"),
        Event::LinedUp { number, orders, tag, .. } => {
            format!("{number} `{tag}` is lined up: {}", orders.join(" + "))
        }
        Event::Moved { number, before: Some(before) } => format!("{number} lies before {before}"),
        Event::Moved { number, before: None } => format!("{number} lies at the end"),
        Event::Noted { number, facts } => match (&facts.tag, &*fact_words(facts)) {
            (Some(tag), "") => format!("{number} is `{tag}`"),
            (Some(tag), words) => format!("{number} is `{tag}`: {words}"),
            (None, words) => format!("noted of {number}: {words}"),
        },
        Event::Joined { number, order, elsewhere: false } => format!("{order} joins {number}"),
        Event::Joined { number, order, elsewhere: true } => {
            format!("{order} joins {number}, though it goes elsewhere")
        }
        Event::Parted { number, order } => format!("{order} leaves {number} and waits"),
        Event::Redeclared { number, order } => {
            format!("{order} declares other goods: what was noted of {number}'s no longer holds")
        }
        Event::Refilled { number, order } => {
            format!("{order} holds something else: what {number} weighed no longer holds")
        }
        Event::Printed { number, papers, .. } => {
            format!("{number} is printed, {}", counted(papers.len(), "document"))
        }
        Event::Matched { number, how: Matching::Scan } => format!("{number} is matched"),
        Event::Matched { number, how: Matching::Eye } => format!("{number} is matched by eye"),
        Event::Tracked { number, tracking } => format!("{number} has the number {tracking}"),
        Event::Numbered { number, tracking } if tracking.is_empty() => {
            format!("{number} has no number any more by its orders")
        }
        Event::Numbered { number, tracking } => {
            format!("{number} has the number {tracking} by its orders")
        }
        Event::HandedOver { number, .. } => format!("{number} is handed over"),
        Event::TakenOff { number, reason } => format!("{number} is taken off: {reason}"),
        Event::SetAside { number, reason } => format!("{number} is set aside: {reason}"),
        Event::Closed {} => "the sitting is closed".to_owned(),
        Event::Exported { orders } => {
            format!("the shop is told of {}", counted(orders.len(), "order"))
        }
        Event::Undone { undoes } => format!("act {undoes} is taken back"),
        Event::Forgot { before, orders } => {
            format!("what {} said before {before} is forgotten", counted(orders.len(), "order"))
        }
    }
}
