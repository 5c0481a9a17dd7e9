//! Square codes: QR Code and Data Matrix.

use std::sync::Arc;

use super::code::{Ask, LeastModule, ModuleWish, count, read_payload, start_dot};
use super::{Job, Place};
use crate::bind::Bound;
use crate::codes::{
    DATA_MATRIX_QUIET_ZONE, DataMatrix, Ecc, ElementStrings, QR_QUIET_ZONE, Qr, QrOptions,
};
use crate::findings::{Finding, rules};
use crate::geom::Mm;
use crate::layout::Correction;
use crate::scene::{DotRect, Symbol};

/// The side of a QR code in a row that says nothing about it.
pub(super) const USUAL_QR_SIDE: Mm = Mm(20.0);

/// The side of a Data Matrix in a row that says nothing about it.
pub(super) const USUAL_MATRIX_SIDE: Mm = Mm(10.0);

/// The narrowest module of a QR code, in dots and in length. Four dots at 300 dpi, 0.33 mm, are the
/// smallest that the code's originator has in its table for thermal printers (qrcode.com, "Point
/// for setting the module size"); under four dots preflight warns.
const LEAST_QR: LeastModule = LeastModule { dots: 3, length: Mm(0.33) };

/// The narrowest module of a Data Matrix, as `preflight` has it.
const LEAST_MATRIX: LeastModule = LeastModule { dots: 3, length: Mm(0.25) };

impl Job<'_, '_> {
    /// Encodes, sizes and paints a QR code.
    pub(super) fn place_qr(
        &mut self,
        bound: &Bound<'_>,
        text: &str,
        correction: Correction,
        wish: ModuleWish,
        place: Place,
    ) {
        if self.refuse_reversed(bound, place) || self.refuse_empty(bound, text) {
            return;
        }
        let symbol = match self.encode_qr(text, correction) {
            Ok(symbol) => symbol,
            Err(why) => {
                let finding = Finding::new(&rules::QR, why).hint("shorten what it says");
                return self.find(bound, finding);
            }
        };
        let modules = count(symbol.size());
        let ask = Ask { modules, quiet: QR_QUIET_ZONE, least: LEAST_QR, wish };
        self.place_square(bound, Symbol::Qr(symbol), text.to_owned(), ask, place);
    }

    /// Encodes, sizes and paints a Data Matrix.
    pub(super) fn place_data_matrix(
        &mut self,
        bound: &Bound<'_>,
        text: &str,
        gs1: bool,
        wish: ModuleWish,
        place: Place,
    ) {
        if self.refuse_reversed(bound, place) || self.refuse_empty(bound, text) {
            return;
        }
        let (symbol, payload) = match encode_data_matrix(text, gs1) {
            Ok(made) => made,
            Err(finding) => return self.find(bound, finding),
        };
        let modules = count(symbol.size());
        let ask = Ask { modules, quiet: DATA_MATRIX_QUIET_ZONE, least: LEAST_MATRIX, wish };
        self.place_square(bound, Symbol::DataMatrix(Arc::new(symbol)), payload, ask, place);
    }

    /// Sizes and paints a square.
    fn place_square(
        &mut self,
        bound: &Bound<'_>,
        symbol: Symbol,
        payload: String,
        ask: Ask,
        place: Place,
    ) {
        let grid = self.frame.grid;
        let room = place.rect.width.min(place.rect.height);
        let Some(module) = self.fit_module(bound, ask, room) else { return };
        let (white, side) = (ask.white(), ask.across() * module);
        let x = start_dot(bound.block.align, place.rect.x, place.rect.width, side, grid);
        let free = (place.rect.height - grid.length(f64::from(side))).max(Mm::ZERO);
        let top = place.rect.y + super::stack::shift(bound.block.sit, free);
        let dots = DotRect {
            x: x + white * module,
            y: super::tally::snap_start(grid.dots(top)) + white * module,
            width: ask.modules * module,
            height: ask.modules * module,
        };
        self.mark_code(place, symbol, payload, module, dots, 0);
    }

    /// A QR code that says `text`, made once a page.
    fn encode_qr(&mut self, text: &str, correction: Correction) -> Result<Arc<Qr>, String> {
        let (ecc, rank) = match correction {
            Correction::Low => (Ecc::L, 0),
            Correction::Medium => (Ecc::M, 1),
            Correction::Quartile => (Ecc::Q, 2),
            Correction::High => (Ecc::H, 3),
        };
        let key = (text.to_owned(), rank);
        let cache = &mut self.composer.codes.squares;
        if let Some(known) = cache.get(&key) {
            return Ok(Arc::clone(known));
        }
        let options = QrOptions { ecc, ..QrOptions::default() };
        let symbol = Qr::encode(text, &options).map_err(|error| error.to_string())?;
        let symbol = Arc::new(symbol);
        cache.insert(key, Arc::clone(&symbol));
        Ok(symbol)
    }
}

/// A Data Matrix that says `text`, and what a reader gives back of it.
fn encode_data_matrix(text: &str, gs1: bool) -> Result<(DataMatrix, String), Finding> {
    let refuse = |why: String| {
        Finding::new(&rules::DATA_MATRIX, why).hint("shorten what it says, or use a `qr` for it")
    };
    if !gs1 {
        let symbol = DataMatrix::encode_text(text).map_err(|error| refuse(error.to_string()))?;
        return Ok((symbol, text.to_owned()));
    }
    let elements = ElementStrings::parse(text).map_err(|error| {
        Finding::new(&rules::GS1, error.to_string())
            .hint("write element strings in brackets: `(01)` and 14 digits, `(10)` and a batch")
    })?;
    let data = elements.to_data();
    let symbol = DataMatrix::encode(&data).map_err(|error| refuse(error.to_string()))?;
    Ok((symbol, read_payload(&data)))
}
