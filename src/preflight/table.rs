//! The table of rules.

use super::view::{Findings, View};
use super::{
    Rules, batch, blank_page, clear_edge, code_covered, code_height, code_module, code_off_grid,
    dead_column, invisible_text, large_black, lost_text, off_page, out_of_block, overlap,
    print_area, quiet_zone, small_address, small_type, thin_rule,
};
use crate::diag::Severity;

/// A rule: what it is called and what it is for.
#[derive(Debug)]
pub struct Rule {
    /// Its name in findings, in kebab case.
    pub name: &'static str,
    /// What it protects, in half a sentence.
    pub protects: &'static str,
    /// How much its findings usually weigh.
    pub severity: Severity,
    /// How it looks for faults.
    pub(super) check: Check,
}

/// How a rule looks for faults.
#[derive(Clone, Copy, Debug)]
pub(super) enum Check {
    /// On one page.
    Page(fn(&View<'_>, &Rules, &mut Findings)),
    /// Across the pages of a batch, in [`batch`].
    Batch,
}

/// Every rule: first those of a page, in the order their findings are given, then those of a
/// batch.
pub const RULES: &[Rule] = &[
    blank_page::RULE,
    lost_text::RULE,
    off_page::RULE,
    clear_edge::RULE,
    print_area::RULE,
    out_of_block::RULE,
    overlap::RULE,
    code_off_grid::RULE,
    code_module::RULE,
    code_height::RULE,
    dead_column::RULE,
    code_covered::RULE,
    quiet_zone::RULE,
    small_type::RULE,
    small_address::RULE,
    invisible_text::RULE,
    thin_rule::RULE,
    large_black::RULE,
    batch::MISSING_PAGE,
    batch::DUPLICATE_PAGE,
    batch::PAGE_ORDER,
    batch::STRAY_PAGE,
    batch::DUPLICATE_ORDER,
    batch::DUPLICATE_TAG,
    batch::DUPLICATE_PAIR,
    batch::WRONG_PAIR,
    batch::UNMATCHED_PAIR,
];

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_rule_has_a_name_of_its_own_and_says_what_it_protects() {
        let names: BTreeSet<_> = RULES.iter().map(|rule| rule.name).collect();
        assert_eq!(names.len(), RULES.len());
        for rule in RULES {
            let kebab = rule.name.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'-');
            assert!(kebab && !rule.name.is_empty(), "{}", rule.name);
            assert!(rule.protects.len() > 20, "{}", rule.name);
            assert!(!rule.protects.ends_with('.'), "{}", rule.name);
            assert!(rule.protects.starts_with(char::is_lowercase), "{}", rule.name);
        }
    }

    #[test]
    fn page_rules_stand_before_batch_rules() {
        let batch: Vec<_> = RULES.iter().map(|rule| matches!(rule.check, Check::Batch)).collect();
        assert!(batch.is_sorted());
    }

    /// The rules of a page, each of which has a file named after it.
    #[test]
    fn every_page_rule_has_its_file() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/preflight");
        for rule in RULES.iter().filter(|rule| matches!(rule.check, Check::Page(_))) {
            let file = format!("{}.rs", rule.name.replace('-', "_"));
            assert!(folder.join(&file).is_file(), "{file}");
        }
    }
}
