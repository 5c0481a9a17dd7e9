//! What holds for any export: orders survive the way through a CSV file, cells are what the csv
//! crate reads, and nothing makes the reader panic.

use proptest::prelude::*;
use serde_json::{Value, json};
use slipwright::intake::list_cells;
use slipwright::{Order, Sources, has_errors, read_orders};

use crate::intake_cases::{opener, take};

/// The map that the files below are written for.
const MAP: &str = r#"
batch: Thursday
fields:
  id: Order
  tag: Tag
  placed: Date
  ship_to.name: Name
  ship_to.company: Company
  ship_to.lines: [Line 1, Line 2, Line 3]
  ship_to.city: Town
  ship_to.region: Region
  ship_to.postcode: Zip
  ship_to.country: Country
  ship_to.phone: Phone
  items.sku: SKU
  items.gtin: EAN
  items.title: Item
  items.qty: Quantity
  items.price: Price
  items.shelf: Shelf
  items.weight_g: Grams
  items.hs: HS
  items.origin: Origin
  currency: Currency
  parcel.pack: Box
  parcel.weight_g: Total
  parcel.size_mm: Size
  service: Service
  extras: {column: Extras, split: "/"}
  tracking: Tracking
  hazard: Hazard
  gift: Gift
  message: Message
  note: Note
  apart: Apart
  carrier_label.file: File
  carrier_label.page: Page
"#;

/// The columns that are the order's, then those that are an item's.
const ORDER_COLUMNS: &[&str] = &[
    "Tag", "Date", "Name", "Company", "Line 1", "Line 2", "Line 3", "Town", "Region", "Zip",
    "Country", "Phone", "Currency", "Box", "Total", "Size", "Service", "Extras", "Tracking",
    "Hazard", "Gift", "Message", "Note", "Apart", "File", "Page",
];
/// The columns of an item.
const ITEM_COLUMNS: &[&str] =
    &["SKU", "EAN", "Item", "Quantity", "Price", "Shelf", "Grams", "HS", "Origin"];

/// Text on one line, with what is hard on a file: separators, quotes, accents, other scripts.
fn any_text() -> impl Strategy<Value = String> {
    "[A-Za-zäß€éΩЖ山][A-Za-z0-9 ,;|\"'äß€éΩЖ山=&.-]{0,18}[A-Za-z0-9\"äß€]"
}

/// As [`any_text`], or nothing.
fn maybe_text() -> impl Strategy<Value = String> {
    prop_oneof![Just(String::new()), any_text()]
}

/// Text of several lines.
fn any_lines() -> impl Strategy<Value = String> {
    prop::collection::vec(any_text(), 0..3).prop_map(|lines| lines.join("\n"))
}

/// Digits and letters that keep their zeros.
fn any_number() -> impl Strategy<Value = String> {
    prop_oneof![Just(String::new()), "[0-9]{1,3}[0-9A-Z /-]{0,8}[0-9A-Z]"]
}

/// One of a few words.
fn any_of(words: &'static [&'static str]) -> impl Strategy<Value = String> {
    (0..words.len()).prop_map(|index| words[index].to_owned())
}

/// An item's cells, in the order of [`ITEM_COLUMNS`].
fn any_item() -> impl Strategy<Value = Vec<String>> {
    (
        (any_number(), any_text(), 1..100_000u32, 0..100_000_000u32),
        (maybe_text(), 0..1_000_000u32),
        // The GTIN is the example of GS1's page on check digits.
        (
            any_of(&["", "960830", "0960"]),
            any_of(&["", "GB", "DE"]),
            any_of(&["", "6291041500213"]),
        ),
    )
        .prop_map(|((sku, title, qty, cents), (shelf, grams), (hs, origin, gtin))| {
            let price = format!("{}.{:02}", cents / 100, cents % 100);
            let grams = if grams == 0 { String::new() } else { grams.to_string() };
            vec![sku, gtin, title, qty.to_string(), price, shelf, grams, hs, origin]
        })
}

/// An order's cells, in the order of [`ORDER_COLUMNS`], and those of its items.
fn any_order() -> impl Strategy<Value = (Vec<String>, Vec<Vec<String>>)> {
    let address = (
        any_text(),
        maybe_text(),
        [maybe_text(), maybe_text(), maybe_text()],
        [maybe_text(), maybe_text()],
        any_number(),
        any_of(&["GB", "DE", "GR", "US"]),
        any_number(),
    );
    let facts = (
        maybe_text(),
        any_of(&["", "2026-11-25", "2026-11-25T18:30:05Z"]),
        any_of(&["", "EUR", "GBP"]),
        maybe_text(),
        any_of(&["", "1", "1000000"]),
        any_of(&["", "220 x 110.5 x 40"]),
    );
    let wishes = (
        maybe_text(),
        any_of(&["", "signature", "signature/insured"]),
        any_number(),
        any_of(&["", "none", "ink"]),
        any_of(&["", "yes", "no"]),
        (any_lines(), any_lines()),
        any_of(&["", "yes", "no"]),
        any_of(&["", "1", "12"]),
    );
    (address, facts, wishes, prop::collection::vec(any_item(), 0..4)).prop_map(
        |(address, facts, wishes, items)| {
            let (name, company, [one, two, three], [town, region], zip, country, phone) = address;
            let (tag, placed, currency, pack, total, size) = facts;
            let (service, extras, tracking, hazard, gift, (message, note), apart, page) = wishes;
            let file = if page.is_empty() { String::new() } else { "labels.pdf".to_owned() };
            let cells = vec![
                tag, placed, name, company, one, two, three, town, region, zip, country, phone,
                currency, pack, total, size, service, extras, tracking, hazard, gift, message,
                note, apart, file, page,
            ];
            (cells, items)
        },
    )
}

/// An order as JSON, made without the code that is tested.
fn to_json(id: &str, order: &[String], items: &[Vec<String>]) -> Value {
    let cell =
        |name: &str| order[ORDER_COLUMNS.iter().position(|known| *known == name).unwrap()].as_str();
    let number = |text: &str| serde_json::from_str::<Value>(text).unwrap_or(Value::Null);
    let flag = |text: &str| match text {
        "" => Value::Null,
        word => (word == "yes").into(),
    };
    let sides: Vec<Value> =
        cell("Size").split(" x ").filter(|side| !side.is_empty()).map(number).collect();
    let items: Vec<Value> = items
        .iter()
        .map(|item| {
            let [sku, gtin, title, qty, price, shelf, grams, hs, origin] = &item[..] else { panic!() };
            json!({
                "sku": sku, "gtin": gtin, "title": title, "qty": number(qty), "price": price, "shelf": shelf,
                "weight_g": number(grams), "hs": hs, "origin": origin,
            })
        })
        .collect();
    let lines = ["Line 1", "Line 2", "Line 3"].map(cell);
    let label = match cell("File") {
        "" => Value::Null,
        file => json!({"file": file, "page": number(cell("Page"))}),
    };
    json!({
        "id": id, "tag": cell("Tag"), "placed": cell("Date"),
        "ship_to": {
            "name": cell("Name"), "company": cell("Company"),
            "lines": lines, "city": cell("Town"),
            "region": cell("Region"), "postcode": cell("Zip"), "country": cell("Country"),
            "phone": cell("Phone"),
        },
        "items": items, "currency": cell("Currency"),
        "parcel": {
            "pack": cell("Box"), "weight_g": number(cell("Total")),
            "size_mm": if sides.is_empty() { Value::Null } else { sides.into() },
        },
        "service": cell("Service"), "extras": cell("Extras").split('/').collect::<Vec<_>>(),
        "tracking": cell("Tracking"), "hazard": cell("Hazard"), "gift": flag(cell("Gift")),
        "apart": flag(cell("Apart")), "message": cell("Message"), "note": cell("Note"),
        "carrier_label": label,
    })
}

/// The orders as rows, written by the csv crate; the order's own cells stand in its first row, or
/// in all.
fn to_csv(orders: &[(Vec<String>, Vec<Vec<String>>)], separator: u8, repeat: bool) -> String {
    let ends = csv::Terminator::CRLF;
    let mut writer =
        csv::WriterBuilder::new().delimiter(separator).terminator(ends).from_writer(Vec::new());
    writer.write_record([&["Order"], ORDER_COLUMNS, ITEM_COLUMNS].concat()).unwrap();
    let nothing = vec![String::new(); ITEM_COLUMNS.len()];
    for (index, (order, items)) in orders.iter().enumerate() {
        let id = format!("TH-{index:03}");
        let blank = vec![String::new(); order.len()];
        for row in 0..items.len().max(1) {
            let order = if row == 0 || repeat { order } else { &blank };
            let item = items.get(row).unwrap_or(&nothing);
            writer.write_record(std::iter::once(&id).chain(order).chain(item)).unwrap();
        }
    }
    String::from_utf8(writer.into_inner().unwrap()).unwrap()
}

/// A text's bytes in one of the encodings that are found out.
fn encode(text: &str, encoding: usize) -> Vec<u8> {
    match encoding {
        0 => text.as_bytes().to_vec(),
        1 => format!("\u{feff}{text}").into_bytes(),
        2 => text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
        _ => format!("\u{feff}{text}").encode_utf16().flat_map(u16::to_be_bytes).collect(),
    }
}

/// Orders without their places, which differ from file to file.
fn without_places(orders: Vec<Order>, like: &Order) -> Vec<Order> {
    orders
        .into_iter()
        .map(|order| {
            order.changed(|order| {
                order.span = like.span();
                order.id_span = like.id_span();
                order.tag_span = order.tag_span.map(|_| like.id_span());
            })
        })
        .collect()
}

/// The orders of a text that has no faults.
fn read(text: &str) -> Vec<Order> {
    let mut sources = Sources::new();
    let file = sources.add("orders.json", text);
    let read = read_orders(text, file);
    assert_eq!(read.findings, [], "{text}");
    read.orders
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn orders_come_back_from_an_export_as_they_were(
        orders in prop::collection::vec(any_order(), 1..5),
        separator in prop::sample::select(b",;\t|".to_vec()),
        repeat: bool,
        encoding in 0..4usize,
    ) {
        let values: Vec<Value> = orders
            .iter()
            .enumerate()
            .map(|(index, (order, items))| to_json(&format!("TH-{index:03}"), order, items))
            .collect();
        let wanted = read(&Value::from(values).to_string());
        let export = to_csv(&orders, separator, repeat);
        let mut sources = Sources::new();
        // Numbers are written with a point and without marks between thousands.
        let map = format!("decimal: point\n{}", MAP.trim_start());
        let (intake, text) = take(&map, &encode(&export, encoding), &mut sources);
        prop_assert!(intake.findings.is_empty(), "{export}\n{:?}", intake.findings);
        let made = read(&text);
        let like = wanted[0].clone();
        prop_assert_eq!(without_places(made, &like), without_places(wanted, &like));
    }

    #[test]
    fn cells_are_what_the_csv_crate_reads(
        rows in prop::collection::vec(
            prop::collection::vec("[ab,;|\t\"'\n\r é€山]{0,8}", 1..5), 1..8),
        separator in prop::sample::select(b",;\t|".to_vec()),
        encoding in 0..4usize,
        all: bool,
    ) {
        let style = if all { csv::QuoteStyle::Always } else { csv::QuoteStyle::Necessary };
        let mut writer = csv::WriterBuilder::new()
            .delimiter(separator)
            .quote_style(style)
            .flexible(true)
            .from_writer(Vec::new());
        rows.iter().for_each(|row| writer.write_record(row).unwrap());
        let text = String::from_utf8(writer.into_inner().unwrap()).unwrap();
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(separator)
            .has_headers(false)
            .flexible(true)
            .from_reader(text.as_bytes());
        let theirs: Vec<Vec<String>> = reader
            .records()
            .map(|record| record.unwrap().iter().map(str::to_owned).collect())
            .collect();
        let bytes = encode(&text, encoding);
        let name = if encoding < 2 { "utf-8" } else { "utf-16" };
        let read = list_cells(&opener(&bytes), Some(name), Some(separator), &mut Sources::new());
        let (ours, intake) = read.unwrap();
        prop_assert!(!has_errors(&intake.findings), "{:?}", intake.findings);
        prop_assert_eq!(ours, theirs);
    }

    /// A column is used, ignored or named, whatever it is called.
    #[test]
    fn no_column_is_passed_over(
        columns in prop::collection::btree_map("[A-Z][a-z]{0,6}( [a-z]{1,6})?", 0..3_u8, 3..12),
        filled: bool,
    ) {
        let columns: Vec<(&String, &u8)> = columns.iter().collect();
        let (of_order, others) = columns.split_at(2);
        let mut map = format!(
            "fields:\n  id: \"{}\"\n  ship_to.country: \"{}\"\n",
            of_order[0].0, of_order[1].0
        );
        let used: Vec<_> = others.iter().filter(|(_, use_of)| **use_of == 0).collect();
        if !used.is_empty() {
            let names: Vec<_> = used.iter().map(|(name, _)| format!("\"{name}\"")).collect();
            map.push_str(&format!("  ship_to.lines: [{}]\n", names.join(", ")));
        }
        let ignored: Vec<_> = others.iter().filter(|(_, use_of)| **use_of == 1).collect();
        let names: Vec<_> = ignored.iter().map(|(name, _)| format!("\"{name}\"")).collect();
        map.push_str(&format!("ignore: [{}]\n", names.join(", ")));

        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(columns.iter().map(|(name, _)| name)).unwrap();
        let cell = if filled { "x" } else { "" };
        let cells = ["TH-1", "GB"].into_iter().chain(std::iter::repeat(cell));
        writer.write_record(cells.take(columns.len())).unwrap();
        let (intake, _) = take(&map, &writer.into_inner().unwrap(), &mut Sources::new());
        let notes = intake.findings.iter().filter(|it| it.rule == "unused-column");
        let told: String = notes.map(|it| format!("{}\n", it.message)).collect();
        for (name, use_of) in others {
            prop_assert_eq!(told.contains(&format!("`{name}`")), **use_of == 2, "{}: {}", name, told);
        }
        for (name, _) in of_order {
            let quoted = format!("`{name}`");
            prop_assert!(!told.contains(&quoted), "{}", told);
        }
    }

    #[test]
    fn no_bytes_are_too_odd(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let mut sources = Sources::new();
        let map = "fields: {id: a, ship_to.country: b}\n";
        for start in ["", "a,b\n", "a,b\n1,\""] {
            let export = [start.as_bytes(), &bytes].concat();
            let (intake, _) = take(map, &export, &mut sources);
            for finding in &intake.findings {
                let _ = slipwright::findings::render(finding, &sources, Default::default());
            }
            let _ = slipwright::intake::propose_map(&opener(&export), "export.csv", &mut sources).unwrap();
        }
    }

    #[test]
    fn no_cells_are_too_odd(cells in prop::collection::vec("\\PC{0,12}", 34)) {
        let mut sources = Sources::new();
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record([&["Order"], ORDER_COLUMNS, ITEM_COLUMNS].concat()).unwrap();
        let mut row = vec!["1".to_owned()];
        row.extend(cells);
        row.resize(1 + ORDER_COLUMNS.len() + ITEM_COLUMNS.len(), String::new());
        writer.write_record(&row).unwrap();
        let (intake, text) = take(MAP, &writer.into_inner().unwrap(), &mut sources);
        if !has_errors(&intake.findings) {
            prop_assert_eq!(read(&text).len(), 1);
        }
    }
}
