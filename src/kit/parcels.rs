//! `parcels.json`: what every parcel of a kit is, weighs and costs, for other programs, and to tell
//! what has changed when a parcel is printed once more.
//!
//! In: a batch, and where its orders came from. Out: the text; and the list from its text, with the
//! differences between a parcel then and now. Not here: whether a difference stops anything.

use std::collections::HashMap;
use std::fmt::{self, Write as _};

use rust_decimal::Decimal;
use serde_json::{Map, Value, json};

use crate::batch::{Batch, Parcel};
use crate::orders::{Item, Order, OrderAmounts, join_own};
use crate::words::shorten_to;

/// The version of the format.
const VERSION: u64 = 1;

/// How much of a value a difference shows, in characters.
const SHOWN: usize = 80;

/// Fields that the record of the kit compares, or that say who the parcel is, and what its pages come
/// to: not told here again.
const TOLD_ELSEWHERE: [&str; 8] =
    ["position", "id", "orders", "tag", "pair", "to", "country", "papers"];

/// A paper of a parcel, with what tells whether it prints as it did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitPaper {
    /// The parcel's number.
    pub position: usize,
    /// The document: `labels`, `bench-cards` …
    pub document: &'static str,
    /// The digest of its pages, 16 hexadecimal digits.
    pub digest: String,
}

/// Where the orders and the shop file of a kit came from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KitOrigin {
    /// The folder that files named in the orders lie in or below, as the command was told it.
    pub orders_folder: String,
    /// The same of the shop file; none when there was no shop file.
    pub shop_folder: Option<String>,
}

/// The parcels of a kit with all that was known of them.
#[derive(Clone, Debug, PartialEq)]
pub struct ParcelList {
    /// Where their orders came from.
    pub origin: KitOrigin,
    /// The parcels in bench order, as objects.
    parcels: Vec<Value>,
}

impl ParcelList {
    /// The parcels of a batch, with their papers.
    #[must_use]
    pub fn new(batch: &Batch, origin: KitOrigin, papers: &[KitPaper]) -> ParcelList {
        let mut papers_of: HashMap<usize, Map<String, Value>> = HashMap::new();
        for KitPaper { position, document, digest } in papers {
            let papers = papers_of.entry(*position).or_default();
            papers.insert((*document).to_owned(), Value::from(&**digest));
        }
        let describe = |parcel: &Parcel| {
            let mut described = describe_parcel(parcel);
            described["papers"] = papers_of.remove(&parcel.position).unwrap_or_default().into();
            described
        };
        ParcelList { origin, parcels: batch.parcels.iter().map(describe).collect() }
    }

    /// Those of a parcel's papers whose pages come to something else than those of this list, which
    /// older versions do not tell; `place` is its place in the list, from 0.
    #[must_use]
    pub fn changed_papers<'p>(&self, place: usize, now: &[&'p KitPaper]) -> Vec<&'p str> {
        let Some(known) = self.parcels.get(place) else { return Vec::new() };
        let changed = now.iter().filter(|paper| {
            let before = known["papers"][paper.document].as_str();
            before.is_some_and(|before| before != paper.digest)
        });
        changed.map(|paper| paper.document).collect()
    }

    /// The list as JSON, a line a parcel.
    #[must_use]
    pub fn to_json(&self) -> String {
        let origin = json!({
            "orders_folder": self.origin.orders_folder,
            "shop_folder": self.origin.shop_folder,
        });
        let mut text = format!("{{\n  \"kit\": {VERSION},\n  \"made_from\": {origin},\n");
        text.push_str("  \"parcels\": [");
        for (index, parcel) in self.parcels.iter().enumerate() {
            let comma = if index == 0 { "" } else { "," };
            // Writing to a string cannot fail.
            let _ = write!(text, "{comma}\n    {parcel}");
        }
        text.push_str("\n  ]\n}\n");
        text
    }

    /// The list that a text holds.
    ///
    /// # Errors
    /// When the text is no list of this version, with what is wrong: lower case, no full stop.
    pub fn read(text: &str) -> Result<ParcelList, String> {
        let value: Value =
            serde_json::from_str(text).map_err(|error| format!("it is no JSON: {error}"))?;
        if value["kit"].as_u64() != Some(VERSION) {
            return Err(format!("it has no {VERSION} under `kit`"));
        }
        let parcels = value["parcels"].as_array();
        let parcels = parcels.filter(|list| list.iter().all(Value::is_object));
        let origin = &value["made_from"];
        let folder = |name: &str| origin[name].as_str().map(str::to_owned);
        Ok(ParcelList {
            origin: KitOrigin {
                orders_folder: folder("orders_folder").ok_or("it has no text `orders_folder`")?,
                shop_folder: folder("shop_folder"),
            },
            parcels: parcels.ok_or("it has no list of parcels under `parcels`")?.clone(),
        })
    }

    /// In what a parcel of a batch, by its place from 0, differs from the one of this list: a line
    /// each, with what was and what is. What the kit's record compares is left out.
    #[must_use]
    pub fn differences(&self, batch: &Batch, place: usize) -> Vec<String> {
        let (Some(known), Some(parcel)) = (self.parcels.get(place), batch.parcels.get(place))
        else {
            return Vec::new();
        };
        let (was, is) = (known.as_object(), describe_parcel(parcel));
        let mut changes = Vec::new();
        for (name, is) in is.as_object().into_iter().flatten() {
            if !TOLD_ELSEWHERE.contains(&&**name) {
                let was = was.and_then(|was| was.get(name)).unwrap_or(&Value::Null);
                compare_values(name, was, is, &mut changes);
            }
        }
        let lines =
            changes.iter().map(|it| format!("{}: {} in the kit, {} now", it.path, it.was, it.is));
        lines.collect()
    }
}

/// A value of a parcel that is another than it was.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ParcelChange {
    /// Which value, such as `service` or `items[0].qty`.
    pub path: String,
    /// What it was, as messages show it.
    pub was: String,
    /// What it is now, as messages show it.
    pub is: String,
}

impl fmt::Display for ParcelChange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Fields of weights say their unit in their names.
        let path = self.path.replace("weight_g", "weight in grams");
        write!(f, "{path}: was {}, is {}", self.was, self.is)
    }
}

/// In what a parcel is another than it was: all that papers could say of it.
#[must_use]
pub fn list_changes(was: &Parcel, is: &Parcel) -> Vec<ParcelChange> {
    let (mut was, mut is) = (describe_parcel(was), describe_parcel(is));
    for described in [&mut was, &mut is] {
        // An address is read as a whole.
        let to: Vec<&str> =
            described["to"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
        described["to"] = to.join(", ").into();
    }
    let mut changes = Vec::new();
    for (name, is) in is.as_object().into_iter().flatten() {
        if !["position", "id", "pair"].contains(&&**name) {
            compare_values(name, was.get(name).unwrap_or(&Value::Null), is, &mut changes);
        }
    }
    changes
}

/// Adds each value that differs; `path` says where it is.
fn compare_values(path: &str, was: &Value, is: &Value, changes: &mut Vec<ParcelChange>) {
    match (was, is) {
        (was, is) if was == is || is_nothing(was) && is_nothing(is) => {}
        (was, is) if has_objects(was) || has_objects(is) => {
            let count = |list: &Value| list.as_array().map_or(0, Vec::len);
            for place in 0..count(was).max(count(is)) {
                let value = |list: &Value| list.get(place).cloned().unwrap_or(Value::Null);
                let path = format!("{path}[{place}]");
                compare_values(&path, &value(was), &value(is), changes);
            }
        }
        (Value::Object(before), Value::Object(now)) => {
            for (name, is) in now {
                let was = before.get(name).unwrap_or(&Value::Null);
                compare_values(&format!("{path}.{name}"), was, is, changes);
            }
        }
        _ => changes.push(ParcelChange { path: path.to_owned(), was: show(was), is: show(is) }),
    }
}

/// Whether a value is a list that holds objects, which are compared one by one.
fn has_objects(list: &Value) -> bool {
    list.as_array().is_some_and(|list| list.iter().any(Value::is_object))
}

/// Whether a value says nothing: kits of before a field was kept have none of it.
fn is_nothing(value: &Value) -> bool {
    value.is_null() || value.as_array().is_some_and(Vec::is_empty)
}

/// A value as a difference shows it.
fn show(value: &Value) -> String {
    match value {
        Value::Null => "none".to_owned(),
        Value::String(text) if text.is_empty() => "none".to_owned(),
        Value::Array(list) if list.is_empty() => "none".to_owned(),
        Value::String(text) => format!("`{}`", shorten_to(text, SHOWN)),
        Value::Object(item) => format!("`{}`", shorten_to(&name_item(item), SHOWN)),
        other => shorten_to(&other.to_string(), SHOWN),
    }
}

/// An item that only one of two parcels has, in a few words.
fn name_item(item: &Map<String, Value>) -> String {
    let text = |name: &str| item.get(name).and_then(Value::as_str).filter(|it| !it.is_empty());
    let label = text("title").or_else(|| text("sku")).or_else(|| text("file"));
    match (item.get("qty"), label) {
        (Some(qty), Some(label)) => format!("{qty} × {label}"),
        (_, Some(label)) => label.to_owned(),
        _ => {
            let given =
                item.iter().filter_map(|(name, it)| Some(format!("{name} {}", it.as_str()?)));
            given.collect::<Vec<_>>().join(", ")
        }
    }
}

/// All that is known of a parcel; what nobody said is null or empty.
fn describe_parcel(parcel: &Parcel) -> Value {
    let orders = &parcel.orders;
    let address = parcel.recipient();
    let who = [&*address.name, &address.company].into_iter();
    let street = address.lines.iter().map(|line| &**line);
    let place = [&*address.city, &address.region, &address.postcode];
    let to: Vec<&str> = who.chain(street).chain(place).filter(|it| !it.is_empty()).collect();
    let figures = parcel.figures.as_deref();
    let price = figures.and_then(|it| it.price.as_deref());
    let texts = |read: fn(&Order) -> &str| -> Vec<&str> {
        orders.iter().map(read).filter(|text| !text.is_empty()).collect()
    };
    let known = json!({
        "position": parcel.position,
        "id": parcel.id(),
        "orders": orders.iter().map(|order| order.id()).collect::<Vec<_>>(),
        "tag": parcel.tag.text,
        "pair": parcel.pair.as_str(),
        "to": to,
        "country": address.country.as_str(),
        "service": &*parcel.service,
        "extras": parcel.extras.iter().map(|extra| &**extra).collect::<Vec<_>>(),
        "pack": &*parcel.pack,
        "weight_g": parcel.weight_g,
        "size_mm": parcel.size.as_ref().map(|sides| sides.map(|side| side.0)),
        "expected_weight_g": figures.and_then(|it| it.expected_grams()),
        "price": price.map(|it| it.digits()),
        "currency": price.map(|it| it.currency.as_str().to_owned()),
        "tracking": parcel.tracking,
        "hazard": &*parcel.hazard,
        "gift": parcel.gift,
        "amounts": describe_amounts(orders),
        "items_currency": parcel.currency.map(|it| it.as_str().to_owned()),
        "items": parcel.items().map(|(order, item)| describe_item(order, &item)).collect::<Vec<_>>(),
        "placed": texts(|order| order.placed()),
        "messages": texts(|order| order.message()),
        "notes": texts(|order| order.note()),
        "carrier_label": parcel.carrier_label().map(|label| {
            json!({"file": label.file, "page": label.page})
        }),
    });
    let own = join_own(orders);
    add_own(known, own.iter().map(|(name, value)| (name, value.to_text())))
}

/// The amounts that orders give beside their prices, a map for each order that does.
fn describe_amounts(orders: &[Order]) -> Vec<Value> {
    let text = |amount: Option<Decimal>| amount.map(|amount| amount.to_string());
    let given = orders.iter().filter_map(|order| Some((order, order.amounts()?)));
    let describe = |(order, amounts): (&Order, &OrderAmounts)| {
        let taxes = amounts.taxes.iter().map(|tax| {
            json!({
                "name": tax.name,
                "rate": text(tax.rate),
                "amount": text(tax.amount),
                "of": text(tax.of),
                "on_top": tax.on_top,
            })
        });
        json!({
            "order": order.id(),
            "shipping": text(amounts.shipping),
            "discount": text(amounts.discount),
            "tax": taxes.collect::<Vec<_>>(),
            "paid": text(amounts.paid),
        })
    };
    given.map(describe).collect()
}

/// Adds fields of the seller's own, each as text, if there are any.
fn add_own<'o>(mut value: Value, own: impl Iterator<Item = (&'o str, String)>) -> Value {
    let fields: Map<String, Value> =
        own.map(|(name, value)| (name.to_owned(), value.into())).collect();
    if !fields.is_empty() {
        value["own"] = Value::Object(fields);
    }
    value
}

/// What is compared of an item; its order tells it from another of the same article.
fn describe_item(order: &Order, item: &Item) -> Value {
    let known = json!({
        "order": order.id(),
        "sku": item.sku,
        "gtin": item.gtin.as_ref().map(ToString::to_string),
        "title": item.title,
        "qty": item.qty,
        "price": item.price.map(|price| price.to_string()),
        "shelf": item.shelf,
        "weight_g": item.weight_g,
        "hs": item.hs,
        "origin": item.origin.map(|it| it.as_str().to_owned()),
    });
    add_own(known, item.own.iter().map(|(name, value)| (name, value.to_text())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::BatchOptions;
    use crate::kit::KitRecord;

    /// The batch of one order, with some of its text replaced.
    fn batch(from: &str, to: &str) -> Batch {
        let text = r#"[{"id": "A", "tag": "Heron", "hazard": "none", "service": "letter",
            "tracking": "T1", "message": "hello", "parcel": {"weight_g": 120, "pack": "tube"},
            "ship_to": {"name": "Ada Marlow", "lines": ["1 Quay"], "city": "Ternmouth",
                "postcode": "TR77 4NH", "country": "GB"},
            "items": [{"title": "pen", "qty": 2, "price": "4.50"}]}]"#;
        assert!(text.contains(from), "{from}");
        let text = text.replace(from, to);
        let mut sources = crate::source::Sources::new();
        let file = sources.add("orders.json", text.as_str());
        let orders = crate::orders::read_orders(text, file).orders;
        Batch::assemble(None, orders, None, BatchOptions::default(), &mut Vec::new())
    }

    /// What is told of a parcel that has changed so since it was printed.
    fn told(from: &str, to: &str) -> Vec<String> {
        let list = ParcelList::new(&batch(from, from), KitOrigin::default(), &[]);
        list.differences(&batch(from, to), 0)
    }

    #[test]
    fn every_difference_says_what_was_and_what_is() {
        let told = |from: &str, to: &str| told(from, to).join("; ");
        let more = told("\"hazard\"", "\"shipping\": \"2.00\", \"hazard\"");
        assert_eq!(more, "amounts[0]: none in the kit, `order A, shipping 2.00` now");
        assert_eq!(
            told("\"weight_g\": 120", "\"weight_g\": 90"),
            "weight_g: 120 in the kit, 90 now"
        );
        assert_eq!(told("\"qty\": 2", "\"qty\": 3"), "items[0].qty: 2 in the kit, 3 now");
        assert_eq!(told("\"tube\"", "\"box\""), "pack: `tube` in the kit, `box` now");
        assert_eq!(told("\"letter\"", "\"parcel\""), "service: `letter` in the kit, `parcel` now");
        assert_eq!(told("\"T1\"", "\"T2\""), "tracking: `T1` in the kit, `T2` now");
        assert_eq!(told("\"hello\"", "\"\""), "messages: [\"hello\"] in the kit, none now");
        assert_eq!(told("\"pen\"", "\"nib\""), "items[0].title: `pen` in the kit, `nib` now");
        let more = told("\"4.50\"}", "\"4.50\"}, {\"title\": \"ink\"}");
        assert_eq!(more, "items[1]: none in the kit, `1 × ink` now");
        assert_eq!(told("\"weight_g\": 120, ", ""), "weight_g: 120 in the kit, none now");
        assert_eq!(told("pen", "pen"), "");
    }

    /// What the kit's record tells is told once.
    #[test]
    fn a_changed_address_is_told_by_the_record_alone() {
        assert_eq!(told("1 Quay", "2 Quay"), [""; 0]);
        let (before, now) = (batch("1 Quay", "1 Quay"), batch("1 Quay", "2 Quay"));
        let record = KitRecord::new(&before, BatchOptions::default(), Vec::new());
        let (was, is) = record.moved(&now, 0).unwrap();
        assert_eq!(was, "Ada Marlow, 1 Quay, Ternmouth, TR77 4NH, GB");
        assert_eq!(is, "Ada Marlow, 2 Quay, Ternmouth, TR77 4NH, GB");
        assert_eq!(record.moved(&before, 0), None);
        assert_eq!(record.moved(&now, 1), None);
    }

    #[test]
    fn a_list_reads_back() {
        let origin = KitOrigin { orders_folder: "in".into(), shop_folder: None };
        let paper =
            |document, digest: &str| KitPaper { position: 1, document, digest: digest.into() };
        let (labels, slips) = (paper("labels", "0123"), paper("slips", "4567"));
        let papers = [labels.clone(), slips.clone()];
        let list = ParcelList::new(&batch("pen", "pen"), origin, &papers);
        assert_eq!(ParcelList::read(&list.to_json()).as_ref(), Ok(&list));
        // A document that it did not have before has not changed.
        let (now, new) = (paper("slips", "89ab"), paper("inserts", "cdef"));
        assert_eq!(list.changed_papers(0, &[&labels, &now, &new]), ["slips"]);
        assert_eq!(list.changed_papers(1, &[&now]), [""; 0]);
        let fault = |text: &str| ParcelList::read(text).unwrap_err();
        assert!(fault("{").starts_with("it is no JSON"));
        assert_eq!(fault("{}"), "it has no 1 under `kit`");
        assert_eq!(fault("{\"kit\": 1}"), "it has no text `orders_folder`");
    }
}
