//! What was done last in a line is taken back by a newer entry.
//!
//! In: a sitting. Out: the act that would be taken back, and the line without it. Several stations work on one
//! line: what was done last may be another's. Not here: words for it.

use rusqlite::OptionalExtension as _;

use super::entry::{Event, LedgerEntry};
use super::entry_rows::read_entries;
use super::error::LedgerError;
use super::line::BenchLine;
use super::line_refusal::LineRefusal;
use super::now::{find_order, places_of, write_changes};
use super::store::{Act, Ledger};

/// The entries of a sitting.
const OF_SITTING: &str = "WHERE sitting = ?1";

/// The request of an act, which stands on its first entry, given one of its entries: the entries of an act
/// follow each other, so that those before it are read back to the act before. The sign keeps the
/// database from going through the requests of all years.
const REQUEST_OF_ACT: &str = "SELECT request FROM entry
     WHERE act = ?1 AND +request IS NOT NULL AND seq <= ?2
     AND seq > coalesce((SELECT max(seq) FROM entry WHERE seq < ?2 AND act <> ?1), 0)";

/// The act that was done last in a sitting and holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LastAct {
    /// Its number.
    pub act: i64,
    /// What it entered in the sitting, its beginning left out.
    pub entries: Vec<LedgerEntry>,
    /// What the one who did it called its request.
    pub request: Option<Box<str>>,
}

impl Ledger {
    /// What was done last in a sitting; none when there is nothing, or it cannot be taken back.
    ///
    /// # Errors
    /// Those of the database.
    pub fn last_act(&self, sitting: u32) -> Result<Option<LastAct>, LedgerError> {
        let mut entries = read_entries(self.db(), OF_SITTING, [sitting])?;
        let Some(act) = last_act(&entries) else { return Ok(None) };
        entries.retain(|entry| is_of(entry, act));
        if !entries.iter().all(|entry| entry.event.can_be_undone()) {
            return Ok(None);
        }
        let seq = entries.first().map_or(0, |entry| entry.seq);
        let mut query = self.db().prepare_cached(REQUEST_OF_ACT)?;
        let request: Option<String> = query.query_row([act, seq], |row| row.get(0)).optional()?;
        Ok(Some(LastAct { act, entries, request: request.map(Into::into) }))
    }
}

impl Act<'_> {
    /// Takes back what was done last in a sitting; returns the entries that no longer hold, and the
    /// line.
    ///
    /// # Errors
    /// When there is nothing, when it cannot be taken back, or when an order of it has gone
    /// elsewhere meanwhile.
    pub fn undo(&mut self, sitting: u32) -> Result<(Vec<LedgerEntry>, BenchLine), LedgerError> {
        let refuse = |why| LedgerError::Refused(LineRefusal::NothingToUndo(why));
        let before = self.line(sitting)?;
        let entries = read_entries(self.db(), OF_SITTING, [sitting])?;
        let last = last_act(&entries).ok_or_else(|| refuse("there is nothing to take back"))?;
        let (taken, kept): (Vec<LedgerEntry>, Vec<LedgerEntry>) =
            entries.into_iter().partition(|entry| is_of(entry, last));
        if taken.iter().any(|entry| matches!(entry.event, Event::Printed { .. })) {
            return Err(refuse("what was printed last cannot be taken back: the paper is there"));
        }
        if !taken.iter().all(|entry| entry.event.can_be_undone()) {
            return Err(refuse("what was done last cannot be taken back"));
        }
        let seq = self.append(Some(sitting), &Event::Undone { undoes: last })?;
        let mut now = kept;
        now.extend(taken.iter().cloned());
        now.sort_by_key(|entry| entry.seq);
        now.extend(read_entries(self.db(), "WHERE seq = ?1", [seq])?);
        let after = BenchLine::replay(&now)
            .map_err(|(seq, why)| LedgerError::Contradiction { seq, why: why.to_string() })?;
        self.expect_unmoved(&before, &after)?;
        self.refuse_tracking_of(&before, &after)?;
        write_changes(self.db(), Some(&before), &after, self.at())?;
        Ok((taken, after))
    }

    /// Refuses to take back what somebody has not seen: the last act of the sitting that holds must be this one.
    ///
    /// # Errors
    /// When it is another, or there is none.
    pub fn expect_last(&self, sitting: u32, act: i64) -> Result<(), LedgerError> {
        let entries = read_entries(self.db(), OF_SITTING, [sitting])?;
        match last_act(&entries) {
            Some(last) if last == act => Ok(()),
            _ => Err(LedgerError::Refused(LineRefusal::NotTheLast(act))),
        }
    }

    /// Refuses to move orders from where a line has them when they are no longer there.
    fn expect_unmoved(&self, before: &BenchLine, after: &BenchLine) -> Result<(), LedgerError> {
        let (old, new) = (places_of(before), places_of(after));
        for (id, place) in &old {
            if new.get(id) == Some(place) {
                continue;
            }
            if let Some(now) = find_order(self.db(), id)?
                && now.place != *place
            {
                return Err(LedgerError::OrderIs { order: (*id).into(), place: now.place });
            }
        }
        Ok(())
    }

    /// Refuses to bring back tracking numbers that other parcels have by now.
    fn refuse_tracking_of(&self, before: &BenchLine, after: &BenchLine) -> Result<(), LedgerError> {
        let held = |line: &BenchLine, number: u32| {
            let parcel = line.parcel(number).filter(|parcel| !parcel.state.is_out())?;
            Some(parcel.tracking.clone())
        };
        for parcel in after.present().filter(|parcel| !parcel.tracking.is_empty()) {
            if held(before, parcel.number).as_ref() != Some(&parcel.tracking) {
                self.refuse_used(&parcel.tracking)?;
            }
        }
        Ok(())
    }
}

/// The number of the last act of a sitting that still holds, its beginning left out.
fn last_act(entries: &[LedgerEntry]) -> Option<i64> {
    let undone: Vec<i64> = entries
        .iter()
        .filter_map(|entry| match entry.event {
            Event::Undone { undoes } => Some(undoes),
            _ => None,
        })
        .collect();
    let held = entries.iter().rev().filter(|entry| {
        // What an export has changed is no act of the bench: the one before it can be taken back.
        !matches!(
            entry.event,
            Event::Undone { .. }
                | Event::Opened { .. }
                | Event::Redeclared { .. }
                | Event::Refilled { .. }
                | Event::Numbered { .. }
        ) && !undone.contains(&entry.act)
    });
    held.map(|entry| entry.act).next()
}

/// Whether an entry goes with an act that is taken back. A sitting that began with it stays begun: its key is
/// given.
fn is_of(entry: &LedgerEntry, act: i64) -> bool {
    entry.act == act && !matches!(entry.event, Event::Opened { .. })
}

#[cfg(test)]
mod tests {
    use super::REQUEST_OF_ACT;
    use crate::ledger::store::tell_plan;

    #[test]
    fn the_request_of_an_act_is_found_without_reading_those_of_all_years() {
        let plan = tell_plan(REQUEST_OF_ACT);
        assert!(plan.contains("rowid>? AND rowid<?"), "{plan}");
        assert!(!plan.contains("SCAN") && !plan.contains("entry_of_request"), "{plan}");
    }
}
