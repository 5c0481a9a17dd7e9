//! Items in the order of their shelf, as one walks along it.
//!
//! In: a list of items. Out: the same items, sorted by the text of their `shelf`; those without one
//! come last, and of one shelf they stay as they were.

use std::cmp::Ordering;

use minijinja::{Error, State, Value};

use super::fault::{expect_defined, expect_list};

/// The filter `by_shelf`.
pub(super) fn by_shelf(state: &State<'_, '_>, value: &Value) -> Result<Value, Error> {
    let mut items = Vec::new();
    for item in expect_list(state, "by_shelf", value)? {
        let shelf = item.get_attr("shelf")?;
        expect_defined(&shelf)?;
        items.push((shelf.to_string(), item));
    }
    items.sort_by(|(one, _), (other, _)| compare_shelves(one, other));
    Ok(items.into_iter().map(|(_, item)| item).collect())
}

/// Compares two shelves: stretches of digits by their number, all else letter by letter without
/// case and spaces; a shelf that is not said comes last.
pub(crate) fn compare_shelves(one: &str, other: &str) -> Ordering {
    let [one, other] = [one, other].map(|shelf| shelf.split_whitespace().collect::<String>());
    let is_said = one.is_empty().cmp(&other.is_empty());
    is_said.then_with(|| {
        let (mut one, mut other) = (split_shelf(&one), split_shelf(&other));
        loop {
            let order = match (one.next(), other.next()) {
                (None, None) => return Ordering::Equal,
                (one, other) => one.cmp(&other),
            };
            if order.is_ne() {
                return order;
            }
        }
    })
}

/// A stretch of a shelf's name; the end comes before all of them.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum ShelfStretch {
    /// Digits: how many without leading zeros, and which.
    Number(usize, String),
    /// What stands between digits, in small letters.
    Text(String),
}

/// Digits and what stands between them, in turn: `A12-3` is `A`, `12`, `-`, `3`.
fn split_shelf(name: &str) -> impl Iterator<Item = ShelfStretch> {
    let mut rest = name;
    std::iter::from_fn(move || {
        let is_digit = rest.chars().next()?.is_ascii_digit();
        let end = rest.find(|c: char| c.is_ascii_digit() != is_digit).unwrap_or(rest.len());
        let (stretch, behind) = rest.split_at(end);
        rest = behind;
        if !is_digit {
            return Some(ShelfStretch::Text(stretch.to_lowercase()));
        }
        let number = stretch.trim_start_matches('0');
        Some(ShelfStretch::Number(number.len(), number.to_owned()))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shelves_are_walked_along() {
        let walked = ["1", "2b", "10", "A", "a2", "A 3", "A10", "A10-2", "A10-11", "B1", "é", ""];
        let mut shelves: Vec<&str> = walked.iter().rev().copied().collect();
        shelves.sort_by(|one, other| compare_shelves(one, other));
        assert_eq!(shelves, walked);
        assert_eq!(compare_shelves("A02", "a2"), Ordering::Equal);
    }
}
