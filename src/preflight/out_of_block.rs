//! Marks that leave the room of their own block.
//!
//! One dot is forgiven: lines and grounds are moved to the nearest dot lines. A text that
//! composing could not fit is reported there, as `overflow`, with what it needs; folding keeps only
//! that report.

use super::edges::worst_excesses;
use super::limits::Rules;
use super::view::View;
use crate::findings::{Rule, RuleFindings, Severity};

/// The rule's row.
pub(crate) const RULE: Rule = Rule::new(
    "out-of-block",
    Severity::Error,
    "neighbours: what leaves its own room lies on something else sooner or later",
);

/// Compares every mark with the room of its block.
pub(super) fn check(view: &View<'_>, _rules: &Rules, findings: &mut RuleFindings) {
    let room = |number: usize| view.block(view.page.marks[number].block).map(|block| block.rect);
    for (block, excess) in worst_excesses(view, view.dots(1.0), room) {
        let (side, by) = (excess.side, excess.by);
        let what = view.describe(&view.page.marks[excess.mark]);
        let name = view.name(block);
        let message = format!("{what} leaves its `{name}` by {by} on the {} side", side.word());
        let (larger, smaller) = match side.is_upright() {
            true => ("wider", "width"),
            false => ("higher", "height"),
        };
        let hint =
            format!("make the `{name}` {by} {larger}, or what is in it {by} less in {smaller}");
        findings.push(view.finding(&RULE, block, message).hint(hint));
    }
}

#[cfg(test)]
mod tests {
    use crate::geom::Mm;
    use crate::preflight::sample::{assert_finding, assert_quiet, block_of, good_page};

    #[test]
    fn a_text_wider_than_its_block_is_reported_and_one_dot_is_not() {
        let mut page = good_page();
        let text = page.marks[0].rect(page.grid);
        let block = block_of(&mut page, "address", 0);
        block.rect.width = text.right() - block.rect.x - Mm(0.8);
        assert_finding(
            &page,
            "error[out-of-block]: the text `Tern Hollow Pens, 4 Quay Lane` leaves its `address` by \
             0.8 mm on the right side \
             => make the `address` 0.8 mm wider, or what is in it 0.8 mm less in width",
        );
        let block = block_of(&mut page, "address", 0);
        block.rect.width = text.right() - block.rect.x - Mm(0.125);
        assert_quiet(&page, "out-of-block");
    }
}
