//! What exports say of orders that are here, told beside whatever is done with their parcels, until the
//! seller puts it away.

use serde_json::{Value, json};

use super::super::halt::Halt;
use super::answer::LedgerAnswer;
use super::open::OpenLedger;
use super::take_in::{NewsUse, difference_words, place_words, put_place};
use crate::ledger::{OrderNews, OrderPlace};

/// The most orders that are named.
const NAMED: usize = 20;

/// Tells of some orders what is to be looked at; programs are told all of it.
///
/// # Errors
/// Those of the ledger.
pub(super) fn tell_news(
    open: &OpenLedger,
    answer: &mut LedgerAnswer,
    is_wanted: impl Fn(&OrderNews) -> bool,
) -> Result<(), Halt> {
    let news = open.ledger.news()?;
    let wanted: Vec<&OrderNews> = news.iter().filter(|news| is_wanted(news)).collect();
    answer.put("news", wanted.iter().map(|news| news_json(news)).collect::<Vec<_>>());
    for news in wanted.iter().take(NAMED) {
        answer.line(&news_words(open, news)?);
    }
    if wanted.len() > NAMED {
        let more = wanted.len() - NAMED;
        answer.line(&format!("and {more} more: `slipwright ledger list news`"));
    }
    if !wanted.is_empty() {
        answer.line(
            "`slipwright ledger take-off` takes one off, `slipwright ledger seen` puts this away",
        );
    }
    Ok(())
}

/// Whether an order lies in a parcel of some numbers, or went with it.
pub(super) fn lies_in(news: &OrderNews, in_sitting: u32, numbers: &[u32]) -> bool {
    match news.order.place {
        OrderPlace::InLine(sitting, number) | OrderPlace::HandedOver(sitting, number) => {
            sitting == in_sitting && numbers.contains(&number)
        }
        _ => false,
    }
}

/// What is to be looked at of an order, in a sentence.
///
/// # Errors
/// Those of the ledger.
pub(super) fn news_words(open: &OpenLedger, news: &OrderNews) -> Result<String, Halt> {
    let id = &news.order.id;
    let place = place_words(open, &news.order.place, NewsUse::Shown)?;
    let mut said = Vec::new();
    if let Some(since) = news.called_off {
        let since = since.date();
        said.push(format!("the shop's export calls it cancelled or leaves it out since {since}"));
    }
    if let Some(told) = news.told {
        said.push(format!(
            "the shop was told on {} that it went{}: tell the shop otherwise",
            told.date(),
            tracking_words(open, &news.order.place)?
        ));
    }
    let changed = match news.differences.is_empty() {
        true => String::new(),
        false => format!("has changed: {}", difference_words(&news.differences)),
    };
    if said.is_empty() {
        return Ok(format!("{id}, {place}, {changed}"));
    }
    said.extend((!changed.is_empty()).then(|| format!("it {changed}")));
    Ok(format!("{id}, {place}: {}", said.join("; ")))
}

/// With which number a parcel went, in words; nothing when it has none.
///
/// # Errors
/// Those of the ledger.
fn tracking_words(open: &OpenLedger, place: &OrderPlace) -> Result<String, Halt> {
    let OrderPlace::InLine(sitting, number) = place else { return Ok(String::new()) };
    let line = open.ledger.line(*sitting)?;
    let tracking = line.parcel(*number).map(|parcel| &*parcel.tracking).unwrap_or_default();
    Ok(if tracking.is_empty() { String::new() } else { format!(" with {tracking}") })
}

/// What is to be looked at of an order, for a program.
pub(super) fn news_json(news: &OrderNews) -> Value {
    let mut value = json!({"id": news.order.id});
    put_place(&mut value, &news.order.place);
    if let Some(since) = news.called_off {
        value["called_off"] = json!(since.to_string());
    }
    if let Some(told) = news.told {
        value["told"] = json!(told.to_string());
    }
    if !news.differences.is_empty() {
        let told = news.differences.iter();
        let told = told.map(|it| json!({"path": it.path, "was": it.was, "is": it.is}));
        value["differences"] = told.collect();
    }
    value
}
