//! Where the black of marks lies, in whole dots and whole modules.
//!
//! In: marks of a scene. Out: runs and boxes of dark modules or dots, the same for every writer,
//! and the dots of pages of other PDFs for the writers that cannot carry such pages over as they
//! are. Not here: how a box is painted.

use std::borrow::Cow;
use std::ops::Range;

use crate::codes::{BarRow, ModuleGrid};
use crate::geom::{DotGrid, QuarterTurn, Rect, Stance};
use crate::images::{BitImage, Raster, dither};
use crate::scene::{
    CodeMark, DotRect, ForeignMark, Ink, MarkKind, Outline, Page, Symbol, SymbolForm, TallyMark,
    TextRun,
};

/// Dots that positions are kept within, so that arithmetic on them cannot overflow.
const FARTHEST_DOT: f64 = 1_000_000.0;

/// A box of whole dots or modules.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Cells {
    /// The first column.
    pub(super) x: i32,
    /// The first row, counted downwards.
    pub(super) y: i32,
    /// Columns, at least one.
    pub(super) width: i32,
    /// Rows, at least one.
    pub(super) height: i32,
}

impl Cells {
    /// The same box of dots in millimetres.
    pub(super) fn to_rect(self, grid: DotGrid) -> Rect {
        let length = |dots: i32| grid.length(f64::from(dots));
        Rect::new(length(self.x), length(self.y), length(self.width), length(self.height))
    }
}

impl From<DotRect> for Cells {
    fn from(dots: DotRect) -> Cells {
        let cell = |count: u32| clamp_dot(f64::from(count));
        Cells {
            x: cell(dots.x),
            y: cell(dots.y),
            width: cell(dots.width),
            height: cell(dots.height),
        }
    }
}

/// A whole number of dots, within what boxes can hold.
fn clamp_dot(dots: f64) -> i32 {
    dots.clamp(-FARTHEST_DOT, FARTHEST_DOT) as i32
}

/// The dots that a filled box covers: its sides go to the nearest dot lines, and it keeps at least
/// one dot each way, because a rule that vanishes is worse than one that is too thick. `None` for
/// a box without area.
pub(super) fn snap_fill(rect: Rect, grid: DotGrid) -> Option<Cells> {
    if !(rect.width.0 > 0.0 && rect.height.0 > 0.0) {
        return None;
    }
    let snap = |from, to| {
        let first = clamp_dot(grid.dots(from).round());
        (first, (clamp_dot(grid.dots(to).round()) - first).max(1))
    };
    let (x, width) = snap(rect.x, rect.right());
    let (y, height) = snap(rect.y, rect.bottom());
    Some(Cells { x, y, width, height })
}

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

/// The runs of dark modules of a square, row by row, as boxes one module high.
pub(super) fn module_runs(grid: &ModuleGrid) -> impl Iterator<Item = Cells> + '_ {
    (0..grid.size()).flat_map(move |y| {
        grid.runs(y).map(move |(x, width)| Cells {
            x: x as i32,
            y: y as i32,
            width: width as i32,
            height: 1,
        })
    })
}

/// Boxes that cover exactly the dark modules of a square, so that any two dark modules that share
/// a side lie together in one of them.
///
/// A box that ends a sliver short of its sides would leave a hair of white where two boxes meet;
/// here boxes overlap instead. Runs that repeat in the next row become one box; a box grows into
/// the row above or below where that is dark over its whole width; what pairs of modules are left
/// get a box of their own.
pub(super) fn cover_modules(grid: &ModuleGrid) -> Vec<Cells> {
    let rows: Vec<BitRow> = grid.rows().iter().map(|row| BitRow(*row)).collect();
    let row = |y: i32| usize::try_from(y).ok().and_then(|y| rows.get(y));
    let mut boxes = merge_runs(module_runs(grid));
    for cells in &mut boxes {
        let columns = cells.x..cells.x + cells.width;
        let is_dark = |y| row(y).is_some_and(|row| row.covers(columns.clone()));
        let above = i32::from(is_dark(cells.y - 1));
        let below = i32::from(is_dark(cells.y + cells.height));
        cells.y -= above;
        cells.height += above + below;
    }
    boxes.extend(bridge_rows(&rows, &boxes));
    boxes
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

/// Boxes of dark modules such that any box of up to two by two dark modules beside each other lies
/// in one of them: cut smaller all alike, they make the dark area cut smaller at its edges only.
fn list_dark_areas(grid: &ModuleGrid) -> Vec<Cells> {
    let rows: Vec<BitRow> = grid.rows().iter().map(|row| BitRow(*row)).collect();
    let pairs = rows.windows(2).zip(0..).flat_map(|(pair, y)| {
        pair[0].and(pair[1]).runs().map(move |(x, width)| Cells { x, y, width, height: 2 })
    });
    let mut areas = merge_runs(module_runs(grid));
    let single = areas.len();
    for pair in pairs {
        let holds = |area: &Cells| {
            (area.x, area.width) == (pair.x, pair.width)
                && area.y <= pair.y
                && pair.y + 2 <= area.y + area.height
        };
        if !areas[..single].iter().any(holds) {
            areas.push(pair);
        }
    }
    areas
}

/// A row of modules: column x is bit x % 64 of word x / 64.
#[derive(Clone, Copy, Debug)]
struct BitRow([u64; 3]);

impl BitRow {
    /// The bits of a word that lie in these columns.
    fn mask(word: usize, columns: &Range<i32>) -> u64 {
        let first = 64 * word as i32;
        let bit = |column: i32| (column - first).clamp(0, 64);
        let (from, to) = (bit(columns.start), bit(columns.end));
        if from < to { u64::MAX >> (64 - (to - from)) << from } else { 0 }
    }

    /// Whether all these columns are dark.
    fn covers(&self, columns: Range<i32>) -> bool {
        let dark = |(word, bits): (usize, u64)| {
            let mask = BitRow::mask(word, &columns);
            bits & mask == mask
        };
        self.0.into_iter().enumerate().all(dark)
    }

    /// Makes these columns light.
    fn clear(&mut self, columns: Range<i32>) {
        for (word, bits) in self.0.iter_mut().enumerate() {
            *bits &= !BitRow::mask(word, &columns);
        }
    }

    /// The columns that are dark in both rows.
    fn and(self, other: BitRow) -> BitRow {
        BitRow(std::array::from_fn(|word| self.0[word] & other.0[word]))
    }

    /// The runs of dark columns, each with its first column and its length.
    fn runs(mut self) -> impl Iterator<Item = (i32, i32)> {
        std::iter::from_fn(move || {
            let word = self.0.iter().position(|bits| *bits != 0)?;
            let start = 64 * word as i32 + self.0[word].trailing_zeros() as i32;
            let mut end = start;
            while self.covers(start..end + 1) {
                end += 1;
            }
            self.clear(start..end);
            Some((start, end - start))
        })
    }
}

/// Joins runs, given row by row, that repeat in the next row.
fn merge_runs(runs: impl Iterator<Item = Cells>) -> Vec<Cells> {
    // A symbol of the smallest versions has about so many.
    let mut boxes: Vec<Cells> = Vec::with_capacity(256);
    // Boxes of the row before and of this row that may still grow, from left to right.
    let (mut before, mut open): (Vec<usize>, Vec<usize>) = (Vec::new(), Vec::new());
    let mut row = 0;
    for run in runs {
        if run.y != row {
            std::mem::swap(&mut before, &mut open);
            open.clear();
            if run.y != row + 1 {
                before.clear();
            }
            row = run.y;
        }
        let same = |&index: &usize| (boxes[index].x, boxes[index].width) == (run.x, run.width);
        if let Some(index) = before.iter().copied().find(same) {
            boxes[index].height += 1;
            open.push(index);
        } else {
            open.push(boxes.len());
            boxes.push(run);
        }
    }
    boxes
}

/// Boxes two rows high over the dark pairs of modules, one above the other, that no box holds.
fn bridge_rows(rows: &[BitRow], boxes: &[Cells]) -> impl Iterator<Item = Cells> + use<> {
    let mut open: Vec<BitRow> = rows.windows(2).map(|pair| pair[0].and(pair[1])).collect();
    for cells in boxes {
        for y in cells.y..cells.y + cells.height - 1 {
            if let Some(row) = usize::try_from(y).ok().and_then(|y| open.get_mut(y)) {
                row.clear(cells.x..cells.x + cells.width);
            }
        }
    }
    let bridge = |(row, y): (BitRow, i32)| {
        row.runs().map(move |(x, width)| Cells { x, y, width, height: 2 })
    };
    open.into_iter().zip(0..).flat_map(bridge)
}

/// A page of another PDF in dots.
pub(super) struct ForeignDots {
    /// Where its dots lie.
    pub(super) cells: Cells,
    /// The dots.
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
    use crate::geom::Mm;

    /// A QR Code that says `text`.
    fn qr(text: &str) -> Qr {
        Qr::encode(text, &QrOptions::default()).unwrap()
    }

    #[test]
    fn boxes_cover_exactly_the_dark_modules_and_leave_no_seam() {
        for text in ["1", "SW1:L:K7QM:2024-0001:ORDER-000123", &"Слип ".repeat(40)] {
            let qr = qr(text);
            let size = qr.size();
            let boxes = cover_modules(qr.grid());
            let holds = |b: &Cells, x: usize, y: usize| {
                (b.x..b.x + b.width).contains(&(x as i32))
                    && (b.y..b.y + b.height).contains(&(y as i32))
            };
            for y in 0..size {
                for x in 0..size {
                    let dark = qr.grid().get(x, y);
                    assert_eq!(boxes.iter().any(|b| holds(b, x, y)), dark, "{x} {y}");
                    for (x2, y2) in [(x + 1, y), (x, y + 1)] {
                        if dark && qr.grid().get(x2, y2) {
                            let joined = |b: &Cells| holds(b, x, y) && holds(b, x2, y2);
                            assert!(boxes.iter().any(joined), "seam at {x} {y}");
                        }
                    }
                }
            }
        }
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
    fn fills_keep_one_dot() {
        let grid = DotGrid::DPI_203;
        let fill = |x, width| snap_fill(Rect::new(Mm(x), Mm(0.0), Mm(width), Mm(1.0)), grid);
        assert_eq!(fill(1.0, 0.375), Some(Cells { x: 8, y: 0, width: 3, height: 8 }));
        assert_eq!(fill(1.0, 0.01), Some(Cells { x: 8, y: 0, width: 1, height: 8 }));
        assert_eq!(fill(1.0, 0.0), None);
        assert_eq!(fill(f64::NAN, f64::NAN), None);
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
