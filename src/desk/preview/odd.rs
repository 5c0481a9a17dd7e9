//! Which of many pages differs most from the others.

use std::collections::BTreeMap;

use crate::geom::Rect;
use crate::scene::Page;

/// A block of a layout: its file and place there.
type BlockPlace = (u32, u32);

/// How far each page's blocks lie from where they lie on most pages, in millimetres: the differences of
/// places and sizes added up, and the height of a block that is only on some.
pub(super) fn measure_oddness(pages: &[Page]) -> Vec<f64> {
    let places: Vec<BTreeMap<BlockPlace, Rect>> = pages.iter().map(place_blocks).collect();
    let mut all: BTreeMap<BlockPlace, Vec<Rect>> = BTreeMap::new();
    for (place, rect) in places.iter().flatten() {
        all.entry(*place).or_default().push(*rect);
    }
    let usual: BTreeMap<BlockPlace, (Rect, bool)> = all
        .into_iter()
        .map(|(place, rects)| (place, (middle(&rects), rects.len() * 2 > pages.len())))
        .collect();
    let odd = |placed: &BTreeMap<BlockPlace, Rect>| {
        let difference = |(place, (usual, often)): (&BlockPlace, &(Rect, bool))| match (
            placed.get(place),
            often,
        ) {
            (Some(rect), true) => distance(rect, usual),
            (Some(rect), false) => rect.height.0,
            (None, true) => usual.height.0,
            (None, false) => 0.0,
        };
        usual.iter().map(difference).sum()
    };
    places.iter().map(odd).collect()
}

/// Where the blocks of a page lie; of repeated ones the last, which lies furthest off.
fn place_blocks(page: &Page) -> BTreeMap<BlockPlace, Rect> {
    page.blocks.iter().map(|block| ((block.span.start, block.span.end), block.rect)).collect()
}

/// The box in the middle of many, side by side.
fn middle(rects: &[Rect]) -> Rect {
    let of = |side: fn(&Rect) -> f64| {
        let mut values: Vec<f64> = rects.iter().map(side).collect();
        values.sort_by(f64::total_cmp);
        crate::geom::Mm(values.get(values.len() / 2).copied().unwrap_or_default())
    };
    Rect::new(
        of(|rect| rect.x.0),
        of(|rect| rect.y.0),
        of(|rect| rect.width.0),
        of(|rect| rect.height.0),
    )
}

/// How far two boxes are apart.
fn distance(one: &Rect, other: &Rect) -> f64 {
    let sides = [
        one.x.0 - other.x.0,
        one.y.0 - other.y.0,
        one.width.0 - other.width.0,
        one.height.0 - other.height.0,
    ];
    sides.iter().map(|side| side.abs()).sum()
}
