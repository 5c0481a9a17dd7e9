//! What there is to say of an order's amounts: lines that do not come to what was paid, taxes that are
//! not what their rate makes of the prices, and what cannot be checked.

use std::fmt::Write as _;

use rust_decimal::Decimal;

use super::Parcel;
use crate::fields::CurrencyCode;
use crate::findings::{Finding, rules};
use crate::orders::{Amounts, Order, ReckonedTax};
use crate::words::list_words;

/// Items that are named of those without a price.
const ITEMS_NAMED: usize = 3;

/// What there is to say of the amounts of a parcel's orders.
pub(super) fn report_amounts(parcel: &Parcel) -> Vec<Finding> {
    let orders = parcel.orders.iter().filter(|order| order.amounts().is_some());
    orders.flat_map(|order| report_order(order, parcel)).collect()
}

/// What there is to say of the amounts of one order.
fn report_order(order: &Order, parcel: &Parcel) -> Vec<Finding> {
    let amounts = Amounts::of(std::slice::from_ref(order), parcel.currency);
    let mut found: Vec<Finding> = judge_taxes(order, &amounts, parcel.currency);
    found.extend(judge_total(order, &amounts, parcel.currency));
    let place = |finding: Finding| finding.at(order.span()).subject(parcel.subject());
    found.into_iter().map(place).collect()
}

/// Compares what the lines come to with what was paid.
fn judge_total(
    order: &Order,
    amounts: &Amounts,
    currency: Option<CurrencyCode>,
) -> Option<Finding> {
    let (id, paid) = (&order.id(), order.amounts()?.paid);
    let show = |amount: Decimal| show_amount(amount, currency);
    let Some(sum) = amounts.sum else {
        let paid = paid?;
        let message = format!(
            "nobody can tell whether order `{id}` comes to the {} that were paid: {}",
            show(paid),
            name_missing(order, amounts)
        );
        let hint = "give every item its `price`, and every tax on top its `amount`";
        return Some(Finding::new(&rules::PAID_UNCHECKED, message).path("paid").hint(hint));
    };
    match paid {
        Some(paid) if paid != sum => {
            let word = if sum < paid { "less" } else { "more" };
            let message = format!(
                "the lines of order `{id}` come to {}, {} {word} than the {} that were paid",
                show(sum),
                show((sum - paid).abs()),
                show(paid)
            );
            let finding = Finding::new(&rules::PAID_DIFFERS, message).path("paid");
            Some(
                finding
                    .details(list_lines(order, amounts, currency))
                    .hint(way_out(sum, paid, amounts)),
            )
        }
        None if sum < Decimal::ZERO => {
            let message =
                format!("the lines of order `{id}` come to less than nothing: {}", show(sum));
            let finding = Finding::new(&rules::LARGE_DISCOUNT, message).path("discount");
            Some(finding.hint("a `discount` is no more than goods and shipping come to"))
        }
        _ => None,
    }
}

/// What makes lines come to what was paid.
fn way_out(sum: Decimal, paid: Decimal, amounts: &Amounts) -> String {
    let included = amounts.taxes.iter().filter(|tax| !tax.on_top).map(|tax| tax.amount);
    let taxes = included.sum::<Option<Decimal>>();
    if sum < paid && taxes.is_some_and(|taxes| sum + taxes == paid) {
        return "the difference is the tax: give it `\"on_top\": true`".into();
    }
    let missing = match (amounts.shipping, amounts.discount) {
        (None, _) if sum < paid => "give the `shipping`, or correct `paid`",
        (_, None) if sum > paid => "give the `discount`, or correct `paid`",
        _ => "correct the line that is wrong, or `paid`",
    };
    missing.into()
}

/// The lines of an order, as the finding shows them below each other.
fn list_lines(order: &Order, amounts: &Amounts, currency: Option<CurrencyCode>) -> Vec<String> {
    let given = [
        ("goods", amounts.goods),
        ("shipping", amounts.shipping),
        ("discount", amounts.discount.map(|discount| -discount)),
    ];
    let given = given.into_iter().filter_map(|(name, amount)| Some((name.to_owned(), amount?)));
    let taxes = amounts.taxes.iter().filter(|tax| tax.on_top);
    let taxes = taxes.filter_map(|tax| Some((name_tax(tax), tax.amount?)));
    let paid = order.amounts().into_iter().filter_map(|it| Some(("paid".to_owned(), it.paid?)));
    let lines: Vec<(String, Decimal)> = given.chain(taxes).chain(paid).collect();
    let shown: Vec<(String, String)> =
        lines.into_iter().map(|(name, amount)| (name, show_amount(amount, currency))).collect();
    let width = |texts: fn(&(String, String)) -> &String| {
        shown.iter().map(|it| texts(it).chars().count()).max().unwrap_or_default()
    };
    let (names, amounts) = (width(|it| &it.0), width(|it| &it.1));
    shown.iter().map(|(name, amount)| format!("{name:<names$}  {amount:>amounts$}")).collect()
}

/// Compares taxes with their rates, and tells of those that nobody knows.
fn judge_taxes(order: &Order, amounts: &Amounts, currency: Option<CurrencyCode>) -> Vec<Finding> {
    let id = order.id();
    let mut found = Vec::new();
    for tax in &amounts.taxes {
        let name = name_tax(tax);
        let Some(amount) = tax.amount else {
            let message = format!("nobody says how much the {name} of order `{id}` is");
            let hint = "give its `amount`, or in `of` what it is reckoned on";
            found.push(Finding::new(&rules::UNKNOWN_TAX, message).path("tax").hint(hint));
            continue;
        };
        let Some(reckoned) = tax.reckoned else { continue };
        if (amount - reckoned).abs() > allowance(order, currency) {
            let message = format!(
                "the {name} of order `{id}` is {}, but its rate makes {} of the prices",
                show_amount(amount, currency),
                show_amount(reckoned, currency)
            );
            let hint = "correct `amount` or `rate`, say `on_top`, or in `of` what the tax is on";
            found.push(Finding::new(&rules::TAX_DIFFERS, message).path("tax").hint(hint));
        }
    }
    found
}

/// How far a tax may be from what its rate makes of the whole. Shops may round it on each line and add up,
/// as the British tax office allows (section 17.5 of its VAT guide, as "VAT Calculations & Rounding" at
/// tallyaccounts.co.uk tells it); some do so for each piece. So it is ours to allow half of the smallest
/// coin for each piece, and for shipping, discount and the whole.
fn allowance(order: &Order, currency: Option<CurrencyCode>) -> Decimal {
    let pieces: u64 = order.items().map(|item| u64::from(item.qty)).sum();
    let decimals = currency.map_or(2, |currency| currency.decimals());
    Decimal::from(pieces + 3) * Decimal::new(5, decimals + 1)
}

/// A tax as a finding names it.
fn name_tax(tax: &ReckonedTax) -> String {
    let mut name = match &*tax.name {
        "" => "tax".to_owned(),
        name => format!("tax `{name}`"),
    };
    if let Some(rate) = tax.rate {
        let _ = write!(name, " of {} %", rate.normalize());
    }
    name
}

/// What is missing of an order's lines, in words.
fn name_missing(order: &Order, amounts: &Amounts) -> String {
    let unpriced = order.items().filter(|item| item.price.is_none());
    let names: Vec<&str> = unpriced.map(|item| item.label()).collect();
    let unknown = amounts.taxes.iter().find(|tax| tax.on_top && tax.amount.is_none());
    match (&names[..], unknown) {
        ([], Some(tax)) => format!("its {} is not known", name_tax(tax)),
        ([], None) => "it has no items with prices".into(),
        ([name], _) => format!("`{name}` has no price"),
        (names, _) if names.len() <= ITEMS_NAMED => {
            format!("{} have no price", list_words(names.iter().copied()))
        }
        (names, _) => format!("{} of its items have no price", names.len()),
    }
}

/// An amount with the decimals of its currency, and its code where it is known.
fn show_amount(amount: Decimal, currency: Option<CurrencyCode>) -> String {
    let decimals = currency.map_or(2, |currency| currency.decimals());
    let amount = amount.normalize();
    let figures = format!("{amount:.*}", amount.scale().max(decimals) as usize);
    match currency {
        Some(currency) => format!("{figures} {currency}"),
        None => figures,
    }
}
