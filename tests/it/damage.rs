//! How many codes of the sample batch still read when their print is damaged.
//!
//! Every code of every label and card at 203 dpi gets each damage by itself, and is read by rxing
//! twice: as bare dots, and through the spot of light that a verifier measures with (ISO/IEC
//! 15416). Scanners see what a spot sees; bare dots are harsher than any scanner, as a single wrong
//! dot puts an edge where there is none.

use std::fmt::Write as _;
use std::path::Path;

use slipwright::{
    Bitmap, CodeMark, DotGrid, FontBook, MarkKind, Page, Shaper, Symbol, Turn, print_page,
};

use crate::damage_support::{Print, spot_of};
use crate::export_support::PageBuilder;
use crate::sample_pages::sample_pages;

/// The layouts with codes.
const LAYOUTS: [&str; 5] =
    ["label-4x6in", "label-100x150mm", "letter-label-62x100mm", "bench-card", "bench-cards-4x6in"];

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
    ("one dot of gain", |page, code, grid| vec![Print::cut(&page.gained, code, grid)]),
    ("one dot of loss", |page, code, grid| vec![Print::cut(&page.lost, code, grid)]),
    ("a column that never prints", |page, code, grid| columns(page, code, grid, false)),
    ("a column that always prints", |page, code, grid| columns(page, code, grid, true)),
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
    if let Symbol::Code128(_) = code.symbol {
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

/// Codes that read, of how many.
#[derive(Clone, Copy, Default)]
struct Count {
    /// Codes.
    all: usize,
    /// Codes that read through a spot of light.
    seen: usize,
    /// Codes that read as bare dots.
    bare: usize,
}

/// How many of some pages' codes of a kind read under each damage, a line each.
fn tell(told: &mut String, name: &str, pages: &[Page], is_kind: fn(&Symbol) -> bool) {
    let book = FontBook::builtin();
    let mut counts = vec![Count::default(); DAMAGES.len()];
    for page in pages {
        let print = |gain| print_page(page, &book, gain);
        let printed = Printed { plain: print(0), gained: print(1), lost: print(-1) };
        for code in codes(page).filter(|code| is_kind(&code.symbol)) {
            let module = page.grid.length(f64::from(code.module_dots)).0;
            let spot = spot_of(module) * page.grid.per_mm();
            for (count, (_, damage)) in counts.iter_mut().zip(DAMAGES) {
                let prints = damage(&printed, code, page.grid);
                let reads = |print: &Print| print.read(&code.symbol) == Some(code.payload.clone());
                count.all += 1;
                count.seen += usize::from(prints.iter().all(|print| reads(&print.seen(spot))));
                count.bare += usize::from(prints.iter().all(reads));
            }
        }
    }
    if counts[0].all == 0 {
        return;
    }
    let _ = writeln!(told, "{name}, of {}", counts[0].all);
    for (Count { seen, bare, .. }, (name, _)) in counts.iter().zip(DAMAGES) {
        let _ = writeln!(told, "  {name:<28} {seen:>3} seen {bare:>3} bare");
    }
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
fn step(shaper: &mut Shaper, module: u32) -> Page {
    let mut page = PageBuilder::new(shaper, (200.0, 100.0), DotGrid::DPI_203, "Step");
    for (row, id) in (0..).zip(["TH-1041", "TH-1042+1", "PO-2024-0001"]) {
        page.code128((100, 16 + 140 * row), module, 120, Turn::Upright, id);
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

#[test]
fn codes_of_the_sample_batch_under_every_single_damage() {
    let mut told = String::new();
    for layout in LAYOUTS {
        let pages = sample_pages(layout, DotGrid::DPI_203);
        tell(&mut told, &format!("{layout}, code128"), &pages, is_bars);
        tell(&mut told, &format!("{layout}, qr"), &pages, is_square);
    }
    compare("sample.txt", &told);
}

/// What the sizes of codes in the shipped layouts are chosen by.
#[test]
fn codes_of_every_module_under_every_single_damage() {
    let book = FontBook::builtin();
    let mut shaper = Shaper::new(&book);
    let mut told = String::new();
    for (kind, is_kind) in [("code128", is_bars as fn(&Symbol) -> bool), ("qr", is_square)] {
        for module in 2..=7 {
            let page = [step(&mut shaper, module)];
            tell(&mut told, &format!("{kind}, {module} dots a module"), &page, is_kind);
        }
    }
    compare("modules.txt", &told);
}
