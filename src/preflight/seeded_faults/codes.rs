//! Faults of codes and of the white around them.

use super::super::sample::{bars, square};
use super::chance::{Chance, add_box, is_code, marks_of, pick};
use crate::geom::{Mm, Rect};
use crate::scene::{CodeMark, Ink, Mark, MarkKind, Page};

/// A code of a page, and where it is.
pub(super) fn pick_code(page: &Page, chance: Chance) -> (usize, CodeMark) {
    let number = pick(&marks_of(page, is_code), chance.which);
    match &page.marks[number].kind {
        MarkKind::Code(code) => (number, code.clone()),
        _ => unreachable!(),
    }
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn intrude(page: &mut Page, chance: Chance) {
    let (_, code) = pick_code(page, chance);
    let symbol = code.dots.to_rect(page.grid);
    let (modules, sides) = if code.symbol.is_bars() { (10.0, 2) } else { (4.0, 4) };
    let zone = page.grid.length(f64::from(code.module_dots) * modules);
    // From the outer end of the zone inwards, by a part of it; the box itself is 1 mm wide.
    let deep = Mm(0.1) + (zone - Mm(0.11)) * chance.amount;
    let x = symbol.x + (symbol.width - Mm(1.0)) * chance.along;
    let y = symbol.y + (symbol.height - Mm(1.0)) * chance.along;
    let one = Mm(1.0);
    let rect = match pick(&[0, 1, 2, 3][..sides], chance.other) {
        0 => Rect::new(symbol.x - zone + deep - one, y, one, one),
        1 => Rect::new(symbol.right() + zone - deep, y, one, one),
        2 => Rect::new(x, symbol.y - zone + deep - one, one, one),
        _ => Rect::new(x, symbol.bottom() + zone - deep, one, one),
    };
    add_box(page, rect, Ink::Black);
}

/// A place on a code, from a speck to most of it.
pub(super) fn place_on(page: &Page, code: &CodeMark, chance: Chance) -> Rect {
    let symbol = code.dots.to_rect(page.grid);
    let part = chance.between(0.1, 0.9);
    let (width, height) = (symbol.width * part, symbol.height * part);
    let x = symbol.x + (symbol.width - width) * chance.along;
    let y = symbol.y + (symbol.height - height) * chance.other;
    Rect::new(x, y, width, height)
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn cover_code(page: &mut Page, chance: Chance) {
    let (_, code) = pick_code(page, chance);
    let rect = place_on(page, &code, chance);
    add_box(page, rect, if chance.along < 0.5 { Ink::Black } else { Ink::White });
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn blacken_code(page: &mut Page, chance: Chance) {
    let (number, code) = pick_code(page, chance);
    let rect = place_on(page, &code, chance);
    let block = page.marks[number].block;
    page.marks.insert(number, Mark { block, kind: MarkKind::Fill(rect, Ink::Black) });
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn shrink_module(page: &mut Page, chance: Chance) {
    let (number, _) = pick_code(page, chance);
    if let MarkKind::Code(code) = &mut page.marks[number].kind {
        let most = if code.symbol.is_bars() { 1 } else { 3 };
        code.module_dots = pick(&[1, 2, 3][..most], chance.amount);
        code.dots.width = u32::try_from(code.symbol.modules()).unwrap() * code.module_dots;
        if !code.symbol.is_bars() {
            code.dots.height = code.dots.width;
        }
    }
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn lower_bars(page: &mut Page, chance: Chance) {
    for mark in &mut page.marks {
        if let MarkKind::Code(code) = &mut mark.kind
            && code.symbol.is_bars()
        {
            code.dots.height = chance.between(1.0, 65.0) as u32;
        }
    }
}

/// See [`CLASSES`](super::classes::CLASSES).
pub(super) fn lose_dots(page: &mut Page, chance: Chance) {
    let (number, _) = pick_code(page, chance);
    if let MarkKind::Code(code) = &mut page.marks[number].kind {
        match chance.other < 0.5 {
            true => code.dots.width -= chance.between(1.0, 50.0) as u32,
            false => {
                // Another payload gives another number of modules.
                code.symbol = match code.symbol.is_bars() {
                    true => bars("A"),
                    false => square(&"A".repeat(80)),
                }
            }
        }
    }
}
