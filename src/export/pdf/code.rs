//! Codes and tallies as filled boxes that are whole printer dots.
//!
//! In: a [`CodeMark`] or [`TallyMark`]. Out: path operators. Each code gets a scale in which its
//! modules are whole numbers, so that its boxes are short to write, and one fill.

use crate::codes::{BarRow, ModuleGrid};
use crate::scene::{CodeMark, Ink, SymbolForm, TallyMark};

use super::super::cells::Cells;
use super::super::dark_boxes::cover_modules;
use super::super::decimal::push_fixed;
use super::super::marks::{bars, guard_cells, place_grid, reduced_cells, tally_runs};
use super::content::ContentStream;
use super::frame::{Frame, StreamBox};

/// A code's own scale: one unit is a module, the origin is its lower left corner, y upwards.
struct Modules {
    /// How far a box stops short at left and right together, in thousandths of a module.
    across: i64,
    /// How far a box stops short at top and bottom together, in thousandths of a module.
    down: i64,
}

impl Modules {
    /// The scale of a code.
    fn new(code: &CodeMark, frame: &Frame) -> Modules {
        let module = f64::from(code.module_dots.max(1));
        // Rounded up, so that a written box never reaches a dot line.
        let round = |dots: f64| (dots / module * 1000.0 - 1e-6).ceil() as i64;
        let slivers = frame.slivers;
        Modules { across: round(2.0 * slivers.side), down: round(slivers.top + slivers.bottom) }
    }
}

/// Fills a code's modules, each run on whole dots, and reduced where the printer spreads its ink.
pub(super) fn paint_code(content: &mut ContentStream, code: &CodeMark, frame: &Frame) {
    for cells in guard_cells(code) {
        content.fill_box(frame.fill(cells), Ink::Black);
    }
    if let Some(cells) = reduced_cells(code) {
        return cells.into_iter().for_each(|cells| content.fill_box(frame.fill(cells), Ink::Black));
    }
    match code.symbol.shape() {
        SymbolForm::Bars(row) => paint_bars(content, row, code, frame),
        SymbolForm::Square(grid) => {
            paint_square(content, &place_grid(grid, code.stance), code, frame);
        }
    }
}

/// The lower left corner that boxes start from: a sliver inside the code's dots.
fn find_corner(code: &CodeMark, frame: &Frame) -> (f64, f64) {
    let StreamBox { x, y, .. } = frame.fill(Cells::from(code.dots));
    (x, y)
}

/// Paints a row of bars, upright or lying.
fn paint_bars(content: &mut ContentStream, row: &BarRow, code: &CodeMark, frame: &Frame) {
    let whole = frame.fill(Cells::from(code.dots));
    let module = f64::from(code.module_dots);
    let Modules { across, down } = Modules::new(code, frame);
    let modules = row.modules() as i64;
    let lying = code.stance.is_lying();
    // The other direction is measured in whole bars, which makes each bar's extent there a 1.
    let scale = if lying { (whole.width, module) } else { (module, whole.height) };
    content.begin_scaled(scale, find_corner(code, frame), Ink::Black);
    // Of whole bars there is one way, and few widths the other.
    let (mut across, mut down) = match lying {
        false => (Extents::across(across), Extents::down(0)),
        true => (Extents::across(0), Extents::down(down)),
    };
    for (start, width) in bars(row, code.stance) {
        let (from, size) = (i64::from(start), i64::from(width));
        let (corner, extent) = match lying {
            false => ((from, 0), (width, 1)),
            true => ((0, modules - from - size), (1, width)),
        };
        content.local_box(corner, across.write(extent.0), down.write(extent.1));
    }
    content.raw(b"f\n");
    content.end_scaled();
}

/// Paints the dark modules of a square.
fn paint_square(content: &mut ContentStream, grid: &ModuleGrid, code: &CodeMark, frame: &Frame) {
    let module = f64::from(code.module_dots);
    let Modules { across, down } = Modules::new(code, frame);
    let size = grid.size() as i64;
    content.begin_scaled((module, module), find_corner(code, frame), Ink::Black);
    let (mut across, mut down) = (Extents::across(across), Extents::down(down));
    for cells in cover_modules(grid) {
        let corner = (i64::from(cells.x), size - i64::from(cells.y) - i64::from(cells.height));
        content.local_box(corner, across.write(cells.width), down.write(cells.height));
    }
    content.raw(b"f\n");
    content.end_scaled();
}

/// Lengths of boxes in modules, each written out once: boxes have few, and many have the same.
struct Extents {
    /// How far a box stops short, in thousandths of a module.
    sliver: i64,
    /// What stands behind each length.
    end: &'static [u8],
    /// The text of each length so far; empty for one that did not come yet.
    written: Vec<Vec<u8>>,
}

impl Extents {
    /// No widths yet; each stops short by so many thousandths of a module.
    fn across(sliver: i64) -> Extents {
        Extents { sliver, end: b"", written: Vec::new() }
    }

    /// No heights yet, which end a box; each stops short by so many thousandths of a module.
    fn down(sliver: i64) -> Extents {
        Extents { sliver, end: b" re\n", written: Vec::new() }
    }

    /// A length as the stream has it, behind a space.
    fn write(&mut self, modules: i32) -> &[u8] {
        let at = usize::try_from(modules).unwrap_or(0);
        if self.written.len() <= at {
            self.written.resize_with(at + 1, Vec::new);
        }
        let text = &mut self.written[at];
        if text.is_empty() {
            text.push(b' ');
            push_fixed(text, i64::from(modules) * 1000 - self.sliver, 3);
            text.extend_from_slice(self.end);
        }
        text
    }
}

/// Paints the black cells of a tally.
pub(super) fn paint_tally(content: &mut ContentStream, tally: &TallyMark, frame: &Frame) {
    for run in tally_runs(tally) {
        content.fill_box(frame.fill(run), Ink::Black);
    }
}
