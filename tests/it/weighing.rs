//! What batches make of the shop's rules: laws that hold for any orders and packs, and the report
//! of `weigh --json` against its schema.

use std::sync::Arc;

use proptest::prelude::*;
use serde_json::{Value, json};
use slipwright::batch::Parcel;
use slipwright::parcel::Mass;
use slipwright::{Batch, BatchOptions, Order, Shop, Sources, read_orders};

use crate::command::Desk;

/// A shop with some sections of its file, as JSON, which is YAML too.
fn shop(sections: Value) -> Shop {
    let mut file = json!({
        "name": "Tern Hollow Pens",
        "address": {"lines": ["7 Saltings Lane"], "city": "Ternmouth", "country": "GB"},
        "currency": "GBP",
    });
    file.as_object_mut().unwrap().extend(sections.as_object().unwrap().clone());
    let mut sources = Sources::new();
    let id = sources.add("shop.yaml", file.to_string());
    let mut found = Vec::new();
    let shop = Shop::read(sources.get(id).text(), id, &mut found);
    shop.unwrap_or_else(|| panic!("{found:?}"))
}

/// Orders of these items, all to one buyer.
fn orders(items: &[Vec<Value>]) -> Vec<Order> {
    let buyer = json!({"name": "Ada Marlow", "lines": ["1 Row"], "city": "Quay", "country": "GB"});
    let orders: Vec<Value> = items
        .iter()
        .enumerate()
        .map(|(index, items)| {
            json!({"id": format!("T{index}"), "ship_to": buyer, "items": items, "hazard": "none"})
        })
        .collect();
    let text = Value::from(orders).to_string();
    let mut sources = Sources::new();
    let file = sources.add("orders.json", &text);
    let read = read_orders(&text, file);
    assert!(read.bad.is_empty(), "{:?}", read.findings);
    read.orders
}

/// The parcels of some orders.
fn parcels(orders: &[Order], shop: &Shop, combine: bool) -> Vec<Parcel> {
    let options = BatchOptions { combine, reasons: true, ..BatchOptions::default() };
    Batch::assemble(None, orders.to_vec(), Some(shop), options, &mut Vec::new()).parcels
}

/// What the items of a parcel weigh.
fn items_weight(parcel: &Parcel) -> Option<Mass> {
    Some(parcel.weighing.as_ref()?.items.as_ref()?.value)
}

/// An item of one of five articles, some of which weigh what the order says.
fn item() -> impl Strategy<Value = Value> {
    (0_usize..5, 1_u32..4, prop::option::of(1_u32..900)).prop_map(|(sku, qty, grams)| {
        let mut item = json!({"sku": format!("S{sku}"), "title": "thing", "qty": qty});
        if let Some(grams) = grams {
            item["weight_g"] = grams.into();
        }
        item
    })
}

/// The orders of a sitting, each with some items.
fn sitting() -> impl Strategy<Value = Vec<Vec<Value>>> {
    prop::collection::vec(prop::collection::vec(item(), 1..4), 1..6)
}

/// Five articles of any size and weight.
fn goods() -> impl Strategy<Value = Value> {
    prop::collection::vec(([5_u32..200, 5_u32..200, 5_u32..200], 1_u32..900), 5).prop_map(|all| {
        let good = |(index, ([a, b, c], grams)): (usize, ([u32; 3], u32))| {
            json!({"sku": format!("S{index}"), "size": format!("{a} x {b} x {c} mm"),
                   "weight": format!("{grams} g")})
        };
        all.into_iter().enumerate().map(good).collect()
    })
}

/// A pack's sides, its limit, its own weight and how many are left.
type AnyPack = ([u32; 3], Option<u32>, u32, Option<u32>);

/// Some packs, a few of them counted.
fn packs() -> impl Strategy<Value = Value> {
    let pack = (
        [40_u32..500, 40_u32..500, 40_u32..300],
        prop::option::of(100_u32..6_000),
        1_u32..300,
        prop::option::of(0_u32..3),
    );
    prop::collection::vec(pack, 1..5).prop_map(|all| {
        let pack = |(index, ([a, b, c], limit, own, left)): (usize, AnyPack)| {
            let mut pack = json!({"name": format!("P{index}"),
                "inside": format!("{a} x {b} x {c} mm"), "own_weight": format!("{own} g")});
            if let Some(limit) = limit {
                pack["max_weight"] = format!("{limit} g").into();
            }
            if let Some(left) = left {
                pack["left"] = left.into();
            }
            pack
        };
        all.into_iter().enumerate().map(pack).collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// The items of a combined parcel weigh what the items of its orders weigh apart.
    #[test]
    fn a_combined_parcel_weighs_the_sum_of_its_parts(sitting in sitting(), goods in goods()) {
        let shop = shop(json!({"goods": goods}));
        let orders = orders(&sitting);
        let apart = parcels(&orders, &shop, false);
        let together = parcels(&orders, &shop, true);
        prop_assert_eq!(together.len(), 1);
        let sum: Option<Mass> = apart.iter().map(items_weight).sum();
        prop_assert!(sum.is_some());
        prop_assert_eq!(items_weight(&together[0]), sum);
    }

    /// A pack that was chosen has room for what is in it, bears it, and was there to be taken.
    #[test]
    fn a_chosen_pack_never_breaks_its_limits(
        sitting in sitting(),
        goods in goods(),
        packs in packs(),
        combine in any::<bool>(),
    ) {
        let shop = shop(json!({"goods": goods, "packs": packs}));
        let parcels = parcels(&orders(&sitting), &shop, combine);
        for parcel in &parcels {
            let weighing = parcel.weighing.as_ref().unwrap();
            let chosen = weighing.pack.as_ref().map(|pack| &*pack.value);
            prop_assert_eq!(chosen.unwrap_or_default(), &*parcel.pack);
            let Some(name) = chosen else {
                prop_assert!(weighing.trials.iter().all(|trial| !trial.verdict.takes()));
                continue;
            };
            let pack = shop.rules.packs.iter().find(|pack| &*pack.name == name).unwrap();
            let weight = weighing.weight.as_ref().unwrap().value;
            prop_assert!(pack.max_weight.is_none_or(|limit| weight <= limit));
            let volume = |sides: [slipwright::parcel::Extent; 3]| {
                sides.map(|side| u128::from(side.micrometres())).iter().product::<u128>()
            };
            let trial = weighing.trials.iter().find(|trial| &*trial.pack == name).unwrap();
            let slipwright::parcel::PackVerdict::Takes { places, .. } = &trial.verdict else {
                return Err(TestCaseError::fail("a pack was chosen that does not take it"));
            };
            let pieces: u32 = parcel.items().map(|(_, item)| item.qty).sum();
            prop_assert_eq!(places.len(), pieces as usize);
            prop_assert!(places.iter().map(|place| volume(place.size)).sum::<u128>() <= volume(pack.inside));
        }
        for pack in &shop.rules.packs {
            let taken = parcels.iter().filter(|parcel| *parcel.pack == *pack.name).count();
            prop_assert!(pack.left.is_none_or(|left| taken <= left as usize));
        }
    }

    /// A parcel among others is weighed as it would be alone, as long as packs are not counted.
    #[test]
    fn parcels_are_weighed_alike_alone_and_among_others(
        sitting in sitting(),
        goods in goods(),
        packs in packs(),
    ) {
        let mut packs = packs;
        for pack in packs.as_array_mut().unwrap() {
            pack.as_object_mut().unwrap().remove("left");
        }
        let shop = shop(json!({"goods": goods, "packs": packs}));
        let orders = orders(&sitting);
        let among = parcels(&orders, &shop, false);
        for (order, parcel) in orders.iter().zip(&among) {
            let alone = parcels(std::slice::from_ref(order), &shop, false);
            prop_assert_eq!(&alone[0].weighing, &parcel.weighing);
        }
    }
}

#[test]
fn nothing_is_weighed_where_nothing_is_ruled() {
    let plain = shop(json!({"defaults": {"service": "post", "pack": "bag"}}));
    let orders = orders(&[vec![json!({"sku": "A", "weight_g": 15_999})]]);
    let batch = |shop| {
        Batch::assemble(None, orders.clone(), shop, BatchOptions::default(), &mut Vec::new())
    };
    let parcels = batch(Some(&plain)).parcels;
    assert_eq!(parcels[0].figures, None);
    assert_eq!((&*parcels[0].pack, &*parcels[0].service), ("bag", "post"), "defaults hold");
    assert_eq!(batch(None).parcels[0].figures, None);
    // What is heavy is said without any rules.
    let heavy = crate::weighing::orders(&[vec![json!({"sku": "A", "weight_g": 16_000})]]);
    let batch = Batch::assemble(None, heavy, None, BatchOptions::default(), &mut Vec::new());
    let caution = &batch.parcels[0].figures.as_ref().unwrap().caution;
    assert_eq!(caution.as_ref().unwrap().weight, Mass::from_grams(16_000));
}

#[test]
fn what_is_chosen_is_what_is_printed() {
    let rules = json!({
        "packs": [{"name": "tube", "inside": "180 x 32 x 32 mm", "own_weight": "28 g"}],
        "goods": [{"sku": "PEN", "size": "150 x 18 x 18 mm", "weight": "24 g"}],
        "rates": {
            "zones": {"home": ["GB"]},
            "services": [
                {"name": "dear", "prices": {"home": "4.00"}},
                {"name": "cheap", "prices": {"home": {"1 kg": "2.50"}}},
            ],
        },
    });
    let orders = orders(&[vec![json!({"sku": "PEN"})]]);
    let parcel = parcels(&orders, &shop(rules.clone()), false).remove(0);
    assert_eq!((&*parcel.pack, &*parcel.service), ("tube", "cheap"));
    assert_eq!(parcel.weight_g, None, "a weight that nobody measured stays a line to write on");
    let mut own = orders;
    own[0] = own[0].changed(|order| (order.pack, order.service) = ("bag", "dear"));
    let parcel = parcels(&own, &shop(rules), false).remove(0);
    assert_eq!((&*parcel.pack, &*parcel.service), ("bag", "dear"), "the seller's own word holds");
    assert_eq!(parcel.figures.unwrap().show_price().as_deref(), Some("4.00 GBP"));
}

#[test]
fn a_run_keeps_figures_and_only_weigh_keeps_reasons() {
    let rules = json!({
        "packs": [{"name": "tube", "inside": "180 x 32 x 32 mm"}],
        "goods": [{"sku": "PEN", "size": "150 x 18 x 18 mm", "weight": "24 g"}],
    });
    let shop = shop(rules);
    let two = orders(&[vec![json!({"sku": "PEN"})], vec![json!({"sku": "PEN"})]]);
    let run = |reasons| {
        let options = BatchOptions { reasons, ..BatchOptions::default() };
        Batch::assemble(None, two.clone(), Some(&shop), options, &mut Vec::new()).parcels
    };
    let [whole, lean] = [run(true), run(false)].map(|parcels| {
        let [one, other] = <[Parcel; 2]>::try_from(parcels).unwrap();
        let [figures, same] = [&one, &other].map(|it| it.figures.clone().unwrap());
        assert!(Arc::ptr_eq(&figures, &same), "what weighs the same is held once");
        one
    });
    assert_eq!((&lean.figures, &lean.weighing), (&whole.figures, &None));
    let weighing = whole.weighing.unwrap();
    assert_eq!(weighing.trials.len(), 1);
    assert!(!weighing.pack.as_ref().unwrap().reason.is_empty());
    assert_eq!(weighing.pack.as_ref().map(|pack| &*pack.value), Some(&*lean.pack));
}

/// Whoever weighs without reasons comes to the same figures and the same findings.
#[test]
fn reasons_change_nothing_that_is_found() {
    let desk = Desk::new();
    desk.sample("shop.yaml");
    let text = std::fs::read_to_string(desk.path("shop.yaml")).unwrap();
    let shop = Shop::read(&text, Sources::new().add("shop.yaml", text.as_str()), &mut Vec::new());
    let shop = shop.unwrap();
    let item = |sku: &str, qty: u32| json!({"sku": sku, "qty": qty});
    let loads = [
        vec![item("INK-SEA-50", 1), item("NB-A6-DOT", 3)],
        vec![item("STAND-4", 2), item("BOOK-1", 9)],
        vec![item("KF-4-F", 1), item("CLOTH-1", 2)],
        vec![item("CLOTH-1", 2), item("KF-4-F", 1)],
        vec![item("BOOK-1", 60)],
        vec![item("NOBODY-KNOWS", 1)],
    ];
    let weigh = |reasons| {
        let options = BatchOptions { reasons, ..BatchOptions::default() };
        let mut found = Vec::new();
        let batch = Batch::assemble(None, orders(&loads), Some(&shop), options, &mut found);
        let figures = batch.parcels.iter().map(|parcel| {
            (parcel.pack.clone(), parcel.service.clone(), parcel.figures.clone().unwrap())
        });
        let found: Vec<String> = found.iter().map(|finding| format!("{finding:?}")).collect();
        (figures.collect::<Vec<_>>(), found)
    };
    assert_eq!(weigh(true), weigh(false));
}

#[test]
fn the_report_keeps_to_its_schema() {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml").sample("export.csv").sample("export-map.yaml");
    let schema = desk.done(&["schema", "weigh"]).stdout;
    let schema: Value = serde_json::from_slice(&schema).unwrap();
    jsonschema::meta::validate(&schema).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    desk.done(&["intake", "export.csv", "--map", "export-map.yaml", "-o", "thursday.json"]);
    for arguments in [
        &["weigh", "evening.json", "--json", "--combine"][..],
        &["weigh", "thursday.json", "--json"],
    ] {
        let report: Value = serde_json::from_slice(&desk.done(arguments).stdout).unwrap();
        let faults: Vec<String> =
            validator.iter_errors(&report).map(|fault| fault.to_string()).collect();
        assert_eq!(faults, [""; 0]);
        assert!(report["total"]["price"].is_string());
        assert!(report["parcels"][0]["figures"]["weight"]["reason"].is_string());
    }
    // Also what is not known, refused and too heavy.
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/command");
    let mut judged = 0;
    for case in std::fs::read_dir(root).unwrap().map(|case| case.unwrap()) {
        let name = case.file_name().into_string().unwrap();
        if !name.starts_with("weigh-") || name == "weigh-json" {
            continue;
        }
        let file = |name: &str| std::fs::read(case.path().join(name));
        let desk = Desk::new();
        desk.put("orders.json", file("orders.json").unwrap());
        if let Ok(shop) = file("shop.yaml") {
            desk.put("shop.yaml", shop);
        }
        let run = desk.run(&["weigh", "orders.json", "--json"], b"");
        let report: Value = serde_json::from_slice(&run.stdout).unwrap();
        let faults: Vec<String> =
            validator.iter_errors(&report).map(|fault| fault.to_string()).collect();
        assert_eq!(faults, [""; 0], "{name}");
        judged += 1;
    }
    assert!(judged > 12, "{judged} reports were judged");
}
