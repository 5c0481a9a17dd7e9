//! Codes with something painted on them, or lying on something black.
//!
//! Readers expect black on white, and a code is drawn as black alone: on a black ground it is
//! lost. White boxes between a black ground and the code make it readable again.

use std::collections::BTreeMap;

use super::edges::{WayOut, way_out};
use super::limits::Rules;
use super::view::CodeOnPage;
use super::view::{View, is_black, is_content, with_article};
use crate::findings::{Rule, RuleFindings, Severity};
use crate::scene::{BlockId, Ink, Mark, MarkKind};

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "code-covered",
    Severity::Error,
    "scanning: a code can be read only black on white and uncovered",
);

/// What is wrong between a code and another block.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum CoverFault {
    /// The block is black under the code.
    Under,
    /// Another PDF's page lies under the code; where it is black nobody knows.
    Unknown,
    /// The block is painted over the code.
    Over,
}

/// Looks under and over every code.
pub(super) fn check(view: &View<'_>, _rules: &Rules, findings: &mut RuleFindings) {
    for code in &view.codes {
        for ((block, fault), way) in faults(view, code) {
            report(view, code, block, fault, way, findings);
        }
    }
}

/// The blocks that share area with a code's symbol, with the way each would have to move.
fn faults(view: &View<'_>, code: &CodeOnPage<'_>) -> BTreeMap<(BlockId, CoverFault), WayOut> {
    let slop = view.dots(0.5);
    let mut worst: BTreeMap<(BlockId, CoverFault), WayOut> = BTreeMap::new();
    for number in view.marks_at(code.symbol) {
        let (mark, rect) = (&view.page.marks[number], view.boxes[number]);
        let Some(shared) = rect.intersection(code.symbol) else { continue };
        let fault = match number.cmp(&code.mark) {
            std::cmp::Ordering::Equal => continue,
            std::cmp::Ordering::Less if !is_black(mark) => continue,
            std::cmp::Ordering::Less if view.is_white_over(shared, number, code.mark) => continue,
            std::cmp::Ordering::Less if is_foreign(mark) => CoverFault::Unknown,
            std::cmp::Ordering::Less => CoverFault::Under,
            std::cmp::Ordering::Greater if is_content(mark) || is_white_box(mark) => {
                CoverFault::Over
            }
            std::cmp::Ordering::Greater => continue,
        };
        let way = way_out(rect, code.symbol);
        if way.by.exceeds(slop) {
            let entry = worst.entry((mark.block, fault)).or_insert(way);
            if way.by > entry.by {
                *entry = way;
            }
        }
    }
    worst
}

/// Whether a mark is a page of another PDF.
fn is_foreign(mark: &Mark) -> bool {
    matches!(mark.kind, MarkKind::Foreign(_))
}

/// Whether it is a filled box that leaves the paper white.
fn is_white_box(mark: &Mark) -> bool {
    matches!(mark.kind, MarkKind::Fill(_, Ink::White))
}

/// Reports a block under or over a code.
fn report(
    view: &View<'_>,
    code: &CodeOnPage<'_>,
    block: BlockId,
    fault: CoverFault,
    WayOut { side, by }: WayOut,
    findings: &mut RuleFindings,
) {
    let (own, name) = (view.name(code.block), view.name(block));
    let what = match block == code.block {
        true => "something of its own".to_owned(),
        false => with_article(name, own),
    };
    let (message, hint) = match fault {
        CoverFault::Under => (
            format!("this `{own}` lies on {what} that is black there, readers expect white"),
            format!("take `ink: reversed` off the `{name}`, or move this `{own}` off it by {by}"),
        ),
        CoverFault::Unknown => (
            format!("this `{own}` lies on {what} that may be black there, readers expect white"),
            format!("move this `{own}` off it by {by}, or show less of the page with `part`"),
        ),
        CoverFault::Over => (
            format!("{what} is painted over this `{own}`, up to {by} deep"),
            format!("move the `{name}` {by} {}", side.away()),
        ),
    };
    let mut finding = view.finding(&RULE, code.block, message).hint(hint);
    if let Some(other) = view.block(block).filter(|_| block != code.block) {
        finding = finding.related(other.span, format!("the `{name}` is here"));
    }
    findings.push(finding);
}

#[cfg(test)]
mod tests {
    use crate::geom::{Mm, Rect};
    use crate::preflight::sample::{
        add_block, add_fill, assert_finding, assert_quiet, block_of, good_page, text_of,
    };
    use crate::scene::{Ink, Mark, MarkKind, Page};

    /// The sample with a box under its QR, painted first.
    fn with_ground(ink: Ink) -> Page {
        let mut page = good_page();
        let room = block_of(&mut page, "qr", 0).rect;
        let ground = add_block(&mut page, "box", None, room);
        page.marks.insert(0, Mark { block: ground, kind: MarkKind::Fill(room, ink) });
        page
    }

    #[test]
    fn a_code_on_black_is_reported_and_one_on_white_is_not() {
        assert_finding(
            &with_ground(Ink::Black),
            "error[code-covered]: this `qr` lies on a `box` that is black there, readers expect \
             white => take `ink: reversed` off the `box`, or move this `qr` off it by 15.62 mm",
        );
        assert_quiet(&with_ground(Ink::White), "code-covered");
        let mut page = with_ground(Ink::Black);
        let white = page.marks[0].clone();
        let room = white.rect(page.grid);
        page.marks.insert(1, Mark { kind: MarkKind::Fill(room, Ink::White), ..white });
        assert_quiet(&page, "code-covered");
    }

    #[test]
    fn a_text_over_bars_is_reported_and_one_that_ends_before_them_is_not() {
        let mut page = good_page();
        // The bars end at dot 791, which is 98.875 mm.
        text_of(&mut page, "code128", 0).rect.y = Mm(98.5);
        assert_finding(
            &page,
            "error[code-covered]: something of its own is painted over this `code128`, up to \
             0.38 mm deep => move the `code128` 0.38 mm down",
        );
        text_of(&mut page, "code128", 0).rect.y = Mm(98.875 - 0.0625);
        assert_quiet(&page, "code-covered");
    }

    #[test]
    fn white_over_a_code_hides_it() {
        let mut page = good_page();
        let place = Rect::new(Mm(10.0), Mm(80.0), Mm(3.0), Mm(3.0));
        let block = add_block(&mut page, "box", None, place);
        add_fill(&mut page, block, place, Ink::White);
        assert_finding(
            &page,
            "error[code-covered]: a `box` is painted over this `code128`, up to 1.12 mm deep \
             => move the `box` 1.12 mm up",
        );
    }
}
