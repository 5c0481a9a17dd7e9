//! The ruler page, measured on the drawing of an independent rasteriser.

use slipwright::geom::{QuarterTurn, Stance};
use slipwright::preflight::{Rules, inspect};
use slipwright::ruler::draw_ruler;
use slipwright::scene::MarkKind;
use slipwright::stock::{Printer, STOCKS, Stock};
use slipwright::{DotGrid, FontBook, Page, render_png};

use crate::rasters::{Dots, codes, draw, read};

/// The ruler of a stock on some dots.
fn ruler(stock: &str, grid: DotGrid) -> Page {
    let stock = Stock::find(stock).unwrap();
    let ruler = slipwright::ruler::Ruler { stock: &stock, printer: &Printer::default(), grid };
    draw_ruler(&ruler, &FontBook::builtin()).unwrap()
}

/// Three common heads and one whose dots are no round figure.
fn grids() -> [DotGrid; 4] {
    let dpi = |dpi| DotGrid::from_dpi(dpi).unwrap();
    [DotGrid::DPI_203, dpi(300.0), dpi(600.0), DotGrid::from_dots_per_mm(11.8).unwrap()]
}

/// The middles of black runs on a line of dots, in millimetres.
fn middles(line: impl Iterator<Item = bool>, grid: DotGrid) -> Vec<f64> {
    let runs = Dots::runs(line).into_iter();
    runs.map(|(first, length)| (first as f64 + length as f64 / 2.0) / grid.per_mm()).collect()
}

#[test]
fn long_ticks_lie_at_every_ten_millimetres_of_the_paper() {
    for grid in grids() {
        for stock in ["4x6in", "100x50mm", "62x100mm"] {
            let page = ruler(stock, grid);
            let dots = &draw(std::slice::from_ref(&page))[0];
            let height = dots.black.len() / dots.width;
            // Where only the ticks of tens reach, inside the frames.
            let across = grid.dots(slipwright::Mm(7.6)) as usize;
            let inside = |at: f64, side: f64| (6.0..side - 6.0).contains(&at);
            let (width, down) = (page.size.width.0, page.size.height.0);
            let ticks = |all: Vec<f64>, side: f64| -> Vec<f64> {
                all.into_iter().filter(|at| inside(*at, side)).collect()
            };
            let x = ticks(middles((0..dots.width).map(|x| dots.get(x, across)), grid), width);
            let y = ticks(middles((0..height).map(|y| dots.get(across, y)), grid), down);
            for (found, side) in [(x, width), (y, down)] {
                let count = ((side - 7.0) / 10.0).floor() as usize;
                assert_eq!(found.len(), count, "{stock} at {}: {found:?}", grid.dpi());
                for (number, at) in (1..).zip(found) {
                    let off = (at - 10.0 * f64::from(number)).abs() * grid.per_mm();
                    assert!(off <= 0.5 + 1e-6, "{stock} at {}: {at}, {off} dots", grid.dpi());
                }
            }
        }
    }
}

#[test]
fn frames_lie_at_whole_millimetres_from_all_edges() {
    for grid in grids() {
        let page = ruler("100x150mm", grid);
        let dots = &draw(std::slice::from_ref(&page))[0];
        let height = dots.black.len() / dots.width;
        let to_mm = |dot: usize| dot as f64 / grid.per_mm();
        // Away from the numbers in the middles of the sides, and from ticks.
        let row = grid.dots(slipwright::Mm(6.0)) as usize;
        let line = Dots::runs((0..dots.width).map(|x| dots.get(x, row)));
        let column = Dots::runs((0..height).map(|y| dots.get(row, y)));
        for (runs, side) in [(line, 100.0), (column, 150.0)] {
            let near = |at: f64, wanted: f64| (at - wanted).abs() * grid.per_mm() <= 0.5 + 1e-6;
            for frame in 1..=5 {
                let (away, mm) = (frame - 1, frame as f64);
                assert!(near(to_mm(runs[away].0), mm), "{runs:?}");
                let (first, length) = runs[runs.len() - 1 - away];
                assert!(near(to_mm(first + length), side - mm), "{runs:?}");
            }
        }
    }
}

#[test]
fn every_code_is_read_in_both_directions() {
    for grid in grids() {
        for stock in STOCKS.iter().filter(|stock| stock.size.width.0 < 120.0) {
            let Ok(found) = Stock::find(stock.name) else { continue };
            let drawn = draw_ruler(
                &slipwright::ruler::Ruler { stock: &found, printer: &Printer::default(), grid },
                &FontBook::builtin(),
            );
            let Ok(page) = drawn else { continue };
            // The largest drawings take long; the smallest papers are the difficult ones.
            if grid.dpi() > 400.0 && page.size.height.0 > 60.0 {
                continue;
            }
            let dots = &draw(std::slice::from_ref(&page))[0];
            let mut turned = 0;
            for code in codes(&page) {
                assert_eq!(read(dots, code, grid), code.payload, "{} {}", stock.name, grid.dpi());
                turned += usize::from(code.stance == Stance::turned(QuarterTurn::Quarter));
            }
            let count = codes(&page).count();
            assert!(count >= 3 && turned >= 1, "{}: {count} codes, {turned} turned", stock.name);
            assert!(codes(&page).any(|code| code.module_dots == 2));
        }
    }
}

/// Nothing lies on or beside a code, nothing is lost at an edge; that codes and lines are as small
/// as they are is what the page is for.
#[test]
fn only_what_is_meant_to_be_small_is_found_on_it() {
    for grid in grids() {
        for stock in STOCKS {
            let stock = Stock::find(stock.name).unwrap();
            let ruler =
                slipwright::ruler::Ruler { stock: &stock, printer: &Printer::default(), grid };
            let Ok(page) = draw_ruler(&ruler, &FontBook::builtin()) else {
                assert!(stock.size.width.0 < 60.0 || stock.size.height.0 < 50.0, "{}", stock.name);
                continue;
            };
            let meant = ["code-module", "thin-rule", "code-height"];
            for finding in inspect(&page, &FontBook::builtin(), &Rules::default()) {
                assert!(meant.contains(&finding.rule.name), "{}: {}", stock.name, finding.message);
            }
            // No two texts touch, and none lies on anything black.
            let texts = page.marks.iter().filter(|mark| matches!(mark.kind, MarkKind::Text(_)));
            for (number, text) in texts.enumerate() {
                for other in &page.marks {
                    let same = std::ptr::eq(text, other);
                    let apart = text.rect(grid).intersection(other.rect(grid)).is_none();
                    assert!(same || apart, "{} text {number}: {text:?} {other:?}", stock.name);
                }
            }
        }
    }
}

/// `SLIPWRIGHT_BLESS=1` draws the picture anew; look at it before it is committed.
#[test]
fn the_picture_is_what_the_engine_draws() {
    let drawn = render_png(&ruler("4x6in", DotGrid::DPI_203), &FontBook::builtin()).unwrap();
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/ruler-4x6in.png");
    if std::env::var_os("SLIPWRIGHT_BLESS").is_some() {
        std::fs::write(&path, &drawn).unwrap();
    }
    assert!(std::fs::read(&path).is_ok_and(|kept| kept == drawn), "the picture is stale");
}
