//! A recipient's address in type that a courier strains to read.
//!
//! The recipient's is taken to be the `address` with the most room on the page: a sender's may be
//! small print.

use super::limits::Rules;
use super::small_type::smallest_runs;
use super::view::View;
use crate::findings::{Rule, RuleFindings, Severity};
use crate::geom::show_points;

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "small-address",
    Severity::Warning,
    "delivery: an address is read at arm's length, in a van, in the rain",
);

/// Compares the type of the page's main address with the limit: 8 pt (DIN 5008).
pub(super) fn check(view: &View<'_>, rules: &Rules, findings: &mut RuleFindings) {
    let smallest = smallest_runs(view, |_, block| view.name(block) == "address");
    let addresses = smallest.into_iter().filter_map(|(id, run)| {
        let room = view.block(id)?.rect;
        Some((room.width.0 * room.height.0, id, run))
    });
    let main = addresses.reduce(|main, next| if next.0 > main.0 { next } else { main });
    let Some((_, block, run)) = main else { return };
    // Type below the least of all has its own error.
    if !rules.least_address.exceeds(run.size) || rules.least_type.exceeds(run.size) {
        return;
    }
    let least = show_points(rules.least_address);
    let message = format!(
        "this `address` is set in {}, hard to read for a courier: {least} is the least",
        show_points(run.size)
    );
    let hint = format!(
        "make the `address` {:.0} % larger, or set its `smallest` to {}",
        ((rules.least_address / run.size - 1.0) * 100.0).ceil(),
        least.replace(' ', "")
    );
    findings.push(view.finding(&RULE, block, message).hint(hint));
}

#[cfg(test)]
mod tests {
    use crate::geom::Mm;
    use crate::preflight::sample::{assert_finding, assert_quiet, good_page, text_of};

    #[test]
    fn an_address_below_eight_points_is_reported_and_eight_are_enough() {
        let mut page = good_page();
        text_of(&mut page, "address", 3).size = Mm::from_pt(7.5);
        assert_finding(
            &page,
            "warning[small-address]: this `address` is set in 7.5 pt, hard to read for a courier: \
             8 pt is the least => make the `address` 7 % larger, or set its `smallest` to 8pt",
        );
        text_of(&mut page, "address", 3).size = Mm::from_pt(8.0);
        assert_quiet(&page, "small-address");
    }

    #[test]
    fn the_sender_may_be_small_print() {
        let mut page = good_page();
        text_of(&mut page, "address", 0).size = Mm::from_pt(6.0);
        assert_quiet(&page, "small-address");
    }
}
