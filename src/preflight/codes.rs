//! What the rules ask of machine-readable codes: their quiet zones and sizes in modules.

use super::view::View;
use crate::codes::{CODE128_QUIET_ZONE, QR_QUIET_ZONE};
use crate::geom::{Insets, Mm, Rect};
use crate::scene::{BlockId, CodeMark, Symbol, Turn};

/// A code on a page.
#[derive(Clone, Copy)]
pub(super) struct CodeOnPage<'a> {
    /// The number of its mark.
    pub(super) mark: usize,
    /// The block it belongs to.
    pub(super) block: BlockId,
    /// The code.
    pub(super) code: &'a CodeMark,
    /// The symbol without its quiet zone.
    pub(super) symbol: Rect,
}

impl CodeOnPage<'_> {
    /// White modules needed beside the symbol: 10 at both ends of a Code 128 (ISO/IEC 15417),
    /// 4 all round a QR (ISO/IEC 18004).
    pub(super) fn quiet_modules(&self) -> u32 {
        let modules = match self.code.symbol {
            Symbol::Code128(_) => CODE128_QUIET_ZONE,
            Symbol::Qr(_) => QR_QUIET_ZONE,
        };
        u32::try_from(modules).unwrap_or(u32::MAX)
    }

    /// Modules from end to end of the symbol, without its quiet zone.
    pub(super) fn modules(&self) -> u32 {
        let modules = match &self.code.symbol {
            Symbol::Code128(symbol) => symbol.modules(),
            Symbol::Qr(symbol) => symbol.size(),
        };
        u32::try_from(modules).unwrap_or(u32::MAX)
    }

    /// The length of a module.
    pub(super) fn module(&self, view: &View<'_>) -> Mm {
        view.dots(f64::from(self.code.module_dots))
    }

    /// The symbol with the white it needs around it. It is reckoned from the symbol, not taken
    /// from the scene, so that a zone composed too narrow is found too.
    pub(super) fn zone(&self, view: &View<'_>) -> Rect {
        let white = self.module(view) * f64::from(self.quiet_modules());
        let outwards = match (&self.code.symbol, self.code.turn) {
            (Symbol::Qr(_), _) => Insets::all(-white),
            (Symbol::Code128(_), Turn::Upright) => {
                Insets { left: -white, right: -white, ..Insets::default() }
            }
            (Symbol::Code128(_), Turn::Quarter) => {
                Insets { top: -white, bottom: -white, ..Insets::default() }
            }
        };
        self.symbol.shrunk(outwards)
    }

    /// The quiet zone in words: its width, in millimetres and modules, and where it lies.
    pub(super) fn describe_zone(&self, view: &View<'_>) -> String {
        let modules = self.quiet_modules();
        let white = self.module(view) * f64::from(modules);
        let place = match (&self.code.symbol, self.code.turn) {
            (Symbol::Qr(_), _) => "all round",
            (Symbol::Code128(_), Turn::Upright) => "left and right",
            (Symbol::Code128(_), Turn::Quarter) => "above and below",
        };
        format!("{white} of white ({modules} modules) {place}")
    }
}
