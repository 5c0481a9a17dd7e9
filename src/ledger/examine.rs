//! Whether a ledger contradicts itself: its entries, the texts of its orders, and the tables made of both.
//!
//! In: a ledger that opens. Out: what contradicts what, a sentence each. The file holds no digests of its
//! entries and texts: a text that was put into another's place, and that fits, is not found. Not here: whether
//! the file itself is damaged (SQLite's own check), and whether an order can be printed.

use std::collections::BTreeMap;

use rusqlite::{Connection, Row, TransactionBehavior};
use serde::Deserialize;
use serde_json::value::RawValue;

use super::error::LedgerError;
use super::now::{digest_tables, digest_words, make_tables_again};
use super::store::{Ledger, open_model};
use crate::words::join_and;

/// The most entries, texts or orders that are named of a kind.
const NAMED: usize = 5;

/// Entries whose columns say something else than their event.
const OTHER_NUMBERS: &str =
    "SELECT 'entry ' || seq FROM entry WHERE number IS NOT (event ->> 'number') ORDER BY seq";

/// Entries that an order came in or has changed with a text, and there is no such text of that order.
const WITHOUT_TEXT: &str = "SELECT 'entry ' || seq FROM entry LEFT JOIN order_text
         ON order_text.text = (event ->> 'text')
     WHERE event ->> 'what' IN ('came', 'changed') AND order_id IS NOT (event ->> 'order')
     ORDER BY seq";

/// Texts that no order came in or has changed with.
const WITHOUT_ENTRY: &str = "SELECT 'text ' || text || ' of `' || order_id || '`' FROM order_text
     WHERE text NOT IN (SELECT event ->> 'text' FROM entry
         WHERE event ->> 'what' IN ('came', 'changed')) ORDER BY text";

/// Texts that are gone, of orders that nobody has forgotten.
const GONE: &str = "SELECT DISTINCT '`' || order_id || '`' FROM order_text WHERE json IS NULL
     AND order_id NOT IN (SELECT value FROM entry, json_each(event, '$.orders')
         WHERE event ->> 'what' = 'forgot') ORDER BY text";

impl Ledger {
    /// Everything that contradicts something else in what is kept; nothing where all agrees.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn contradictions(&mut self) -> Result<Vec<String>, LedgerError> {
        let db = self.db();
        let mut faults = lacking_guards(db)?;
        let (count, last): (i64, i64) =
            db.query_row("SELECT count(*), coalesce(max(seq), 0) FROM entry", [], |row| {
                Ok((row.get(0)?, row.get(1)?))
            })?;
        if count != last {
            faults.push(format!("entries are missing: there are {count}, and the last is {last}"));
        }
        let mut say = |query: &str, [one, many]: [&str; 2]| -> Result<(), LedgerError> {
            let found = list_named(db, query, |row| row.get(0).map(Some))?;
            faults.extend(tell(&found, [one, many]));
            Ok(())
        };
        say(
            OTHER_NUMBERS,
            ["is kept under another parcel's number", "are kept under other parcels' numbers"],
        )?;
        say(
            WITHOUT_TEXT,
            ["names a text that its order has not", "name texts that their orders have not"],
        )?;
        say(
            WITHOUT_ENTRY,
            ["is there, and no entry tells of it", "are there, and no entry tells of them"],
        )?;
        say(
            GONE,
            [
                "has lost what it says, and no entry says that it was forgotten",
                "have lost what they say, and no entry says that they were forgotten",
            ],
        )?;
        let texts =
            "SELECT text, order_id, json FROM order_text WHERE json IS NOT NULL ORDER BY text";
        let found = list_named(db, texts, name_other_text)?;
        faults.extend(tell(&found, ["is no order of that id", "are no orders of those ids"]));
        faults.extend(self.contradicting_tables()?);
        Ok(faults)
    }

    /// Whether the tables of what holds now are what the entries make them.
    ///
    /// # Errors
    /// When an entry contradicts those before it.
    pub fn is_as_entries_say(&mut self) -> Result<bool, LedgerError> {
        let compared = compare_tables(self)?;
        Ok(compared.hold && compared.reworded.is_empty())
    }

    /// What the tables of what holds now say that entries and texts do not.
    fn contradicting_tables(&mut self) -> Result<Vec<String>, LedgerError> {
        let compared = match compare_tables(self) {
            Err(LedgerError::Contradiction { seq, why }) => {
                return Ok(vec![format!("entry {seq} contradicts those before it: {why}")]);
            }
            compared => compared?,
        };
        let mut faults = Vec::new();
        if !compared.hold {
            faults.push(
                "the tables of what holds now are not what the entries make them: `slipwright ledger \
                 rebuild` makes them again"
                    .to_owned(),
            );
        }
        let named: Vec<String> = compared.reworded.iter().map(|id| format!("`{id}`")).collect();
        faults.extend(tell(
            &named,
            [
                "says something else than when it came in: its text was changed by another program",
                "say something else than when they came in: their texts were changed by another program",
            ],
        ));
        Ok(faults)
    }
}

/// The tables of what holds now against what the entries make them.
struct ComparedTables {
    /// Whether they are alike, but for the words of orders.
    hold: bool,
    /// The orders whose words are not those of their texts. They are written when a text comes in.
    reworded: Vec<String>,
}

/// Compares the tables of what holds now with what the entries make them; they stay as they are.
fn compare_tables(ledger: &mut Ledger) -> Result<ComparedTables, LedgerError> {
    let transaction = ledger.db_mut().transaction_with_behavior(TransactionBehavior::Immediate)?;
    let (kept, words) = (digest_tables(&transaction)?, digest_words(&transaction)?);
    make_tables_again(&transaction)?;
    let (made, made_words) = (digest_tables(&transaction)?, digest_words(&transaction)?);
    transaction.rollback()?;
    let differs = |id: &&String| words.get(*id).is_some_and(|was| made_words.get(*id) != Some(was));
    let reworded: Vec<String> = words.keys().filter(differs).cloned().collect();
    Ok(ComparedTables { hold: kept == made, reworded })
}

/// The triggers, indexes and views that a ledger lacks or has otherwise: without them entries could be
/// changed, or two parcels have one tracking number.
fn lacking_guards(db: &Connection) -> Result<Vec<String>, LedgerError> {
    let (has, should_have) = (list_guards(db)?, list_guards(&open_model()?)?);
    let lacking = should_have.iter().filter(|(name, text)| has.get(*name) != Some(text));
    let named: Vec<String> = lacking.map(|(name, _)| format!("`{name}`")).collect();
    Ok(tell(&named, ["is gone from the file or changed", "are gone from the file or changed"])
        .into_iter()
        .collect())
}

/// The triggers, indexes and views of a database, each by its name.
fn list_guards(db: &Connection) -> Result<BTreeMap<String, String>, LedgerError> {
    let mut query = db.prepare(
        "SELECT name, sql FROM sqlite_schema
         WHERE type IN ('trigger', 'index', 'view') AND sql IS NOT NULL",
    )?;
    let rows = query.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// What a query finds, named.
fn list_named(
    db: &Connection,
    query: &str,
    name: impl Fn(&Row<'_>) -> rusqlite::Result<Option<String>>,
) -> Result<Vec<String>, LedgerError> {
    let mut query = db.prepare(query)?;
    let mut rows = query.query([])?;
    let mut named = Vec::new();
    while let Some(row) = rows.next()? {
        named.extend(name(row)?);
    }
    Ok(named)
}

/// The name of a text that is no JSON of an order with its order's id; none for one that is.
fn name_other_text(row: &Row<'_>) -> rusqlite::Result<Option<String>> {
    let (text, order, json): (i64, String, String) = (row.get(0)?, row.get(1)?, row.get(2)?);
    Ok((read_id(&json).as_deref() != Some(&*order)).then(|| format!("text {text} of `{order}`")))
}

/// The part of an order's text that says its id.
#[derive(Deserialize)]
struct IdPart<'a> {
    /// The id, a text or a number of any length.
    #[serde(borrow)]
    id: &'a RawValue,
}

/// The id that an order's text says; none when it is no JSON or says none.
fn read_id(json: &str) -> Option<String> {
    let part: IdPart<'_> = serde_json::from_str(json).ok()?;
    let raw = part.id.get();
    match raw.starts_with('"') {
        true => serde_json::from_str::<String>(raw).ok().map(|id| id.trim().to_owned()),
        false => Some(raw.to_owned()),
    }
}

/// What is said of some entries, texts or orders; nothing of none.
fn tell(named: &[String], [one, many]: [&str; 2]) -> Option<String> {
    if named.is_empty() {
        return None;
    }
    let mut shown: Vec<&str> = named.iter().take(NAMED).map(|it| &**it).collect();
    let more = format!("{} more", named.len().saturating_sub(NAMED));
    if named.len() > NAMED {
        shown.push(&more);
    }
    let verb = if named.len() == 1 { one } else { many };
    Some(format!("{} {verb}", join_and(&shown)))
}
