//! Files that nobody would write: cut, garbled and absurd ones end in findings, never in a
//! panic, a hang or a lost order.

use std::path::Path;

use proptest::prelude::*;
use slipwright::{Batch, BatchOptions, Shop, Sources, findings, read_orders};

/// A sample's text.
fn read_sample(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(name);
    std::fs::read_to_string(path).expect("the sample is there")
}

/// Reads orders, puts them together and shows all that there is to say.
fn go_through(text: &str) {
    let mut sources = Sources::new();
    let file = sources.add("orders.json", text);
    let read = read_orders(sources.get(file).text(), file);
    let is_silent = read.orders.is_empty() && read.findings.is_empty();
    assert!(!is_silent, "nothing was read and nothing was said");
    let mut found = read.findings;
    let options = BatchOptions { combine: true, ..BatchOptions::default() };
    let _ = Batch::assemble(read.batch_name.as_deref(), read.orders, None, options, &mut found);
    for finding in &found {
        let _ = findings::render(finding, &sources, findings::Style::Full);
        let _ = finding.to_json(&sources);
    }
}

/// A text with some of its characters replaced, and perhaps cut.
fn garbled(text: String) -> impl Strategy<Value = String> {
    let length = text.chars().count();
    let change = (
        0..length,
        prop::sample::select("{}[]\",:0-9eE.\\u\u{0}\n é\u{2028}🖋".chars().collect::<Vec<_>>()),
    );
    (prop::collection::vec(change, 0..8), prop::option::of(0..length)).prop_map(
        move |(changes, cut)| {
            let mut letters: Vec<char> = text.chars().collect();
            for (at, letter) in changes {
                letters[at] = letter;
            }
            letters.truncate(cut.unwrap_or(length));
            letters.into_iter().collect()
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, ..ProptestConfig::default() })]

    #[test]
    fn any_text_gets_an_answer(text in "\\PC{0,60}") {
        go_through(&text);
    }

    #[test]
    fn garbled_orders_get_an_answer(text in garbled(read_sample("evening.json"))) {
        go_through(&text);
    }

    #[test]
    fn garbled_shop_files_get_an_answer(text in garbled(read_sample("shop.yaml"))) {
        let mut sources = Sources::new();
        let file = sources.add("shop.yaml", text.as_str());
        let mut found = Vec::new();
        let shop = Shop::read(&text, file, &mut found);
        prop_assert_eq!(shop.is_none(), found.iter().any(slipwright::Finding::is_error));
        for finding in &found {
            let _ = findings::render(finding, &sources, findings::Style::Full);
        }
    }
}

#[test]
fn absurd_files_end_in_an_error() {
    let order = |rest: &str| {
        format!(r#"{{"id":"1","ship_to":{{"name":"A","lines":["x"],"country":"GB"}}{rest}}}"#)
    };
    let cases = [
        "[".repeat(200_000),
        format!("{{\"orders\":[{}]}}", "[],".repeat(2_000) + "[]"),
        order(&format!(",\"items\":[{}]", vec![r#"{"sku":"a"}"#; 1_001].join(","))),
        order(&format!(",\"message\":\"{}\"", "x".repeat(100_000))),
        order(&format!(",\"weight_g\":{}", "9".repeat(10_000))),
        order(",\"parcel\":{\"weight_g\":99999999999999999999,\"size_mm\":[1e999,-1,0]}"),
        order(&(0..5_000).map(|field| format!(",\"f{field}\":0")).collect::<String>()),
        format!("[{}]", vec![order(""); 3_000].join(",")),
    ];
    for text in cases {
        go_through(&text);
    }
}
