//! The fields of an order that a map can fill, in one table: it makes the map's own record and
//! schema, and says how a cell becomes a value.
//!
//! In: nothing. Out: [`TARGETS`] and the record [`FIELDS`]. Not here: reading cells (`values`).

use super::super::cells::DecimalMark;
use crate::record::{Field, Kind, Record, Refusal, Scalar, optional, scalar};
use crate::tree::Value;

/// What a field takes, and so how a cell is read for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Takes {
    /// Text as it stands.
    Text,
    /// A number of someone else's making, such as a postcode: text that keeps its leading zeros.
    Kept,
    /// A Harmonized System number: digits, points and spaces between them left out.
    Tariff,
    /// What was declared of hazards: text, but no bare yes or no.
    Hazard,
    /// Text of several lines.
    Paragraph,
    /// A list of texts.
    List,
    /// A date with or without a time.
    Date,
    /// A country, by its two letters or by its name in one of the languages we know.
    Country,
    /// A currency, by its three letters or its sign.
    Currency,
    /// Yes or no.
    Flag,
    /// A whole number.
    Count,
    /// A price, with or without the sign of its currency.
    Price,
    /// A weight, in grams unless the cell or the map names a unit.
    Weight,
    /// Length, width and height.
    Size,
    /// A price that exports often write below zero, as a discount.
    Discount,
    /// A rate in per cent, with or without its sign.
    Rate,
    /// Fields of the seller's own by their names, each with a source.
    Own,
}

/// One field of an order that a map can fill.
#[derive(Debug)]
pub(crate) struct Target {
    /// Its path in an order; `items.` stands for the item of the row.
    pub(crate) name: &'static str,
    /// What its cells may say, and so how they are read.
    pub(crate) takes: Takes,
    /// One sentence for the schema.
    pub(crate) doc: &'static str,
}

impl Target {
    /// Whether it belongs to the item of a row and not to the order.
    pub(crate) fn is_item(&self) -> bool {
        self.name.starts_with("items.")
    }

    /// Its field in an entry of the list that its columns make, an entry each; none where they make
    /// one value.
    pub(crate) fn field_of_tax(&self) -> Option<&'static str> {
        self.name.strip_prefix("tax.")
    }
}

/// A row of the table.
const fn target(name: &'static str, takes: Takes, doc: &'static str) -> Target {
    Target { name, takes, doc }
}

/// Every field, in the order in which it is written.
pub(crate) static TARGETS: &[Target] = &TABLE;

/// The table itself; of known length, so that the record below is made from it.
const TABLE: [Target; 46] = [
    target("id", Takes::Kept, "the order's number; rows of one order stand together"),
    target("tag", Takes::Text, "your short name for the parcel"),
    target("placed", Takes::Date, "when it was placed, in the form that `dates` names"),
    target("ship_to.name", Takes::Text, "the person; several columns are joined by a space"),
    target("ship_to.given_name", Takes::Text, "what a letter calls the person"),
    target("ship_to.company", Takes::Text, "the company"),
    target("ship_to.lines", Takes::List, "street, house, flat and the like, a column each"),
    target("ship_to.city", Takes::Text, "the town"),
    target("ship_to.region", Takes::Text, "the state, province or county"),
    target("ship_to.postcode", Takes::Kept, "the postcode"),
    target("ship_to.country", Takes::Country, "the country, by its two letters or its name"),
    target("ship_to.phone", Takes::Kept, "the telephone number"),
    target("language", Takes::Text, "the language that the buyer reads, such as `de`"),
    target("items.sku", Takes::Kept, "the item's stock-keeping number"),
    target("items.gtin", Takes::Kept, "the item's GTIN, as below its barcode"),
    target("items.title", Takes::Text, "what the item is called"),
    target("items.qty", Takes::Count, "how many"),
    target("items.price", Takes::Price, "the price of one"),
    target("items.shelf", Takes::Text, "where the item lies"),
    target(
        "items.weight_g",
        Takes::Weight,
        "the weight of one, in grams unless `unit` says otherwise",
    ),
    target("items.hs", Takes::Tariff, "the Harmonized System number"),
    target("items.origin", Takes::Country, "the country of origin"),
    target("items.own", Takes::Own, "fields of your own of the item, by their names"),
    target("currency", Takes::Currency, "the currency of the prices; else their own sign tells it"),
    target("shipping", Takes::Price, "what the buyer paid for sending it"),
    target("discount", Takes::Discount, "what was taken off the prices; a minus is left out"),
    target("tax.name", Takes::Text, "what the tax is called; several columns are a tax each"),
    target("tax.rate", Takes::Rate, "its rate in per cent; several columns are a tax each"),
    target(
        "tax.amount",
        Takes::Price,
        "how much it is; several columns are a tax each, and an empty cell or a zero is none",
    ),
    target("tax.of", Takes::Price, "what it is reckoned on; several columns are a tax each"),
    target("tax.on_top", Takes::Flag, "whether it comes on top of the prices, and is not in them"),
    target("paid", Takes::Price, "what the buyer paid in all"),
    target("parcel.pack", Takes::Text, "the packaging's name"),
    target(
        "parcel.weight_g",
        Takes::Weight,
        "the packed parcel's weight, in grams unless `unit` says otherwise",
    ),
    target(
        "parcel.size_mm",
        Takes::Size,
        "three columns, or one such as `22 x 11 x 4`; in millimetres unless `unit` says otherwise",
    ),
    target("service", Takes::Text, "the service that carries it"),
    target("extras", Takes::List, "the service's extras; `split` takes a cell apart"),
    target("tracking", Takes::Kept, "the tracking number"),
    target("hazard", Takes::Hazard, "`none` or what it is; `words` translates the shop's words"),
    target("gift", Takes::Flag, "whether no price may be seen"),
    target("message", Takes::Paragraph, "the buyer's message; several columns give a line each"),
    target("note", Takes::Paragraph, "your own note; several columns give a line each"),
    target("apart", Takes::Flag, "whether it must never share a parcel"),
    target("carrier_label.file", Takes::Text, "the PDF file of the carrier's own label"),
    target("carrier_label.page", Takes::Count, "the page of that file"),
    target("own", Takes::Own, "fields of your own of the order, by their names"),
];

/// What a pattern fills: the parts of an address that stand in one cell. It is not itself a field
/// of orders.
pub(super) static TAKEN_APART: Target =
    target("patterns", Takes::Paragraph, "the parts of an address in one cell");

/// What may stand after a field's name.
const SOURCE: Kind = Kind::Either(&[
    Kind::Scalar(&COLUMN),
    Kind::List(&Kind::Scalar(&COLUMN)),
    Kind::Map(&SOURCE_RECORD),
]);

/// The long form of a source.
static SOURCE_RECORD: Record = Record {
    name: "source",
    doc: "Where a field comes from, and how its cells are read.",
    fields: &[
        scalar("column", &COLUMN, "the column, as the file's first row calls it"),
        optional("columns", Kind::List(&Kind::Scalar(&COLUMN)), "several columns, in this order"),
        optional(
            "always",
            Kind::Either(&[Kind::Scalar(&CONSTANT), Kind::List(&Kind::Scalar(&CONSTANT))]),
            "the same value for every order, from no column; of taxes a list has one for each",
        ),
        optional("unit", Kind::Word(UNITS), "the unit of cells that name none themselves"),
        optional(
            "decimal",
            Kind::Word(DecimalMark::WORDS),
            "the decimal mark of these cells, where it is not the one of the map",
        ),
        optional(
            "words",
            Kind::Named(&Kind::Scalar(&CONSTANT)),
            "what stands for a cell's whole text; other cells are taken as they are",
        ),
        scalar("split", &MARK, "what parts the texts of a list in one cell, such as `;`"),
        scalar("join", &MARK, "what stands between the texts of several columns; default: a space"),
    ],
};

/// The units of weights and lengths.
pub(super) const UNITS: &[&str] = &["g", "kg", "oz", "lb", "mm", "cm", "m", "in"];

/// The name of a column.
pub(crate) static COLUMN: Scalar = Scalar {
    expected: "the name of a column",
    accepts: |value| match value {
        Value::Text(text) | Value::Bare(text) if !text.trim().is_empty() => Ok(()),
        Value::Null => Err(Refusal::hint("name the column as the file's first row does")),
        _ => Err(Refusal::default()),
    },
    schema: r#"{"type": "string", "pattern": "\\S"}"#,
};

/// A value that is written in the map.
pub(super) static CONSTANT: Scalar = Scalar {
    expected: "text or a number",
    accepts: |value| match value {
        Value::List(_) | Value::Map(_) | Value::Null => Err(Refusal::default()),
        _ => Ok(()),
    },
    schema: r#"{"type": ["string", "number", "boolean"]}"#,
};

/// The separator of a list's texts.
static MARK: Scalar = Scalar {
    expected: "a mark such as `;`",
    accepts: |value| match value {
        Value::Text(text) | Value::Bare(text) if !text.is_empty() && text.len() <= 20 => Ok(()),
        _ => Err(Refusal::hint("put the mark in quotes: `split: \";\"`")),
    },
    schema: r#"{"type": "string", "minLength": 1, "maxLength": 20}"#,
};

/// What may stand under `fields` of a map: every target by its name.
pub(super) static FIELDS: Record = Record {
    name: "map",
    doc: "Which column, or which columns, give which field of an order.",
    fields: &FIELD_TABLE,
};

/// What [`FIELDS`] has, made of the one table.
static FIELD_TABLE: [Field; TABLE.len()] = list_fields();

/// The table as fields of a record. Without the first no order can be made, and without a country
/// neither; but a pattern may give the country.
const fn list_fields() -> [Field; TABLE.len()] {
    let mut fields = [const { optional("", SOURCE, "") }; TABLE.len()];
    let mut index = 0;
    while index < TABLE.len() {
        fields[index] = optional(TABLE[index].name, SOURCE, TABLE[index].doc);
        fields[index].required = index == 0;
        if let Takes::Own = TABLE[index].takes {
            fields[index].kind = Kind::Named(&SOURCE);
        }
        index += 1;
    }
    fields
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use serde_json::Value;

    use super::*;
    use crate::orders::orders_schema;

    /// The paths of the single values and lists of texts in a schema.
    fn list_leaves(schema: &Value, path: &str, leaves: &mut BTreeSet<String>) {
        let items = &schema["items"];
        let inner = if items["type"] == "object" { items } else { schema };
        match inner["properties"].as_object() {
            Some(fields) => {
                for (name, field) in fields {
                    let path =
                        if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
                    list_leaves(field, &path, leaves);
                }
            }
            None => {
                leaves.insert(path.to_owned());
            }
        }
    }

    #[test]
    fn every_field_of_an_order_can_be_filled() {
        let mut leaves = BTreeSet::new();
        list_leaves(&orders_schema()["$defs"]["order"], "", &mut leaves);
        let targets: BTreeSet<_> = TARGETS.iter().map(|target| target.name.to_owned()).collect();
        assert_eq!(targets, leaves);
        assert_eq!(targets.len(), TARGETS.len());
        assert!(TARGETS.iter().all(|target| !target.doc.is_empty()));
    }
}
