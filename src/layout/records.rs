//! The tables of a layout's maps that are no blocks: its top, page, sheet, types and columns; and
//! the JSON Schema that these tables and those of the blocks make.

use super::blocks::{A_LENGTH, A_TEXT, LET, ONE_BLOCK, SIDE_LENGTHS};
use super::blocks::{BLOCKS, BlockRule, COMMON};
use super::values::{COLOUR, EM, LANGUAGE, STOCK};
use crate::language::WORDS;
use crate::record::{COUNT, FLAG, Field, Kind, Record, optional as setting};
use crate::record::{OtherFields, kind_schema, record_schema};
use serde_json::{Map, Value, json};

/// The settings of `page`.
pub static PAGE: Record = Record {
    name: "page",
    doc: "The paper.",
    fields: &[
        Field {
            name: "stock",
            kind: Kind::Scalar(&STOCK),
            required: true,
            doc: "a stock of `slipwright stock`, or a size such as `80x120mm`",
        },
        setting("inset", SIDE_LENGTHS, "white around the body; default 0"),
        setting(
            "clear_edge",
            A_LENGTH,
            "the edge that must stay white; default what the printer or the stock asks for",
        ),
        setting(
            "turn",
            Kind::Word(&["none", "quarter", "half", "three-quarter"]),
            "how far all that is on the page is turned, clockwise; its `inset` turns with it; default `none`",
        ),
        setting(
            "mirror",
            Kind::Scalar(&FLAG),
            "`true` mirrors all that is on the page, for what is ironed on; default `false`",
        ),
    ],
};

/// The settings of a type style.
pub static TYPE: Record = Record {
    name: "type",
    doc: "How text is set.",
    fields: &[
        setting("like", A_TEXT, "the type it builds on: what is not said here, that one says"),
        setting("family", A_TEXT, "a family of your `fonts`; default the built-in Noto Sans"),
        setting("size", A_LENGTH, "the type size, such as `9pt`; default 9 pt"),
        setting("smallest", A_LENGTH, "how small `fit: shrink` may set it; default 6 pt"),
        setting(
            "weight",
            Kind::Word(&["regular", "bold", "condensed"]),
            "the cut: `condensed` is bold and narrow; default `regular`",
        ),
        setting(
            "slant",
            Kind::Word(&["upright", "italic"]),
            "`italic` takes the slanted cut of the family, which has to have one: the built-in Noto Sans has \
             none; default `upright`",
        ),
        setting("spacing", Kind::Scalar(&EM), "room added after each character, in em; default 0"),
        setting("leading", Kind::Scalar(&EM), "from baseline to baseline, in em; default 1.25"),
        setting(
            "case",
            Kind::Word(&["as-is", "capitals"]),
            "`capitals` sets everything in capitals; default `as-is`",
        ),
    ],
};

/// The settings of `sheet`.
pub static SHEET: Record = Record {
    name: "sheet",
    doc: "Several pages on one sheet, filled in bench order.",
    fields: &[
        Field {
            name: "stock",
            kind: Kind::Scalar(&STOCK),
            required: true,
            doc: "the sheet's stock or size",
        },
        setting("columns", Kind::Scalar(&COUNT), "pages side by side; default 1"),
        setting("rows", Kind::Scalar(&COUNT), "pages one below another; default 1"),
        setting(
            "gutter",
            Kind::Either(&[A_LENGTH, Kind::Row(2, &A_LENGTH)]),
            "white between pages: one length, or `[across, down]`; default 0",
        ),
        setting(
            "margin",
            Kind::Row(2, &A_LENGTH),
            "from the sheet's left and top edges to the first page; default centred",
        ),
        setting(
            "fill",
            Kind::Word(&["across", "down"]),
            "the order of the places: `across` fills row after row, `down` column after column; \
             default `across`",
        ),
        setting("marks", Kind::Scalar(&FLAG), "whether cut marks are drawn; default `false`"),
        setting(
            "duplex",
            Kind::Word(&["long-edge", "short-edge"]),
            "the edge that the printer turns the sheet over for the `back`, which decides where \
             the backs lie: over an upright edge a page turns like a leaf of a book, over a level \
             one like a leaf of a calendar; default `long-edge`",
        ),
    ],
};

/// The top of a layout file.
pub static LAYOUT: Record = Record {
    name: "layout",
    doc: "A layout of Slipwright.",
    fields: &[
        setting("page", Kind::Map(&PAGE), "the paper"),
        setting(
            "makes",
            Kind::Word(&["label", "bench-card", "slip", "insert", "list"]),
            "what the layout makes; a `list` is one document about the whole batch",
        ),
        setting(
            "per",
            Kind::Word(&["parcel", "order", "item", "piece"]),
            "what there is a page of: each `parcel`, each `order` in it, each `item` of each order, or each \
             single `piece`; pages then know `order`, `item`, `piece` and `pieces`; default `parcel`",
        ),
        setting(
            "copies",
            Kind::Scalar(&COUNT),
            "how many times each is printed, up to 100; pages know `copy`; default 1",
        ),
        setting(
            "language",
            Kind::Scalar(&LANGUAGE),
            "the language of its words, dates and figures, unless the buyer reads it and the order \
             has a `language`; default: the shop's",
        ),
        setting(
            "reader",
            Kind::Word(&["buyer", "seller"]),
            "who reads it, and so in whose language it is; default: `buyer` for slips and inserts, \
             else `seller`",
        ),
        setting(
            "words",
            WORDS,
            "words of the layout's own by language and key, and words of ours put otherwise, as in \
             `de: {dear: \"Hallo {name},\"}`",
        ),
        setting("sheet", Kind::Map(&SHEET), "several pages on one sheet"),
        setting("type", Kind::Named(&Kind::Map(&TYPE)), "type styles by name"),
        setting(
            "inks",
            Kind::Named(&Kind::Scalar(&COLOUR)),
            "colours by name for `ink` and `ground`, in sRGB; they need a printer with `colour: true`",
        ),
        setting(
            "let",
            LET,
            "names for texts, numbers, `true` and `false` of the layout's own; a value that is one \
             expression, `\"{{ … }}\"` and nothing around it, keeps its type",
        ),
        setting(
            "flow",
            Kind::Scalar(&FLAG),
            "whether a body too long for its page runs on over further pages; default `false`",
        ),
        setting("head", ONE_BLOCK, "a block at the top of every page; knows `page` and `pages`"),
        setting("foot", ONE_BLOCK, "a block at the foot of every page; knows `page` and `pages`"),
        setting("body", ONE_BLOCK, "the outermost block"),
        setting(
            "back",
            ONE_BLOCK,
            "the block on the back of every page, for printing on both sides; each page is \
             followed by its back, each sheet by the sheet of its backs",
        ),
        setting(
            "parts",
            Kind::Named(&ONE_BLOCK),
            "blocks by name, for other layouts to `include`; a file may have nothing else",
        ),
    ],
};

/// What a layout that is to be printed cannot do without.
pub const NEEDED: &[&str] = &["page", "makes", "body"];

/// The JSON Schema (draft 2020-12) of layout files.
///
/// It says what the tables say, and a block is judged by the one name of a block that it has, so that an
/// editor marks the setting that is wrong and not all of them. That the name comes first, that templates
/// parse and that names exist is checked by reading the layout itself.
#[must_use]
pub fn layout_schema() -> Value {
    let mut schema = record_schema(&LAYOUT, OtherFields::Refused);
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema".into();
    schema["$id"] = "urn:slipwright:schema:layout".into();
    schema["title"] = "Slipwright layout".into();
    // A file that is only there to be included may have nothing but parts.
    schema["anyOf"] = json!([{"required": NEEDED}, {"required": ["parts"]}]);
    let mut parts = Map::new();
    parts.insert("block".to_owned(), choose_block());
    let blocks = json!({"type": "array", "items": {"$ref": "#/$defs/block"}});
    parts.insert("blocks".to_owned(), blocks);
    for rule in BLOCKS {
        parts.insert(part_of(rule), block_schema(rule));
    }
    schema["$defs"] = parts.into();
    take_plain_values(&mut schema);
    schema
}

/// What the schema of a block is called among the parts.
fn part_of(rule: &BlockRule) -> String {
    format!("block_{}", rule.name)
}

/// The schema of any block: that of the name it has.
fn choose_block() -> Value {
    let names = BLOCKS.iter().map(|rule| rule.name);
    let settings = BLOCKS.iter().flat_map(|rule| rule.settings).chain(COMMON);
    let mut known: Vec<&str> = names.clone().chain(settings.map(|field| field.name)).collect();
    known.sort_unstable();
    known.dedup();
    let any_name = names.clone().map(|name| json!({"required": [name]})).collect::<Vec<_>>();
    let of_name = BLOCKS.iter().map(|rule| {
        json!({
            "if": {"required": [rule.name]},
            "then": {"$ref": format!("#/$defs/{}", part_of(rule))},
        })
    });
    // A name that no block and no setting has is marked itself; without one, the block is.
    let nameless = json!({"propertyNames": {"enum": known}, "anyOf": any_name.clone()});
    let choices: Vec<Value> =
        of_name.chain([json!({"if": {"anyOf": any_name}, "else": nameless})]).collect();
    let offered: Map<String, Value> = BLOCKS
        .iter()
        .map(|rule| (rule.name.to_owned(), json!({"description": rule.doc})))
        .collect();
    json!({"type": "object", "properties": offered, "allOf": choices})
}

/// Takes plain values for texts wherever one is wanted: in YAML `text: 7` and `when: true` are no text to
/// an editor, but to the reader of layouts all that is not in quotes is what it looks like.
fn take_plain_values(schema: &mut Value) {
    match schema {
        Value::Array(parts) => parts.iter_mut().for_each(take_plain_values),
        Value::Object(entries) => {
            if entries.get("type").is_some_and(|it| it == "string")
                && !entries.contains_key("pattern")
            {
                entries.insert("type".to_owned(), json!(["string", "number", "boolean"]));
            }
            entries.values_mut().for_each(take_plain_values);
        }
        _ => {}
    }
}

/// What an editor is told of a block: its content, its settings and what each is for.
fn block_schema(rule: &BlockRule) -> Value {
    let mut properties = Map::new();
    let mut content = kind_schema(rule.content, OtherFields::Refused);
    content["description"] = format!("{} Here: {}.", rule.doc, rule.content_doc).into();
    properties.insert(rule.name.to_owned(), content);
    for field in rule.settings.iter().chain(COMMON) {
        let mut schema = kind_schema(field.kind, OtherFields::Refused);
        schema["description"] = field.doc.into();
        properties.insert(field.name.to_owned(), schema);
    }
    let settings = rule.settings.iter().filter(|field| field.required).map(|field| field.name);
    let required: Vec<_> = std::iter::once(rule.name).chain(settings).collect();
    json!({
        "type": "object",
        "description": rule.doc,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}
