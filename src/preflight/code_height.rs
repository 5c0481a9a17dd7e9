//! Bars too low to be met by a reader's beam.

use super::limits::Rules;
use super::view::View;
use crate::findings::{Rule, RuleFindings, Severity};
use crate::scene::{Symbol, Turn};

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "code-height",
    Severity::Warning,
    "scanning by hand: a beam held a little askew leaves bars that are too low",
);

/// Compares the bars of every Code 128 with its width: 15 % of it or 6.35 mm, the larger
/// (ISO/IEC 15417, from memory).
pub(super) fn check(view: &View<'_>, rules: &Rules, findings: &mut RuleFindings) {
    for code in &view.codes {
        if matches!(code.code.symbol, Symbol::Qr(_)) {
            continue;
        }
        let (length, height) = match code.code.turn {
            Turn::Upright => (code.symbol.width, code.symbol.height),
            Turn::Quarter => (code.symbol.height, code.symbol.width),
        };
        let share = length * rules.least_bar_share;
        let least = share.max(rules.least_bar_height);
        if !least.exceeds(height) {
            continue;
        }
        let reason = match share > rules.least_bar_height {
            true => format!("{:.0} % of their length of {length}", rules.least_bar_share * 100.0),
            false => "the least for any length".to_owned(),
        };
        let name = view.name(code.block);
        let message =
            format!("the bars of this `{name}` are {height} high, they need {least}: {reason}");
        let hint = format!("make the `{name}` {} higher", least - height);
        findings.push(view.finding(&RULE, code.block, message).hint(hint));
    }
}

#[cfg(test)]
mod tests {
    use crate::preflight::sample::{assert_finding, assert_quiet, code_of, good_page};

    #[test]
    fn low_bars_are_reported_and_just_high_enough_ones_are_not() {
        let mut page = good_page();
        code_of(&mut page, "code128", 0).dots.height = 64;
        assert_finding(
            &page,
            "warning[code-height]: the bars of this `code128` are 8 mm high, they need 8.16 mm: \
             15 % of their length of 54.38 mm => make the `code128` 0.16 mm higher",
        );
        code_of(&mut page, "code128", 0).dots.height = 66;
        assert_quiet(&page, "code-height");
    }

    #[test]
    fn short_codes_need_a_quarter_inch() {
        let mut page = good_page();
        crate::preflight::sample::set_module(&mut page, "code128", 2);
        code_of(&mut page, "code128", 0).dots.height = 50;
        assert_finding(
            &page,
            "warning[code-height]: the bars of this `code128` are 6.25 mm high, they need \
             6.35 mm: the least for any length => make the `code128` 0.1 mm higher",
        );
        code_of(&mut page, "code128", 0).dots.height = 51;
        assert_quiet(&page, "code-height");
    }
}
