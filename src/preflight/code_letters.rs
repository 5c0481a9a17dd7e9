//! Letters in a Code 128 that not every reader knows.

use super::limits::Rules;
use super::view::View;
use crate::codes::Data;
use crate::findings::{Rule, RuleFindings, Severity};
use crate::scene::Symbol;
use crate::words::shorten;

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "code-letters",
    Severity::Warning,
    "the number itself: a reader may take a letter outside ASCII for another, without a word",
);

/// The bit that sets a letter outside ASCII apart from the one that is written for it behind an
/// FNC4 (ISO/IEC 15417).
const HIGH: u8 = 0x80;

/// Looks for letters outside ASCII in every Code 128. zbar's decoder, for one, passes FNC4 over
/// (`zbar/decoder/code128.c`), and reads `D` where `Ä` is meant.
pub(super) fn check(view: &View<'_>, _rules: &Rules, findings: &mut RuleFindings) {
    for code in &view.codes {
        let Symbol::Code128(symbol) = &code.code.symbol else { continue };
        let is_high = |datum: &Data| matches!(datum, Data::Char(value) if value & HIGH != 0);
        if !symbol.data().iter().any(is_high) {
            continue;
        }
        let lowered = symbol.data().iter().filter_map(|datum| match datum {
            Data::Char(value) => Some(char::from(value & !HIGH)),
            Data::Fnc1 => None,
        });
        let (meant, lowered) = (symbol.text(), lowered.collect::<String>());
        let name = view.name(code.block);
        let message = format!(
            "some readers read `{}` in this `{name}` as `{}`: they do not know letters outside \
             ASCII",
            shorten(&meant),
            shorten(&lowered)
        );
        let hint =
            "use figures and the letters A to Z alone, or a `qr`, which all readers agree on";
        findings.push(view.finding(&RULE, code.block, message).hint(hint));
    }
}

#[cfg(test)]
mod tests {
    use crate::preflight::sample::{assert_finding, assert_quiet, bars, code_of, good_page};

    #[test]
    fn letters_outside_ascii_are_reported_with_what_is_read_for_them() {
        let mut page = good_page();
        assert_quiet(&page, "code-letters");
        code_of(&mut page, "code128", 0).symbol = bars("Ä-104é");
        assert_finding(
            &page,
            "warning[code-letters]: some readers read `Ä-104é` in this `code128` as `D-104i`: \
             they do not know letters outside ASCII => use figures and the letters A to Z alone, \
             or a `qr`, which all readers agree on",
        );
        code_of(&mut page, "code128", 0).symbol = bars("a~Z-104");
        assert_quiet(&page, "code-letters");
    }
}
