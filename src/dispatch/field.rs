//! The fields that the shop's columns can have, in one table: it makes the map's own record and
//! schema, and says what a cell holds.
//!
//! In: an order that went. Out: the text of one cell. Not here: columns and encodings (`map`,
//! `write`).

use super::Dispatched;
use crate::fields::LINE;
use crate::intake::{COLUMN, DateForm, DecimalMark};
use crate::record::{Field, Kind, Record, optional, scalar};

/// How numbers and dates are written into cells.
#[derive(Clone, Copy, Debug)]
pub(super) struct CellForm {
    /// The mark before decimals.
    pub(super) decimal: DecimalMark,
    /// The form of dates that the map names, or the usual one.
    pub(super) dates: DateForm,
}

impl CellForm {
    /// Grams as kilograms with three decimals, exactly.
    pub(super) fn write_kilograms(self, grams: u32) -> String {
        format!("{}{}{:03}", grams / 1000, self.decimal.marks().0, grams % 1000)
    }
}

/// A field, what it is, and how its cell is made.
pub(super) struct DispatchField {
    /// Its name in the map.
    pub(super) name: &'static str,
    /// One sentence for the schema.
    pub(super) doc: &'static str,
    /// Its cell's text.
    pub(super) show: fn(&Dispatched, CellForm) -> String,
}

/// A row of the table.
const fn field(
    name: &'static str,
    doc: &'static str,
    show: fn(&Dispatched, CellForm) -> String,
) -> DispatchField {
    DispatchField { name, doc, show }
}

/// Every field.
pub(super) static DISPATCH_FIELDS: [DispatchField; 12] = [
    field("id", "the order's id, as the shop gave it", |it, _| it.order.to_string()),
    field("tracking", "the tracking number; empty when there is none", |it, _| {
        it.tracking.to_string()
    }),
    field("service", "the service that carries it; `words` gives the shop's own words", |it, _| {
        it.service.to_string()
    }),
    field("extras", "the service's extras, a comma between", |it, _| it.extras.join(", ")),
    field("pack", "the packaging's name", |it, _| it.pack.to_string()),
    field("date", "the day it was handed over, in the form of `dates`", |it, form| {
        form.dates.write(&it.date)
    }),
    field("time", "the time of day, such as `19:42`", |it, _| it.time.to_string()),
    field("weight_g", "the parcel's weight in whole grams", |it, _| {
        it.weight_g.map(|grams| grams.to_string()).unwrap_or_default()
    }),
    field(
        "weight_kg",
        "the parcel's weight in kilograms, with the mark of `decimal`",
        |it, form| it.weight_g.map(|grams| form.write_kilograms(grams)).unwrap_or_default(),
    ),
    field("tag", "the parcel's tag", |it, _| it.tag.to_string()),
    field("sitting", "the sitting's name", |it, _| it.sitting.to_string()),
    field("number", "the parcel's number in the sitting", |it, _| it.number.to_string()),
];

/// What may stand under `fields` of a map: every field by its name.
pub(super) static FIELDS: Record = Record {
    name: "map",
    doc: "Which column, or which columns, each field goes to; they stand in the order given here.",
    fields: &FIELD_TABLE,
};

/// What may stand after a field's name.
const TARGET: Kind = Kind::Either(&[
    Kind::Scalar(&COLUMN),
    Kind::List(&Kind::Scalar(&COLUMN)),
    Kind::Map(&TARGET_RECORD),
]);

/// The long form of what stands after a field's name.
static TARGET_RECORD: Record = Record {
    name: "target",
    doc: "A column of the shop's, and what stands in it for a field's own words.",
    fields: &[
        Field {
            name: "column",
            kind: Kind::Scalar(&COLUMN),
            required: true,
            doc: "the column's name, as the shop's import wants it",
        },
        optional(
            "words",
            Kind::Named(&Kind::Scalar(&LINE)),
            "what stands for the whole text of a cell; other texts stay as they are",
        ),
        scalar("empty", &LINE, "what stands where there is nothing to say"),
    ],
};

/// What [`FIELDS`] has, made of the one table.
static FIELD_TABLE: [Field; DISPATCH_FIELDS.len()] = list_fields();

/// The table as fields of a record. Without the first the shop would not know what it is told of.
const fn list_fields() -> [Field; DISPATCH_FIELDS.len()] {
    let mut fields = [const { optional("", TARGET, "") }; DISPATCH_FIELDS.len()];
    let mut index = 0;
    while index < DISPATCH_FIELDS.len() {
        fields[index] = optional(DISPATCH_FIELDS[index].name, TARGET, DISPATCH_FIELDS[index].doc);
        fields[index].required = index == 0;
        index += 1;
    }
    fields
}
