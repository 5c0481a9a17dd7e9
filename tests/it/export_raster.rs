//! Our PDFs drawn by an independent rasteriser (hayro) and read by an independent decoder (rxing).

use crate::export_support;

use std::collections::HashSet;

use export_support::label::label_of;
use export_support::ladder::ladder;
use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};
use rxing::{BarcodeFormat, DecodeHints};
use slipwright::export::{Bitmap, list_modules, rasterise};
use slipwright::fonts::Shaper;
use slipwright::scene::{CodeMark, MarkKind, Symbol};
use slipwright::{DotGrid, FontBook, Page, PdfOptions, write_pdf};

/// A drawing: grey, 0 is black.
struct Drawing {
    /// Dots across.
    width: u32,
    /// Dots down.
    height: u32,
    /// Rows from the top.
    grey: Vec<u8>,
}

impl Drawing {
    /// Whether a dot is black.
    fn is_black(&self, x: u32, y: u32) -> bool {
        self.grey[(y * self.width + x) as usize] < 128
    }

    /// A part of it, in dots.
    fn crop(&self, [x, y, width, height]: [u32; 4]) -> Drawing {
        let (right, bottom) = ((x + width).min(self.width), (y + height).min(self.height));
        let row =
            |y: u32| &self.grey[(y * self.width + x) as usize..(y * self.width + right) as usize];
        let grey = (y..bottom).flat_map(row).copied().collect();
        Drawing { width: right - x, height: bottom - y, grey }
    }
}

/// How a rasteriser is set up.
#[derive(Clone, Copy, Debug)]
struct Setting {
    /// Dots in an inch.
    dpi: f64,
    /// Whether edges are smoothed to grey before they are made black or white.
    smooth: bool,
}

/// Draws the pages of a PDF by hayro.
fn draw(pages: &[Page], setting: Setting) -> Vec<Drawing> {
    let file = write_pdf(pages, &FontBook::builtin(), &PdfOptions::default(), Vec::new()).unwrap();
    let pdf = Pdf::new(file).unwrap();
    let cache = RenderCache::new();
    let settings = RenderSettings {
        aliasing_threshold: (!setting.smooth).then_some(127),
        hinting: false,
        ..RenderSettings::default()
    };
    let scale = (setting.dpi / 72.0) as f32;
    let pixmap = PixmapSettings { x_scale: scale, y_scale: scale, bg_color: WHITE };
    let pages = pdf.pages().iter();
    pages
        .map(|page| {
            let drawn = render(page, &cache, &InterpreterSettings::default(), &settings, &pixmap);
            let (width, height) = (u32::from(drawn.width()), u32::from(drawn.height()));
            let grey = drawn.data().iter().map(|pixel| pixel.r).collect();
            Drawing { width, height, grey }
        })
        .collect()
}

/// The codes of a page.
fn codes(page: &Page) -> impl Iterator<Item = &CodeMark> {
    page.marks.iter().filter_map(|mark| match &mark.kind {
        MarkKind::Code(code) => Some(code),
        _ => None,
    })
}

/// What rxing reads in a code's place, with its quiet zone.
fn read(drawing: &Drawing, page: &Page, code: &CodeMark, dpi: f64) -> Option<String> {
    let zoom = dpi / page.grid.dpi();
    let quiet = code.module_dots * if matches!(code.symbol, Symbol::Qr(_)) { 4 } else { 10 };
    let dots = code.dots;
    let scaled = |dots: u32| (f64::from(dots) * zoom) as u32;
    let (x, y) = (dots.x.saturating_sub(quiet), dots.y.saturating_sub(quiet));
    let (right, bottom) = (dots.x + dots.width + quiet, dots.y + dots.height + quiet);
    let part = drawing.crop([scaled(x), scaled(y), scaled(right - x), scaled(bottom - y)]);
    let luma = part.grey.iter().map(|grey| if *grey < 128 { 0 } else { 255 }).collect();
    let formats = HashSet::from([BarcodeFormat::CODE_128, BarcodeFormat::QR_CODE]);
    let mut hints = DecodeHints {
        TryHarder: Some(true),
        PossibleFormats: Some(formats),
        ..DecodeHints::default()
    };
    let found =
        rxing::helpers::detect_in_luma_with_hints(luma, part.width, part.height, None, &mut hints);
    found.ok().map(|found| found.getText().to_owned())
}

/// How many dots of a code are not as composed, the white ring of a module around it included.
fn count_wrong(drawing: &Drawing, code: &CodeMark) -> usize {
    let (dots, module) = (code.dots, code.module_dots);
    let wanted = list_modules(code);
    let across = dots.width / wanted[0].len() as u32;
    let down = dots.height / wanted.len() as u32;
    let is_dark = |x: u32, y: u32| {
        let inside = (dots.x..dots.x + dots.width).contains(&x)
            && (dots.y..dots.y + dots.height).contains(&y);
        inside && wanted[((y - dots.y) / down) as usize][((x - dots.x) / across) as usize]
    };
    let around = |from: u32, extent: u32, end: u32| {
        from.saturating_sub(module)..(from + extent + module).min(end)
    };
    around(dots.y, dots.height, drawing.height)
        .flat_map(|y| around(dots.x, dots.width, drawing.width).map(move |x| (x, y)))
        .filter(|&(x, y)| drawing.is_black(x, y) != is_dark(x, y))
        .count()
}

/// Labels and ladders for a printer, on papers of whole and of broken dots.
fn pages(grid: DotGrid) -> Vec<Page> {
    let mut shaper = Shaper::new(&FontBook::builtin());
    let papers = [(101.6, 152.4), (100.0, 150.0), (62.0, 130.0), (100.0, 150.08)];
    let mut pages: Vec<Page> = (0..4)
        .map(|number| label_of(&mut shaper, number, grid, papers[number as usize % 2]))
        .collect();
    pages.extend(papers.iter().map(|&size| ladder(&mut shaper, size, grid)));
    pages
}

#[test]
fn every_dot_of_every_code_is_as_composed() {
    for dpi in [203.2, 300.0] {
        let pages = pages(DotGrid::from_dpi(dpi).unwrap());
        for smooth in [true, false] {
            let drawings = draw(&pages, Setting { dpi, smooth });
            for (page, drawing) in pages.iter().zip(&drawings) {
                for code in codes(page) {
                    let wrong = count_wrong(drawing, code);
                    assert_eq!(wrong, 0, "{} {} {dpi} {smooth}", page.title, code.payload);
                }
            }
        }
    }
}

#[test]
fn bars_and_spaces_of_one_module_are_exactly_their_dots() {
    let grid = DotGrid::DPI_203;
    let pages = pages(grid);
    let drawings = draw(&pages, Setting { dpi: 203.2, smooth: true });
    let mut measured = 0;
    for (page, drawing) in pages.iter().zip(&drawings) {
        for code in codes(page) {
            let (Symbol::Code128(symbol), false) = (&code.symbol, code.stance.is_lying()) else {
                continue;
            };
            let y = code.dots.y + code.dots.height / 2;
            let line: Vec<bool> =
                (0..code.dots.width).map(|x| drawing.is_black(code.dots.x + x, y)).collect();
            let runs: Vec<usize> = line.chunk_by(|a, b| a == b).map(<[bool]>::len).collect();
            let wanted: Vec<usize> = symbol
                .row()
                .widths()
                .map(|width| usize::from(width) * code.module_dots as usize)
                .collect();
            assert_eq!(runs, wanted);
            measured += symbol.row().widths().filter(|width| *width == 1).count();
        }
    }
    assert!(measured > 200, "{measured}");
}

#[test]
fn every_code_reads_back_at_203_and_300_dpi() {
    let mut count = 0;
    for made_for in [203.2, 300.0] {
        let pages = pages(DotGrid::from_dpi(made_for).unwrap());
        for dpi in [203.2, 300.0] {
            let drawings = draw(&pages, Setting { dpi, smooth: true });
            for (page, drawing) in pages.iter().zip(&drawings) {
                // On other dots than its own a code needs dots to spare.
                let fair = |code: &&CodeMark| {
                    dpi == made_for || f64::from(code.module_dots) * dpi / made_for >= 2.9
                };
                for code in codes(page).filter(fair) {
                    let found = read(drawing, page, code, dpi);
                    assert_eq!(
                        found.as_deref(),
                        Some(&code.payload[..]),
                        "{} {made_for} {dpi}",
                        page.title
                    );
                    count += 1;
                }
            }
        }
    }
    assert!(count > 100, "{count}");
}

#[test]
fn our_own_rasteriser_agrees_with_it() {
    for dpi in [203.2, 300.0] {
        let pages = pages(DotGrid::from_dpi(dpi).unwrap());
        let drawings = draw(&pages, Setting { dpi, smooth: true });
        for (page, drawing) in pages.iter().zip(&drawings) {
            let ours: Bitmap = rasterise(page, &FontBook::builtin());
            // Hayro cuts 62 mm, 495.9999 dots in its floats, down to 495.
            let (width, height) =
                (ours.width().min(drawing.width), ours.height().min(drawing.height));
            assert!(ours.width() - width <= 1 && ours.height() - height <= 1);
            let all = (0..height).flat_map(|y| (0..width).map(move |x| (x, y)));
            let (mut ink, mut differ) = (0, 0);
            for (x, y) in all {
                ink += usize::from(ours.get(x, y));
                differ += usize::from(ours.get(x, y) != drawing.is_black(x, y));
            }
            // Only edges of glyphs and art may fall on the other side of a half-covered dot.
            println!("{} at {dpi}: {differ} of {ink} black dots differ", page.title);
            assert!(differ * 100 < ink, "{}: {differ} of {ink}", page.title);
        }
    }
}
