//! The map: a YAML file that says which columns of an export are which fields of an order.
//!
//! In: the file's text. Out: an [`IntakeMap`], or everything that is wrong with it. It is written
//! by hand and read as a whole, so an unknown field is an error. Not here: the export itself.

mod header;
mod pattern;
mod row_rules;
mod row_words;
mod source;
mod targets;
mod word_table;
mod words;

use encoding_rs::Encoding;
use serde_json::json;

use super::cells::{DateForm, DecimalMark};
use crate::fields::{LINE, check_own_names, read_text};
use crate::findings::{Finding, rules};
use crate::limits::COLUMN_PATTERNS;
use crate::record::{
    Kind, OtherFields, Record, RecordCheck, TEXT, check, name_parts, optional, record_schema,
    required, scalar,
};
use crate::source::{FileId, Span};
use crate::tree::{Node, yaml};
use row_rules::{ROW_RULE, read_row_rule};
use source::{read_columns, read_source};
use targets::{FIELDS, TAKEN_APART};

pub(super) use header::{Binding, bind, column_names};
pub(super) use pattern::{CellParts, CellPattern, PATTERN_FIELDS, PatternFault, describe_parts};
pub(super) use row_rules::{RowRule, read_signed, says_something};
pub(super) use row_words::{is_cancelled, is_total};
pub(super) use source::Assignment;
pub(crate) use source::quote;
pub(crate) use targets::COLUMN;
pub(super) use targets::{TARGETS, Takes, Target};
pub(super) use words::{
    Guess, NamePart, Standing, adds_to_address, currency_in, guess, guess_postcode_and_city,
    name_part,
};

/// The map's fields.
static MAP: Record = Record {
    name: "map",
    doc: "Which columns of a shop's export are which fields of an order.",
    fields: &[
        scalar("batch", &LINE, "the batch's name"),
        optional("separator", Kind::Word(SEPARATORS), "what parts the cells; default: found out"),
        scalar("sheet", &COLUMN, "the sheet of a spreadsheet; default: the first"),
        optional("encoding", Kind::Word(ENCODINGS), "how text is stored; default: found out"),
        optional(
            "decimal",
            Kind::Word(&["point", "comma"]),
            "the decimal mark; default: `point`, and numbers that could be read either way are \
             refused",
        ),
        optional("dates", Kind::Word(DateForm::WORDS), "the form of dates; default: `y-m-d`"),
        optional(
            "rows",
            Kind::List(&Kind::Map(&ROW_RULE)),
            "which rows are no parcels: cancelled, refunded, totals; each is counted and named",
        ),
        optional(
            "patterns",
            Kind::List(&Kind::Map(&PATTERN)),
            "cells that hold several parts of an address, and how they are taken apart",
        ),
        required(
            "fields",
            Kind::Map(&FIELDS),
            "fields of an order, and the columns they come from",
        ),
        optional(
            "ignore",
            Kind::List(&Kind::Scalar(&COLUMN)),
            "columns that are known and not wanted",
        ),
    ],
};

/// A cell that is taken apart.
static PATTERN: Record = Record {
    name: "pattern",
    doc: "A column that holds several parts of an address.",
    fields: &[
        required("column", Kind::Scalar(&COLUMN), "the column"),
        required(
            "pattern",
            Kind::Either(&[Kind::Scalar(&TEXT), Kind::List(&Kind::Scalar(&TEXT))]),
            "its form, such as `{postcode} {city}`, or several, of which the first that fits is taken",
        ),
    ],
};

/// The separators by name; their bytes are in [`read_separator`].
pub(crate) const SEPARATORS: &[&str] = &["comma", "semicolon", "tab", "bar"];

/// The encodings that can be named, as the Encoding Standard of the WHATWG calls them. The first
/// three are found out; the others are what spreadsheets store where their system is set to
/// another part of the world.
pub(crate) const ENCODINGS: &[&str] = &[
    "utf-8",
    "utf-16",
    "windows-1252",
    "windows-1250",
    "windows-1251",
    "windows-1253",
    "windows-1254",
    "windows-1257",
    "iso-8859-2",
    "iso-8859-15",
    "macintosh",
    "shift_jis",
    "gbk",
    "big5",
    "euc-kr",
];

/// A map that has been read.
#[derive(Clone, Debug)]
pub struct IntakeMap {
    /// The batch's name; empty when it gives none.
    pub(super) batch: Box<str>,
    /// The separator of cells; found out when the map does not name it.
    pub(super) separator: Option<u8>,
    /// The sheet of a spreadsheet, when it says so.
    pub(super) sheet: Option<Box<str>>,
    /// The name of the encoding, when it says so.
    pub(super) encoding: Option<&'static str>,
    /// The decimal mark, when it says so.
    pub(super) decimal: Option<DecimalMark>,
    /// In what order days, months and years stand; the year first when the map does not say.
    pub(super) dates: DateForm,
    /// The fields, in the order in which they are written.
    pub(super) fields: Vec<Assignment>,
    /// Which rows are left out.
    pub(super) rows: Vec<RowRule>,
    /// The columns that are not wanted.
    pub(super) ignore: Vec<(String, Span)>,
}

impl IntakeMap {
    /// The columns that it names, those that are not wanted too.
    pub(crate) fn named_columns(&self) -> impl Iterator<Item = &str> {
        self.columns().chain(self.ignore.iter().map(|(name, _)| name.as_str()))
    }

    /// The column of a field that has one alone.
    pub(crate) fn column_of(&self, field: &str) -> Option<&str> {
        let field = self.fields.iter().find(|it| it.target.name == field)?;
        match &field.columns[..] {
            [(column, _)] => Some(column),
            _ => None,
        }
    }

    /// The word for the separator, when it names one.
    pub(crate) fn separator_word(&self) -> Option<&'static str> {
        self.separator.map(separator_name)
    }

    /// The word for the form of dates.
    pub(crate) fn dates_word(&self) -> &'static str {
        self.dates.word()
    }

    /// The columns that it names for its fields.
    pub(super) fn columns(&self) -> impl Iterator<Item = &str> {
        self.fields.iter().flat_map(|field| &field.columns).map(|(name, _)| name.as_str())
    }
}

/// Reads a map; what is wrong with it goes to `out`.
#[must_use]
pub fn read_intake_map(text: &str, file: FileId, out: &mut Vec<Finding>) -> Option<IntakeMap> {
    let node = yaml::read_or_report(text, file, out)?;
    let before = out.len();
    check(&node, &MAP, "", RecordCheck::STRICT, out);
    require_country(&node, out);
    out[before..].iter_mut().for_each(add_example);
    if out[before..].iter().any(Finding::is_error) {
        return None;
    }
    let mut fields: Vec<Assignment> = Vec::new();
    for target in TARGETS {
        let source = node.get("fields").and_then(|fields| fields.get(target.name));
        let Some(source) = source.filter(|source| !source.is_null()) else { continue };
        if target.takes == Takes::Own {
            check_own_names(source, &format!("fields.{}", target.name), out);
            for (name, source) in source.entries().iter().filter(|(_, it)| !it.is_null()) {
                let own = Some(name.name.clone());
                let assignment = read_source(target, source, out);
                fields.extend(assignment.map(|it| Assignment { own, ..it }));
            }
        } else {
            fields.extend(read_source(target, source, out));
        }
    }
    let rules = node.get("rows").map(Node::items).unwrap_or_default();
    let rules = rules.iter().enumerate();
    let rows = rules.filter_map(|(at, rule)| read_row_rule(rule, &format!("rows[{at}]"), out));
    let rows = rows.collect();
    read_patterns(&node, &mut fields, out);
    if out[before..].iter().any(Finding::is_error) {
        return None;
    }
    let word = |name| node.get(name).and_then(Node::literal).unwrap_or_default();
    Some(IntakeMap {
        batch: read_text(&node, "batch"),
        separator: read_separator(word("separator")),
        sheet: Some(word("sheet").trim()).filter(|name| !name.is_empty()).map(Into::into),
        encoding: ENCODINGS.iter().copied().find(|known| *known == word("encoding")),
        decimal: DecimalMark::parse(word("decimal")),
        dates: DateForm::parse(word("dates")).unwrap_or_default(),
        fields,
        rows,
        ignore: match node.get("ignore") {
            Some(list) if !list.items().is_empty() => read_columns(list),
            _ => Vec::new(),
        },
    })
}

/// Reports a map that gives orders no country: neither a field nor a pattern does.
fn require_country(node: &Node, out: &mut Vec<Finding>) {
    let Some(fields) = node.get("fields").filter(|fields| !fields.entries().is_empty()) else {
        return;
    };
    let patterns = node.get("patterns").map(Node::items).unwrap_or_default();
    let texts = patterns.iter().filter_map(|it| it.get("pattern")).flat_map(|pattern| {
        let one = std::slice::from_ref(pattern);
        if pattern.items().is_empty() { one } else { pattern.items() }
    });
    let by_pattern = texts.filter_map(Node::literal).any(|text| text.contains("country}"));
    if !by_pattern && fields.get("ship_to.country").is_none_or(Node::is_null) {
        let message = "this map has no `ship_to.country`".to_owned();
        out.push(Finding::new(&rules::MISSING_FIELD, message).at(fields.span).path("fields"));
    }
}

/// Reads the patterns, which fill fields like the others do.
fn read_patterns(node: &Node, fields: &mut Vec<Assignment>, out: &mut Vec<Finding>) {
    let nodes = node.get("patterns").map(Node::items).unwrap_or_default();
    for (index, node) in nodes.iter().enumerate() {
        let path = format!("patterns[{index}]");
        let Some(assignment) = read_pattern(node, &path, out) else { continue };
        let filled = fields.iter().find(|field| {
            let filled = assignment.patterns.iter().flat_map(CellPattern::targets);
            let own = field.patterns.iter().flat_map(CellPattern::targets);
            let own: Vec<&str> = own.chain([field.target.name]).collect();
            filled.into_iter().any(|target| own.contains(&target))
        });
        if let Some(filled) = filled {
            let name = filled.target.name;
            let message = match name {
                "patterns" => "another pattern gives the same part of an address".to_owned(),
                _ => format!("`{name}` stands under `fields` and in this pattern"),
            };
            out.push(
                Finding::new(&rules::WRONG_SOURCE, message)
                    .at(node.span)
                    .path(&path)
                    .hint("leave one of the two out"),
            );
        }
        fields.push(assignment);
    }
}

/// Reads one pattern, which has passed its record.
fn read_pattern(node: &Node, path: &str, out: &mut Vec<Finding>) -> Option<Assignment> {
    let pattern = node.get("pattern")?;
    let one = std::slice::from_ref(pattern);
    let texts = if pattern.items().is_empty() { one } else { pattern.items() };
    let mut patterns = Vec::new();
    for text in texts.iter().take(COLUMN_PATTERNS) {
        match CellPattern::parse(text.literal()?) {
            Ok(pattern) => patterns.push(pattern),
            Err((message, hint)) => out.push(
                Finding::new(&rules::WRONG_PATTERN, message).at(text.span).path(path).hint(hint),
            ),
        }
    }
    if texts.len() > COLUMN_PATTERNS {
        let message = format!("expected at most {COLUMN_PATTERNS} patterns, found {}", texts.len());
        out.push(
            Finding::new(&rules::WRONG_PATTERN, message)
                .at(pattern.span)
                .path(path)
                .hint("keep those that the cells of this column have"),
        );
    }
    let columns = read_columns(node.get("column")?);
    Some(Assignment { columns, patterns, ..Assignment::empty(&TAKEN_APART) })
}

/// The byte of a separator's name.
pub(crate) fn read_separator(name: &str) -> Option<u8> {
    match name {
        "comma" => Some(b','),
        "semicolon" => Some(b';'),
        "tab" => Some(b'\t'),
        "bar" => Some(b'|'),
        _ => None,
    }
}

/// What the map calls a separator.
pub(super) fn separator_name(separator: u8) -> &'static str {
    match separator {
        b';' => "semicolon",
        b'\t' => "tab",
        b'|' => "bar",
        _ => "comma",
    }
}

/// Shows how a field is written when its error has no hint of its own, or one that misses the
/// usual slip.
fn add_example(finding: &mut Finding) {
    let path = finding.path.clone().unwrap_or_default();
    let field = path.strip_prefix("fields.").unwrap_or_default();
    let quoted = finding.message.rsplit('`').nth(1).unwrap_or_default().to_owned();
    let hint = match path.as_str() {
        _ if path.starts_with("rows[") || path.starts_with("patterns[") => None,
        _ if finding.is(&rules::UNKNOWN_FIELD) => suggest_field(field),
        _ if finding.is(&rules::MISSING_FIELD) => Some(match quoted.as_str() {
            "fields" => "start it with `fields:` and, below, `id: Order number`; \
                         `slipwright intake FILE --propose` writes a first map"
                .to_owned(),
            "id" => "name the column with the order's number: `id: Order number`".into(),
            _ => "name its column: `ship_to.country: Country`; or, if all go to one country, \
                  `ship_to.country: {always: GB}`"
                .into(),
        }),
        "" => {
            finding.message = "expected a map with `fields:`, found something else".into();
            Some("`slipwright intake FILE --propose` writes a first map".into())
        }
        "separator" => SEPARATORS
            .iter()
            .find(|name| read_separator(name).is_some_and(|mark| quoted.as_bytes() == [mark]))
            .map(|name| format!("write `separator: {name}`")),
        "encoding" => Encoding::for_label(quoted.as_bytes())
            .or_else(|| Encoding::for_label(quoted.replace('-', "").as_bytes()))
            .map(|known| known.name().to_lowercase())
            .filter(|name| ENCODINGS.contains(&name.as_str()))
            .map(|name| format!("write `encoding: {name}`")),
        _ => None,
    };
    if let Some(hint) = hint {
        finding.hints = vec![hint];
    }
    if finding.hints.is_empty() {
        finding.hints.push(match field {
            "" => "write one of the words listed, or leave it out".into(),
            _ => "write a column's name, `[First, Second]` or `{column: …, …}`".into(),
        });
    }
}

/// The field that was meant: a part without its point, or a usual word for it.
fn suggest_field(name: &str) -> Option<String> {
    let inside = TARGETS
        .iter()
        .find(|target| target.name.split_once('.').is_some_and(|(owner, _)| owner == name));
    if let Some(first) = inside {
        return Some(format!("name its part with a point between: `{}: …`", first.name));
    }
    let known = TARGETS.iter().map(|target| target.name);
    if name.is_empty() || crate::words::nearest(name, known).is_some() {
        return None;
    }
    let guessed = guess(&name.replace(['.', '_'], " "))?;
    Some(format!("did you mean `{}`?", guessed.target))
}

/// The JSON Schema (draft 2020-12) of maps.
#[must_use]
pub fn intake_schema() -> serde_json::Value {
    let mut schema = record_schema(&MAP, OtherFields::Refused);
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["$id"] = json!("urn:slipwright:schema:intake");
    schema["title"] = json!("Map of a shop's export for slipwright");
    name_parts(schema)
}
