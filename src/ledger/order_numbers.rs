//! Tracking numbers that orders bring with them: a parcel has the one on which its orders agree, until
//! `track` says another.
//!
//! In: what the orders of a parcel say. Out: entries where the parcel's number becomes another. Not here:
//! numbers that somebody types or scans (`acts`).

use serde_json::Value;

use super::entry::Event;
use super::error::LedgerError;
use super::line::{BenchLine, LineParcel};
use super::now::{find_order, read_text};
use super::store::Act;
use crate::fields::tracking_key;

impl Act<'_> {
    /// The tracking number on which a parcel's orders agree, as scanners give it; empty when they say none,
    /// or several.
    pub(super) fn number_of_orders(&self, orders: &[Box<str>]) -> Result<String, LedgerError> {
        let mut agreed: Option<String> = None;
        for id in orders {
            let text = match find_order(self.db(), id)? {
                Some(order) => read_text(self.db(), order.text)?.unwrap_or_default(),
                None => String::new(),
            };
            let number = number_said(&text);
            if agreed.get_or_insert_with(|| number.clone()) != &number {
                return Ok(String::new());
            }
        }
        Ok(agreed.unwrap_or_default())
    }

    /// Gives a parcel that was lined up the number that its orders say.
    ///
    /// An order that goes again may still say the number that it went under: that one is not this parcel's.
    ///
    /// # Errors
    /// When another parcel has it.
    pub(super) fn take_number(
        &mut self,
        sitting: u32,
        number: u32,
    ) -> Result<BenchLine, LedgerError> {
        let line = self.line(sitting)?;
        let Some(parcel) = line.parcel(number) else { return Ok(line) };
        let tracking = self.number_of_orders(&parcel.orders)?;
        if tracking.is_empty() {
            return Ok(line);
        }
        match self.refuse_used(&tracking) {
            Ok(()) => {}
            Err(LedgerError::TrackingUsed { sitting: its, number: other, .. })
                if self.has_gone_with(parcel, its, other)? =>
            {
                return Ok(line);
            }
            Err(refused) => return Err(refused),
        }
        self.happen(sitting, Event::Numbered { number, tracking: tracking.into() })
    }

    /// Lets a parcel's number follow its orders, of which one says something else than before: where it was
    /// theirs, `was`, it is what they say now. A number that another parcel has is nobody's twice; the
    /// parcel has none then, and its papers are not printed.
    pub(super) fn follow_number(
        &mut self,
        sitting: u32,
        number: u32,
        was: &str,
    ) -> Result<(), LedgerError> {
        let line = self.line(sitting)?;
        let Some(parcel) = line.parcel(number) else { return Ok(()) };
        let mut is = self.number_of_orders(&parcel.orders)?;
        let had = tracking_key(&parcel.tracking);
        if had != was || is == was {
            return Ok(());
        }
        match self.refuse_another_s(sitting, number, &is) {
            Err(LedgerError::TrackingUsed { .. }) => is.clear(),
            refused => refused?,
        }
        if is != had {
            self.happen(sitting, Event::Numbered { number, tracking: is.into() })?;
        }
        Ok(())
    }

    /// Whether a parcel that went had an order of this one.
    fn has_gone_with(
        &self,
        parcel: &LineParcel,
        sitting: u32,
        number: u32,
    ) -> Result<bool, LedgerError> {
        let line = self.line(sitting)?;
        let other = line.parcel(number).filter(|other| !other.state.is_open());
        Ok(other.is_some_and(|other| other.orders.iter().any(|id| parcel.orders.contains(id))))
    }
}

/// The tracking number that an order's JSON says, as scanners give it; empty when it says none.
fn number_said(json: &str) -> String {
    let order: Value = serde_json::from_str(json).unwrap_or_default();
    match &order["tracking"] {
        Value::String(text) => tracking_key(text),
        Value::Number(number) => tracking_key(&number.to_string()),
        _ => String::new(),
    }
}
