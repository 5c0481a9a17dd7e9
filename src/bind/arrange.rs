//! Lists sorted by fields of their values, and parted into groups.
//!
//! In: the values of a list, and the fields that a layout names. Out: the same values in order, or a
//! value for each group. Texts are compared as shelves are walked along: stretches of digits by their
//! number, without case; what is empty comes last; values that are equal stay as they were.

use std::cmp::Ordering;

use minijinja::Value;
use rust_decimal::Decimal;

use super::values::map;
use crate::findings::{Finding, rules};
use crate::layout::{ListOrder, NamedField, compare_shelves};

/// Values in the order that a layout asks for, or a value for each of their groups.
pub(super) fn arrange_values(items: Vec<Value>, order: &ListOrder) -> Result<Vec<Value>, Finding> {
    let fields: Vec<&NamedField> = order.group_by.iter().chain(&order.sort_by).collect();
    if fields.is_empty() {
        return Ok(items);
    }
    let key = |item: &Value| {
        let texts = fields.iter().map(|field| read_field(item, field));
        texts.collect::<Result<Vec<String>, Finding>>()
    };
    let keyed = items.into_iter().map(|item| Ok((key(&item)?, item)));
    let mut keyed = keyed.collect::<Result<Vec<(Vec<String>, Value)>, Finding>>()?;
    keyed.sort_by(|(one, _), (other, _)| {
        let pairs = one.iter().zip(other);
        pairs
            .map(|(one, other)| compare_texts(one, other))
            .find(|it| it.is_ne())
            .unwrap_or(Ordering::Equal)
    });
    Ok(match order.group_by {
        None => keyed.into_iter().map(|(_, item)| item).collect(),
        Some(_) => group_values(keyed),
    })
}

/// A value for each run of values whose first keys are equal.
fn group_values(keyed: Vec<(Vec<String>, Value)>) -> Vec<Value> {
    let same = |one: &(Vec<String>, Value), other: &(Vec<String>, Value)| {
        compare_texts(&one.0[0], &other.0[0]).is_eq()
    };
    let groups = keyed.chunk_by(same).map(|group| {
        map([
            ("name", Value::from(&*group[0].0[0])),
            ("count", Value::from(group.len())),
            ("items", group.iter().map(|(_, item)| item.clone()).collect()),
        ])
    });
    groups.collect()
}

/// A field's text; a dot leads into a value: `own.shelf`.
fn read_field(item: &Value, field: &NamedField) -> Result<String, Finding> {
    let inner = field.name.split('.').try_fold(item.clone(), |value, part| {
        value.get_attr(part).ok().filter(|inner| !inner.is_undefined())
    });
    let fault = || {
        Finding::new(
            &rules::UNKNOWN_VARIABLE,
            format!("a value of this list has no `{}`", field.name),
        )
        .at(field.span)
        .hint("name a field that every value has, such as `shelf` or `title` of items")
    };
    inner.map(|value| value.to_string()).ok_or_else(fault)
}

/// Compares numbers by what they are, all else as shelves.
fn compare_texts(one: &str, other: &str) -> Ordering {
    let number = |text: &str| Decimal::from_str_exact(text).ok();
    match (number(one), number(other)) {
        (Some(one), Some(other)) => one.cmp(&other),
        _ => compare_shelves(one, other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{FileId, Span};

    /// A field as a layout names it.
    fn field(name: &str) -> NamedField {
        NamedField { name: name.into(), span: Span::new(FileId::UNPLACED, 0, 0) }
    }

    /// Items by shelf, title and price.
    fn items(all: &[(&str, &str, &str)]) -> Vec<Value> {
        let item = |(shelf, title, price): &(&str, &str, &str)| {
            map([
                ("shelf", Value::from(*shelf)),
                ("title", Value::from(*title)),
                ("price", Value::from(*price)),
            ])
        };
        all.iter().map(item).collect()
    }

    /// The titles of values.
    fn titles(values: &Value) -> String {
        let titles = values.try_iter().unwrap().map(|it| it.get_attr("title").unwrap().to_string());
        titles.collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn values_are_sorted_by_one_field_after_another() {
        let all = items(&[
            ("A10", "pen", "9.5"),
            ("A2", "nib", "9.25"),
            ("", "ink", "2"),
            ("a2", "cap", "10"),
        ]);
        let sort = |fields: &[&str]| {
            let sort_by = fields.iter().map(|name| field(name)).collect();
            let order = ListOrder { sort_by, group_by: None };
            titles(&Value::from(arrange_values(all.clone(), &order).unwrap()))
        };
        assert_eq!(sort(&[]), "pen nib ink cap");
        assert_eq!(sort(&["shelf"]), "nib cap pen ink");
        assert_eq!(sort(&["shelf", "title"]), "cap nib pen ink");
        assert_eq!(sort(&["price"]), "ink nib pen cap");
    }

    #[test]
    fn groups_have_a_name_and_their_values() {
        let all = items(&[
            ("A10", "pen", "1"),
            ("A2", "nib", "1"),
            ("", "ink", "1"),
            ("a 2", "cap", "1"),
        ]);
        let order = ListOrder { sort_by: vec![field("title")], group_by: Some(field("shelf")) };
        let groups = arrange_values(all, &order).unwrap();
        let shown = groups.iter().map(|group| {
            let text = |name| group.get_attr(name).unwrap().to_string();
            format!(
                "{}×{}: {}",
                text("name"),
                text("count"),
                titles(&group.get_attr("items").unwrap())
            )
        });
        assert_eq!(shown.collect::<Vec<_>>(), ["a 2×2: cap nib", "A10×1: pen", "×1: ink"]);
    }

    #[test]
    fn a_field_that_is_not_there_is_told() {
        let order = ListOrder { sort_by: vec![field("own.row")], group_by: None };
        let fault = arrange_values(items(&[("A", "pen", "1")]), &order).unwrap_err();
        assert_eq!(fault.message, "a value of this list has no `own.row`");
    }
}
