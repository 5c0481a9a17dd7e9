//! The papers of `samples/papers`: each prints without a word, and its picture is what it prints.
//!
//! `SLIPWRIGHT_BLESS=1` draws the pictures anew; look at them before they are committed.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use slipwright::fields::Day;
use slipwright::pipeline::Selection;
use slipwright::shop::PageOrder;
use slipwright::{
    Batch, BatchOptions, Document, DotGrid, Env, Finding, FontBook, Page, PictureStore, Run,
    Severity, Shop, Sources, has_errors, read_layout, read_orders, watch_batch,
};

use crate::command::Desk;
use crate::guide::draw;

/// The folder of the papers.
fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/papers")
}

/// What layouts there can name.
struct Papers;

impl Env for Papers {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        fs::read(folder().join(path))
    }
}

/// The layouts by name; a file that is only there to be included is none.
fn layouts() -> Vec<String> {
    let files = fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path());
    let mut names: Vec<String> = files
        .filter(|path| path.extension().is_some_and(|ending| ending == "yaml"))
        .map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned())
        .filter(|name| name != "shop" && name != "house")
        .collect();
    names.sort();
    names
}

/// The orders and the shop.
fn read_batch() -> (Batch, Shop) {
    let read = |name: &str| fs::read_to_string(folder().join(name)).unwrap();
    let (mut sources, mut found) = (Sources::new(), Vec::new());
    let file = sources.add("shop.yaml", read("shop.yaml"));
    let shop = Shop::read(sources.get(file).text(), file, &mut found).unwrap();
    let file = sources.add("orders.json", read("orders.json"));
    let orders = read_orders(sources.get(file).text(), file);
    found.extend(orders.findings);
    let name = orders.batch_name.as_deref();
    let batch =
        Batch::assemble(name, orders.orders, Some(&shop), BatchOptions::default(), &mut found);
    assert!(!has_errors(&found), "{found:?}");
    (batch, shop)
}

/// The pages of a layout for the buyers whose letters the built-in fonts have.
fn print(name: &str, batch: &Batch, shop: &Shop, book: &FontBook) -> (Vec<Page>, Vec<Finding>) {
    let mut sources = Sources::new();
    let text = fs::read_to_string(folder().join(format!("{name}.yaml"))).unwrap();
    let file = sources.add(format!("{name}.yaml"), text);
    let (layout, faults) = read_layout(&mut sources, file, &Papers, Path::new(""));
    assert!(faults.is_empty(), "{name}: {faults:?}");
    let layout = layout.unwrap();
    let pictures = PictureStore::new(&Papers, "");
    let document = Document {
        shop: Some(shop),
        grid: Some(DotGrid::DPI_203),
        date: Day::parse("2026-11-27"),
        selection: Selection::only([0, 3], PageOrder::Bench),
        ..Document::new(batch, &layout, book, &pictures)
    };
    let mut pages = Vec::new();
    let take = |page| {
        pages.push(page);
        Ok(())
    };
    let run = Run::new(&document).unwrap();
    let outcome = run.make(&mut watch_batch(batch), Page::clone, take, |_| {}).unwrap();
    (pages, outcome.findings)
}

#[test]
fn every_paper_prints_without_a_word_and_looks_like_its_picture() {
    let (batch, shop) = read_batch();
    let book = FontBook::builtin();
    let page = fs::read_to_string(folder().join("README.md")).unwrap();
    let names = layouts();
    assert!(names.len() >= 10, "the papers are gone");
    let mut stale = Vec::new();
    for name in &names {
        let (pages, found) = print(name, &batch, &shop, &book);
        let said: Vec<_> = found.iter().filter(|it| it.severity != Severity::Note).collect();
        assert!(said.is_empty(), "{name}: {said:?}");
        assert!(page.contains(&format!("({name}.yaml)")), "README.md does not show {name}");
        // What is declared is on the last parcel.
        let shown = if name.contains("declared") { pages.last() } else { pages.first() };
        let bytes = draw(&[shown.unwrap().clone()], &book);
        let path = folder().join(format!("{name}.png"));
        if std::env::var_os("SLIPWRIGHT_BLESS").is_some() {
            fs::write(&path, &bytes).unwrap();
        }
        if !fs::read(&path).is_ok_and(|kept| kept == bytes) {
            stale.push(name);
        }
    }
    assert!(stale.is_empty(), "run SLIPWRIGHT_BLESS=1 cargo test: {stale:?} are stale");
}

#[test]
#[ignore = "needs Debian's fonts-noto-core and fonts-noto-cjk"]
fn the_slip_prints_in_japanese_and_arabic() {
    let desk = Desk::new();
    fs::create_dir(desk.path("fonts")).unwrap();
    for font in [
        "truetype/noto/NotoSansArabic-Regular.ttf",
        "truetype/noto/NotoSansArabic-Bold.ttf",
        "opentype/noto/NotoSansCJK-Regular.ttc",
        "opentype/noto/NotoSansCJK-Bold.ttc",
    ] {
        let from = Path::new("/usr/share/fonts").join(font);
        fs::copy(&from, desk.path("fonts").join(from.file_name().unwrap())).unwrap();
    }
    let papers = folder();
    let (orders, layout) = (papers.join("orders.json"), papers.join("slip-a5.yaml"));
    let words = [
        "render",
        orders.to_str().unwrap(),
        "--layout",
        layout.to_str().unwrap(),
        "--fonts",
        "fonts",
        "-o",
        "slips.pdf",
    ];
    let told = String::from_utf8(desk.done(&words).stderr).unwrap();
    assert_eq!(told, "4 parcels: 4 pages in `slips.pdf`\n");
}
