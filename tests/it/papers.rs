//! The shipped papers on hard cases: long names, forty items, two orders in one parcel, currencies
//! without and with three decimals, missing prices, names and messages, Greek and Cyrillic. What
//! they reckon is reckoned again here from the JSON, by decimals.

use std::fs;
use std::path::Path;

use rust_decimal::Decimal;
use serde_json::Value;
use slipwright::layout::Makes;
use slipwright::scene::MarkKind;
use slipwright::shipped::SHIPPED;
use slipwright::workings::{Binder, ContextMaker};
use slipwright::{
    Batch, BatchOptions, Layout, Page, Severity, Shop, Sources, find_shipped, read_orders,
};

use crate::sample_pages::{Printed, layout_of, print_batch, sample_batch};

/// The slips that show prices.
const PRICED: [&str; 3] = ["slip-a4", "slip-letter", "slip-4x6in"];

/// The text of the hard cases.
fn hard_text() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/papers/orders.json");
    fs::read_to_string(path).unwrap()
}

/// The batch of the hard cases, combined, with the sample's shop or without one.
pub(crate) fn hard_batch(shop: Option<&Shop>) -> Batch {
    let mut sources = Sources::new();
    let file = sources.add("orders.json", hard_text());
    let orders = read_orders(sources.get(file).text(), file);
    assert!(orders.findings.iter().all(|it| it.severity == Severity::Note));
    let name = orders.batch_name.as_deref();
    let options = BatchOptions { combine: true, ..BatchOptions::default() };
    Batch::assemble(name, orders.orders, shop, options, &mut Vec::new())
}

/// The pages of a batch in a layout; there must be no error and no warning on them.
fn pages_of(batch: &Batch, shop: Option<&Shop>, layout: &Layout, name: &str) -> Vec<Page> {
    let Printed { pages, findings, .. } = print_batch((batch, shop), layout, None, 1);
    let found: Vec<_> = findings.iter().filter(|it| it.severity != Severity::Note).collect();
    assert!(found.is_empty(), "{name}: {found:?}");
    pages
}

#[test]
fn nothing_that_a_layout_asks_for_is_left_out() {
    let (_, shop) = sample_batch();
    let batch = hard_batch(Some(&shop));
    for shipped in SHIPPED {
        let layout = layout_of(shipped.text);
        let binder = Binder::new(&layout);
        let all = ContextMaker::new(&batch, Some(&shop));
        let some = ContextMaker::new(&batch, Some(&shop)).only(binder.variables());
        for parcel in &batch.parcels {
            let bind = |maker: &ContextMaker<'_>| format!("{:?}", binder.bind(&maker.make(parcel)));
            assert_eq!(bind(&some), bind(&all), "{} {}", shipped.name, parcel.position);
        }
    }
}

/// The text of a shipped layout.
fn text_of(layout: &str) -> &'static str {
    find_shipped(layout).unwrap().text
}

/// The pages of the hard cases in a shipped layout.
fn hard_pages(name: &str) -> Vec<Page> {
    let (_, shop) = sample_batch();
    let layout = layout_of(text_of(name));
    pages_of(&hard_batch(Some(&shop)), Some(&shop), &layout, name)
}

/// What the pages of a parcel say, run by run, on all its pages.
fn said(pages: &[Page], parcel: &[&Value]) -> Vec<String> {
    let ids: Vec<_> = parcel.iter().map(|order| order["id"].as_str().unwrap()).collect();
    let ids = ids.join(" + ");
    let own = pages.iter().filter(|page| page.subject.as_ref().is_some_and(|it| it.order == ids));
    let runs = own.flat_map(|page| &page.marks).filter_map(|mark| match &mark.kind {
        MarkKind::Text(run) => Some(run.text.clone()),
        _ => None,
    });
    let runs: Vec<_> = runs.collect();
    assert!(!runs.is_empty(), "{ids} has no page");
    runs
}

/// The parcels of an orders file as lists of its orders: those of one name and street are one.
fn parcels(orders: &Value) -> Vec<Vec<&Value>> {
    let mut parcels: Vec<Vec<&Value>> = Vec::new();
    for order in orders["orders"].as_array().unwrap() {
        let to = &order["ship_to"];
        match parcels.iter_mut().find(|parcel| parcel[0]["ship_to"] == *to) {
            Some(parcel) => parcel.push(order),
            None => parcels.push(vec![order]),
        }
    }
    parcels
}

/// The items of a parcel.
fn items<'j>(parcel: &[&'j Value]) -> Vec<&'j Value> {
    parcel.iter().flat_map(|order| order["items"].as_array().into_iter().flatten()).collect()
}

/// How many of an item there are.
fn qty(item: &Value) -> Decimal {
    item["qty"].as_u64().unwrap_or(1).into()
}

/// What all of an item costs, if that is known.
fn total(item: &Value) -> Option<Decimal> {
    let price: Decimal = item["price"].as_str()?.parse().unwrap();
    Some(price * qty(item))
}

/// An amount as a slip in English writes it.
fn money(amount: Decimal, currency: &str) -> String {
    let (sign, least) = match currency {
        "GBP" => ("£", 2),
        "EUR" => ("€", 2),
        "JPY" => ("¥", 0),
        other => panic!("no sign for {other}"),
    };
    let mut amount = amount.normalize();
    if amount.scale() < least {
        amount.rescale(least);
    }
    let text = amount.to_string();
    let (whole, fraction) = text.split_once('.').unwrap_or((&text, ""));
    let groups: Vec<&str> =
        whole.as_bytes().rchunks(3).rev().map(|it| str::from_utf8(it).unwrap()).collect();
    let point = if fraction.is_empty() { "" } else { "." };
    format!("{sign}{}{point}{fraction}", groups.join(","))
}

/// The currency of a parcel.
fn currency<'j>(parcel: &[&'j Value]) -> &'j str {
    parcel[0]["currency"].as_str().unwrap_or("GBP")
}

/// Whether a parcel is a present.
fn is_gift(parcel: &[&Value]) -> bool {
    parcel.iter().any(|order| order["gift"] == true)
}

/// Every row's price and sum and the total, in the order of the items, and nothing that looks like
/// money besides: nothing is lost or counted twice where a slip runs on over pages.
#[test]
fn prices_sums_and_totals_are_those_of_the_orders() {
    for text in [hard_text(), sample_text()] {
        let orders: Value = serde_json::from_str(&text).unwrap();
        for layout in PRICED {
            let pages = match text.contains("Hard cases") {
                true => hard_pages(layout),
                false => {
                    let (batch, shop) = sample_batch();
                    pages_of(&batch, Some(&shop), &layout_of(text_of(layout)), layout)
                }
            };
            for parcel in sample_parcels(&orders) {
                assert_prices(layout, &parcel, &said(&pages, &parcel));
            }
        }
    }
}

/// The text of the sample.
fn sample_text() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/evening.json");
    fs::read_to_string(path).unwrap()
}

/// The parcels of an orders file; two of the sample's orders are written differently for one buyer.
fn sample_parcels(orders: &Value) -> Vec<Vec<&Value>> {
    let mut parcels = parcels(orders);
    if let Some(second) = parcels.iter().position(|parcel| parcel[0]["id"] == "TH-1048") {
        let moved = parcels.remove(second);
        let first = parcels.iter_mut().find(|parcel| parcel[0]["id"] == "TH-1042");
        first.unwrap().extend(moved);
    }
    parcels
}

/// Asserts what a parcel's slip says of prices.
fn assert_prices(layout: &str, parcel: &[&Value], said: &[String]) {
    let items = items(parcel);
    let mut wanted = Vec::new();
    let mut sum = Decimal::ZERO;
    if !is_gift(parcel) {
        for item in &items {
            let Some(total) = total(item) else { continue };
            let price: Decimal = item["price"].as_str().unwrap().parse().unwrap();
            wanted.extend([money(price, currency(parcel)), money(total, currency(parcel))]);
            sum += total;
        }
        if !wanted.is_empty() {
            wanted.push(money(sum, currency(parcel)));
        }
    }
    let is_money =
        |text: &&String| text.starts_with(['£', '€', '¥', '$']) || text.starts_with("KWD");
    let found: Vec<_> = said.iter().filter(is_money).cloned().collect();
    assert_eq!(found, wanted, "{layout}, {}", parcel[0]["id"]);
    let all = items.iter().all(|item| total(item).is_some());
    let label = if all { "Total" } else { "Total of the prices shown" };
    let labelled = said.iter().any(|text| text == label);
    assert_eq!(labelled, !wanted.is_empty(), "{layout}, {}", parcel[0]["id"]);
}

/// A present's papers show no price in any form.
#[test]
fn no_gift_shows_a_price() {
    let orders: Value = serde_json::from_str(&hard_text()).unwrap();
    // A customs sheet has to say what a present is worth, and goes to the post. On sheets and lists
    // the parcels of a page are not told apart. These orders have no labels of a carrier.
    let others = ["customs-sheet-a5", "carrier-page-4x6in"];
    let single = |layout: &&str| {
        let is_list = text_of(layout).contains("makes: list");
        !others.contains(layout) && !is_list && layout_of(text_of(layout)).sheet.is_none()
    };
    for layout in SHIPPED.iter().map(|shipped| shipped.name).filter(single) {
        let pages = hard_pages(layout);
        let mut gifts = 0;
        for parcel in parcels(&orders) {
            if !is_gift(&parcel) && !layout.starts_with("gift") {
                continue;
            }
            gifts += 1;
            let said = said(&pages, &parcel).join("\n");
            assert!(!said.contains(['£', '€', '¥', '$']) && !said.contains("KWD"), "{layout}");
            for item in items(&parcel) {
                let Some(total) = total(item) else { continue };
                let price = item["price"].as_str().unwrap();
                assert!(!said.contains(price), "{layout} says {price}");
                assert!(!said.contains(&format!("\n{total}")), "{layout} says {total}");
            }
        }
        assert!(gifts >= 3);
    }
}

/// Every item of every parcel stands on its slip, its quantity before it, in order.
#[test]
fn every_item_is_on_the_slip_with_its_quantity() {
    let orders: Value = serde_json::from_str(&hard_text()).unwrap();
    for layout in [&PRICED[..], &["gift-slip-a4", "gift-slip-4x6in"]].concat() {
        let pages = hard_pages(layout);
        for parcel in parcels(&orders) {
            let said = said(&pages, &parcel);
            let mut rest = said.iter();
            for item in items(&parcel) {
                let title = item["title"].as_str().unwrap();
                let mut before = "";
                let qty = qty(item).to_string();
                // A long title is broken: its first line is enough to know it by.
                let found = rest.any(|text| {
                    let counted = text.strip_prefix(&format!("{qty} × "));
                    let line = counted.unwrap_or(text).trim_end();
                    let starts = !line.is_empty() && title.starts_with(line);
                    let is_it = starts && (counted.is_some() || before == qty);
                    before = text;
                    is_it
                });
                assert!(found, "{layout}: {title} in {said:?}");
            }
        }
    }
}

/// The customs sheet's totals of pieces, grams and value; where one is not known, a line to write
/// on stands in place of the total. At home there is nothing to declare.
#[test]
fn customs_totals_are_those_of_the_orders() {
    let orders: Value = serde_json::from_str(&hard_text()).unwrap();
    let pages = hard_pages("customs-sheet-a5");
    let is_line = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte == b'_');
    for parcel in parcels(&orders) {
        let said = said(&pages, &parcel);
        let id = &parcel[0]["id"];
        if parcel[0]["ship_to"]["country"] == "GB" {
            assert!(said.iter().any(|text| text.starts_with("This parcel stays")), "{id}");
            assert!(!said.iter().any(|text| text == "Signature of the sender"), "{id}");
            continue;
        }
        let items = items(&parcel);
        let at = said.iter().position(|text| text == "Total").unwrap();
        let pieces: Decimal = items.iter().map(|item| qty(item)).sum();
        assert_eq!(said[at - 1], pieces.to_string(), "{id}");
        let grams = |item: &&Value| Some(Decimal::from(item["weight_g"].as_u64()?) * qty(item));
        match items.iter().map(grams).sum::<Option<Decimal>>() {
            Some(grams) => assert_eq!(said[at + 1], grams.to_string(), "{id}"),
            None => assert!(is_line(&said[at + 1]), "{id}: {}", said[at + 1]),
        }
        match items.iter().map(|item| total(item)).sum::<Option<Decimal>>() {
            Some(total) => assert_eq!(said[at + 2], money(total, currency(&parcel)), "{id}"),
            None => assert!(is_line(&said[at + 2]), "{id}: {}", said[at + 2]),
        }
        for item in &items {
            let hs = item["hs"].as_str();
            assert!(hs.is_none_or(|hs| said.iter().any(|text| text == hs)), "{id}: {hs:?}");
        }
        let over = said.iter().any(|text| text.starts_with("It weighs more than 2 kg"));
        let weight: u64 = parcel.iter().filter_map(|it| it["parcel"]["weight_g"].as_u64()).sum();
        assert_eq!(over, weight > 2000, "{id}");
    }
}

/// Who sends, what is written by hand, and what is never done for the sender.
#[test]
fn nothing_is_signed_dated_or_ticked_beforehand() {
    let pages = hard_pages("customs-sheet-a5");
    for page in pages.iter().filter(|page| page.blocks.iter().any(|block| block.name == "blank")) {
        let blanks = page.blocks.iter().filter(|block| block.name == "blank");
        for blank in blanks {
            let inside = page.marks.iter().filter_map(|mark| match &mark.kind {
                MarkKind::Text(run)
                    if blank.rect.intersection(run.rect).is_some_and(|it| it.height.0 > 0.1) =>
                {
                    Some(run.text.as_str())
                }
                _ => None,
            });
            for text in inside {
                let labels = [
                    "Gift",
                    "Sample",
                    "Documents",
                    "Sale of goods",
                    "Other",
                    "Date",
                    "Signature of the sender",
                ];
                assert!(labels.contains(&text), "`{text}` stands in a field to fill in");
            }
        }
    }
}

/// Without a shop file every layout still prints, with nothing to find; but a parcel's
/// label needs to say who sends it.
#[test]
fn every_layout_but_labels_prints_without_a_shop_file() {
    let batch = hard_batch(None);
    for layout in SHIPPED {
        let parsed = layout_of(layout.text);
        if parsed.makes == Makes::Label && !layout.name.starts_with("letter-label") {
            continue;
        }
        let pages = pages_of(&batch, None, &parsed, layout.name);
        assert!(!pages.is_empty(), "{}", layout.name);
    }
}

/// The insert speaks to the buyer by first name, to a firm without one; its words are the shop's,
/// also to who was given a present.
#[test]
fn the_insert_finds_its_words() {
    let orders: Value = serde_json::from_str(&hard_text()).unwrap();
    let pages = hard_pages("thank-you-a6");
    for parcel in parcels(&orders) {
        let said = said(&pages, &parcel).join("\n");
        assert!(said.contains("Thank you for giving an"), "{said}");
        let starts = match parcel[0]["id"].as_str().unwrap() {
            "HC-FIRM" => "Thank you",
            "HC-GIFT" => "Theo,\nThank you for giving an",
            "HC-CYRILLIC" => "Д. Гълъбова,\n",
            "HC-PAIR-A" => "Niamh,\n",
            _ => "",
        };
        assert!(said.starts_with(starts), "{said}");
    }
}

/// The handover list has every parcel once, in bench order, and its counts and weights add up.
#[test]
fn the_handover_list_adds_up() {
    for (text, known) in [(hard_text(), false), (sample_text(), false), (weighed_text(), true)] {
        let orders: Value = serde_json::from_str(&text).unwrap();
        let mut sources = Sources::new();
        let file = sources.add("orders.json", text.as_str());
        let read = read_orders(sources.get(file).text(), file);
        let (_, shop) = sample_batch();
        let options = BatchOptions { combine: true, ..BatchOptions::default() };
        let name = read.batch_name.as_deref();
        let batch = Batch::assemble(name, read.orders, Some(&shop), options, &mut Vec::new());
        let layout = layout_of(text_of("handover-list-a4"));
        let pages = pages_of(&batch, Some(&shop), &layout, "handover-list-a4");
        let runs = pages.iter().flat_map(|page| &page.marks).filter_map(|mark| match &mark.kind {
            MarkKind::Text(run) => Some(run.text.as_str()),
            _ => None,
        });
        let said: Vec<&str> = runs.collect();

        let parcels = sample_parcels(&orders);
        let tags: Vec<&str> = batch.parcels.iter().map(|parcel| &*parcel.tag.text).collect();
        assert_eq!(tags.len(), parcels.len());
        // Declared goods have rows of their own, below the sums.
        let sums = said.iter().position(|text| *text == "parcels").unwrap();
        let rows: Vec<&str> = said[..sums]
            .windows(2)
            .enumerate()
            .filter(|(_, pair)| pair[0].parse::<usize>().is_ok() && tags.contains(&pair[1]))
            .map(|(_, pair)| pair[1])
            .collect();
        assert_eq!(rows, tags, "every parcel once, in bench order");

        let at = sums;
        assert_eq!(said[at - 1], parcels.len().to_string());
        let grams = |order: &&Value| order["parcel"]["weight_g"].as_u64().map(Decimal::from);
        let all: Option<Decimal> = parcels.iter().map(|orders| grams(&orders[0])).sum();
        assert_eq!(all.is_some(), known);
        match all {
            Some(all) => assert_eq!(said[at + 1], all.to_string()),
            None => assert!(said[at + 1].bytes().all(|byte| byte == b'_'), "{}", said[at + 1]),
        }
        for title in ["By service", "By country"] {
            // Services have their postage behind the count.
            let width = if title == "By service" { 3 } else { 2 };
            let from = said.iter().position(|text| *text == title).unwrap() + width;
            let cells = said[from..].chunks(width);
            let counts = cells.map_while(|row| row.get(1)?.parse().ok());
            let counts: Vec<usize> = counts.collect();
            assert_eq!(counts.iter().sum::<usize>(), parcels.len(), "{title}: {counts:?}");
        }
    }
}

/// The sample with a weight for the one parcel that has none.
fn weighed_text() -> String {
    sample_text()
        .replace("\"parcel\": {\"pack\": \"small box\"},", "\"parcel\": {\"weight_g\": 201},")
}

/// A sentence of ours stands only where the shop file has none: the shop's thanks are on every
/// paper that has room for them, and without a shop file a present is not thanked for.
#[test]
fn the_thanks_are_the_shops_own() {
    let (_, shop) = sample_batch();
    let orders: Value = serde_json::from_str(&hard_text()).unwrap();
    for name in ["slip-a4", "slip-letter", "slip-4x6in", "thank-you-a6"] {
        let pages = hard_pages(name);
        let layout = layout_of(find_shipped(name).unwrap().text);
        let without = pages_of(&hard_batch(None), None, &layout, name);
        for parcel in parcels(&orders) {
            let (own, ours) = (said(&pages, &parcel), said(&without, &parcel));
            let (own, ours) = (own.join(" ").replace('\n', " "), ours.join(" ").replace('\n', " "));
            assert!(own.contains(&*shop.thanks), "{name}: {own}");
            assert_eq!(
                ours.contains("This was chosen for you"),
                is_gift(&parcel),
                "{name}: {ours}"
            );
            assert_eq!(ours.contains("Thank you"), !is_gift(&parcel), "{name}: {ours}");
        }
    }
}
