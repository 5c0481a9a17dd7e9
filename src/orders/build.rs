//! One order: the checks that its table cannot make, and its value once all are passed.

mod coins;

use crate::fields::{
    NameNeed, check_address, check_garbled, check_own, doubt_tracking, read_address, read_country,
    read_currency, read_grams, read_gtin, read_language, read_own, read_paragraph, read_price,
    read_quantity, read_rate, read_side, read_text, text_of, tidy_hazard,
};
use crate::findings::{Finding, rules};
use crate::geom::Mm;
use crate::limits::{ORDER_EXTRAS, ORDER_ITEMS, ORDER_TAXES};
use crate::record::join;
use crate::tree::{Node, Value};
use crate::words::shorten_to;

use super::{CarrierLabel, Item, Order, OrderAmounts, OrderParts, OrderTax};
use crate::source::SharedText;

/// Reports what the table of an order cannot say; `path` is the path to the order.
pub(super) fn check_order(node: &Node, path: &str, out: &mut Vec<Finding>) {
    check_garbled(node, path, out);
    check_own(node, path, out);
    if let Some(ship_to) = node.get("ship_to") {
        check_address(ship_to, &join(path, "ship_to"), NameNeed::Needed, out);
    }
    if let Some(file) = node.get("carrier_label").and_then(|label| label.get("file"))
        && file.literal().is_some_and(|file| file.trim().is_empty())
    {
        out.push(
            Finding::new(&rules::WRONG_VALUE, "expected the name of a PDF file, found empty text")
                .at(file.span)
                .path(join(path, "carrier_label.file"))
                .hint("name the file, or leave `carrier_label` out"),
        );
    }
    if let Some(tracking) = node.get("tracking")
        && let Value::Text(number) = &tracking.value
        && let Some((message, hint)) = doubt_tracking(number.trim())
    {
        out.push(
            Finding::new(&rules::SSCC_CHECK_DIGIT, message)
                .at(tracking.span)
                .path(join(path, "tracking"))
                .hint(hint),
        );
    }
    check_count(node, "items", ORDER_ITEMS, path, out);
    check_count(node, "extras", ORDER_EXTRAS, path, out);
    check_count(node, "tax", ORDER_TAXES, path, out);
    check_taxes(node, path, out);
    coins::check_amounts(node, path, out);
    let items = node.get("items").map(Node::items).unwrap_or_default();
    for (index, item) in items.iter().enumerate() {
        let Value::Map(_) = item.value else { continue };
        check_own(item, &format!("{}[{index}]", join(path, "items")), out);
        if let Some(quantity) = item.get("qty").filter(|quantity| quantity.is_null()) {
            let path = format!("{}[{index}].qty", join(path, "items"));
            out.push(doubt_quantity().at(quantity.span).path(path));
        }
        let missing = |name| {
            item.get(name).is_none_or(|text| text.literal().unwrap_or("?").trim().is_empty())
        };
        if missing("title") && missing("sku") {
            out.push(
                Finding::new(&rules::NAMELESS_ITEM, "this item has neither a title nor a `sku`")
                    .at(item.span)
                    .path(format!("{}[{index}]", join(path, "items")))
                    .hint("give it a `title`: the bench card and the slip list items by it"),
            );
        }
    }
}

/// Reports taxes of which nothing is known.
fn check_taxes(node: &Node, path: &str, out: &mut Vec<Finding>) {
    for (index, tax) in list(node, "tax").iter().enumerate() {
        let Value::Map(_) = tax.value else { continue };
        let missing =
            |name| tax.get(name).and_then(Node::literal).is_none_or(|it| it.trim().is_empty());
        if missing("rate") && missing("amount") {
            out.push(
                Finding::new(&rules::EMPTY_TAX, "this tax has neither a rate nor an amount")
                    .at(tax.span)
                    .path(format!("{}[{index}]", join(path, "tax")))
                    .hint("give it a `rate` in per cent, an `amount`, or both"),
            );
        }
    }
}

/// What is said of an item whose quantity is there and empty.
pub(crate) fn doubt_quantity() -> Finding {
    Finding::new(&rules::EMPTY_QUANTITY, "one piece is taken: the quantity is empty")
        .hint("write how many pieces there are")
}

/// Reports a list that is longer than any order needs.
fn check_count(node: &Node, name: &str, most: usize, path: &str, out: &mut Vec<Finding>) {
    let Some(list) = node.get(name) else { return };
    let count = list.items().len();
    if count > most {
        out.push(
            Finding::new(
                &rules::TOO_MANY,
                format!("expected at most {most} {name} in an order, found {count}"),
            )
            .at(list.span)
            .path(join(path, name))
            .hint(format!("split the order, so that each part has at most {most}")),
        );
    }
}

/// The id as it stands, if it can be read at all.
pub(super) fn read_id(node: &Node) -> Option<Box<str>> {
    read_id_text(node.get("id")?)
}

/// The most characters of an id that are kept of one that is too long.
const SHOWN_ID: usize = 250;

/// The text of an id, if it is one.
pub(super) fn read_id_text(id: &Node) -> Option<Box<str>> {
    let text = match &id.value {
        Value::Text(text) | Value::Number(text) => text.trim(),
        _ => return None,
    };
    // One that is too long is an error, whose message and those beside it name its beginning.
    (!text.is_empty()).then(|| shorten_to(text, SHOWN_ID).into())
}

/// The order's value, or `None` when it has no address. When its check was not clean, fields at
/// fault are as if they were not there. `source` is the text that it was read from.
pub(super) fn build_order(node: &Node, id: &str, source: &SharedText) -> Option<Order> {
    let nothing = Node { span: node.span, value: Value::Null };
    let parcel = node.get("parcel").unwrap_or(&nothing);
    let tag = text_of(node, "tag");
    let (message, note) = (read_paragraph(node, "message"), read_paragraph(node, "note"));
    let parts = OrderParts {
        id,
        tag_span: node.get("tag").filter(|_| !tag.is_empty()).map(|tag| tag.span),
        tag,
        placed: text_of(node, "placed"),
        ship_to: read_address(node.get("ship_to")?)?,
        language: read_language(node, "language"),
        items: list(node, "items").iter().map(build_item).collect(),
        currency: read_currency(node, "currency"),
        amounts: build_amounts(node),
        pack: text_of(parcel, "pack"),
        weight_g: read_grams(parcel, "weight_g"),
        size: read_size(parcel),
        service: text_of(node, "service"),
        extras: read_extras(node),
        tracking: text_of(node, "tracking"),
        hazard: tidy_hazard(text_of(node, "hazard")),
        gift: read_flag(node, "gift"),
        apart: read_flag(node, "apart"),
        message: &message,
        note: &note,
        carrier_label: node.get("carrier_label").and_then(build_carrier_label),
        own: read_own(node),
        span: node.span,
        id_span: node.get("id").map_or(node.span, |id| id.span),
    };
    Some(Order::keep(&parts, source))
}

/// An item's value.
fn build_item(node: &Node) -> Item<'_> {
    Item {
        sku: text_of(node, "sku"),
        gtin: read_gtin(node, "gtin"),
        title: text_of(node, "title"),
        qty: read_quantity(node, "qty").unwrap_or(1),
        price: read_price(node, "price"),
        shelf: text_of(node, "shelf"),
        weight_g: read_grams(node, "weight_g"),
        hs: text_of(node, "hs"),
        origin: read_country(node, "origin"),
        own: read_own(node),
    }
}

/// The amounts beside the prices; none when the order gives none.
fn build_amounts(node: &Node) -> Option<OrderAmounts> {
    let amounts = OrderAmounts {
        shipping: read_price(node, "shipping"),
        discount: read_price(node, "discount"),
        taxes: list(node, "tax").iter().map(build_tax).collect(),
        paid: read_price(node, "paid"),
    };
    (amounts != OrderAmounts::default()).then_some(amounts)
}

/// A tax's value.
fn build_tax(node: &Node) -> OrderTax {
    OrderTax {
        name: read_text(node, "name"),
        rate: read_rate(node, "rate"),
        amount: read_price(node, "amount"),
        of: read_price(node, "of"),
        on_top: read_flag(node, "on_top"),
    }
}

/// A carrier label's value; none when the field is null.
fn build_carrier_label(node: &Node) -> Option<CarrierLabel> {
    let file = read_text(node, "file");
    let page = node.get("page").and_then(Node::literal).and_then(|page| page.parse().ok());
    (!file.is_empty()).then(|| CarrierLabel { file, page: page.unwrap_or(1) })
}

/// The values of a list; none when it is not given.
fn list<'a>(node: &'a Node, name: &str) -> &'a [Node] {
    node.get(name).map(Node::items).unwrap_or_default()
}

/// The extras that say something.
fn read_extras(node: &Node) -> Vec<&str> {
    let texts = list(node, "extras").iter().filter_map(Node::literal).map(str::trim);
    texts.filter(|text| !text.is_empty()).collect()
}

/// Length, width and height.
fn read_size(parcel: &Node) -> Option<[Mm; 3]> {
    let sides: Vec<Mm> = list(parcel, "size_mm").iter().filter_map(read_side).collect();
    sides.try_into().ok()
}

/// A yes or no; no when it is not given.
fn read_flag(node: &Node, name: &str) -> bool {
    node.get(name).is_some_and(|flag| flag.value == Value::Bool(true))
}
