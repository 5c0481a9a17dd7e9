//! The taxes of an order, each from columns of its own.
//!
//! In: the cells of the fields of a tax; the first columns of all of them tell of the first tax, the
//! second of the second. Out: a tax each, as an orders file has them. Not here: reading cells (`values`).

use super::cells::is_zero;
use super::making::{Making, put};
use super::map::{Assignment, Binding};
use super::values::Given;
use crate::source::{FileId, Span};
use crate::tree::{Node, Value};

/// The cells of a field of taxes.
struct TaxField<'a> {
    /// What an orders file calls it, such as `rate`.
    name: &'static str,
    /// Where it comes from.
    assignment: &'a Assignment,
    /// Its cells, or the constant.
    given: &'a Given,
}

impl TaxField<'_> {
    /// What it says of the tax at a place: one column alone, or a constant, says it of all.
    fn at(&self, place: usize) -> Option<Given> {
        let part = match &self.given.parts[..] {
            [part] => Some(part),
            parts => parts.get(place),
        };
        part.map(|part| Given { parts: vec![part.clone()] })
    }
}

/// The taxes of an order. An amount that is empty or nothing is no tax, and neither is a rate that is
/// empty where nothing says amounts.
pub(super) fn read_taxes(
    values: &[Option<Given>],
    binding: &Binding<'_>,
    making: &mut Making<'_, '_>,
) -> Vec<Node> {
    let fields: Vec<TaxField<'_>> = (binding.fields.iter().zip(values))
        .filter_map(|((assignment, _), given)| {
            let (name, given) = (assignment.target.field_of_tax()?, given.as_ref()?);
            Some(TaxField { name, assignment, given })
        })
        .collect();
    let telling = match fields.iter().find(|field| field.name == "amount") {
        Some(amount) => Some(amount),
        None => {
            fields.iter().find(|field| field.name == "rate").filter(|_| !tells_amounts(binding))
        }
    };
    let Some(telling) = telling else { return Vec::new() };
    let count = fields.iter().map(|field| field.given.parts.len()).max().unwrap_or_default();
    let mut taxes = Vec::new();
    for place in (0..count).filter(|&place| telling.at(place).is_some_and(|given| says_tax(&given)))
    {
        let span = telling.at(place).and_then(|given| given.span());
        let span = span.unwrap_or(Span::new(FileId::UNPLACED, 0, 0));
        let mut tax = Node { span, value: Value::Map(Vec::new()) };
        for field in &fields {
            let path = format!("tax[{}].{}", taxes.len(), field.name);
            let given = field.at(place);
            if let Some(node) = given.and_then(|given| making.read(field.assignment, &given, path))
            {
                put(&mut tax, field.name, node);
            }
        }
        taxes.push(tax);
    }
    taxes
}

/// Whether the map has columns of amounts: where an order's are all empty it has no tax.
fn tells_amounts(binding: &Binding<'_>) -> bool {
    binding.fields.iter().any(|(assignment, _)| assignment.target.name == "tax.amount")
}

/// Whether a cell says that there is a tax.
fn says_tax(given: &Given) -> bool {
    let text = given.join("");
    let digits: String = text.chars().filter(char::is_ascii_digit).collect();
    !text.is_empty() && (digits.is_empty() || !is_zero(&digits))
}
