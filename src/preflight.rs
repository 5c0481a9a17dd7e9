//! Rules about finished pages: what would be cut off, run together, not scan or not be read.
//!
//! In: a [`Page`] of the scene with its fonts, and [`Rules`], the numbers to hold; for what only shows across
//! pages, the [`PageFacts`] of each page of a batch. Out: findings, each with the block, its place
//! in the layout, the parcel, the millimetres and a way out. Each rule has a file and a row in
//! the table behind [`list_rules`]. Not here: mending anything, what composing already reports (a text that does not
//! fit, a missing glyph), and whether a code really decodes (`verify`).
//!
//! A page is looked at through a `View`, which knows the box of every mark and finds
//! the marks near a place without walking through all of them.

mod batch;
mod blank_page;
mod clear_edge;
mod code_covered;
mod code_height;
mod code_letters;
mod code_module;
mod code_off_grid;
mod consequences;
mod dead_column;
mod edges;
mod ink_profile;
mod ink_touches;
mod invisible_text;
mod large_black;
mod limits;
mod lost_text;
mod off_page;
mod out_of_block;
mod overlap;
mod print_area;
mod quiet_zone;
#[cfg(test)]
mod sample;
#[cfg(test)]
mod seeded_faults;
mod small_address;
mod small_type;
mod table;
mod thin_rule;
mod view;

pub(crate) use batch::rules::DUPLICATE_TAG;
pub use batch::{BatchCheck, PageFacts, PageNumber, inspect_batch};
pub use limits::{ModuleLimits, Rules};
pub(crate) use out_of_block::RULE as OUT_OF_BLOCK;
pub use table::list_rules;

use crate::findings::{Finding, RuleFindings};
use crate::fonts::FontBook;
use crate::scene::Page;
use table::PAGE_RULES;
use view::View;

/// What of a whole sheet its printer cannot print; its pages are judged one by one.
#[must_use]
pub fn inspect_sheet(sheet: &Page, book: &FontBook, rules: &Rules) -> Vec<Finding> {
    let mut findings = RuleFindings::new(rules.most_findings);
    print_area::check(&View::of(sheet, book), rules, &mut findings);
    findings.finish(&print_area::RULE, sheet.subject.as_ref())
}

/// As [`inspect`], without what follows from the errors that composing reported of the page.
#[must_use]
pub(crate) fn inspect_composed(
    page: &Page,
    book: &FontBook,
    rules: &Rules,
    composed: &[Finding],
) -> Vec<Finding> {
    let mut found = inspect(page, book, rules);
    consequences::drop_consequences(page, composed, &mut found);
    found
}

/// Everything that is wrong with one page set in the fonts of a book, in the order of [`list_rules`].
#[must_use]
pub fn inspect(page: &Page, book: &FontBook, rules: &Rules) -> Vec<Finding> {
    let view = View::of(page, book);
    let mut all = Vec::new();
    for row in PAGE_RULES {
        let mut findings = RuleFindings::new(rules.most_findings);
        (row.check)(&view, rules, &mut findings);
        all.extend(findings.finish(row.rule, page.subject.as_ref()));
    }
    all
}
