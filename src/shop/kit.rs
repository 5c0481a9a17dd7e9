//! The `kit` section of the shop file: which documents a sitting needs, and in what order they are
//! printed.
//!
//! In: the section. Out: a [`KitPlan`]. Not here: which layout a document has when the file names
//! none, and whether the layouts it names are there.

use crate::fields::{LINE, LONG_LINE, read_text};
use crate::findings::{Finding, rules};
use crate::record::{Field, Kind, Record, Refusal, Scalar, optional, required, scalar};
use crate::source::Span;
use crate::stock::Stock;
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
    /// As parcels lie on the bench, or the last parcel first.
    pub order: PageOrder,
    /// The layouts that the file names, by the field that names them.
    pub layouts: Vec<KitLayout>,
    /// Documents of the seller's own, in the order of the file.
    pub documents: Vec<KitDocumentPlan>,
}

/// A document of the seller's own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitDocumentPlan {
    /// Its name, which its file has too.
    pub name: Box<str>,
    /// Its layout's name or file.
    pub layout: Box<str>,
    /// Where the layout is named.
    pub span: Span,
    /// The paper, if it is another than the layout's.
    pub stock: Box<str>,
    /// The printer that it goes to, if it is not the paper's usual one.
    pub printer: Box<str>,
    /// For which parcels it is made, an expression with its place; of all when it is not said.
    pub when: Option<(Box<str>, Span)>,
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
        optional(
            "documents",
            Kind::Named(&Kind::Map(&DOCUMENT)),
            "documents of your own by their names, such as `care-cards`",
        ),
    ],
};

/// A document of the seller's own.
static DOCUMENT: Record = Record {
    name: "document",
    doc: "A document of your own, which every kit has.",
    fields: &[
        required("layout", Kind::Scalar(&LONG_LINE), "its layout, by name or file"),
        scalar(
            "when",
            &LONG_LINE,
            "for which parcels it is made, an expression as in layouts, such as `gift`; default: for all",
        ),
        scalar("stock", &LINE, "the paper, where it is another than the layout's"),
        scalar("printer", &LINE, "the printer that it goes to; default: the first for its paper"),
    ],
};

/// Reports names of documents that cannot be those of files, and papers and conditions that say nothing.
pub(super) fn check_kit(node: &Node, out: &mut Vec<Finding>) {
    let documents = node.get("kit").and_then(|kit| kit.get("documents"));
    for (key, document) in documents.map(Node::entries).unwrap_or_default() {
        let path = format!("kit.documents.{}", key.name);
        let is_usual = KIT.fields.iter().any(|field| field.name.replace('_', "-") == key.name);
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let fault = match () {
            () if is_usual => Some("every kit has a document of this name"),
            () if key.name.is_empty() || key.name.len() > 40 || !key.name.chars().all(plain) => {
                Some("a document's name is a file's: small letters, digits and hyphens")
            }
            () => None,
        };
        if let Some(message) = fault {
            let hint = "call it otherwise, such as `care-cards`";
            out.push(
                Finding::new(&rules::KIT_LAYOUT, message).at(key.span).path(&*path).hint(hint),
            );
        }
        let stock = document.get("stock").filter(|stock| !stock.is_null());
        if let Some(stock) = stock
            && let Err((message, hint)) = Stock::find(stock.literal().unwrap_or_default())
        {
            let finding = Finding::new(&rules::WRONG_VALUE, message).at(stock.span);
            out.push(finding.path(format!("{path}.stock")).hint(hint));
        }
    }
}

/// A document's value.
fn build_document(name: &str, node: &Node) -> Option<KitDocumentPlan> {
    let when = read_text(node, "when");
    let when = (!when.is_empty()).then_some(when);
    Some(KitDocumentPlan {
        name: name.into(),
        layout: read_text(node, "layout"),
        span: node.get("layout")?.span,
        stock: read_text(node, "stock"),
        printer: read_text(node, "printer"),
        when: when.zip(node.get("when").map(|when| when.span)),
    })
}

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
    let is_layout = |field: &&Field| !matches!(field.name, "order" | "documents");
    let layouts = KIT.fields.iter().filter(is_layout).filter_map(|field| {
        let name = read_text(node, field.name);
        let span = node.get(field.name)?.span;
        (!name.is_empty()).then_some(KitLayout { field: field.name, name, span })
    });
    let order = match &*read_text(node, "order") {
        "reversed" => PageOrder::Reversed,
        _ => PageOrder::Bench,
    };
    let documents = node.get("documents").map(Node::entries).unwrap_or_default().iter();
    let documents = documents.filter_map(|(key, document)| build_document(&key.name, document));
    KitPlan { order, layouts: layouts.collect(), documents: documents.collect() }
}
