//! Parcels of a line as they were when they were printed.
//!
//! In: a ledger and a line. Out: for each parcel that is printed, still to go, and not what it was then,
//! the parcel as the line had it and what its orders said. Not here: whether its pages have changed.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

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
    let mut printings = Printings::read(ledger, line)?;
    for parcel in line.parcels().filter(is_printed) {
        let Some((before, seq)) = printings.find(parcel.number) else { continue };
        let texts = read_texts(ledger, &before, seq)?;
        let is_same = is_alike(&before, parcel)
            && before.tracking == parcel.tracking
            && say_the_same(ledger, &before, &texts)?;
        if !is_same && texts.len() == before.orders.len() {
            let file = sources.add(PRINTED_NAME, format!("[\n{}\n]\n", texts.join(",\n")));
            let orders = read_orders(sources.get(file).shared_text(), file).orders;
            states.insert(parcel.number, PrintedParcelState { parcel: before, orders });
        }
    }
    Ok(states)
}

/// Whether a parcel is what it was when it was printed last, but for a tracking number that came since; so is
/// one that was not printed. No order is read for it.
///
/// # Errors
/// When the ledger cannot be read.
pub(crate) fn is_as_printed(
    ledger: &Ledger,
    line: &BenchLine,
    number: u32,
) -> Result<bool, LedgerError> {
    let Some(parcel) = line.parcel(number) else { return Ok(true) };
    let Some((before, seq)) = Printings::read(ledger, line)?.find(number) else { return Ok(true) };
    let texts = read_texts(ledger, &before, seq)?;
    Ok(is_alike(&before, parcel) && say_the_same(ledger, &before, &texts)?)
}

/// Whether a parcel has the same orders, tag and facts as before.
fn is_alike(before: &LineParcel, parcel: &LineParcel) -> bool {
    before.facts == parcel.facts && before.tag == parcel.tag && before.orders == parcel.orders
}

/// Whether the orders of a parcel still say what they said then.
fn say_the_same(
    ledger: &Ledger,
    before: &LineParcel,
    texts: &[String],
) -> Result<bool, LedgerError> {
    for (id, text) in before.orders.iter().zip(texts) {
        if ledger.order_json(id)?.as_ref() != Some(text) {
            return Ok(false);
        }
    }
    Ok(true)
}

/// A line at the moments when its parcels were printed.
struct Printings {
    /// Everything that happened in the sitting.
    entries: Vec<LedgerEntry>,
    /// The line after some of the entries, by the place of the last of them.
    lines: BTreeMap<usize, BenchLine>,
}

impl Printings {
    /// Reads what happened in a line's sitting.
    fn read(ledger: &Ledger, line: &BenchLine) -> Result<Printings, LedgerError> {
        Ok(Printings { entries: ledger.story(line.sitting)?, lines: BTreeMap::new() })
    }

    /// A parcel when it was printed last, and the entry of that; none when it was not printed.
    fn find(&mut self, number: u32) -> Option<(LineParcel, i64)> {
        let at = find_printing(&self.entries, number)?;
        let entries = &self.entries[..=at];
        let then = match self.lines.entry(at) {
            Entry::Occupied(known) => known.into_mut(),
            // A ledger that contradicts itself is told elsewhere.
            Entry::Vacant(place) => place.insert(BenchLine::replay(entries).ok()?),
        };
        Some((then.parcel(number)?.clone(), self.entries[at].seq))
    }
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
