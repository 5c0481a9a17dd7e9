//! Black areas that overheat a thermal head, and such areas where the paper leaves it.
//!
//! Only filled boxes count that are wide enough to be areas: a tally's cells, codes, letters and
//! pictures are as black as they must be. Boxes that lie over each other count twice.

use super::limits::Rules;
use super::view::View;
use crate::findings::{Rule, RuleFindings, Severity};
use crate::geom::{Mm, Rect};
use crate::scene::{BlockId, Ink, MarkKind};

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "large-black",
    Severity::Warning,
    "a thermal head: large black areas heat it, and what follows smears",
);

/// Adds up the black areas of a page for a printer that has black and nothing else.
pub(super) fn check(view: &View<'_>, rules: &Rules, findings: &mut RuleFindings) {
    if !rules.one_bit {
        return;
    }
    let areas: Vec<(BlockId, Rect)> = view
        .marks()
        .filter(|(_, mark, rect)| {
            let black = matches!(mark.kind, MarkKind::Fill(_, Ink::Black));
            black && rect.width >= rules.solid_side && rect.height >= rules.solid_side
        })
        .map(|(_, mark, rect)| (mark.block, rect))
        .collect();
    check_sum(view, &areas, rules, findings);
    for (block, rect) in areas {
        check_end(view, block, rect, rules.calm_end, findings);
    }
}

/// Compares the sum of the areas with the page.
fn check_sum(
    view: &View<'_>,
    areas: &[(BlockId, Rect)],
    rules: &Rules,
    findings: &mut RuleFindings,
) {
    let size = |rect: Rect| rect.width.0 * rect.height.0;
    let page = size(view.paper);
    let sum: f64 = areas.iter().map(|(_, rect)| size(*rect)).sum();
    let over = sum - page * rules.most_black;
    // A square millimetre more is not felt.
    if over <= 1.0 {
        return;
    }
    let largest =
        areas.iter().fold(
            areas[0],
            |largest, area| {
                if size(area.1) > size(largest.1) { *area } else { largest }
            },
        );
    let message = format!(
        "black areas cover {} % of this page, over {} % they heat the head and smear",
        (sum / page * 100.0).ceil(),
        (rules.most_black * 100.0).round()
    );
    let rect = largest.1;
    let lower = Mm(over / rect.width.0).min(rect.height);
    let hint = format!("make this `{}` {lower} lower, or black on white", view.name(largest.0));
    findings.push(view.finding(&RULE, largest.0, message).hint(hint));
}

/// Compares an area with the end of the page that stays free of them.
fn check_end(
    view: &View<'_>,
    block: BlockId,
    rect: Rect,
    calm_end: Mm,
    findings: &mut RuleFindings,
) {
    let by = rect.bottom() - (view.page.size.height - calm_end);
    if by.exceeds(Mm::ZERO) {
        let name = view.name(block);
        let message = format!(
            "this black `{name}` comes {by} into the last {calm_end} of the page, where it smears"
        );
        findings.push(view.finding(&RULE, block, message).hint(format!("move it {by} up")));
    }
}

#[cfg(test)]
mod tests {
    use crate::geom::{Mm, Rect};
    use crate::preflight::sample::{add_block, add_fill, assert_finding, assert_quiet, good_page};
    use crate::scene::{Ink, Page};

    /// The sample with a black box.
    fn with_black(x: f64, y: f64, width: f64, height: f64) -> Page {
        let mut page = good_page();
        let rect = Rect::new(Mm(x), Mm(y), Mm(width), Mm(height));
        let block = add_block(&mut page, "box", None, rect);
        add_fill(&mut page, block, rect, Ink::Black);
        page
    }

    #[test]
    fn more_than_a_tenth_of_the_page_is_reported_and_a_tenth_is_not() {
        // A tenth of 101.6 mm by 152.4 mm is 1548.4 mm².
        assert_finding(
            &with_black(4.0, 40.0, 80.0, 29.0),
            "warning[large-black]: black areas cover 15 % of this page, over 10 % they heat the \
             head and smear => make this `box` 9.65 mm lower, or black on white",
        );
        assert_quiet(&with_black(4.0, 40.0, 80.0, 19.35), "large-black");
    }

    #[test]
    fn black_near_the_end_is_reported_and_black_before_it_is_not() {
        assert_finding(
            &with_black(4.0, 135.0, 20.0, 9.4),
            "warning[large-black]: this black `box` comes 2 mm into the last 10 mm of the page, \
             where it smears => move it 2 mm up",
        );
        assert_quiet(&with_black(4.0, 135.0, 20.0, 7.4), "large-black");
        assert_quiet(&with_black(4.0, 140.0, 80.0, 2.9), "large-black");
    }
}
