//! Type too small to be read.

use std::collections::BTreeMap;

use super::limits::Rules;
use super::view::{SHOWN_CHARACTERS, View};
use crate::findings::{Rule, RuleFindings, Severity};
use crate::geom::show_points;
use crate::scene::{BlockId, MarkKind, TextRun};
use crate::words::shorten_to;

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "small-type",
    Severity::Error,
    "reading: smaller type runs together on thermal paper",
);

/// Compares the smallest type of every block with the limit.
pub(super) fn check(view: &View<'_>, rules: &Rules, findings: &mut RuleFindings) {
    for (block, run) in smallest_runs(view, |run, _| rules.least_type.exceeds(run.size)) {
        let name = view.name(block);
        let least = show_points(rules.least_type);
        let message = format!(
            "the text `{}` in this `{name}` is set in {}, which cannot be read: {least} is the \
             least",
            shorten_to(run.text.trim(), SHOWN_CHARACTERS),
            show_points(run.size)
        );
        let hint = format!(
            "set its `size` and `smallest` to {}, and make the `{name}` {:.0} % larger",
            least.replace(' ', ""),
            ((rules.least_type / run.size - 1.0) * 100.0).ceil()
        );
        findings.push(view.finding(&RULE, block, message).hint(hint));
    }
}

/// The first of the smallest texts of each block, among those that are `wanted`.
pub(super) fn smallest_runs<'a>(
    view: &View<'a>,
    wanted: impl Fn(&TextRun, BlockId) -> bool,
) -> BTreeMap<BlockId, &'a TextRun> {
    let mut smallest: BTreeMap<BlockId, &TextRun> = BTreeMap::new();
    for mark in &view.page.marks {
        let MarkKind::Text(run) = &mark.kind else { continue };
        if wanted(run, mark.block) && !run.text.trim().is_empty() {
            let entry = smallest.entry(mark.block).or_insert(run);
            if run.size < entry.size {
                *entry = run;
            }
        }
    }
    smallest
}

#[cfg(test)]
mod tests {
    use crate::geom::Mm;
    use crate::preflight::sample::{assert_finding, assert_quiet, good_page, text_of};

    #[test]
    fn type_below_six_points_is_reported_and_six_are_enough() {
        let mut page = good_page();
        text_of(&mut page, "text", 0).size = Mm::from_pt(5.75);
        assert_finding(
            &page,
            "error[small-type]: the text `3 of 12` in this `text` is set in 5.75 pt, which cannot \
             be read: 6 pt is the least \
             => set its `size` and `smallest` to 6pt, and make the `text` 5 % larger",
        );
        text_of(&mut page, "text", 0).size = Mm::from_pt(6.0);
        assert_quiet(&page, "small-type");
    }
}
