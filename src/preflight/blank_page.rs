//! A page on which nothing is printed: a blank label goes on no parcel.

use super::limits::Rules;
use super::view::{View, is_content};
use crate::findings::{Finding, Rule, RuleFindings, Severity};

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "blank-page",
    Severity::Warning,
    "paper: a page without anything on it comes out of the printer for nothing",
);

/// Looks for anything that is painted.
pub(super) fn check(view: &View<'_>, _rules: &Rules, findings: &mut RuleFindings) {
    if view.page.marks.iter().any(is_content) {
        return;
    }
    let mut finding = Finding::new(&RULE, "nothing is printed on this page")
        .at(view.page.blocks.first().map(|block| block.span))
        .hint("see which `when:` leaves everything out");
    finding.subject = view.page.subject.clone();
    findings.push(finding);
}

#[cfg(test)]
mod tests {
    use crate::preflight::sample::{assert_finding, assert_quiet, good_page};

    #[test]
    fn an_empty_page_is_reported_and_one_word_is_enough() {
        let mut page = good_page();
        page.marks.clear();
        assert_finding(
            &page,
            "warning[blank-page]: nothing is printed on this page \
             => see which `when:` leaves everything out",
        );
        let mut page = good_page();
        page.marks.truncate(1);
        assert_quiet(&page, "blank-page");
    }
}
