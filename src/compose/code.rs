//! Codes: the largest module in whole printer dots that the box allows, quiet zone included.

use std::sync::Arc;

use super::tally::snap_start;
use super::{Job, Place};
use crate::bind::Bound;
use crate::codes::{CODE128_QUIET_ZONE, Code128, Data, ElementStrings, QuietZone};
use crate::findings::{Finding, rules};
use crate::geom::{DotGrid, Insets, Mm, Rect, Stance};
use crate::layout::{Align, Caption, TypeStyle};
use crate::scene::{CodeMark, DotRect, Ink, MarkKind, Symbol};

/// The height of bars that say nothing about it.
pub(super) const USUAL_BAR_HEIGHT: Mm = Mm(12.0);

/// White between bars and caption.
const CAPTION_GAP: Mm = Mm(0.75);

/// The narrowest module of a Code 128, in dots and in length: one dot wider or narrower must not
/// double a bar. Both are ours; `preflight::Rules` says what chose them.
const LEAST_BAR: LeastModule = LeastModule { dots: 2, length: Mm(0.25) };

/// The narrowest module that a code may have: as many dots, and as long.
#[derive(Clone, Copy)]
pub(super) struct LeastModule {
    /// The fewest dots, for a printer that is coarse.
    pub(super) dots: u32,
    /// The least length, for a printer that is fine: readers see no less.
    pub(super) length: Mm,
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
    /// Whether they begin with FNC1: element strings of GS1.
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
pub(super) struct Ask {
    /// Modules of the symbol.
    pub(super) modules: u32,
    /// The white that it needs.
    pub(super) quiet: QuietZone,
    /// The narrowest module.
    pub(super) least: LeastModule,
    /// What the block says about it.
    pub(super) wish: ModuleWish,
}

impl Ask {
    /// Modules of white before the symbol inside the box.
    pub(super) fn white(self) -> u32 {
        if self.wish.quiet_inside { count(self.quiet.before) } else { 0 }
    }

    /// Modules that the box holds.
    pub(super) fn across(self) -> u32 {
        let white = if self.wish.quiet_inside { count(self.quiet.ends()) } else { 0 };
        self.modules.saturating_add(white)
    }

    /// The fewest dots a module.
    pub(super) fn least_dots(self, grid: DotGrid) -> u32 {
        self.least.dots.max(snap_start(grid.dots(self.least.length)))
    }
}

/// Where bars begin, and how wide their modules are, in dots.
#[derive(Clone, Copy)]
pub(super) struct BarFit {
    /// The first dot.
    pub(super) x: u32,
    /// Dots a module.
    pub(super) module: u32,
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
        let modules = count(symbol.row().modules());
        let ask = Ask { modules, quiet: CODE128_QUIET_ZONE, least: LEAST_BAR, wish };
        let Some(module) = self.fit_module(bound, ask, place.rect.width) else { return };
        let Some(fit) = self.fit_paper(bound, ask, module, place.rect) else { return };
        let words = self.caption_height(caption, style);
        let (mut bars, mut label) = (place.rect, place.rect);
        bars.height = (bars.height - words).max(Mm::ZERO);
        label.height = (words - CAPTION_GAP).max(Mm::ZERO).min(place.rect.height);
        match caption {
            Caption::Above => bars.y += words,
            Caption::Below => label.y = place.rect.bottom() - label.height,
            Caption::None => {}
        }
        let Some(dots) = self.place_bars(bound, ask, fit, place, bars) else { return };
        let payload = read_payload(symbol.data());
        self.mark_code(place, Symbol::Code128(symbol), payload, fit.module, dots, 0);
        if caption != Caption::None {
            self.place_caption(bound, written, style, Place { rect: label, ..place });
        }
    }

    /// The dots of bars in the part of a box that is theirs; reports when it has no height.
    pub(super) fn place_bars(
        &mut self,
        bound: &Bound<'_>,
        ask: Ask,
        fit: BarFit,
        place: Place,
        bars: Rect,
    ) -> Option<DotRect> {
        let grid = self.frame.grid;
        let y = snap_start(grid.dots(bars.y));
        let height = grid.whole_dots_within(bars.bottom() - grid.length(f64::from(y)));
        if height == 0 {
            let message = format!("there is no room for bars in a box {} high", place.rect.height);
            let finding = Finding::new(&rules::OVERFLOW, message).hint("set `height: 15`");
            self.find(bound, finding);
            return None;
        }
        Some(DotRect { x: fit.x, y, width: ask.modules * fit.module, height })
    }

    /// Paints a code with the white that its kind needs around it.
    pub(super) fn mark_code(
        &mut self,
        place: Place,
        symbol: Symbol,
        payload: String,
        module: u32,
        dots: DotRect,
        tails: u32,
    ) {
        let (grid, quiet) = (self.frame.grid, symbol.quiet_zone());
        let white = |modules: usize| -grid.length(modules as f64 * f64::from(module));
        let around = Insets {
            left: white(quiet.before),
            right: white(quiet.behind),
            top: white(quiet.beside),
            bottom: white(quiet.beside),
        };
        let mark = CodeMark {
            symbol,
            payload,
            module_dots: module,
            stance: Stance::UPRIGHT,
            dots,
            tails,
            quiet: dots.to_rect(grid).shrunk(around),
            reduction: 0,
        };
        self.mark(place.id, MarkKind::Code(mark));
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

    /// The dots of the largest module that lets a code into `room`; reports when even the least
    /// does not fit.
    pub(super) fn fit_module(&mut self, bound: &Bound<'_>, ask: Ask, room: Mm) -> Option<u32> {
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
                "qr" | "data_matrix" => {
                    format!("make its box {needed} wide and high, or what it says shorter")
                }
                "ean" => format!("make its box {needed} wide"),
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
    pub(super) fn fit_paper(
        &mut self,
        bound: &Bound<'_>,
        ask: Ask,
        most: u32,
        rect: Rect,
    ) -> Option<BarFit> {
        let (grid, paper) = (self.frame.grid, self.paper.width);
        let (align, least) = (bound.block.align, ask.least_dots(grid));
        let end = rect.right();
        for module in (least..=most).rev() {
            let white = |modules: usize| grid.length(modules as f64 * f64::from(module));
            let (before, behind) = (white(ask.quiet.before), white(ask.quiet.behind));
            // White inside the box keeps to it, white outside to the paper. A box rarely starts on
            // a dot line and may lose a dot of its width; of white, preflight forgives half a dot.
            let (from, to, slop) = match ask.wish.quiet_inside {
                true => (rect.x + before, end - behind, 1.0),
                false => (rect.x.max(before), end.min(paper - behind), 0.5),
            };
            let wide = ask.modules * module;
            let x = start_dot(align, from, to - from, wide, grid);
            if f64::from(x + wide) <= grid.dots(to) + slop {
                return Some(BarFit { x, module });
            }
        }
        let white = grid.length(ask.quiet.before as f64 * f64::from(least));
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
    pub(super) fn refuse_reversed(&mut self, bound: &Bound<'_>, place: Place) -> bool {
        let reversed = place.ink == Ink::White;
        if reversed {
            let message = format!(
                "this `{}` cannot be `reversed`: readers expect black on white",
                bound.block.name
            );
            let finding = Finding::new(&rules::CODE_REVERSED, message);
            self.find(bound, finding.hint("take `ink: reversed` away from it and around it"));
        }
        reversed
    }

    /// Reports a code that says nothing.
    pub(super) fn refuse_empty(&mut self, bound: &Bound<'_>, text: &str) -> bool {
        if text.is_empty() {
            let message = format!("this `{}` has nothing to say for this parcel", bound.block.name);
            let hint = "leave it out with `when:` for parcels that have no value for it";
            self.find(bound, Finding::new(&rules::EMPTY_CODE, message).hint(hint));
        }
        text.is_empty()
    }
}

/// What a reader gives back: the characters, with a group separator for every FNC1 but the first,
/// which only says that element strings of GS1 follow (GS1 General Specifications, 5.4.3.6).
pub(super) fn read_payload(data: &[Data]) -> String {
    let characters = data.iter().enumerate();
    characters
        .filter_map(|(index, data)| match data {
            Data::Char(byte) => Some(char::from(*byte)),
            Data::Fnc1 => (index > 0).then_some('\u{1d}'),
        })
        .collect()
}

/// A number of modules as dots count.
pub(super) fn count(modules: usize) -> u32 {
    u32::try_from(modules).unwrap_or(u32::MAX / 4)
}

/// The first dot of something `used` dots long, as its block's `align` wants it.
pub(super) fn start_dot(align: Align, start: Mm, room: Mm, used: u32, grid: DotGrid) -> u32 {
    let free = room - grid.length(f64::from(used));
    let wanted = grid.dots(start + super::stack::slack(align, free));
    let last = grid.dots(start + free).floor().max(0.0);
    snap_start(wanted).min((last + 0.001) as u32).max(snap_start(grid.dots(start)))
}
