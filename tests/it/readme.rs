//! What README.md and the pages of `docs/` show is true: commands run, snippets read, pictures are
//! ours.
//!
//! What a code block is, is said where it opens:
//! - `sh`: lines that begin with `slipwright` or `cargo run --release --` are run, page by page, in a
//!   folder that has `samples/` and copies of two of them, `orders.json` and `shop.yaml`; what they
//!   write has to be there afterwards;
//! - `text`: stands, as it is, in what the page's commands said, or in what a case expects;
//! - `json`: orders; `yaml`: a layout; `yaml shop`: a part of a shop file; `yaml map`: the map of an
//!   export; `yaml dispatch`: the map of the way back to the shop. Each is read without a finding.
//!
//! `rust`, `python` and `sh pipe` are for programs and scripts: `programs.rs` runs them.
//!
//! A block of any other kind needs a test of its own, named in `KINDS`.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use slipwright::dispatch::read_dispatch_map;
use slipwright::intake::read_intake_map;
use slipwright::shipped::SHIPPED;
use slipwright::shop::shop_schema;
use slipwright::workings::command_line;
use slipwright::{DotGrid, FontBook, NoFiles, Shop, Sources, read_layout, read_orders, render_png};

use crate::command::Desk;
use crate::sample_pages::sample_pages;
use crate::support::is_drawable;

/// What may open a code block.
const KINDS: [&str; 10] = [
    "sh",
    "sh pipe",
    "text",
    "json",
    "yaml",
    "yaml shop",
    "yaml map",
    "yaml dispatch",
    "rust",
    "python",
];

/// The most lines of README.md: the rest is told in `docs/`.
const README_LINES: usize = 160;

/// A page that a person reads.
struct Page {
    /// Its path in the project.
    path: String,
    /// What it says.
    text: String,
}

/// A code block of a page.
pub(crate) struct Snippet {
    /// The page and the line it opens on.
    place: String,
    /// What is said where it opens.
    kind: String,
    /// What stands in it.
    pub(crate) text: String,
}

impl Page {
    /// Its code blocks, in order.
    fn snippets(&self) -> Vec<Snippet> {
        let mut snippets: Vec<Snippet> = Vec::new();
        let mut open = false;
        for (index, line) in self.text.lines().enumerate() {
            match (line.strip_prefix("```"), open) {
                (Some(kind), false) => {
                    let place = format!("{}:{}", self.path, index + 1);
                    snippets.push(Snippet { place, kind: kind.to_owned(), text: String::new() });
                    open = true;
                }
                (Some(_), true) => open = false,
                (None, true) => snippets.last_mut().unwrap().text += &format!("{line}\n"),
                (None, false) => {}
            }
        }
        assert!(!open, "{}: a code block is never closed", self.path);
        snippets
    }
}

/// The crate's folder.
fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// README.md and the pages of `docs/`, by name.
fn pages() -> Vec<Page> {
    let mut paths = vec!["README.md".to_owned()];
    for entry in fs::read_dir(root().join("docs")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if name.ends_with(".md") {
            paths.push(format!("docs/{name}"));
        }
    }
    paths.sort();
    assert!(paths.len() >= 9, "the pages are gone");
    let page = |path: String| Page { text: fs::read_to_string(root().join(&path)).unwrap(), path };
    paths.into_iter().map(page).collect()
}

/// The code blocks of one kind, of all pages.
pub(crate) fn snippets(kind: &str) -> Vec<Snippet> {
    let all = pages().into_iter().flat_map(|page| page.snippets());
    let found: Vec<Snippet> = all.filter(|snippet| snippet.kind == kind).collect();
    assert!(!found.is_empty(), "no page has a block `{kind}`");
    found
}

/// A folder with everything that the pages' commands name.
pub(crate) fn prepared_desk() -> Desk {
    let desk = Desk::new();
    fs::create_dir(desk.path("samples")).unwrap();
    for entry in fs::read_dir(root().join("samples")).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() && path.extension().is_none_or(|ending| ending != "png") {
            fs::copy(&path, desk.path("samples").join(path.file_name().unwrap())).unwrap();
        }
    }
    desk.sample("shop.yaml");
    fs::copy(root().join("samples/evening.json"), desk.path("orders.json")).unwrap();
    desk
}

/// The words of a line that is a command of ours.
fn command(line: &str) -> Option<Vec<&str>> {
    let ours = ["cargo run --release -- ", "slipwright "];
    let arguments = ours.iter().find_map(|start| line.strip_prefix(start))?;
    Some(arguments.split_whitespace().collect())
}

/// Runs a page's commands in order and gives what they said.
fn run_page(page: &Page, desk: &Desk) -> String {
    let mut said = String::new();
    for snippet in page.snippets().iter().filter(|snippet| snippet.kind == "sh") {
        for arguments in snippet.text.lines().filter_map(command) {
            let output = desk.done(&arguments);
            said += &String::from_utf8(output.stdout).unwrap();
            said += &String::from_utf8(output.stderr).unwrap();
            for pair in
                arguments.windows(2).filter(|pair| ["-o", "--to", "--cards"].contains(&pair[0]))
            {
                assert!(desk.path(pair[1]).exists(), "{}: no {} is made", snippet.place, pair[1]);
            }
        }
    }
    said
}

/// All that the cases of `tests/cases` expect, one after another.
fn expected_texts(folder: &Path) -> String {
    let mut texts = String::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            texts += &expected_texts(&path);
        } else if path.file_name().is_some_and(|name| name == "expected.txt") {
            texts += &fs::read_to_string(&path).unwrap();
        }
    }
    texts
}

#[test]
fn the_readme_is_short() {
    let page = pages().into_iter().find(|page| page.path == "README.md").unwrap();
    let lines = page.text.lines().count();
    assert!(lines < README_LINES, "README.md has {lines} lines: more belongs into `docs/`");
}

#[test]
fn the_readme_names_every_command() {
    let page = pages().into_iter().find(|page| page.path == "README.md").unwrap();
    let rows = page.text.lines().filter_map(|line| line.strip_prefix("| `")?.split('`').next());
    let told: BTreeSet<&str> = rows.collect();
    let command = command_line();
    let names: BTreeSet<&str> = command.get_subcommands().map(|it| it.get_name()).collect();
    assert_eq!(told, names);
}

#[test]
fn every_block_is_of_a_kind_that_is_tested() {
    for snippet in pages().iter().flat_map(Page::snippets) {
        let known = KINDS.contains(&snippet.kind.as_str());
        assert!(known, "{}: `{}` is tested by nothing", snippet.place, snippet.kind);
    }
}

#[test]
fn the_commands_do_what_they_say() {
    let cases = expected_texts(&root().join("tests/cases"));
    for page in pages() {
        let desk = prepared_desk();
        let said = run_page(&page, &desk);
        for snippet in page.snippets().iter().filter(|snippet| snippet.kind == "text") {
            let shown = said.contains(&snippet.text) || cases.contains(&snippet.text);
            assert!(shown, "{}: nothing says this; the commands said\n{said}", snippet.place);
        }
        let reprint = desk.path("friday/reprint-1/labels.pdf");
        assert_eq!(reprint.is_file(), page.path == "docs/evening.md", "{}", page.path);
    }
}

#[test]
fn layouts_are_read_without_a_word() {
    for snippet in snippets("yaml") {
        let mut sources = Sources::new();
        let file = sources.add(snippet.place.clone(), snippet.text);
        let (layout, faults) = read_layout(&mut sources, file, &NoFiles, Path::new(""));
        assert!(layout.is_some() && faults.is_empty(), "{}: {faults:?}", snippet.place);
    }
}

#[test]
fn orders_are_read_without_a_word() {
    for snippet in snippets("json") {
        let mut sources = Sources::new();
        let file = sources.add(snippet.place.clone(), snippet.text);
        let orders = read_orders(sources.get(file).text(), file);
        assert!(orders.findings.is_empty(), "{}: {:?}", snippet.place, orders.findings);
        assert!(!orders.orders.is_empty(), "{}", snippet.place);
    }
}

#[test]
fn parts_of_a_shop_file_are_read_without_a_word() {
    for snippet in snippets("yaml shop") {
        let mut text = snippet.text;
        for line in ["name: Tern Hollow Pens", "address: {country: GB}", "currency: GBP"] {
            let key = line.split(' ').next().unwrap();
            if !text.lines().any(|line| line.starts_with(key)) {
                text = format!("{line}\n{text}");
            }
        }
        let mut sources = Sources::new();
        let file = sources.add(snippet.place.clone(), text.as_str());
        let mut faults = Vec::new();
        let shop = Shop::read(&text, file, &mut faults);
        assert!(shop.is_some() && faults.is_empty(), "{}: {faults:?}", snippet.place);
    }
}

#[test]
fn maps_of_an_export_are_read_without_a_word() {
    for snippet in snippets("yaml map") {
        let mut sources = Sources::new();
        let file = sources.add(snippet.place.clone(), snippet.text.as_str());
        let mut found = Vec::new();
        let map = read_intake_map(&snippet.text, file, &mut found);
        assert!(map.is_some() && found.is_empty(), "{}: {found:?}", snippet.place);
    }
}

#[test]
fn maps_of_the_way_back_are_read_without_a_word() {
    for snippet in snippets("yaml dispatch") {
        let mut sources = Sources::new();
        let file = sources.add(snippet.place.clone(), snippet.text.as_str());
        let mut found = Vec::new();
        let map = read_dispatch_map(&snippet.text, file, &mut found);
        assert!(map.is_some() && found.is_empty(), "{}: {found:?}", snippet.place);
    }
}

/// `SLIPWRIGHT_BLESS=1` writes the table anew.
#[test]
fn the_shop_files_sections_are_all_told() {
    let schema = shop_schema();
    let mut rows = String::from("\n| key | what it says |\n|---|---|\n");
    for (key, value) in schema["properties"].as_object().unwrap() {
        rows += &format!("| `{key}` | {} |\n", value["description"].as_str().unwrap());
    }
    let path = root().join("docs/shop.md");
    let text = fs::read_to_string(&path).unwrap();
    let (before, rest) = text.split_once("<!-- generated: shop -->").unwrap();
    let (_, after) = rest.split_once("<!-- end -->").unwrap();
    let whole = format!("{before}<!-- generated: shop -->{rows}<!-- end -->{after}");
    let failure = crate::support::compare(&path, &whole);
    assert!(failure.is_none(), "run SLIPWRIGHT_BLESS=1 cargo test: docs/shop.md is stale");
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
        if !is_drawable(page) {
            continue;
        }
        let drawn = render_png(page, &book).unwrap();
        let path: &Path = &root().join("samples").join(format!("{}.png", layout.name));
        if std::env::var_os("SLIPWRIGHT_BLESS").is_some() {
            fs::write(path, &drawn).unwrap();
        }
        assert!(fs::read(path).is_ok_and(|kept| kept == drawn), "{} is stale", path.display());
    }
}
