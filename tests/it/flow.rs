//! Bodies that run on over pages: nothing is lost at a break, and every page has its head.

use proptest::prelude::*;
use slipwright::scene::MarkKind;
use slipwright::{Batch, BatchOptions, Page, Shop, Sources, find_shipped, read_orders};

use crate::sample_pages::{layout_of, pages_of, sample_batch};

/// A batch of one order with items of these titles, numbered in their stock-keeping numbers.
fn order_of(titles: &[String]) -> (Batch, Shop) {
    let items: Vec<_> = titles
        .iter()
        .enumerate()
        .map(|(number, title)| {
            let title = format!("Item {title}");
            serde_json::json!({"sku": format!("S{number:04}"), "title": title, "price": "2.50"})
        })
        .collect();
    let order = serde_json::json!({
        "id": "TH-9", "currency": "GBP", "hazard": "none", "tag": "Heron", "items": items,
        "ship_to": {"name": "Ada Marlow", "lines": ["12 Saltmarsh Row"], "city": "Penharrow",
                    "postcode": "TR79 1QX", "country": "GB"},
    });
    let mut sources = Sources::new();
    let file = sources.add("orders.json", order.to_string());
    let orders = read_orders(sources.get(file).text(), file);
    assert!(orders.findings.is_empty(), "{:?}", orders.findings);
    let (_, shop) = sample_batch();
    let mut found = Vec::new();
    let options = BatchOptions::default();
    (Batch::assemble(None, orders.orders, Some(&shop), options, &mut found), shop)
}

/// What a page says, run by run.
fn texts(page: &Page) -> Vec<&str> {
    let runs = page.marks.iter().filter_map(|mark| match &mark.kind {
        MarkKind::Text(run) => Some(run.text.as_str()),
        _ => None,
    });
    runs.collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Every row is on exactly one page, in order; every page numbers itself and has the head.
    #[test]
    fn no_row_is_lost_at_a_break(
        titles in proptest::collection::vec("[a-z]{1,9}( [a-z]{1,9}){0,24}", 1..120),
    ) {
        let (batch, shop) = order_of(&titles);
        let layout = layout_of(find_shipped("slip-a4").unwrap().text);
        let pages = pages_of(&batch, &shop, &layout, None);
        let numbers: Vec<String> = pages
            .iter()
            .flat_map(|page| texts(page).into_iter().filter(|text| text.starts_with("S0")))
            .map(str::to_owned)
            .collect();
        let wanted: Vec<String> = (0..titles.len()).map(|number| format!("S{number:04}")).collect();
        prop_assert_eq!(numbers, wanted);
        for (index, page) in pages.iter().enumerate() {
            let said = texts(page);
            let own = format!("{} of {}", index + 1, pages.len());
            prop_assert!(said.contains(&own.as_str()), "{} is not on its page", own);
            let rows = said.iter().any(|text| text.starts_with("S0"));
            prop_assert!(!rows || said.contains(&"Quantity"), "a page of rows without a head");
        }
        // 2.50 each, by decimals and not by floats.
        let total = rust_decimal::Decimal::new(250, 2) * rust_decimal::Decimal::from(titles.len());
        let total = format!("£{total}");
        let last = pages.last().map(texts).unwrap_or_default();
        let grand: Vec<_> =
            pages.iter().flat_map(|page| texts(page)).filter(|text| *text == total).collect();
        prop_assert!(!grand.is_empty(), "no {} on {:?}", total, last);
    }
}

#[test]
fn a_row_higher_than_a_page_is_told_with_what_it_needs() {
    let (batch, shop) = order_of(&["word ".repeat(20)]);
    let layout = layout_of(
        "page: {stock: 60x40mm, inset: 4}\nmakes: slip\nflow: true\nbody:\n  table: items\n  \
         columns:\n    - {cell: \"{{ item.title }}\", width: 20}\n",
    );
    let book = slipwright::FontBook::builtin();
    let pictures = slipwright::PictureStore::new(&slipwright::NoFiles, ".");
    let document = slipwright::Document {
        shop: Some(&shop),
        ..slipwright::Document::new(&batch, &layout, &book, &pictures)
    };
    let run = slipwright::Run::new(&document).unwrap();
    let mut watch = slipwright::watch_batch(&batch);
    let outcome = run.make(&mut watch, |_| (), |()| Ok(()), |_| {}).unwrap();
    let said = &outcome.findings[0].message;
    assert!(said.starts_with("a row of this table needs "), "{said}");
    assert!(said.contains("a whole page has 32 mm"), "{said}");
}

/// A caption stays with what it names, and what is kept whole is not broken; the rest fills pages.
/// Several rows of totals, the last one bold, none of them on a page without the last row.
#[test]
fn totals_stay_together_with_the_last_row() {
    let layout = |rows: usize| {
        layout_of(&format!(
            "page: {{stock: 80x60mm, inset: 5}}\nmakes: slip\nflow: true\ntype:\n  strong: {{weight: \
             bold}}\nbody:\n  table: items\n  head_type: strong\n  columns:\n    - head: Article\n      \
             cell: \"{{{{ item.sku }}}}\"\n      total: [Subtotal, \"{{{{ message }}}}\", Postage, \
             \"Paid {rows}\"]\n",
        ))
    };
    let mut parted = 0;
    for rows in 1..24 {
        let (batch, shop) = order_of(&vec!["x".to_owned(); rows]);
        let pages = pages_of(&batch, &shop, &layout(rows), None);
        let last = pages.last().unwrap();
        let said = texts(last);
        let paid = format!("Paid {rows}");
        let last_row = format!("S{:04}", rows - 1);
        // The second is empty and left out.
        let at = said.iter().position(|text| *text == "Subtotal").unwrap();
        assert_eq!(said[at - 1..], [&*last_row, "Subtotal", "Postage", &*paid], "{rows} rows");
        parted += usize::from(pages.len() > 1);
        let font = |wanted: &str| {
            last.marks.iter().find_map(|mark| match &mark.kind {
                MarkKind::Text(run) if run.text == wanted => Some(run.font),
                _ => None,
            })
        };
        assert_eq!(font("Subtotal"), font("Postage"));
        assert_eq!(font(&paid), font("Article"));
        assert_ne!(font(&paid), font("Postage"));
    }
    assert!(parted > 5);
}

#[test]
fn what_keeps_together_moves_together() {
    let (batch, shop) = order_of(&["pen".to_owned()]);
    let book = |keep: &str| {
        let layout = layout_of(&format!(
            "page: {{stock: 60x40mm, inset: 5}}\nmakes: slip\nflow: true\n\
             type: {{t: {{size: 10pt, leading: 1.5}}}}\nbody:\n  down:\n    \
             - {{text: \"a\\nb\\nc\\nd\", type: t}}\n    - down:\n        \
             - {{text: caption, type: t{keep}}}\n        - {{text: named, type: t}}\n"
        ));
        let pages = pages_of(&batch, &shop, &layout, None);
        pages.iter().map(|page| texts(page).join(" ")).collect::<Vec<_>>()
    };
    // 30 mm hold five lines of 5.3 mm.
    assert_eq!(book(""), ["a b c d caption", "named"]);
    assert_eq!(book(", keep: next"), ["a b c d", "caption named"]);
    let whole = layout_of(
        "page: {stock: 60x40mm, inset: 5}\nmakes: slip\nflow: true\ntype: {t: {size: 10pt, \
         leading: 1.5}}\nbody:\n  down:\n    - {text: \"a\\nb\\nc\\nd\", type: t}\n    - down:\n        \
         - {text: one, type: t}\n        - {text: two, type: t}\n      keep: whole\n",
    );
    let pages = pages_of(&batch, &shop, &whole, None);
    assert_eq!(
        pages.iter().map(|it| texts(it).join(" ")).collect::<Vec<_>>(),
        ["a b c d", "one two"]
    );
}
