//! The tables of what holds now: kept beside the entries, and made again from them.
//!
//! In: a line before and after an event, or an event of an order that is in no line. Out: changed
//! rows. They say nothing that the entries and texts do not say; they only answer quickly. Not here:
//! questions (`questions`).

use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hash as _, Hasher as _};

use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension as _, params};

use super::alike::{core_of, words_of};
use super::entry::{Event, LedgerEntry};
use super::entry_rows::read_entries;
use super::error::{LedgerError, OrderPlace};
use super::line::{BenchLine, LineParcel};
use super::moment::Moment;
use super::parcel_state::ParcelState;

/// The tables of what holds now.
const TABLES: [&str; 4] = ["order_now", "order_been", "parcel_now", "sitting_now"];

/// What the tables say of an order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OrderNow {
    /// Its id; one order has it for as long as the ledger lives.
    pub id: Box<str>,
    /// In which line it lies, or why in none.
    pub place: OrderPlace,
    /// Since when.
    pub since: Moment,
    /// The number of what it says.
    pub text: i64,
    /// When the shop was told that it went.
    pub told: Option<Moment>,
}

/// The columns that [`read_order_now`] reads.
pub(super) const ORDER_COLUMNS: &str =
    "id, state, since, text, doubt, sitting, number, reason, told";

/// What a row of `order_now` says, with the columns that [`ORDER_COLUMNS`] names.
pub(super) fn read_order_now(row: &rusqlite::Row<'_>) -> rusqlite::Result<OrderNow> {
    let state: String = row.get(1)?;
    let (sitting, number) = (row.get::<_, Option<u32>>(5)?, row.get::<_, Option<u32>>(6)?);
    let (sitting, number) = (sitting.unwrap_or_default(), number.unwrap_or_default());
    let text = |index: usize| row.get::<_, Option<String>>(index).map(Option::unwrap_or_default);
    let place = match &*state {
        "in line" => OrderPlace::InLine(sitting, number),
        "handed over" => OrderPlace::HandedOver(sitting, number),
        "taken off" => OrderPlace::TakenOff(text(7)?.into()),
        "doubted" => OrderPlace::Doubted(text(4)?.into()),
        _ => OrderPlace::Waiting,
    };
    let moment = |index: usize| -> rusqlite::Result<Option<Moment>> {
        Ok(row.get::<_, Option<String>>(index)?.as_deref().and_then(Moment::parse))
    };
    Ok(OrderNow {
        id: row.get::<_, String>(0)?.into(),
        place,
        since: moment(2)?.unwrap_or(Moment::of_clock(0, 0)),
        text: row.get(3)?,
        told: moment(8)?,
    })
}

/// What the tables say of an order; none when it never came in.
pub(super) fn find_order(db: &Connection, id: &str) -> Result<Option<OrderNow>, LedgerError> {
    let text = format!("SELECT {ORDER_COLUMNS} FROM order_now WHERE id = ?1");
    Ok(db.prepare_cached(&text)?.query_row([id], read_order_now).optional()?)
}

/// The number of the sitting that is open; none when all are closed.
pub(super) fn find_open_sitting(db: &Connection) -> Result<Option<u32>, LedgerError> {
    let text = "SELECT sitting FROM sitting_now WHERE closed IS NULL ORDER BY sitting DESC";
    Ok(db.prepare_cached(text)?.query_row([], |row| row.get(0)).optional()?)
}

/// What an order said when it came in; none when it was forgotten.
pub(super) fn read_text(db: &Connection, text: i64) -> Result<Option<String>, LedgerError> {
    let mut query = db.prepare_cached("SELECT json FROM order_text WHERE text = ?1")?;
    Ok(query.query_row([text], |row| row.get(0)).optional()?.flatten())
}

/// Writes what a sitting's event changed.
pub(super) fn write_changes(
    db: &Connection,
    before: Option<&BenchLine>,
    after: &BenchLine,
    at: Moment,
) -> Result<(), LedgerError> {
    let sitting = after.sitting;
    if before.is_none_or(|before| before.closed != after.closed) {
        db.prepare_cached(
            "INSERT INTO sitting_now (sitting, name, key, opened, closed)
             VALUES (?1, ?2, ?3, ?4, ?5)
             ON CONFLICT (sitting) DO UPDATE SET closed = excluded.closed",
        )?
        .execute(params![
            sitting,
            after.name,
            after.key.as_str(),
            after.opened.to_string(),
            after.closed.map(|at| at.to_string()),
        ])?;
    }
    let (old, new) = (before.map(parcels_of).unwrap_or_default(), parcels_of(after));
    for number in old.keys().filter(|number| !new.contains_key(number)) {
        db.prepare_cached("DELETE FROM parcel_now WHERE sitting = ?1 AND number = ?2")?
            .execute([sitting, *number])?;
    }
    for (number, (place, parcel)) in &new {
        let was = old.get(number);
        if was != Some(&(*place, *parcel)) {
            write_parcel(db, sitting, *place, parcel)?;
        }
        if was.is_some_and(|(_, was)| was.tracking != parcel.tracking) {
            // What the shop was told of it no longer holds.
            db.prepare_cached(
                "UPDATE order_now SET told = NULL
                 WHERE sitting = ?1 AND number = ?2 AND state = 'handed over'",
            )?
            .execute([sitting, *number])?;
        }
    }
    let (old, new) = (before.map(places_of).unwrap_or_default(), places_of(after));
    for (id, place) in &old {
        // It was lined up by an act that is taken back, or parted.
        if !new.contains_key(id) && *place != OrderPlace::Waiting {
            set_place(db, id, &OrderPlace::Waiting, at)?;
        }
    }
    for (id, place) in &new {
        if old.get(id) != Some(place) {
            set_place(db, id, place, at)?;
        }
    }
    Ok(())
}

/// The parcels of a line by number, each with its place from 1.
fn parcels_of(line: &BenchLine) -> BTreeMap<u32, (usize, &LineParcel)> {
    line.parcels().enumerate().map(|(at, parcel)| (parcel.number, (at + 1, parcel))).collect()
}

/// Where the orders of a line are. An order that several parcels had is where the last of them is
/// that is still to go, else where it went, else out.
pub(super) fn places_of(line: &BenchLine) -> BTreeMap<&str, OrderPlace> {
    let mut places = BTreeMap::new();
    let mut parcels: Vec<&LineParcel> = line.parcels().collect();
    parcels.sort_by_key(|parcel| (parcel.state.is_open(), !parcel.state.is_out(), parcel.number));
    for parcel in parcels {
        let place = match parcel.state {
            ParcelState::TakenOff => OrderPlace::TakenOff(parcel.reason.clone()),
            ParcelState::SetAside => OrderPlace::Waiting,
            ParcelState::HandedOver => OrderPlace::HandedOver(line.sitting, parcel.number),
            _ => OrderPlace::InLine(line.sitting, parcel.number),
        };
        for id in &parcel.orders {
            places.insert(&**id, place.clone());
        }
    }
    places
}

/// Writes a parcel's row.
fn write_parcel(
    db: &Connection,
    sitting: u32,
    place: usize,
    parcel: &LineParcel,
) -> Result<(), LedgerError> {
    // A tracking number is freed before another parcel takes it, when acts are taken back.
    db.prepare_cached(
        "INSERT INTO parcel_now
             (sitting, number, place, tag, pair, state, since, reason, weight_g, tracking)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)
         ON CONFLICT (sitting, number) DO UPDATE SET
             place = excluded.place, tag = excluded.tag, state = excluded.state,
             since = excluded.since, reason = excluded.reason, weight_g = excluded.weight_g,
             tracking = excluded.tracking",
    )?
    .execute(params![
        sitting,
        parcel.number,
        i64::try_from(place).unwrap_or(i64::MAX),
        parcel.tag,
        parcel.pair.as_str(),
        parcel.state.word(),
        parcel.since.to_string(),
        parcel.reason,
        parcel.facts.weight_g,
        parcel.tracking,
    ])?;
    Ok(())
}

/// Writes where an order is. What goes once more, the shop is told once more.
fn set_place(db: &Connection, id: &str, place: &OrderPlace, at: Moment) -> Result<(), LedgerError> {
    let (sitting, number) = match place {
        OrderPlace::InLine(sitting, number) | OrderPlace::HandedOver(sitting, number) => {
            (Some(*sitting), Some(*number))
        }
        _ => (None, None),
    };
    if let OrderPlace::InLine(sitting, number) = place {
        db.prepare_cached(
            "INSERT OR IGNORE INTO order_been (id, sitting, number) VALUES (?1, ?2, ?3)",
        )?
        .execute(params![id, sitting, number])?;
    }
    let reason = match place {
        OrderPlace::TakenOff(reason) => &**reason,
        _ => "",
    };
    let doubt = match place {
        OrderPlace::Doubted(other) => Some(&**other),
        _ => None,
    };
    db.prepare_cached(
        "UPDATE order_now SET state = ?2, since = ?3, sitting = ?4, number = ?5, reason = ?6,
             doubt = ?7, told = CASE WHEN ?2 = 'handed over' THEN NULL ELSE told END
         WHERE id = ?1",
    )?
    .execute(params![id, place.word(), at.to_string(), sitting, number, reason, doubt])?;
    Ok(())
}

/// Writes what an event of orders that are in no line changed; `seq` is its entry's number.
pub(super) fn write_order_event(
    db: &Connection,
    seq: i64,
    event: &Event,
    at: Moment,
) -> Result<(), LedgerError> {
    match event {
        Event::Came { order, text, doubt } => {
            let place = match doubt {
                Some(other) => OrderPlace::Doubted(other.clone()),
                None => OrderPlace::Waiting,
            };
            db.prepare_cached(
                "INSERT INTO order_now (id, core, state, since, came, text, reason, words)
                 VALUES (?1, ?2, 'waiting', ?3, ?4, ?5, '', ?6)",
            )?
            .execute(params![
                order,
                core_of(order),
                at.to_string(),
                seq,
                text,
                read_text(db, *text)?.map(|json| words_of(order, &json)),
            ])?;
            set_place(db, order, &place, at)?;
        }
        Event::Changed { order, text } => {
            let words = read_text(db, *text)?.map(|json| words_of(order, &json));
            // What was packed was packed by what it said then; only what waits needs no second look.
            db.prepare_cached(
                "UPDATE order_now SET text = ?2, words = ?3, changed_from =
                     CASE WHEN state = 'in line' THEN coalesce(changed_from, text)
                     ELSE changed_from END
                 WHERE id = ?1",
            )?
            .execute(params![order, text, words])?;
        }
        Event::CalledOff { order } => {
            db.prepare_cached("UPDATE order_now SET called_off = ?2 WHERE id = ?1")?
                .execute(params![order, at.to_string()])?;
        }
        Event::Seen { order } => {
            let away = "UPDATE order_now SET called_off = NULL, changed_from = NULL,
                 told = CASE WHEN state = 'handed over' THEN told END WHERE id = ?1";
            db.prepare_cached(away)?.execute([order])?;
        }
        Event::Again { order, .. } => {
            set_place(db, order, &OrderPlace::Waiting, at)?;
            db.prepare_cached("UPDATE order_now SET told = NULL WHERE id = ?1")?
                .execute([order])?;
        }
        Event::Cancelled { order, reason } => {
            set_place(db, order, &OrderPlace::TakenOff(reason.clone()), at)?;
        }
        Event::Exported { orders } => {
            for order in orders {
                // Of one that is to go again the shop was told where it went before.
                db.prepare_cached(
                    "UPDATE order_now SET told = ?2 WHERE id = ?1 AND state = 'handed over'",
                )?
                .execute(params![order, at.to_string()])?;
            }
        }
        Event::Forgot { orders, .. } => {
            for order in orders {
                db.prepare_cached("UPDATE order_now SET words = NULL WHERE id = ?1")?
                    .execute([order])?;
            }
        }
        _ => {}
    }
    Ok(())
}

/// Makes the tables of what holds now again, from the entries alone.
pub(super) fn make_tables_again(db: &Connection) -> Result<(), LedgerError> {
    for table in TABLES {
        db.execute(&format!("DELETE FROM {table}"), [])?;
    }
    let mut sittings: BTreeMap<u32, (BenchLine, Vec<LedgerEntry>)> = BTreeMap::new();
    for entry in read_entries(db, "", [])? {
        follow(db, &mut sittings, entry)?;
    }
    Ok(())
}

/// A digest of each table of what holds now, the words of orders left out, for comparing within one run.
pub(super) fn digest_tables(db: &Connection) -> Result<Vec<u64>, LedgerError> {
    let digest = |table: &&str| {
        let mut query = db.prepare(&format!("SELECT * FROM {table} ORDER BY 1, 2"))?;
        let columns = query.column_count();
        let words = query.column_names().position(|name| name == "words");
        let mut rows = query.query([])?;
        let mut hash = DefaultHasher::new();
        while let Some(row) = rows.next()? {
            for column in (0..columns).filter(|column| Some(*column) != words) {
                match row.get_ref(column)? {
                    ValueRef::Integer(number) => number.hash(&mut hash),
                    ValueRef::Text(text) => text.hash(&mut hash),
                    _ => 0_u8.hash(&mut hash),
                }
            }
        }
        Ok(hash.finish())
    };
    TABLES.iter().map(digest).collect()
}

/// A digest of the words of each order, for comparing within one run.
pub(super) fn digest_words(db: &Connection) -> Result<BTreeMap<String, u64>, LedgerError> {
    let mut query = db.prepare("SELECT id, words FROM order_now")?;
    let rows = query.query_map([], |row| {
        let mut hash = DefaultHasher::new();
        row.get::<_, Option<String>>(1)?.hash(&mut hash);
        Ok((row.get(0)?, hash.finish()))
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// Lets the tables follow an entry that was appended before.
pub(super) fn follow(
    db: &Connection,
    sittings: &mut BTreeMap<u32, (BenchLine, Vec<LedgerEntry>)>,
    entry: LedgerEntry,
) -> Result<(), LedgerError> {
    let Some(sitting) = entry.sitting else {
        return write_order_event(db, entry.seq, &entry.event, entry.at);
    };
    let (seq, at) = (entry.seq, entry.at);
    let contradiction = |(seq, why): (i64, super::LineRefusal)| LedgerError::Contradiction {
        seq,
        why: why.to_string(),
    };
    let Some((before, known)) = sittings.get_mut(&sitting) else {
        let line = BenchLine::replay(std::slice::from_ref(&entry)).map_err(contradiction)?;
        write_changes(db, None, &line, at)?;
        sittings.insert(sitting, (line, vec![entry]));
        return Ok(());
    };
    let takes_back = matches!(entry.event, Event::Undone { .. });
    let event = entry.event.clone();
    known.push(entry);
    let mut after = before.clone();
    if takes_back {
        after = BenchLine::replay(known).map_err(contradiction)?;
    } else {
        after.apply(&event, at).map_err(|why| contradiction((seq, why)))?;
    }
    write_changes(db, Some(before), &after, at)?;
    if matches!(event, Event::Exported { .. }) {
        write_order_event(db, seq, &event, at)?;
    }
    *before = after;
    Ok(())
}
