//! Which rows of an export are no parcels, as the map says it: `rows:`.
//!
//! In: the map's rules. Out: for a cell, whether its row is left out. Not here: counting and naming
//! what is left out (`left_out`).

use rust_decimal::Decimal;

use super::targets::{COLUMN, CONSTANT};
use crate::findings::{Finding, rules};
use crate::intake::cells::{DecimalMark, is_zero, parse_number, split_around};
use crate::record::{FLAG, Kind, Record, optional, required, scalar};
use crate::source::Span;
use crate::tree::{Node, Value};

/// Texts, one or several.
const TEXTS: Kind = Kind::Either(&[Kind::Scalar(&CONSTANT), Kind::List(&Kind::Scalar(&CONSTANT))]);

/// What the map says of rows that are no parcels.
pub(super) static ROW_RULE: Record = Record {
    name: "rule",
    doc: "Rows that are no parcels, by what stands in one column.",
    fields: &[
        required("column", Kind::Scalar(&COLUMN), "the column"),
        optional("is", TEXTS, "rows whose cell is one of these, in either case, are left out"),
        optional("not", TEXTS, "rows whose cell is none of these are left out"),
        optional("starts", TEXTS, "rows whose cell starts with one of these are left out"),
        scalar("empty", &FLAG, "whether rows are left out whose cell is empty"),
        scalar("filled", &FLAG, "whether rows are left out whose cell holds more than no or zero"),
        scalar("below", &CONSTANT, "rows whose cell is a number below this are left out"),
    ],
};

/// What a cell is asked.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum RowTest {
    /// Whether it is one of these, in small letters.
    Is(Vec<String>),
    /// Whether it is none of these.
    Not(Vec<String>),
    /// Whether it starts with one of these.
    Starts(Vec<String>),
    /// Whether nothing but white space is in it.
    Empty,
    /// Whether it holds more than no or zero.
    Filled,
    /// Whether it is a number below this.
    Below(Decimal),
}

/// A rule: rows whose cell passes the test are left out.
#[derive(Clone, Debug)]
pub(crate) struct RowRule {
    /// The column and its place in the map.
    pub(crate) column: (String, Span),
    /// What its cell is asked.
    pub(crate) test: RowTest,
    /// The rule's place in the map.
    pub(crate) span: Span,
}

impl RowRule {
    /// Whether a later row of an order that leaves the cell empty is as its first row.
    pub(crate) fn is_of_order(&self) -> bool {
        matches!(self.test, RowTest::Is(_) | RowTest::Not(_) | RowTest::Starts(_))
    }

    /// Whether a row with this cell is left out.
    pub(crate) fn leaves_out(&self, cell: &str, mark: Option<DecimalMark>) -> bool {
        let cell = cell.trim();
        let lower = cell.to_lowercase();
        match &self.test {
            RowTest::Is(words) => words.contains(&lower),
            RowTest::Not(words) => !words.contains(&lower),
            RowTest::Starts(words) => words.iter().any(|word| lower.starts_with(word.as_str())),
            RowTest::Empty => cell.is_empty(),
            RowTest::Filled => says_something(cell),
            RowTest::Below(most) => read_signed(cell, mark).is_some_and(|number| number < *most),
        }
    }
}

/// Whether a cell holds more than a no or a zero.
pub(crate) fn says_something(cell: &str) -> bool {
    let is_no = crate::fields::answer_of(cell) == Some(crate::fields::Answer::No);
    let number = split_around(cell).1;
    let is_nothing = !number.is_empty() && is_zero(&number.replace(',', "."));
    !(cell.is_empty() || is_no || is_nothing)
}

/// A number with its sign.
pub(crate) fn read_signed(cell: &str, mark: Option<DecimalMark>) -> Option<Decimal> {
    let (before, number, _) = split_around(cell);
    let minus = before.ends_with(['-', '−']) || number.starts_with(['-', '−', '\u{2013}']);
    let number = number.trim_start_matches(['-', '−', '\u{2013}', '+']);
    let digits = parse_number(number, mark.or(Some(DecimalMark::Point))).ok()?;
    let number = Decimal::from_str_exact(&digits).ok()?;
    Some(if minus { -number } else { number })
}

/// Reads a rule that has passed its record.
pub(super) fn read_row_rule(node: &Node, path: &str, out: &mut Vec<Finding>) -> Option<RowRule> {
    let given = |name: &str| node.get(name).filter(|node| !node.is_null());
    let says_yes = |name: &str| {
        given(name).is_some_and(|node| {
            node.value == Value::Bool(true) || node.literal().is_some_and(|word| word == "true")
        })
    };
    let words = |name: &str| {
        let node = given(name)?;
        let one = std::slice::from_ref(node);
        let nodes = if node.items().is_empty() { one } else { node.items() };
        let words = nodes.iter().filter_map(Node::literal);
        Some(words.map(|word| word.trim().to_lowercase()).collect::<Vec<_>>())
    };
    let below = given("below").and_then(Node::literal);
    let number = below.map(|text| read_signed(text, Some(DecimalMark::Point)));
    let tests: Vec<RowTest> = [
        words("is").map(RowTest::Is),
        words("not").map(RowTest::Not),
        words("starts").map(RowTest::Starts),
        says_yes("empty").then_some(RowTest::Empty),
        says_yes("filled").then_some(RowTest::Filled),
        number.flatten().map(RowTest::Below),
    ]
    .into_iter()
    .flatten()
    .collect();
    let column = given("column")?;
    let name = column.literal()?.trim().to_owned();
    let [test] = &tests[..] else {
        out.push(
            Finding::new(&rules::WRONG_RULE, "expected one question about the column")
                .at(node.span)
                .path(path)
                .hint("give one of `is: …`, `not: …`, `starts: …`, `empty: true`, `filled: true` and `below: 1`"),
        );
        return None;
    };
    Some(RowRule { column: (name, column.span), test: test.clone(), span: node.span })
}
