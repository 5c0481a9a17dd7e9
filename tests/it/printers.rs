//! What a printer's profile does to a page, measured in dots: on the scene, and on the drawing of
//! its PDF by an independent rasteriser.

use slipwright::correct::{correct_page, printable_part};
use slipwright::export::rasterise;
use slipwright::scene::{CodeMark, MarkKind, SymbolForm};
use slipwright::shipped::SHIPPED;
use slipwright::stock::{Printer, Printers};
use slipwright::{DotGrid, FontBook, Layout, Mm, Page};

use crate::rasters::{Dots, codes, draw, read};
use crate::sample_pages::{layout_of, pages_of, sample_batch, sample_pages};

/// Three common heads and one whose dots are no round figure.
fn grids() -> [DotGrid; 4] {
    let dpi = |dpi| DotGrid::from_dpi(dpi).unwrap();
    [DotGrid::DPI_203, dpi(300.0), dpi(600.0), DotGrid::from_dots_per_mm(11.8).unwrap()]
}

/// The first pages of the sample batch on a printer.
fn printed(layout: &Layout, grid: DotGrid, printer: Printer) -> Vec<Page> {
    let (mut batch, mut shop) = sample_batch();
    batch.parcels.truncate(2);
    shop.printers = Printers::new(vec![printer]);
    pages_of(&batch, &shop, layout, Some(grid))
}

/// A shipped layout.
fn shipped(name: &str) -> Layout {
    layout_of(slipwright::find_shipped(name).unwrap().text)
}

/// Whether a dot of a symbol is dark, inside it and beyond.
fn is_dark(code: &CodeMark, x: i64, y: i64) -> bool {
    let dots = code.dots;
    let inside = x >= 0 && y >= 0 && x < i64::from(dots.width) && y < i64::from(dots.height);
    let module = |at: i64| at as usize / code.module_dots as usize;
    inside
        && match (code.symbol.shape(), code.stance.is_lying()) {
            (SymbolForm::Bars(row), false) => row.to_modules()[module(x)],
            (SymbolForm::Bars(row), true) => row.to_modules()[module(y)],
            (SymbolForm::Square(grid), _) => grid.get(module(x), module(y)),
        }
}

/// Asserts that a drawn code is the composed one, moved by whole dots and with so many dots off
/// the right (and for a QR the lower) end of everything dark.
fn assert_printed(dots: &Dots, code: &CodeMark, (dx, dy): (i64, i64), lost: i64, name: &str) {
    let reach = match code.symbol.is_bars() {
        true => (lost, 0),
        false => (lost, lost),
    };
    // One dot of the white around belongs to it: nothing may be gained either.
    for y in -1..=i64::from(code.dots.height) {
        for x in -1..=i64::from(code.dots.width) {
            let wanted = (0..=reach.1)
                .all(|down| (0..=reach.0).all(|right| is_dark(code, x + right, y + down)));
            let place = (i64::from(code.dots.x) + x + dx, i64::from(code.dots.y) + y + dy);
            let found = dots.get(place.0 as usize, place.1 as usize);
            assert_eq!(found, wanted, "{name}: `{}` at {x}, {y}", code.payload);
        }
    }
}

#[test]
fn offset_and_reduction_are_exact_to_the_dot() {
    for grid in grids() {
        let printer = Printer {
            offset: slipwright::geom::Point::new(Mm(0.8), Mm(-1.3)),
            bar_reduction: 1,
            ..Printer::default()
        };
        let whole = |mm: f64| (mm * grid.per_mm()).round() as i64;
        let shift = (whole(0.8), whole(-1.3));
        let layout = shipped("label-4x6in");
        let plain = printed(&layout, grid, Printer::default());
        let moved = printed(&layout, grid, printer);
        // The largest drawings take long, and one page shows what two do.
        let drawn = draw(&moved[..1]);
        for ((plain, moved), dots) in plain.iter().zip(&moved).zip(&drawn) {
            let name = format!("{} at {}", plain.title, grid.dpi());
            assert!(codes(plain).count() >= 2);
            for (before, after) in codes(plain).zip(codes(moved)) {
                assert_eq!(i64::from(after.dots.x), i64::from(before.dots.x) + shift.0);
                assert_eq!(i64::from(after.dots.y), i64::from(before.dots.y) + shift.1);
                assert_eq!((before.reduction, after.reduction), (0, 1));
                assert_printed(dots, before, shift, 1, &name);
                assert_eq!(read(dots, after, grid), before.payload, "{name}");
            }
            assert_same_but_moved(plain, moved, shift, &name);
        }
    }
}

/// Our own drawing of the moved page is that of the other, moved, but for its codes.
fn assert_same_but_moved(plain: &Page, moved: &Page, (dx, dy): (i64, i64), name: &str) {
    let without_codes = |page: &Page| {
        let mut page = page.clone();
        page.marks.retain(|mark| !matches!(mark.kind, MarkKind::Code(_)));
        rasterise(&page, &FontBook::builtin())
    };
    let (before, after) = (without_codes(plain), without_codes(moved));
    let (mut black, mut differ) = (0, 0);
    for (x, y) in (0..before.height()).flat_map(|y| (0..before.width()).map(move |x| (x, y))) {
        let place = (i64::from(x) + dx, i64::from(y) + dy);
        let Ok(u) = u32::try_from(place.0) else { continue };
        let Ok(v) = u32::try_from(place.1) else { continue };
        if u < after.width() && v < after.height() {
            black += usize::from(before.get(x, y));
            differ += usize::from(before.get(x, y) != after.get(u, v));
        }
    }
    // Letters are outlines, whose rounding may fall the other way on a dot's very middle.
    assert!(black > 1000 && differ * 5000 < black, "{name}: {differ} of {black}");
}

/// A reduction as large as a module leaves one dot of it.
#[test]
fn a_bar_keeps_a_dot() {
    let printer = Printer { bar_reduction: 4, ..Printer::default() };
    let text = "page: {stock: 100x50mm, inset: 4}\nmakes: label\nbody:\n  code128: \"{{ parcel.id }}\"\n  most: 2\n  height: 12\n";
    let layout = layout_of(text);
    let pages = printed(&layout, DotGrid::DPI_203, printer);
    let code = codes(&pages[0]).next().unwrap();
    assert_eq!((code.module_dots, code.reduction), (2, 4));
    let dots = &draw(&pages[..1])[0];
    assert_printed(dots, code, (0, 0), 1, "two dots less four");
}

#[test]
fn scale_brings_every_mark_to_half_a_dot_of_its_place() {
    let scale = (0.997, 0.985);
    for grid in grids() {
        let layout = shipped("label-4x6in");
        let plain = printed(&layout, grid, Printer::default());
        let printer = Printer { scale, ..Printer::default() };
        let moved = printed(&layout, grid, printer);
        let half = grid.length(0.5 + 1e-6).0;
        for (before, after) in plain[0].marks.iter().zip(&moved[0].marks) {
            let (old, new) = (before.rect(grid), after.rect(grid));
            let down = |mark: &slipwright::scene::Mark| match &mark.kind {
                MarkKind::Text(run) => run.origin.y.0,
                _ => mark.rect(grid).y.0 + mark.rect(grid).height.0 / 2.0,
            };
            // On the paper, lengths come out as `scale` says.
            let found = down(after) * scale.1;
            assert!((found - down(before)).abs() <= half, "{before:?} {after:?}");
            match &before.kind {
                // Lines keep their thickness, boxes grow with the page.
                MarkKind::Fill(..) => {
                    let wanted =
                        |side: f64, scale: f64| if side > 2.0 { side / scale } else { side };
                    assert!((new.width.0 - wanted(old.width.0, scale.0)).abs() < 1e-9);
                    assert!((new.height.0 - wanted(old.height.0, scale.1)).abs() < 1e-9);
                }
                _ => {
                    assert!((new.width.0 - old.width.0).abs() < 1e-9, "dots stay dots");
                    assert!((new.height.0 - old.height.0).abs() < 1e-9, "dots stay dots");
                }
            }
        }
    }
}

/// What a printer can print of a page is what, once corrected, lies on its paper and in its area.
#[test]
fn the_printable_part_is_what_comes_out() {
    let page = &sample_pages("label-4x6in", DotGrid::DPI_203)[0];
    let printer = Printer {
        area: Some(slipwright::geom::Size::new(Mm(90.0), Mm(500.0))),
        offset: slipwright::geom::Point::new(Mm(-2.0), Mm(1.0)),
        ..Printer::default()
    };
    let part = printable_part(page, &printer);
    assert_eq!((part.x, part.right()), (Mm(2.0), Mm(92.0)));
    assert_eq!((part.y, part.bottom()), (Mm(-1.0), Mm(151.4)));
    let corrected = correct_page(page, &printer);
    for (before, after) in page.marks.iter().zip(&corrected.marks) {
        let inside = part.x <= before.rect(page.grid).x;
        assert_eq!(inside, after.rect(page.grid).x.0 >= -1e-9);
    }
}

/// Rules, borders and cut lines thinner than a dot are one dot thick on any printer, and thicker
/// ones as many dots as are nearest.
#[test]
fn no_line_is_thinner_than_a_dot() {
    for grid in grids() {
        for (thickness, text) in [(0.01, "0.01"), (0.1, "0.1"), (0.2, "0.2"), (0.375, "0.375")] {
            let layout = layout_of(&format!(
                "page: {{stock: 62x100mm, inset: 7.03}}\nmakes: label\nbody:\n  down:\n    - rule: {text}\n    - text: x\n      border: {text}\n      height: 20.07\n      inset: 6\n    - across:\n        - rule: {text}\n          height: 11\n        - text: y\n  gap: 3.01\n"
            ));
            let dots = (thickness * grid.per_mm()).round().max(1.0) as usize;
            let (batch, shop) = sample_batch();
            let page = unchecked(&batch, &shop, &layout, grid);
            let drawn = &draw(std::slice::from_ref(&page))[0];
            let mut lines = 0;
            for mark in &page.marks {
                let MarkKind::Fill(rect, _) = &mark.kind else { continue };
                let middle = |from: Mm, length: Mm| grid.dots(from + length / 2.0) as usize;
                let (x, y) = (middle(rect.x, rect.width), middle(rect.y, rect.height));
                let thick = match rect.width > rect.height {
                    true => Dots::runs((y - 9..y + 9).map(|y| drawn.get(x, y))),
                    false => Dots::runs((x - 9..x + 9).map(|x| drawn.get(x, y))),
                };
                let thick: Vec<usize> = thick.into_iter().map(|(_, length)| length).collect();
                assert_eq!(thick, [dots], "{text} mm at {} dpi", grid.dpi());
                lines += 1;
            }
            assert_eq!(lines, 6);
        }
    }
}

/// The first page of a batch whatever preflight says of it.
fn unchecked(
    batch: &slipwright::Batch,
    shop: &slipwright::Shop,
    layout: &Layout,
    grid: DotGrid,
) -> Page {
    let book = FontBook::builtin();
    let pictures = slipwright::PictureStore::new(&slipwright::NoFiles, ".");
    let document = slipwright::Document {
        shop: Some(shop),
        grid: Some(grid),
        ..slipwright::Document::new(batch, layout, &book, &pictures)
    };
    let run = slipwright::Run::new(&document).unwrap();
    let mut pages = Vec::new();
    let take = |page| {
        pages.push(page);
        Ok(())
    };
    run.make(&mut slipwright::watch_batch(batch), Page::clone, take, |_| {}).unwrap();
    pages.swap_remove(0)
}

/// Preflight has nothing to say about any shipped layout on any head; `sample_pages` asserts it.
#[test]
fn no_shipped_layout_gives_a_false_alarm_on_any_head() {
    for grid in grids() {
        for layout in SHIPPED {
            assert!(!sample_pages(layout.name, grid).is_empty());
        }
    }
}

/// Codes lie on whole dots of odd heads too, and are read there.
#[test]
fn codes_are_exact_on_an_odd_head() {
    let grid = DotGrid::from_dots_per_mm(11.8).unwrap();
    for layout in ["label-4x6in", "bench-card"] {
        let pages = printed(&shipped(layout), grid, Printer::default());
        for (page, dots) in pages.iter().zip(&draw(&pages)) {
            for code in codes(page) {
                assert_printed(dots, code, (0, 0), 0, &page.title);
                assert_eq!(read(dots, code, grid), code.payload);
            }
        }
    }
}

/// `--printer` names the printer; without it the paper decides.
#[test]
fn the_command_draws_for_the_printer_that_is_named() {
    let desk = crate::command::Desk::new();
    desk.sample("evening.json").put(
        "shop.yaml",
        "name: Tern Hollow Pens\naddress: {city: Ternmouth, country: GB}\nprinters:\n  bench: {dpi: 203}\n  fine: {dpi: 300}\n  small: {dots_per_mm: 11.8, stocks: [100x62mm]}\n",
    );
    let width = |name: &str| {
        // The header of a PNG states the width at byte 16.
        let file = std::fs::read(desk.path(name)).unwrap();
        u32::from_be_bytes(file[16..20].try_into().unwrap())
    };
    let draw = |layout: &str, more: &[&str]| {
        let usual = ["render", "evening.json", "--combine", "--layout", layout, "-o", "page.png"];
        desk.done(&[&usual, more].concat());
        width("page-01.png")
    };
    assert_eq!(draw("label-4x6in", &[]), 812);
    assert_eq!(draw("label-4x6in", &["--printer", "fine"]), 1200);
    assert_eq!(draw("bench-card", &[]), 1180);
    assert_eq!(draw("bench-card", &["--printer", "bench"]), 800);
    assert_eq!(draw("label-4x6in", &["--printer", "fine", "--dpi", "203"]), 812);
}
