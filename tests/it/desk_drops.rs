//! Files that are dropped on the desk's pages: orders, exports with their maps, and what is too large.

use std::io::{Read as _, Write as _};
use std::net::TcpStream;

use serde_json::{Value, json};

use crate::command::Desk;
use crate::desk::waiting;
use crate::desk_support::{OpenDesk, sample};

#[test]
fn orders_that_are_dropped_are_taken_in() {
    let place = Desk::new();
    let desk = OpenDesk::open(&place);
    let told = desk.json("POST /drop?name=evening.json", &sample("evening.json"));
    assert_eq!(told["taken"]["answer"]["new"].as_array().map(Vec::len), Some(12));
    assert_eq!(waiting(&desk).len(), 12);
    let told = desk.json("POST /drop?name=..%2Fx.json", b"[{\"id\": \"A\"}]");
    assert_eq!(told["taken"]["exit"], 2);
    let file = told["taken"]["remarks"][0]["place"]["file"].as_str().unwrap();
    assert_eq!(file, "_x.json", "where it lay for a moment is nobody's business");
}

#[test]
fn an_export_needs_its_map_once() {
    let place = Desk::new();
    place.sample("shop.yaml");
    let desk = OpenDesk::open(&place);
    let export = sample("export.csv");
    let told = desk.json("POST /drop?name=export.csv", &export);
    let (number, map) = (&told["drop"], told["map"].as_str().unwrap());
    assert!(map.contains("  id: Order\n") && told["tried"].is_null(), "{told:#}");
    // What a map makes of it is shown before anything is taken in.
    let body = |map: &str| json!({"drop": number, "map": map}).to_string().into_bytes();
    let shown = desk.json("POST /drop/try", &body(map));
    assert_eq!(shown["orders"][0]["id"], "TH-1061");
    assert_eq!(shown["orders"].as_array().map(Vec::len), Some(5));
    let wrong = desk.json("POST /drop/try", &body(&map.replace("Order\n", "Odrer\n")));
    assert!(wrong["exit"] != 0 && wrong["remarks"][0]["severity"] == "error", "{wrong:#}");
    assert!(!place.path("export-map.yaml").exists() && !place.path("slipwright.ledger").exists());
    // A map that is mended is kept, and fits the next export of that shop.
    let mended = map.replace("#  - ", "  - ");
    let taken = desk.json("POST /drop/take-in", &body(&mended));
    assert_eq!(taken["answer"]["new"].as_array().map(Vec::len), Some(6), "{taken:#}");
    assert_eq!(std::fs::read_to_string(place.path("export-map.yaml")).unwrap(), mended);
    let again = desk.json("POST /drop?name=export.csv", &export);
    assert_eq!(again["taken"]["answer"]["known"].as_array().map(Vec::len), Some(6));
    // Another shop's has another.
    let other = "Nr;Name;Ort;Land;Artikel\n7;Ada Fell;Oakhaven;GB;Ink\n";
    let told = desk.json("POST /drop?name=other.csv", other.as_bytes());
    assert!(told["map"].is_string() && told["tried"]["exit"] != 0, "{told:#}");
    // What an export is told by is gone with the desk, or by the next one.
    let gone = desk.ask("POST /drop/try", "", &body(map));
    assert!(gone.starts_with("HTTP/1.1 404") && gone.contains("drop it again"), "{gone}");
    let left = std::fs::read_dir(place.path("")).unwrap().map(|it| it.unwrap().file_name());
    assert!(!left.into_iter().any(|name| name.to_string_lossy().starts_with('.')));
}

#[test]
fn what_an_export_no_longer_sends_is_told_while_it_is_here() {
    let place = Desk::new();
    place.sample("shop.yaml");
    let desk = OpenDesk::open(&place);
    let export = String::from_utf8(sample("export.csv")).unwrap();
    let paid = "TH-1062,2026-11-26 09:03:02 +0000,paid";
    let told = desk.json("POST /drop?name=export.csv", export.as_bytes());
    let rule = "rows:\n  - {column: Order status, is: [cancelled]}\nfields:\n";
    let map = told["map"].as_str().unwrap().replace("fields:\n", rule);
    let map = map.replace("#  - Order status\n", "");
    let body = json!({"drop": told["drop"], "map": map}).to_string();
    let taken = desk.json("POST /drop/take-in", body.as_bytes());
    assert_eq!(taken["exit"], 0, "{taken:#}");
    assert_eq!(taken["answer"]["not_going"], Value::Null);
    desk.act("line-up", json!({"orders": ["TH-1062"], "weight": "300g"}));
    let later = export.replace(paid, &paid.replace(",paid", ",cancelled"));
    assert_ne!(later, export);
    let taken = desk.json("POST /drop?name=export.csv", later.as_bytes());
    let not_going = json!([{"id": "TH-1062", "state": "in line", "sitting": 1, "number": 1}]);
    assert_eq!(taken["taken"]["answer"]["not_going"], not_going, "{taken:#}");
    // It stands, whatever is dropped next and whoever opens the pages anew, until it is put away.
    let news = || {
        let told = desk.json("GET /state", b"")["news"]["answer"]["news"].clone();
        let told = told.as_array().unwrap().iter();
        told.map(|it| (it["id"].clone(), it["called_off"].is_string())).collect::<Vec<_>>()
    };
    desk.json("POST /drop?name=export.csv", export.as_bytes());
    assert_eq!(news(), [(json!("TH-1062"), true)]);
    assert_eq!(desk.act("seen", json!({"all": true}))["answer"]["seen"], json!(["TH-1062"]));
    assert_eq!(news(), []);
}

#[test]
fn the_good_orders_of_an_export_are_taken_in_without_the_others() {
    let place = Desk::new();
    place.sample("shop.yaml");
    let desk = OpenDesk::open(&place);
    let export = String::from_utf8(sample("export.csv")).unwrap();
    let map = String::from_utf8(sample("export-map.yaml")).unwrap();
    place.put("export-map.yaml", &map);
    let name = "Jette";
    assert!(export.contains(name), "{export}");
    let bad = export.replacen(name, "Jet\tte", 1);
    let told = desk.json("POST /drop?name=export.csv", bad.as_bytes());
    let partly = &told["partly"];
    let rows = json!({"orders": 1, "file": null});
    assert_eq!((&partly["answer"]["rows_aside"], &told["map"]), (&rows, &json!(map)), "{told:#}");
    // The message says which order it is, and where.
    let remark = &partly["remarks"][0];
    assert!(remark["order"].is_string() && remark["place"]["line"].is_u64(), "{remark:#}");
    assert!(
        !place.path("slipwright.ledger").exists(),
        "nothing is taken in before it is asked for"
    );
    let body = json!({"drop": told["drop"], "map": map}).to_string();
    let taken = desk.json("POST /drop/rest", body.as_bytes());
    let rows = json!({"orders": 1, "file": "set-aside-1.csv"});
    assert_eq!(taken["answer"]["rows_aside"], rows, "{taken:#}");
    assert_eq!(taken["answer"]["new"].as_array().map(Vec::len), Some(5));
    let aside = std::fs::read_to_string(place.path("set-aside-1.csv")).unwrap();
    assert!(aside.contains("Jet\tte") && !place.path("export-map-2.yaml").exists());
    // Mended, the rest follows.
    let mended = aside.replace("\t", "");
    let taken = desk.json("POST /drop?name=set-aside-1.csv", mended.as_bytes());
    assert_eq!(taken["taken"]["answer"]["new"].as_array().map(Vec::len), Some(1), "{taken:#}");
}

#[test]
fn an_order_with_the_number_of_another_is_taken_in_when_it_is_the_same() {
    let place = Desk::new();
    place.sample("shop.yaml");
    let desk = OpenDesk::open(&place);
    let order = |id: &str, name: &str, street: &str, title: &str| {
        json!({"id": id, "hazard": "none", "items": [{"title": title}],
            "ship_to": {"name": name, "lines": [street], "city": "Oakhaven", "country": "GB"}})
    };
    let drop = |orders: Value| desk.json("POST /drop?name=a.json", orders.to_string().as_bytes());
    let first = [order("1", "Ada Fell", "1 Quay", "Ink"), order("2", "Ole Dahl", "2 Quay", "Pen")];
    assert_eq!(drop(json!(first))["drop"], Value::Null, "nothing is asked, and nothing is kept");
    let others = [order("1", "Bo Vale", "7 Hill", "Nib"), order("2", "Cy Wood", "8 Hill", "Case")];
    let told = drop(json!(others));
    let ids = |told: &Value| {
        let another = told["answer"]["another"].as_array().unwrap().iter();
        another.map(|it| it["id"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    assert_eq!((ids(&told["taken"]), &told["map"]), (vec!["1".into(), "2".into()], &json!("")));
    let same = |id: &str| {
        let body = json!({"drop": told["drop"], "map": "", "same": [id]}).to_string();
        desk.json("POST /drop/same", body.as_bytes())
    };
    let said = same("2");
    assert_eq!((ids(&said), &said["answer"]["changed"][0]["id"]), (vec!["1".into()], &json!("2")));
    let names = || {
        let orders = desk.json("GET /state", b"")["waiting"]["answer"]["orders"].clone();
        let orders = orders.as_array().unwrap().iter();
        orders.map(|it| it["name"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(names(), ["Ada Fell", "Cy Wood"]);
    assert_eq!(
        (ids(&same("1")), names()),
        (Vec::<String>::new(), vec!["Bo Vale".into(), "Cy Wood".into()])
    );
}

#[test]
fn of_an_export_with_faulty_rows_an_order_is_said_to_be_the_same_too() {
    let place = Desk::new();
    place.sample("shop.yaml");
    let desk = OpenDesk::open(&place);
    place.put("export-map.yaml", "fields:\n  id: Nr\n  ship_to.name: Name\n  ship_to.lines: Street\n  ship_to.city: Town\n  ship_to.country: Land\n  items.title: Item\n");
    let export = |rows: &str| format!("Nr,Name,Street,Town,Land,Item\n{rows}");
    let drop = |rows: &str| desk.json("POST /drop?name=a.csv", export(rows).as_bytes());
    let told = drop("1,Ada Fell,1 Quay,Oakhaven,GB,Ink\n");
    assert_eq!(told["taken"]["exit"], 0, "{told:#}");
    let told = drop("1,Bo Vale,7 Hill,Oakhaven,GB,Nib\n2,Ole\tDahl,2 Quay,Oakhaven,GB,Pen\n");
    let body = |same: Value| {
        json!({"drop": told["drop"], "map": told["map"], "same": same}).to_string().into_bytes()
    };
    let rest = desk.json("POST /drop/rest", &body(Value::Null));
    assert_eq!(rest["answer"]["another"][0]["id"], "1", "{rest:#}");
    let same = desk.json("POST /drop/same", &body(json!(["1"])));
    assert_eq!(same["answer"]["changed"][0]["id"], "1", "{same:#}");
    assert_eq!(same["answer"]["rows_aside"], Value::Null, "they were set aside before");
    assert!(place.path("set-aside-1.csv").exists() && !place.path("set-aside-2.csv").exists());
}

#[test]
fn files_may_be_large_and_not_larger() {
    let place = Desk::new();
    let desk = OpenDesk::open(&place);
    let large = vec![b' '; 2 << 20];
    assert_eq!(desk.status("POST /drop?name=a.json", "", &large), "200");
    // Only its length is sent: it is refused before it is read.
    let mut stream = TcpStream::connect(&desk.authority).unwrap();
    let (host, cookie) = (&desk.authority, &desk.cookie);
    let head = format!(
        "POST /drop HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nCookie: {cookie}\r\n\
         Content-Length: 33554433\r\n\r\n"
    );
    stream.write_all(head.as_bytes()).unwrap();
    let mut answer = String::new();
    let _ = stream.read_to_string(&mut answer);
    assert!(answer.starts_with("HTTP/1.1 413"), "{answer}");
}

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

#[test]
fn a_file_has_so_many_lines() {
    let most = slipwright::limits::LIMITS
        .iter()
        .find(|limit| limit.name == "lines of a file that is dropped on the desk");
    let most = usize::try_from(most.unwrap().most).unwrap();
    let place = Desk::new();
    place.sample("shop.yaml");
    let desk = OpenDesk::open(&place);
    let drop = |lines: usize| {
        let file = format!("Order,Name,Country\n7,Ada Fell,GB\n{}", "\n".repeat(lines - 2));
        desk.json("POST /drop?name=export.csv", file.as_bytes())
    };
    assert!(drop(most)["map"].is_string());
    let refused = &drop(most + 1)["taken"];
    assert_eq!(refused["exit"], 2);
    assert!(refused["remarks"][0]["message"].as_str().unwrap().contains("at most 50000 lines"));
}
