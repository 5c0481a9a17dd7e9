//! A square code's dark modules as boxes: as few as there may be, overlapping so that no hair of white
//! shows where two meet.

use std::ops::Range;

use super::cells::Cells;
use crate::codes::ModuleGrid;

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

/// Boxes of dark modules such that any box of up to two by two dark modules beside each other lies
/// in one of them: cut smaller all alike, they make the dark area cut smaller at its edges only.
pub(super) fn list_dark_areas(grid: &ModuleGrid) -> Vec<Cells> {
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

    /// A row in which these columns are dark.
    fn of(columns: &Range<i32>) -> BitRow {
        BitRow(std::array::from_fn(|word| BitRow::mask(word, columns)))
    }

    /// The columns that are dark here and not in another row.
    fn without(self, other: BitRow) -> BitRow {
        BitRow(std::array::from_fn(|word| self.0[word] & !other.0[word]))
    }

    /// The columns that are dark in both rows.
    fn and(self, other: BitRow) -> BitRow {
        BitRow(std::array::from_fn(|word| self.0[word] & other.0[word]))
    }

    /// The runs of dark columns, each with its first column and its length.
    fn runs(mut self) -> impl Iterator<Item = (i32, i32)> {
        std::iter::from_fn(move || {
            let word = self.0.iter().position(|bits| *bits != 0)?;
            let start = 64 * word + self.0[word].trailing_zeros() as usize;
            let mut end = start;
            // A run that ends with its word may go on in the next.
            while let Some(bits) = self.0.get_mut(end / 64) {
                let first = end % 64;
                let length = (*bits >> first).trailing_ones() as usize;
                *bits &= !(u64::MAX.checked_shr(64 - length as u32).unwrap_or(0) << first);
                end += length;
                if first + length < 64 {
                    break;
                }
            }
            Some((start as i32, (end - start) as i32))
        })
    }
}

/// Joins runs, given row by row, that repeat in the next row.
fn merge_runs(runs: impl Iterator<Item = Cells>) -> Vec<Cells> {
    // A symbol of the smallest versions has about so many.
    let mut boxes: Vec<Cells> = Vec::with_capacity(256);
    // Boxes of the row before and of this row that may still grow, from left to right; and how many
    // of the row before lie to the left of the run at hand.
    let (mut before, mut open): (Vec<usize>, Vec<usize>) = (Vec::new(), Vec::new());
    let (mut row, mut passed) = (0, 0);
    for run in runs {
        if run.y != row {
            std::mem::swap(&mut before, &mut open);
            open.clear();
            if run.y != row + 1 {
                before.clear();
            }
            (row, passed) = (run.y, 0);
        }
        let lies_left = |index: &usize| boxes[*index].x < run.x;
        passed += before[passed..].iter().take_while(|index| lies_left(index)).count();
        let same = |&index: &usize| (boxes[index].x, boxes[index].width) == (run.x, run.width);
        if let Some(index) = before.get(passed).copied().filter(same) {
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
    for cells in boxes.iter().filter(|cells| cells.height > 1) {
        let first = usize::try_from(cells.y).unwrap_or(0);
        let rows = open.iter_mut().skip(first).take(cells.height as usize - 1);
        let columns = BitRow::of(&(cells.x..cells.x + cells.width));
        rows.for_each(|row| *row = row.without(columns));
    }
    let bridge = |(row, y): (BitRow, i32)| {
        row.runs().map(move |(x, width)| Cells { x, y, width, height: 2 })
    };
    open.into_iter().zip(0..).flat_map(bridge)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::codes::{Qr, QrOptions};

    #[test]
    fn boxes_cover_exactly_the_dark_modules_and_leave_no_seam() {
        for text in ["1", "SW1:L:K7QM:2024-0001:ORDER-000123", &"Слип ".repeat(40)] {
            let qr = Qr::encode(text, &QrOptions::default()).unwrap();
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
}
