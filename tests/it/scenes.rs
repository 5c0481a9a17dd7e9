//! What blocks become: a folder of `tests/cases/scene` holds a layout, and in `expected.txt` the
//! page of the sample's first parcel in words and millimetres, with its back if it has one.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use slipwright::geom::Rect;
use slipwright::scene::{Ink, MarkKind};
use slipwright::{DotGrid, Page};

use crate::sample_pages::{layout_beside, layout_of, pages_of, sample_batch};

#[test]
fn blocks_are_placed_as_expected() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/scene");
    let mut cases: Vec<_> =
        fs::read_dir(root).unwrap().map(|entry| entry.unwrap().path()).collect();
    cases.sort();
    assert!(cases.len() >= 8, "the cases are gone");
    let (batch, shop) = sample_batch();
    let failures: Vec<String> = cases
        .iter()
        .filter_map(|case| {
            let text = fs::read_to_string(case.join("layout.yaml")).unwrap();
            let layout = layout_beside(&text, &crate::support::Disk, case);
            let pages = pages_of(&batch, &shop, &layout, Some(DotGrid::DPI_203));
            let sides = if layout.back.is_some() { 2 } else { 1 };
            let text: String = pages.iter().take(sides).map(describe).collect();
            crate::support::compare(&case.join("expected.txt"), &text)
        })
        .collect();
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// A page in words.
fn describe(page: &Page) -> String {
    let mut text = format!("page {} × {}\n", page.size.width, page.size.height);
    for mark in &page.marks {
        let block = page.blocks[mark.block.0 as usize].name;
        let what = match &mark.kind {
            MarkKind::Text(run) => format!("`{}` {:.1} pt", run.text, run.size.to_pt()),
            MarkKind::Fill(_, Ink::Black) => "black".into(),
            MarkKind::Fill(_, Ink::White) => "white".into(),
            MarkKind::Fill(_, Ink::Colour(colour)) => format!("{colour:?}"),
            MarkKind::Code(code) => format!("`{}` {} dots", code.payload, code.module_dots),
            MarkKind::Tally(tally) => format!("{} cells", tally.cells.len()),
            MarkKind::Outline(_) => "outline".into(),
            MarkKind::Picture(_) => "picture".into(),
            MarkKind::Foreign(_) => "page".into(),
        };
        let Rect { x, y, width, height } = mark.rect(page.grid);
        let _ = writeln!(
            text,
            "{block}: {what} at {:.2}, {:.2}, {:.2} × {:.2}",
            x.0, y.0, width.0, height.0
        );
    }
    text
}

/// A border is four lines, each along the whole of its side.
#[test]
fn a_border_has_four_sides() {
    let (batch, shop) = sample_batch();
    let text =
        "page: {stock: 80x60mm, inset: 4}\nmakes: label\nbody: {text: a, height: 20, border: 1}";
    let pages = pages_of(&batch, &shop, &layout_of(text), Some(DotGrid::DPI_203));
    let page = &pages[0];
    let black: Vec<Rect> = page
        .marks
        .iter()
        .filter(|mark| matches!(mark.kind, MarkKind::Fill(_, Ink::Black)))
        .map(|mark| mark.rect(page.grid))
        .collect();
    let near = |one: f64, other: f64| (one - other).abs() < 0.13;
    let lies = |x: f64, y: f64, width: f64, height: f64| {
        black.iter().any(|it| {
            near(it.x.0, x)
                && near(it.y.0, y)
                && near(it.width.0, width)
                && near(it.height.0, height)
        })
    };
    let block = page.blocks[0].rect;
    let (x, y, width, height) = (block.x.0, block.y.0, block.width.0, block.height.0);
    assert!(lies(x, y, width, 1.0), "top: {black:?}");
    assert!(lies(x, y + height - 1.0, width, 1.0), "bottom: {black:?}");
    let tall = |x: f64| lies(x, y, 1.0, height) || lies(x, y + 1.0, 1.0, height - 2.0);
    assert!(tall(x), "left: {black:?}");
    assert!(tall(x + width - 1.0), "right: {black:?}");
}
