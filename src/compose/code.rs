//! Codes: the largest module in whole printer dots that the box allows, quiet zone included.

use std::sync::Arc;

use super::tally::snap_start;
use super::{Job, Place};
use crate::bind::Bound;
use crate::codes::{
    CODE128_QUIET_ZONE, Code128, Data, Ecc, ElementStrings, QR_QUIET_ZONE, Qr, QrOptions,
};
use crate::findings::{Finding, rules};
use crate::geom::{DotGrid, Insets, Mm, Rect};
use crate::layout::{Align, Caption, Correction, TypeStyle};
use crate::scene::{CodeMark, DotRect, Ink, MarkKind, Symbol, Turn};

/// The height of bars that say nothing about it.
pub(super) const USUAL_BAR_HEIGHT: Mm = Mm(12.0);

/// The side of a QR code in a row that says nothing about it.
pub(super) const USUAL_QR_SIDE: Mm = Mm(20.0);

/// White between bars and caption.
const CAPTION_GAP: Mm = Mm(0.75);

/// The narrowest module of a Code 128, in dots and in length: one dot wider or narrower must not
/// double a bar. Both are ours; `preflight::Rules` says what chose them.
const LEAST_BAR: LeastModule = LeastModule { dots: 2, length: Mm(0.25) };

/// The narrowest module of a QR code, in dots and in length. Four dots at 300 dpi, 0.33 mm, are the
/// smallest that the code's originator has in its table for thermal printers (qrcode.com, "Point
/// for setting the module size"); under four dots preflight warns.
const LEAST_SQUARE: LeastModule = LeastModule { dots: 3, length: Mm(0.33) };

/// The narrowest module that a code may have: as many dots, and as long.
#[derive(Clone, Copy)]
struct LeastModule {
    /// Dots.
    dots: u32,
    /// Length.
    length: Mm,
}

/// What a block says about the modules of its code.
#[derive(Clone, Copy)]
pub(super) struct ModuleWish {
    /// Whether the box holds the quiet zone too.
    pub(super) quiet_inside: bool,
    /// Dots a module, at most.
    pub(super) most: Option<u32>,
}

/// What bars say, and how it is written out beside them.
pub(super) struct BarText<'b> {
    /// What they say.
    pub(super) text: &'b str,
    /// Whether it is a GS1-128.
    pub(super) gs1: bool,
    /// Where it is written out.
    pub(super) caption: Caption,
    /// What is written out there.
    pub(super) written: &'b str,
    /// How the caption is set.
    pub(super) style: &'b TypeStyle,
}

/// What a code asks of its box along one side.
#[derive(Clone, Copy)]
struct Ask {
    /// Modules of the symbol.
    modules: u32,
    /// Modules of white at each end.
    quiet: u32,
    /// The narrowest module.
    least: LeastModule,
    /// What the block says about it.
    wish: ModuleWish,
}

impl Ask {
    /// Modules of white at each end inside the box.
    fn white(self) -> u32 {
        if self.wish.quiet_inside { self.quiet } else { 0 }
    }

    /// Modules that the box holds.
    fn across(self) -> u32 {
        self.modules.saturating_add(2 * self.white())
    }

    /// The fewest dots a module.
    fn least_dots(self, grid: DotGrid) -> u32 {
        self.least.dots.max(snap_start(grid.dots(self.least.length)))
    }
}

impl Job<'_, '_> {
    /// The room a caption takes.
    pub(super) fn caption_height(&self, caption: Caption, style: &TypeStyle) -> Mm {
        match caption {
            Caption::None => Mm::ZERO,
            Caption::Above | Caption::Below => self.type_size(style) * style.leading + CAPTION_GAP,
        }
    }

    /// Encodes, sizes and paints a Code 128 with its caption.
    pub(super) fn place_code128(
        &mut self,
        bound: &Bound<'_>,
        &BarText { text, gs1, caption, written, style }: &BarText<'_>,
        wish: ModuleWish,
        place: Place,
    ) {
        if self.refuse_reversed(bound, place) || self.refuse_empty(bound, text) {
            return;
        }
        let symbol = match self.encode_code128(text, gs1) {
            Ok(symbol) => symbol,
            Err(finding) => return self.find(bound, finding),
        };
        let grid = self.frame.grid;
        let quiet = u32::try_from(CODE128_QUIET_ZONE).unwrap_or(10);
        let modules = u32::try_from(symbol.modules()).unwrap_or(u32::MAX);
        let ask = Ask { modules, quiet, least: LEAST_BAR, wish };
        let Some(module) = self.fit_module(bound, ask, place.rect.width) else { return };
        let Some((x, module)) = self.fit_paper(bound, ask, module, place.rect) else { return };
        let words = self.caption_height(caption, style);
        let (mut bars, mut label) = (place.rect, place.rect);
        bars.height = (bars.height - words).max(Mm::ZERO);
        label.height = (words - CAPTION_GAP).max(Mm::ZERO).min(place.rect.height);
        match caption {
            Caption::Above => bars.y += words,
            Caption::Below => label.y = place.rect.bottom() - label.height,
            Caption::None => {}
        }
        let y = snap_start(grid.dots(bars.y));
        let height = grid.whole_dots_within(bars.bottom() - grid.length(f64::from(y)));
        if height == 0 {
            let message = format!("there is no room for bars in a box {} high", place.rect.height);
            let finding = Finding::new(&rules::OVERFLOW, message).hint("set `height: 15`");
            return self.find(bound, finding);
        }
        let dots = DotRect { x, y, width: modules * module, height };
        let white = grid.length(f64::from(quiet * module));
        let ends = Insets { left: -white, right: -white, ..Insets::default() };
        let around = dots.to_rect(grid).shrunk(ends);
        let payload = read_payload(&symbol);
        self.mark(
            place.id,
            MarkKind::Code(CodeMark {
                symbol: Symbol::Code128(symbol),
                payload,
                module_dots: module,
                turn: Turn::Upright,
                dots,
                quiet: around,
                reduction: 0,
            }),
        );
        if caption != Caption::None {
            self.place_caption(bound, written, style, Place { rect: label, ..place });
        }
    }

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
        let grid = self.frame.grid;
        let quiet = u32::try_from(QR_QUIET_ZONE).unwrap_or(4);
        let size = u32::try_from(symbol.size()).unwrap_or(u32::MAX);
        let ask = Ask { modules: size, quiet, least: LEAST_SQUARE, wish };
        let room = place.rect.width.min(place.rect.height);
        let Some(module) = self.fit_module(bound, ask, room) else { return };
        let (white, side) = (ask.white(), ask.across() * module);
        let x = start_dot(bound.block.align, place.rect.x, place.rect.width, side, grid);
        let free = (place.rect.height - grid.length(f64::from(side))).max(Mm::ZERO);
        let top = place.rect.y + super::stack::shift(bound.block.sit, free);
        let dots = DotRect {
            x: x + white * module,
            y: snap_start(grid.dots(top)) + white * module,
            width: size * module,
            height: size * module,
        };
        let around = dots.to_rect(grid).grown(grid.length(f64::from(quiet * module)));
        self.mark(
            place.id,
            MarkKind::Code(CodeMark {
                symbol: Symbol::Qr(symbol),
                payload: text.to_owned(),
                module_dots: module,
                turn: Turn::Upright,
                dots,
                quiet: around,
                reduction: 0,
            }),
        );
    }

    /// A Code 128 that says `text`, made once a page.
    fn encode_code128(&mut self, text: &str, gs1: bool) -> Result<Arc<Code128>, Finding> {
        let cache = &mut self.composer.codes.bars;
        if let Some(known) = cache.get(&(text.to_owned(), gs1)) {
            return Ok(Arc::clone(known));
        }
        let symbol = if gs1 {
            let elements = ElementStrings::parse(text);
            let symbol = elements.and_then(|elements| elements.to_code128());
            symbol.map_err(|error| {
                Finding::new(&rules::GS1, error.to_string())
                    .hint("write element strings in brackets: `(00)` and 18 digits, `(01)` and 14")
            })?
        } else {
            Code128::encode_text(text).map_err(|error| {
                Finding::new(&rules::CODE128, error.to_string())
                    .hint("use a `qr` for it, or leave the character out")
            })?
        };
        let symbol = Arc::new(symbol);
        cache.insert((text.to_owned(), gs1), Arc::clone(&symbol));
        Ok(symbol)
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

    /// The dots of the largest module that lets a code into `room`; reports when even the least
    /// does not fit.
    fn fit_module(&mut self, bound: &Bound<'_>, ask: Ask, room: Mm) -> Option<u32> {
        let grid = self.frame.grid;
        let (across, least) = (ask.across(), ask.least_dots(grid));
        // A box rarely starts on a dot line, so up to one dot of its width is lost in front.
        let fitting = grid.whole_dots_within(room) / across;
        if fitting < least {
            let needed = grid.length(f64::from(across) * f64::from(least));
            let message = format!(
                "this `{}` needs a box {needed} wide at {least} dots a module, quiet zones {}; it \
                 has {room}: {} too few",
                bound.block.name,
                if ask.wish.quiet_inside { "included" } else { "outside" },
                needed - room
            );
            let hint = match bound.block.name {
                "qr" => format!("make its box {needed} wide and high, or what it says shorter"),
                _ => format!("make its box {needed} wide, or what it says shorter"),
            };
            self.find(bound, Finding::new(&rules::CODE_TOO_WIDE, message).hint(hint));
            return None;
        }
        match ask.wish.most {
            Some(most) if most < least => {
                let message =
                    format!("`most: {most}` is below the {least} dots that a module needs here");
                let finding = Finding::new(&rules::CODE_TOO_WIDE, message);
                self.find(bound, finding.hint(format!("set `most: {least}` or more")));
                None
            }
            Some(most) => Some(fitting.min(most)),
            None => Some(fitting),
        }
    }

    /// The first dot of bars in a box, and their module: `most` dots, or fewer where the white at
    /// their ends would leave the paper; reports when even the least does not fit.
    fn fit_paper(
        &mut self,
        bound: &Bound<'_>,
        ask: Ask,
        most: u32,
        rect: Rect,
    ) -> Option<(u32, u32)> {
        let (grid, paper) = (self.frame.grid, self.page.size.width);
        let (align, least) = (bound.block.align, ask.least_dots(grid));
        let end = rect.right();
        for module in (least..=most).rev() {
            let quiet = grid.length(f64::from(ask.quiet * module));
            // White inside the box keeps to it, white outside to the paper. A box rarely starts on
            // a dot line and may lose a dot of its width; of white, preflight forgives half a dot.
            let (from, to, slop) = match ask.wish.quiet_inside {
                true => (rect.x + quiet, end - quiet, 1.0),
                false => (rect.x.max(quiet), end.min(paper - quiet), 0.5),
            };
            let wide = ask.modules * module;
            let x = start_dot(align, from, to - from, wide, grid);
            if f64::from(x + wide) <= grid.dots(to) + slop {
                return Some((x, module));
            }
        }
        let white = grid.length(f64::from(ask.quiet * least));
        let message = format!(
            "the edge of the paper is too near to this `{}`, which needs {white} of white at both \
             ends at {least} dots a module",
            bound.block.name
        );
        let hint = "move it away from the edge, or make what it says shorter";
        self.find(bound, Finding::new(&rules::CODE_TOO_WIDE, message).hint(hint));
        None
    }

    /// Reports a code on a black ground, which readers are not bound to read.
    fn refuse_reversed(&mut self, bound: &Bound<'_>, place: Place) -> bool {
        let reversed = place.ink == Ink::White;
        if reversed {
            let message = format!(
                "a `{}` cannot be `reversed`: readers expect black on white",
                bound.block.name
            );
            let finding = Finding::new(&rules::CODE_REVERSED, message);
            self.find(bound, finding.hint("take `ink: reversed` away from it and around it"));
        }
        reversed
    }

    /// Reports a code that says nothing.
    fn refuse_empty(&mut self, bound: &Bound<'_>, text: &str) -> bool {
        if text.is_empty() {
            let message = format!("this `{}` has nothing to say for this parcel", bound.block.name);
            let hint = "leave it out with `when:` for parcels that have no value for it";
            self.find(bound, Finding::new(&rules::EMPTY_CODE, message).hint(hint));
        }
        text.is_empty()
    }
}

/// What a reader gives back: the characters, with a group separator for every FNC1 but the first,
/// which only says that the symbol is a GS1-128 (GS1 General Specifications, 5.4.3.6).
fn read_payload(symbol: &Code128) -> String {
    let characters = symbol.data().iter().enumerate();
    characters
        .filter_map(|(index, data)| match data {
            Data::Char(byte) => Some(char::from(*byte)),
            Data::Fnc1 => (index > 0).then_some('\u{1d}'),
        })
        .collect()
}

/// The first dot of something `used` dots long, as its block's `align` wants it.
fn start_dot(align: Align, start: Mm, room: Mm, used: u32, grid: DotGrid) -> u32 {
    let free = room - grid.length(f64::from(used));
    let wanted = grid.dots(start + super::stack::slack(align, free));
    let last = grid.dots(start + free).floor().max(0.0);
    snap_start(wanted).min((last + 0.001) as u32).max(snap_start(grid.dots(start)))
}
