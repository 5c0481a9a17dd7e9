//! Bars too low to be met by a reader's beam.

use super::limits::Rules;
use super::view::{CodeOnPage, View};
use crate::codes::{Code128, Data, Ean, EanKind};
use crate::findings::{Rule, RuleFindings, Severity};
use crate::geom::Mm;
use crate::scene::Symbol;

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "code-height",
    Severity::Warning,
    "scanning by hand: a beam held a little askew leaves bars that are too low",
);

/// Compares the bars of every code with the least height for it. An S10 number of a post, 156
/// modules long like an SSCC, is held to the share of its length like any other.
pub(super) fn check(view: &View<'_>, rules: &Rules, findings: &mut RuleFindings) {
    for code in &view.codes {
        let (length, height) = match code.code.stance.is_lying() {
            false => (code.symbol.width, code.symbol.height),
            true => (code.symbol.height, code.symbol.width),
        };
        let (least, reason) = match &code.code.symbol {
            Symbol::Code128(symbol) => least_height(symbol, length, rules),
            Symbol::Ean(_) => least_for_hands(length, rules),
            Symbol::Qr(_) | Symbol::DataMatrix(_) => continue,
        };
        if !least.exceeds(height) {
            if let Symbol::Ean(symbol) = &code.code.symbol {
                advise_till(view, code, symbol, height, rules, findings);
            }
            continue;
        }
        let name = view.name(code.block);
        let message =
            format!("the bars of this `{name}` are {height} high, they need {least}: {reason}");
        let hint = format!("make the `{name}` {} higher", least - height);
        findings.push(view.finding(&RULE, code.block, message).hint(hint));
    }
}

/// Notes bars of an EAN that are lower than GS1 asks for at a till, if advice is wanted: read by hand
/// they do.
fn advise_till(
    view: &View<'_>,
    code: &CodeOnPage<'_>,
    symbol: &Ean,
    height: Mm,
    rules: &Rules,
    findings: &mut RuleFindings,
) {
    let till = match symbol.kind() {
        EanKind::Ean8 => rules.till_height_ean8,
        EanKind::Ean13 | EanKind::UpcA => rules.till_height,
    };
    let wanted = till.least.max(code.module(view) * till.modules);
    if !rules.advice || !wanted.exceeds(height) {
        return;
    }
    let name = view.name(code.block);
    let message = format!(
        "the bars of this `{name}` are {height} high, GS1 asks for {wanted} at this width, so that \
         the scanner of a till meets them from any side"
    );
    let hint = format!("make the `{name}` {} higher, or scan it by hand", wanted - height);
    let mut finding = view.finding(&RULE, code.block, message).hint(hint);
    finding.severity = Severity::Note;
    findings.push(finding);
}

/// The least height of a symbol's bars, and why: where each is from stands at its field of [`Rules`].
fn least_height(symbol: &Code128, length: Mm, rules: &Rules) -> (Mm, String) {
    let (least, reason) = least_for_hands(length, rules);
    if has_sscc(symbol) && rules.least_sscc_height > least {
        return (rules.least_sscc_height, "what GS1 asks for an SSCC".to_owned());
    }
    (least, reason)
}

/// The least height of any bars that are scanned by hand, and why.
fn least_for_hands(length: Mm, rules: &Rules) -> (Mm, String) {
    let share = length * rules.least_bar_share;
    match share > rules.least_bar_height {
        true => {
            (share, format!("{:.0} % of their length of {length}", rules.least_bar_share * 100.0))
        }
        false => (rules.least_bar_height, "the least for any length".to_owned()),
    }
}

/// Whether a symbol is a GS1-128 whose first element is an SSCC, `(00)`.
fn has_sscc(symbol: &Code128) -> bool {
    symbol.data().starts_with(&[Data::Fnc1, Data::Char(b'0'), Data::Char(b'0')])
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use crate::codes::ElementStrings;
    use crate::geom::DotGrid;
    use crate::preflight::sample::{assert_finding, assert_quiet, code_of, good_page, set_module};
    use crate::scene::Symbol;

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
    fn short_codes_need_five_millimetres_and_no_more() {
        let mut page = good_page();
        page.grid = DotGrid::from_dpi(300.0).unwrap();
        set_module(&mut page, "code128", 2);
        code_of(&mut page, "code128", 0).dots.height = 64;
        assert_quiet(&page, "code-height");
        code_of(&mut page, "code128", 0).dots.height = 55;
        assert_finding(
            &page,
            "warning[code-height]: the bars of this `code128` are 4.66 mm high, they need \
             5 mm: the least for any length => make the `code128` 0.34 mm higher",
        );
    }

    #[test]
    fn an_sscc_needs_what_gs1_asks_for() {
        let mut page = good_page();
        let elements = ElementStrings::parse("(00)395123451234567895").unwrap();
        let code = code_of(&mut page, "code128", 0);
        code.symbol = Symbol::Code128(Arc::new(elements.to_code128().unwrap()));
        code.dots.height = 176;
        assert_finding(
            &page,
            "warning[code-height]: the bars of this `code128` are 22 mm high, they need 31.75 mm: \
             what GS1 asks for an SSCC => make the `code128` 9.75 mm higher",
        );
        code_of(&mut page, "code128", 0).dots.height = 254;
        assert_quiet(&page, "code-height");
    }
}
