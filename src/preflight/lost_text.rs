//! Text that was asked for and is not on the page: a line of an address, the end of a message.
//!
//! What is compared is how many letters and figures a block has to say with how many are painted
//! in it, so that neither line breaks nor ligatures matter. A line that is there but not seen is
//! for `invisible_text`, `off_page` and `clear_edge`.

use super::limits::Rules;
use super::view::View;
use crate::findings::{Rule, RuleFindings, Severity};
use crate::scene::{BlockId, MarkKind, count_letters};

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "lost-text",
    Severity::Error,
    "delivery: an address that has lost a line leads nowhere, or somewhere else",
);

/// Counts the letters of every block that has to say some.
pub(super) fn check(view: &View<'_>, _rules: &Rules, findings: &mut RuleFindings) {
    let mut painted = vec![0_u32; view.page.blocks.len()];
    for mark in &view.page.marks {
        if let MarkKind::Text(run) = &mark.kind
            && let Some(letters) = painted.get_mut(mark.block.0 as usize)
        {
            *letters = letters.saturating_add(count_letters(&run.text));
        }
    }
    for ((number, block), painted) in (0_u32..).zip(&view.page.blocks).zip(painted) {
        if painted >= block.letters {
            continue;
        }
        let lost = block.letters - painted;
        let name = block.name;
        let message = format!(
            "{lost} of the {} letters and figures of this `{name}` are not on the page",
            block.letters
        );
        let hint = format!("make room for the `{name}`, or its text shorter");
        findings.push(view.finding(&RULE, BlockId(number), message).hint(hint));
    }
}

#[cfg(test)]
mod tests {
    use crate::preflight::sample::{assert_finding, assert_quiet, good_page, text_of};

    #[test]
    fn a_cut_line_is_reported_and_a_broken_one_is_not() {
        let mut page = good_page();
        text_of(&mut page, "address", 4).text = "5019 BERG".into();
        assert_finding(
            &page,
            "error[lost-text]: 2 of the 41 letters and figures of this `address` are not on the \
             page => make room for the `address`, or its text shorter",
        );
        // The same letters in other lines and with other signs between them.
        text_of(&mut page, "address", 4).text = "5019-BERG".into();
        text_of(&mut page, "address", 5).text = "EN, NORWAY".into();
        assert_quiet(&page, "lost-text");
    }
}
