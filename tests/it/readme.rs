//! What README.md shows is true: its commands run, its snippets read, its pictures are ours.

use std::fs;
use std::path::{Path, PathBuf};

use slipwright::{
    DotGrid, FontBook, NoFiles, SHIPPED, Shop, Sources, read_intake_map, read_layout, read_orders,
    render_png,
};

use crate::command::Desk;
use crate::sample_pages::sample_pages;

/// The crate's folder.
fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The blocks of one language in README.md.
fn snippets(language: &str) -> Vec<String> {
    let text = fs::read_to_string(root().join("README.md")).unwrap();
    let fence = format!("```{language}\n");
    let blocks = text.split(&fence).skip(1);
    blocks.map(|block| block.split("```").next().unwrap().to_owned()).collect()
}

#[test]
fn the_commands_do_what_they_say() {
    let desk = Desk::new();
    fs::create_dir(desk.path("samples")).unwrap();
    let samples = [
        "evening.json",
        "shop.yaml",
        "carrier.json",
        "carrier-label.pdf",
        "export.csv",
        "export-map.yaml",
        "sitting.csv",
        "sitting-map.yaml",
    ];
    for sample in samples {
        fs::copy(root().join("samples").join(sample), desk.path("samples").join(sample)).unwrap();
    }
    desk.sample("shop.yaml");
    fs::copy(root().join("samples/evening.json"), desk.path("orders.json")).unwrap();
    let mut run = 0;
    for line in snippets("sh").iter().flat_map(|block| block.lines()) {
        let arguments = match line.split_once("cargo run --release -- ") {
            Some((_, arguments)) => arguments,
            None => match line.strip_prefix("slipwright ") {
                Some(arguments) => arguments,
                None => continue,
            },
        };
        desk.done(&arguments.split_whitespace().collect::<Vec<_>>());
        run += 1;
    }
    assert!(run >= 4, "{run} commands were run");
    let kits = ["tonight/overview.pdf", "friday/reprint-1/labels.pdf"];
    let made = ["labels.pdf", "cards.pdf", "mine.yaml", "map.yaml", "thursday.json"];
    let sitting = ["sitting.json", "sitting/overview.pdf"];
    for made in kits.into_iter().chain(made).chain(sitting) {
        assert!(desk.path(made).is_file(), "{made}");
    }
}

#[test]
fn the_snippets_read_without_a_word() {
    for (index, text) in snippets("yaml").into_iter().enumerate() {
        let mut sources = Sources::new();
        let file = sources.add(format!("yaml {index}"), text);
        let (layout, faults) = read_layout(&mut sources, file, (&NoFiles, Path::new("")));
        assert!(layout.is_some() && faults.is_empty(), "{faults:?}");
    }
    for (index, text) in snippets("json").into_iter().enumerate() {
        let mut sources = Sources::new();
        let file = sources.add(format!("json {index}"), text);
        let orders = read_orders(sources.get(file).text(), file);
        assert!(orders.diagnostics.is_empty(), "{:?}", orders.diagnostics);
        assert_eq!(orders.orders.len(), 1);
    }
}

#[test]
fn the_printers_are_read_without_a_word() {
    let texts = snippets("text");
    let printers = texts.iter().find(|text| text.starts_with("printers:")).unwrap();
    let text = format!("name: Tern Hollow Pens\naddress: {{country: GB}}\n{printers}");
    let mut sources = Sources::new();
    let file = sources.add("shop.yaml", text.as_str());
    let mut faults = Vec::new();
    let shop = Shop::read(&text, file, &mut faults).unwrap_or_else(|| panic!("{faults:?}"));
    assert_eq!(shop.printers.list().len(), 2);
}

#[test]
fn the_map_of_an_export_reads_without_a_word() {
    let texts = snippets("text");
    let map = texts.iter().find(|text| text.starts_with("fields:")).unwrap();
    let mut sources = Sources::new();
    let file = sources.add("map.yaml", map.as_str());
    let mut found = Vec::new();
    assert!(read_intake_map(map, file, &mut found).is_some(), "{found:?}");
}

#[test]
fn the_packs_and_prices_are_read_without_a_word() {
    let texts = snippets("text");
    let rules = texts.iter().find(|text| text.starts_with("packs:")).unwrap();
    let text = format!("name: Tern Hollow Pens\naddress: {{country: GB}}\ncurrency: GBP\n{rules}");
    let mut sources = Sources::new();
    let file = sources.add("shop.yaml", text.as_str());
    let mut faults = Vec::new();
    let shop = Shop::read(&text, file, &mut faults).unwrap();
    assert_eq!(faults, []);
    assert_eq!(shop.rules.rates.unwrap().services.len(), 2);
}

#[test]
fn the_table_of_weights_is_the_real_one() {
    let texts = snippets("text");
    let shown = texts.iter().find(|text| text.starts_with("    tag ")).unwrap();
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml");
    let run = desk.done(&["weigh", "evening.json", "--combine"]);
    let told = String::from_utf8(run.stdout).unwrap();
    assert!(told.starts_with(shown.as_str()), "README.md shows another table than\n{told}");
}

/// The page of a layout, from 0, that its picture shows: the sample's first parcel is neither a
/// present nor sent abroad.
fn shown_page(layout: &str) -> usize {
    match layout {
        "gift-slip-a4" | "gift-slip-4x6in" => 6,
        "customs-sheet-a5" => 1,
        _ => 0,
    }
}

/// `SLIPWRIGHT_BLESS=1` draws the pictures anew; look at them before they are committed.
#[test]
fn the_pictures_are_what_the_engine_draws() {
    let book = FontBook::builtin();
    for layout in SHIPPED {
        let page = &sample_pages(layout.name, DotGrid::DPI_203)[shown_page(layout.name)];
        let drawn = render_png(page, &book).unwrap();
        let path: &Path = &root().join("samples").join(format!("{}.png", layout.name));
        if std::env::var_os("SLIPWRIGHT_BLESS").is_some() {
            fs::write(path, &drawn).unwrap();
        }
        assert!(fs::read(path).is_ok_and(|kept| kept == drawn), "{} is stale", path.display());
    }
}
