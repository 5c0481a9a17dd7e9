//! Codes that reach beyond the printer's dots, or whose dots are not those of their modules.
//!
//! A code is drawn in whole dots and must lie on the paper with all of them; nothing is forgiven,
//! because a bar that loses a dot is another bar.

use super::edges::BoxSide;
use super::limits::Rules;
use super::view::CodeOnPage;
use super::view::{View, fine};
use crate::findings::{Rule, RuleFindings, Severity};
use crate::words::counted;

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "code-off-grid",
    Severity::Error,
    "scanning: a code with cut or uneven modules cannot be read",
);

/// Compares every code with the page's dots and with its own modules.
pub(super) fn check(view: &View<'_>, _rules: &Rules, findings: &mut RuleFindings) {
    let grid = view.page.grid;
    let across = u64::from(grid.whole_dots_within(view.page.size.width));
    let down = u64::from(grid.whole_dots_within(view.page.size.height));
    for code in &view.codes {
        let dots = code.code.dots;
        let sides = [
            (BoxSide::Right, u64::from(dots.x) + u64::from(dots.width), across),
            (BoxSide::Bottom, u64::from(dots.y) + u64::from(dots.height), down),
        ];
        for (side, end, room) in sides {
            if end > room {
                report_cut(view, code, side, end - room, findings);
            }
        }
        check_modules(view, code, findings);
    }
}

/// Reports a code that the edge of the paper cuts.
fn report_cut(
    view: &View<'_>,
    code: &CodeOnPage<'_>,
    side: BoxSide,
    dots: u64,
    findings: &mut RuleFindings,
) {
    let by = fine(view.dots(dots as f64));
    let dots = counted(dots, "dot");
    let message = format!(
        "this `{}` reaches {dots} ({by}) over the {} edge of the paper",
        view.name(code.block),
        side.word()
    );
    let hint = format!("move it {by} {}", side.back());
    findings.push(view.finding(&RULE, code.block, message).hint(hint));
}

/// Reports a code whose size in dots is not its modules times their dots.
fn check_modules(view: &View<'_>, code: &CodeOnPage<'_>, findings: &mut RuleFindings) {
    let needed = u64::from(code.modules()) * u64::from(code.code.module_dots);
    let (width, height) = (u64::from(code.code.dots.width), u64::from(code.code.dots.height));
    let fits = match (code.code.symbol.is_bars(), code.code.stance.is_lying()) {
        (false, _) => width == needed && height == needed,
        (true, false) => width == needed,
        (true, true) => height == needed,
    };
    if !fits {
        let message = format!(
            "this `{}` is placed on {width} by {height} dots, but its {} modules of {} dots take \
             {needed}",
            view.name(code.block),
            code.modules(),
            code.code.module_dots
        );
        let hint = format!("give it {needed} dots ({})", fine(view.dots(needed as f64)));
        findings.push(view.finding(&RULE, code.block, message).hint(hint));
    }
}

#[cfg(test)]
mod tests {
    use crate::preflight::sample::{assert_finding, assert_quiet, code_of, good_page};

    #[test]
    fn a_code_one_dot_over_the_edge_is_reported_and_one_at_the_edge_is_not() {
        let mut page = good_page();
        // 152.4 mm are 1219.2 dots: the last whole one is the 1219th.
        let code = code_of(&mut page, "code128", 0);
        code.dots.y = 1220 - code.dots.height;
        assert_finding(
            &page,
            "error[code-off-grid]: this `code128` reaches 1 dot (0.125 mm) over the lower edge of \
             the paper => move it 0.125 mm up",
        );
        code_of(&mut page, "code128", 0).dots.y -= 1;
        assert_quiet(&page, "code-off-grid");
    }

    #[test]
    fn dots_that_are_not_those_of_the_modules_are_reported() {
        let mut page = good_page();
        code_of(&mut page, "qr", 0).dots.width -= 1;
        assert_finding(
            &page,
            "error[code-off-grid]: this `qr` is placed on 104 by 105 dots, but its 21 modules of \
             5 dots take 105 => give it 105 dots (13.125 mm)",
        );
    }

    #[test]
    fn absurd_dots_do_no_harm() {
        let mut page = good_page();
        let code = code_of(&mut page, "qr", 0);
        (code.dots.x, code.dots.y) = (u32::MAX, u32::MAX);
        (code.dots.width, code.module_dots) = (u32::MAX, u32::MAX);
        let found = crate::preflight::sample::inspect(&page, &crate::preflight::Rules::default());
        assert!(found.iter().any(|it| it.rule == "code-off-grid"));
    }
}
