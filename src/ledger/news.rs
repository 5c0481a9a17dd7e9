//! What exports say of orders that are here: it stands until the seller takes them off or puts it away.
//!
//! In: ids that an export leaves out or calls cancelled, and those that the seller has looked at. Out:
//! entries, and the orders of which something is to be looked at. Not here: taking orders in (`arrivals`).

use rusqlite::Row;

use super::alike::{Difference, compare_orders};
use super::entry::Event;
use super::error::{LedgerError, OrderPlace};
use super::moment::Moment;
use super::now::{ORDER_COLUMNS, OrderNow, find_order, read_order_now, read_text};
use super::store::{Act, Ledger};

/// What is to be looked at of an order that is here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OrderNews {
    /// Which order, and where it is.
    pub order: OrderNow,
    /// Since when a shop's export leaves it out or calls it cancelled.
    pub called_off: Option<Moment>,
    /// In what it says something else than when it was packed.
    pub differences: Vec<Difference>,
    /// When the shop was told that it went, where handing it over was taken back since.
    pub told: Option<Moment>,
}

impl Ledger {
    /// What is to be looked at, in the order in which the orders came in: those that exports call
    /// cancelled, until they are taken off, those that changed while they lie in a line, and those that the
    /// shop was told of though they did not go; each until it is put away.
    ///
    /// # Errors
    /// Those of the database.
    pub fn news(&self) -> Result<Vec<OrderNews>, LedgerError> {
        let text = format!(
            "SELECT {ORDER_COLUMNS}, called_off, changed_from, came FROM order_now
             WHERE (called_off IS NOT NULL OR changed_from IS NOT NULL)
                 AND state <> 'taken off' AND (called_off IS NOT NULL OR state = 'in line')
             UNION
             SELECT {ORDER_COLUMNS}, called_off, changed_from, came FROM order_now
             WHERE state IN ('waiting', 'in line', 'doubted', 'taken off') AND told IS NOT NULL
             ORDER BY came"
        );
        let mut query = self.db().prepare_cached(&text)?;
        let rows = query.query_map([], |row: &Row<'_>| {
            let called_off: Option<String> = row.get("called_off")?;
            Ok((read_order_now(row)?, called_off, row.get("changed_from")?))
        })?;
        let mut news = Vec::new();
        for row in rows {
            let (order, called_off, was) = row?;
            let is_off = matches!(order.place, OrderPlace::TakenOff(_));
            let called_off = called_off.as_deref().and_then(Moment::parse).filter(|_| !is_off);
            let differences = self.differences_since(&order, was)?;
            let has_gone = matches!(order.place, OrderPlace::HandedOver(..));
            let told = order.told.filter(|_| !has_gone);
            if called_off.is_some() || told.is_some() || !differences.is_empty() {
                news.push(OrderNews { order, called_off, differences, told });
            }
        }
        Ok(news)
    }

    /// In what an order of a line says something else than an earlier text of it; what was forgotten
    /// cannot be compared.
    fn differences_since(
        &self,
        order: &OrderNow,
        was: Option<i64>,
    ) -> Result<Vec<Difference>, LedgerError> {
        let Some(was) = was.filter(|_| matches!(order.place, OrderPlace::InLine(..))) else {
            return Ok(Vec::new());
        };
        Ok(match (read_text(self.db(), was)?, read_text(self.db(), order.text)?) {
            (Some(was), Some(is)) => compare_orders(&was, &is),
            _ => Vec::new(),
        })
    }
}

impl Act<'_> {
    /// Records that an export leaves orders out or calls them cancelled; returns those that are here.
    /// What stands already is not recorded again.
    ///
    /// # Errors
    /// Those of the database.
    pub fn call_off(&mut self, ids: &[String]) -> Result<Vec<OrderNow>, LedgerError> {
        let mut here = Vec::new();
        for id in ids {
            let Some(order) = find_order(self.db(), id)? else { continue };
            if matches!(order.place, OrderPlace::HandedOver(..) | OrderPlace::TakenOff(_)) {
                continue;
            }
            let mut query = self.db().prepare_cached(
                "SELECT 1 FROM order_now WHERE id = ?1 AND called_off IS NOT NULL",
            )?;
            let stands = query.exists([id])?;
            drop(query);
            if !stands {
                self.order_event(&Event::CalledOff { order: order.id.clone() })?;
            }
            here.push(order);
        }
        Ok(here)
    }

    /// Puts away what exports said of an order.
    ///
    /// # Errors
    /// Those of the database.
    pub fn see(&mut self, id: &str) -> Result<(), LedgerError> {
        self.order_event(&Event::Seen { order: id.into() })
    }
}
