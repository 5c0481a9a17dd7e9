//! Forgetting: what old orders said of people goes, what happened stays.
//!
//! In: a date. Out: texts of orders that went or were taken off before it are removed from the file,
//! its free pages and its journal too. Ids, tags, dates and tracking numbers stay, as does everything
//! of orders that still wait. Not here: kits and exports, which lie in folders of their own.

use super::entry::Event;
use super::error::LedgerError;
use super::moment::Moment;
use super::store::{Act, Ledger};

/// What was forgotten, and what stays.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Forgotten {
    /// The ids of the orders whose texts went.
    pub orders: Vec<Box<str>>,
    /// The kits that were printed in sittings that ended before the date.
    pub kits: Vec<PrintedKit>,
    /// How many orders keep their texts, because they wait, lie in a line, or went later.
    pub kept: u32,
}

/// A kit that was printed in a sitting, as the ledger knows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PrintedKit {
    /// Its folder, as it was called then.
    pub folder: Box<str>,
    /// The sitting's key, which tells whether it is still that kit.
    pub key: Box<str>,
}

impl Act<'_> {
    /// Forgets what orders said that went, or were taken off, before a date.
    ///
    /// # Errors
    /// Those of the database.
    pub fn forget(&mut self, before: Moment) -> Result<Forgotten, LedgerError> {
        let old = self.old_orders(before)?;
        let kits = self.old_kits(before)?;
        if !old.is_empty() {
            for order in &old {
                self.db()
                    .prepare_cached(
                        "UPDATE order_text SET json = NULL WHERE order_id = ?1
                         AND json IS NOT NULL",
                    )?
                    .execute([order])?;
            }
            let before = before.date().into();
            self.order_event(&Event::Forgot { before, orders: old.clone() })?;
        }
        let kept = self.db().query_row(
            "SELECT count(DISTINCT order_id) FROM order_text WHERE json IS NOT NULL",
            [],
            |row| row.get(0),
        )?;
        Ok(Forgotten { orders: old, kits, kept })
    }

    /// The orders that went or were taken off before a date and still have a text.
    fn old_orders(&self, before: Moment) -> Result<Vec<Box<str>>, LedgerError> {
        let mut query = self.db().prepare(
            "SELECT id, since FROM order_now WHERE state IN ('handed over', 'taken off')
             AND EXISTS (SELECT 1 FROM order_text WHERE order_id = id AND json IS NOT NULL)
             ORDER BY came",
        )?;
        let rows = query.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
        let rows: Vec<(String, String)> = rows.collect::<Result<_, _>>()?;
        let is_old = |since: &str| Moment::parse(since).is_some_and(|since| since < before);
        Ok(rows.into_iter().filter(|(_, since)| is_old(since)).map(|(id, _)| id.into()).collect())
    }

    /// The kits that were printed in sittings that ended before a date.
    fn old_kits(&self, before: Moment) -> Result<Vec<PrintedKit>, LedgerError> {
        let mut query = self.db().prepare(
            "SELECT DISTINCT entry.event ->> 'kit', sitting_now.key, sitting_now.closed
             FROM entry JOIN sitting_now ON sitting_now.sitting = entry.sitting
             WHERE entry.event ->> 'what' = 'printed' AND sitting_now.closed IS NOT NULL
             AND entry.event ->> 'kit' IS NOT NULL ORDER BY entry.sitting",
        )?;
        let rows = query.query_map([], |row| {
            let (folder, key): (String, String) = (row.get(0)?, row.get(1)?);
            let closed: String = row.get(2)?;
            Ok((PrintedKit { folder: folder.into(), key: key.into() }, closed))
        })?;
        let rows: Vec<(PrintedKit, String)> = rows.collect::<Result<_, _>>()?;
        let is_old = |closed: &str| Moment::parse(closed).is_some_and(|closed| closed < before);
        Ok(rows.into_iter().filter(|(_, closed)| is_old(closed)).map(|(kit, _)| kit).collect())
    }
}

impl Ledger {
    /// Takes what was forgotten out of the file's free pages and out of its journal.
    ///
    /// # Errors
    /// Those of the database.
    pub fn wipe(&mut self) -> Result<(), LedgerError> {
        self.db_mut().execute_batch("VACUUM; PRAGMA wal_checkpoint(TRUNCATE);")?;
        Ok(())
    }
}
