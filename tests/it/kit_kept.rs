//! What a kit keeps besides its papers: the list of its parcels, the orders and the shop file; and
//! that it is printed from again with them. Also that a whole kit can be checked, and that letters
//! which no font has stop what they are in and nothing else.

use std::fs;

use serde_json::{Value, json};

use slipwright::BatchOptions;
use slipwright::kit::{KitParcel, KitRecord};

use crate::command::Desk;
use crate::kit::{json_of, texts};
use crate::sample_pages::sample_batch;

/// A place with the samples.
fn sample_desk() -> Desk {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml");
    desk
}

/// What the command says on standard error, done or not, with its exit code.
fn said(desk: &Desk, words: &[&str]) -> (i32, String) {
    let output = desk.run(words, b"");
    (output.status.code().unwrap(), String::from_utf8(output.stderr).unwrap())
}

/// A validator of a schema that the command prints.
pub(crate) fn schema_of(name: &str) -> jsonschema::Validator {
    let schema: Value =
        serde_json::from_slice(&Desk::new().done(&["schema", name]).stdout).unwrap();
    jsonschema::draft202012::new(&schema).unwrap()
}

/// The sample's orders after a change of the order at a place.
fn changed(desk: &Desk, place: usize, change: impl Fn(&mut Value)) -> String {
    let mut orders = json_of(desk, "evening.json");
    change(&mut orders["orders"][place]);
    orders.to_string()
}

#[test]
fn a_kit_keeps_its_parcels_orders_and_shop_file() {
    let desk = sample_desk();
    desk.done(&["kit", "evening.json", "--combine", "--to", "tonight"]);
    for (kept, from) in [("orders.json", "evening.json"), ("shop.yaml", "shop.yaml")] {
        let kept = fs::read(desk.path("tonight").join(kept)).unwrap();
        assert!(kept == fs::read(desk.path(from)).unwrap(), "{from} to the byte");
    }
    let list = json_of(&desk, "tonight/parcels.json");
    let faults: Vec<String> =
        schema_of("parcels").iter_errors(&list).map(|error| error.to_string()).collect();
    assert!(faults.is_empty(), "{faults:?}");
    let record = json_of(&desk, "tonight/batch.json");
    let (parcels, known) = (list["parcels"].as_array().unwrap(), &record["parcels"]);
    assert_eq!(parcels.len(), 11);
    for (parcel, known) in parcels.iter().zip(known.as_array().unwrap()) {
        for name in ["position", "orders", "tag", "pair"] {
            assert_eq!(parcel[name], known[name]);
        }
    }
    let second = &parcels[1];
    assert_eq!(second["orders"], json!(["TH-1042", "TH-1048"]));
    assert_eq!((&second["id"], &second["weight_g"]), (&json!("TH-1042"), &json!(131)));
    assert_eq!(second["country"], "DE");
}

#[test]
fn a_kit_is_printed_again_from_what_it_keeps() {
    let desk = sample_desk();
    desk.done(&["kit", "evening.json", "--combine", "--to", "tonight"]);
    let first = texts(&desk, "tonight/labels.pdf");
    // Tomorrow's export has other orders, and the shop has moved.
    desk.put("evening.json", "[]").put("shop.yaml", "name: Elsewhere\n");
    let (code, told) = said(&desk, &["kit", "--to", "tonight", "--only", "2"]);
    assert_eq!(code, 0, "{told}");
    assert!(!told.contains("warning["), "{told}");
    let again = texts(&desk, "tonight/reprint-1/labels.pdf");
    assert_eq!(again[0].replace(" reprint", ""), first[1]);
}

#[test]
fn what_differs_from_what_was_printed_is_told() {
    let desk = sample_desk();
    desk.done(&["kit", "evening.json", "--to", "tonight"]);
    let text = changed(&desk, 0, |order| {
        order["parcel"]["weight_g"] = json!(420);
        order["items"][0]["qty"] = json!(2);
        order["service"] = json!("tracked parcel");
    });
    desk.put("new.json", text);
    let (code, told) = said(&desk, &["kit", "new.json", "--to", "tonight", "--only", "1,2"]);
    assert_eq!(code, 0, "{told}");
    assert!(told.contains("warning[parcel-differs-from-kit]"), "{told}");
    for line in ["in the kit, 420 now", "items[0].qty: ", " in the kit, 2 now", "service: "] {
        assert!(told.contains(line), "{line}: {told}");
    }
    assert_eq!(told.matches("parcel-differs-from-kit").count(), 1, "the other is as it was");
    assert!(!told.contains("shop-differs-from-kit"), "{told}");

    let shop = fs::read_to_string(desk.path("shop.yaml")).unwrap();
    desk.put("shop.yaml", format!("{shop}\n# another line\n"));
    let (_, told) = said(&desk, &["kit", "evening.json", "--to", "tonight", "--only", "2"]);
    assert!(told.contains("warning[shop-differs-from-kit]"), "{told}");
}

#[test]
fn every_parcel_that_differs_is_told_with_all_that_does() {
    let desk = sample_desk();
    // With tags of the seller's own, since made ones follow the goods.
    let mut orders = json_of(&desk, "evening.json");
    for (place, tag) in [(0, "Quillon"), (1, "Marabu"), (2, "Fennel")] {
        orders["orders"][place]["tag"] = json!(tag);
    }
    desk.put("evening.json", orders.to_string());
    desk.done(&["kit", "evening.json", "--to", "tonight"]);
    orders["orders"][0]["items"][0]["price"] = json!("146.00");
    orders["orders"][2]["items"].as_array_mut().unwrap().pop();
    desk.put("new.json", orders.to_string());
    let (code, told) = said(&desk, &["kit", "new.json", "--to", "tonight", "--only", "1,2,3"]);
    assert_eq!(code, 0, "{told}");
    assert_eq!(told.matches("[parcel-differs-from-kit]").count(), 2, "{told}");
    assert!(told.contains("items[0].price: `145.00` in the kit, `146.00` now"), "{told}");
    let gone = told.lines().find(|line| line.contains("items[1]: ")).unwrap();
    assert!(gone.ends_with(" in the kit, none now"), "{gone}");
}

/// An order of the kit that cannot be read any more is no reason to print without it; one that was
/// never in the kit is nobody's business.
#[test]
fn an_order_of_the_kit_that_cannot_be_read_stops_a_reprint() {
    let desk = sample_desk();
    let mut orders = json_of(&desk, "evening.json");
    let other = orders["orders"].as_array_mut().unwrap().pop().unwrap();
    desk.put("first.json", orders.to_string());
    desk.done(&["kit", "first.json", "--to", "tonight"]);
    let mut spoilt = other;
    spoilt["ship_to"]["postcode"] = json!(17);
    orders["orders"].as_array_mut().unwrap().push(spoilt);
    desk.put("new.json", orders.to_string());
    let (code, told) = said(&desk, &["kit", "new.json", "--to", "tonight", "--only", "2"]);
    assert_eq!(code, 0, "{told}");
    orders["orders"][0]["ship_to"]["postcode"] = json!(17);
    desk.put("new.json", orders.to_string());
    let (code, told) = said(&desk, &["kit", "new.json", "--to", "tonight", "--only", "2"]);
    assert_eq!(code, 2, "{told}");
    assert!(told.contains("at `orders[0].ship_to.postcode`"), "{told}");
}

/// Everything that makes a printed card and a new label no pair.
#[test]
fn a_parcel_with_another_code_on_its_label_or_card_is_another() {
    let (batch, _) = sample_batch();
    let record = KitRecord::new(&batch, BatchOptions::default(), Vec::new());
    assert_eq!(record.differs(&batch, 0), None);
    let changes: [fn(&mut KitParcel); 5] = [
        |parcel| parcel.orders.push("TH-1".to_owned()),
        |parcel| parcel.tag.push('x'),
        |parcel| parcel.pair.push('x'),
        |parcel| parcel.label.push('x'),
        |parcel| parcel.card.push('x'),
    ];
    for change in changes {
        let mut record = record.clone();
        change(&mut record.parcels[0]);
        assert!(record.differs(&batch, 0).is_some());
        assert_eq!(record.differs(&batch, 1), None);
    }
}

#[test]
fn documents_are_called_what_they_are() {
    let desk = sample_desk();
    desk.done(&["kit", "evening.json", "--to", "tonight"]);
    for (file, title) in [
        ("labels.pdf", "labels"),
        ("bench-cards.pdf", "bench cards"),
        ("slips.pdf", "packing slips"),
        ("inserts.pdf", "inserts"),
        ("customs-sheets.pdf", "customs sheets"),
        ("handover-list.pdf", "handover list"),
        ("overview.pdf", "overview"),
    ] {
        let document = lopdf::Document::load(desk.path("tonight").join(file)).unwrap();
        let info = document.trailer.get(b"Info").and_then(|it| it.as_reference()).unwrap();
        let info = document.get_dictionary(info).unwrap();
        let found = info.get(b"Title").and_then(|it| it.as_str()).unwrap();
        let found: String = String::from_utf8_lossy(found).replace(['\0', '\u{fffd}'], "");
        assert!(found.ends_with(&format!("Tern Hollow Pens: {title}")), "{file}: {found:?}");
    }
}

#[test]
fn a_whole_kit_can_be_checked() {
    let desk = sample_desk();
    let (code, told) = said(&desk, &["check", "evening.json", "--combine", "--kit"]);
    assert_eq!(code, 0, "{told}");
    assert!(!desk.path("tonight").exists());
    // Labels do not name the goods; cards and slips do.
    let text = changed(&desk, 3, |order| order["items"][0]["title"] = json!("Nib \u{5099}"));
    desk.put("new.json", text);
    assert_eq!(said(&desk, &["check", "new.json"]).0, 0);
    let (code, told) = said(&desk, &["check", "new.json", "--kit"]);
    assert_eq!(code, 1, "{told}");
    assert!(told.contains("missing-glyph"), "{told}");
}

#[test]
fn a_letter_without_a_glyph_stops_its_order_and_names_its_field() {
    let desk = sample_desk();
    let text = changed(&desk, 3, |order| order["items"][0]["title"] = json!("Nib \u{5099}"));
    desk.put("new.json", text);
    let (code, told) = said(&desk, &["kit", "new.json", "--to", "tonight"]);
    assert_eq!(code, 1, "{told}");
    assert!(told.contains("at `items[0].title`"), "{told}");
    assert!(told.contains("it stands in order `TH-1044` here"), "{told}");
    let rescue = ["kit", "new.json", "--to", "tonight", "--set-aside", "rest.json"];
    let (code, told) = said(&desk, &rescue);
    assert_eq!(code, 1, "{told}");
    assert!(told.contains("11 parcels in `tonight`"), "{told}");
    let rest = json_of(&desk, "rest.json");
    assert_eq!(rest["orders"].as_array().unwrap().len(), 1);
    assert_eq!(rest["orders"][0]["id"], "TH-1044");
}

#[test]
fn our_own_pages_write_such_letters_by_their_numbers() {
    let desk = sample_desk();
    let text = changed(&desk, 3, |order| order["备注"] = json!("x"));
    desk.put("new.json", text);
    let (code, told) = said(&desk, &["kit", "new.json", "--to", "tonight"]);
    assert_eq!(code, 0, "{told}");
    let overview = texts(&desk, "tonight/overview.pdf").join(" ");
    assert!(overview.contains("U+5907U+6CE8"), "{overview}");
}

/// Nothing known of the parcel has changed, but its slip's layout has: the digest of its pages tells.
#[test]
fn a_changed_layout_is_told_when_a_parcel_is_printed_again() {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml");
    let shop = fs::read_to_string(desk.path("shop.yaml")).unwrap();
    desk.put("shop.yaml", shop.replace("kit:\n", "kit:\n  slips: mine.yaml\n"));
    let layout = |size: &str| {
        format!(
            "page: {{stock: a5, inset: 10}}\nmakes: slip\ntype: {{big: {{size: {size}}}}}\nbody: {{text: \"{{{{ tag }}}}\", type: big}}\n"
        )
    };
    desk.put("mine.yaml", layout("20pt"));
    desk.done(&["kit", "evening.json", "--combine", "--to", "tonight"]);
    let again = ["kit", "--to", "tonight", "--only", "2", "--diagnostics", "short"];
    let said = |output: std::process::Output| String::from_utf8(output.stderr).unwrap();
    let same = said(desk.done(&again));
    assert!(!same.contains("papers-differ-from-kit"), "{same}");
    desk.put("mine.yaml", layout("21pt"));
    let told = said(desk.done(&again));
    let line = "the slips of parcel `TH-1042 + TH-1048` are not as they were in the kit";
    assert!(told.contains("papers-differ-from-kit") && told.contains(line), "{told}");
}
