//! What a page's findings say again that composing has said already: one cause, one error.
//!
//! A block that does not fit is painted all the same, so that a preview shows where it goes. That it
//! then leaves its room or the paper, or lies over its neighbour, mends itself with it. A picture or
//! a code that cannot be painted leaves white behind.

use super::{
    blank_page, clear_edge, code_covered, ink_touches, lost_text, off_page, out_of_block, overlap,
    print_area, quiet_zone, small_address,
};
use crate::findings::{Finding, Rule, rules};
use crate::scene::Page;
use crate::source::Span;

/// The rules about where things lie.
const OF_PLACES: &[&Rule] = &[
    &off_page::RULE,
    &clear_edge::RULE,
    &print_area::RULE,
    &out_of_block::RULE,
    &overlap::RULE,
    &ink_touches::RULE,
    &code_covered::RULE,
    &quiet_zone::RULE,
    &lost_text::RULE,
];

/// Leaves out what follows from the errors that composing reported of a page.
pub(super) fn drop_consequences(page: &Page, composed: &[Finding], found: &mut Vec<Finding>) {
    if !composed.iter().any(Finding::is_error) || found.is_empty() {
        return;
    }
    let overflown = composed.iter().filter(|it| it.is(&rules::OVERFLOW) && it.is_error());
    let causes: Vec<Span> = overflown.filter_map(|finding| finding.span).collect();
    let moved = find_inside(page, &causes);
    // Where the recipient's address is missing, the sender's is the largest on the page.
    let cannot_be_set = composed.iter().any(|it| it.is(&rules::MISSING_GLYPH));
    found.retain(|finding| {
        let follows = |span: &Span| moved.contains(span);
        let mut places = finding.span.iter().chain(finding.related.iter().map(|(span, _)| span));
        let is_moved = OF_PLACES.iter().any(|rule| finding.is(rule)) && places.any(follows);
        let is_left_out = cannot_be_set && finding.is(&small_address::RULE);
        !(is_moved || is_left_out || finding.is(&blank_page::RULE))
    });
}

/// The places of blocks that do not fit, and of all inside them.
fn find_inside(page: &Page, causes: &[Span]) -> Vec<Span> {
    // A block stands behind the one around it.
    let mut inside: Vec<bool> = Vec::with_capacity(page.blocks.len());
    for block in &page.blocks {
        let parent = block.parent.and_then(|parent| inside.get(parent.0 as usize));
        inside.push(parent.copied().unwrap_or_default() || causes.contains(&block.span));
    }
    let blocks = page.blocks.iter().zip(inside);
    blocks.filter(|(_, inside)| *inside).map(|(block, _)| block.span).collect()
}
