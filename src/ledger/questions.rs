//! Questions to a ledger: what waits, what lies where, what went.
//!
//! In: a ledger. Out: rows as values. Not here: how they are shown.

use rusqlite::Connection;

use super::alike::fold;
use super::entry::{Event, LedgerEntry};
use super::entry_rows::{entries_of_request, read_entries, read_line};
use super::error::LedgerError;
use super::line::BenchLine;
use super::moment::Moment;
use super::now::{
    ORDER_COLUMNS, OrderNow, find_open_sitting, find_order, read_order_now, read_text,
};
use super::sent::{Sent, SentOrders};
use super::store::{Act, Ledger};
use super::went_before::find_went_before;

/// The words of a search that are looked for: the database takes no condition of a thousand parts.
const SEARCHED_WORDS: usize = 100;

/// The states of orders as a search lists them: what is still to be done first.
const SEARCHED_STATES: [&str; 5] = ["waiting", "in line", "doubted", "taken off", "handed over"];

/// The orders of a state that are searched in the order of their coming before all are. Ours: of
/// 100,000 orders, half a millisecond.
const SEARCHED_NEWEST: usize = 2_000;

/// A sitting in a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SittingNow {
    /// Its number, from 1, in the order in which sittings were opened.
    pub sitting: u32,
    /// The name that it was opened with.
    pub name: Box<str>,
    /// Its key, four characters of the alphabet of pair codes.
    pub key: Box<str>,
    /// When it began.
    pub opened: Moment,
    /// When it ended; none while it goes on.
    pub closed: Option<Moment>,
    /// How many parcels it has, those that are out left out.
    pub parcels: u32,
}

impl Ledger {
    /// The number of the sitting that is open; none when all are closed.
    ///
    /// # Errors
    /// Those of the database.
    pub fn open_sitting(&self) -> Result<Option<u32>, LedgerError> {
        find_open_sitting(self.db())
    }

    /// The line of a sitting.
    ///
    /// # Errors
    /// When there is no such sitting.
    pub fn line(&self, sitting: u32) -> Result<BenchLine, LedgerError> {
        read_line(self.db(), sitting)
    }

    /// All sittings, the newest first.
    ///
    /// # Errors
    /// Those of the database.
    pub fn sittings(&self) -> Result<Vec<SittingNow>, LedgerError> {
        let mut query = self.db().prepare_cached(
            "SELECT sitting, name, key, opened, closed,
                 (SELECT count(*) FROM parcel_now WHERE parcel_now.sitting = sitting_now.sitting
                  AND state <> 'taken off' AND state <> 'set aside')
             FROM sitting_now ORDER BY sitting DESC",
        )?;
        let rows = query.query_map([], |row| {
            let (opened, closed): (String, Option<String>) = (row.get(3)?, row.get(4)?);
            Ok(SittingNow {
                sitting: row.get(0)?,
                name: row.get::<_, String>(1)?.into(),
                key: row.get::<_, String>(2)?.into(),
                opened: Moment::parse(&opened).unwrap_or(Moment::of_clock(0, 0)),
                closed: closed.as_deref().and_then(Moment::parse),
                parcels: row.get(5)?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Orders of a state (`waiting`, `doubted`, `in line`, `handed over`, `taken off`), in the order in
    /// which they came in.
    ///
    /// # Errors
    /// Those of the database.
    pub fn orders_in(&self, state: &str) -> Result<Vec<OrderNow>, LedgerError> {
        self.orders_where("WHERE state = ?1 ORDER BY came", [state])
    }

    /// Orders in which all words of a text stand somewhere (id, tag, name, company, town, postcode,
    /// country letters, items), letters large or small, with or without accents: those that wait, then those in a line, doubted, taken off and handed
    /// over, of each the newest first; at most `most`. A hundred words are looked for.
    ///
    /// # Errors
    /// Those of the database.
    pub fn find_orders(&self, text: &str, most: usize) -> Result<Vec<OrderNow>, LedgerError> {
        let words: Vec<String> = text.split_whitespace().take(SEARCHED_WORDS).map(fold).collect();
        let mut found = Vec::new();
        if words.is_empty() {
            return Ok(found);
        }
        for state in SEARCHED_STATES {
            let left = most - found.len();
            if left == 0 {
                break;
            }
            found.extend(self.find_in_state(state, &words, left)?);
        }
        Ok(found)
    }

    /// The newest orders of a state in which all words stand, at most `most`.
    ///
    /// What many orders have is found among the newest, which an index lists in order, so that nothing
    /// is sorted; what few have is found sooner by reading the table as it lies, and is soon sorted.
    fn find_in_state(
        &self,
        state: &str,
        words: &[String],
        most: usize,
    ) -> Result<Vec<OrderNow>, LedgerError> {
        let has_words: String = (2..words.len() + 2)
            .map(|place| format!(" AND instr(coalesce(words, lower(id)), ?{place}) > 0"))
            .collect();
        let values = || {
            let words = words.iter().map(String::as_str);
            rusqlite::params_from_iter(std::iter::once(state).chain(words))
        };
        let oldest =
            "SELECT came FROM order_now WHERE state = ?1 ORDER BY came DESC LIMIT 1 OFFSET";
        let newest = format!(
            "WHERE state = ?1 AND came > coalesce(({oldest} {SEARCHED_NEWEST}), -1){has_words}
             ORDER BY came DESC LIMIT {most}"
        );
        let found = self.orders_where(&newest, values())?;
        if found.len() == most || !self.has_more_than(state, SEARCHED_NEWEST)? {
            return Ok(found);
        }
        // The sign keeps the database from going through the index.
        let all = format!("WHERE +state = ?1{has_words} ORDER BY came DESC LIMIT {most}");
        self.orders_where(&all, values())
    }

    /// Whether more orders than that are in a state.
    fn has_more_than(&self, state: &str, count: usize) -> Result<bool, LedgerError> {
        let text = format!("SELECT 1 FROM order_now WHERE state = ?1 LIMIT 1 OFFSET {count}");
        Ok(self.db().prepare_cached(&text)?.exists([state])?)
    }

    /// One order; none when it never came in.
    ///
    /// # Errors
    /// Those of the database.
    pub fn order(&self, id: &str) -> Result<Option<OrderNow>, LedgerError> {
        find_order(self.db(), id)
    }

    /// What an order says, as JSON; none when it was forgotten or never came in.
    ///
    /// # Errors
    /// Those of the database.
    pub fn order_json(&self, id: &str) -> Result<Option<String>, LedgerError> {
        match find_order(self.db(), id)? {
            Some(order) => read_text(self.db(), order.text),
            None => Ok(None),
        }
    }

    /// What an order said when an entry was written, as JSON; none when it was forgotten or had not come
    /// in.
    ///
    /// # Errors
    /// Those of the database.
    pub fn order_json_at(&self, id: &str, seq: i64) -> Result<Option<String>, LedgerError> {
        let entries =
            read_entries(self.db(), "WHERE sitting IS NULL AND event ->> 'order' = ?1", [id])?;
        let before = entries.iter().rev().filter(|entry| entry.seq <= seq);
        let text = before.map(|entry| match entry.event {
            Event::Came { text, .. } | Event::Changed { text, .. } => Some(text),
            _ => None,
        });
        match text.flatten().next() {
            Some(text) => read_text(self.db(), text),
            None => Ok(None),
        }
    }

    /// Orders that went, oldest first.
    ///
    /// # Errors
    /// Those of the database.
    pub fn sent(&self, which: SentOrders) -> Result<Vec<Sent>, LedgerError> {
        find_sent(self.db(), which)
    }

    /// Everything that happened in a sitting, oldest first.
    ///
    /// # Errors
    /// Those of the database.
    pub fn story(&self, sitting: u32) -> Result<Vec<LedgerEntry>, LedgerError> {
        read_entries(self.db(), "WHERE sitting = ?1", [sitting])
    }

    /// Everything that happened to an order and to the parcels that it lay in, oldest first.
    ///
    /// # Errors
    /// Those of the database.
    pub fn story_of_order(&self, id: &str) -> Result<Vec<LedgerEntry>, LedgerError> {
        let mut entries =
            read_entries(self.db(), "WHERE sitting IS NULL AND event ->> 'order' = ?1", [id])?;
        let mut query = self.db().prepare_cached(
            "SELECT sitting, number FROM order_been WHERE id = ?1 ORDER BY sitting, number",
        )?;
        let been = query.query_map([id], |row| Ok((row.get(0)?, row.get(1)?)))?;
        let been: Vec<(u32, u32)> = been.collect::<Result<_, _>>()?;
        for (sitting, number) in been {
            let story = self.story(sitting)?;
            entries.extend(story.into_iter().filter(|entry| entry.event.number() == Some(number)));
        }
        entries.sort_by_key(|entry| entry.seq);
        Ok(entries)
    }

    /// What the act entered that a request began; nothing when the request was never given.
    ///
    /// # Errors
    /// Those of the database.
    pub fn entries_of(&self, request: &str) -> Result<Vec<LedgerEntry>, LedgerError> {
        entries_of_request(self.db(), request)
    }

    /// The number of the last entry, which tells whether anything happened since.
    ///
    /// # Errors
    /// Those of the database.
    pub fn last_entry(&self) -> Result<i64, LedgerError> {
        let last: Option<i64> =
            self.db().query_row("SELECT max(seq) FROM entry", [], |row| row.get(0))?;
        Ok(last.unwrap_or_default())
    }

    /// The orders that hold a condition of SQL, which never has text of an order in it.
    fn orders_where(
        &self,
        condition: &str,
        parameters: impl rusqlite::Params,
    ) -> Result<Vec<OrderNow>, LedgerError> {
        let text = format!("SELECT {ORDER_COLUMNS} FROM order_now {condition}");
        let mut query = self.db().prepare_cached(&text)?;
        let rows = query.query_map(parameters, read_order_now)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

impl Act<'_> {
    /// Orders that went, oldest first, as it is while this act lasts.
    ///
    /// # Errors
    /// Those of the database.
    pub fn sent(&self, which: SentOrders) -> Result<Vec<Sent>, LedgerError> {
        find_sent(self.db(), which)
    }

    /// One order; none when it never came in.
    ///
    /// # Errors
    /// Those of the database.
    pub fn order(&self, id: &str) -> Result<Option<OrderNow>, LedgerError> {
        find_order(self.db(), id)
    }

    /// What an order says, as JSON; none when it was forgotten or never came in.
    ///
    /// # Errors
    /// Those of the database.
    pub fn order_json(&self, id: &str) -> Result<Option<String>, LedgerError> {
        match find_order(self.db(), id)? {
            Some(order) => read_text(self.db(), order.text),
            None => Ok(None),
        }
    }
}

/// Orders that went, oldest first.
fn find_sent(db: &Connection, which: SentOrders) -> Result<Vec<Sent>, LedgerError> {
    // Each condition is written out, so that it is answered by an index of its own.
    let (condition, sitting) = match which {
        SentOrders::Untold => ("order_now.told IS NULL AND ?1 IS NULL", None),
        SentOrders::OfSitting(sitting) => ("order_now.sitting = ?1", Some(sitting)),
        SentOrders::All => ("?1 IS NULL", None),
    };
    let mut query = db.prepare_cached(&format!(
        "SELECT order_now.id, order_now.sitting, order_now.number, order_now.since,
             coalesce(parcel_now.tracking, ''), order_now.told
         FROM order_now LEFT JOIN parcel_now
             ON parcel_now.sitting = order_now.sitting
             AND parcel_now.number = order_now.number
         WHERE order_now.state = 'handed over' AND {condition}
         ORDER BY order_now.sitting, order_now.number, order_now.came"
    ))?;
    let rows = query.query_map([sitting], |row| {
        let (at, told): (String, Option<String>) = (row.get(3)?, row.get(5)?);
        Ok(Sent {
            order: row.get::<_, String>(0)?.into(),
            sitting: row.get(1)?,
            number: row.get(2)?,
            at: Moment::parse(&at).unwrap_or(Moment::of_clock(0, 0)),
            tracking: row.get::<_, String>(4)?.into(),
            told: told.as_deref().and_then(Moment::parse),
        })
    })?;
    let mut sent: Vec<Sent> = rows.collect::<Result<_, _>>()?;
    let before = find_went_before(db, which)?;
    if !before.is_empty() {
        sent.extend(before);
        // Orders of a parcel stay as they came in.
        sent.sort_by_key(|order| (order.sitting, order.number));
    }
    Ok(sent)
}
