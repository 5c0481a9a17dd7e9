//! What blocks become: a folder of `tests/cases/scene` holds a layout, and in `expected.txt` the
//! page of the sample's first parcel in words and millimetres, with its back if it has one.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use slipwright::geom::Rect;
use slipwright::scene::{Ink, MarkKind};
use slipwright::{DotGrid, Page};

use crate::sample_pages::{layout_beside, pages_of, sample_batch};

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
