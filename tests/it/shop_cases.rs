//! What the reader of shop files says about files, right and wrong: one folder a case in
//! `tests/cases/shop`, with the file and the whole text that it must give.
//!
//! `SLIPWRIGHT_BLESS=1 cargo test` writes the texts anew. A case without one fails.

use slipwright::{DiagnosticStyle, Printer, Shop, Sources, render_diagnostic};

/// What the reader made of a file: every diagnostic as a person sees it, then the shop.
fn show_shop(text: &str) -> String {
    let mut sources = Sources::new();
    let file = sources.add("shop.yaml", text);
    let mut found = Vec::new();
    let shop = Shop::read(text, file, &mut found);
    let mut shown = String::new();
    for diagnostic in &found {
        shown.push_str(&render_diagnostic(diagnostic, &sources, DiagnosticStyle::Full));
        shown.push('\n');
    }
    assert_eq!(shop.is_none(), found.iter().any(slipwright::Diagnostic::is_error));
    match shop {
        Some(shop) => shown.push_str(&list_fields(&shop)),
        None => shown.push_str("no shop\n"),
    }
    shown
}

/// The shop, a line a field.
fn list_fields(shop: &Shop) -> String {
    let Shop {
        name,
        address,
        thanks,
        contact,
        returns,
        currency,
        language,
        printers,
        defaults,
        packs,
        kit,
    } = shop;
    let mut shown = format!("name: {name:?}\naddress: {address:?}\n");
    shown += &format!("thanks: {thanks:?}\ncontact: {contact:?}\nreturns: {returns:?}\n");
    shown += &format!("currency: {currency:?}\nlanguage: {language:?}\n");
    for printer in printers.list() {
        shown += &describe_printer(printer);
    }
    shown += &format!("{defaults:?}\n");
    for pack in packs {
        let sides = pack.inner.map(|side| side.0);
        let (most, own) = (pack.max_weight_g, pack.own_weight_g);
        shown += &format!("pack {:?} {sides:?} {most:?} {own:?}\n", pack.name);
    }
    shown += &format!("kit in {:?} order\n", kit.order);
    for layout in &kit.layouts {
        shown += &format!("kit: {} {:?}\n", layout.field, layout.name);
    }
    shown
}

/// A printer on one line.
fn describe_printer(printer: &Printer) -> String {
    let grid = printer.grid.map(|grid| grid.dpi());
    let edge = printer.clear_edge.map(|edge| edge.0);
    let area = printer.area.map(|area| (area.width.0, area.height.0));
    let (x, y) = (printer.offset.x.0, printer.offset.y.0);
    let stocks: Vec<&str> = printer.stocks.iter().map(|stock| stock.name.as_str()).collect();
    format!(
        "printer {:?} for {stocks:?}: {grid:?} dpi, edge {edge:?}, area {area:?}, offset {x} {y}, \
         scale {:?}, gain {}, bars less {}\n",
        printer.name, printer.scale, printer.gain, printer.bar_reduction
    )
}

#[test]
fn every_case_gives_its_text() {
    crate::cases::run("shop", &["shop.yaml"], |texts| show_shop(&texts[0]));
}
