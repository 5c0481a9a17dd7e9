//! Exports that are dropped on the desk: what a proposed map makes of them, and what they say of orders that are
//! here already.

use serde_json::{Value, json};

use crate::command::Desk;
use crate::desk_support::OpenDesk;

/// An export of three orders, of which each may be paid or cancelled.
fn export(states: [&str; 3]) -> String {
    let mut text = "Order,Status,Name,City,Country,Item,Quantity\n".to_owned();
    for (at, state) in states.iter().enumerate() {
        text += &format!("A-{at},{state},Ada Fell,Oakhaven,GB,Ink,1\n");
    }
    text
}

/// The map of those exports.
const MAP: &str = "rows: [{column: Status, is: [cancelled]}]\nfields: {id: Order, ship_to.name: Name, \
                   ship_to.city: City, ship_to.country: Country, items.title: Item, items.qty: Quantity}\n";

#[test]
fn an_export_of_cancelled_orders_alone_tells_which_are_here() {
    let place = Desk::new();
    place.sample("shop.yaml").put("export-map.yaml", MAP);
    let desk = OpenDesk::open(&place);
    let drop = |states| desk.json("POST /drop?name=export.csv", export(states).as_bytes());
    // Before anything came in it is refused: nothing is begun with it.
    let refused = drop(["cancelled"; 3]);
    assert!(!place.path("slipwright.ledger").exists(), "{refused:#}");
    let taken = drop(["paid"; 3]);
    assert_eq!(taken["taken"]["answer"]["new"].as_array().map(Vec::len), Some(3), "{taken:#}");
    let taken = &drop(["cancelled"; 3])["taken"];
    let ids: Vec<&Value> =
        taken["answer"]["not_going"].as_array().unwrap().iter().map(|it| &it["id"]).collect();
    assert_eq!(ids, ["A-0", "A-1", "A-2"]);
    let remarks = taken["remarks"].as_array().unwrap();
    let told = remarks.iter().find(|it| it["rule"] == "all-left-out").unwrap();
    assert_eq!((&taken["exit"], &told["severity"]), (&json!(0), &json!("warning")));
}

#[test]
fn a_price_in_a_column_of_shipping_is_shown_as_what_it_becomes() {
    let place = Desk::new();
    place.sample("shop.yaml");
    let desk = OpenDesk::open(&place);
    let export = "Bestellnr.;Vorname;Nachname;Ort;Land;Artikel;Menge;Versand;Betrag\n\
                  7;Ida;Lüne;Wendeby;Deutschland;Tinte;1;4,90;14,80\n";
    let told = desk.json("POST /drop?name=export.csv", export.as_bytes());
    let map = told["map"].as_str().unwrap();
    assert!(map.contains("  ship_to.name: [Vorname, Nachname]\n  "), "{map}");
    assert!(map.contains("  shipping: Versand\n"), "{map}");
    // What no field was found for can be given to every field that an order has.
    for field in ["shipping", "discount", "paid", "tax.amount"] {
        assert!(told["fields"].as_array().unwrap().contains(&json!(field)), "{field}");
    }
    let map = map.replace("fields:\n", "fields:\n  paid: Betrag\n");
    let body = json!({"drop": told["drop"], "map": map}).to_string();
    let shown = desk.json("POST /drop/try", body.as_bytes());
    let order = &shown["orders"][0];
    assert_eq!((&order["shipping"], &order["paid"]), (&json!("4.90"), &json!("14.80")));
    assert_eq!(order["ship_to"]["name"], "Ida Lüne");
}

#[test]
fn rows_that_come_twice_are_taken_in_once_and_told() {
    let place = Desk::new();
    place.sample("shop.yaml").put("export-map.yaml", MAP);
    let desk = OpenDesk::open(&place);
    let text = export(["paid"; 3]);
    let again = text.lines().nth(1).unwrap();
    let taken = desk.json("POST /drop?name=export.csv", format!("{text}{again}\n").as_bytes());
    let taken = &taken["taken"];
    assert_eq!(taken["answer"]["new"].as_array().map(Vec::len), Some(3), "{taken:#}");
    let remark = &taken["remarks"][0];
    assert_eq!((&remark["rule"], &remark["place"]["line"]), (&json!("repeated-row"), &json!(5)));
}
