//! The map of the way back: a YAML file that says which columns the shop's import has, and which of
//! our fields stand in them.
//!
//! In: the file's text. Out: a [`DispatchMap`], or everything that is wrong with it. It is written by
//! hand and read as a whole, so an unknown field is an error. Not here: the cells (`write`).

use encoding_rs::Encoding;
use serde_json::json;

use super::field::{CellForm, DISPATCH_FIELDS, DispatchField, FIELDS};
use crate::fields::LINE;
use crate::findings::{Finding, rules};
use crate::intake::{DateForm, DecimalMark, ENCODINGS, SEPARATORS, read_separator};
use crate::record::{
    Kind, OtherFields, Record, RecordCheck, check, name_parts, optional, record_schema, required,
};
use crate::source::{FileId, Span};
use crate::tree::{Node, yaml};

/// The map's fields.
static MAP: Record = Record {
    name: "map",
    doc: "Which columns the shop's import of shipped orders has, and what stands in them.",
    fields: &[
        optional("separator", Kind::Word(SEPARATORS), "what parts the cells; default: `comma`"),
        optional("encoding", Kind::Word(ENCODINGS), "how text is stored; default: `utf-8`"),
        optional(
            "decimal",
            Kind::Word(DecimalMark::WORDS),
            "the decimal mark of weights; default: `point`",
        ),
        optional("dates", Kind::Word(DateForm::WORDS), "the form of dates; default: `y-m-d`"),
        optional(
            "formulas",
            Kind::Word(FormulaCells::WORDS),
            "what happens to a cell that a spreadsheet would run as a formula: `refuse` it (the \
             default), `quote` it with an apostrophe in front, or `keep` it as it is",
        ),
        required("fields", Kind::Map(&FIELDS), "our fields, and the columns they go to"),
        optional(
            "always",
            Kind::Named(&Kind::Scalar(&LINE)),
            "columns that say the same of every order, such as `Status: shipped`; they come last",
        ),
    ],
};

/// What happens to a cell that a spreadsheet would run as a formula.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum FormulaCells {
    /// It is an error: with an apostrophe in front an order's id would be another one to the shop.
    #[default]
    Refuse,
    /// It gets an apostrophe in front.
    Quote,
    /// It stays: the file is read by a shop and by no spreadsheet.
    Keep,
}

impl FormulaCells {
    /// Their words in the map, in the order of the variants.
    const WORDS: &'static [&'static str] = &["refuse", "quote", "keep"];

    /// What a word of the map asks for; none when it is no such word.
    fn parse(word: &str) -> Option<FormulaCells> {
        let all = [FormulaCells::Refuse, FormulaCells::Quote, FormulaCells::Keep];
        all.into_iter().find(|it| Self::WORDS[*it as usize] == word)
    }
}

/// A column of the shop's.
#[derive(Clone, Debug)]
pub(super) struct DispatchColumn {
    /// Its name in the first row, letter by letter as the shop's program asks for it.
    pub(super) name: String,
    /// Where the map names it.
    pub(super) span: Span,
    /// What stands in it.
    pub(super) holds: ColumnHolds,
    /// Texts of cells, and what stands for them.
    pub(super) words: Vec<(String, String)>,
    /// What stands where there is nothing to say.
    pub(super) empty: String,
}

/// What stands in a column.
#[derive(Clone)]
pub(super) enum ColumnHolds {
    /// A field of an order that went.
    Field(&'static DispatchField),
    /// The same text in every row.
    Always(String),
}

impl std::fmt::Debug for ColumnHolds {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            ColumnHolds::Field(field) => f.write_str(field.name),
            ColumnHolds::Always(text) => write!(f, "{text:?}"),
        }
    }
}

/// A map that has been read.
#[derive(Clone, Debug)]
pub struct DispatchMap {
    /// The separator of cells.
    pub(super) separator: u8,
    /// The name of the encoding.
    pub(super) encoding: &'static str,
    /// How numbers and dates are written.
    pub(super) form: CellForm,
    /// What happens to cells that a spreadsheet would run.
    pub(super) formulas: FormulaCells,
    /// The columns, in order.
    pub(super) columns: Vec<DispatchColumn>,
}

impl DispatchMap {
    /// Whether a column holds tracking numbers.
    #[must_use]
    pub fn tells_tracking(&self) -> bool {
        let is_tracking = |holds: &ColumnHolds| matches!(holds, ColumnHolds::Field(field) if field.name == "tracking");
        self.columns.iter().any(|column| is_tracking(&column.holds))
    }
}

/// Reads a map; what is wrong with it goes to `out`.
#[must_use]
pub fn read_dispatch_map(text: &str, file: FileId, out: &mut Vec<Finding>) -> Option<DispatchMap> {
    let node = yaml::read_or_report(text, file, out)?;
    let before = out.len();
    check(&node, &MAP, "", RecordCheck::STRICT, out);
    out[before..].iter_mut().for_each(add_example);
    if out[before..].iter().any(Finding::is_error) {
        return None;
    }
    let columns = read_columns(&node);
    refuse_doubled(&columns, out);
    if out[before..].iter().any(Finding::is_error) {
        return None;
    }
    let word = |name| node.get(name).and_then(Node::literal).unwrap_or_default();
    Some(DispatchMap {
        separator: read_separator(word("separator")).unwrap_or(b','),
        encoding: ENCODINGS.iter().copied().find(|it| *it == word("encoding")).unwrap_or("utf-8"),
        form: CellForm {
            decimal: DecimalMark::parse(word("decimal")).unwrap_or(DecimalMark::Point),
            dates: DateForm::parse(word("dates")).unwrap_or_default(),
        },
        formulas: FormulaCells::parse(word("formulas")).unwrap_or_default(),
        columns,
    })
}

/// The columns of a map that has passed its record: those of fields as they are written, then those
/// that always say the same.
fn read_columns(node: &Node) -> Vec<DispatchColumn> {
    let mut columns = Vec::new();
    for (key, value) in node.get("fields").map(Node::entries).unwrap_or_default() {
        let Some(field) = DISPATCH_FIELDS.iter().find(|field| field.name == key.name) else {
            continue;
        };
        let names = match (value.items(), value.get("column")) {
            ([], Some(name)) => std::slice::from_ref(name),
            ([], None) => std::slice::from_ref(value),
            (names, _) => names,
        };
        for name in names {
            let Some(text) = name.literal() else { continue };
            columns.push(DispatchColumn {
                name: text.trim().to_owned(),
                span: name.span,
                holds: ColumnHolds::Field(field),
                words: read_words(value),
                empty: value.get("empty").and_then(Node::literal).unwrap_or_default().to_owned(),
            });
        }
    }
    for (key, value) in node.get("always").map(Node::entries).unwrap_or_default() {
        columns.push(DispatchColumn {
            name: key.name.trim().to_owned(),
            span: key.span,
            holds: ColumnHolds::Always(value.literal().unwrap_or_default().to_owned()),
            words: Vec::new(),
            empty: String::new(),
        });
    }
    columns
}

/// The words of a field's long form.
fn read_words(value: &Node) -> Vec<(String, String)> {
    let words = value.get("words").map(Node::entries).unwrap_or_default();
    let said = words
        .iter()
        .filter_map(|(key, word)| Some((key.name.trim().to_owned(), word.literal()?.to_owned())));
    said.collect()
}

/// Reports columns of one name: a shop would read one of them and pass over the other.
fn refuse_doubled(columns: &[DispatchColumn], out: &mut Vec<Finding>) {
    for (index, column) in columns.iter().enumerate() {
        if let Some(first) = columns[..index].iter().find(|it| it.name == column.name) {
            let message = format!("two columns are called `{}`", column.name);
            out.push(
                Finding::new(&rules::DOUBLED_COLUMN, message)
                    .at(column.span)
                    .related(first.span, "the first is here")
                    .hint("give one of them another name, or leave it out"),
            );
        }
    }
}

/// Shows how a field is written when its error has no hint of its own.
fn add_example(finding: &mut Finding) {
    if !finding.hints.is_empty() && !finding.is(&rules::MISSING_FIELD) {
        return;
    }
    let path = finding.path.clone().unwrap_or_default();
    let quoted = finding.message.rsplit('`').nth(1).unwrap_or_default().to_owned();
    finding.hints = vec![match path.as_str() {
        "encoding" => Encoding::for_label(quoted.as_bytes())
            .map(|known| known.name().to_lowercase())
            .filter(|name| ENCODINGS.contains(&name.as_str()))
            .map_or_else(
                || "write one of the words listed, or leave it out".to_owned(),
                |name| format!("write `encoding: {name}`"),
            ),
        "separator" => SEPARATORS
            .iter()
            .find(|name| read_separator(name).is_some_and(|mark| quoted.as_bytes() == [mark]))
            .map_or_else(
                || "write one of the words listed, or leave it out".to_owned(),
                |name| format!("write `separator: {name}`"),
            ),
        _ if finding.is(&rules::MISSING_FIELD) && quoted == "id" => {
            "name the shop's column of order numbers: `id: Order number`".into()
        }
        "" | "fields" => {
            "start it with `fields:` and, below, a line for each column: `id: Order number`".into()
        }
        _ if finding.is(&rules::UNKNOWN_FIELD) => {
            let known: Vec<&str> = DISPATCH_FIELDS.iter().map(|field| field.name).collect();
            format!("the fields are {}", crate::words::list_words(known))
        }
        _ if path.starts_with("fields.") => {
            "write a column's name, `[First, Second]` or `{column: …, words: {…}}`".into()
        }
        _ => "write one of the words listed, or leave it out".into(),
    }];
}

/// The JSON Schema (draft 2020-12) of maps of the way back.
#[must_use]
pub fn dispatch_schema() -> serde_json::Value {
    let mut schema = record_schema(&MAP, OtherFields::Refused);
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["$id"] = json!("urn:slipwright:schema:dispatch");
    schema["title"] = json!("Map of the way back to the shop for slipwright");
    name_parts(schema)
}
