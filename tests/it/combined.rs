//! A combined parcel on the shipped layouts, from the command to the paper: the text is read back
//! from the PDFs by lopdf.

use crate::command::Desk;

/// Two orders of one recipient, written differently, and one of another.
const ORDERS: &str = r#"{"batch": "Tuesday", "orders": [
  {"id": "TH-71", "ship_to": {"name": "Ada Marlow", "company": "Quill & Daughter",
    "lines": ["c/o Fell", "Unit 3", "PO Box 12", "14 Mill Lane"], "city": "Ternmouth",
    "postcode": "TR77 4NH", "country": "GB"}, "currency": "GBP",
    "items": [{"title": "Heron nib", "sku": "HN-1", "qty": 2, "price": "10.25"}],
    "parcel": {"weight_g": 120}, "message": "Many happy returns", "note": "wrap twice",
    "hazard": "none"},
  {"id": "TH-72", "ship_to": {"name": "Ole Brandt", "lines": ["3 Mill Lane"], "city": "Ternmouth",
    "postcode": "TR77 4NH", "country": "GB"}, "currency": "GBP",
    "items": [{"title": "Wren pen", "sku": "WP-1", "price": "40.00"}],
    "parcel": {"weight_g": 90}, "hazard": "none"},
  {"id": "TH-73", "ship_to": {"name": "ADA MARLOW", "company": "quill & daughter",
    "lines": ["c/o Fell", "Unit 3", "P.O. Box 12", "14 Mill  Lane"], "city": "Ternmouth",
    "postcode": "TR774NH", "country": "GB"}, "currency": "GBP",
    "items": [{"title": "Curlew ink", "sku": "CI-1", "price": "8.50"}],
    "parcel": {"weight_g": 250}, "message": "And a second wish", "note": "keep upright",
    "hazard": "none"}
]}"#;

/// The text of each page that a layout makes of the orders, white space taken out.
fn pages_of(layout: &str, arguments: &[&str]) -> Vec<String> {
    pages_from(ORDERS, layout, arguments)
}

/// The same of other orders.
fn pages_from(orders: &str, layout: &str, arguments: &[&str]) -> Vec<String> {
    let desk = Desk::new();
    desk.sample("shop.yaml").put("orders.json", orders);
    let mut all = vec!["render", "orders.json", "--layout", layout, "-o", "out.pdf"];
    all.extend(arguments);
    desk.done(&all);
    let document = lopdf::Document::load(desk.path("out.pdf")).unwrap();
    let pages = document.get_pages();
    pages
        .keys()
        .map(|page| document.extract_text(&[*page]).unwrap().split_whitespace().collect())
        .collect()
}

/// Whether a page says something; white space does not count.
fn says(page: &str, text: &str) -> bool {
    page.contains(&text.split_whitespace().collect::<String>())
}

#[test]
fn labels_cards_and_slips_list_all_orders_of_a_parcel() {
    let layouts = [
        "label-4x6in",
        "label-100x150mm",
        "letter-label-62x100mm",
        "bench-card",
        "bench-cards-4x6in",
        "slip-a4",
        "slip-letter",
        "slip-4x6in",
    ];
    for layout in layouts {
        let combined = pages_of(layout, &["--combine"]);
        assert!(says(&combined[0], "TH-71 + TH-73"), "{layout}: {}", combined[0]);
        if layout != "bench-cards-4x6in" {
            assert!(!says(&combined[1], "TH-71"), "{layout}: {}", combined[1]);
        }
    }
}

#[test]
fn a_parcel_has_one_weight_and_none_is_made_up() {
    let agreed = ORDERS.replace("\"weight_g\": 120", "\"weight_g\": 250");
    for layout in ["label-4x6in", "bench-card"] {
        // One says 120 g, the other 250 g: neither is taken, and they are not added.
        let differing = pages_of(layout, &["--combine"]);
        assert_eq!(differing.len(), 2, "{layout}");
        for weight in ["120 g", "250 g", "370 g"] {
            assert!(!says(&differing[0], weight), "{layout}: {weight}: {}", differing[0]);
        }
        assert!(says(&differing[1], "90 g"), "{layout}: {}", differing[1]);
        let one = &pages_from(&agreed, layout, &["--combine"])[0];
        assert!(says(one, "250 g") && !says(one, "500 g"), "{layout}: {one}");
    }
}

/// Read back from the bars: what the shop knows, with all ids below them.
#[test]
fn bars_of_a_combined_parcel_say_its_first_order() {
    let desk = Desk::new();
    desk.sample("shop.yaml").put("orders.json", ORDERS);
    let ran = desk.done(&[
        "check",
        "orders.json",
        "--layout",
        "label-4x6in",
        "--combine",
        "--proof",
        "--diagnostics",
        "json",
    ]);
    let graded = String::from_utf8_lossy(&ran.stdout);
    assert!(graded.contains("\"payload\":\"TH-71\""), "{graded}");
    assert!(!graded.contains("+TH"), "{graded}");
    let label = &pages_of("label-4x6in", &["--combine"])[0];
    assert_eq!(label.matches("TH-71+TH-73").count(), 1, "{label}");
}

#[test]
fn items_are_summed_and_both_messages_kept() {
    let card = &pages_of("bench-card", &["--combine"])[0];
    for part in ["2 × Heron nib", "1 × Curlew ink", "wrap twice", "keep upright", "card inside"] {
        assert!(says(card, part), "{part}: {card}");
    }
    for layout in ["slip-a4", "slip-letter", "slip-4x6in"] {
        let slip = &pages_of(layout, &["--combine"])[0];
        // 2 × 10.25 + 8.50.
        for part in ["Heron nib", "Curlew ink", "29.00", "Many happy returns", "And a second wish"]
        {
            assert!(says(slip, part), "{layout}: {part}: {slip}");
        }
    }
}

#[test]
fn a_gift_slip_has_the_messages_of_both_orders_and_no_price() {
    let gifts = ORDERS.replace(r#""hazard": "none""#, r#""gift": true, "hazard": "none""#);
    for layout in ["gift-slip-a4", "gift-slip-4x6in"] {
        let slip = &pages_from(&gifts, layout, &["--combine"])[0];
        for part in ["Many happy returns", "And a second wish", "Heron nib", "Curlew ink"] {
            assert!(says(slip, part), "{layout}: {part}: {slip}");
        }
        for price in ["10.25", "20.50", "8.50", "29.00"] {
            assert!(!says(slip, price), "{layout}: {price}: {slip}");
        }
    }
}

#[test]
fn an_order_that_is_split_off_has_its_own_pages_again() {
    let apart = pages_of("slip-a4", &["--combine", "--split", "TH-73"]);
    assert_eq!(apart, pages_of("slip-a4", &[]).to_vec(), "nothing else was combined");
    assert_eq!(apart.len(), 3);
    assert!(says(&apart[2], "And a second wish") && !says(&apart[0], "And a second wish"));
}

/// Company, care-of, unit and box lines; the country line is left out at home.
#[test]
fn every_line_of_an_address_is_on_every_paper_with_an_address() {
    let layouts = ["label-4x6in", "label-100x150mm", "letter-label-62x100mm", "slip-a4"];
    for layout in layouts {
        let page = &pages_of(layout, &["--combine"])[0];
        for line in ["Quill & Daughter", "c/o Fell", "Unit 3", "PO Box 12", "14 Mill Lane"] {
            assert!(says(page, line), "{layout}: {line}: {page}");
        }
        // The sample's shop posts from the same country.
        assert!(!page.contains("UNITEDKINGDOM"), "{layout}: {page}");
    }
}
