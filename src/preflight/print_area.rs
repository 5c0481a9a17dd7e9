//! Black where the printer cannot reach, or where correcting the page would push it off the paper.
//!
//! The edge that stays white is that of `clear_edge`; this is about a head narrower than the paper,
//! and about the offset and scale of a printer's profile.

use super::edges::worst_excesses;
use super::limits::Rules;
use super::view::{View, is_black};
use crate::findings::{Rule, RuleFindings, Severity};
use crate::scene::MarkKind;

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "print-area",
    Severity::Error,
    "everything printed: a head narrower than the paper leaves out what lies beside it",
);

/// Compares every black mark with what the printer can print of the page.
pub(super) fn check(view: &View<'_>, rules: &Rules, findings: &mut RuleFindings) {
    let Some(printable) = rules.printable else { return };
    // Lines moved to their dot lines may reach half a dot over; codes are on theirs.
    let lines = printable.grown(view.dots(0.5));
    let judged = |number: usize| {
        let mark = &view.page.marks[number];
        // What lies off the paper has its own rule.
        let on_paper = view.paper.grown(view.dots(0.5)).contains(view.boxes[number]);
        let exact = matches!(mark.kind, MarkKind::Code(_) | MarkKind::Tally(_));
        let part = if exact { printable } else { lines };
        (on_paper && is_black(mark)).then_some(part)
    };
    for (block, excess) in worst_excesses(view, view.dots(0.01), judged) {
        let (side, by) = (excess.side, excess.by);
        let what = view.describe(&view.page.marks[excess.mark]);
        let message = format!(
            "{what} comes {by} too far {} for this printer, which would leave it out",
            side.away()
        );
        let hint = format!(
            "move it {by} {}, or mend `area`, `offset` or `scale` of the printer in the shop file",
            side.back()
        );
        findings.push(view.finding(&RULE, block, message).hint(hint));
    }
}

#[cfg(test)]
mod tests {
    use crate::geom::{Mm, Rect};
    use crate::preflight::Rules;
    use crate::preflight::sample::{fill_of, good_page, inspect, line};
    use crate::scene::Page;

    /// What a printer of an area has against a page.
    fn found(page: &Page, printable: Rect) -> Vec<String> {
        let rules = Rules { printable: Some(printable), ..Rules::default() };
        inspect(page, &rules).iter().map(line).collect()
    }

    #[test]
    fn a_line_wider_than_the_head_is_reported_and_one_as_wide_is_not() {
        let mut page = good_page();
        let rule = fill_of(&mut page, "rule", 0);
        let (left, right) = (rule.x, rule.right());
        let tall = |width: Mm| Rect::new(Mm::ZERO, Mm::ZERO, width, Mm(2000.0));
        assert_eq!(found(&page, tall(right)), [""; 0]);
        let narrow = found(&page, tall(right - Mm(1.0)));
        assert!(
            narrow[0]
                .starts_with("error[print-area]: this `rule` comes 0.94 mm too far to the right")
        );
        assert!(narrow.iter().all(|line| line.contains("print-area")), "{narrow:#?}");
        // The same for a page that is to be moved to the left by more than its white edge.
        let moved = Rect::new(left + Mm(0.5), Mm::ZERO, Mm(200.0), Mm(200.0));
        assert!(found(&page, moved).iter().any(|line| line.contains("too far to the left")));
    }
}
