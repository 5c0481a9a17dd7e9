//! The `kit` section of the shop file: which documents a sitting needs, and in what order they are
//! printed.
//!
//! In: the section. Out: a [`KitPlan`]. Not here: which layout a document has when the file names
//! none, and whether the layouts it names are there.

use crate::fields::{LONG_LINE, read_text};
use crate::record::{Record, Refusal, Scalar, scalar};
use crate::source::Span;
use crate::tree::{Node, Value};

/// The order that pages come in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PageOrder {
    /// As the parcels lie on the bench.
    #[default]
    Bench,
    /// The last parcel first, for printers that stack their sheets face up.
    Reversed,
}

/// What the shop file says of kits.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KitPlan {
    /// The order of the pages.
    pub order: PageOrder,
    /// The layouts that the file names, by the field that names them.
    pub layouts: Vec<KitLayout>,
}

/// A layout that the shop file names for a document of a kit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitLayout {
    /// The field, such as `slips`.
    pub field: &'static str,
    /// The layout's name or file, or `none`.
    pub name: Box<str>,
    /// Where it is named.
    pub span: Span,
}

/// The section.
pub(super) static KIT: Record = Record {
    name: "kit",
    doc: "The documents of one sitting, as `slipwright kit` makes them: each with a layout, by name \
          or file, or `none`.",
    fields: &[
        scalar(
            "order",
            &ORDER,
            "the order of pages: `bench`, or `reversed` for printers that stack face up",
        ),
        scalar(
            "labels",
            &LONG_LINE,
            "the labels; default: the layout under `defaults`, or `label-4x6in`",
        ),
        scalar("bench_cards", &LONG_LINE, "the bench cards; default: `bench-cards-4x6in`"),
        scalar("slips", &LONG_LINE, "the packing slips; default: `slip-a4`"),
        scalar("inserts", &LONG_LINE, "the thank-you inserts; default: `thank-you-a6`"),
        scalar(
            "customs_sheets",
            &LONG_LINE,
            "data sheets for parcels that leave the customs and VAT area they are posted in, see \
             `customs`; default: `none`",
        ),
        scalar(
            "handover_list",
            &LONG_LINE,
            "the list for the carrier; default: `handover-list-a4`",
        ),
        scalar(
            "picking_list",
            &LONG_LINE,
            "what is to be fetched, shelf by shelf; default: `none`, in a ledger's sitting \
             `picking-list-a4`",
        ),
        scalar(
            "waiting_list",
            &LONG_LINE,
            "the orders that a ledger has in no parcel, where that list is asked for; default: \
             `waiting-list-a4`",
        ),
        scalar("overview", &LONG_LINE, "the page about the whole sitting; default: `overview-a4`"),
    ],
};

/// An order of pages.
static ORDER: Scalar = Scalar {
    expected: "`bench` or `reversed`",
    accepts: |value| match value {
        Value::Text(text) | Value::Bare(text) if matches!(&**text, "bench" | "reversed") => Ok(()),
        _ => Err(Refusal::hint("write `bench`, or `reversed` for printers that stack face up")),
    },
    schema: r#"{"enum": ["bench", "reversed"]}"#,
};

/// The section's value, once the file has passed its check.
pub(super) fn build_kit(node: Option<&Node>) -> KitPlan {
    let Some(node) = node else { return KitPlan::default() };
    let layouts = KIT.fields.iter().filter(|field| field.name != "order").filter_map(|field| {
        let name = read_text(node, field.name);
        let span = node.get(field.name)?.span;
        (!name.is_empty()).then_some(KitLayout { field: field.name, name, span })
    });
    let order = match &*read_text(node, "order") {
        "reversed" => PageOrder::Reversed,
        _ => PageOrder::Bench,
    };
    KitPlan { order, layouts: layouts.collect() }
}
