//! Where a field's value comes from, as a map says it: columns, a constant, and how they are read.
//!
//! In: the node after a field's name. Out: an [`Assignment`], or what is wrong with it. Not here:
//! the columns of a file (`header`), and reading cells (`values`).

use super::super::cells::{DecimalMark, Unit};
use super::pattern::CellPattern;
use super::targets::{Takes, Target, UNITS};
use crate::findings::{Finding, rules};
use crate::source::Span;
use crate::tree::{Node, Value};
use crate::words::list_words;

/// The most columns that one field may be made of.
const MOST_COLUMNS: usize = 20;

/// A field and where its value comes from.
#[derive(Clone, Debug)]
pub(crate) struct Assignment {
    /// The field.
    pub(crate) target: &'static Target,
    /// The columns, in order; empty when it is a constant.
    pub(crate) columns: Vec<(String, Span)>,
    /// The name of a field of the seller's own.
    pub(crate) own: Option<String>,
    /// The constant; several only of taxes, and none when columns are named.
    pub(crate) always: Vec<(String, Span)>,
    /// The patterns that take its cell apart, the first that fits; none for a field of its own.
    pub(crate) patterns: Vec<CellPattern>,
    /// The decimal mark of its cells, where it is not the map's.
    pub(crate) decimal: Option<DecimalMark>,
    /// The unit of cells that name none.
    pub(crate) unit: Option<Unit>,
    /// Cells in small letters, and what stands for them.
    pub(crate) words: Vec<(String, String)>,
    /// The separator of a list's texts.
    pub(crate) split: Option<String>,
    /// What stands between the texts of several columns, when it is no space.
    pub(crate) join: Option<String>,
}

impl Assignment {
    /// A field without a source yet.
    pub(super) fn empty(target: &'static Target) -> Assignment {
        Assignment {
            target,
            columns: Vec::new(),
            own: None,
            always: Vec::new(),
            patterns: Vec::new(),
            decimal: None,
            unit: None,
            words: Vec::new(),
            split: None,
            join: None,
        }
    }

    /// The path of its field in what it belongs to.
    pub(crate) fn path(&self) -> String {
        match &self.own {
            Some(own) => format!("{}.{own}", self.target.name),
            None => self.target.name.to_owned(),
        }
    }

    /// Its columns as a message names them; nothing for a constant.
    pub(crate) fn describe(&self) -> String {
        match &*self.columns {
            [] => String::new(),
            [(name, _)] => format!(" in column `{name}`"),
            names => {
                format!(" in columns {}", list_words(names.iter().map(|(name, _)| name.as_str())))
            }
        }
    }
}

/// The columns of a node that names one or several.
pub(super) fn read_columns(node: &Node) -> Vec<(String, Span)> {
    let one = std::slice::from_ref(node);
    let nodes = if node.items().is_empty() { one } else { node.items() };
    let named =
        nodes.iter().filter_map(|node| Some((node.literal()?.trim().to_owned(), node.span)));
    named.collect()
}

/// Reads a field's source, which has passed its record; `None` when something is wrong with it.
pub(super) fn read_source(
    target: &'static Target,
    node: &Node,
    out: &mut Vec<Finding>,
) -> Option<Assignment> {
    let before = out.len();
    let path = format!("fields.{}", target.name);
    let mut assignment = Assignment::empty(target);
    if let Value::Map(_) = node.value {
        read_long_form(node, &path, &mut assignment, out);
    } else {
        assignment.columns = read_columns(node);
    }
    check_count(&assignment, node, &path, out);
    (out.len() == before).then_some(assignment)
}

/// Takes what a source in braces says, and tells what does not go together.
fn read_long_form(node: &Node, path: &str, into: &mut Assignment, out: &mut Vec<Finding>) {
    let given = |name: &str| node.get(name).filter(|node| !node.is_null());
    let sources: Vec<_> =
        ["column", "columns", "always"].into_iter().filter(|name| given(name).is_some()).collect();
    if sources.len() != 1 {
        let message = match sources.len() {
            0 => "this source names no column".to_owned(),
            _ => format!("expected one source, found {}", list_words(sources)),
        };
        out.push(
            Finding::new(&rules::WRONG_SOURCE, message)
                .at(node.span)
                .path(path)
                .hint("give one of `column: …`, `columns: […, …]` and `always: …`"),
        );
    }
    into.columns =
        given("column").or_else(|| given("columns")).map(read_columns).unwrap_or_default();
    into.always = given("always").map(read_columns).unwrap_or_default();
    into.unit = given("unit").and_then(|unit| read_unit(into.target, unit, path, out));
    into.decimal = given("decimal").and_then(|mark| read_decimal(into.target, mark, path, out));
    let words = given("words").map(Node::entries).unwrap_or_default();
    let text = |node: &Node| node.literal().map(|text| text.trim().to_owned());
    into.words = words
        .iter()
        .filter_map(|(key, node)| Some((key.name.trim().to_lowercase(), text(node)?)))
        .collect();
    if let Some(split) = given("split") {
        if into.target.takes != Takes::List {
            out.push(misplaced("split", "`ship_to.lines` and `extras`", split, path));
        }
        into.split = split.literal().map(str::to_owned);
    }
    if let Some(join) = given("join") {
        if into.target.takes != Takes::Text {
            out.push(misplaced("join", "text of one line, such as `ship_to.name`", join, path));
        }
        into.join = join.literal().map(str::to_owned);
    }
}

/// The decimal mark of cells that hold numbers.
fn read_decimal(
    target: &Target,
    node: &Node,
    path: &str,
    out: &mut Vec<Finding>,
) -> Option<DecimalMark> {
    let is_number = matches!(
        target.takes,
        Takes::Count | Takes::Price | Takes::Discount | Takes::Rate | Takes::Weight | Takes::Size
    );
    if !is_number {
        out.push(misplaced("decimal", "numbers", node, path));
        return None;
    }
    DecimalMark::parse(node.literal()?)
}

/// The unit of a weight or size.
fn read_unit(target: &Target, node: &Node, path: &str, out: &mut Vec<Finding>) -> Option<Unit> {
    let unit = Unit::parse(node.literal()?)?;
    let fits = match target.takes {
        Takes::Weight => matches!(unit, Unit::Mass(_)),
        Takes::Size => matches!(unit, Unit::Length(_)),
        _ => {
            out.push(misplaced("unit", "weights and `parcel.size_mm`", node, path));
            return None;
        }
    };
    if !fits {
        let units = if target.takes == Takes::Weight { &UNITS[..4] } else { &UNITS[4..] };
        let listed = list_words(units.iter().copied());
        let found = node.value.describe();
        out.push(
            Finding::new(&rules::WRONG_VALUE, format!("expected one of {listed}, found {found}"))
                .at(node.span)
                .path(format!("{path}.unit"))
                .hint(format!("name the unit of its cells, such as `unit: {}`", units[1])),
        );
    }
    fits.then_some(unit)
}

/// The complaint about a setting that a field does not have.
fn misplaced(setting: &str, owners: &str, node: &Node, path: &str) -> Finding {
    Finding::new(&rules::WRONG_SETTING, format!("`{setting}` is only for {owners}"))
        .at(node.span)
        .path(format!("{path}.{setting}"))
        .hint(format!("delete `{setting}` here"))
}

/// Reports columns that are too many, or more than a field can be made of.
fn check_count(assignment: &Assignment, node: &Node, path: &str, out: &mut Vec<Finding>) {
    let count = assignment.columns.len();
    let found = count.max(assignment.always.len());
    let (least, most, wanted) = match assignment.target.takes {
        _ if !assignment.always.is_empty() && assignment.target.field_of_tax().is_none() => {
            (1, 1, "one value")
        }
        Takes::Text | Takes::Paragraph | Takes::List | Takes::Kept => {
            (1, MOST_COLUMNS, "at most 20 columns")
        }
        _ if assignment.target.field_of_tax().is_some() => (1, MOST_COLUMNS, "at most 20 columns"),
        Takes::Size if count != 1 => (3, 3, "one column or three"),
        _ => (1, 1, "one column"),
    };
    let is_list = node.get("columns").is_some() || matches!(node.value, Value::List(_));
    if (assignment.always.is_empty() && is_list && count < least) || found > most {
        out.push(
            Finding::new(&rules::WRONG_SOURCE, format!("expected {wanted}, found {found}"))
                .at(node.span)
                .path(path)
                .hint("a value that stands in several columns is joined of text only"),
        );
    }
}

/// A text, such as a column's name, as YAML, in quotes where it needs them.
pub(crate) fn quote(name: &str) -> String {
    let plain =
        |c: char| c.is_alphanumeric() || matches!(c, ' ' | '_' | '-' | '.' | '/' | '(' | ')');
    if name.starts_with(char::is_alphanumeric) && name.chars().all(plain) {
        name.to_owned()
    } else {
        serde_json::Value::from(name).to_string()
    }
}
