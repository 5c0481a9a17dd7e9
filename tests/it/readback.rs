//! The sample's labels and cards, drawn by a rasteriser that is not ours (hayro) and read by a
//! decoder that is not ours (rxing), at 203.2 and 300 dots an inch.

use slipwright::export::rasterise;
use slipwright::scene::{CodeMark, MarkKind, SymbolForm, TallyMark};
use slipwright::shipped::SHIPPED;
use slipwright::{DotGrid, FontBook, Page};

use crate::rasters::{Dots, codes, draw, read};
use crate::sample_pages::sample_pages;

/// The grids that the checks are made at.
fn grids() -> [DotGrid; 2] {
    [DotGrid::DPI_203, DotGrid::from_dpi(300.0).unwrap()]
}

/// Asserts that every dot of a code is the one its modules ask for.
fn assert_exact(dots: &Dots, code: &CodeMark, page: &str) {
    let module = code.module_dots as usize;
    let dark = |column: usize, row: usize| match code.symbol.shape() {
        SymbolForm::Bars(bars) => bars.to_modules()[column / module],
        SymbolForm::Square(grid) => grid.get(column / module, row / module),
    };
    let (x, y) = (code.dots.x as usize, code.dots.y as usize);
    let (width, height) = (code.dots.width as usize, code.dots.height as usize);
    // A row of bars is the same all the way down; its first, middle and last row stand for it.
    let rows: Vec<usize> = match code.symbol.is_bars() {
        true => vec![0, height / 2, height - 1],
        false => (0..height).collect(),
    };
    for row in rows {
        let wrong = (0..width).filter(|&it| dots.get(x + it, y + row) != dark(it, row)).count();
        assert_eq!(wrong, 0, "{page}: `{}`, dot row {row}", code.payload);
    }
}

#[test]
fn every_code_of_every_layout_is_drawn_to_the_dot_and_read_back() {
    for grid in grids() {
        for layout in SHIPPED {
            let mut pages = sample_pages(layout.name, grid);
            // Only what has codes is judged here.
            pages.retain(|page| codes(page).next().is_some());
            if pages.is_empty() {
                continue;
            }
            let drawn = draw(&pages);
            assert_eq!(drawn.len(), pages.len());
            for (page, dots) in pages.iter().zip(&drawn) {
                for code in codes(page) {
                    let name = format!("{} at {}, {}", layout.name, grid.dpi(), page.title);
                    assert_exact(dots, code, &name);
                    assert_eq!(read(dots, code, grid), code.payload, "{name}");
                }
            }
        }
    }
}

/// The tally of a page, and the dots of the middle row of it.
fn tally<'p>(page: &'p Page, dots: &Dots) -> (&'p TallyMark, Vec<bool>) {
    let tally = page.marks.iter().find_map(|mark| match &mark.kind {
        MarkKind::Tally(tally) => Some(tally),
        _ => None,
    });
    let tally = tally.expect("labels and cards have a tally");
    let y = (tally.dots.y + tally.dots.height / 2) as usize;
    // The whole width of the narrower paper, left edges together, as they are laid.
    (tally, (0..780).map(|x| dots.get(x, y)).collect())
}

/// A card laid against the bottom edge of a label, left edges together: the cells meet for the
/// right pair and in no other, and the break is wide enough to see.
#[test]
fn laid_edge_to_edge_only_the_right_label_and_card_meet() {
    for label in ["label-4x6in", "label-100x150mm", "letter-label-62x100mm"] {
        let labels = sample_pages(label, DotGrid::DPI_203);
        let cards = sample_pages("bench-card", DotGrid::DPI_203);
        let (label_dots, card_dots) = (draw(&labels), draw(&cards));
        for (row, (label, dots)) in labels.iter().zip(&label_dots).enumerate() {
            let (mark, upper) = tally(label, dots);
            let below = f64::from(mark.dots.y + mark.dots.height);
            let white = label.size.height - label.grid.length(below);
            assert!(white.0 < 5.0, "at the bottom edge of the label");
            assert!(upper.iter().any(|black| *black));
            for (column, (card, dots)) in cards.iter().zip(&card_dots).enumerate() {
                let (_, lower) = tally(card, dots);
                let differ = upper.iter().zip(&lower).filter(|(a, b)| a != b).count();
                if row == column {
                    assert_eq!(differ, 0, "{}", label.title);
                } else {
                    let cells = differ / mark.cell_dots as usize;
                    assert!(
                        cells >= 6,
                        "{} meets {} but for {cells} cells",
                        label.title,
                        card.title
                    );
                }
            }
        }
    }
}

/// Our own raster of a page is what the independent one draws, but for the edges of letters.
#[test]
fn our_dots_are_the_dots_of_an_independent_rasteriser() {
    let book = FontBook::builtin();
    for grid in grids() {
        let pages = sample_pages("label-4x6in", grid);
        for (page, dots) in pages.iter().zip(draw(&pages)).take(4) {
            let ours = rasterise(page, &book);
            let (width, height) = (ours.width() as usize, ours.height() as usize);
            // Half-covered dots at the edges of letters may fall either way; nothing else may, but
            // for a few in the sharp notches of letters, which end a dot or two sooner or later.
            let at_edge = |x: usize, y: usize, reach: usize| {
                let near =
                    |at: usize, end: usize| at.saturating_sub(reach)..(at + reach + 1).min(end);
                near(y, height)
                    .flat_map(|v| near(x, width).map(move |u| (u, v)))
                    .any(|(u, v)| ours.get(u as u32, v as u32) != ours.get(x as u32, y as u32))
            };
            let rows = height.min(dots.black.len() / dots.width);
            let columns = width.min(dots.width);
            let mut notches = 0;
            for (x, y) in (0..rows).flat_map(|y| (0..columns).map(move |x| (x, y))) {
                let same = ours.get(x as u32, y as u32) == dots.get(x, y);
                if !same && !at_edge(x, y, 1) {
                    let place = format!("{} at {}: {x}, {y}", page.title, grid.dpi());
                    assert!(at_edge(x, y, 2), "{place}");
                    notches += 1;
                    assert!(notches <= 2, "{place}");
                }
            }
        }
    }
}

/// The bench card shows the tag as large as the label does, and no street.
#[test]
fn a_card_has_the_tag_of_its_label_and_never_the_street() {
    let labels = sample_pages("label-4x6in", DotGrid::DPI_203);
    for card_layout in ["bench-card"] {
        let cards = sample_pages(card_layout, DotGrid::DPI_203);
        for (label, card) in labels.iter().zip(&cards) {
            let tag = |page: &Page| {
                let runs = page.marks.iter().filter_map(|mark| match &mark.kind {
                    MarkKind::Text(run) if page.blocks[mark.block.0 as usize].name == "tag" => {
                        Some((run.text.clone(), run.size.0, run.origin.x.0))
                    }
                    _ => None,
                });
                runs.collect::<Vec<_>>()
            };
            assert_eq!(tag(label), tag(card));
            assert!(!tag(label).is_empty());
        }
        let (batch, _) = crate::sample_pages::sample_batch();
        for (parcel, card) in batch.parcels.iter().zip(&cards) {
            let said: Vec<&str> = card
                .marks
                .iter()
                .filter_map(|mark| match &mark.kind {
                    MarkKind::Text(run) => Some(run.text.as_str()),
                    _ => None,
                })
                .collect();
            let said = said.join("\n");
            for line in &parcel.recipient().lines {
                assert!(!said.contains(&**line), "{}: {line}", card.title);
            }
            assert!(!said.contains(&*parcel.recipient().postcode));
        }
    }
}
