//! `--set-aside`, by the command itself: whatever is wrong with whichever orders, printed and set
//! aside make up the input. What was printed is read back from the PDF by lopdf, what was set aside
//! from its file by serde_json.

use std::collections::{BTreeSet, HashMap};
use std::fs;

use proptest::prelude::*;
use serde_json::{Value, json};
use slipwright::{Sources, read_orders};

use crate::command::Desk;

/// A label that says which orders it is for, and has much that can go wrong.
const LAYOUT: &str = r#"
page: {stock: 4x6in, inset: 4}
makes: label
type:
  to: {size: 12pt, smallest: 9pt}
body:
  down:
    - text: "{{ orders | map(attribute='id') | join('|') }}|"
    - address: ship_to
      type: to
      fit: shrink
      height: 34
    - tag: "{{ tag }}"
      height: 24
    - code128: "{{ parcel.id }}"
      height: 14
    - each: items
      show:
        text: "{{ item.qty }} × {{ item.title }}"
"#;

/// What is wrong with an order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fault {
    /// Nothing; most have none.
    None,
    /// A field that nobody knows is worth a warning and no more.
    UnknownField,
    PostcodeAsNumber,
    NegativeWeight,
    NoCountry,
    WrongCountry,
    NoCity,
    NoGlyph,
    LongAddress,
    TagTooLong,
    EqualTag,
    UnprintableCode,
    LongCode,
    DoubledId,
    NoId,
    WrongTracking,
    WrongGtin,
    NamelessItem,
    ItemsAsText,
    /// Not even a map.
    Number,
    /// A map of nothing.
    Empty,
    /// A key twice.
    DoubledKey,
}

use Fault as F;

/// The faults, good orders often enough that there is something to print.
fn any_fault() -> impl Strategy<Value = Fault> {
    prop_oneof![
        4 => Just(F::None),
        1 => Just(F::UnknownField),
        1 => Just(F::PostcodeAsNumber),
        1 => Just(F::NegativeWeight),
        1 => Just(F::NoCountry),
        1 => Just(F::WrongCountry),
        1 => Just(F::NoCity),
        1 => Just(F::NoGlyph),
        1 => Just(F::LongAddress),
        1 => Just(F::TagTooLong),
        2 => Just(F::EqualTag),
        1 => Just(F::UnprintableCode),
        1 => Just(F::LongCode),
        2 => Just(F::DoubledId),
        1 => Just(F::NoId),
        1 => Just(F::WrongTracking),
        1 => Just(F::WrongGtin),
        1 => Just(F::NamelessItem),
        1 => Just(F::ItemsAsText),
        1 => Just(F::Number),
        1 => Just(F::Empty),
        1 => Just(F::DoubledKey),
    ]
}

/// The three forms of an orders file.
#[derive(Clone, Copy, Debug)]
enum Form {
    Batch,
    List,
    Lines,
}

/// An order's text with a fault; `buyer` is one of few, so that orders meet.
fn write_order(index: usize, fault: Fault, buyer: usize) -> String {
    let title = ["Nib", "Ink", "Pen", "Case"][index % 4];
    let mut order = json!({
        "id": format!("TH-{index}"),
        "ship_to": {
            "name": format!("Ada {}", ["Marlow", "Heron", "Fell"][buyer]),
            "lines": [format!("{} Mill Lane", buyer + 1)],
            "city": "Ternmouth", "postcode": "TR77 4NH", "country": "GB",
        },
        "items": [{"title": title, "qty": 2}],
        "parcel": {"weight_g": 120},
        "hazard": "none",
        "note": format!("order {index} of the input"),
    });
    match fault {
        F::None | F::DoubledKey => {}
        F::UnknownField => order["colour"] = json!("green"),
        F::PostcodeAsNumber => order["ship_to"]["postcode"] = json!(4109),
        F::NegativeWeight => order["parcel"]["weight_g"] = json!(-5),
        F::NoCountry => drop(order["ship_to"].as_object_mut().unwrap().remove("country")),
        F::WrongCountry => order["ship_to"]["country"] = json!("UK"),
        F::NoCity => drop(order["ship_to"].as_object_mut().unwrap().remove("city")),
        F::NoGlyph => order["ship_to"]["name"] = json!("山田 花子"),
        F::LongAddress => order["ship_to"]["lines"] = json!(vec!["Upper Mill Lane"; 12]),
        F::TagTooLong => order["tag"] = json!("Tern".repeat(30)),
        F::EqualTag => order["tag"] = json!("Curlew"),
        F::UnprintableCode => order["id"] = json!(format!("TH-{index}-Ω")),
        F::LongCode => order["id"] = json!(format!("TH-{index}-{}", "Aa1".repeat(20))),
        F::DoubledId => order["id"] = json!("TH-0"),
        F::NoId => drop(order.as_object_mut().unwrap().remove("id")),
        F::WrongTracking => order["tracking"] = json!("RR473124820GB"),
        F::WrongGtin => order["items"][0]["gtin"] = json!("6291041500214"),
        F::NamelessItem => order["items"][0] = json!({"qty": 1}),
        F::ItemsAsText => order["items"] = json!("two nibs"),
        F::Number => return (1000 + index).to_string(),
        F::Empty => return format!("{{\"note \": \"{index}\"}}"),
    }
    let text = order.to_string();
    if fault == F::DoubledKey {
        return format!(
            "{},  \"apart\": false, \"apart\": false}}",
            text.strip_suffix('}').unwrap()
        );
    }
    text
}

/// Orders as a file.
fn write_file(orders: &[String], form: Form) -> String {
    match form {
        Form::Batch => format!("{{\"batch\": \"b\", \"orders\": [{}]}}", orders.join(",\n ")),
        Form::List => format!("[\n{}\n]", orders.join(", ")),
        Form::Lines => orders.join("\n"),
    }
}

/// The ids of all orders that a PDF has labels for.
fn printed_ids(desk: &Desk, name: &str) -> Vec<String> {
    if !desk.path(name).exists() {
        return Vec::new();
    }
    let document = lopdf::Document::load(desk.path(name)).unwrap();
    let mut ids = Vec::new();
    for page in document.get_pages().keys() {
        let text: String = document.extract_text(&[*page]).unwrap().split_whitespace().collect();
        let parts: Vec<&str> = text.split('|').collect();
        ids.extend(parts[..parts.len() - 1].iter().map(|id| (*id).to_owned()));
    }
    ids
}

/// One run with `--set-aside`: the exit code, and the file with the rest.
fn run(desk: &Desk, orders: &str, out: &str, rest: &str, combine: bool) -> (i32, String) {
    let mut arguments = vec!["render", orders, "--layout", "mine.yaml", "-o", out];
    arguments.extend(["--set-aside", rest]);
    arguments.extend(combine.then_some("--combine"));
    let output = desk.run(&arguments, b"");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    let rest = fs::read_to_string(desk.path(rest)).unwrap_or_else(|_| panic!("no rest: {said}"));
    (output.status.code().unwrap(), rest)
}

/// Checks a file of orders set aside: that both readers take it, that the orders are the input's to
/// the letter, and that each has reasons that name it. Returns their indexes in the input.
fn check_rest(rest: &str, orders: &[String]) -> Result<Vec<usize>, TestCaseError> {
    let value: Value = serde_json::from_str(rest).unwrap();
    let values: Vec<Value> =
        orders.iter().map(|order| serde_json::from_str(order).unwrap()).collect();
    let aside = value["orders"].as_array().unwrap();
    let mut indexes = Vec::new();
    for order in aside {
        let index = values.iter().position(|value| value == order);
        prop_assert!(index.is_some(), "not in the input: {}", order);
        indexes.extend(index);
    }
    prop_assert!(indexes.is_sorted() && indexes.windows(2).all(|pair| pair[0] != pair[1]));

    let mut sources = Sources::new();
    let file = sources.add("rest.json", rest);
    let read = read_orders(rest, file);
    prop_assert!(!read.findings.iter().any(|it| it.message.contains("set_aside")));
    let mut spans: Vec<_> = read.orders.iter().map(|order| order.span()).collect();
    spans.extend(read.bad.iter().map(|bad| bad.span));
    spans.sort_by_key(|span| span.start);
    let texts: Vec<&str> = spans.iter().map(|span| sources.slice(*span)).collect();
    prop_assert_eq!(texts, indexes.iter().map(|&index| &*orders[index]).collect::<Vec<_>>());

    let none = Vec::new();
    let entries = value["set_aside"].as_array().unwrap_or(&none);
    prop_assert_eq!(entries.len(), aside.len());
    for (index, (entry, order)) in entries.iter().zip(aside).enumerate() {
        prop_assert_eq!(&entry["path"], &json!(format!("orders[{index}]")));
        let reasons = entry["reasons"].as_array().unwrap();
        prop_assert!(!reasons.is_empty(), "no reason: {}", entry);
        prop_assert!(reasons.iter().all(|reason| reason["message"] != json!("")));
        if order["id"].is_string() {
            prop_assert_eq!(&entry["order"], &order["id"]);
        }
        for path in reasons.iter().filter_map(|reason| reason["path"].as_str()) {
            prop_assert!(path.starts_with(&format!("orders[{index}]")), "{}", path);
        }
    }
    Ok(indexes)
}

/// Whether an order can be told to be for its buyer, and sent like the buyer's other orders.
fn is_combinable(fault: Fault) -> bool {
    !matches!(
        fault,
        F::PostcodeAsNumber
            | F::NoCountry
            | F::WrongCountry
            | F::NoCity
            | F::NoGlyph
            | F::LongAddress
            | F::WrongTracking
            | F::Number
            | F::Empty
            | F::DoubledKey
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn printed_and_set_aside_make_up_the_input(
        faults in prop::collection::vec((any_fault(), 0..3_usize), 1..14),
        form in prop_oneof![Just(Form::Batch), Just(Form::List), Just(Form::Lines)],
        combine: bool,
    ) {
        let orders: Vec<String> = faults
            .iter()
            .enumerate()
            .map(|(index, &(fault, buyer))| write_order(index, fault, buyer))
            .collect();
        // A single map with nothing of an order, or with a key twice, may be a batch: that is a fault
        // of the file.
        prop_assume!(orders.len() > 1 || ![F::Empty, F::DoubledKey].contains(&faults[0].0));
        let desk = Desk::new();
        desk.put("mine.yaml", LAYOUT).put("orders.json", write_file(&orders, form));
        let (code, rest) = run(&desk, "orders.json", "out.pdf", "rest.json", combine);

        // Every order is on paper or in the file, never in both, never in neither.
        let aside = check_rest(&rest, &orders)?;
        prop_assert_eq!(code, i32::from(!aside.is_empty()));
        let printed = printed_ids(&desk, "out.pdf");
        let id_of = |order: &String| serde_json::from_str::<Value>(order).unwrap()["id"].clone();
        for (index, order) in orders.iter().enumerate() {
            let id = id_of(order);
            let times = printed.iter().filter(|it| id == json!(it)).count();
            prop_assert_eq!(times, usize::from(!aside.contains(&index)), "{}", order);
        }
        prop_assert_eq!(printed.len() + aside.len(), orders.len());
        let is_good = |fault| matches!(fault, F::None | F::UnknownField);
        let is_alone = |index: usize| {
            !combine && (index > 0 || faults.iter().all(|it| it.0 != F::DoubledId))
        };
        for (index, (fault, _)) in faults.iter().enumerate() {
            prop_assert!(!(is_good(*fault) && is_alone(index) && aside.contains(&index)));
        }

        // What would share a parcel is printed or set aside as a whole.
        if combine {
            let mut fates: HashMap<usize, BTreeSet<bool>> = HashMap::new();
            for (index, (fault, buyer)) in faults.iter().enumerate() {
                if is_combinable(*fault) {
                    fates.entry(*buyer).or_default().insert(aside.contains(&index));
                }
            }
            prop_assert!(fates.values().all(|fates| fates.len() == 1), "torn apart");
        }

        // Sent again as it is, all of it comes back, with reasons anew.
        if aside.is_empty() {
            return Ok(());
        }
        let (code, again) = run(&desk, "rest.json", "again.pdf", "again.json", combine);
        prop_assert_eq!(code, 1);
        prop_assert!(!desk.path("again.pdf").exists());
        prop_assert_eq!(check_rest(&again, &orders)?, aside);
    }
}

/// A kit of many documents: what is wrong for one of them is out of all.
#[test]
fn a_kit_and_what_is_set_aside_make_up_the_input() {
    let faults = [
        F::None,
        F::NoGlyph,
        F::EqualTag,
        F::UnknownField,
        F::NegativeWeight,
        F::EqualTag,
        F::NoCity,
        F::LongCode,
        F::NoId,
        F::None,
    ];
    let orders: Vec<String> = faults
        .iter()
        .enumerate()
        .map(|(index, &fault)| write_order(index, fault, index % 3))
        .collect();
    let desk = Desk::new();
    desk.sample("shop.yaml").put("orders.json", write_file(&orders, Form::Batch));
    let arguments = ["kit", "orders.json", "--to", "kit", "--set-aside", "rest.json"];
    let output = desk.run(&arguments, b"");
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{said}");

    let rest = fs::read_to_string(desk.path("rest.json")).unwrap();
    assert_eq!(check_rest(&rest, &orders).unwrap(), [1, 2, 4, 5, 6, 7, 8], "{said}");
    let printed = ["TH-0", "TH-3", "TH-9"];
    let record = fs::read_to_string(desk.path("kit/batch.json")).unwrap();
    let record: Value = serde_json::from_str(&record).unwrap();
    let parcels = record["parcels"].as_array().unwrap();
    let ids: Vec<&Value> = parcels.iter().map(|parcel| &parcel["orders"]).collect();
    assert_eq!(ids, printed.map(|id| json!([id])).iter().collect::<Vec<_>>());
    let labels = lopdf::Document::load(desk.path("kit/labels.pdf")).unwrap();
    let pages = labels.get_pages();
    assert_eq!(pages.len(), printed.len());
    for (page, id) in pages.keys().zip(printed) {
        let text: String = labels.extract_text(&[*page]).unwrap().split_whitespace().collect();
        assert!(text.contains(id), "{id}: {text}");
    }
}
