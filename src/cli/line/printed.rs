//! Parcels of a line as they were when they were printed.
//!
//! In: a ledger and a line. Out: for each parcel that is printed, still to go, and not what it was then,
//! the parcel as the line had it and what its orders said. Not here: whether its pages have changed.

use std::collections::BTreeMap;

use crate::ledger::{BenchLine, Event, Ledger, LedgerEntry, LedgerError, LineParcel};
use crate::orders::{Order, read_orders};
use crate::source::Sources;

/// What messages call the orders of a parcel as they were printed.
const PRINTED_NAME: &str = "orders as printed";

/// A parcel as it was when it was printed.
pub(super) struct PrintedParcelState {
    /// The parcel as the line had it.
    pub(super) parcel: LineParcel,
    /// Its orders as they were.
    pub(super) orders: Vec<Order>,
}

/// The parcels that are not what they were when they were printed last, by number.
///
/// # Errors
/// When the ledger cannot be read.
pub(super) fn read_printed(
    ledger: &Ledger,
    line: &BenchLine,
    sources: &mut Sources,
) -> Result<BTreeMap<u32, PrintedParcelState>, LedgerError> {
    let mut states = BTreeMap::new();
    let is_printed = |parcel: &&LineParcel| parcel.state.is_open() && parcel.printed.is_some();
    if line.parcels().find(is_printed).is_none() {
        return Ok(states);
    }
    let entries = ledger.story(line.sitting)?;
    let mut lines: BTreeMap<usize, BenchLine> = BTreeMap::new();
    for parcel in line.parcels().filter(is_printed) {
        let Some(at) = find_printing(&entries, parcel.number) else { continue };
        let then = match lines.get(&at) {
            Some(then) => then,
            // A ledger that contradicts itself is told elsewhere.
            None => match BenchLine::replay(&entries[..=at]) {
                Ok(then) => lines.entry(at).or_insert(then),
                Err(_) => continue,
            },
        };
        let Some(before) = then.parcel(parcel.number) else { continue };
        let texts = read_texts(ledger, before, entries[at].seq)?;
        let mut is_same = before.facts == parcel.facts
            && before.tag == parcel.tag
            && before.tracking == parcel.tracking
            && before.orders == parcel.orders;
        for (id, text) in before.orders.iter().zip(&texts) {
            is_same &= ledger.order_json(id)?.as_ref() == Some(text);
        }
        if !is_same && texts.len() == before.orders.len() {
            let file = sources.add(PRINTED_NAME, format!("[\n{}\n]\n", texts.join(",\n")));
            let orders = read_orders(sources.get(file).shared_text(), file).orders;
            states.insert(parcel.number, PrintedParcelState { parcel: before.clone(), orders });
        }
    }
    Ok(states)
}

/// Which entry is the last printing of a parcel.
fn find_printing(entries: &[LedgerEntry], number: u32) -> Option<usize> {
    entries.iter().rposition(
        |entry| matches!(entry.event, Event::Printed { number: printed, .. } if printed == number),
    )
}

/// What the orders of a parcel said at an entry; those that were forgotten are left out.
fn read_texts(ledger: &Ledger, parcel: &LineParcel, seq: i64) -> Result<Vec<String>, LedgerError> {
    let mut texts = Vec::with_capacity(parcel.orders.len());
    for id in &parcel.orders {
        texts.extend(ledger.order_json_at(id, seq)?);
    }
    Ok(texts)
}
