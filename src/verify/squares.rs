//! How much error correction a printed square leaves unused.
//!
//! In: a symbol, where it stands, and the print. Out: the measure. Not here: what makes a
//! codeword wrong (`codes`).

use crate::export::Bitmap;
use crate::scene::{CodeMark, Symbol};

/// The part of a module's side that is not looked at, on either hand, as one in so many. A verifier
/// looks through an aperture of at most 80 % of the module (user's guide to the QC890 verifier,
/// Appendix A); the middle half of the side is ours, and the larger part of its dots decides.
const MARGIN: u32 = 4;

/// The unused error correction of a symbol in print, a module being what most of the dots in its
/// middle are; 0 for bars, which correct nothing.
pub(super) fn measure_squares(code: &CodeMark, printed: &Bitmap) -> f64 {
    let side = code.module_dots;
    // At least one dot on either hand, but never all of them.
    let margin = (side / MARGIN).max(1).min(side.saturating_sub(1) / 2);
    let modules = code.symbol.modules();
    let is_dark = |x: usize, y: usize| {
        let [x, y, ..] = code.stance.place_box([x, y, 1, 1], [modules, modules]);
        let start = |first: u32, module: usize| {
            first.saturating_add(u32::try_from(module).unwrap_or(u32::MAX).saturating_mul(side))
        };
        let (left, top) = (start(code.dots.x, x), start(code.dots.y, y));
        let middle = margin..side - margin;
        let dots = middle.clone().flat_map(|dy| middle.clone().map(move |dx| (dx, dy)));
        let dark = dots.filter(|&(dx, dy)| printed.get(left + dx, top + dy)).count();
        2 * dark > middle.len() * middle.len()
    };
    match &code.symbol {
        Symbol::Qr(symbol) => symbol.unused_correction(is_dark),
        Symbol::DataMatrix(symbol) => symbol.unused_correction(is_dark),
        Symbol::Code128(_) | Symbol::Ean(_) => 0.0,
    }
}
