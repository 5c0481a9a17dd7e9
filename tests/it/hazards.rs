//! Declared and undeclared parcels on the shipped papers: the words are read back from the PDFs by
//! lopdf, and what is drawn is looked at on the composed pages.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use lopdf::Document;
use serde_json::{Value, json};
use slipwright::scene::MarkKind;
use slipwright::shipped::SHIPPED;
use slipwright::{Batch, BatchOptions, Page, Severity, Shop, Sources, read_orders};

use crate::command::Desk;
use crate::sample_pages::{layout_of, print_batch};

/// What is declared of the second parcel.
const INK: &str =
    "fountain pen ink, 2 bottles of 50 ml, water based, not flammable; sealed, bagged";

/// What is declared of the fourth parcel: longer than a bench card has room for.
const LONG: &str = "shellac varnish for barrels, flammable liquid, one tin of 250 ml, new, with its \
                    own child-proof cap, in a sealed bag with absorbent, the bag in a can with a \
                    crimped lid, the can upright in a box of its own, arrows by hand";

/// A batch of four: nothing hazardous, ink, nothing declared, and varnish.
fn orders() -> Value {
    let order = |(index, (tag, hazard)): (usize, (&str, Option<&str>))| {
        json!({
            "id": format!("TH-8{index}"),
            "tag": tag,
            "ship_to": {"name": format!("{tag} Fell"), "lines": [format!("{index} Mill Lane")],
                "city": "Ternmouth", "postcode": "TR77 4NH", "country": "GB"},
            "currency": "GBP",
            "items": [{"title": "Kingfisher pen", "price": "40.00"}, {"title": "Curlew ink"},
                {"title": "Heron nib"}, {"title": "Ebonite feed"}],
            "hazard": hazard,
            "service": "tracked parcel",
            "extras": ["signature"],
        })
    };
    let given =
        [("Marlow", Some("none")), ("Sea", Some(INK)), ("Wren", None), ("Amber", Some(LONG))];
    given.into_iter().enumerate().map(order).collect()
}

/// The sample's shop file with another section on hazards.
fn shop_file(hazards: &str) -> String {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/shop.yaml");
    let sample = std::fs::read_to_string(path).unwrap();
    let own = "\nhazards:\n  signature: once\n";
    assert!(sample.contains(own), "the section of the sample has changed");
    sample.replace(own, &format!("\nhazards: {hazards}\n"))
}

/// The text of each page that a layout makes, as lopdf reads it, white space taken out.
fn pages_of(layout: &str, hazards: &str, orders: &Value) -> Vec<String> {
    let desk = Desk::new();
    desk.put("shop.yaml", shop_file(hazards)).put("orders.json", orders.to_string());
    desk.done(&["render", "orders.json", "--layout", layout, "-o", "out.pdf"]);
    let document = Document::load(desk.path("out.pdf")).unwrap();
    let pages = document.get_pages();
    let read = |page: &u32| document.extract_text(&[*page]).unwrap();
    pages.keys().map(|page| read(page).split_whitespace().collect()).collect()
}

/// Whoever is silent is named, the first parcel too, and whoever is not is not.
#[test]
fn every_parcel_that_says_nothing_is_named() {
    for silent in [&[0][..], &[3], &[0, 1], &[0, 2, 3], &[0, 1, 2, 3]] {
        let mut orders = orders();
        for (index, order) in orders.as_array_mut().unwrap().iter_mut().enumerate() {
            order["hazard"] = json!(if silent.contains(&index) { "" } else { "none" });
        }
        let text = orders.to_string();
        let read = read_orders(&text, Sources::new().add("orders.json", text.as_str()));
        let find = |undeclared: &str| {
            let shop = shop_file(&format!("{{undeclared: {undeclared}}}"));
            let mut found = Vec::new();
            let file = Sources::new().add("shop.yaml", shop.as_str());
            let shop = Shop::read(&shop, file, &mut found).unwrap();
            let options = BatchOptions::default();
            let _ = Batch::assemble(None, read.orders.clone(), Some(&shop), options, &mut found);
            found.retain(|finding| finding.rule == "undeclared-hazard");
            found
        };
        let position = |index: &usize| Some(index + 1);
        let errors = find("error");
        let named: Vec<_> =
            errors.iter().map(|it| it.subject.as_ref().and_then(|it| it.position)).collect();
        assert_eq!(named, silent.iter().map(position).collect::<Vec<_>>());
        let [warning] = &find("warning")[..] else { panic!("{silent:?}") };
        assert_eq!(warning.subject.as_ref().and_then(|it| it.position), position(&silent[0]));
        assert_eq!(warning.others, silent[1..].iter().map(|index| index + 1).collect::<Vec<_>>());
    }
}

/// Text without its white space.
fn bare(text: &str) -> String {
    text.split_whitespace().collect()
}

#[test]
fn the_card_of_declared_goods_says_so_and_no_other_does() {
    for (layout, a_page) in [("bench-card", 1), ("bench-cards-4x6in", 2)] {
        let pages = pages_of(layout, "{}", &orders());
        assert_eq!(pages.len() * a_page, 4);
        let all = pages.concat();
        assert_eq!(all.matches("Declared").count(), 2, "{layout}: {all}");
        assert_eq!(all.matches(&bare("over the counter")).count(), 2, "{layout}");
        assert!(all.contains(&bare(INK)), "{layout}: {all}");
        // A card has not room for all of the long one, and shows that something is missing.
        let start = bare("shellac varnish for barrels, flammable liquid, one tin of 250 ml");
        let from = all.find(&start).unwrap_or_else(|| panic!("{layout}: {all}"));
        assert!(all[from..].contains('…') && !all.contains(&bare(LONG)), "{layout}");
        if a_page == 1 {
            assert!(!pages[0].contains("Declared") && !pages[2].contains("Declared"));
            // What else a card says is still there.
            for says in ["2of4", "weight______", "size____________", "and3more", "signature"] {
                assert!(pages[1].contains(says), "{says}: {}", pages[1]);
            }
        }
    }
}

#[test]
fn the_handover_list_has_a_section_for_declared_goods_only_when_there_are_some() {
    let list = pages_of("handover-list-a4", "{}", &orders()).concat();
    let (before, section) = list.split_once("Declaredgoods").unwrap();
    let section = section.split_once("Byservice").unwrap().0;
    assert_eq!(before.matches(&bare("declared, see below")).count(), 2, "{before}");
    for says in ["2Sea", "4Amber", "SeaFell", "trackedparcel,signature", &bare(INK), &bare(LONG)] {
        // A table's row is read cell by cell, and a cell's lines one after another.
        assert!(section.contains(says), "{says}: {section}");
    }
    assert!(!section.contains("Marlow") && !section.contains("Wren"), "{section}");
    assert!(section.contains(&bare("go by road and are handed over at the counter")));
    assert!(section.contains(&bare("the carrier's rules and local law decide")));
    assert!(!section.contains("Signature"), "nobody asked for one");

    let mut harmless = orders();
    for order in harmless.as_array_mut().unwrap() {
        order["hazard"] = json!("None");
    }
    let list = pages_of("handover-list-a4", "{signature: each}", &harmless).concat();
    assert!(!list.contains("Declared") && !list.contains("declared,see"), "{list}");
    assert!(!list.contains("Signatureofthesender"), "{list}");
}

#[test]
fn the_sender_signs_where_the_shop_file_asks_for_it() {
    for (hazards, times) in [("{}", 0), ("{signature: none}", 0), ("{signature: once}", 1)] {
        let list = pages_of("handover-list-a4", hazards, &orders()).concat();
        assert_eq!(list.matches("Signatureofthesender").count(), times, "{hazards}: {list}");
    }
    let list = pages_of("handover-list-a4", "{signature: each}", &orders()).concat();
    for says in ["Signatureofthesender,Sea", "Signatureofthesender,Amber"] {
        assert_eq!(list.matches(says).count(), 1, "{list}");
    }
    assert_eq!(list.matches("Signatureofthesender").count(), 2);
}

/// The pages of the batch in a layout, as they are composed.
fn composed(layout: &str, hazards: &str) -> Vec<Page> {
    let mut sources = Sources::new();
    let file = sources.add("shop.yaml", shop_file(hazards));
    let shop = Shop::read(sources.get(file).text(), file, &mut Vec::new()).unwrap();
    let file = sources.add("orders.json", orders().to_string());
    let read = read_orders(sources.get(file).text(), file);
    assert_eq!(read.findings, []);
    let options = BatchOptions::default();
    let batch = Batch::assemble(None, read.orders, Some(&shop), options, &mut Vec::new());
    let printed = print_batch((&batch, Some(&shop)), &layout_of(layout), None, 1);
    let found: Vec<_> =
        printed.findings.iter().filter(|it| it.severity != Severity::Note).collect();
    assert!(found.is_empty(), "{found:?}");
    printed.pages
}

/// Signs, pictograms, arrows and shapes: what marks of hazards are made of.
fn is_sign(letter: char) -> bool {
    matches!(letter, '\u{2190}'..='\u{21ff}' | '\u{2300}'..='\u{23ff}' | '\u{2460}'..='\u{2bff}'
        | '\u{e000}'..='\u{f8ff}' | '\u{1f000}'..='\u{1faff}')
}

/// Nothing that a layout prints by itself is a mark of hazards: no sign among its letters, no
/// drawing, no UN number, in no layout, whatever is declared.
#[test]
fn no_layout_draws_a_mark_of_hazards() {
    for shipped in SHIPPED {
        // These orders have no label of a carrier.
        if shipped.text.contains("carrier_label") {
            continue;
        }
        let template = shipped.text.chars().find(|letter| is_sign(*letter));
        assert_eq!(template, None, "{}", shipped.name);
        for page in composed(shipped.text, "{signature: each}") {
            let mut said = String::new();
            for mark in &page.marks {
                match &mark.kind {
                    MarkKind::Text(run) => writeln!(said, "{}", run.text).unwrap(),
                    MarkKind::Outline(_) | MarkKind::Picture(_) | MarkKind::Foreign(_) => {
                        panic!("{} draws a picture", shipped.name)
                    }
                    MarkKind::Fill(..) | MarkKind::Code(_) | MarkKind::Tally(_) => {}
                }
            }
            assert_eq!(said.chars().find(|letter| is_sign(*letter)), None, "{said}");
            let words: BTreeSet<&str> = said.split(|it: char| !it.is_alphanumeric()).collect();
            assert!(!words.contains("UN") && !words.contains("ADR"), "{}: {said}", shipped.name);
        }
    }
}

/// Labels of fields to fill in on the papers that somebody signs.
const LABELS: [&str; 10] = [
    "Date",
    "Date and time",
    "Handed over by",
    "Taken over by",
    "Gift",
    "Sample",
    "Documents",
    "Sale of goods",
    "Other",
    "Signature of the sender",
];

/// Lines to sign and to date, on every layout that has some, have nothing on them but their label.
#[test]
fn no_line_to_sign_is_filled_in() {
    let signed = || SHIPPED.iter().filter(|layout| layout.text.contains("blank: signature"));
    let names: Vec<_> = signed().map(|layout| layout.name).collect();
    assert_eq!(names, ["customs-sheet-a5", "handover-list-a4"]);
    let mut lines = 0;
    for hazards in ["{signature: once}", "{signature: each}"] {
        for page in signed().flat_map(|layout| composed(layout.text, hazards)) {
            let blanks: Vec<_> = page.blocks.iter().filter(|it| it.name == "blank").collect();
            lines += blanks.len();
            for mark in &page.marks {
                let MarkKind::Text(run) = &mark.kind else { continue };
                let is_on = |it: slipwright::geom::Rect| it.height.0 > 0.1 && it.width.0 > 0.1;
                if !blanks.iter().any(|it| it.rect.intersection(run.rect).is_some_and(is_on)) {
                    continue;
                }
                let label = run.text.trim().split(',').next().unwrap_or_default();
                assert!(LABELS.contains(&label), "`{}` stands in a field to fill in", run.text);
            }
        }
    }
    assert!(lines > 10, "{lines} fields to fill in");
}
