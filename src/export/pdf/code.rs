//! Codes and tallies as filled boxes that are whole printer dots.
//!
//! In: a [`CodeMark`] or [`TallyMark`]. Out: path operators. Each code gets a scale in which its
//! modules are whole numbers, so that its boxes are short to write, and one fill.

use crate::codes::{Code128, Qr};
use crate::scene::{CodeMark, Ink, Symbol, TallyMark, Turn};

use super::super::marks::{Cells, bars, cover_modules, reduced_cells, tally_runs};
use super::content::Content;
use super::frame::{Block, Frame};

/// A code's own scale: one unit is a module, the origin is its lower left corner, y upwards.
struct Modules {
    /// How far a box stops short at left and right together, in modules.
    across: f64,
    /// How far a box stops short at top and bottom together, in modules.
    down: f64,
}

impl Modules {
    /// The scale of a code.
    fn new(code: &CodeMark, frame: &Frame) -> Modules {
        let module = f64::from(code.module_dots.max(1));
        // Rounded up, so that a written box never reaches a dot line.
        let round = |dots: f64| (dots / module * 1000.0 - 1e-6).ceil() / 1000.0;
        let slivers = frame.slivers;
        Modules { across: round(2.0 * slivers.side), down: round(slivers.top + slivers.bottom) }
    }
}

/// Paints a code.
pub(super) fn paint_code(content: &mut Content, code: &CodeMark, frame: &Frame) {
    if let Some(cells) = reduced_cells(code) {
        return cells.into_iter().for_each(|cells| content.fill_box(frame.fill(cells), Ink::Black));
    }
    match &code.symbol {
        Symbol::Code128(symbol) => paint_bars(content, symbol, code, frame),
        Symbol::Qr(symbol) => paint_qr(content, symbol, code, frame),
    }
}

/// The lower left corner that boxes start from: a sliver inside the code's dots.
fn find_corner(code: &CodeMark, frame: &Frame) -> (f64, f64) {
    let Block { x, y, .. } = frame.fill(Cells::from(code.dots));
    (x, y)
}

/// Paints the bars of a Code 128, upright or turned.
fn paint_bars(content: &mut Content, symbol: &Code128, code: &CodeMark, frame: &Frame) {
    let whole = frame.fill(Cells::from(code.dots));
    let module = f64::from(code.module_dots);
    let Modules { across, down } = Modules::new(code, frame);
    let modules = symbol.modules() as f64;
    // The other direction is measured in whole bars, which makes each bar's extent there a 1.
    let scale = match code.turn {
        Turn::Upright => (module, whole.height),
        Turn::Quarter => (whole.width, module),
    };
    content.begin_scaled(scale, find_corner(code, frame), Ink::Black);
    for (start, width) in bars(symbol) {
        let (start, width) = (f64::from(start), f64::from(width));
        content.local_box(match code.turn {
            Turn::Upright => Block { x: start, y: 0.0, width: width - across, height: 1.0 },
            Turn::Quarter => {
                Block { x: 0.0, y: modules - start - width, width: 1.0, height: width - down }
            }
        });
    }
    content.raw(b"f\n");
    content.end_scaled();
}

/// Paints the dark modules of a QR Code.
fn paint_qr(content: &mut Content, symbol: &Qr, code: &CodeMark, frame: &Frame) {
    let module = f64::from(code.module_dots);
    let Modules { across, down } = Modules::new(code, frame);
    let size = symbol.size() as f64;
    content.begin_scaled((module, module), find_corner(code, frame), Ink::Black);
    for cells in cover_modules(symbol) {
        let (width, height) = (f64::from(cells.width), f64::from(cells.height));
        content.local_box(Block {
            x: f64::from(cells.x),
            y: size - f64::from(cells.y) - height,
            width: width - across,
            height: height - down,
        });
    }
    content.raw(b"f\n");
    content.end_scaled();
}

/// Paints the black cells of a tally.
pub(super) fn paint_tally(content: &mut Content, tally: &TallyMark, frame: &Frame) {
    for run in tally_runs(tally) {
        content.fill_box(frame.fill(run), Ink::Black);
    }
}
