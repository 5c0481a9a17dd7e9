//! The samples are read without a word and make the batch they are meant to show.

use std::path::Path;

use slipwright::{Batch, BatchOptions, Shop, Sources, read_orders};

/// A sample's text.
fn read_sample(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(name);
    std::fs::read_to_string(path).expect("the sample is there")
}

#[test]
fn the_evening_is_one_batch_of_eleven_parcels() {
    let mut sources = Sources::new();
    let orders = sources.add("evening.json", read_sample("evening.json"));
    let shop = sources.add("shop.yaml", read_sample("shop.yaml"));
    let mut found = Vec::new();
    let shop = Shop::read(sources.get(shop).text(), shop, &mut found).expect("the shop");
    let read = read_orders(sources.get(orders).text(), orders);
    assert_eq!((found, &*read.findings), (vec![], &[][..]));
    assert_eq!(read.orders.len(), 12);
    let mut countries: Vec<_> = read.orders.iter().map(|it| it.ship_to().country).collect();
    countries.sort_unstable();
    countries.dedup();
    assert_eq!(countries.len(), 9);

    let mut found = Vec::new();
    let name = read.batch_name.as_deref();
    let options = BatchOptions { combine: true, ..BatchOptions::default() };
    let batch = Batch::assemble(name, read.orders, Some(&shop), options, &mut found);
    let rules: Vec<_> = found.iter().map(|found| found.rule).collect();
    assert_eq!(rules, ["combined"]);
    let tags: Vec<_> = batch.parcels.iter().map(|parcel| &*parcel.tag.text).collect();
    assert_eq!(
        tags,
        [
            "Marlow",
            "Heron",
            "Sacs",
            "Θαλασσινού",
            "Plover",
            "Sea",
            "Wren",
            "Curlew",
            "Niamh",
            "Skylark",
            "Fell"
        ]
    );
    assert_eq!(batch.parcels[1].order_ids(), "TH-1042 + TH-1048");
    assert_eq!(batch.parcels[1].id(), "TH-1042");
    assert_eq!(batch.parcels[1].weight_g, Some(131));
    assert!(batch.parcels.iter().all(|parcel| !parcel.hazard.is_empty()));
}

#[test]
fn the_export_becomes_orders_that_are_checked_without_a_word() {
    let desk = crate::command::Desk::new();
    desk.sample("export.csv").sample("export-map.yaml").sample("shop.yaml");
    let took = ["intake", "export.csv", "--map", "export-map.yaml", "-o", "thursday.json"];
    let said = desk.done(&took).stderr;
    assert_eq!(String::from_utf8_lossy(&said), "6 orders, 8 items in `thursday.json`\n");
    let said = desk.done(&["check", "thursday.json", "--combine"]).stderr;
    assert_eq!(String::from_utf8_lossy(&said), "6 parcels checked: no findings\n");
}
