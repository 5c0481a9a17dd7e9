//! EAN-13, EAN-8 and UPC-A, with their digits below the bars as the standard has them.
//!
//! A digit stands below the seven modules that say it, as high as 8⅓ modules (2.75 mm at 0.33 mm:
//! barcodes.cz, "EAN-13 Specifications"), a module below the bars. The guards reach five modules
//! down between them (ISO/IEC 15420:2009, 4.3.3).

use std::sync::Arc;

use super::code::{Ask, BarFit, LeastModule, ModuleWish, count};
use super::{Job, Place};
use crate::bind::Bound;
use crate::codes::{Ean, EanError, EanKind};
use crate::findings::{Finding, rules};
use crate::fonts::{BaseDirection, Cut, TextStyle};
use crate::geom::{Mm, Point, Rect};
use crate::layout::Caption;
use crate::scene::{DotRect, Ink, MarkKind, Symbol};

/// The narrowest module, as `preflight` has it.
const LEAST_MODULE: LeastModule = LeastModule { dots: 2, length: Mm(0.249) };

/// The widest module, twice the usual one (gs1.se, "Guidelines for size").
const WIDEST_MODULE: Mm = Mm(0.66);

/// The height of digits, in modules.
const DIGIT_HEIGHT: f64 = 2.75 / 0.33;

/// White between the bars and the digits, in modules.
const DIGIT_GAP: f64 = 1.0;

/// How far guards reach down, in modules.
const TAIL: u32 = 5;

/// Modules that a digit has for itself.
const DIGIT_WIDTH: f64 = 7.0;

/// The size of a digit beside a UPC-A: it has four modules for itself. Ours, so that it stands clear of
/// the bars inside their white.
const SMALLER: f64 = 4.0 / 7.0;

/// The usual height of bars in modules: 22.85 and 18.23 mm at 0.33 mm (gs1.se, "Guidelines for size").
fn usual_height(kind: EanKind) -> f64 {
    let at_usual_module = if kind == EanKind::Ean8 { 18.23 } else { 22.85 };
    at_usual_module / 0.33
}

/// Modules that the digits take below the bars.
fn digit_modules(caption: Caption) -> f64 {
    if caption == Caption::None { 0.0 } else { DIGIT_GAP + DIGIT_HEIGHT }
}

impl Job<'_, '_> {
    /// The height that an EAN asks for in a width: what its module makes of the usual one.
    pub(super) fn ean_height(
        &self,
        text: &str,
        caption: Caption,
        wish: ModuleWish,
        width: Mm,
    ) -> Mm {
        let kind = EanKind::of_digits(text.len()).unwrap_or(EanKind::Ean13);
        let ask = self.ask_for(kind, wish);
        let grid = self.frame.grid;
        let fitting = grid.whole_dots_within(width) / ask.across();
        let module = fitting.min(ask.wish.most.unwrap_or(fitting)).max(ask.least_dots(grid));
        grid.length(f64::from(module)) * (usual_height(kind) + digit_modules(caption))
    }

    /// What a kind asks of its box; no module is wider than the standard lets it be.
    fn ask_for(&self, kind: EanKind, wish: ModuleWish) -> Ask {
        let widest = self.frame.grid.whole_dots_within(WIDEST_MODULE).max(1);
        let most = wish.most.map_or(widest, |most| most.min(widest));
        Ask {
            modules: count(kind.modules()),
            quiet: kind.quiet_zone(),
            least: LEAST_MODULE,
            wish: ModuleWish { most: Some(most), ..wish },
        }
    }

    /// Encodes, sizes and paints an EAN with its digits.
    pub(super) fn place_ean(
        &mut self,
        bound: &Bound<'_>,
        text: &str,
        caption: Caption,
        wish: ModuleWish,
        place: Place,
    ) {
        if self.refuse_reversed(bound, place) || self.refuse_empty(bound, text) {
            return;
        }
        let symbol = match Ean::encode(text) {
            Ok(symbol) => symbol,
            Err(error) => return self.find(bound, explain_refusal(&error)),
        };
        let ask = self.ask_for(symbol.kind(), wish);
        let Some(module) = self.fit_module(bound, ask, place.rect.width) else { return };
        let Some(fit) = self.fit_paper(bound, ask, module, place.rect) else { return };
        let module = self.frame.grid.length(f64::from(fit.module));
        let mut bars = place.rect;
        bars.height = (bars.height - module * digit_modules(caption)).max(Mm::ZERO);
        let Some(dots) = self.place_bars(bound, ask, fit, place, bars) else { return };
        let tails = if caption == Caption::None { 0 } else { TAIL * fit.module };
        let symbol = Arc::new(symbol);
        let mark = Symbol::Ean(Arc::clone(&symbol));
        self.mark_code(place, mark, text.to_owned(), fit.module, dots, tails);
        if caption != Caption::None {
            self.place_digits(&symbol, fit, dots, place);
        }
    }

    /// Paints the digits below the bars.
    fn place_digits(&mut self, symbol: &Ean, fit: BarFit, dots: DotRect, place: Place) {
        let grid = self.frame.grid;
        let module = grid.length(f64::from(fit.module));
        let capitals = self.capital_height(None, Cut::Regular);
        let top = grid.length(f64::from(dots.y + dots.height)) + module * DIGIT_GAP;
        let left = grid.length(f64::from(dots.x));
        for group in symbol.digit_groups() {
            let scale = if group.smaller { SMALLER } else { 1.0 };
            let size = module * (DIGIT_HEIGHT / capitals * scale);
            // Smaller digits stand on the same line, close to the bars.
            let x = match group.smaller && group.module < 0 {
                true => f64::from(group.module) + DIGIT_WIDTH * (1.0 - scale),
                false => f64::from(group.module),
            };
            let at = Point::new(left + module * x, top + module * DIGIT_HEIGHT);
            self.place_group(group.digits, size, module * (DIGIT_WIDTH * scale), at, place);
        }
    }

    /// Paints digits that have `pitch` each, every one in the middle of its own.
    fn place_group(&mut self, digits: &str, size: Mm, pitch: Mm, at: Point, place: Place) {
        let style = TextStyle {
            family: None,
            cut: Cut::Regular,
            letter_spacing_em: 0.0,
            tabular: true,
            direction: BaseDirection::default(),
        };
        // The built-in face has all digits.
        let Ok(paragraph) = self.composer.shaper.paragraph(digits, &style) else { return };
        let lines = paragraph.break_lines(&mut self.composer.shaper, f64::INFINITY);
        let Some(line) = lines.into_iter().next() else { return };
        let first = self.page.marks.len();
        let high = size * self.capital_height(None, Cut::Regular);
        self.paint_line(&paragraph, line, size, at, place.id, Ink::Black);
        for mark in &mut self.page.marks[first..] {
            if let MarkKind::Text(run) = &mut mark.kind {
                let own = run.glyphs.first().map_or(0.0, |glyph| glyph.advance_em);
                run.glyphs.iter_mut().for_each(|glyph| glyph.advance_em = pitch / size);
                run.origin.x += (pitch - size * own) / 2.0;
                // Digits do not reach below their line.
                let width = pitch * run.glyphs.len() as f64;
                run.rect = Rect::new(at.x, at.y - high, width, high);
            }
        }
    }
}

/// A number that is none of these, with the way out.
fn explain_refusal(error: &EanError) -> Finding {
    let hint = match error {
        EanError::Carton { .. } => {
            "a carton's number belongs into a `code128` with `gs1: true`, behind `(01)`"
        }
        EanError::Number(_) => {
            "give it the whole number below the article's own barcode, its last digit too, such as \
             `\"{{ item.gtin }}\"`; for a number of your own use a `code128`"
        }
    };
    Finding::new(&rules::EAN, error.to_string()).hint(hint)
}
