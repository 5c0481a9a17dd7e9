//! The values of an order that is being made, and what is found at them.
//!
//! In: what cells hold, and the field that they are for. Out: nodes at their places in the order. Not
//! here: which rows an order has (`group`), and how a cell is read (`values`).

use super::apart::take_cell_apart;
use super::cells::Money;
use super::map::Assignment;
use super::values::{CellRemark, Given, ValueFault, ValueReader};
use crate::findings::{Finding, rules};
use crate::source::Span;
use crate::tree::{Key, Node, Value};
use crate::words::list_words;

/// An order that is being made.
pub(super) struct Making<'a, 'b> {
    /// What is wrong with its cells, and what is doubted.
    pub(super) found: Vec<Finding>,
    /// The signs of money beside its prices.
    pub(super) prices: Vec<(Money, Span, String)>,
    /// Reads cells by the map.
    pub(super) values: &'a mut ValueReader<'b>,
}

impl Making<'_, '_> {
    /// A field's value; what is wrong with it is reported.
    pub(super) fn read(
        &mut self,
        assignment: &Assignment,
        given: &Given,
        path: String,
    ) -> Option<Node> {
        let mut remarks = Vec::new();
        let read = self.values.read(assignment, given, &mut remarks);
        for remark in remarks {
            match remark {
                CellRemark::Zero(span) => self.found.push(
                    Finding::new(&rules::ZERO_MEASURE, "a zero is taken as not known")
                        .at(span)
                        .path(path.clone()),
                ),
                CellRemark::Money(money, span) => self.prices.push((money, span, path.clone())),
            }
        }
        match read {
            Ok(node) => node,
            Err(ValueFault { rule, span, message, hint }) => {
                self.found.push(Finding::new(rule, message).at(span).path(path).hint(hint));
                None
            }
        }
    }

    /// Fills the parts of the address that stand in one cell.
    pub(super) fn take_apart(&mut self, assignment: &Assignment, given: &Given, order: &mut Node) {
        let Some(span) = given.span() else { return };
        let country = order.get("ship_to").and_then(|ship_to| ship_to.get("country"));
        let country = country.and_then(Node::literal).map(str::to_owned);
        let cell = given.join("\n");
        match take_cell_apart(&assignment.patterns, &cell, country.as_deref(), self.values) {
            Ok(parts) => {
                for (target, text) in parts {
                    let node = |text: &str| Node { span, value: Value::Text(text.into()) };
                    let value = match target {
                        "ship_to.lines" => {
                            Node { span, value: Value::List(text.lines().map(node).collect()) }
                        }
                        _ => node(&text),
                    };
                    put(order, target, value);
                }
            }
            Err(mut fault) => {
                fault.message.push_str(&assignment.describe());
                self.found.push(fault.at(span).path("ship_to"));
            }
        }
    }

    /// Sees that the signs beside the prices agree with the order's currency, or give it one.
    pub(super) fn settle_currency(&mut self, order: &mut Node) {
        let mut known = order.get("currency").and_then(Node::literal).map(str::to_owned);
        let given = known.is_some();
        for (money, span, path) in std::mem::take(&mut self.prices) {
            let sign = &money.sign;
            let fault = match (&known, money.alone) {
                (Some(known), _) if money.any.contains(&known.as_str()) => continue,
                (Some(known), _) => Finding::new(
                    &rules::OTHER_CURRENCY,
                    format!("expected a price in `{known}`, found the sign `{sign}`"),
                )
                .hint("an order has one currency; correct the price or the currency"),
                (None, Some(code)) => {
                    known = Some(code.to_owned());
                    let value = Value::Text(code.into());
                    put(order, "currency", Node { span, value });
                    continue;
                }
                (None, None) => Finding::new(
                    &rules::WHICH_CURRENCY,
                    format!("`{sign}` may be any of {}", list_words(money.any.iter().copied())),
                )
                .hint(format!(
                    "say which in the map: `currency: {{always: {}}}`",
                    money.any.first().copied().unwrap_or("USD")
                )),
            };
            self.found.push(fault.at(span).path(path));
            if !given {
                return;
            }
        }
    }
}

/// Puts a value at a path of at most two steps.
pub(super) fn put(map: &mut Node, path: &str, node: Node) {
    let Value::Map(entries) = &mut map.value else { return };
    let (first, rest) = match path.split_once('.') {
        Some((first, rest)) => (first, Some(rest)),
        None => (path, None),
    };
    let key = |name: &str| Key { name: name.to_owned(), span: node.span };
    let Some(rest) = rest else {
        entries.push((key(first), node));
        return;
    };
    if !entries.iter().any(|(known, _)| known.name == first) {
        let inner = Node { span: node.span, value: Value::Map(Vec::new()) };
        entries.push((key(first), inner));
    }
    if let Some((_, inner)) = entries.iter_mut().find(|(known, _)| known.name == first) {
        put(inner, rest, node);
    }
}
