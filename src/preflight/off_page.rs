//! Marks that reach over the edge of the paper, where they are cut off.
//!
//! Half a dot is forgiven: what was moved to the nearest dot line may reach that far over, and
//! prints no less for it. Codes have a stricter rule of their own (`code_off_grid`).

use super::edges::worst_excesses;
use super::limits::Rules;
use super::view::View;
use crate::findings::{Rule, RuleFindings, Severity};
use crate::geom::{Mm, Rect};
use crate::scene::MarkKind;

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "off-page",
    Severity::Error,
    "everything printed: what lies outside the paper is cut off",
);

/// Compares every mark with the paper.
pub(super) fn check(view: &View<'_>, _rules: &Rules, findings: &mut RuleFindings) {
    check_numbers(view, findings);
    let judged = |number: usize| {
        let code = matches!(view.page.marks[number].kind, MarkKind::Code(_));
        (!code).then_some(view.paper)
    };
    for (block, excess) in worst_excesses(view, view.dots(0.5), judged) {
        if !is_sound(view.boxes[excess.mark]) {
            continue;
        }
        let (side, by) = (excess.side, excess.by);
        let what = view.describe(&view.page.marks[excess.mark]);
        let message = format!("{what} reaches {by} over the {} edge of the paper", side.word());
        let measure = if side.is_upright() { "narrower" } else { "lower" };
        let hint = format!("move it {by} {}, or make it {by} {measure}", side.back());
        findings.push(view.finding(&RULE, block, message).hint(hint));
    }
}

/// Reports boxes that are no boxes: comparing them with anything would find nothing wrong.
fn check_numbers(view: &View<'_>, findings: &mut RuleFindings) {
    for (_, mark, rect) in view.marks() {
        if !is_sound(rect) {
            let message = format!("{} has no place that can be printed", view.describe(mark));
            let hint = "give its block a `width` and a `height` in millimetres";
            findings.push(view.finding(&RULE, mark.block, message).hint(hint));
        }
    }
}

/// Places further away than this, in millimetres, are no places on any paper.
const FAR: f64 = 1e6;

/// Whether a box is somewhere near the paper, and its sides not below zero.
fn is_sound(rect: Rect) -> bool {
    let near = |at: Mm| (-FAR..=FAR).contains(&at.0);
    let corners = [rect.x, rect.y, rect.right(), rect.bottom()];
    corners.into_iter().all(near) && rect.width >= Mm::ZERO && rect.height >= Mm::ZERO
}

#[cfg(test)]
mod tests {
    use crate::geom::Mm;
    use crate::preflight::sample::{assert_finding, assert_quiet, fill_of, good_page, text_of};

    #[test]
    fn a_text_over_the_right_edge_is_reported_and_half_a_dot_is_not() {
        let mut page = good_page();
        let width = page.size.width;
        let run = text_of(&mut page, "address", 2);
        run.rect.x = width - run.rect.width + Mm(2.4);
        assert_finding(
            &page,
            "error[off-page]: the text `Ingrid Solheim` reaches 2.4 mm over the right edge of the \
             paper => move it 2.4 mm to the left, or make it 2.4 mm narrower",
        );
        let run = text_of(&mut page, "address", 2);
        run.rect.x = width - run.rect.width + Mm(0.0625);
        assert_quiet(&page, "off-page");
    }

    #[test]
    fn the_furthest_mark_of_a_block_stands_for_all() {
        let mut page = good_page();
        let rule = fill_of(&mut page, "rule", 0);
        rule.y = Mm(-1.5);
        let again = *rule;
        let mut other = page.marks.iter().find(|mark| mark.rect(page.grid) == again).cloned();
        other.iter_mut().for_each(|mark| {
            mark.kind = crate::scene::MarkKind::Fill(
                again.moved(Mm::ZERO, Mm(-1.0)),
                crate::scene::Ink::Black,
            );
        });
        page.marks.extend(other);
        assert_finding(
            &page,
            "error[off-page]: this `rule` reaches 2.5 mm over the upper edge of the paper \
             => move it 2.5 mm down, or make it 2.5 mm lower",
        );
    }

    #[test]
    fn numbers_that_are_none_are_reported() {
        for broken in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX] {
            let mut page = good_page();
            fill_of(&mut page, "rule", 0).x = Mm(broken);
            assert_finding(
                &page,
                "error[off-page]: this `rule` has no place that can be printed \
                 => give its block a `width` and a `height` in millimetres",
            );
        }
        let mut page = good_page();
        fill_of(&mut page, "rule", 0).width = Mm(-1.0);
        assert_finding(
            &page,
            "error[off-page]: this `rule` has no place that can be printed \
             => give its block a `width` and a `height` in millimetres",
        );
    }
}
