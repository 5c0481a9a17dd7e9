//! A ledger as plain text and back: one JSON value a line, entry for entry.
//!
//! In: a ledger, or such lines. Out: the lines, or an empty ledger filled. It is the way out of a
//! damaged file, and into another program. The first line says how much there is, the last one that it was
//! all, so that a copy that was cut is not taken for a whole one. Texts that were forgotten stay forgotten.

use std::collections::BTreeMap;
use std::io::{self, BufRead, Write};

use rusqlite::{Connection, Row, Rows, params};
use serde_json::{Value, json};

use super::entry::{Event, LedgerEntry};
use super::entry_rows::{ENTRY_COLUMNS, insert_entry, read_entry};
use super::error::LedgerError;
use super::line::BenchLine;
use super::moment::Moment;
use super::now::follow;
use super::request::Request;
use super::store::Ledger;
use crate::hash::StableHash;

/// The version of the lines: since 2 a copy says how much it holds, and has an end.
const VERSION: u64 = 2;
/// The version that has no end.
const WITHOUT_END: u64 = 1;

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
    /// Whether it has no end that says whether it is whole, as copies of older programs have none.
    pub has_no_end: bool,
}

/// What is done with a copy whose end is missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutCopy {
    /// It is refused, with what is there.
    Refused,
    /// What is there is taken.
    Taken,
}

/// What a copy says of itself before its first line.
#[derive(Clone, Copy, Debug, Default)]
struct CopyHead {
    /// Whether it has an end.
    has_end: bool,
    /// How many entries it should have; none where that could not be counted.
    entries: Option<u64>,
    /// How many texts.
    texts: Option<u64>,
}

impl Ledger {
    /// Writes everything out, a line each, between a line that says how much it is and one that says that
    /// it was all. Of a damaged file it writes what can be read.
    ///
    /// # Errors
    /// When the text cannot be written, or nothing at all can be read.
    pub fn copy_out(&self, out: &mut dyn Write) -> Result<Copied, CopyError> {
        // What another station enters meanwhile is in the next copy.
        let reading = self.db().unchecked_transaction()?;
        let mut copied = Copied::default();
        let mut lines = CopyLines { out, digest: StableHash::new() };
        let count = |table: &str| {
            let count = format!("SELECT count(*) FROM {table}");
            reading.query_row(&count, [], |row| row.get::<_, i64>(0)).ok()
        };
        lines.write(&json!({
            "ledger": VERSION, "entries": count("entry"), "texts": count("order_text"),
        }))?;
        let mut query =
            reading.prepare("SELECT text, order_id, json FROM order_text ORDER BY text")?;
        let mut rows = query.query([])?;
        while let Some(row) = next_row(&mut rows, &mut copied) {
            let (text, order): (i64, String) = (row.get(0)?, row.get(1)?);
            let said: Option<String> = row.get(2)?;
            lines.write(&json!({"text": text, "order": order, "json": said}))?;
            copied.texts += 1;
        }
        // A damaged file is read as an older program left it.
        let asks = reading.prepare("SELECT asks FROM entry").map_or("NULL", |_| "asks");
        let text = format!("SELECT {ENTRY_COLUMNS}, request, {asks} FROM entry ORDER BY seq");
        let mut query = reading.prepare(&text)?;
        let mut rows = query.query([])?;
        while let Some(row) = next_row(&mut rows, &mut copied) {
            let (request, asks): (Option<String>, Option<String>) = (row.get(6)?, row.get(7)?);
            let request =
                request.map(|name| Request { name: name.into(), asks: asks.map(Into::into) });
            let entry = read_entry(row)??;
            lines.write(&show_entry(&entry, request.as_ref()))?;
            copied.entries += 1;
        }
        let Copied { entries, texts, is_cut, .. } = copied;
        let digest = lines.digest();
        lines.write(&json!({
            "end": {"entries": entries, "texts": texts, "digest": digest, "cut": is_cut},
        }))?;
        Ok(copied)
    }

    /// Fills an empty ledger from the lines of a copy, entry for entry.
    ///
    /// # Errors
    /// When the ledger is not empty, a line cannot be read or contradicts those before it, or the copy is
    /// not whole and is not to be taken so; the ledger is then as empty as before.
    pub fn copy_in(&mut self, lines: impl BufRead, cut: CutCopy) -> Result<Copied, CopyError> {
        if self.last_entry()? > 0 {
            return Err(LedgerError::NotEmpty.into());
        }
        let transaction =
            self.db_mut().transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        let mut filling = Filling::new(&transaction, cut);
        let mut lines = lines.lines().enumerate().peekable();
        while let Some((index, line)) = lines.next() {
            let line = line?;
            let at = index + 1;
            let value: Value = match serde_json::from_str(&line) {
                Ok(value) => value,
                // A line that breaks off at the end is part of what is missing.
                Err(error) if error.is_eof() && index > 0 && lines.peek().is_none() => break,
                Err(_) if index == 0 => return Err(bad(at, NO_COPY.to_owned()).into()),
                Err(error) => return Err(bad(at, format!("no JSON: {error}")).into()),
            };
            filling.take(at, &line, &value)?;
        }
        let copied = filling.finish()?;
        transaction.commit()?;
        Ok(copied)
    }
}

/// What is said of a file that is something else.
const NO_COPY: &str = "this is no copy of a ledger";

/// A line that cannot be read back, and why.
fn bad(line: usize, why: String) -> LedgerError {
    LedgerError::BadLine { line, why }
}

/// The lines of a copy as they are written, counted into a digest.
struct CopyLines<'a> {
    /// Where they go.
    out: &'a mut dyn Write,
    /// All of them so far.
    digest: StableHash,
}

impl CopyLines<'_> {
    /// Writes a line.
    fn write(&mut self, value: &Value) -> Result<(), CopyError> {
        let line = value.to_string();
        self.digest = self.digest.field(&line);
        Ok(writeln!(self.out, "{line}")?)
    }

    /// The digest of all lines so far.
    fn digest(&self) -> String {
        format!("{:016x}", self.digest.finish())
    }
}

/// A ledger that is being filled from a copy.
struct Filling<'a> {
    /// Where everything goes.
    db: &'a Connection,
    /// What is done where the end is missing.
    cut: CutCopy,
    /// What the copy says of itself; none before its first line.
    head: Option<CopyHead>,
    /// Whether its end was there.
    is_ended: bool,
    /// The lines so far.
    digest: StableHash,
    /// The number of the last text, and that of the last entry.
    last: [i64; 2],
    /// What was taken.
    copied: Copied,
    /// The lines of its sittings.
    sittings: BTreeMap<u32, (BenchLine, Vec<LedgerEntry>)>,
}

impl<'a> Filling<'a> {
    /// One that has taken nothing yet.
    fn new(db: &'a Connection, cut: CutCopy) -> Filling<'a> {
        Filling {
            db,
            cut,
            head: None,
            is_ended: false,
            digest: StableHash::new(),
            last: [0, 0],
            copied: Copied::default(),
            sittings: BTreeMap::new(),
        }
    }

    /// Takes a line.
    fn take(&mut self, at: usize, line: &str, value: &Value) -> Result<(), CopyError> {
        if self.is_ended {
            return Err(bad(at, "more comes after the end of the copy".into()).into());
        }
        let before = self.digest;
        self.digest = before.field(line);
        if self.head.is_none() {
            self.head = Some(read_head(at, value)?);
        } else if value["end"].is_object() {
            self.end(at, &value["end"], before)?;
        } else if let Some(text) = value["text"].as_i64() {
            self.follow_on(at, 0, "text", text)?;
            let order = value["order"].as_str();
            let order = order.ok_or_else(|| bad(at, "a text without its order".into()))?;
            self.db
                .prepare_cached(
                    "INSERT INTO order_text (text, order_id, json) VALUES (?1, ?2, ?3)",
                )?
                .execute(params![text, order, value["json"].as_str()])?;
            self.copied.texts += 1;
        } else {
            let entry = parse_entry(value).map_err(|why| bad(at, why))?;
            self.follow_on(at, 1, "entry", entry.seq)?;
            let request = value["request"].as_str().map(|name| Request {
                name: name.into(),
                asks: value["asks"].as_str().map(Into::into),
            });
            insert_entry(self.db, Some(entry.seq), &entry, request.as_ref())?;
            follow(self.db, &mut self.sittings, entry)?;
            self.copied.entries += 1;
        }
        Ok(())
    }

    /// Refuses a number that does not come after the last of its kind.
    fn follow_on(
        &mut self,
        at: usize,
        kind: usize,
        what: &str,
        number: i64,
    ) -> Result<(), LedgerError> {
        let last = self.last[kind];
        if number == last {
            return Err(bad(at, format!("{what} {number} is there twice")));
        }
        if number < last {
            return Err(bad(at, format!("{what} {number} comes after {what} {last}")));
        }
        self.last[kind] = number;
        Ok(())
    }

    /// Compares the end with what was there.
    fn end(&mut self, at: usize, end: &Value, digest: StableHash) -> Result<(), LedgerError> {
        self.is_ended = true;
        self.copied.is_cut = end["cut"].as_bool().unwrap_or_default();
        let has = |name: &str, here: usize| {
            let there = end[name].as_u64().unwrap_or_default();
            match there == here as u64 {
                true => Ok(()),
                false => {
                    Err(bad(at, format!("the copy was made with {there} {name}, {here} are here")))
                }
            }
        };
        has("texts", self.copied.texts)?;
        has("entries", self.copied.entries)?;
        match end["digest"].as_str() == Some(&format!("{:016x}", digest.finish())) {
            true => Ok(()),
            false => Err(bad(at, "the lines before it are not as they were written".into())),
        }
    }

    /// What was taken, if it was all or need not be.
    fn finish(self) -> Result<Copied, LedgerError> {
        let Filling { head, is_ended, cut, copied, .. } = self;
        let Some(head) = head else { return Err(bad(1, NO_COPY.to_owned())) };
        if is_ended {
            return Ok(copied);
        }
        if head.has_end && cut == CutCopy::Refused {
            let there = |here: usize, all: Option<u64>, what: &str| match all {
                Some(all) => format!("{here} of {all} {what}"),
                None => format!("{here} {what}"),
            };
            return Err(LedgerError::CutCopy {
                entries: there(copied.entries, head.entries, "entries"),
                texts: there(copied.texts, head.texts, "texts of orders"),
            });
        }
        Ok(Copied { has_no_end: !head.has_end, is_cut: head.has_end, ..copied })
    }
}

/// What a copy says of itself.
fn read_head(at: usize, value: &Value) -> Result<CopyHead, LedgerError> {
    match value["ledger"].as_u64() {
        Some(VERSION) => Ok(CopyHead {
            has_end: true,
            entries: value["entries"].as_u64(),
            texts: value["texts"].as_u64(),
        }),
        Some(WITHOUT_END) => Ok(CopyHead::default()),
        Some(other) => Err(bad(at, format!("version {other}, not {VERSION}"))),
        None => Err(bad(at, NO_COPY.to_owned())),
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
fn show_entry(entry: &LedgerEntry, request: Option<&Request>) -> Value {
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
        line["request"] = (&*request.name).into();
        if let Some(asks) = &request.asks {
            line["asks"] = (&**asks).into();
        }
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
