//! What an order comes to beside its items: shipping, discount, taxes, and what was paid.
//!
//! In: the [`OrderAmounts`] that orders give. Out: [`Amounts`], with every tax reckoned and all lines
//! added, exactly; what cannot be known stays unknown. Not here: what is said of lines that do not come
//! to what was paid (`batch`).

use rust_decimal::{Decimal, RoundingStrategy};

use super::Order;
use crate::fields::CurrencyCode;

/// The decimals of amounts whose currency nobody names.
pub(super) const USUAL_DECIMALS: u32 = 2;

/// What an order gives beside its items. Nothing is below zero.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OrderAmounts {
    /// What the buyer paid for sending.
    pub shipping: Option<Decimal>,
    /// What was taken off the prices.
    pub discount: Option<Decimal>,
    /// The taxes, in the order of the file.
    pub taxes: Box<[OrderTax]>,
    /// What the buyer paid in all, taxes and sending included; none when the order does not say.
    pub paid: Option<Decimal>,
}

/// A tax as an order gives it: a rate, an amount, or both.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OrderTax {
    /// What it is called; empty when the order does not say.
    pub name: Box<str>,
    /// The rate in per cent.
    pub rate: Option<Decimal>,
    /// How much it is.
    pub amount: Option<Decimal>,
    /// What it is reckoned on: without it when it comes on top, else with it.
    pub of: Option<Decimal>,
    /// Whether it comes on top of the prices; else they include it.
    pub on_top: bool,
}

/// A tax of which is known, as far as that goes, how much it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReckonedTax {
    /// What it is called; empty when nobody says.
    pub name: Box<str>,
    /// The rate in per cent.
    pub rate: Option<Decimal>,
    /// How much it is; none when that cannot be known.
    pub amount: Option<Decimal>,
    /// What rate and prices make of it, where both are known.
    pub reckoned: Option<Decimal>,
    /// Whether it comes on top of the prices; else they include it.
    pub on_top: bool,
}

/// What one order, or all orders of a parcel, come to.
///
/// ```
/// use slipwright::orders::Amounts;
/// use slipwright::{Sources, read_orders};
///
/// let mut sources = Sources::new();
/// let text = r#"{"id": "1", "ship_to": {"name": "Ada", "country": "GB"}, "shipping": "3.50",
///     "items": [{"title": "Ink", "qty": 2, "price": "8.00"}], "tax": [{"rate": "20"}]}"#;
/// let file = sources.add("orders.json", text);
/// let orders = read_orders(&sources.get(file).shared_text(), file).orders;
/// let amounts = Amounts::of(&orders, None);
/// assert_eq!(amounts.total().map(|total| total.to_string()).as_deref(), Some("19.50"));
/// assert_eq!(amounts.taxes[0].amount.map(|tax| tax.to_string()).as_deref(), Some("3.25"));
/// ```
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Amounts {
    /// What the items cost; none when one has no price, or there are none.
    pub goods: Option<Decimal>,
    /// What was paid for sending, where an order says it.
    pub shipping: Option<Decimal>,
    /// What was taken off, where an order says it.
    pub discount: Option<Decimal>,
    /// The taxes: of several orders those of one name, rate and kind added up.
    pub taxes: Vec<ReckonedTax>,
    /// What all lines come to: goods and shipping, less the discount, with the taxes on top.
    pub sum: Option<Decimal>,
    /// What was paid, by those orders that say it and the lines of the others.
    paid: Option<Decimal>,
}

impl Amounts {
    /// What orders come to, in a currency that gives them their decimals.
    #[must_use]
    pub fn of(orders: &[Order], currency: Option<CurrencyCode>) -> Amounts {
        let mut each = orders.iter().map(|order| Amounts::of_order(order, currency));
        let first = each.next().unwrap_or_default();
        each.fold(first, Amounts::add)
    }

    /// What one order comes to.
    fn of_order(order: &Order, currency: Option<CurrencyCode>) -> Amounts {
        let nothing = OrderAmounts::default();
        let given = order.amounts().unwrap_or(&nothing);
        let goods = add_goods(order);
        let lines = goods
            .and_then(|goods| goods.checked_add(given.shipping.unwrap_or_default()))
            .and_then(|lines| lines.checked_sub(given.discount.unwrap_or_default()));
        let decimals = currency.map_or(USUAL_DECIMALS, |currency| currency.decimals());
        // Of several taxes nobody knows which of the goods each is on.
        let basis = lines.filter(|_| given.taxes.len() == 1);
        let taxes: Vec<ReckonedTax> =
            given.taxes.iter().map(|tax| tax.reckon(basis, decimals)).collect();
        let sum =
            taxes.iter().filter(|tax| tax.on_top).fold(lines, |sum, tax| add(sum, tax.amount));
        Amounts {
            goods,
            shipping: given.shipping,
            discount: given.discount,
            taxes,
            sum,
            paid: given.paid.or(sum),
        }
    }

    /// What two orders come to.
    fn add(mut self, other: Amounts) -> Amounts {
        for tax in other.taxes {
            let is_same = |it: &&mut ReckonedTax| {
                (&it.name, it.rate, it.on_top) == (&tax.name, tax.rate, tax.on_top)
            };
            match self.taxes.iter_mut().find(is_same) {
                Some(known) => {
                    known.amount = add(known.amount, tax.amount);
                    known.reckoned = add(known.reckoned, tax.reckoned);
                }
                None => self.taxes.push(tax),
            }
        }
        Amounts {
            goods: add(self.goods, other.goods),
            shipping: add_given(self.shipping, other.shipping),
            discount: add_given(self.discount, other.discount),
            taxes: self.taxes,
            sum: add(self.sum, other.sum),
            paid: add(self.paid, other.paid),
        }
    }

    /// What the buyer paid in all: by what orders say, and by the lines of those that do not; none where
    /// a price is missing and nobody says it.
    #[must_use]
    pub fn total(&self) -> Option<Decimal> {
        self.paid
    }
}

impl OrderTax {
    /// How much it is: what the order says, else what its rate makes of `of` or of all lines.
    fn reckon(&self, basis: Option<Decimal>, decimals: u32) -> ReckonedTax {
        let reckoned = self.rate.zip(self.of.or(basis)).and_then(|(rate, of)| {
            let whole = match self.on_top {
                true => Decimal::ONE_HUNDRED,
                false => Decimal::ONE_HUNDRED.checked_add(rate)?,
            };
            let tax = of.checked_mul(rate)?.checked_div(whole)?;
            // Once for a rate, half up, as rule BR-CO-17 of EN 16931 has it (validation artefacts,
            // ConnectingEurope/eInvoicing-EN16931 on GitHub).
            Some(tax.round_dp_with_strategy(decimals, RoundingStrategy::MidpointAwayFromZero))
        });
        ReckonedTax {
            name: self.name.clone(),
            rate: self.rate,
            amount: self.amount.or(reckoned),
            reckoned,
            on_top: self.on_top,
        }
    }
}

/// What all items of an order cost.
fn add_goods(order: &Order) -> Option<Decimal> {
    let totals = order.items().map(|item| item.total());
    totals.reduce(add).flatten()
}

/// Two amounts; unknown when one is.
fn add(one: Option<Decimal>, other: Option<Decimal>) -> Option<Decimal> {
    one?.checked_add(other?)
}

/// Two amounts, of which one that is not given is nothing.
fn add_given(one: Option<Decimal>, other: Option<Decimal>) -> Option<Decimal> {
    match (one, other) {
        (Some(_), Some(_)) => add(one, other),
        _ => one.or(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orders::read_orders;
    use crate::source::Sources;

    /// The amounts of orders whose fields beside id and address are given.
    fn amounts(orders: &[&str], currency: &str) -> Amounts {
        let order = |(index, rest): (usize, &&str)| {
            format!(
                "{{\"id\": \"{index}\", \"ship_to\": {{\"name\": \"A\", \"country\": \"NO\"}}, {rest}}}"
            )
        };
        let text = orders.iter().enumerate().map(order).collect::<Vec<_>>().join("\n");
        let mut sources = Sources::new();
        let file = sources.add("orders.json", text.as_str());
        let read = read_orders(sources.get(file).shared_text(), file);
        assert_eq!(read.orders.len(), orders.len(), "{:?}", read.findings);
        Amounts::of(&read.orders, CurrencyCode::parse(currency))
    }

    /// An amount as text.
    fn show(amount: Option<Decimal>) -> String {
        amount.map_or_else(|| "unknown".into(), |amount| amount.to_string())
    }

    /// How much each tax is.
    fn taxes(amounts: &Amounts) -> Vec<String> {
        amounts.taxes.iter().map(|tax| show(tax.amount)).collect()
    }

    /// Invoice TOSL108, `ubl/examples/ubl-tc434-example2.xml` of ConnectingEurope/eInvoicing-EN16931 on
    /// GitHub: 1436.50 in lines, a discount and a freight of 100.00 each, 25 % on 1460.50, 15 % on 1.00
    /// (which the lines that are taken back leave), 1801.78 with the taxes.
    #[test]
    fn an_invoice_of_the_european_standard_comes_to_its_total() {
        let text = r#""items": [{"title": "Lines", "price": "1436.50"}], "shipping": "100.00",
            "discount": "100.00", "tax": [{"rate": "25", "of": "1460.50", "on_top": true},
                                          {"rate": "15", "of": "1.00", "on_top": true}]"#;
        let amounts = amounts(&[&text.replace('\n', " ")], "NOK");
        assert_eq!(taxes(&amounts), ["365.13", "0.15"]);
        assert_eq!(show(amounts.sum), "1801.78");
    }

    /// The VAT fractions of "VAT Rates and Fractions" (accountingservicesforbusiness.co.uk, after the
    /// British tax office) and "VAT fraction" (itsrelative.co.uk).
    #[test]
    fn a_tax_that_prices_include_is_its_fraction_of_them() {
        for (price, rate, expected) in [
            ("115.00", "15", "15.00"),
            ("117.50", "17.5", "17.50"),
            ("120.00", "20", "20.00"),
            ("60", "20", "10"),
            ("80", "5", "3.81"),
        ] {
            let text = format!(
                r#""items": [{{"title": "Pen", "price": "{price}"}}], "tax": [{{"rate": "{rate}"}}]"#
            );
            let amounts = amounts(&[&text], "GBP");
            let expected: Decimal = expected.parse().unwrap();
            assert_eq!(amounts.taxes[0].amount, Some(expected), "{price} at {rate} %");
            assert_eq!(show(amounts.sum), price);
        }
    }

    #[test]
    fn amounts_have_the_decimals_of_their_currency() {
        let text = r#""items": [{"title": "Pen", "price": "105"}], "tax": [{"rate": "10"}]"#;
        assert_eq!(taxes(&amounts(&[text], "JPY")), ["10"]);
        assert_eq!(taxes(&amounts(&[text], "KWD")), ["9.545"]);
    }

    #[test]
    fn orders_in_one_parcel_add_up() {
        let one = r#""items": [{"title": "Pen", "price": "10"}], "shipping": "2", "tax": [{"rate": "20"}]"#;
        let other = r#""items": [{"title": "Ink", "price": "5"}], "discount": "1", "paid": "4.50",
            "tax": [{"rate": "20"}, {"rate": "5", "amount": "0.10", "on_top": true}]"#;
        let both = amounts(&[one, &other.replace('\n', " ")], "GBP");
        assert_eq!(show(both.goods), "15");
        assert_eq!((show(both.shipping), show(both.discount)), ("2".into(), "1".into()));
        // Of two rates in one order nobody knows what the first is on.
        assert_eq!(taxes(&both), ["unknown", "0.10"]);
        assert_eq!(show(both.sum), "16.10");
        assert_eq!(show(both.total()), "16.50");
    }

    #[test]
    fn what_is_unknown_stays_unknown() {
        let text =
            r#""items": [{"title": "Pen", "price": "10"}, {"title": "Ink"}], "shipping": "2""#;
        let some = amounts(&[text], "GBP");
        assert_eq!((show(some.goods), show(some.total())), ("unknown".into(), "unknown".into()));
        assert_eq!(show(amounts(&[r#""items": []"#], "GBP").goods), "unknown");
        let paid = amounts(&[&format!(r#"{text}, "paid": "15""#)], "GBP");
        assert_eq!((show(paid.sum), show(paid.total())), ("unknown".into(), "15".into()));
    }

    #[test]
    fn amounts_out_of_reach_are_unknown() {
        let most = r#"{"title": "Pen", "qty": 100000, "price": "999999999.99"}"#;
        let text = format!(r#""items": [{most}], "tax": [{{"rate": "99.9999"}}]"#);
        assert_eq!(show(amounts(&[&text], "GBP").goods), "99999999999000.00");
    }
}
