//! Where the black of marks lies, in whole dots and whole modules.
//!
//! In: marks of a scene. Out: runs and boxes of dark modules or dots, the same for every writer,
//! and the dots of pages of other PDFs for the writers that cannot carry such pages over as they
//! are. Not here: how a box is painted.

use std::borrow::Cow;

use super::cells::{Cells, clamp_dot, snap_fill};
use super::dark_boxes::list_dark_areas;
use crate::codes::{BarRow, ModuleGrid};
use crate::geom::{DotGrid, QuarterTurn, Rect, Stance};
use crate::images::{BitImage, Raster, dither};
use crate::scene::{
    CodeMark, ForeignMark, Ink, MarkKind, Outline, Page, Symbol, SymbolForm, TallyMark, TextRun,
};

/// Whether anything on a page is in colour.
pub(crate) fn has_colour(page: &Page) -> bool {
    page.marks.iter().any(|mark| match &mark.kind {
        MarkKind::Text(TextRun { ink, .. })
        | MarkKind::Fill(_, ink)
        | MarkKind::Outline(Outline { ink, .. }) => matches!(ink, Ink::Colour(_)),
        MarkKind::Picture(picture) => matches!(*picture.raster, Raster::Colour(_)),
        MarkKind::Code(_) | MarkKind::Tally(_) | MarkKind::Foreign(_) => false,
    })
}

/// The rows of a one-bit picture, each in as few whole bytes as it needs; pixels that are missing at
/// its end are white.
pub(super) fn pack_rows(image: &BitImage) -> Vec<u8> {
    let bytes = image.width.div_ceil(8) as usize;
    let rows = image.rows.chunks(image.stride.max(1));
    let mut packed: Vec<u8> = rows.flat_map(|row| row.iter().copied().take(bytes)).collect();
    packed.resize(bytes * image.height as usize, 0);
    packed
}

/// The bars of a row as it stands on a page, each with its first module and its width in modules,
/// counted from the left or, where they lie, from the top.
pub(super) fn bars(row: &BarRow, stance: Stance) -> impl Iterator<Item = (i32, i32)> + '_ {
    place_bars(row.bars(), row.modules(), stance)
}

/// Bars of a row of so many modules as they stand on a page.
fn place_bars(
    bars: impl Iterator<Item = (usize, usize)>,
    modules: usize,
    stance: Stance,
) -> impl Iterator<Item = (i32, i32)> {
    bars.map(move |(start, width)| {
        let start = if stance.runs_back() { modules - start - width } else { start };
        (start as i32, width as i32)
    })
}

/// The modules of a square as they stand on a page.
pub(super) fn place_grid(grid: &ModuleGrid, stance: Stance) -> Cow<'_, ModuleGrid> {
    match stance.is_upright() {
        true => Cow::Borrowed(grid),
        false => Cow::Owned(grid.oriented(stance)),
    }
}

/// The bars of an EAN that reach beyond the others, whole, so that they leave no seam.
pub(super) fn guard_cells(code: &CodeMark) -> Vec<Cells> {
    let Symbol::Ean(symbol) = &code.symbol else { return Vec::new() };
    let tails = clamp_dot(f64::from(code.tails));
    if tails == 0 {
        return Vec::new();
    }
    let whole = Cells::from(code.dots);
    // The foot of the upright symbol is where the turn brings it.
    let long = match code.stance.turn {
        QuarterTurn::None => Cells { height: whole.height + tails, ..whole },
        QuarterTurn::Quarter => Cells { x: whole.x - tails, width: whole.width + tails, ..whole },
        QuarterTurn::Half => Cells { y: whole.y - tails, height: whole.height + tails, ..whole },
        QuarterTurn::ThreeQuarter => Cells { width: whole.width + tails, ..whole },
    };
    let guards = place_bars(symbol.guards(), symbol.row().modules(), code.stance);
    guards.map(|(first, modules)| bar_cells(code, long, first, modules)).collect()
}

/// The dots of a bar over the whole of `whole`, less what it loses.
fn bar_cells(code: &CodeMark, whole: Cells, first: i32, modules: i32) -> Cells {
    let (start, dots) = cut_part(code, first, modules);
    match code.stance.is_lying() {
        false => Cells { x: whole.x + start, width: dots, ..whole },
        true => Cells { y: whole.y + start, height: dots, ..whole },
    }
}

/// First dot and number of dots of a dark part given in modules, less what it loses.
fn cut_part(code: &CodeMark, first: i32, modules: i32) -> (i32, i32) {
    let module = clamp_dot(f64::from(code.module_dots));
    let lost = clamp_dot(f64::from(code.reduction)).min(module - 1).max(0);
    (first * module + lost / 2, modules * module - lost)
}

/// The black runs of a tally, each over the whole height of the row.
pub(super) fn tally_runs(tally: &TallyMark) -> impl Iterator<Item = Cells> {
    let row = Cells::from(tally.dots);
    let cell = clamp_dot(f64::from(tally.cell_dots));
    let count = tally.cells.len() as i32;
    runs(&tally.cells).map(move |(start, len)| {
        let start = if tally.stance.runs_back() { count - start - len } else { start };
        let (start, long) = (cell.saturating_mul(start), cell.saturating_mul(len));
        match tally.stance.is_lying() {
            false => Cells { x: row.x.saturating_add(start), width: long, ..row },
            true => Cells { y: row.y.saturating_add(start), height: long, ..row },
        }
    })
}

/// The runs of true cells, each with its first index and its length.
fn runs(cells: &[bool]) -> impl Iterator<Item = (i32, i32)> {
    let mut at = 0;
    std::iter::from_fn(move || {
        let start = at + cells[at..].iter().position(|&cell| cell)?;
        let len = cells[start..].iter().take_while(|&&cell| cell).count();
        at = start + len;
        Some((start as i32, len as i32))
    })
}

/// The boxes of dots that paint a code whose dark parts are to lose dots; `None` when they lose
/// none, and each writer has its own shorter way.
///
/// What is lost is taken off both sides of a dark part, the odd dot off the right or lower one, so
/// that the distances between like edges stay what they were. A dark part of one module keeps one
/// dot. Of bars each gets narrower; of a square the whole dark area shrinks at its edges, in
/// both directions, while its modules stay where they are: a light module among dark ones grows.
pub(super) fn reduced_cells(code: &CodeMark) -> Option<Vec<Cells>> {
    let whole = Cells::from(code.dots);
    if code.reduction.min(code.module_dots.saturating_sub(1)) == 0 {
        return None;
    }
    Some(match code.symbol.shape() {
        SymbolForm::Bars(row) => {
            let bars = bars(row, code.stance);
            bars.map(|(first, modules)| bar_cells(code, whole, first, modules)).collect()
        }
        SymbolForm::Square(grid) => {
            let area = |cells: Cells| {
                let (x, width) = cut_part(code, cells.x, cells.width);
                let (y, height) = cut_part(code, cells.y, cells.height);
                Cells { x: whole.x + x, y: whole.y + y, width, height }
            };
            let grid = place_grid(grid, code.stance);
            list_dark_areas(&grid).into_iter().map(area).collect()
        }
    })
}

/// A page of another PDF in dots.
pub(super) struct ForeignDots {
    /// Where its dots lie.
    pub(super) cells: Cells,
    /// Black and white, a bit a dot.
    pub(super) bits: BitImage,
}

/// Draws a page of another PDF at the dots of its box. One that cannot be drawn becomes a frame
/// with a cross, which nobody takes for a finished page; composing reports it before.
pub(super) fn draw_foreign(foreign: &ForeignMark, grid: DotGrid) -> ForeignDots {
    let nowhere = Cells { x: 0, y: 0, width: 0, height: 0 };
    let cells = snap_fill(foreign.rect, grid).unwrap_or(nowhere);
    let (width, height) = (cells.width.unsigned_abs(), cells.height.unsigned_abs());
    let bits = match foreign.page.draw(&foreign.cut, width, height) {
        Ok(drawing) => dither(&drawing),
        Err(_) => cross_out(foreign.rect, grid),
    };
    ForeignDots { cells, bits }
}

/// A frame with a cross in it, as large as a box but never larger than a bitmap should be.
fn cross_out(rect: Rect, grid: DotGrid) -> BitImage {
    /// The most dots along a side.
    const MOST: u32 = 4000;
    let width = grid.whole_dots_within(rect.width).min(MOST);
    let height = grid.whole_dots_within(rect.height).min(MOST);
    let mut bits = BitImage::white(width, height);
    for y in 0..height {
        let across = u64::from(y) * u64::from(width) / u64::from(height.max(1));
        for x in 0..width {
            let edge = x == 0 || y == 0 || x + 1 == width || y + 1 == height;
            let on_cross = [across, u64::from(width) - 1 - across].contains(&u64::from(x));
            if edge || on_cross {
                bits.rows[y as usize * bits.stride + x as usize / 8] |= 0x80 >> (x % 8);
            }
        }
    }
    bits
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::codes::{Code128, Qr, QrOptions};
    use crate::scene::DotRect;

    /// A QR Code that says `text`.
    fn qr(text: &str) -> Qr {
        Qr::encode(text, &QrOptions::default()).unwrap()
    }

    /// Every dot of a QR that loses dots is dark where all dots it stands for are.
    #[test]
    fn dark_areas_shrink_at_their_edges_only() {
        for (text, module, reduction) in [
            ("1", 4, 1),
            ("SW1:L:K7QM:2024-0001", 3, 2),
            ("Слип".repeat(9).as_str(), 5, 3),
            ("A", 2, 4),
        ] {
            let symbol = qr(text);
            let side = symbol.size() as u32 * module;
            let code = CodeMark {
                symbol: Symbol::Qr(std::sync::Arc::new(symbol.clone())),
                payload: text.to_owned(),
                module_dots: module,
                stance: Stance::UPRIGHT,
                dots: DotRect { x: 7, y: 9, width: side, height: side },
                tails: 0,
                quiet: Rect::default(),
                reduction,
            };
            let cells = reduced_cells(&code).unwrap();
            let lost = reduction.min(module - 1) as i32;
            let (before, after) = (lost / 2, lost - lost / 2);
            let module = module as i32;
            let dark = |x: i32, y: i32| {
                let inside = x >= 0 && y >= 0 && x < side as i32 && y < side as i32;
                inside && symbol.grid().get((x / module) as usize, (y / module) as usize)
            };
            for (x, y) in (0..side as i32).flat_map(|y| (0..side as i32).map(move |x| (x, y))) {
                let near = |at: i32| at - before..=at + after;
                let wanted = near(y).all(|v| near(x).all(|u| dark(u, v)));
                let found = cells.iter().any(|cells| {
                    (cells.x..cells.x + cells.width).contains(&(x + 7))
                        && (cells.y..cells.y + cells.height).contains(&(y + 9))
                });
                assert_eq!(found, wanted, "{text} {x} {y}");
            }
        }
    }

    #[test]
    fn bars_get_narrower_and_keep_a_dot() {
        let symbol = std::sync::Arc::new(Code128::encode_text("PEN-7").unwrap());
        for (module, reduction, lost) in [(3, 1, 1), (3, 2, 2), (2, 4, 1), (1, 4, 0)] {
            let width = symbol.row().modules() as u32 * module;
            let code = CodeMark {
                symbol: Symbol::Code128(symbol.clone()),
                payload: "PEN-7".to_owned(),
                module_dots: module,
                stance: Stance::turned(QuarterTurn::Quarter),
                dots: DotRect { x: 5, y: 30, width: 40, height: width },
                tails: 0,
                quiet: Rect::default(),
                reduction,
            };
            let Some(cells) = reduced_cells(&code) else {
                assert_eq!(lost, 0);
                continue;
            };
            for ((first, modules), cells) in bars(symbol.row(), code.stance).zip(cells) {
                let module = module as i32;
                let height = modules * module - lost;
                assert!(height > 0);
                assert_eq!(
                    cells,
                    Cells { x: 5, y: 30 + first * module + lost / 2, width: 40, height }
                );
            }
        }
    }

    #[test]
    fn tally_runs_join_black_cells() {
        let tally = TallyMark {
            cells: vec![true, true, false, true],
            cell_dots: 24,
            stance: Stance::UPRIGHT,
            dots: DotRect { x: 10, y: 5, width: 96, height: 32 },
        };
        let runs: Vec<Cells> = tally_runs(&tally).collect();
        assert_eq!(
            runs,
            [
                Cells { x: 10, y: 5, width: 48, height: 32 },
                Cells { x: 82, y: 5, width: 24, height: 32 }
            ]
        );
    }
}
