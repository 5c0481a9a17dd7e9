//! What is found in an orders file: unknown fields counted instead of repeated, doubled ids, and
//! an example for every error that has no way out of its own.

use std::collections::HashMap;

use super::table::RECORDS;
use crate::fields::is_name;
use crate::findings::{Finding, Repeats, Subject, rules};
use crate::limits::{ORDER_ERRORS, UNKNOWN_FIELDS};
use crate::record::{Record, hint_at_field};
use crate::source::Span;
use crate::tree::json::too_many_errors;
use crate::words::nearest;

/// The findings of one file.
#[derive(Default)]
pub(super) struct OrdersReport {
    /// What was found, in order.
    found: Vec<Finding>,
    /// The unknown fields, each once.
    unknown: Vec<UnknownField>,
    /// Where in `unknown` the warning with a message is; record and field make up the message.
    unknown_by_message: HashMap<String, usize>,
    /// Where each id was first used.
    ids: HashMap<Box<str>, FirstUse>,
    /// How many orders have been seen.
    orders: usize,
    /// How many errors have been found in them.
    errors: usize,
}

/// A field that no order has, told once however many orders have it.
struct UnknownField {
    /// Its warning.
    index: usize,
    /// How many further orders have it.
    more: usize,
    /// The last order that has it.
    last: usize,
}

/// The first use of an id.
#[derive(Clone, Copy)]
struct FirstUse {
    /// The order's first byte.
    order: u32,
    /// The place of the id.
    place: Span,
}

impl OrdersReport {
    /// Whether nothing was found yet.
    pub(super) fn is_empty(&self) -> bool {
        self.found.is_empty()
    }

    /// Takes what was found outside any order.
    pub(super) fn take_all(&mut self, found: Vec<Finding>) {
        self.found.extend(found);
    }

    /// Takes what was found in the next order; returns where its errors are.
    pub(super) fn take_order(&mut self, found: Vec<Finding>, id: Option<&str>) -> Vec<usize> {
        self.orders += 1;
        let mut errors = Vec::new();
        for mut finding in found {
            if finding.is(&rules::UNKNOWN_FIELD) {
                if !self.is_new_field(&finding) {
                    continue;
                }
                add_known_name(&mut finding);
            }
            if let Some(id) = id {
                finding = finding.subject(Subject { order: id.to_owned(), position: None });
            }
            if finding.is_error() {
                errors.push(self.found.len());
            }
            self.found.push(finding);
        }
        self.errors += errors.len();
        errors
    }

    /// The error that says that no more is read, when so much is wrong that what is kept of it would
    /// fill the memory; the next order stands at `next`.
    pub(super) fn find_excess(&self, next: Span) -> Option<Finding> {
        if self.errors > ORDER_ERRORS {
            return Some(too_many_errors(next));
        }
        if self.unknown.len() <= UNKNOWN_FIELDS {
            return None;
        }
        let message = format!("more than {UNKNOWN_FIELDS} different fields of orders are unknown");
        let fault = Finding::new(&rules::FILE_LIMIT, message)
            .at(Span { end: next.end.min(next.start + 1), ..next })
            .hint("compare an order with the schema that `slipwright schema orders` prints");
        Some(fault)
    }

    /// Whether an unknown field has not been reported yet; counts it when it has.
    fn is_new_field(&mut self, finding: &Finding) -> bool {
        if let Some(&at) = self.unknown_by_message.get(&finding.message) {
            let unknown = &mut self.unknown[at];
            if unknown.last != self.orders {
                unknown.last = self.orders;
                unknown.more += 1;
            }
            return false;
        }
        self.unknown_by_message.insert(finding.message.clone(), self.unknown.len());
        self.unknown.push(UnknownField { index: self.found.len(), more: 0, last: self.orders });
        true
    }

    /// Notes an order's id; when an earlier order has the same, that order's first byte and the
    /// complaint. Neither is known to be the right one, so both orders are at fault.
    pub(super) fn note_id(
        &mut self,
        id: &str,
        order: Span,
        place: Span,
        path: &str,
    ) -> Option<(u32, Finding)> {
        let Some(&first) = self.ids.get(id) else {
            self.ids.insert(id.into(), FirstUse { order: order.start, place });
            return None;
        };
        let doubled = Finding::new(&rules::DOUBLED_ID, format!("two orders have the id `{id}`"))
            .at(place)
            .path(path)
            .related(first.place, "the other one is here")
            .hint("delete one of them if they are the same order; else correct an id");
        Some((first.order, doubled))
    }

    /// The findings, with the counts of the unknown fields.
    pub(super) fn finish(mut self) -> Vec<Finding> {
        for unknown in self.unknown {
            let repeats = (unknown.more > 0).then_some(Repeats::Orders(unknown.more));
            self.found[unknown.index].repeats = repeats;
        }
        self.found
    }
}

/// How a field is written, for those whose table entry gives no way out.
const EXAMPLES: &[(&str, &str)] = &[
    ("id", r#""TH-1041""#),
    ("batch", r#""Tuesday evening""#),
    ("orders", r#"[{"id": …, "ship_to": {…}}, …]"#),
    ("ship_to", r#"{"name": …, "lines": […], "city": …, "postcode": …, "country": …}"#),
    ("lines", r#"["12 Long Street", "Flat 2"]"#),
    ("items", r#"[{"title": "Nib, fine", "qty": 2}]"#),
    ("extras", r#"["signature"]"#),
    ("shipping", r#""4.50""#),
    ("discount", r#""5.00""#),
    ("paid", r#""24.50""#),
    ("tax", r#"[{"rate": "20", "amount": "4.00"}]"#),
    ("parcel", r#"{"pack": …, "weight_g": 430, "size_mm": [220, 110, 40]}"#),
    ("size_mm", "[220, 110, 40]"),
    ("carrier_label", r#"{"file": "labels.pdf", "page": 1}"#),
    ("page", "1"),
    ("gift", "true"),
    ("on_top", "true"),
    ("apart", "true"),
];

/// What exports call our fields: record, their name, ours.
const OTHER_NAMES: &[(&str, &str, &str)] = &[
    ("order", "number", "id"),
    ("order", "order_id", "id"),
    ("order", "order_number", "id"),
    ("order", "date", "placed"),
    ("order", "created_at", "placed"),
    ("order", "address", "ship_to"),
    ("order", "shipping_address", "ship_to"),
    ("order", "recipient", "ship_to"),
    ("order", "lines", "items"),
    ("order", "line_items", "items"),
    ("order", "gift_message", "message"),
    ("order", "tracking_number", "tracking"),
    ("order", "locale", "language"),
    ("order", "shipping_cost", "shipping"),
    ("order", "shipping_price", "shipping"),
    ("order", "postage", "shipping"),
    ("order", "discounts", "discount"),
    ("order", "taxes", "tax"),
    ("order", "tax_lines", "tax"),
    ("order", "vat", "tax"),
    ("order", "total", "paid"),
    ("order", "total_price", "paid"),
    ("order", "grand_total", "paid"),
    ("tax", "title", "name"),
    ("tax", "price", "amount"),
    ("order", "customer_locale", "language"),
    ("ship_to", "first_name", "given_name"),
    ("ship_to", "zip", "postcode"),
    ("ship_to", "zip_code", "postcode"),
    ("ship_to", "postal_code", "postcode"),
    ("ship_to", "state", "region"),
    ("ship_to", "province", "region"),
    ("ship_to", "county", "region"),
    ("ship_to", "town", "city"),
    ("ship_to", "street", "lines"),
    ("ship_to", "address", "lines"),
    ("ship_to", "address1", "lines"),
    ("ship_to", "address2", "lines"),
    ("ship_to", "telephone", "phone"),
    ("item", "quantity", "qty"),
    ("item", "name", "title"),
    ("item", "description", "title"),
    ("item", "hs_code", "hs"),
    ("item", "country_of_origin", "origin"),
    ("item", "barcode", "gtin"),
    ("item", "ean", "gtin"),
    ("item", "upc", "gtin"),
    ("item", "weight", "weight_g"),
    ("item", "grams", "weight_g"),
    ("parcel", "weight", "weight_g"),
    ("parcel", "size", "size_mm"),
    ("parcel", "dimensions", "size_mm"),
];

/// Names our field for one that exports call otherwise, or that is nearly written like it.
pub(super) fn add_known_name(finding: &mut Finding) {
    if !finding.is(&rules::UNKNOWN_FIELD) {
        return;
    }
    let mut words = finding.message.rsplit(' ');
    let (Some(record), Some(_), Some(name)) = (words.next(), words.next(), words.next()) else {
        return;
    };
    let name = name.trim_matches('`');
    let lower = name.to_lowercase();
    let known = OTHER_NAMES.iter().find(|(of, theirs, _)| *of == record && *theirs == lower);
    let hint = match known {
        Some((_, _, ours)) => Some(format!("it is called `{ours}` here")),
        None => {
            let record = RECORDS.iter().find(|known| known.name == record);
            record.and_then(|record| {
                let known = record.fields.iter().map(|field| field.name);
                let own = nearest(name, known).is_none().then(|| hint_at_own(name, record));
                own.flatten().or_else(|| hint_at_field(name, record))
            })
        }
    };
    finding.hints.extend(hint);
}

/// Where a field of the seller's own belongs.
fn hint_at_own(name: &str, record: &Record) -> Option<String> {
    let takes_own = record.fields.iter().any(|field| field.name == "own");
    (takes_own && is_name(name)).then(|| {
        format!("nothing is done with it; for your layouts put it under `own`: `\"own\": {{\"{name}\": …}}`")
    })
}

/// Shows how a field is written when its error has no hint yet.
pub(super) fn add_example(finding: &mut Finding) {
    if !finding.hints.is_empty() || !finding.is_error() {
        return;
    }
    let path = finding.path.as_deref().unwrap_or_default();
    let field = path.rsplit('.').next().unwrap_or_default();
    let name = field.split('[').next().unwrap_or_default();
    let is_element = field.ends_with(']') || field.is_empty();
    let example = EXAMPLES.iter().find(|(known, _)| *known == name).map(|(_, example)| *example);
    let hint = match (name, example) {
        _ if finding.is(&rules::JSON_SYNTAX) => {
            "write the text anew: it holds half of a character".into()
        }
        _ if finding.is(&rules::TOO_DEEP) => {
            "delete what is nested so deeply: no field of an order is".into()
        }
        (_, Some(example)) if !is_element => format!("write it as `{example}`"),
        (_, Some(example)) if name != "orders" => format!("write `{name}` as `{example}`"),
        (_, None) if !is_element => "write it as text in quotes".into(),
        _ => "write it as `{\"id\": \"TH-1041\", \"ship_to\": {…}, \"items\": […]}`".into(),
    };
    finding.hints.push(hint);
}
