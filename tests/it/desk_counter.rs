//! The desk at the counter: what is taken back and whose it was, the list on paper, the shop's table, and what
//! helps, told as a page has it.

use serde_json::{Value, json};

use crate::desk_support::{OpenDesk, prepared};

/// What the ledger calls the last act.
fn last_act(desk: &OpenDesk) -> Value {
    desk.json("GET /state", b"")["line"]["answer"]["last_act"].clone()
}

#[test]
fn what_undo_would_take_back_is_told_with_whose_it_is() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    desk.act("line-up", json!({"orders": ["TH-1041"], "request": "here-1"}));
    let mine = last_act(&desk);
    assert_eq!(mine["request"], "here-1");
    assert!(mine["says"][0].as_str().unwrap().contains("is lined up: TH-1041"), "{mine:#}");
    // Another station is quicker: what it did is not taken back by who has not seen it.
    place.done(&["ledger", "line-up", "TH-1042"]);
    let refused = desk.act("undo", json!({"only": mine["act"]}));
    assert_eq!(
        (&refused["exit"], &refused["remarks"][0]["severity"]),
        (&json!(1), &json!("error"))
    );
    let theirs = last_act(&desk);
    assert_eq!((&theirs["request"], &theirs["by"]), (&Value::Null, &json!("ledger line-up")));
    let taken = desk.act("undo", json!({"only": theirs["act"]}));
    assert_eq!(taken["answer"]["says"], theirs["says"]);
    assert_eq!(last_act(&desk), mine);
    // What was printed is on paper: there is nothing that could be taken back.
    desk.act("print", json!({}));
    assert_eq!(last_act(&desk), Value::Null);
}

#[test]
fn the_list_for_the_counter_is_made_as_things_are() {
    let place = prepared();
    place.done(&["ledger", "line-up", "TH-1041", "TH-1042"]);
    place.done(&["ledger", "print", "--no-proof"]);
    place.done(&["ledger", "match", "--by-eye", "1"]);
    let desk = OpenDesk::open(&place);
    let made = desk.json("POST /counter-list", b"{}");
    assert_eq!((&made["exit"], &made["document"]), (&json!(0), &json!("lists/handover-list.pdf")));
    let list = desk.ask("GET /papers/lists/handover-list.pdf", "", b"");
    assert!(list.contains("Content-Type: application/pdf") && list.contains("%PDF-"));
    // Made once more it takes the place of the one before, and no kit's record is disturbed.
    desk.act("match", json!({"by-eye": ["2"]}));
    assert_eq!(desk.json("POST /counter-list", b"{}")["exit"], 0);
    for path in ["lists/../shop.yaml", "lists/slipwright.ledger", "lists/other.pdf", "lists/"] {
        assert_eq!(desk.status(&format!("GET /papers/{path}"), "", b""), "404", "{path}");
    }
    desk.act("close", json!({"leave": "no time"}));
    let closed = desk.json("POST /counter-list", b"{}");
    assert!(closed["exit"] != 0 && closed["document"].is_null(), "{closed:#}");
}

#[test]
fn a_list_is_found_in_no_folder_that_leads_elsewhere() {
    let place = prepared();
    let elsewhere = prepared();
    elsewhere.put("secret.pdf", "%PDF-");
    std::os::unix::fs::symlink(elsewhere.path(""), place.path("lists")).unwrap();
    let desk = OpenDesk::open(&place);
    assert_eq!(desk.status("GET /papers/lists/secret.pdf", "", b""), "404");
}

#[test]
fn the_shops_table_is_proposed_after_its_export() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    let map = desk.json("GET /shop-map", b"")["map"].clone();
    assert_eq!(
        map,
        "fields:\n  id: Order number\n  tracking: Tracking number\n  service: Carrier\n  date: Shipped on\n"
    );
    let german = "separator: semicolon\ndates: d.m.y\nfields:\n  id: Bestellnr.\n  ship_to.name: Nachname\n  \
                  ship_to.country: Land\n  ship_to.city: Ort\n  items.qty: Menge\n";
    place.put("export-map.yaml", german);
    let map = desk.json("GET /shop-map", b"")["map"].as_str().unwrap().to_owned();
    place.done(&["ledger", "line-up", "TH-1041"]);
    place.done(&["ledger", "print", "--no-proof", "--at", "2026-11-27T18:30+01:00"]);
    place.done(&["ledger", "match", "--by-eye", "1"]);
    place.done(&["ledger", "hand-over", "1", "--at", "2026-11-27T19:00+01:00"]);
    let told = desk.json("POST /tell-shop", json!({"map": map}).to_string().as_bytes());
    let table = desk.ask(&format!("GET /tables/{}", told["table"].as_str().unwrap()), "", b"");
    let (_, text) = table.split_once("\r\n\r\n").unwrap();
    let (head, row) = text.split_once("\r\n").unwrap();
    assert_eq!(head, "Bestellnr.;Sendungsnummer;Versandart;Versanddatum");
    assert!(row.starts_with("TH-1041;;") && row.ends_with(";27.11.2026\r\n"), "{text}");
}

#[test]
fn what_helps_is_told_as_a_page_has_it() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    let mut hints = Vec::new();
    let mut ask = |verb: &str, given: Value| {
        let refused = desk.act(verb, given);
        assert_ne!(refused["exit"], 0, "{verb}");
        for remark in refused["remarks"].as_array().unwrap() {
            hints.extend(remark["hints"].as_array().into_iter().flatten().cloned());
        }
    };
    ask("undo", json!({}));
    ask("hand-over", json!({"all-matched": true}));
    desk.act("line-up", json!({"orders": ["TH-1041", "TH-1042"]}));
    ask("hand-over", json!({"numbers": [1]}));
    ask("line-up", json!({"orders": ["TH-1041"]}));
    ask("line-up", json!({"orders": ["TH-9"]}));
    ask("take-off", json!({"what": ["9"], "because": "x"}));
    ask("part", json!({"number": 1, "order": "TH-1041"}));
    ask("line-up", json!({"orders": ["TH-1043"], "sitting": "another"}));
    ask("close", json!({}));
    ask("undo", json!({"only": 1}));
    assert!(hints.len() >= 6, "{hints:#?}");
    for hint in &hints {
        let hint = hint.as_str().unwrap();
        assert!(!hint.contains("slipwright ") && !hint.contains("`--"), "{hint}");
    }
    assert!(hints.contains(&json!("close the sitting first, on the page Hand over")), "{hints:#?}");
}
