//! Codes that one dead dot of a print head may make unreadable.
//!
//! A dot of the head that no longer heats leaves a white line down the page, and one that always
//! heats a black one. A scanner that looks through a spot of light does not see a line narrower than
//! half of it. That is the assumption here: the spots are those that ISO/IEC 15416 has bars measured
//! with, the wider the larger the module. So on a printer of 203 dpi, whose dots are a quarter of the
//! largest spot, a module is safe from 6 dots on (`tests/cases/damage/modules.md`). A reader that
//! sees every dot, a camera held close, still fails on some columns, whatever the module
//! (`tests/cases/damage/columns.md`). Bars across the feed lose nothing but a piece of their length.
//!
//! A seller whose ids are long can do nothing about it day by day, so this is told when findings are
//! asked for ([`Rules::advice`]), not at every printing.

use super::limits::Rules;
use super::view::CodeOnPage;
use super::view::{View, fine};
use crate::findings::{Rule, RuleFindings, Severity};
use crate::geom::Mm;
use crate::scene::Symbol;
use crate::words::counted;

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "dead-column",
    Severity::Note,
    "scanning: a dot of the print head that dies must not make a code unreadable",
);

/// Up to which module bars are measured with which spot: the table of apertures of ISO/IEC 15416, as
/// Appendix A of the user's guide to the QC890 verifier gives it. Its first row begins at 0.1 mm.
const SPOTS: [(Mm, Mm); 4] = [
    (Mm(0.18), Mm(0.075)),
    (Mm(0.33), Mm(0.125)),
    (Mm(0.635), Mm(0.25)),
    (Mm(f64::INFINITY), Mm(0.5)),
];

/// The widest module that is thought of when a safe one is looked for, in dots.
const WIDEST_MODULE: u32 = 40;

/// Looks at every code that a column of dots runs through.
pub(super) fn check(view: &View<'_>, rules: &Rules, findings: &mut RuleFindings) {
    let weak = view
        .codes
        .iter()
        .filter(|code| !code.code.stance.is_lying() && !is_safe(view, code.code.module_dots));
    for code in weak.filter(|_| rules.advice) {
        report(view, code, findings);
    }
}

/// The spot that a module of so many dots is looked at with.
fn spot_for(view: &View<'_>, dots: u32) -> Mm {
    let module = view.dots(f64::from(dots));
    let row = SPOTS.iter().find(|(up_to, _)| !module.exceeds(*up_to));
    row.map_or(Mm::ZERO, |(_, spot)| *spot)
}

/// Whether a spot does not see one dot too few or too many in a module of so many dots.
fn is_safe(view: &View<'_>, dots: u32) -> bool {
    view.dots(2.0) < spot_for(view, dots)
}

/// Reports a code that is not safe.
fn report(view: &View<'_>, code: &CodeOnPage<'_>, findings: &mut RuleFindings) {
    // From some size on every module is safe, unless the dots are as coarse as the largest spot.
    let Some(safe) = (1..=WIDEST_MODULE).find(|dots| is_safe(view, *dots)) else { return };
    let dots = code.code.module_dots;
    let message = format!(
        "a module of this `{}` is {} ({}) wide: one dead dot of the print head may make it \
         unreadable, {safe} are safe with scanners that see nothing finer than {}",
        view.name(code.block),
        counted(dots, "dot"),
        fine(code.module(view)),
        fine(spot_for(view, safe) * 0.5),
    );
    let hint = way_out(view, code, safe);
    findings.push(view.finding(&RULE, code.block, message).hint(hint));
}

/// What gives a code modules of so many dots.
fn way_out(view: &View<'_>, code: &CodeOnPage<'_>, safe: u32) -> String {
    let dots = |modules: u32| view.dots(f64::from(modules) * f64::from(safe));
    let white = code.white();
    let needed = dots(code.modules().saturating_add(white));
    let wider = format!("make its box {needed} wide, its white included");
    match code.code.symbol {
        Symbol::Code128(_) => {}
        Symbol::Ean(_) => return wider,
        Symbol::Qr(_) | Symbol::DataMatrix(_) => {
            return format!("make its box {needed} wide and high, its white included");
        }
    }
    match longest(view, code, view.page.grid.dots(dots(1))) {
        0 => wider,
        longest => format!(
            "{wider}, or what it says not longer than {longest} characters, where a run of \
             figures counts as its pairs and one more"
        ),
    }
}

/// How many characters bars of a module as wide as this may say where they stand: start, check and
/// stop take 35 modules and each character 11 (ISO/IEC 15417). A page does not tell on which side
/// of the box the white is meant to lie; where it fits inside, it is taken to, which may be a
/// character too few but never one too many.
fn longest(view: &View<'_>, code: &CodeOnPage<'_>, module: f64) -> u32 {
    let modules = |length: Mm| (view.page.grid.dots(length) / module + 0.001) as u32;
    let white = code.white();
    let room = match view.block(code.block) {
        // Of a code whose white lies outside its box, the paper is the limit.
        Some(block) if code.zone(view).width > block.rect.width => {
            let paper = modules(view.paper.width).saturating_sub(white);
            paper.min(modules(block.rect.width))
        }
        Some(block) => modules(block.rect.width).saturating_sub(white),
        None => 0,
    };
    room.saturating_sub(35) / 11
}

#[cfg(test)]
mod tests {
    use crate::geom::{DotGrid, Mm};
    use crate::geom::{QuarterTurn, Stance};
    use crate::preflight::Rules;
    use crate::preflight::sample::{block_of, code_of, good_page, inspect, line, set_module};
    use crate::scene::Page;

    /// The rule's findings on a page.
    fn advice(page: &Page) -> Vec<String> {
        let found = inspect(page, &Rules { advice: true, ..Rules::default() });
        found.iter().filter(|it| it.rule == "dead-column").map(line).collect()
    }

    #[test]
    fn five_dots_of_203_dpi_are_seen_by_a_small_spot_and_six_by_a_large_one() {
        let mut page = good_page();
        set_module(&mut page, "code128", 6);
        assert_eq!(
            advice(&page),
            ["note[dead-column]: a module of this `qr` is 5 dots (0.625 mm) wide: one dead dot \
                 of the print head may make it unreadable, 6 are safe with scanners that see \
                 nothing finer than 0.25 mm => make its box 21.75 mm wide and high, its white \
                 included"]
        );
        set_module(&mut page, "qr", 6);
        assert!(advice(&page).is_empty());
    }

    #[test]
    fn long_bars_are_told_how_long_they_may_be() {
        let mut page = good_page();
        set_module(&mut page, "qr", 6);
        // 93.6 mm are 124 modules of 6 dots: 20 of white, 35 of start, check and stop, 6 times 11.
        assert_eq!(
            advice(&page),
            ["note[dead-column]: a module of this `code128` is 3 dots (0.375 mm) wide: one dead \
                 dot of the print head may make it unreadable, 6 are safe with scanners that see \
                 nothing finer than 0.25 mm => make its box 123.75 mm wide, its white included, or \
                 what it says not longer than 6 characters, where a run of figures counts as its \
                 pairs and one more"]
        );
        // Bars with their white outside the box have the paper, 135 modules of 6 dots.
        block_of(&mut page, "code128", 0).rect.x = Mm(7.5);
        block_of(&mut page, "code128", 0).rect.width = Mm(86.6);
        code_of(&mut page, "code128", 0).module_dots = 5;
        code_of(&mut page, "code128", 0).dots.width = 145 * 5;
        assert!(advice(&page)[0].contains("not longer than 7 characters"), "{:?}", advice(&page));
    }

    #[test]
    fn what_no_dead_dot_harms_is_not_noted() {
        let mut page = good_page();
        set_module(&mut page, "qr", 6);
        code_of(&mut page, "code128", 0).stance = Stance::turned(QuarterTurn::Quarter);
        assert!(advice(&page).is_empty(), "bars across the feed");
        let mut page = good_page();
        page.grid = DotGrid::from_dpi(300.0).unwrap();
        set_module(&mut page, "code128", 4);
        assert!(advice(&page).is_empty(), "dots finer than half a spot");
        set_module(&mut page, "code128", 3);
        assert!(advice(&page)[0].contains("4 are safe"), "{:?}", advice(&page));
        let silent = inspect(&good_page(), &Rules::default());
        assert!(silent.iter().all(|it| it.rule != "dead-column"), "nobody asked");
    }
}
