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
