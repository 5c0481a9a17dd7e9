//! The rows of the table of entries: written once, and read in their order.
//!
//! In: an entry, or the condition of a query. Out: a row, or [`LedgerEntry`]s. Not here: the tables of
//! what holds now (`now`).

use rusqlite::{Connection, Row, params};

use super::entry::{Event, LedgerEntry};
use super::error::LedgerError;
use super::line::BenchLine;
use super::moment::Moment;
use super::request::Request;

/// Writes an entry; its number is the next one where none is given.
pub(super) fn insert_entry(
    db: &Connection,
    seq: Option<i64>,
    entry: &LedgerEntry,
    request: Option<&Request>,
) -> Result<i64, LedgerError> {
    db.prepare_cached(
        "INSERT INTO entry (seq, act, at, by, request, asks, sitting, number, event)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
    )?
    .execute(params![
        seq,
        entry.act,
        entry.at.to_string(),
        entry.by,
        request.map(|request| &*request.name),
        request.and_then(|request| request.asks.as_deref()),
        entry.sitting,
        entry.event.number(),
        entry.event.to_json(),
    ])?;
    Ok(db.last_insert_rowid())
}

/// The columns that [`read_entry`] reads.
pub(super) const ENTRY_COLUMNS: &str = "seq, act, at, by, sitting, event";

/// What a row says; an entry that cannot be read is a contradiction and not an error of SQLite.
pub(super) fn read_entry(row: &Row<'_>) -> rusqlite::Result<Result<LedgerEntry, LedgerError>> {
    let seq: i64 = row.get(0)?;
    let (at, event): (String, String) = (row.get(2)?, row.get(5)?);
    let contradiction = |why: String| LedgerError::Contradiction { seq, why };
    let Some(at) = Moment::parse(&at) else {
        return Ok(Err(contradiction(format!("its time is `{at}`"))));
    };
    let event = match Event::from_json(&event) {
        Ok(event) => event,
        Err(error) => return Ok(Err(contradiction(format!("its event cannot be read: {error}")))),
    };
    let by: String = row.get(3)?;
    Ok(Ok(LedgerEntry { seq, act: row.get(1)?, at, by: by.into(), sitting: row.get(4)?, event }))
}

/// Entries that a query selects.
pub(super) fn read_entries(
    db: &Connection,
    condition: &str,
    parameters: impl rusqlite::Params,
) -> Result<Vec<LedgerEntry>, LedgerError> {
    let text = format!("SELECT {ENTRY_COLUMNS} FROM entry {condition} ORDER BY seq");
    let mut query = db.prepare_cached(&text)?;
    let rows = query.query_map(parameters, read_entry)?;
    let mut entries = Vec::new();
    for row in rows {
        entries.push(row??);
    }
    Ok(entries)
}

/// What holds in a sitting, made of its entries from the first.
pub(super) fn read_line(db: &Connection, sitting: u32) -> Result<BenchLine, LedgerError> {
    let entries = read_entries(db, "WHERE sitting = ?1", [sitting])?;
    if entries.is_empty() {
        return Err(LedgerError::NoSitting(Some(sitting)));
    }
    BenchLine::replay(&entries)
        .map_err(|(seq, why)| LedgerError::Contradiction { seq, why: why.to_string() })
}

/// The entries of the act that a request began; none when it was never given.
pub(super) fn entries_of_request(
    db: &Connection,
    request: &str,
) -> Result<Vec<LedgerEntry>, LedgerError> {
    read_entries(
        db,
        "WHERE act = (SELECT act FROM entry WHERE request = ?1) AND seq >=
         (SELECT seq FROM entry WHERE request = ?1)",
        [request],
    )
}
