//! Faults of texts, lines and areas, and of whole pages.

use super::chance::{Chance, add_box, is_code, is_text, marks_of, pick};
use crate::geom::{Mm, Rect};
use crate::scene::{Ink, Mark, MarkKind, Page};

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn shrink_type(page: &mut Page, chance: Chance) {
    let number = pick(&marks_of(page, is_text), chance.which);
    if let MarkKind::Text(run) = &mut page.marks[number].kind {
        run.size = Mm::from_pt(chance.between(0.5, 5.99));
    }
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn shrink_address(page: &mut Page, chance: Chance) {
    let size = Mm::from_pt(chance.between(6.01, 7.99));
    for mark in &mut page.marks {
        if let MarkKind::Text(run) = &mut mark.kind
            && run.size == Mm::from_pt(13.0)
        {
            run.size = size;
        }
    }
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn cut_line(page: &mut Page, chance: Chance) {
    let counted = |mark: &Mark| is_text(mark) && page.blocks[mark.block.0 as usize].letters > 0;
    let number = pick(&marks_of(page, counted), chance.which);
    if let MarkKind::Text(run) = &mut page.marks[number].kind {
        let kept = (run.text.chars().count() as f64 * chance.along) as usize;
        run.text = run.text.chars().take(kept).collect();
    }
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn whiten_text(page: &mut Page, chance: Chance) {
    let number = pick(&marks_of(page, is_text), chance.which);
    if let MarkKind::Text(run) = &mut page.marks[number].kind {
        run.ink = Ink::White;
    }
}

/// The part of a text's box that a fault hits, from three tenths to all of its width.
pub(super) fn part_of_text(page: &Page, number: usize, chance: Chance) -> Rect {
    let text = page.marks[number].rect(page.grid);
    let width = text.width * chance.between(0.3, 1.0);
    Rect { x: text.x + (text.width - width) * chance.along, width, ..text }
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn blacken_text(page: &mut Page, chance: Chance) {
    let number = pick(&marks_of(page, is_text), chance.which);
    let rect = part_of_text(page, number, chance);
    let block = page.marks[number].block;
    page.marks.insert(number, Mark { block, kind: MarkKind::Fill(rect, Ink::Black) });
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn cover_text(page: &mut Page, chance: Chance) {
    let number = pick(&marks_of(page, is_text), chance.which);
    let rect = part_of_text(page, number, chance);
    add_box(page, rect, if chance.other < 0.5 { Ink::Black } else { Ink::White });
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn thin_line(page: &mut Page, chance: Chance) {
    let lines = marks_of(page, |mark| matches!(mark.kind, MarkKind::Fill(..)));
    let number = pick(&lines, chance.which);
    let thickness = page.grid.length(chance.between(0.0, 1.99));
    if let MarkKind::Fill(rect, _) = &mut page.marks[number].kind {
        rect.height = thickness;
    }
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn blacken_area(page: &mut Page, chance: Chance) {
    let width = chance.between(40.0, 90.0);
    // A tenth of the page is 1548.4 mm².
    let height = 1560.0 / width + 20.0 * chance.other;
    let rect = Rect::new(Mm(4.0), Mm(4.0 + 60.0 * chance.along), Mm(width), Mm(height));
    add_box(page, rect, Ink::Black);
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn empty_page(page: &mut Page, _chance: Chance) {
    page.marks.clear();
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn break_number(page: &mut Page, chance: Chance) {
    let broken = pick(&[f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX], chance.other);
    let number = pick(&marks_of(page, |mark| !is_code(mark)), chance.which);
    match &mut page.marks[number].kind {
        MarkKind::Text(run) => run.rect.x = Mm(broken),
        MarkKind::Fill(rect, _) => rect.width = Mm(broken),
        MarkKind::Tally(tally) => tally.dots.y = u32::MAX,
        _ => {}
    }
}
