//! What the reader of orders says about files, right and wrong: one folder a case in
//! `tests/cases/orders`, with the file and the whole text that it must give.
//!
//! `SLIPWRIGHT_BLESS=1 cargo test` writes the texts anew. A case without one fails.

use slipwright::orders::{AsideOrder, write_aside};
use slipwright::{Sources, findings, read_orders};

/// What the reader made of a file: every finding as a person sees it, then the ids.
fn show_orders(name: &str, text: &str) -> String {
    let mut sources = Sources::new();
    let file = sources.add(name, text);
    let text = sources.get(file).shared_text();
    let read = read_orders(&text, file);
    let mut shown = String::new();
    for finding in &read.findings {
        shown.push_str(&findings::render(finding, &sources, findings::Style::Full));
        shown.push('\n');
        assert!(!finding.is_error() || !finding.hints.is_empty(), "no way out:\n{shown}");
    }
    let good: Vec<_> = read.orders.iter().map(|order| order.id()).collect();
    let bad: Vec<_> = read.bad.iter().map(|bad| bad.id.as_deref().unwrap_or("?")).collect();
    shown.push_str(&format!("good: {}\nbad: {}\n", good.join(", "), bad.join(", ")));
    if read.is_broken() {
        shown.push_str("broken as a whole\n");
    }
    check_set_aside(&read, &sources);
    shown
}

/// What is set aside must be read again as it was.
fn check_set_aside(read: &slipwright::Orders, from: &Sources) {
    if read.bad.is_empty() {
        return;
    }
    let bad: Vec<_> = read.bad.iter().map(|bad| AsideOrder::refused(bad, &read.findings)).collect();
    assert!(bad.iter().all(|bad| !bad.reasons.is_empty()), "set aside without a word");
    let aside = write_aside(read.batch_name.as_deref(), &bad, from);
    serde_json::from_str::<&serde_json::value::RawValue>(&aside).expect("valid JSON");
    let mut sources = Sources::new();
    let file = sources.add("aside.json", aside.as_str());
    let again = read_orders(&aside, file);
    assert_eq!(again.orders.len() + again.bad.len(), read.bad.len());
    assert_eq!(again.batch_name, read.batch_name);
    for (bad, again) in read.bad.iter().zip(&again.bad) {
        assert_eq!(bad.id, again.id);
        assert_eq!(from.slice(bad.span), sources.slice(again.span));
    }
    let reread = again.findings.iter().filter(|it| it.path.as_deref() == Some("set_aside"));
    assert_eq!(reread.count(), 0, "the reasons are no business of the reader");
}

#[test]
fn every_case_gives_its_text() {
    crate::cases::run("orders", &["orders.json"], |texts| show_orders("orders.json", &texts[0]));
}
