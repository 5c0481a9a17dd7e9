//! Black in the white that a code needs around it.
//!
//! A reader finds where a code starts by the white beside it: 10 modules at both ends of a
//! Code 128 (ISO/IEC 15417), 4 all round a QR (ISO/IEC 18004). The edge of the paper breaks it as
//! black does. Half a dot is forgiven: a line moved to its dot line may come that near. What lies
//! on the symbol itself is for `code_covered`.

use std::collections::BTreeMap;

use super::edges::{WayOut, excess, way_out};
use super::limits::Rules;
use super::view::CodeOnPage;
use super::view::{View, is_black, with_article};
use crate::findings::{Rule, RuleFindings, Severity};
use crate::geom::Rect;
use crate::scene::BlockId;

/// The rule's row.
pub(super) const RULE: Rule = Rule::new(
    "quiet-zone",
    Severity::Error,
    "scanning: a reader finds a code by the white around it",
);

/// Looks around every code.
pub(super) fn check(view: &View<'_>, _rules: &Rules, findings: &mut RuleFindings) {
    for code in &view.codes {
        check_paper(view, code, findings);
        for (intruder, way) in intruders(view, code) {
            report_intruder(view, code, intruder, way, findings);
        }
    }
}

/// Reports a zone that the edge of the paper cuts; a cut symbol is for `code_off_grid`.
fn check_paper(view: &View<'_>, code: &CodeOnPage<'_>, findings: &mut RuleFindings) {
    let slop = view.dots(0.5);
    for (side, by) in excess(code.zone(view), view.paper) {
        if !by.exceeds(slop) {
            continue;
        }
        let message = format!(
            "the {} edge of the paper cuts {by} off the quiet zone of this `{}`, which needs {}",
            side.word(),
            view.name(code.block),
            code.describe_zone(view)
        );
        let hint = format!("move it {by} {}", side.back());
        findings.push(view.finding(&RULE, code.block, message).hint(hint));
    }
}

/// The blocks with black in a code's zone, each with the way it would have to move.
fn intruders(view: &View<'_>, code: &CodeOnPage<'_>) -> BTreeMap<BlockId, WayOut> {
    let slop = view.dots(0.5);
    let zone = code.zone(view);
    let mut worst: BTreeMap<BlockId, WayOut> = BTreeMap::new();
    for number in view.marks_at(zone) {
        let (mark, rect) = (&view.page.marks[number], view.boxes[number]);
        if number == code.mark || !is_black(mark) || code.symbol.intersection(rect).is_some() {
            continue;
        }
        let Some(shared) = rect.intersection(zone) else { continue };
        let way = way_out(rect, zone);
        if way.by.exceeds(slop) && !is_hidden(view, shared, number) {
            let entry = worst.entry(mark.block).or_insert(way);
            if way.by > entry.by {
                *entry = way;
            }
        }
    }
    worst
}

/// Whether white painted later hides a part of a mark.
fn is_hidden(view: &View<'_>, part: Rect, mark: usize) -> bool {
    view.is_white_over(part, mark, usize::MAX)
}

/// Reports a block in a code's zone.
fn report_intruder(
    view: &View<'_>,
    code: &CodeOnPage<'_>,
    intruder: BlockId,
    WayOut { side, by }: WayOut,
    findings: &mut RuleFindings,
) {
    let (own, name) = (view.name(code.block), view.name(intruder));
    let zone = code.describe_zone(view);
    let what = match intruder == code.block {
        true => "something of its own".to_owned(),
        false => with_article(name, own),
    };
    let message =
        format!("{what} comes {by} into the quiet zone of this `{own}`, which needs {zone}");
    let hint = format!("move the `{name}` {by} {}, or this `{own}` away from it", side.away());
    let mut finding = view.finding(&RULE, code.block, message).hint(hint);
    if let Some(block) = view.block(intruder).filter(|_| intruder != code.block) {
        finding = finding.related(block.span, format!("the `{name}` is here"));
    }
    findings.push(finding);
}

#[cfg(test)]
mod tests {
    use crate::geom::{Mm, Rect};
    use crate::geom::{QuarterTurn, Stance};
    use crate::preflight::Rules;
    use crate::preflight::sample::{
        add_block, add_fill, assert_finding, assert_quiet, block_of, code_of, fill_of, good_page,
        inspect, text_of,
    };
    use crate::scene::{BlockId, Ink};

    /// The zone of the sample's Code 128 starts 30 modules of 0.125 mm before x = 7.75 mm.
    const ZONE_START: f64 = 4.0;

    #[test]
    fn black_beside_bars_is_reported_and_black_at_the_end_of_the_zone_is_not() {
        let mut page = good_page();
        let line = fill_of(&mut page, "rule", 1);
        *line = Rect::new(Mm(3.0), Mm(85.0), Mm(1.75), Mm(5.0));
        assert_finding(
            &page,
            "error[quiet-zone]: a `rule` comes 0.75 mm into the quiet zone of this `code128`, \
             which needs 3.75 mm of white (10 modules) left and right \
             => move the `rule` 0.75 mm to the left, or this `code128` away from it",
        );
        fill_of(&mut page, "rule", 1).width = Mm(ZONE_START - 3.0 + 0.0625);
        assert_quiet(&page, "quiet-zone");
    }

    #[test]
    fn the_intruder_is_shown_too() {
        let mut page = good_page();
        text_of(&mut page, "address", 0).rect.width = Mm(75.0);
        let found = inspect(&page, &Rules::default());
        let finding = found.iter().find(|it| it.rule == "quiet-zone").unwrap();
        assert_eq!(finding.block.as_deref(), Some("qr"));
        let seller = page.blocks[2].span;
        assert_eq!(finding.related, [(seller, "the `address` is here".to_owned())]);
        assert_eq!(
            finding.message,
            "an `address` comes 2.12 mm into the quiet zone of this `qr`, which needs 2.5 mm of \
             white (4 modules) all round"
        );
    }

    #[test]
    fn black_above_bars_may_be_near_them() {
        let mut page = good_page();
        let line = fill_of(&mut page, "rule", 1);
        *line = Rect::new(Mm(8.0), Mm(81.5), Mm(50.0), Mm(0.375));
        assert_quiet(&page, "quiet-zone");
    }

    #[test]
    fn turned_bars_need_white_above_and_below() {
        let mut page = good_page();
        let code = code_of(&mut page, "code128", 0);
        code.stance = Stance::turned(QuarterTurn::Quarter);
        (code.dots.width, code.dots.height) = (136, 435);
        code.dots.y = 300;
        let lower = fill_of(&mut page, "rule", 0);
        *lower = Rect::new(Mm(8.0), Mm(92.875), Mm(10.0), Mm(0.375));
        assert_finding(
            &page,
            "error[quiet-zone]: a `rule` comes 2.75 mm into the quiet zone of this `code128`, \
             which needs 3.75 mm of white (10 modules) above and below \
             => move the `rule` 2.75 mm down, or this `code128` away from it",
        );
    }

    #[test]
    fn the_edge_of_the_paper_ends_the_zone() {
        let mut page = good_page();
        code_of(&mut page, "qr", 0).dots.y = 12;
        assert_finding(
            &page,
            "error[quiet-zone]: the upper edge of the paper cuts 1 mm off the quiet zone of this \
             `qr`, which needs 2.5 mm of white (4 modules) all round => move it 1 mm down",
        );
        code_of(&mut page, "qr", 0).dots.y = 20;
        assert_quiet(&page, "quiet-zone");
    }

    #[test]
    fn white_paper_laid_under_a_code_makes_the_zone_white_again() {
        let mut page = good_page();
        let strip = BlockId(9);
        let room = block_of(&mut page, "code128", 0).rect;
        let ground = add_block(&mut page, "box", None, room);
        add_fill(&mut page, ground, Rect { width: Mm(3.5), ..room }, Ink::Black);
        assert_finding(
            &page,
            "error[quiet-zone]: a `box` comes 3.5 mm into the quiet zone of this `code128`, \
             which needs 3.75 mm of white (10 modules) left and right \
             => move the `box` 3.5 mm to the left, or this `code128` away from it",
        );
        add_fill(&mut page, strip, Rect { width: Mm(3.5), ..room }, Ink::White);
        assert_quiet(&page, "quiet-zone");
    }
}
