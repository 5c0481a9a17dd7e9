//! What the reader of orders makes of good fields.

use slipwright::batch::Parcel;
use slipwright::fields::{Address, CountryCode, Gtin, OwnFields};
use slipwright::orders::{CarrierLabel, Item, OrderAmounts, OrderTax};
use slipwright::{Mm, Order, Sources, read_orders};

/// The only order of a file.
fn read_one(text: &str) -> Order {
    let mut sources = Sources::new();
    let file = sources.add("orders.json", text);
    let mut read = read_orders(text, file);
    assert_eq!((&*read.findings, read.orders.len()), (&[][..], 1));
    read.orders.remove(0)
}

#[test]
fn every_field_reaches_its_place() {
    let text = r#"[{
        "id": "TH-1", "tag": " Tern ", "placed": "2026-11-25T18:30:00Z",
        "ship_to": {
            "name": "Ada Marlow", "given_name": "Addie", "company": "Fell", "lines": ["Flat 2", "12 Long Street"],
            "city": "Ternmouth", "region": "Cornwall", "postcode": "TR77 4NH", "country": "GB",
            "phone": "01632 960128"
        },
        "items": [
            {"sku": "N-1", "gtin": "6291041500213", "title": "Nib", "qty": 3, "price": "12.50", "shelf": "A1",
             "weight_g": 2, "hs": "960891", "origin": "DE"},
            {"sku": "N-2"}
        ],
        "currency": "EUR", "shipping": "4.50", "discount": "1", "paid": 41,
        "tax": [{"name": "VAT", "rate": 20, "amount": "6.83"}, {"rate": "2.5", "of": "4", "on_top": true}],
        "parcel": {"pack": "box", "weight_g": 430, "size_mm": [220, 110.5, 40]},
        "service": "tracked", "extras": ["signature", ""], "tracking": "XX1",
        "hazard": "none", "gift": true, "message": "Hello", "note": "n", "apart": true,
        "carrier_label": {"file": "labels.pdf", "page": 2}
    }]"#;
    let order = read_one(text);
    assert_eq!((order.id(), order.tag(), order.placed()), ("TH-1", "Tern", "2026-11-25T18:30:00Z"));
    let country = CountryCode::parse("GB").unwrap();
    let address = Address {
        name: "Ada Marlow".into(),
        given_name: "Addie".into(),
        company: "Fell".into(),
        lines: ["Flat 2".into(), "12 Long Street".into()].into(),
        city: "Ternmouth".into(),
        region: "Cornwall".into(),
        postcode: "TR77 4NH".into(),
        country,
        phone: "01632 960128".into(),
    };
    assert_eq!(order.ship_to(), address);
    let nib = Item {
        sku: "N-1",
        gtin: Gtin::parse("6291041500213"),
        title: "Nib",
        qty: 3,
        price: Some("12.50".parse().unwrap()),
        shelf: "A1",
        weight_g: Some(2),
        hs: "960891",
        origin: CountryCode::parse("DE"),
        own: OwnFields::default(),
    };
    assert_eq!(order.items().next(), Some(nib.clone()));
    assert_eq!(nib.total().unwrap().to_string(), "37.50");
    assert_eq!(nib.total_weight_g(), Some(6));
    let bare = order.items().nth(1).unwrap();
    assert_eq!((bare.label(), bare.qty, bare.price, bare.total()), ("N-2", 1, None, None));
    assert_eq!(order.currency().unwrap().as_str(), "EUR");
    let price = |digits: &str| Some(digits.parse().unwrap());
    let amounts = OrderAmounts {
        shipping: price("4.50"),
        discount: price("1"),
        taxes: [
            OrderTax {
                name: "VAT".into(),
                rate: price("20"),
                amount: price("6.83"),
                of: None,
                on_top: false,
            },
            OrderTax {
                name: "".into(),
                rate: price("2.5"),
                amount: None,
                of: price("4"),
                on_top: true,
            },
        ]
        .into(),
        paid: price("41"),
    };
    assert_eq!(order.amounts(), Some(&amounts));
    assert_eq!((order.pack(), order.weight_g()), ("box", Some(430)));
    assert_eq!(order.size(), Some([Mm(220.0), Mm(110.5), Mm(40.0)]));
    assert_eq!((order.service(), order.tracking(), order.hazard()), ("tracked", "XX1", "none"));
    assert_eq!(order.extras(), ["signature"]);
    assert_eq!((order.gift(), order.apart()), (true, true));
    assert_eq!((order.message(), order.note()), ("Hello", "n"));
    let label = CarrierLabel { file: "labels.pdf".into(), page: 2 };
    assert_eq!(order.carrier_label(), Some(&label));
    let at = |span: slipwright::source::Span| &text[span.start as usize..span.end as usize];
    assert_eq!((at(order.id_span()), order.tag_span().map(at)), ("\"TH-1\"", Some("\" Tern \"")));
    assert!(at(order.span()).starts_with('{') && at(order.span()).ends_with('}'));
}

#[test]
fn numbers_keep_their_literal_digits() {
    let order = read_one(
        r#"{"id": 9007199254740993, "ship_to": {"name": "A", "country": "GB"},
            "items": [{"sku": "a", "price": 12.10}, {"sku": "b", "price": 0.1},
                      {"sku": "c", "price": "000.30"}]}"#,
    );
    assert_eq!(order.id(), "9007199254740993");
    let prices: Vec<_> = order.items().map(|it| it.price.unwrap().to_string()).collect();
    assert_eq!(prices, ["12.10", "0.1", "0.30"]);
}

#[test]
fn line_breaks_divide_address_lines_and_stay_in_messages() {
    let order = read_one(
        r#"{"id": "1", "message": " a\r\nb\rc\u2028d ",
            "ship_to": {"company": "A", "lines": ["Flat 2\r\n 12 Long Street\n", "", "X"],
                        "country": "GB"}}"#,
    );
    assert_eq!(order.ship_to().lines, ["Flat 2", "12 Long Street", "X"]);
    assert_eq!(order.message(), "a\nb\nc\nd");
}

#[test]
fn a_hundred_thousand_orders_stay_small() {
    assert!(size_of::<Order>() <= 48, "{}", size_of::<Order>());
    assert!(size_of::<Parcel>() <= 240, "{}", size_of::<Parcel>());
}
