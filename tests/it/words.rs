//! Papers in the language of their reader: a folder of `tests/cases/words` holds orders, sometimes a
//! shop file and a layout of its own, and in `papers.txt` the layouts to print; in `expected.txt`
//! stands what each says of each parcel, and what was found. What is bound is looked at, not pages,
//! so that languages whose letters our fonts do not have are cases too.

use std::cell::Cell;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use slipwright::fields::Day;
use slipwright::findings::{Style, render};
use slipwright::layout::Makes;
use slipwright::workings::{Binder, Bound, Content, ContextMaker};
use slipwright::{
    Batch, BatchOptions, Finding, Layout, NoFiles, PrintJob, Shop, Sources, find_shipped,
    read_layout, read_orders,
};

use crate::command::Desk;
use crate::support::compare;

#[test]
fn papers_are_in_the_language_of_their_reader() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/words");
    let mut cases: Vec<_> =
        fs::read_dir(root).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.sort();
    assert!(cases.len() >= 11, "the cases are gone");
    let failures: Vec<String> = cases
        .iter()
        .filter_map(|case| compare(&case.join("expected.txt"), &print_case(case)))
        .collect();
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// The day of printing is what `--date` says; the engine knows none by itself.
#[test]
fn the_day_of_printing_is_the_one_that_is_said() {
    let layout = "page: {stock: a6, inset: 8}\nmakes: insert\nbody:\n  \
                  text: \"{{ today | plus_days(14) | day }}\"\n";
    let order = r#"[{"id": "TH-1", "ship_to": {"name": "Ada Marlow", "lines": ["12 Long Street"],
        "city": "Ternmouth", "postcode": "TR77 4NH", "country": "GB"}}]"#;
    let desk = Desk::new();
    desk.put("orders.json", order).put("mine.yaml", layout);
    let print = |date: &str, name: &str| {
        let said = ["--date", date, "-o", name];
        desk.done(&[&["render", "orders.json", "--layout", "mine.yaml"], &said[..]].concat());
        fs::read(desk.path(name)).unwrap()
    };
    let made = print("2026-11-25", "out.pdf");
    assert_eq!(made, print("2026-11-25", "again.pdf"));
    assert_ne!(made, print("2026-11-26", "later.pdf"));
    let job = || PrintJob::new(order).layout_text(layout);
    let report = job().to_pdf().unwrap_err().to_string();
    assert!(report.contains("error[template]: the day of printing is not known"), "{report}");
    assert!(report.contains("`PrintJob::date`"), "{report}");
    assert!(job().date(Day::parse("2026-11-25").unwrap()).to_pdf().is_ok());
    let wrong = ["render", "orders.json", "--date", "25.11.2026", "-o", "out.pdf"];
    assert_eq!(desk.run(&wrong, b"").status.code(), Some(2));
}

/// What the languages in Latin, Greek and Cyrillic letters write has glyphs in the built-in fonts: amounts
/// below nothing too, whose minus the fonts lack and draw as a dash.
#[test]
fn amounts_below_nothing_print_in_every_language_of_our_letters() {
    let order = r#"[{"id": "TH-1", "ship_to": {"name": "Ada Marlow", "lines": ["12 Long Street"],
        "city": "Ternmouth", "postcode": "TR77 4NH", "country": "GB"}}]"#;
    for tag in [
        "bg", "cs", "da", "de", "el", "en", "es", "et", "eu", "fi", "fr", "hr", "hu", "it", "lt",
        "lv", "nb", "nl", "pl", "pt", "ro", "ru", "sk", "sl", "sv", "tr", "uk",
    ] {
        let layout = format!(
            "page: {{stock: a6, inset: 8}}\nmakes: insert\nreader: seller\nlanguage: {tag}\nbody:\n  \
             text: \"{{{{ '-10' | money('SEK') }}}} {{{{ '-1234.5' | number }}}} {{{{ '2026-11-30' | day }}}}\"\n"
        );
        let made = PrintJob::new(order).layout_text(layout).to_pdf();
        assert!(made.is_ok(), "{tag}: {}", made.unwrap_err());
    }
}

/// What the papers of a case say.
fn print_case(case: &Path) -> String {
    let read = |name: &str| fs::read_to_string(case.join(name)).ok();
    let (mut sources, mut found) = (Sources::new(), Vec::new());
    let shop = read("shop.yaml").and_then(|text| {
        let file = sources.add("shop.yaml", text);
        Shop::read(sources.get(file).text(), file, &mut found)
    });
    let file = sources.add("orders.json", read("orders.json").unwrap());
    let orders = read_orders(sources.get(file).shared_text(), file);
    found.extend(orders.findings);
    let options = BatchOptions { combine: true, ..BatchOptions::default() };
    let batch = Batch::assemble(None, orders.orders, shop.as_ref(), options, &mut Vec::new());
    let mut shown = String::new();
    for name in read("papers.txt").unwrap().lines() {
        let text = find_shipped(name).map_or_else(|| read(name).unwrap(), |it| it.text.to_owned());
        let file = sources.add(name, text);
        let (layout, faults) = read_layout(&mut sources, file, &NoFiles, Path::new(""));
        found.extend(faults);
        let Some(layout) = layout else { continue };
        print_papers(name, &layout, (&batch, shop.as_ref()), &mut shown, &mut found);
    }
    for finding in &found {
        writeln!(shown, "{}", render(finding, &sources, Style::Full)).unwrap();
    }
    shown
}

/// Prints one layout for every parcel, or once for a list.
fn print_papers(
    name: &str,
    layout: &Layout,
    of: (&Batch, Option<&Shop>),
    shown: &mut String,
    found: &mut Vec<Finding>,
) {
    let (batch, shop) = of;
    let binder = Binder::new(layout);
    let asked = binder.variables();
    let maker = ContextMaker::new(batch, shop)
        .in_layout(layout, &asked)
        .on_day(Day::parse("2026-11-30"))
        .only(asked);
    let contexts = match layout.makes {
        Makes::List => vec![maker.make_list()],
        _ => batch.parcels.iter().map(|parcel| maker.make(parcel)).collect(),
    };
    for context in contexts {
        writeln!(shown, "== {name}").unwrap();
        found.extend(context.notes.iter().cloned());
        let furniture =
            binder.bind_furniture(&context, 1, 2, &Cell::new(0)).map_err(|it| found.extend(it));
        let body = binder.bind(&context).map_err(|it| found.extend(it));
        let (Ok(furniture), Ok(body)) = (furniture, body) else { continue };
        for block in furniture.head.iter().chain(&body.body).chain(&furniture.foot) {
            write_block(block, shown);
        }
    }
}

/// The words of a block, a line each; the cells of a row are divided by a bar.
fn write_block(block: &Bound<'_>, shown: &mut String) {
    let mut line = |text: &str| {
        if !text.trim().is_empty() {
            writeln!(shown, "{}", text.replace('\n', " / ")).unwrap();
        }
    };
    match &block.content {
        Content::Stack { children, .. } | Content::Over(children) => {
            children.iter().for_each(|child| write_block(child, shown));
        }
        Content::Text { text, .. } => line(text),
        Content::Address { lines, .. } => line(&lines.join(", ")),
        Content::Blank { label, .. } => line(&format!("____ {label}")),
        Content::Table(table) => {
            let none = [Vec::new()];
            let totals = if table.totals.is_empty() { &none } else { &table.totals[..] };
            let rows = [&table.head].into_iter().chain(&table.rows).chain(totals);
            rows.for_each(|row| line(&row.join(" | ")));
        }
        _ => {}
    }
}
