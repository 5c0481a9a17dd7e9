//! How many codes of the sample batch still read when their print is damaged.
//!
//! Every code of every shipped layout, on printers of 203 and 300 dpi, gets each damage by itself,
//! and is read by rxing through the spot of light that a verifier measures with (ISO/IEC 15416).
//! Scanners see what a spot sees. Bare dots, which are read only for the steps of modules, are
//! harsher than any scanner: a single wrong dot puts an edge where there is none.

use std::collections::HashMap;
use std::fmt::Write as _;
use std::path::Path;

use serde_json::json;
use slipwright::export::Bitmap;
use slipwright::fonts::Shaper;
use slipwright::geom::Stance;
use slipwright::scene::{CodeMark, MarkKind, Symbol};
use slipwright::shipped::SHIPPED;
use slipwright::verify::print_page;
use slipwright::{
    Batch, BatchOptions, DotGrid, FontBook, Layout, Page, Sources, find_shipped, read_orders,
};

use crate::damage_support::{Print, spot_of};
use crate::export_support::PageBuilder;
use crate::sample_pages::{layout_of, print_batch, sample_batch, sample_pages};

/// Columns across a code that go dead, one at a time; it must read with each of them.
const COLUMNS: usize = 7;

/// A page as it comes out of printers with and without gain.
struct Printed {
    /// As it was composed.
    plain: Bitmap,
    /// With a dot of gain.
    gained: Bitmap,
    /// With a dot of loss.
    lost: Bitmap,
}

/// A damage: its name, and what it makes of a code.
type Damage = (&'static str, fn(&Printed, &CodeMark, DotGrid) -> Vec<Print>);

/// The damages.
const DAMAGES: [Damage; 9] = [
    ("none", |page, code, grid| vec![Print::cut(&page.plain, code, grid)]),
    ("1 dot of gain", |page, code, grid| vec![Print::cut(&page.gained, code, grid)]),
    ("1 dot of loss", |page, code, grid| vec![Print::cut(&page.lost, code, grid)]),
    ("dead column", |page, code, grid| columns(page, code, grid, false)),
    ("black column", |page, code, grid| columns(page, code, grid, true)),
    ("2 % speckle", |page, code, grid| {
        let seed = u64::from(code.dots.x) << 32 | u64::from(code.dots.y);
        vec![Print::cut(&page.plain, code, grid).speckled(50, seed + code.payload.len() as u64)]
    }),
    ("1 % longer", |page, code, grid| vec![Print::cut(&page.plain, code, grid).stretched(1.01)]),
    ("1 % shorter", |page, code, grid| vec![Print::cut(&page.plain, code, grid).stretched(0.99)]),
    ("5° askew", |page, code, grid| vec![Print::cut(&page.plain, code, grid).skewed(5.0)]),
];

/// A code with a dead column in each of several places.
fn columns(page: &Printed, code: &CodeMark, grid: DotGrid, black: bool) -> Vec<Print> {
    let mut print = Print::cut(&page.plain, code, grid);
    // Bars are the same all the way down.
    if code.symbol.is_bars() {
        print = print.middle(24);
    }
    let quiet = (print.width - code.dots.width as usize) / 2;
    let place = |column: usize| quiet + code.dots.width as usize * (2 * column + 1) / (2 * COLUMNS);
    (0..COLUMNS).map(|column| print.with_column(place(column), black)).collect()
}

/// The codes of a page.
fn codes(page: &Page) -> impl Iterator<Item = &CodeMark> {
    page.marks.iter().filter_map(|mark| match &mark.kind {
        MarkKind::Code(code) => Some(code),
        _ => None,
    })
}

/// How a print is looked at.
#[derive(Clone, Copy)]
enum Look {
    /// Through the spot of light of a scanner.
    Spot,
    /// Dot by dot.
    Bare,
}

/// Codes that read, of how many.
#[derive(Clone, Default)]
struct Count {
    /// Codes.
    all: usize,
    /// Codes that read, for each way of looking.
    read: Vec<usize>,
}

/// What was read of codes printed with just the same dots: by the row's length and the dots, for
/// each damage and way of looking. Many layouts show the same code in the same size.
type Known = HashMap<(usize, Vec<bool>), Vec<Vec<bool>>>;

/// How many of some pages' codes of a kind read under each damage.
fn count(pages: &[Page], is_kind: IsKind, looks: &[Look], known: &mut Known) -> Vec<Count> {
    let book = FontBook::builtin();
    let mut counts = vec![Count { all: 0, read: vec![0; looks.len()] }; DAMAGES.len()];
    let has_any = |page: &&Page| codes(page).any(|code| is_kind(&code.symbol));
    for page in pages.iter().filter(has_any) {
        let print = |gain| print_page(page, &book, gain);
        let printed = Printed { plain: print(0), gained: print(1), lost: print(-1) };
        for code in codes(page).filter(|code| is_kind(&code.symbol)) {
            let print = Print::cut(&printed.plain, code, page.grid);
            let read = known.entry((print.width, print.black)).or_insert_with(|| {
                let all = |(_, damage): &Damage| {
                    let prints = damage(&printed, code, page.grid);
                    let all = |look| prints.iter().all(|it| reads(it, code, page.grid, look));
                    looks.iter().map(|look| all(*look)).collect()
                };
                DAMAGES.iter().map(all).collect()
            });
            for (count, read) in counts.iter_mut().zip(read) {
                count.all += 1;
                for (sum, read) in count.read.iter_mut().zip(read) {
                    *sum += usize::from(*read);
                }
            }
        }
    }
    counts
}

/// Whether a print of a code says what the code says.
fn reads(print: &Print, code: &CodeMark, grid: DotGrid, look: Look) -> bool {
    let module = grid.length(f64::from(code.module_dots)).0;
    let read = match look {
        Look::Spot => print.seen(spot_of(module) * grid.per_mm()).read(&code.symbol),
        Look::Bare => print.read(&code.symbol),
    };
    read.as_ref() == Some(&code.payload)
}

/// The row of a table: what it is about, its cells.
type Row = (String, Vec<String>);

/// A table in Markdown with a column a damage; columns are as wide as their widest cell.
fn table(first: &[&str], rows: &[Row]) -> String {
    let heads = first.iter().copied().chain(DAMAGES.map(|(name, _)| name));
    let heads: Vec<String> = heads.map(str::to_owned).collect();
    let rows = rows.iter().map(|(name, cells)| [std::slice::from_ref(name), cells].concat());
    let mut lines = vec![heads];
    lines.extend(rows);
    let width = |column: usize| lines.iter().map(|line| line[column].chars().count()).max();
    let widths: Vec<usize> = (0..lines[0].len()).map(|column| width(column).unwrap()).collect();
    let mut told = String::new();
    for (number, line) in lines.iter().enumerate() {
        for (column, (cell, width)) in line.iter().zip(&widths).enumerate() {
            let _ = match column {
                0 => write!(told, "| {cell:<width$} |"),
                _ => write!(told, " {cell:>width$} |"),
            };
        }
        told.push('\n');
        if number == 0 {
            for (column, width) in widths.iter().enumerate() {
                let end = if column == 0 { "|:" } else { "" };
                let right = if column == 0 { "|" } else { ":|" };
                let _ = write!(told, "{end}{}{right}", "-".repeat(width + 1));
            }
            told.push('\n');
        }
    }
    told
}

/// Whether a code is a row of bars.
fn is_bars(symbol: &Symbol) -> bool {
    matches!(symbol, Symbol::Code128(_))
}

/// Whether a code is a square.
fn is_square(symbol: &Symbol) -> bool {
    matches!(symbol, Symbol::Qr(_))
}

/// Three codes of each kind with modules of so many dots.
fn step(shaper: &mut Shaper, grid: DotGrid, module: u32) -> Page {
    let mut page = PageBuilder::new(shaper, (200.0, 100.0), grid, "Step");
    for (row, id) in (0..).zip(["TH-1041", "+TH-1042", "PO-2024-0001"]) {
        page.code128((100, 16 + 140 * row), module, 120, Stance::UPRIGHT, id);
    }
    for (column, scan) in (0..).zip(["SW/L/V57X/1-11/TVXF", "SW/C/CTT6/4-11/TVXF", "SW/C/PQRS"]) {
        page.qr((100 + 280 * column, 500), module, scan);
    }
    page.finish()
}

/// Compares with what is expected.
fn compare(name: &str, told: &str) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/damage");
    let failure = crate::support::compare(&folder.join(name), told);
    assert!(failure.is_none(), "{}", failure.unwrap_or_default());
}

/// Whether a code is of a kind.
type IsKind = fn(&Symbol) -> bool;

/// The kinds of codes.
const KINDS: [(&str, IsKind); 2] = [("code128", is_bars), ("qr", is_square)];

/// How many codes of the first so many parcels of the sample batch read under each damage as a
/// scanner sees them, in every shipped layout that has any; all must.
fn tell_sample(dpi: f64, parcels: usize) -> String {
    let (mut rows, mut known) = (Vec::new(), Known::new());
    let grid = DotGrid::from_dpi(dpi).unwrap();
    for layout in SHIPPED {
        let pages = sample_pages(layout.name, grid);
        let pages = &pages[..pages.len().min(parcels)];
        for (kind, is_kind) in KINDS {
            let counts = count(pages, is_kind, &[Look::Spot], &mut known);
            let all = counts[0].all;
            if all == 0 {
                continue;
            }
            let name = format!("{}, {kind}", layout.name);
            for (damage, count) in DAMAGES.iter().zip(&counts) {
                assert_eq!(count.read, [all], "{name} at {dpi} dpi, {}", damage.0);
            }
            let cells = counts.iter().map(|count| count.read[0].to_string());
            rows.push((name, [all.to_string()].into_iter().chain(cells).collect()));
        }
    }
    let head = [&*format!("codes that read, at {dpi} dpi"), "of"];
    table(&head, &rows)
}

#[test]
fn codes_of_the_sample_batch_under_every_single_damage_at_203_dpi() {
    compare("sample-203.md", &tell_sample(203.0, usize::MAX));
}

/// Three parcels, of which the second is combined: the modules are smaller than at 203 dpi, and the
/// codes no others.
#[test]
fn codes_of_the_sample_batch_under_every_single_damage_at_300_dpi() {
    compare("sample-300.md", &tell_sample(300.0, 3));
}

/// The sample has a parcel of two orders, whose bars say the first one's id and no more.
#[test]
fn the_sample_has_a_combined_parcel() {
    let (batch, _) = sample_batch();
    let combined = batch.parcels.iter().find(|parcel| parcel.orders.len() > 1).unwrap();
    assert_eq!((combined.id(), combined.position), ("TH-1042", 2));
}

/// What the sizes of codes in the shipped layouts are chosen by.
#[test]
fn codes_of_every_module_under_every_single_damage() {
    let book = FontBook::builtin();
    let mut shaper = Shaper::new(&book);
    let both = [Look::Spot, Look::Bare];
    let mut told = String::new();
    for dpi in [203.0, 300.0] {
        let grid = DotGrid::from_dpi(dpi).unwrap();
        let mut rows = Vec::new();
        for (kind, is_kind) in KINDS {
            for module in 2..=7 {
                let page = step(&mut shaper, grid, module);
                let counts = count(&[page], is_kind, &both, &mut Known::new());
                let cells = counts.iter().map(|it| format!("{} {}", it.read[0], it.read[1]));
                rows.push((format!("{kind}, {module} dots"), cells.collect()));
            }
        }
        let head = [&*format!("at {dpi} dpi")];
        let _ = writeln!(told, "{}", table(&head, &rows));
    }
    let head = "Of three codes of each module, those that read as a scanner sees them, and as bare \
                dots.";
    compare("modules.md", &format!("{head}\n\n{}\n", told.trim_end()));
}

/// How many columns of some bars make them unreadable when they alone go dead, or black, and of how
/// many: to a scanner's spot and to a reader that sees every dot.
fn count_columns(shaper: &mut Shaper, module: u32) -> [String; 5] {
    let grid = DotGrid::DPI_203;
    let mut page = PageBuilder::new(shaper, (200.0, 40.0), grid, "Columns");
    page.code128((100, 16), module, 24, Stance::UPRIGHT, "TH-1041");
    let page = page.finish();
    let code = codes(&page).next().unwrap();
    // Three rows tell what all rows do, and are read the sooner.
    let print = Print::cut(&print_page(&page, &FontBook::builtin(), 0), code, grid).middle(3);
    let quiet = (print.width - code.dots.width as usize) / 2;
    let columns = quiet..quiet + code.dots.width as usize;
    let count = |black: bool, look: Look| {
        let unread = |column: &usize| !reads(&print.with_column(*column, black), code, grid, look);
        columns.clone().filter(unread).count().to_string()
    };
    [
        columns.len().to_string(),
        count(false, Look::Spot),
        count(true, Look::Spot),
        count(false, Look::Bare),
        count(true, Look::Bare),
    ]
}

/// Six dots are safe from a dead dot only for a reader with a spot.
#[test]
fn every_single_column_of_some_bars() {
    let book = FontBook::builtin();
    let mut shaper = Shaper::new(&book);
    let mut told = String::from(
        "Of all columns of the bars `TH-1041` at 203 dpi, those that alone make them unreadable: to \
         a scanner with a spot of light, and to a reader that sees every dot.\n\n\
         | dots a module | columns | dead, spot | black, spot | dead, every dot | black, every dot |\n\
         |---:|---:|---:|---:|---:|---:|\n",
    );
    for module in [5, 6] {
        let counts = count_columns(&mut shaper, module);
        let _ = writeln!(told, "| {module} | {} |", counts.join(" | "));
        assert!(module < 6 || counts[1..3] == ["0", "0"], "{counts:?}");
    }
    compare("columns.md", &told);
}

/// How many dots a module the bars of an order with this id get on a label, and those of a parcel
/// that it shares with another.
fn dots_of(layout: &Layout, id: &str) -> [u32; 2] {
    let order = |id: &str, apart: bool| {
        json!({"id": id, "apart": apart, "hazard": "none", "items": [{"title": "Nib"}],
            "ship_to": {"name": "Ole Brandt", "lines": ["3 Mill Lane"], "city": "Ternmouth",
                "postcode": "TR77 4NH", "country": "GB"}})
    };
    [true, false].map(|apart| {
        let text = json!([order(id, apart), order("other", apart)]).to_string();
        let mut sources = Sources::new();
        let file = sources.add("orders.json", text.as_str());
        let orders = read_orders(&text, file).orders;
        let options = BatchOptions { combine: true, ..BatchOptions::default() };
        let (_, shop) = sample_batch();
        let batch = Batch::assemble(None, orders, Some(&shop), options, &mut Vec::new());
        let grid = Some(DotGrid::DPI_203);
        let printed = print_batch((&batch, Some(&shop)), layout, grid, 1);
        let bars = codes(&printed.pages[0]).find(|code| is_bars(&code.symbol)).unwrap();
        assert_eq!(bars.payload, *batch.parcels[0].id());
        bars.module_dots
    })
}

/// How long an id may be for all damages to be survived: 6 dots a module.
#[test]
fn dots_of_ids_of_many_lengths() {
    let layouts = ["label-4x6in", "label-100x150mm"];
    let mut told = format!(
        "Dots a module at 203 dpi; from 6 on a scanner's spot of light does not \
         see a dead column.\n\n| id | {} |\n|:---|---:|---:|\n",
        layouts.join(" | ")
    );
    let ids = [
        "TH-1041",
        "TH-12345",
        "TH-123456",
        "TH-1234567",
        "1041",
        "12345678",
        "1234567890",
        "12345678901234",
        "2026-0001",
        "PO-2026-0001",
        "MARLOW",
        "MARLOWS",
        "MARLOW-23",
    ];
    for id in ids {
        let cells = layouts.map(|name| {
            let [alone, combined] = dots_of(&layout_of(find_shipped(name).unwrap().text), id);
            assert_eq!(alone, combined, "a combined parcel's bars say no more: {id}");
            alone.to_string()
        });
        let _ = writeln!(told, "| `{id}` | {} |", cells.join(" | "));
    }
    compare("ids.md", &told);
}
