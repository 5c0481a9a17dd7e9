//! Kits: what is in the folder, that it is all or nothing, and that parcels printed once more carry
//! the codes they had. Pages are drawn by hayro and read by rxing and lopdf.

use std::fs;
use std::path::Path;

use serde_json::{Value, json};
use slipwright::DotGrid;

use crate::command::Desk;
use crate::rasters::{draw_file, read_qr};

/// Runs the command with words, in a place with the samples.
fn sample_desk() -> Desk {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml");
    desk
}

/// Makes the kit `tonight` of the sample, and says what the command said.
fn make_tonight(desk: &Desk, more: &[&str]) -> String {
    let mut words = vec!["kit", "evening.json", "--to", "tonight", "--diagnostics", "short"];
    words.extend(more);
    String::from_utf8(desk.done(&words).stderr).unwrap()
}

/// A JSON file of the place.
pub(crate) fn json_of(desk: &Desk, name: &str) -> Value {
    serde_json::from_slice(&fs::read(desk.path(name)).unwrap()).unwrap()
}

/// The names of everything in a folder, in order.
pub(crate) fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name());
    let mut names: Vec<String> = entries.map(|name| name.into_string().unwrap()).collect();
    names.sort();
    names
}

/// What each page of a PDF says, words joined by single blanks.
pub(crate) fn texts(desk: &Desk, name: &str) -> Vec<String> {
    let document = lopdf::Document::load(desk.path(name)).unwrap();
    let pages: Vec<u32> = document.get_pages().into_keys().collect();
    let words = |page: &u32| {
        let text = document.extract_text(&[*page]).unwrap();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    pages.iter().map(words).collect()
}

/// What the QR code of each page of a PDF says.
fn payloads(desk: &Desk, name: &str) -> Vec<String> {
    let drawn = draw_file(fs::read(desk.path(name)).unwrap(), DotGrid::DPI_203);
    drawn.iter().map(read_qr).collect()
}

/// A field of every parcel in the record of the kit.
fn recorded(desk: &Desk, field: &str) -> Vec<String> {
    let record = json_of(desk, "tonight/batch.json");
    let parcels = record["parcels"].as_array().unwrap().iter();
    parcels.map(|parcel| parcel[field].as_str().unwrap().to_owned()).collect()
}

#[test]
fn a_kit_holds_everything_and_its_record_says_what_the_paper_says() {
    let desk = sample_desk();
    make_tonight(&desk, &["--combine"]);
    assert_eq!(
        names(&desk.path("tonight")),
        [
            "batch.json",
            "bench-cards.pdf",
            "customs-sheets.pdf",
            "findings.json",
            "handover-list.pdf",
            "inserts.pdf",
            "labels.pdf",
            "orders.json",
            "overview.pdf",
            "parcels.json",
            "shop.yaml",
            "slips.pdf"
        ]
    );
    let record = json_of(&desk, "tonight/batch.json");
    assert_eq!(record["combine"], json!(true));
    for document in record["documents"].as_array().unwrap() {
        let name = format!("tonight/{}", document["file"].as_str().unwrap());
        assert_eq!(texts(&desk, &name).len() as u64, document["pages"].as_u64().unwrap(), "{name}");
    }
    assert_eq!(payloads(&desk, "tonight/labels.pdf"), recorded(&desk, "label"));
    let labels = texts(&desk, "tonight/labels.pdf");
    assert_eq!(labels.len(), 11);
    for (label, (tag, pair)) in
        labels.iter().zip(recorded(&desk, "tag").iter().zip(recorded(&desk, "pair")))
    {
        assert!(label.contains(tag.as_str()) && label.contains(&pair), "{label}");
    }
    let overview = texts(&desk, "tonight/overview.pdf");
    assert_eq!(overview.len(), 1);
    for document in record["documents"].as_array().unwrap() {
        let file = document["file"].as_str().unwrap();
        assert!(file == "overview.pdf" || overview[0].contains(file), "{file}");
    }
    let found = json_of(&desk, "tonight/findings.json");
    assert_eq!((&found["errors"], &found["warnings"]), (&json!(0), &json!(0)));
    // A code and a QR on each label, a QR on each card; each with its grade.
    let codes = found["codes"].as_array().unwrap();
    assert_eq!(codes.len(), 33);
    assert!(codes.iter().all(|code| code["read"] == true && code["grade"].is_string()));
}

#[test]
fn the_same_orders_make_the_same_kit_on_any_number_of_threads() {
    let one = sample_desk();
    let two = sample_desk();
    make_tonight(&one, &["--threads", "1"]);
    make_tonight(&two, &["--threads", "2"]);
    for name in names(&one.path("tonight")) {
        let file = |desk: &Desk| fs::read(desk.path("tonight").join(&name)).unwrap();
        assert!(file(&one) == file(&two), "{name}");
    }
}

#[test]
fn parcels_printed_once_more_keep_their_codes_and_say_so() {
    let desk = sample_desk();
    make_tonight(&desk, &["--combine"]);
    let labels = payloads(&desk, "tonight/labels.pdf");
    let first = texts(&desk, "tonight/labels.pdf");
    assert!(first.iter().all(|text| !text.contains("reprint")));

    // Orders that came in since then, in front and behind, change nothing.
    let mut orders = json_of(&desk, "evening.json");
    let mut other = orders["orders"][4].clone();
    other["id"] = json!("TH-2000");
    other["tag"] = json!("Later");
    other["apart"] = json!(true);
    let list = orders["orders"].as_array_mut().unwrap();
    list.insert(0, other.clone());
    other["id"] = json!("TH-2001");
    other["tag"] = json!("Latest");
    list.push(other);
    desk.put("evening.json", orders.to_string());

    make_tonight(&desk, &["--only", "3,7-9,8"]);
    let wanted = [2, 6, 7, 8].map(|place| labels[place].clone());
    assert_eq!(payloads(&desk, "tonight/reprint-1/labels.pdf"), wanted);
    let again = texts(&desk, "tonight/reprint-1/labels.pdf");
    for (text, place) in again.iter().zip([2, 6, 7, 8]) {
        assert_eq!(text.replace(" reprint", ""), first[place]);
        assert!(text.contains("reprint"));
    }
    for name in ["bench-cards.pdf", "slips.pdf"] {
        let pages = texts(&desk, &format!("tonight/reprint-1/{name}"));
        assert!(pages.iter().all(|text| text.contains("reprint")), "{name}");
    }
    // What the buyer keeps for its own sake says nothing of it.
    let inserts = texts(&desk, "tonight/reprint-1/inserts.pdf");
    assert!(inserts.len() == 4 && inserts.iter().all(|text| !text.contains("reprint")));
    assert_eq!(
        names(&desk.path("tonight/reprint-1")),
        [
            "bench-cards.pdf",
            "customs-sheets.pdf",
            "findings.json",
            "inserts.pdf",
            "labels.pdf",
            "reprint.json",
            "slips.pdf"
        ]
    );
    make_tonight(&desk, &["--only", "1"]);
    assert!(desk.path("tonight/reprint-2/labels.pdf").is_file());
    // A kit with reprints in it may still be replaced.
    make_tonight(&desk, &["--replace"]);
    assert!(!desk.path("tonight/reprint-1").exists());
}

#[test]
fn pages_come_in_the_order_that_is_asked_for() {
    let desk = sample_desk();
    make_tonight(&desk, &["--order", "reversed"]);
    let mut labels = recorded(&desk, "label");
    labels.reverse();
    assert_eq!(payloads(&desk, "tonight/labels.pdf"), labels);
    // The shop file may say it once for all; the command has the last word.
    let shop = fs::read_to_string(desk.path("shop.yaml")).unwrap();
    desk.put("shop.yaml", shop.replace("\nkit:\n", "\nkit:\n  order: reversed\n  inserts: none\n"));
    desk.done(&["render", "evening.json", "-o", "labels.pdf"]);
    assert_eq!(payloads(&desk, "labels.pdf"), labels);
    desk.done(&["render", "evening.json", "--order", "bench", "--only", "12,2", "-o", "two.pdf"]);
    assert_eq!(payloads(&desk, "two.pdf"), [&*labels[10], &*labels[0]]);
    make_tonight(&desk, &["--replace"]);
    assert!(!desk.path("tonight/inserts.pdf").exists());
}

#[test]
fn a_kit_that_fails_leaves_everything_as_it_was() {
    let desk = sample_desk();
    make_tonight(&desk, &[]);
    let before = fs::read(desk.path("tonight/labels.pdf")).unwrap();
    let mut orders = json_of(&desk, "evening.json");
    // Only the slips have this word, and no font has the character.
    orders["orders"][3]["items"][0]["title"] = json!("Nib \u{13000}");
    desk.put("evening.json", orders.to_string());
    let all = names(desk.path("tonight").parent().unwrap());
    for words in [
        &["kit", "evening.json", "--to", "tonight", "--replace"][..],
        &["kit", "evening.json", "--to", "new"],
    ] {
        let run = desk.run(words, b"");
        assert_eq!(run.status.code(), Some(1));
    }
    assert_eq!(names(desk.path("tonight").parent().unwrap()), all, "nothing is left behind");
    assert!(fs::read(desk.path("tonight/labels.pdf")).unwrap() == before);

    let run = desk.run(&["kit", "evening.json", "--to", "new", "--set-aside", "rest.json"], b"");
    assert_eq!(run.status.code(), Some(1));
    assert_eq!(payloads(&desk, "new/labels.pdf").len(), 11);
    assert!(texts(&desk, "new/overview.pdf")[0].contains("1 order was set aside"));
    let rest = json_of(&desk, "rest.json");
    assert_eq!(rest["orders"].as_array().unwrap().len(), 1);
    // The kit prints again from the orders it was made from, the faulty one among them.
    let run = desk.run(&["kit", "evening.json", "--to", "new", "--only", "4"], b"");
    assert_eq!(run.status.code(), Some(0), "{}", String::from_utf8_lossy(&run.stderr));
    let label = &payloads(&desk, "new/labels.pdf")[3];
    assert_eq!(payloads(&desk, "new/reprint-1/labels.pdf"), [label.as_str()]);
}

#[test]
fn parcels_that_leave_the_country_get_a_customs_sheet_where_the_shop_wants_it() {
    let desk = sample_desk();
    let shop = fs::read_to_string(desk.path("shop.yaml")).unwrap();
    make_tonight(&desk, &[]);
    let orders = json_of(&desk, "evening.json");
    let orders = orders["orders"].as_array().unwrap().iter();
    let abroad = orders.filter(|order| order["ship_to"]["country"] != "GB").count();
    assert_eq!(texts(&desk, "tonight/customs-sheets.pdf").len(), abroad);
    desk.put("shop.yaml", shop.replace("customs_sheets: customs-sheet-a5", "customs_sheets: none"));
    make_tonight(&desk, &["--replace"]);
    assert!(!desk.path("tonight/customs-sheets.pdf").exists());
}
