//! Orders that went and are to go again: what the shop was not told of when `again` was said stays to be told.
//!
//! In: a question for what went. Out: the parcels in which orders went before they came to where they are now,
//! with what the shop was told of each. Not here: those that are where they went (`questions`).

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use rusqlite::Connection;

use super::entry::{Event, LedgerEntry};
use super::entry_rows::{read_entries, read_line};
use super::error::LedgerError;
use super::line::BenchLine;
use super::moment::Moment;
use super::parcel_state::ParcelState;
use super::sent::{Sent, SentOrders};

/// The states of orders that may have gone before, and are no longer there.
const ELSEWHERE: &str = "'waiting', 'doubted', 'in line', 'taken off'";

/// A parcel that an order lay in, and is no longer where it is.
struct Been {
    /// The order's id.
    order: Box<str>,
    /// In which sitting it lay there.
    sitting: u32,
    /// The parcel's number in that sitting.
    number: u32,
}

/// Orders that went in other parcels than where they are now, by sitting and number.
pub(super) fn find_went_before(
    db: &Connection,
    which: SentOrders,
) -> Result<Vec<Sent>, LedgerError> {
    let mut lines: BTreeMap<u32, BenchLine> = BTreeMap::new();
    let mut found = Vec::new();
    for Been { order, sitting, number } in find_been(db, which)? {
        let line = match lines.entry(sitting) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(free) => free.insert(read_line(db, sitting)?),
        };
        // An order that was parted from the parcel did not go in it.
        let Some(parcel) = line.parcel(number).filter(|parcel| parcel.orders.contains(&order))
        else {
            continue;
        };
        let told = find_told(db, &order, sitting, number)?;
        if which == SentOrders::Untold && told.is_some() {
            continue;
        }
        let (at, tracking) = (parcel.since, parcel.tracking.clone());
        found.push(Sent { order, sitting, number, at, tracking, told });
    }
    Ok(found)
}

/// Parcels that went, and in which orders lay that are elsewhere now.
fn find_been(db: &Connection, which: SentOrders) -> Result<Vec<Been>, LedgerError> {
    // An order whose second parcel was told of was told of with the first.
    let (condition, sitting) = match which {
        SentOrders::Untold => (
            format!(
                "(now_state IN ({ELSEWHERE}) OR now_state = 'handed over' AND told IS NULL) AND ?1 IS NULL"
            ),
            None,
        ),
        SentOrders::OfSitting(sitting) => ("been.sitting = ?1".to_owned(), Some(sitting)),
        SentOrders::All => (format!("now_state IN ({ELSEWHERE}) AND ?1 IS NULL"), None),
    };
    let mut query = db.prepare_cached(&format!(
        "SELECT been.id, been.sitting, been.number
         FROM (SELECT id AS now_id, state AS now_state, told, sitting AS now_sitting, number AS now_number
               FROM order_now)
         JOIN order_been AS been ON been.id = now_id
         JOIN parcel_now AS parcel ON parcel.sitting = been.sitting AND parcel.number = been.number
         WHERE parcel.state = ?2 AND {condition}
             AND NOT (now_state = ?2 AND now_sitting = been.sitting AND now_number = been.number)
         ORDER BY been.sitting, been.number, been.id"
    ))?;
    let rows =
        query.query_map(rusqlite::params![sitting, ParcelState::HandedOver.word()], |row| {
            Ok(Been {
                order: row.get::<_, String>(0)?.into(),
                sitting: row.get(1)?,
                number: row.get(2)?,
            })
        })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// When the shop was told last that an order went in a parcel, with the tracking number that it has; none when
/// it was not.
fn find_told(
    db: &Connection,
    order: &str,
    sitting: u32,
    number: u32,
) -> Result<Option<Moment>, LedgerError> {
    let of_parcel = read_entries(db, "WHERE sitting = ?1 AND number = ?2", [sitting, number])?;
    let is_news = |entry: &&LedgerEntry| {
        matches!(entry.event, Event::HandedOver { .. } | Event::Tracked { .. })
    };
    let Some(news) = of_parcel.iter().rev().find(is_news) else { return Ok(None) };
    let told = read_entries(db, "WHERE seq > ?1 AND event ->> 'what' = 'exported'", [news.seq])?;
    let told = told.iter().rev().find(|entry| entry.event.orders().iter().any(|it| **it == *order));
    Ok(told.map(|entry| entry.at))
}
