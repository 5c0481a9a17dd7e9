//! What the reader of shop files says about files, right and wrong: one folder a case in
//! `tests/cases/shop`, with the file and the whole text that it must give.
//!
//! `SLIPWRIGHT_BLESS=1 cargo test` writes the texts anew. A case without one fails.

use slipwright::parcel::{Mass, ParcelRules, Size3, WeightRules};
use slipwright::stock::Printer;
use slipwright::{Shop, Sources, findings};

/// What the reader made of a file: every finding as a person sees it, then the shop.
fn show_shop(text: &str) -> String {
    let mut sources = Sources::new();
    let file = sources.add("shop.yaml", text);
    let mut found = Vec::new();
    let shop = Shop::read(text, file, &mut found);
    let mut shown = String::new();
    for finding in &found {
        shown.push_str(&findings::render(finding, &sources, findings::Style::Full));
        shown.push('\n');
    }
    assert_eq!(shop.is_none(), found.iter().any(slipwright::Finding::is_error));
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
        words,
        fonts,
        printers,
        defaults,
        hazards,
        customs,
        rules,
        own,
        kit,
    } = shop;
    let mut shown = format!("name: {name:?}\naddress: {address:?}\n");
    shown += &format!("thanks: {thanks:?}\ncontact: {contact:?}\nreturns: {returns:?}\n");
    shown += &format!("currency: {currency:?}\nlanguage: {language:?}\n");
    if !fonts.is_empty() {
        shown += &format!("fonts: {fonts}\n");
    }
    let words = format!("{words:?}");
    if words != "WordTables({})" {
        shown += &format!("{words}\n");
    }
    for (name, value) in own.iter() {
        shown += &format!("own {name}: {value:?}\n");
    }
    for printer in printers.list() {
        shown += &describe_printer(printer);
    }
    shown += &format!("{defaults:?}\n{hazards:?}\n");
    let [none, needed] = [&customs.none_for, &customs.needed_for]
        .map(|places| places.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "));
    shown += &format!("customs: none for [{none}], needed for [{needed}]\n");
    shown += &list_rules(rules);
    shown += &format!("kit in {:?} order\n", kit.order);
    for layout in &kit.layouts {
        shown += &format!("kit: {} {:?}\n", layout.field, layout.name);
    }
    shown
}

/// What the shop says of parcels, a line a pack, limit, service and good.
fn list_rules(rules: &ParcelRules) -> String {
    let (mm, g) = (slipwright::parcel::LengthUnit::Millimetre, slipwright::parcel::MassUnit::Gram);
    let sides = |size: Size3| slipwright::parcel::show_sides(&size, mm);
    let grams = |mass: Option<Mass>| mass.map_or("-".to_owned(), |mass| mass.show(g));
    let mut shown = String::new();
    for pack in &rules.packs {
        shown += &format!(
            "pack {:?} inside {}, outside {}, padding {}, holds {}, weighs {}, left {:?}, flat {:?}\n",
            pack.name,
            sides(pack.inside),
            sides(pack.outer()),
            pack.padding.show(mm),
            grams(pack.max_weight),
            grams(pack.own_weight),
            pack.left,
            pack.flat_rate
        );
    }
    if rules.weights != WeightRules::default() {
        shown += &format!("{:?}\n", rules.weights);
    }
    for limits in &rules.limits {
        shown += &format!("limits {:?} {}\n", limits.name, grams(limits.weight));
    }
    for zone in rules.rates.iter().flat_map(|table| &table.zones) {
        shown += &format!("{zone:?}\n");
    }
    for service in rules.rates.iter().flat_map(|table| &table.services) {
        let bands: usize = service.prices.iter().map(|(_, bands)| bands.len()).sum();
        let extras = service.extras.len();
        shown += &format!(
            "service {:?} {:?} {:?} {bands} bands, {extras} extras\n",
            service.name, service.keeps, service.limits
        );
    }
    for good in &rules.goods {
        shown +=
            &format!("good {:?} {:?} {}\n", good.sku, good.size.map(sides), grams(good.weight));
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
