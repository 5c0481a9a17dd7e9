//! Orders: JSON text to typed [`Order`]s, each with its place, and everything that is wrong with
//! the others.
//!
//! In: the text of `{"batch": …, "orders": […]}`, of a bare list, or of one order a line. Out:
//! [`Orders`]: the good orders as values, the bad ones as places in the text so that they can be
//! written back as they were ([`write_aside`]), and all findings of the file. The fields stand
//! in one table that the check and the JSON Schema ([`orders_schema`]) read. Orders are walked
//! one at a time; the file is never held as a tree. Not here: tags, numbering and combination
//! (`batch`), and whether an address is complete (`address`).

mod amounts;
mod aside;
mod build;
mod kept;
mod pack;
mod read;
mod report;
mod schema;
mod table;

use std::collections::BTreeSet;

use rust_decimal::Decimal;

use crate::fields::{CountryCode, Gtin, OwnFields};
use crate::findings::Finding;
use crate::source::Span;

pub use amounts::{Amounts, OrderAmounts, OrderTax, ReckonedTax};
pub use aside::{AsideOrder, write_aside};
pub(crate) use build::doubt_quantity;
pub use kept::{Items, Order, OrderParts};
pub(crate) use read::check_whole_order;
pub(crate) use read::find_text;
pub use read::locate_field;
pub use read::read_orders;
pub use schema::orders_schema;

/// What an orders file held.
#[derive(Clone, Debug, Default)]
pub struct Orders {
    /// The batch's name, when the file gives one.
    pub batch_name: Option<String>,
    /// The good orders, in the order of the file, which is the order on the bench.
    pub orders: Vec<Order>,
    /// The orders with errors, in the order of the file.
    pub bad: Vec<BadOrder>,
    /// Everything found, in the order of the file, but for lines that are no JSON: they come first.
    /// A doubled id is reported where it comes again.
    pub findings: Vec<Finding>,
}

impl Orders {
    /// Whether there is an error that belongs to no single order, such as a fault in the syntax or
    /// an empty file: setting bad orders aside does not help then.
    #[must_use]
    pub fn is_broken(&self) -> bool {
        let errors = self.findings.iter().filter(|found| found.is_error()).count();
        let mut owned: Vec<_> = self.bad.iter().flat_map(|bad| &bad.errors).collect();
        owned.sort_unstable();
        owned.dedup();
        owned.len() < errors
    }

    /// The ids of all orders that can be read, good ones first.
    pub fn ids(&self) -> impl Iterator<Item = &str> {
        let good = self.orders.iter().map(|order| order.id());
        good.chain(self.bad.iter().filter_map(|bad| bad.id.as_deref()))
    }

    /// Leaves out the orders with these ids, and the errors that are of no other order.
    pub fn leave_out(&mut self, ids: &[String]) {
        let is_out = |id: &str| ids.iter().any(|out| out == id);
        self.orders.retain(|order| !is_out(order.id()));
        let (out, stay): (Vec<BadOrder>, Vec<BadOrder>) = std::mem::take(&mut self.bad)
            .into_iter()
            .partition(|bad| bad.id.as_deref().is_some_and(is_out));
        self.bad = stay;
        let needed: BTreeSet<usize> = self.bad.iter().flat_map(|bad| bad.errors.clone()).collect();
        let gone: BTreeSet<usize> =
            out.into_iter().flat_map(|bad| bad.errors).filter(|at| !needed.contains(at)).collect();
        let mut place = 0;
        let places: Vec<usize> = (0..self.findings.len())
            .map(|at| {
                let now = place;
                place += usize::from(!gone.contains(&at));
                now
            })
            .collect();
        for error in self.bad.iter_mut().flat_map(|bad| &mut bad.errors) {
            *error = places[*error];
        }
        let mut at = 0;
        self.findings.retain(|_| {
            at += 1;
            !gone.contains(&(at - 1))
        });
    }
}

/// An order that cannot be used as it is.
#[derive(Clone, Debug, PartialEq)]
pub struct BadOrder {
    /// Its JSON text.
    pub span: Span,
    /// Its id, when that much can be read.
    pub id: Option<Box<str>>,
    /// Its errors, as indexes into [`Orders::findings`].
    pub errors: Vec<usize>,
    /// What could be read of it, if that includes the recipient; the id is empty when it has none.
    pub guess: Option<Box<Order>>,
}

/// Some number of one article.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item<'a> {
    /// The stock-keeping number.
    pub sku: &'a str,
    /// Its GTIN, whose check digit is right.
    pub gtin: Option<Gtin>,
    /// What it is called; empty only when it has a stock-keeping number.
    pub title: &'a str,
    /// How many; 1 when not given.
    pub qty: u32,
    /// What one costs, in the order's currency; none when the order does not say.
    pub price: Option<Decimal>,
    /// Where it lies.
    pub shelf: &'a str,
    /// The weight of one, in grams.
    pub weight_g: Option<u32>,
    /// The Harmonized System number, 4 to 10 digits.
    pub hs: &'a str,
    /// Where it was made, for the customs sheet; none when nobody said.
    pub origin: Option<CountryCode>,
    /// Fields of the seller's own.
    pub own: OwnFields,
}

/// The fields of the seller's own that orders in one parcel have: one that differs has each of its
/// values on a line.
#[must_use]
pub(crate) fn join_own(orders: &[Order]) -> OwnFields {
    match orders {
        [order] => order.own().clone(),
        orders => OwnFields::join(orders.iter().map(Order::own)),
    }
}

/// A page of a PDF that a carrier made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CarrierLabel {
    /// The file, beside the orders unless it says otherwise.
    pub file: Box<str>,
    /// The page, from 1, which is also the default.
    pub page: u32,
}

impl<'a> Item<'a> {
    /// The price of all of them, when one has a price.
    #[must_use]
    pub fn total(&self) -> Option<Decimal> {
        self.price?.checked_mul(Decimal::from(self.qty))
    }

    /// The weight of all of them in grams, when that of one is known.
    #[must_use]
    pub fn total_weight_g(&self) -> Option<u64> {
        Some(u64::from(self.weight_g?) * u64::from(self.qty))
    }

    /// Its title, or its stock-keeping number when it has none.
    #[must_use]
    pub fn label(&self) -> &'a str {
        if self.title.is_empty() { self.sku } else { self.title }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::Sources;

    #[test]
    fn orders_left_out_take_only_their_own_errors_along() {
        let mut sources = Sources::new();
        let order = |id: &str, country: &str| {
            format!(
                "{{\"id\": \"{id}\", \"ship_to\": {{\"name\": \"A\", \"country\": \"{country}\"}}}}"
            )
        };
        let text =
            [order("1", "XX"), order("2", "GB"), order("3", "YY"), order("4", "QQ")].join("\n");
        let file = sources.add("orders.json", text);
        let mut orders = read_orders(sources.get(file).shared_text(), file);
        assert_eq!((orders.orders.len(), orders.bad.len()), (1, 3));
        orders.leave_out(&["1".into(), "2".into(), "3".into()]);
        assert_eq!(orders.ids().collect::<Vec<_>>(), ["4"]);
        assert!(!orders.is_broken());
        let errors: Vec<&Finding> = orders.findings.iter().filter(|it| it.is_error()).collect();
        assert_eq!(errors.len(), 1);
        let own = &orders.findings[orders.bad[0].errors[0]];
        assert!(own.message.contains("QQ"), "{}", own.message);
    }
}
