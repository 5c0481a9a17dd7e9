//! An evening of the sample shop with its sixty orders, from the export to the counter, and the next
//! evening: every order goes once, or waits, or is taken off.

use std::collections::BTreeMap;

use serde_json::Value;

use crate::evening_support::Evening;

/// A desk with the sample shop's files.
fn sample_shop() -> Evening {
    let evening = Evening::new();
    for name in [
        "shop.yaml",
        "sitting.csv",
        "sitting-late.csv",
        "sitting-map.yaml",
        "sitting-weights.txt",
        "sitting-dispatch.yaml",
    ] {
        evening.desk.sample(name);
    }
    evening
}

/// The parcels of the open line.
fn line(evening: &Evening) -> Vec<Value> {
    evening.answers("list line")["parcels"].as_array().unwrap().clone()
}

/// Scans that match every parcel that is still to go, card first, then label.
fn scans(evening: &Evening) -> String {
    let answer = evening.answers("list line");
    let key = answer["sitting"]["key"].as_str().unwrap();
    let parcels = answer["parcels"].as_array().unwrap().iter();
    let printed = parcels.filter(|parcel| parcel["state"] == "printed");
    let codes = printed.map(|parcel| {
        let (pair, number) = (parcel["pair"].as_str().unwrap(), &parcel["number"]);
        let papers = parcel["papers"].as_array().unwrap();
        let scan = |(side, document): (&str, &str)| {
            let paper = papers.iter().find(|paper| paper["document"] == document).unwrap();
            let printing = paper["printing"].as_u64().map(|it| it.to_string()).unwrap_or_default();
            format!("SW/{side}{printing}/{pair}/{number}-58/{key}\n")
        };
        [("C", "bench-cards"), ("L", "labels")].map(scan).concat()
    });
    codes.collect()
}

/// How many orders are in each state.
fn states(evening: &Evening) -> BTreeMap<String, usize> {
    let mut states = BTreeMap::new();
    for what in ["waiting", "held-back", "sent", "taken-off"] {
        let answer = evening.answers(&format!("list {what}"));
        states.insert(what.to_owned(), answer["orders"].as_array().unwrap().len());
    }
    states
}

#[test]
fn sixty_orders_from_the_export_to_the_counter() {
    let evening = sample_shop();
    evening.says("take-in sitting.csv --map sitting-map.yaml");
    evening.says("line-up --all --combine --sitting Sunday");
    evening.says("note --weights sitting-weights.txt");
    evening.says("print --to sunday --no-proof");
    let before = line(&evening);
    // A late order, a new address, a cancelled order, a weight: only what they change is printed.
    evening.says("take-in sitting-late.csv --map sitting-map.yaml");
    evening.says("line-up TH-1161");
    evening.says("take-off 3 --because cancelled");
    evening.says("note 7 --weight 268");
    let answer = evening.answers("print --no-proof");
    let printed: Vec<(u64, &str)> = answer["prints"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| (it["number"].as_u64().unwrap(), it["why"].as_str().unwrap()))
        .collect();
    assert_eq!(printed, [(4, "out of date"), (7, "out of date"), (58, "late")]);
    let after = line(&evening);
    for (was, is) in before.iter().zip(&after) {
        for field in ["number", "place", "tag", "pair"] {
            assert_eq!(was[field], is[field]);
        }
    }
    // Every pair is scanned, and all that are matched go.
    let scans = scans(&evening);
    assert_eq!(scans.lines().count(), 2 * 57);
    evening.says_of("match", &scans);
    evening.says("hand-over --all-matched");
    evening.says("print --list hand-over");
    evening.says("close");
    evening.says("tell-shop --map sitting-dispatch.yaml -o sent.csv");
    let sent = std::fs::read_to_string(evening.desk.path("sent.csv")).unwrap();
    assert_eq!(sent.lines().count(), 1 + 60, "61 orders, one of them cancelled");
    let told = [("held-back", 0), ("sent", 60), ("taken-off", 1), ("waiting", 0)];
    let told: BTreeMap<String, usize> =
        told.iter().map(|(what, count)| ((*what).to_owned(), *count)).collect();
    assert_eq!(states(&evening), told);
    // The next evening the export lists them all once more.
    let said = evening.says("take-in sitting.csv --map sitting-map.yaml");
    assert!(said.starts_with("60 orders: 60 gone before\n"), "{said}");
    assert!(said.contains("TH-1103: taken off: cancelled on 2026-11-27\n"), "{said}");
    let changed = "changed since: ship_to.lines[0] was `19 Fulmar Street`, is `9 Fulmar Street`";
    assert!(said.contains(changed), "{said}");
    assert_eq!(evening.says("line-up --all"), "no order waits: nothing is lined up\n");
    assert_eq!(states(&evening), told);
}
