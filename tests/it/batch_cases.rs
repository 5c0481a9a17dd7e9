//! What a batch makes of orders and says about them: one folder a case in `tests/cases/batch`,
//! with the orders, a shop file where it matters, and the whole text that they must give, first
//! without combining, then with it, then with tags fixed where that is needed.
//!
//! `SLIPWRIGHT_BLESS=1 cargo test` writes the texts anew. A case without one fails.

use slipwright::{Batch, BatchOptions, Finding, Shop, Sources, findings, read_orders};

/// The ways of putting a batch together: what stands above, whether orders are combined, whether
/// tags are fixed, which is shown only where they need it.
const WAYS: [(&str, bool, bool); 3] = [
    ("# each by itself\n\n", false, false),
    ("\n# combined\n\n", true, false),
    ("\n# combined, tags fixed\n\n", true, true),
];

/// The ways of putting the batch together, with every finding as a person sees it.
fn show_batches(orders: &str, shop: &str) -> String {
    let mut sources = Sources::new();
    let file = sources.add("orders.json", orders);
    let shop_file = sources.add("shop.yaml", shop);
    let text = sources.get(file).shared_text();
    let mut found = Vec::new();
    let shop = if shop.is_empty() { None } else { Shop::read(shop, shop_file, &mut found) };
    let read = read_orders(&text, file);
    found.extend(read.findings);
    assert_eq!(found, [], "cases of batches have good orders");
    let mut shown = String::new();
    for (title, combine, fix_tags) in WAYS {
        let mut found = Vec::new();
        if fix_tags && !shown.contains("[equal-tags]") && !shown.contains("[confusable-tags]") {
            continue;
        }
        let options = BatchOptions { combine, fix_tags, ..BatchOptions::default() };
        let name = read.batch_name.as_deref();
        let batch = Batch::assemble(name, read.orders.clone(), shop.as_ref(), options, &mut found);
        shown += title;
        for finding in &found {
            check_finding(finding);
            shown += &findings::render(finding, &sources, findings::Style::Full);
            shown += "\n";
        }
        shown += &list_parcels(&batch);
    }
    shown
}

/// Every finding says whom it is about and what to do.
fn check_finding(finding: &Finding) {
    assert!(!finding.hints.is_empty(), "{finding:?}");
    assert!(finding.subject.is_some(), "{finding:?}");
}

/// The parcels, a line each.
fn list_parcels(batch: &Batch) -> String {
    let mut shown = format!("batch {:?}, key {}\n", batch.name, batch.key);
    for parcel in &batch.parcels {
        let cells = parcel.tally.cells().map(|black| if black { '#' } else { '.' });
        let cells: String = cells.iter().collect();
        let made = if parcel.tag.made { "made" } else { "given" };
        let pack = if parcel.pack.is_empty() { "no pack" } else { &*parcel.pack };
        let service = if parcel.service.is_empty() { "no service" } else { &*parcel.service };
        let weight = parcel.weight_g.map_or("no weight".into(), |grams| format!("{grams} g"));
        shown += &format!(
            "{:>3} {} {} `{}` {made}, {}, {pack}, {service}, {weight}\n    {cells} {}\n",
            parcel.position,
            parcel.pair,
            parcel.id(),
            parcel.tag.text,
            parcel.order_ids(),
            batch.label_payload(parcel),
        );
    }
    shown
}

#[test]
fn every_case_gives_its_text() {
    crate::cases::run("batch", &["orders.json", "shop.yaml"], |texts| {
        show_batches(&texts[0], &texts[1])
    });
}
