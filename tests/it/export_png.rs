//! The one-bit writer: dots against the scene.

use crate::export_support;

use std::sync::Arc;

use export_support::PageBuilder;
use export_support::label::label;
use slipwright::export::{Bitmap, list_modules, rasterise};
use slipwright::fonts::{Cut, Shaper, TextStyle};
use slipwright::geom::Rect;
use slipwright::geom::{QuarterTurn, Stance};
use slipwright::images::{GrayImage, Raster};
use slipwright::scene::{Ink, MarkKind};
use slipwright::{DotGrid, FontBook, Mm, Page, render_png};

/// A page made by `fill`, drawn.
fn draw(size: (f64, f64), fill: impl FnOnce(&mut PageBuilder<'_>)) -> (Page, Bitmap) {
    let book = FontBook::builtin();
    let mut shaper = Shaper::new(&book);
    let mut page = PageBuilder::new(&mut shaper, size, DotGrid::DPI_203, "p");
    fill(&mut page);
    let page = page.finish();
    let bitmap = rasterise(&page, &book);
    (page, bitmap)
}

/// The black dots of a drawing.
fn count_black(bitmap: &Bitmap) -> u32 {
    bitmap.rows().iter().map(|byte| byte.count_ones()).sum()
}

#[test]
fn codes_are_their_modules_dot_for_dot() {
    let (page, bitmap) = draw((80.0, 60.0), |page| {
        page.code128((40, 10), 3, 50, Stance::UPRIGHT, "TH-2026-00012");
        page.code128((40, 80), 2, 30, Stance::turned(QuarterTurn::Quarter), "Turned");
        page.qr((120, 100), 4, "SW1:L:K7QM");
    });
    let mut black = 0;
    for mark in &page.marks {
        let MarkKind::Code(code) = &mark.kind else { unreachable!() };
        let (dots, modules) = (code.dots, list_modules(code));
        let (across, down) =
            (dots.width / modules[0].len() as u32, dots.height / modules.len() as u32);
        for y in 0..dots.height {
            for x in 0..dots.width {
                let dark = modules[(y / down) as usize][(x / across) as usize];
                assert_eq!(bitmap.get(dots.x + x, dots.y + y), dark, "{} {x} {y}", code.payload);
                black += u32::from(dark);
            }
        }
    }
    assert_eq!(count_black(&bitmap), black, "nothing else is black");
}

#[test]
fn a_page_has_the_whole_dots_that_fit() {
    // 152.4 mm are 1219.2 dots; the last fifth of a dot is not printed.
    let (_, bitmap) = draw((101.6, 152.4), |page| {
        page.fill([0, 1215, 812, 10], Ink::Black);
    });
    assert_eq!((bitmap.width(), bitmap.height()), (812, 1219));
    assert_eq!(count_black(&bitmap), 812 * 4);
}

#[test]
fn fills_and_tallies_are_exact_and_white_ink_is_white() {
    let (_, bitmap) = draw((50.0, 25.0), |page| {
        page.fill([8, 8, 100, 30], Ink::Black);
        page.fill([10, 10, 20, 5], Ink::White);
        page.tally((8, 60), (10, 32), 0b1010);
    });
    // The tally's bits 1 and 3, and both ends.
    assert_eq!(count_black(&bitmap), 100 * 30 - 20 * 5 + 4 * 10 * 32);
    assert!(!bitmap.get(10, 10) && bitmap.get(9, 10) && bitmap.get(30, 10));
}

#[test]
fn glyphs_are_where_they_are_set() {
    let (_, bitmap) = draw((50.0, 25.0), |page| {
        // A capital H of 714 units: 25.4 dots an em at 9 pt, so 18 dots high above row 80.
        page.text((10.0, 10.0), 9.0, Cut::Regular, "H");
    });
    let black: Vec<(u32, u32)> = (0..200)
        .flat_map(|y| (0..400).map(move |x| (x, y)))
        .filter(|&(x, y)| bitmap.get(x, y))
        .collect();
    let (top, bottom) = (black.first().unwrap().1, black.last().unwrap().1);
    assert_eq!((top, bottom), (62, 79));
    assert!(black.iter().all(|(x, _)| (80..100).contains(x)));
}

#[test]
fn white_text_is_cut_out_of_black() {
    let white = |page: &mut PageBuilder<'_>| {
        page.styled((5.0, 15.0), 24.0, &TextStyle::default(), Ink::White, "Oban");
    };
    let (_, reversed) = draw((50.0, 25.0), |page| {
        page.fill([0, 0, 400, 200], Ink::Black);
        white(page);
    });
    let (_, plain) = draw((50.0, 25.0), |page| {
        page.text((5.0, 15.0), 24.0, Cut::Regular, "Oban");
    });
    assert!(count_black(&plain) > 1000);
    for y in 0..200 {
        for x in 0..400 {
            assert_ne!(reversed.get(x, y), plain.get(x, y), "{x} {y}");
        }
    }
}

#[test]
fn pictures_take_the_nearest_pixel() {
    let grey = GrayImage { width: 2, height: 2, pixels: vec![0, 127, 128, 255] };
    let (_, bitmap) = draw((50.0, 25.0), |page| {
        page.fill([0, 0, 100, 100], Ink::Black);
        page.picture([1.0, 1.0, 2.0, 2.0], &Arc::new(Raster::Gray(grey)));
        page.picture([5.0, 5.0, 67.0 / 8.0, 41.0 / 8.0], &export_support::ladder::noise(67, 41));
    });
    for (x, y, black) in
        [(8, 8, true), (16, 8, true), (8, 16, false), (23, 23, false), (24, 24, true)]
    {
        assert_eq!(bitmap.get(x, y), black, "{x} {y}");
    }
    let Raster::Bits(noise) = &*export_support::ladder::noise(67, 41) else { unreachable!() };
    for y in 0..41 {
        for x in 0..67 {
            assert_eq!(bitmap.get(40 + x, 40 + y), noise.get(x, y));
        }
    }
}

#[test]
fn marks_off_the_page_are_cut_and_absurd_ones_end() {
    let (_, bitmap) = draw((50.0, 25.0), |page| {
        let fill = |x: f64, y: f64, width: f64, height: f64| {
            MarkKind::Fill(Rect::new(Mm(x), Mm(y), Mm(width), Mm(height)), Ink::Black)
        };
        page.mark(fill(-10.0, -10.0, 11.0, 11.0));
        page.mark(fill(1e300, 0.0, 1e300, 1e300));
        page.mark(fill(f64::NAN, 0.0, 1.0, f64::INFINITY));
        page.text((1e9, -1e9), 9.0, Cut::Bold, "far");
        page.text((10.0, 10.0), 1e9, Cut::Bold, ".");
    });
    assert!(bitmap.get(7, 7) && !bitmap.get(9, 9));
}

#[test]
fn the_same_file_every_time() {
    let book = FontBook::builtin();
    let mut shaper = Shaper::new(&book);
    let page = label(&mut shaper, 3);
    let file = render_png(&page, &book).unwrap();
    assert_eq!(file, render_png(&page, &book).unwrap());
    assert!(file.len() < 20_000, "{}", file.len());
}
