//! Codes whose modules are too small for the printer or for readers.
//!
//! One dot more or less on a bar is what a printer does; the fewer dots a module has, the more
//! that is (one dot of gain on 2 dots leaves grade F, on 3 grade C, on 4 grade B: the figures stand in the
//! tests of `verify`).

use super::limits::{ModuleLimits, Rules};
use super::view::CodeOnPage;
use super::view::{View, fine};
use crate::findings::{Rule, RuleFindings, Severity};
use crate::scene::Symbol;
use crate::words::counted;

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "code-module",
    Severity::Error,
    "scanning: modules of too few dots or too small for a reader run together",
);

/// Compares every code's module with the limits of its kind.
pub(super) fn check(view: &View<'_>, rules: &Rules, findings: &mut RuleFindings) {
    for code in &view.codes {
        let limits = match code.code.symbol {
            Symbol::Code128(_) => rules.code128,
            Symbol::Ean(_) => rules.ean,
            Symbol::Qr(_) => rules.qr,
            Symbol::DataMatrix(_) => rules.data_matrix,
        };
        check_code(view, code, limits, findings);
    }
}

/// Compares one code's module with its limits.
fn check_code(
    view: &View<'_>,
    code: &CodeOnPage<'_>,
    limits: ModuleLimits,
    findings: &mut RuleFindings,
) {
    let dots = code.code.module_dots;
    let module = code.module(view);
    let name = view.name(code.block);
    let is = format!("a module of this `{name}` is {} ({})", counted(dots, "dot"), fine(module));
    if dots < limits.least_dots || limits.least.exceeds(module) {
        let least = least_dots(view, limits);
        let message = format!(
            "{is} wide, it needs at least {} dots and {}",
            limits.least_dots,
            fine(limits.least)
        );
        let hint = widen(view, code, least);
        findings.push(view.finding(&RULE, code.block, message).hint(hint));
    } else if dots < limits.advised_dots {
        let message = format!("{is} wide, {} dots are advised", limits.advised_dots);
        let hint = widen(view, code, limits.advised_dots);
        let mut finding = view.finding(&RULE, code.block, message).hint(hint);
        finding.severity = Severity::Warning;
        findings.push(finding);
    }
}

/// The fewest dots that keep both limits.
fn least_dots(view: &View<'_>, limits: ModuleLimits) -> u32 {
    let for_length = view.page.grid.dots(limits.least);
    limits.least_dots.max((for_length - 0.001).ceil() as u32)
}

/// How wide a code's box must be for modules of some dots.
fn widen(view: &View<'_>, code: &CodeOnPage<'_>, dots: u32) -> String {
    let modules = code.code.symbol.modules() + code.code.symbol.quiet_zone().ends();
    let needed = view.dots(modules as f64 * f64::from(dots));
    match code.code.symbol.is_bars() {
        false => format!("make its box at least {needed} wide and high, for {dots} dots"),
        true => format!("make its box at least {needed} long, for {dots} dots"),
    }
}

#[cfg(test)]
mod tests {
    use crate::geom::DotGrid;
    use crate::preflight::sample::{assert_finding, assert_quiet, good_page, set_module};

    #[test]
    fn one_dot_is_too_little_for_bars_and_two_are_enough() {
        let mut page = good_page();
        set_module(&mut page, "code128", 1);
        assert_finding(
            &page,
            "error[code-module]: a module of this `code128` is 1 dot (0.125 mm) wide, it needs at \
             least 2 dots and 0.25 mm => make its box at least 41.25 mm long, for 2 dots",
        );
        set_module(&mut page, "code128", 2);
        assert_quiet(&page, "code-module");
    }

    #[test]
    fn a_fine_printer_needs_more_dots_for_the_length() {
        let mut page = good_page();
        page.grid = DotGrid::from_dpi(600.0).unwrap();
        set_module(&mut page, "code128", 5);
        assert_finding(
            &page,
            "error[code-module]: a module of this `code128` is 5 dots (0.212 mm) wide, it needs \
             at least 2 dots and 0.25 mm => make its box at least 41.91 mm long, for 6 dots",
        );
        set_module(&mut page, "code128", 6);
        set_module(&mut page, "qr", 6);
        assert_quiet(&page, "code-module");
    }

    #[test]
    fn a_qr_needs_three_dots_and_is_better_with_four() {
        let mut page = good_page();
        set_module(&mut page, "qr", 2);
        assert_finding(
            &page,
            "error[code-module]: a module of this `qr` is 2 dots (0.25 mm) wide, it needs at \
             least 3 dots and 0.25 mm \
             => make its box at least 10.88 mm wide and high, for 3 dots",
        );
        set_module(&mut page, "qr", 3);
        assert_finding(
            &page,
            "warning[code-module]: a module of this `qr` is 3 dots (0.375 mm) wide, 4 dots are \
             advised => make its box at least 14.5 mm wide and high, for 4 dots",
        );
        set_module(&mut page, "qr", 4);
        assert_quiet(&page, "code-module");
    }
}
