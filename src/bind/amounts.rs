//! What templates see of amounts: shipping, discount, taxes and the total.
//!
//! In: the orders of a parcel. Out: decimal text, which is empty where nothing is given or known. Not
//! here: what they come to (`orders`).

use minijinja::Value;

use super::context::{map, or_empty, plain_decimal, text};
use crate::fields::CurrencyCode;
use crate::orders::{Amounts, Order, ReckonedTax};

/// The amounts of some orders as variables.
pub(super) fn describe_amounts(orders: &[Order], currency: Option<CurrencyCode>) -> Value {
    let amounts = Amounts::of(orders, currency);
    let decimal = |amount: Option<_>| or_empty(amount.map(plain_decimal));
    map([
        ("goods", decimal(amounts.goods)),
        ("shipping", decimal(amounts.shipping)),
        // A shop that writes `0.00` where nothing is taken off means no row of a slip.
        ("discount", decimal(amounts.discount.filter(|amount| !amount.is_zero()))),
        ("taxes", amounts.taxes.iter().map(describe_tax).collect()),
        ("total", decimal(amounts.total())),
    ])
}

/// A tax as variables.
fn describe_tax(tax: &ReckonedTax) -> Value {
    map([
        ("name", text(&tax.name)),
        ("rate", or_empty(tax.rate.map(|rate| plain_decimal(rate.normalize())))),
        ("amount", or_empty(tax.amount.map(plain_decimal))),
        ("on_top", Value::from(tax.on_top)),
    ])
}
