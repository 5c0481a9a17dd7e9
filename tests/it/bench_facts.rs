//! What the engine works out and the bench needs to see: items in the order of their shelf, what a
//! parcel should weigh and measure, which parcels need a customs declaration. The words are read
//! back from the PDFs by lopdf.

use lopdf::Document;
use serde_json::{Value, json};

use crate::command::Desk;

/// An order from the sample's goods, whose weights and sizes its shop file knows.
fn order(id: u32, tag: &str, more: Value) -> Value {
    let mut order = json!({
        "id": format!("TH-{id}"), "tag": tag, "hazard": "none",
        "ship_to": {"name": "Ines Marlow", "lines": ["14 Quay Street"], "city": "Oakham",
            "postcode": "LS1 4AP", "country": "GB"},
        "items": [
            {"sku": "INK-SEA-50", "title": "Sea ink", "shelf": "B10"},
            {"sku": "KF-4-F", "title": "Kingfisher pen", "shelf": "B2"},
            {"sku": "NB-14-M", "title": "Gold nib"},
        ],
        "currency": "GBP", "service": "tracked parcel",
    });
    for (key, value) in more.as_object().unwrap() {
        order[key] = value.clone();
    }
    order
}

/// The text of each page that a layout makes of orders, white space taken out.
fn pages_of(layout: &str, orders: &[Value]) -> Vec<String> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/shop.yaml");
    let desk = Desk::new();
    desk.put("shop.yaml", std::fs::read_to_string(path).unwrap());
    desk.put("orders.json", Value::from(orders).to_string());
    desk.done(&["render", "orders.json", "--layout", layout, "-o", "out.pdf"]);
    let document = Document::load(desk.path("out.pdf")).unwrap();
    let read = |page: &u32| document.extract_text(&[*page]).unwrap();
    document
        .get_pages()
        .keys()
        .map(|page| read(page).split_whitespace().collect::<String>())
        .collect()
}

#[test]
fn items_on_cards_come_in_the_order_of_their_shelf() {
    // The narrow roll has room for one item beside declared goods.
    for (layout, declared, shown) in [
        ("bench-card", "none", &["Kingfisherpen", "Seaink", "Goldnib"][..]),
        ("bench-card", "fountain pen ink", &["Kingfisherpen", "and2more"]),
        ("bench-cards-4x6in", "none", &["Kingfisherpen", "Seaink", "Goldnib"]),
        ("bench-cards-4x6in", "fountain pen ink", &["Kingfisherpen", "Seaink", "Goldnib"]),
    ] {
        let text = pages_of(layout, &[order(1, "Marlow", json!({"hazard": declared}))]).concat();
        let places: Vec<_> = shown.iter().map(|words| text.find(words)).collect();
        assert!(places.iter().all(Option::is_some) && places.is_sorted(), "{layout}: {text}");
    }
}

#[test]
fn what_a_parcel_should_weigh_stands_beside_the_line_for_the_scale() {
    // 155, 24 and 2 g of items, 110 g of the ink box, 8 g of wrapping.
    let plain = order(1, "Marlow", json!({}));
    let weighed = order(2, "Heron", json!({"parcel": {"weight_g": 305}}));
    let declared = order(3, "Wren", json!({"hazard": "fountain pen ink"}));
    let abroad = |order: Value| {
        let mut order = order;
        order["ship_to"]["country"] = json!("US");
        order["ship_to"]["region"] = json!("NV");
        order["ship_to"]["postcode"] = json!("89501");
        order
    };
    for layout in ["bench-card", "bench-cards-4x6in"] {
        let says = |orders: &[Value]| pages_of(layout, orders).concat();
        let card = says(std::slice::from_ref(&plain));
        assert!(card.contains("shouldweigh299g"), "{layout}: {card}");
        assert!(card.contains("shouldbe166×126×96mm"), "{layout}: {card}");
        let card = says(std::slice::from_ref(&declared));
        assert!(card.contains("shouldweigh299g______"), "{layout}: {card}");
        assert!(card.contains("166×126×96mm"), "{layout}: {card}");
        // What was weighed needs no line.
        let card = says(std::slice::from_ref(&weighed));
        assert!(card.contains("305g") && !card.contains("shouldweigh"), "{layout}: {card}");
    }
    let sheets = pages_of("customs-sheet-a5", &[abroad(plain.clone()), abroad(weighed.clone())]);
    assert!(sheets[0].contains("itshouldweigh299g"), "{}", sheets[0]);
    assert!(sheets[1].contains("305g") && !sheets[1].contains("shouldweigh"), "{}", sheets[1]);
    let list = pages_of("handover-list-a4", &[plain, weighed.clone(), declared]).concat();
    assert!(list.contains("Shouldbe") && list.contains("299______"), "{list}");
    let list = pages_of("handover-list-a4", &[weighed]).concat();
    assert!(!list.contains("Shouldbe") && list.contains("305"), "{list}");
}

#[test]
fn a_customs_sheet_says_when_none_is_needed() {
    let stays = order(1, "Marlow", json!({}));
    let mut leaves = order(2, "Heron", json!({}));
    leaves["ship_to"]["country"] = json!("JE");
    leaves["ship_to"]["postcode"] = json!("JE2 2BT");
    let sheets = pages_of("customs-sheet-a5", &[stays, leaves]);
    assert!(sheets[0].contains("staysinthecustomsandVATareaitispostedin"), "{}", sheets[0]);
    assert!(sheets[1].contains("Category,tickone"), "{}", sheets[1]);
}
