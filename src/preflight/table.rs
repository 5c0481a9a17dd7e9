//! The table of rules.

use super::limits::Rules;
use super::view::View;
use super::{
    batch, blank_page, clear_edge, code_covered, code_height, code_letters, code_module,
    code_off_grid, dead_column, ink_touches, invisible_text, large_black, lost_text, off_page,
    out_of_block, overlap, print_area, quiet_zone, small_address, small_type, thin_rule,
};
use crate::findings::{Rule, RuleFindings};

/// A rule of a page, and how it looks for faults.
pub(super) struct PageRule {
    /// What it looks for, under the name that scripts count on.
    pub(super) rule: &'static Rule,
    /// How it looks.
    pub(super) check: fn(&View<'_>, &Rules, &mut RuleFindings),
}

/// The rules of pages, each a module with its `RULE` and its `check`.
macro_rules! page_rules {
    ($($module:ident),* $(,)?) => {
        /// The rules of a page, in the order their findings are given.
        pub(super) const PAGE_RULES: &[PageRule] =
            &[$(PageRule { rule: &$module::RULE, check: $module::check }),*];
    };
}

page_rules![
    blank_page,
    lost_text,
    off_page,
    clear_edge,
    print_area,
    out_of_block,
    overlap,
    ink_touches,
    code_off_grid,
    code_module,
    code_height,
    code_letters,
    dead_column,
    code_covered,
    quiet_zone,
    small_type,
    small_address,
    invisible_text,
    thin_rule,
    large_black,
];

/// What only all pages of a batch together can break.
const BATCH_RULES: &[Rule] = &[
    batch::rules::MISSING_PAGE,
    batch::rules::DUPLICATE_PAGE,
    batch::rules::PAGE_ORDER,
    batch::rules::STRAY_PAGE,
    batch::rules::DUPLICATE_ORDER,
    batch::rules::DUPLICATE_TAG,
    batch::rules::DUPLICATE_PAIR,
    batch::rules::WRONG_PAIR,
    batch::rules::UNMATCHED_PAIR,
];

/// Every rule: first those of a page, in the order their findings are given, then those of a
/// batch. What each is about says what it protects.
pub fn list_rules() -> impl Iterator<Item = &'static Rule> {
    PAGE_RULES.iter().map(|row| row.rule).chain(BATCH_RULES)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::rules;
    use std::collections::BTreeSet;

    #[test]
    fn every_rule_has_a_name_of_its_own_and_says_what_it_protects() {
        let mut names: BTreeSet<_> = rules::ALL.iter().map(|rule| rule.name).collect();
        for rule in list_rules() {
            let kebab = rule.name.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'-');
            assert!(kebab && !rule.name.is_empty(), "{rule}");
            assert!(names.insert(rule.name), "{rule} is there twice");
            assert!(rule.about.len() > 20, "{rule}");
            assert!(!rule.about.ends_with('.'), "{rule}");
            assert!(rule.about.starts_with(char::is_lowercase), "{rule}");
        }
    }

    /// The rules of a page, each of which has a file named after it.
    #[test]
    fn every_page_rule_has_its_file() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/preflight");
        for row in PAGE_RULES {
            let file = format!("{}.rs", row.rule.name.replace('-', "_"));
            assert!(folder.join(&file).is_file(), "{file}");
        }
    }
}
