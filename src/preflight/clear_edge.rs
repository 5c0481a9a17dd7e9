//! Black in the edge of the paper that the printer cannot be trusted with.
//!
//! Half a dot is forgiven, as in `off_page`; marks outside the paper are left to that rule. A page
//! of another PDF mostly has white edges of its own, which nobody measures: it is warned of.

use super::edges::{BoxSide, worst_excesses};
use super::limits::Rules;
use super::view::{View, is_black};
use crate::findings::{Rule, RuleFindings, Severity};
use crate::geom::{Insets, Mm};
use crate::scene::MarkKind;

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "clear-edge",
    Severity::Error,
    "everything printed: near the edge a printer may leave it out",
);

/// Compares every black mark with the paper inside its clear edge.
pub(super) fn check(view: &View<'_>, _rules: &Rules, findings: &mut RuleFindings) {
    let slop = view.dots(0.5);
    let clear = view.paper.shrunk(view.page.clear_edge);
    let judged = |number: usize| {
        let on_paper = view.paper.grown(slop).contains(view.boxes[number]);
        (on_paper && is_black(&view.page.marks[number])).then_some(clear)
    };
    for (block, excess) in worst_excesses(view, slop, judged) {
        let (side, by) = (excess.side, excess.by);
        let edge = width_of(view.page.clear_edge, side);
        let what = view.describe(&view.page.marks[excess.mark]);
        let foreign = matches!(view.page.marks[excess.mark].kind, MarkKind::Foreign(_));
        let unless = if foreign { ": is the page itself white there?" } else { "" };
        let message = format!(
            "{what} comes {by} into the {} edge of the paper, where {edge} must stay white{unless}",
            side.word()
        );
        let hint = format!(
            "move it {by} {}, or set the page's `inset` to at least {}",
            side.back(),
            plain(edge)
        );
        let mut finding = view.finding(&RULE, block, message).hint(hint);
        if foreign {
            finding.severity = Severity::Warning;
        }
        findings.push(finding);
    }
}

/// How wide the clear edge is at a side.
fn width_of(edge: Insets, side: BoxSide) -> Mm {
    match side {
        BoxSide::Left => edge.left,
        BoxSide::Top => edge.top,
        BoxSide::Right => edge.right,
        BoxSide::Bottom => edge.bottom,
    }
}

/// A length as one writes it in a layout.
fn plain(length: Mm) -> String {
    length.to_string().trim_end_matches(" mm").to_owned()
}

#[cfg(test)]
mod tests {
    use crate::geom::Mm;
    use crate::preflight::sample::{assert_finding, assert_quiet, fill_of, good_page, text_of};
    use crate::scene::Ink;

    #[test]
    fn a_line_in_the_left_edge_is_reported_and_one_beside_it_is_not() {
        let mut page = good_page();
        fill_of(&mut page, "rule", 0).x = Mm(1.25);
        assert_finding(
            &page,
            "error[clear-edge]: this `rule` comes 1.75 mm into the left edge of the paper, where \
             3 mm must stay white \
             => move it 1.75 mm to the right, or set the page's `inset` to at least 3",
        );
        fill_of(&mut page, "rule", 0).x = Mm(3.0 - 0.0625);
        assert_quiet(&page, "clear-edge");
    }

    #[test]
    fn white_leaves_the_edge_white() {
        let mut page = good_page();
        let run = text_of(&mut page, "text", 0);
        run.rect.y = Mm(1.0);
        run.ink = Ink::White;
        assert_quiet(&page, "clear-edge");
        text_of(&mut page, "text", 0).ink = Ink::Black;
        assert_finding(
            &page,
            "error[clear-edge]: the text `3 of 12` comes 2 mm into the upper edge of the paper, \
             where 3 mm must stay white \
             => move it 2 mm down, or set the page's `inset` to at least 3",
        );
    }
}
