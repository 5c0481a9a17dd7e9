//! Lines thinner than the printer's dots.

use super::limits::Rules;
use super::view::{View, fine};
use crate::findings::{Rule, RuleFindings, Severity};
use crate::geom::{Mm, Rect};
use crate::scene::{Mark, MarkKind};

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "thin-rule",
    Severity::Error,
    "lines: what is thinner than a dot is not printed, or only here and there",
);

/// Boxes shorter than this are specks, such as the rest of a dashed line, and no lines.
const SHORTEST_LINE: Mm = Mm(1.0);

/// Compares the thinner side of every filled box with the dots.
pub(super) fn check(view: &View<'_>, rules: &Rules, findings: &mut RuleFindings) {
    for (_, mark, rect) in view.marks() {
        let line = rect.width.max(rect.height) >= SHORTEST_LINE;
        if matches!(mark.kind, MarkKind::Fill(..)) && line {
            check_line(view, mark, rect, rules, findings);
        }
    }
}

/// Compares one line with the dots.
fn check_line(
    view: &View<'_>,
    mark: &Mark,
    rect: Rect,
    rules: &Rules,
    findings: &mut RuleFindings,
) {
    let thickness = rect.width.min(rect.height);
    // A thousandth of a dot is rounding.
    let dots = view.page.grid.dots(thickness) + 0.001;
    let advised = rules.advised_line_dots;
    let (severity, message) = if dots < 1.0 {
        let message = format!(
            "a line of this `{}` is {:.2} dots thick, one dot ({}) is the thinnest there is",
            view.name(mark.block),
            dots.max(0.0),
            fine(view.dots(1.0))
        );
        (RULE.severity, message)
    } else if rules.one_bit && dots < advised {
        let message = format!(
            "a line of this `{}` is {dots:.1} dots thick, under {advised} dots it breaks up on \
             thermal paper",
            view.name(mark.block)
        );
        (Severity::Warning, message)
    } else {
        return;
    };
    let mut finding = view.finding(&RULE, mark.block, message);
    finding.severity = severity;
    findings.push(
        finding
            .hint(format!("make it {advised}dots thick ({}), or more", fine(view.dots(advised)))),
    );
}

#[cfg(test)]
mod tests {
    use crate::preflight::Rules;
    use crate::preflight::sample::{assert_finding, assert_quiet, fill_of, good_page, inspect};

    #[test]
    fn lines_under_a_dot_are_errors_under_two_warnings_and_two_are_enough() {
        let mut page = good_page();
        let dots = |dots| page.grid.length(dots);
        let (half, one, two) = (dots(0.5), dots(1.0), dots(2.0));
        fill_of(&mut page, "rule", 0).height = half;
        assert_finding(
            &page,
            "error[thin-rule]: a line of this `rule` is 0.50 dots thick, one dot (0.125 mm) is the \
             thinnest there is => make it 2dots thick (0.25 mm), or more",
        );
        fill_of(&mut page, "rule", 0).height = one;
        assert_finding(
            &page,
            "warning[thin-rule]: a line of this `rule` is 1.0 dots thick, under 2 dots it breaks \
             up on thermal paper => make it 2dots thick (0.25 mm), or more",
        );
        fill_of(&mut page, "rule", 0).height = two;
        assert_quiet(&page, "thin-rule");
    }

    #[test]
    fn an_office_printer_may_draw_single_dots() {
        let mut page = good_page();
        let one = page.grid.length(1.0);
        fill_of(&mut page, "rule", 0).height = one;
        let rules = Rules { one_bit: false, ..Rules::default() };
        assert!(inspect(&page, &rules).is_empty());
    }
}
