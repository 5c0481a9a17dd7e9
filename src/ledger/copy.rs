//! A ledger as plain text and back: one JSON value a line, entry for entry.
//!
//! In: a ledger, or such lines. Out: the lines, or an empty ledger filled. It is the way out of a
//! damaged file, and into another program. Texts that were forgotten stay forgotten.

use std::collections::BTreeMap;
use std::io::{self, BufRead, Write};

use rusqlite::{Row, Rows, params};
use serde_json::{Value, json};

use super::entry::{Event, LedgerEntry};
use super::entry_rows::{ENTRY_COLUMNS, insert_entry, read_entry};
use super::error::LedgerError;
use super::moment::Moment;
use super::now::follow;
use super::store::Ledger;

/// The version of the lines.
const VERSION: u64 = 1;

/// Why a copy stopped.
#[derive(Debug)]
pub enum CopyError {
    /// What was read or written of the ledger did not go well.
    Ledger(LedgerError),
    /// The text could not be read or written.
    Io(io::Error),
}

impl From<LedgerError> for CopyError {
    fn from(error: LedgerError) -> CopyError {
        CopyError::Ledger(error)
    }
}

impl From<rusqlite::Error> for CopyError {
    fn from(error: rusqlite::Error) -> CopyError {
        CopyError::Ledger(error.into())
    }
}

impl From<io::Error> for CopyError {
    fn from(error: io::Error) -> CopyError {
        CopyError::Io(error)
    }
}

/// What a copy holds, or what could be saved.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Copied {
    /// How many entries of the ledger.
    pub entries: usize,
    /// How many texts of orders.
    pub texts: usize,
    /// Whether the file broke off: more was there than could be read.
    pub is_cut: bool,
}

impl Ledger {
    /// Writes everything out, a line each. Of a damaged file it writes what can be read.
    ///
    /// # Errors
    /// When the text cannot be written, or nothing at all can be read.
    pub fn copy_out(&self, out: &mut dyn Write) -> Result<Copied, CopyError> {
        let mut copied = Copied::default();
        writeln!(out, "{}", json!({"ledger": VERSION}))?;
        let mut query =
            self.db().prepare("SELECT text, order_id, json FROM order_text ORDER BY text")?;
        let mut rows = query.query([])?;
        while let Some(row) = next_row(&mut rows, &mut copied) {
            let (text, order): (i64, String) = (row.get(0)?, row.get(1)?);
            let said: Option<String> = row.get(2)?;
            writeln!(out, "{}", json!({"text": text, "order": order, "json": said}))?;
            copied.texts += 1;
        }
        let text = format!("SELECT {ENTRY_COLUMNS}, request FROM entry ORDER BY seq");
        let mut query = self.db().prepare(&text)?;
        let mut rows = query.query([])?;
        while let Some(row) = next_row(&mut rows, &mut copied) {
            let request: Option<String> = row.get(6)?;
            let entry = read_entry(row)??;
            writeln!(out, "{}", show_entry(&entry, request.as_deref()))?;
            copied.entries += 1;
        }
        Ok(copied)
    }

    /// Fills an empty ledger from the lines of a copy, entry for entry.
    ///
    /// # Errors
    /// When the ledger is not empty, or a line cannot be read or contradicts those before it; the
    /// ledger is then as empty as before.
    pub fn copy_in(&mut self, lines: impl BufRead) -> Result<Copied, CopyError> {
        if self.last_entry()? > 0 {
            return Err(LedgerError::NotEmpty.into());
        }
        let transaction =
            self.db_mut().transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        let mut copied = Copied::default();
        let mut sittings = BTreeMap::new();
        for (index, line) in lines.lines().enumerate() {
            let line = line?;
            let bad = |why: String| LedgerError::BadLine { line: index + 1, why };
            let value: Value = serde_json::from_str(&line).map_err(|error| {
                bad(match index {
                    0 => "this is no copy of a ledger".to_owned(),
                    _ => format!("no JSON: {error}"),
                })
            })?;
            if index == 0 {
                match value["ledger"].as_u64() {
                    Some(VERSION) => continue,
                    Some(other) => {
                        return Err(bad(format!("version {other}, not {VERSION}")).into());
                    }
                    None => return Err(bad("this is no copy of a ledger".into()).into()),
                }
            }
            if let Some(text) = value["text"].as_i64() {
                let order = value["order"].as_str();
                let order = order.ok_or_else(|| bad("a text without its order".into()))?;
                transaction
                    .prepare_cached(
                        "INSERT INTO order_text (text, order_id, json) VALUES (?1, ?2, ?3)",
                    )?
                    .execute(params![text, order, value["json"].as_str()])?;
                copied.texts += 1;
                continue;
            }
            let entry = parse_entry(&value).map_err(bad)?;
            insert_entry(&transaction, Some(entry.seq), &entry, value["request"].as_str())?;
            follow(&transaction, &mut sittings, entry)?;
            copied.entries += 1;
        }
        transaction.commit()?;
        Ok(copied)
    }
}

/// The next row; none at the end, and none where a damaged file breaks off, which is recorded.
fn next_row<'r>(rows: &'r mut Rows<'_>, copied: &mut Copied) -> Option<&'r Row<'r>> {
    rows.next().unwrap_or_else(|_| {
        copied.is_cut = true;
        None
    })
}

/// An entry as a line.
fn show_entry(entry: &LedgerEntry, request: Option<&str>) -> Value {
    let event: Value = serde_json::from_str(&entry.event.to_json()).unwrap_or_default();
    let mut line = json!({
        "entry": entry.seq,
        "act": entry.act,
        "at": entry.at.to_string(),
        "by": entry.by,
        "event": event,
    });
    if let Some(sitting) = entry.sitting {
        line["sitting"] = sitting.into();
    }
    if let Some(request) = request {
        line["request"] = request.into();
    }
    line
}

/// An entry from its line.
fn parse_entry(value: &Value) -> Result<LedgerEntry, String> {
    let number = |name: &str| value[name].as_i64().ok_or_else(|| format!("no number `{name}`"));
    let text = |name: &str| value[name].as_str().ok_or_else(|| format!("no text `{name}`"));
    let sitting = match &value["sitting"] {
        Value::Null => None,
        other => {
            let sitting = other.as_u64().and_then(|number| u32::try_from(number).ok());
            Some(sitting.ok_or("no number `sitting`")?)
        }
    };
    Ok(LedgerEntry {
        seq: number("entry")?,
        act: number("act")?,
        at: Moment::parse(text("at")?).ok_or("no time `at`")?,
        by: text("by")?.into(),
        sitting,
        event: Event::from_json(&value["event"].to_string())
            .map_err(|error| format!("no event: {error}"))?,
    })
}
