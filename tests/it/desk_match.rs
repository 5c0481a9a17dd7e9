//! Matching at the desk without a browser: scans one by one, and what a camera sees.

use serde_json::{Value, json};
use slipwright::verify::print_page;
use slipwright::{DotGrid, FontBook};

use crate::camera_support::{Exposure, HeldPaper, take_picture};
use crate::command::Desk;
use crate::desk_support::{OpenDesk, prepared};
use crate::sample_pages::sample_pages;

/// A place with twelve orders in a line whose papers are printed.
fn printed() -> Desk {
    let place = prepared();
    place.done(&["ledger", "line-up", "--all", "--combine"]);
    place.done(&["ledger", "print", "--to", "tonight"]);
    place
}

/// The codes of a parcel: its bench card's and its label's.
fn codes(desk: &OpenDesk, number: u64) -> [String; 2] {
    let state = desk.json("GET /state", b"");
    let line = &state["line"]["answer"];
    let parcels = line["parcels"].as_array().unwrap();
    let parcel = parcels.iter().find(|it| it["number"] == number).unwrap();
    let (pair, key) = (parcel["pair"].as_str().unwrap(), line["sitting"]["key"].as_str().unwrap());
    ["C", "L"].map(|side| format!("SW/{side}/{pair}/{number}-{}/{key}", parcels.len()))
}

/// Scans, with what the answer before left open.
fn scan(desk: &OpenDesk, text: &str, before: &Value) -> Value {
    let given = json!({"scan": text, "held": before["held"], "after": before["after"]});
    desk.act("match", given)["answer"].clone()
}

/// The word for what a scan came to.
fn word(answer: &Value) -> &str {
    answer["verdicts"][0]["verdict"].as_str().unwrap()
}

#[test]
fn scans_go_on_where_the_answer_before_ended() {
    let place = printed();
    let mut desk = OpenDesk::open(&place);
    let [card, label] = codes(&desk, 1);
    let half = scan(&desk, &card, &Value::Null);
    assert_eq!(word(&half), "half");
    // The half that waits is the page's to remember: another start of the desk goes on with it.
    drop(std::mem::replace(&mut desk, OpenDesk::open(&place)));
    let right = scan(&desk, &label, &half);
    assert_eq!((word(&right), &right["after"]), ("right", &json!(1)));
    assert_eq!(word(&scan(&desk, "RR473124829GB", &right)), "tracking");
    let [card, _] = codes(&desk, 2);
    let [_, other] = codes(&desk, 3);
    let wrong = scan(&desk, &other, &scan(&desk, &card, &Value::Null));
    assert_eq!(word(&wrong), "wrong");
    let numbers = wrong["verdicts"][0]["two"].as_array().unwrap().iter();
    assert_eq!(numbers.map(|half| half["number"].clone()).collect::<Vec<_>>(), [3, 2]);
    assert_eq!(word(&scan(&desk, "finish", &Value::Null)), "incomplete");
    // The tracking number was the last thing that was done, and the match is before it.
    assert_eq!(word(&scan(&desk, "undo", &Value::Null)), "undone");
    assert_eq!(word(&scan(&desk, "undo", &Value::Null)), "undone");
    assert_eq!(word(&scan(&desk, "undo", &Value::Null)), "refused");
}

/// What the desk reads in a picture.
fn look(desk: &OpenDesk, width: u32, pixels: &[u8]) -> Value {
    desk.json(&format!("POST /match/frame?width={width}"), pixels)["codes"].clone()
}

#[test]
fn a_picture_is_read_on_this_machine() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    let pages = sample_pages("bench-card", DotGrid::DPI_203);
    let dots = print_page(&pages[0], &FontBook::builtin(), 0);
    let card = HeldPaper {
        dots: &dots,
        per_mm: 8.0,
        middle: [0.0, 0.0],
        distance: 300.0,
        turn: 10.0,
        tilt: 0.0,
        aside: 0.0,
    };
    let picture = take_picture(&[card], Exposure { blur: 0.5, shade: 0.5, noise: 8 });
    let codes = look(&desk, picture.width, &picture.pixels);
    assert!(codes[0]["text"].as_str().unwrap().starts_with("SW/C/"), "{codes}");
    assert_eq!(codes[0]["corners"].as_array().unwrap().len(), 4);
    assert_eq!(look(&desk, 4, &[255; 16]), json!([]));
}

#[test]
fn what_is_no_picture_is_refused() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    for (query, bytes, status) in [
        ("?width=7", 16, "400"),
        ("?width=0", 16, "400"),
        ("?width=-4", 16, "400"),
        ("?width=99999999999", 16, "400"),
        ("", 16, "400"),
        ("?width=4", 0, "400"),
        ("?width=1920", 1920 * 1080, "200"),
        ("?width=1920", 1920 * 1081, "413"),
    ] {
        let line = format!("POST /match/frame{query}");
        assert_eq!(desk.status(&line, "", &vec![255; bytes]), status, "{query} {bytes}");
    }
    let elsewhere = "Sec-Fetch-Site: cross-site\r\n";
    assert_eq!(desk.status("POST /match/frame?width=4", elsewhere, &[255; 16]), "403");
}
