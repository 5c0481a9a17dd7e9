//! What can be done with a ledger: the acts of an evening, each checked against what holds now.
//!
//! In: an [`Act`] that has begun, and what the seller says. Out: entries appended, or the reason why
//! not; an act that fails leaves nothing behind. Not here: weights, packs and prices, tags that could
//! be mistaken, and how anything is printed: those who call have looked at them before.

use rusqlite::OptionalExtension as _;

use super::entry::{Event, Facts, Matching, Paper};
use super::error::{LedgerError, OrderPlace};
use super::line::BenchLine;
use super::now::{find_open_sitting, find_order, write_changes, write_order_event};
use super::parcel_state::ParcelState;
use super::sent::{Sent, SentOrders};
use super::store::Act;
use super::went_before::find_went_before;
use crate::fields::tracking_key;
use crate::hash::StableHash;
use crate::pairs::BatchKey;

/// The parcel that has one of two tracking numbers. It names every condition of the index of tracking
/// numbers, also that they are not empty: without it, each number would be looked for in the parcels of
/// all years.
const PARCEL_OF_TRACKING: &str = "SELECT sitting, number, tag, state FROM parcel_now
     WHERE tracking IN (?1, ?2) AND tracking <> '' AND state <> 'taken off' AND state <> 'set aside'";

/// Which papers of a parcel were made, and what they say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PrintedParcel {
    /// Which parcel of the line it is.
    pub number: u32,
    /// How many parcels the line has, as its papers say.
    pub count: u32,
    /// What stands on its papers.
    pub papers: Vec<Paper>,
}

impl Act<'_> {
    /// The sitting that is open; none when all are closed.
    ///
    /// # Errors
    /// Those of the database.
    pub fn open_sitting(&self) -> Result<Option<u32>, LedgerError> {
        find_open_sitting(self.db())
    }

    /// The sitting that is open.
    ///
    /// # Errors
    /// When none is.
    pub fn expect_sitting(&self) -> Result<u32, LedgerError> {
        self.open_sitting()?.ok_or(LedgerError::NoSitting(None))
    }

    /// Begins a sitting; returns its line.
    ///
    /// # Errors
    /// When one is open already: a bench has one line.
    pub fn begin_sitting(&mut self, name: &str) -> Result<BenchLine, LedgerError> {
        if let Some(sitting) = self.open_sitting()? {
            let line = self.line(sitting)?;
            return Err(LedgerError::SittingOpen { sitting, name: line.name });
        }
        let last: Option<u32> =
            self.db().query_row("SELECT max(sitting) FROM sitting_now", [], |row| row.get(0))?;
        let sitting = last.unwrap_or_default() + 1;
        let mut query = self.db().prepare("SELECT 1 FROM sitting_now WHERE key = ?1")?;
        let (began, ledger) = (self.at().seconds(), self.ledger_mark()?);
        let key = BatchKey::of_sitting(name, sitting, began, ledger, |key| {
            query.exists([key.as_str()]).unwrap_or_default()
        });
        drop(query);
        let event = Event::Opened { name: name.into(), key: key.as_str().into() };
        self.append(Some(sitting), &event)?;
        let line = BenchLine::open(sitting, name, key, self.at());
        write_changes(self.db(), None, &line, self.at())?;
        Ok(line)
    }

    /// What tells this ledger from another one in which a sitting begins in the same second: what its first and
    /// its newest order say. No chance is in it, so that a script that is run again makes the same codes.
    fn ledger_mark(&self) -> Result<u64, LedgerError> {
        let mut hash = StableHash::new();
        for direction in ["ASC", "DESC"] {
            let text = format!(
                "SELECT json FROM order_text WHERE json IS NOT NULL ORDER BY text {direction} LIMIT 1"
            );
            let mut query = self.db().prepare(&text)?;
            let json: Option<String> = query.query_row([], |row| row.get(0)).optional()?;
            hash = hash.field(json.as_deref().unwrap_or_default());
        }
        Ok(hash.finish())
    }

    /// Lines up waiting orders as one parcel, at the end of the line; returns the line.
    ///
    /// # Errors
    /// When an order does not wait, another parcel has the tracking number that the orders say, or the line
    /// does not allow it.
    pub fn line_up(
        &mut self,
        sitting: u32,
        orders: &[Box<str>],
        tag: &str,
        facts: Facts,
    ) -> Result<BenchLine, LedgerError> {
        orders.iter().try_for_each(|order| self.expect_waiting(order))?;
        let line = self.line(sitting)?;
        let number = line.next_number();
        let pair = line.next_pair().as_str().into();
        let event = Event::LinedUp { number, orders: orders.to_vec(), tag: tag.into(), pair };
        self.happen(sitting, event)?;
        let line = self.take_number(sitting, number)?;
        if facts == Facts::default() {
            return Ok(line);
        }
        self.happen(sitting, Event::Noted { number, facts })
    }

    /// Lets a waiting order join a parcel.
    ///
    /// # Errors
    /// When it does not wait, or the line does not allow it.
    pub fn join(
        &mut self,
        sitting: u32,
        number: u32,
        order: &str,
    ) -> Result<BenchLine, LedgerError> {
        self.expect_waiting(order)?;
        self.happen(sitting, Event::Joined { number, order: order.into(), elsewhere: false })
    }

    /// Lets a waiting order join a parcel that may go to another address than it does.
    ///
    /// # Errors
    /// When it does not wait, or the line does not allow it.
    pub fn join_elsewhere(
        &mut self,
        sitting: u32,
        number: u32,
        order: &str,
    ) -> Result<BenchLine, LedgerError> {
        self.expect_waiting(order)?;
        self.happen(sitting, Event::Joined { number, order: order.into(), elsewhere: true })
    }

    /// Records what was printed. Of a parcel whose papers are as they were nothing is recorded.
    ///
    /// # Errors
    /// When the line does not allow it.
    pub fn printed(
        &mut self,
        sitting: u32,
        parcels: Vec<PrintedParcel>,
        kit: Option<&str>,
    ) -> Result<BenchLine, LedgerError> {
        let mut line = self.line(sitting)?;
        for PrintedParcel { number, count, papers } in parcels {
            let kit = kit.map(Into::into);
            line = self.happen(sitting, Event::Printed { number, count, papers, kit })?;
        }
        Ok(line)
    }

    /// Records that a parcel's label and bench card belong together.
    ///
    /// # Errors
    /// When it is not printed, is matched already, or is out.
    pub fn matched(
        &mut self,
        sitting: u32,
        number: u32,
        how: Matching,
    ) -> Result<BenchLine, LedgerError> {
        self.happen(sitting, Event::Matched { number, how })
    }

    /// Gives a parcel its tracking number; the same once more changes nothing.
    ///
    /// # Errors
    /// When it is no tracking number, another parcel has it, or the parcel is out.
    pub fn track(
        &mut self,
        sitting: u32,
        number: u32,
        tracking: &str,
    ) -> Result<BenchLine, LedgerError> {
        let line = self.line(sitting)?;
        let has_it = |line: &BenchLine| {
            let parcel = line.parcel(number).filter(|parcel| !parcel.state.is_out());
            parcel.is_some_and(|parcel| tracking_key(&parcel.tracking) == tracking_key(tracking))
        };
        if has_it(&line) {
            return Ok(line);
        }
        self.refuse_no_tracking(&line, number, tracking)?;
        self.refuse_used(tracking)?;
        self.happen(sitting, Event::Tracked { number, tracking: tracking.into() })
    }

    /// Refuses a tracking number that another parcel of any sitting has than this one.
    ///
    /// # Errors
    /// When another has it.
    pub fn refuse_another_s(
        &self,
        sitting: u32,
        number: u32,
        tracking: &str,
    ) -> Result<(), LedgerError> {
        match self.refuse_used(tracking) {
            Err(LedgerError::TrackingUsed { sitting: its, number: it, .. })
                if (its, it) == (sitting, number) =>
            {
                Ok(())
            }
            refused => refused,
        }
    }

    /// Refuses a tracking number that a parcel of any sitting has.
    pub(super) fn refuse_used(&self, tracking: &str) -> Result<(), LedgerError> {
        let mut query = self.db().prepare_cached(PARCEL_OF_TRACKING)?;
        let used = query
            .query_row([tracking, &other_writing(tracking)], |row| {
                let (tag, state): (String, String) = (row.get(2)?, row.get(3)?);
                Ok(LedgerError::TrackingUsed {
                    tracking: tracking.into(),
                    sitting: row.get(0)?,
                    number: row.get(1)?,
                    tag: tag.into(),
                    state: ParcelState::parse(&state).unwrap_or(ParcelState::LinedUp),
                })
            })
            .optional()?;
        used.map_or(Ok(()), Err)
    }

    /// Ends a sitting. Parcels that have not gone are set aside for the reason given; their orders
    /// wait for the next sitting.
    ///
    /// # Errors
    /// When parcels have not gone and no reason is given.
    pub fn close(&mut self, sitting: u32, leave: Option<&str>) -> Result<BenchLine, LedgerError> {
        let line = self.line(sitting)?;
        let left: Vec<u32> =
            line.parcels().filter(|it| it.state.is_open()).map(|it| it.number).collect();
        if let Some(reason) = leave {
            for number in left {
                self.happen(sitting, Event::SetAside { number, reason: reason.into() })?;
            }
        }
        self.happen(sitting, Event::Closed {})
    }

    /// Lets an order that went, was taken off or is held back join a line all the same.
    ///
    /// # Errors
    /// When there is no such order, or it waits or lies in a line.
    pub fn again(&mut self, order: &str, reason: &str) -> Result<(), LedgerError> {
        let now = self.expect_order(order)?;
        if matches!(now, OrderPlace::Waiting | OrderPlace::InLine(..)) {
            return Err(LedgerError::OrderIs { order: order.into(), place: now });
        }
        self.order_event(&Event::Again { order: order.into(), reason: reason.into() })
    }

    /// Takes a waiting order off.
    ///
    /// # Errors
    /// When there is no such order, or it does not wait.
    pub fn cancel(&mut self, order: &str, reason: &str) -> Result<(), LedgerError> {
        let now = self.expect_order(order)?;
        if !matches!(now, OrderPlace::Waiting | OrderPlace::Doubted(_)) {
            return Err(LedgerError::OrderIs { order: order.into(), place: now });
        }
        self.order_event(&Event::Cancelled { order: order.into(), reason: reason.into() })
    }

    /// Records that the shop was told of orders that went.
    ///
    /// # Errors
    /// When one of them has not gone.
    pub fn exported(&mut self, orders: Vec<Box<str>>) -> Result<(), LedgerError> {
        for order in &orders {
            let now = self.expect_order(order)?;
            if !matches!(now, OrderPlace::HandedOver(..)) && !self.has_gone_before(order)? {
                return Err(LedgerError::OrderIs { order: order.clone(), place: now });
            }
        }
        self.order_event(&Event::Exported { orders })
    }

    /// Whether an order that is to go again went in a parcel before, whatever the shop was told of that.
    fn has_gone_before(&self, order: &str) -> Result<bool, LedgerError> {
        let gone = find_went_before(self.db(), SentOrders::All)?;
        Ok(gone.iter().any(|sent| *sent.order == *order))
    }

    /// The parcel in which an order went that is to go again, and of which the shop was not told; none when
    /// there is none.
    ///
    /// # Errors
    /// Those of the database.
    pub fn went_untold(&self, order: &str) -> Result<Option<Sent>, LedgerError> {
        let untold = find_went_before(self.db(), SentOrders::Untold)?;
        Ok(untold.into_iter().rev().find(|sent| *sent.order == *order))
    }

    /// Appends an event of orders that are in no line, and writes what it changed.
    pub(super) fn order_event(&mut self, event: &Event) -> Result<(), LedgerError> {
        let seq = self.append(None, event)?;
        write_order_event(self.db(), seq, event, self.at())
    }

    /// Where an order is; refused when none has this id.
    fn expect_order(&self, order: &str) -> Result<OrderPlace, LedgerError> {
        let now = find_order(self.db(), order)?;
        now.map(|now| now.place).ok_or_else(|| LedgerError::NoOrder(order.into()))
    }

    /// Refuses an order that does not wait.
    fn expect_waiting(&self, order: &str) -> Result<(), LedgerError> {
        match self.expect_order(order)? {
            OrderPlace::Waiting => Ok(()),
            place => Err(LedgerError::OrderIs { order: order.into(), place }),
        }
    }
}

/// A tracking number as it is written else: an SSCC without the `00` in front that says what it is (its
/// application identifier, GS1 General Specifications), or with it. Itself where there is no other writing.
fn other_writing(tracking: &str) -> String {
    let is_all_digits = tracking.bytes().all(|byte| byte.is_ascii_digit());
    match (tracking.len(), tracking.strip_prefix("00")) {
        (20, Some(digits)) if is_all_digits => digits.to_owned(),
        (18, _) if is_all_digits => format!("00{tracking}"),
        _ => tracking.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::PARCEL_OF_TRACKING;
    use crate::ledger::store::tell_plan;

    #[test]
    fn a_tracking_number_is_found_without_reading_the_parcels_of_all_years() {
        let plan = tell_plan(PARCEL_OF_TRACKING);
        assert!(plan.contains("parcel_by_tracking") && !plan.contains("SCAN"), "{plan}");
    }
}
