//! Faults put into the good label at random places: every one is found, and what is no fault is
//! not.

use proptest::prelude::*;

use super::sample::{add_block, add_fill, bars, good_page, line, square};
use super::{Rules, inspect};
use crate::geom::{Mm, Point, Rect};
use crate::scene::{BlockId, CodeMark, Ink, Mark, MarkKind, Page, Symbol};

/// Where and how far a fault goes: each between 0 and 1.
#[derive(Clone, Copy, Debug)]
struct Chance {
    /// Which thing is hit.
    which: f64,
    /// Which other thing, side or way.
    other: f64,
    /// How far, from hardly to widely.
    amount: f64,
    /// Where along a side.
    along: f64,
}

impl Chance {
    /// A length between two.
    fn between(self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.amount
    }
}

/// One of some things.
fn pick<T: Copy>(things: &[T], chance: f64) -> T {
    things[((chance * things.len() as f64) as usize).min(things.len() - 1)]
}

/// A class of faults.
struct Class {
    /// What is done.
    name: &'static str,
    /// Does it.
    inject: fn(&mut Page, Chance),
    /// The rules of which one at least must speak.
    found_by: &'static [&'static str],
}

/// The classes of faults.
const CLASSES: &[Class] = &[
    Class {
        name: "a block is shifted over the edge of the paper",
        inject: shift_off_page,
        // There are no dots before the first, so a tally goes to the edge at most.
        found_by: &["off-page", "code-off-grid", "quiet-zone", "clear-edge"],
    },
    Class {
        name: "a block is shifted into the clear edge",
        inject: shift_into_edge,
        found_by: &["clear-edge"],
    },
    Class { name: "a block is shifted onto another", inject: shift_onto, found_by: &["overlap"] },
    Class { name: "a block loses room", inject: narrow_block, found_by: &["out-of-block"] },
    Class { name: "a quiet zone is narrowed", inject: intrude, found_by: &["quiet-zone"] },
    Class { name: "a code is covered", inject: cover_code, found_by: &["code-covered"] },
    Class { name: "a code is put on black", inject: blacken_code, found_by: &["code-covered"] },
    Class { name: "a module is made small", inject: shrink_module, found_by: &["code-module"] },
    Class { name: "bars are cut low", inject: lower_bars, found_by: &["code-height"] },
    Class { name: "a symbol loses dots", inject: lose_dots, found_by: &["code-off-grid"] },
    Class { name: "a font is shrunk", inject: shrink_type, found_by: &["small-type"] },
    Class { name: "an address is shrunk", inject: shrink_address, found_by: &["small-address"] },
    Class { name: "a line is cut", inject: cut_line, found_by: &["lost-text"] },
    Class { name: "a text turns white", inject: whiten_text, found_by: &["invisible-text"] },
    Class { name: "a ground turns black", inject: blacken_text, found_by: &["invisible-text"] },
    Class { name: "a text is painted over", inject: cover_text, found_by: &["invisible-text"] },
    Class { name: "a line is made thin", inject: thin_line, found_by: &["thin-rule"] },
    Class { name: "a large area turns black", inject: blacken_area, found_by: &["large-black"] },
    Class { name: "a page is left empty", inject: empty_page, found_by: &["blank-page"] },
    Class { name: "a place is no number", inject: break_number, found_by: &["off-page"] },
];

/// The numbers of the blocks that have marks.
fn painted_blocks(page: &Page) -> Vec<BlockId> {
    let mut ids: Vec<BlockId> = page.marks.iter().map(|mark| mark.block).collect();
    ids.sort_unstable();
    ids.dedup();
    ids
}

/// The numbers of the marks that are `wanted`.
fn marks_of(page: &Page, wanted: impl Fn(&Mark) -> bool) -> Vec<usize> {
    let marks = page.marks.iter().enumerate();
    marks.filter(|(_, mark)| wanted(mark)).map(|(number, _)| number).collect()
}

/// Whether a mark is text.
fn is_text(mark: &Mark) -> bool {
    matches!(mark.kind, MarkKind::Text(_))
}

/// Whether a mark is a code.
fn is_code(mark: &Mark) -> bool {
    matches!(mark.kind, MarkKind::Code(_))
}

/// The box around a block's marks.
fn extent(page: &Page, id: BlockId) -> Rect {
    let own = page.marks.iter().filter(|mark| mark.block == id);
    own.map(|mark| mark.rect(page.grid)).reduce(Rect::union).unwrap()
}

/// Moves a block with its marks; what stands in dots goes to the nearest ones on the page.
fn move_block(page: &mut Page, id: BlockId, dx: f64, dy: f64) {
    let (dx, dy) = (Mm(dx), Mm(dy));
    let block = &mut page.blocks[id.0 as usize];
    block.rect = block.rect.moved(dx, dy);
    let per_mm = page.grid.per_mm();
    let shift = |dots: u32, by: Mm| (f64::from(dots) + by.0 * per_mm).round().max(0.0) as u32;
    for mark in page.marks.iter_mut().filter(|mark| mark.block == id) {
        match &mut mark.kind {
            MarkKind::Text(run) => {
                run.rect = run.rect.moved(dx, dy);
                run.origin = Point::new(run.origin.x + dx, run.origin.y + dy);
            }
            MarkKind::Fill(rect, _) => *rect = rect.moved(dx, dy),
            MarkKind::Code(code) => {
                (code.dots.x, code.dots.y) = (shift(code.dots.x, dx), shift(code.dots.y, dy));
            }
            MarkKind::Tally(tally) => {
                (tally.dots.x, tally.dots.y) = (shift(tally.dots.x, dx), shift(tally.dots.y, dy));
            }
            MarkKind::Outline(_) | MarkKind::Picture(_) | MarkKind::Foreign(_) => {}
        }
    }
}

/// How a block must move for its marks to come to a distance from one side of the page.
fn to_side(page: &Page, id: BlockId, side: f64, distance: f64) -> (f64, f64) {
    let at = extent(page, id);
    match pick(&[0, 1, 2, 3], side) {
        0 => (distance - at.x.0, 0.0),
        1 => (0.0, distance - at.y.0),
        2 => (page.size.width.0 - distance - at.right().0, 0.0),
        _ => (0.0, page.size.height.0 - distance - at.bottom().0),
    }
}

/// See [`CLASSES`].
fn shift_off_page(page: &mut Page, chance: Chance) {
    let id = pick(&painted_blocks(page), chance.which);
    let (dx, dy) = to_side(page, id, chance.other, -chance.between(0.2, 60.0));
    move_block(page, id, dx, dy);
}

/// See [`CLASSES`].
fn shift_into_edge(page: &mut Page, chance: Chance) {
    let id = pick(&painted_blocks(page), chance.which);
    let (dx, dy) = to_side(page, id, chance.other, chance.between(0.1, 2.8));
    move_block(page, id, dx, dy);
}

/// See [`CLASSES`].
fn shift_onto(page: &mut Page, chance: Chance) {
    let blocks = painted_blocks(page);
    let moved = pick(&blocks, chance.which);
    let still: Vec<BlockId> = blocks.into_iter().filter(|id| *id != moved).collect();
    let target = pick(&still, chance.other);
    let own = |id| page.marks.iter().find(|mark| mark.block == id).unwrap().rect(page.grid);
    let (from, to) = (own(moved), own(target));
    // The corners of the two meet, and go on into each other.
    let deep = |length: Mm| 0.3 + (length.0 - 0.3).max(0.0) * chance.amount;
    let dx = to.right().0 - deep(to.width.min(from.width)) - from.x.0;
    let dy = to.bottom().0 - deep(to.height.min(from.height)) - from.y.0;
    move_block(page, moved, dx, dy);
}

/// See [`CLASSES`].
fn narrow_block(page: &mut Page, chance: Chance) {
    let id = pick(&painted_blocks(page), chance.which);
    let inner = extent(page, id);
    let by = Mm(chance.between(0.2, 5.0));
    let block = &mut page.blocks[id.0 as usize];
    let outer = block.rect;
    block.rect = match pick(&[0, 1, 2, 3], chance.other) {
        0 => Rect { x: inner.x + by, width: (outer.right() - inner.x - by).max(Mm::ZERO), ..outer },
        1 => {
            Rect { y: inner.y + by, height: (outer.bottom() - inner.y - by).max(Mm::ZERO), ..outer }
        }
        2 => Rect { width: inner.right() - by - outer.x, ..outer },
        _ => Rect { height: inner.bottom() - by - outer.y, ..outer },
    };
}

/// A code of a page, and where it is.
fn pick_code(page: &Page, chance: Chance) -> (usize, CodeMark) {
    let number = pick(&marks_of(page, is_code), chance.which);
    match &page.marks[number].kind {
        MarkKind::Code(code) => (number, code.clone()),
        _ => unreachable!(),
    }
}

/// Adds a box of its own block.
fn add_box(page: &mut Page, rect: Rect, ink: Ink) {
    let block = add_block(page, "box", None, rect);
    add_fill(page, block, rect, ink);
}

/// See [`CLASSES`].
fn intrude(page: &mut Page, chance: Chance) {
    let (_, code) = pick_code(page, chance);
    let symbol = code.dots.to_rect(page.grid);
    let (modules, sides) = match code.symbol {
        Symbol::Code128(_) => (10.0, 2),
        Symbol::Qr(_) => (4.0, 4),
    };
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
fn place_on(page: &Page, code: &CodeMark, chance: Chance) -> Rect {
    let symbol = code.dots.to_rect(page.grid);
    let part = chance.between(0.1, 0.9);
    let (width, height) = (symbol.width * part, symbol.height * part);
    let x = symbol.x + (symbol.width - width) * chance.along;
    let y = symbol.y + (symbol.height - height) * chance.other;
    Rect::new(x, y, width, height)
}

/// See [`CLASSES`].
fn cover_code(page: &mut Page, chance: Chance) {
    let (_, code) = pick_code(page, chance);
    let rect = place_on(page, &code, chance);
    add_box(page, rect, if chance.along < 0.5 { Ink::Black } else { Ink::White });
}

/// See [`CLASSES`].
fn blacken_code(page: &mut Page, chance: Chance) {
    let (number, code) = pick_code(page, chance);
    let rect = place_on(page, &code, chance);
    let block = page.marks[number].block;
    page.marks.insert(number, Mark { block, kind: MarkKind::Fill(rect, Ink::Black) });
}

/// See [`CLASSES`].
fn shrink_module(page: &mut Page, chance: Chance) {
    let (number, _) = pick_code(page, chance);
    if let MarkKind::Code(code) = &mut page.marks[number].kind {
        let (most, modules) = match &code.symbol {
            Symbol::Code128(bars) => (1, bars.modules()),
            Symbol::Qr(square) => (3, square.size()),
        };
        code.module_dots = pick(&[1, 2, 3][..most], chance.amount);
        code.dots.width = u32::try_from(modules).unwrap() * code.module_dots;
        if matches!(code.symbol, Symbol::Qr(_)) {
            code.dots.height = code.dots.width;
        }
    }
}

/// See [`CLASSES`].
fn lower_bars(page: &mut Page, chance: Chance) {
    for mark in &mut page.marks {
        if let MarkKind::Code(code) = &mut mark.kind
            && matches!(code.symbol, Symbol::Code128(_))
        {
            code.dots.height = chance.between(1.0, 65.0) as u32;
        }
    }
}

/// See [`CLASSES`].
fn lose_dots(page: &mut Page, chance: Chance) {
    let (number, _) = pick_code(page, chance);
    if let MarkKind::Code(code) = &mut page.marks[number].kind {
        match chance.other < 0.5 {
            true => code.dots.width -= chance.between(1.0, 50.0) as u32,
            false => {
                // Another payload gives another number of modules.
                code.symbol = match &code.symbol {
                    Symbol::Code128(_) => bars("A"),
                    Symbol::Qr(_) => square(&"A".repeat(80)),
                }
            }
        }
    }
}

/// See [`CLASSES`].
fn shrink_type(page: &mut Page, chance: Chance) {
    let number = pick(&marks_of(page, is_text), chance.which);
    if let MarkKind::Text(run) = &mut page.marks[number].kind {
        run.size = Mm::from_pt(chance.between(0.5, 5.99));
    }
}

/// See [`CLASSES`].
fn shrink_address(page: &mut Page, chance: Chance) {
    let size = Mm::from_pt(chance.between(6.01, 7.99));
    for mark in &mut page.marks {
        if let MarkKind::Text(run) = &mut mark.kind
            && run.size == Mm::from_pt(13.0)
        {
            run.size = size;
        }
    }
}

/// See [`CLASSES`].
fn cut_line(page: &mut Page, chance: Chance) {
    let counted = |mark: &Mark| is_text(mark) && page.blocks[mark.block.0 as usize].letters > 0;
    let number = pick(&marks_of(page, counted), chance.which);
    if let MarkKind::Text(run) = &mut page.marks[number].kind {
        let kept = (run.text.chars().count() as f64 * chance.along) as usize;
        run.text = run.text.chars().take(kept).collect();
    }
}

/// See [`CLASSES`].
fn whiten_text(page: &mut Page, chance: Chance) {
    let number = pick(&marks_of(page, is_text), chance.which);
    if let MarkKind::Text(run) = &mut page.marks[number].kind {
        run.ink = Ink::White;
    }
}

/// The part of a text's box that a fault hits, from three tenths to all of its width.
fn part_of_text(page: &Page, number: usize, chance: Chance) -> Rect {
    let text = page.marks[number].rect(page.grid);
    let width = text.width * chance.between(0.3, 1.0);
    Rect { x: text.x + (text.width - width) * chance.along, width, ..text }
}

/// See [`CLASSES`].
fn blacken_text(page: &mut Page, chance: Chance) {
    let number = pick(&marks_of(page, is_text), chance.which);
    let rect = part_of_text(page, number, chance);
    let block = page.marks[number].block;
    page.marks.insert(number, Mark { block, kind: MarkKind::Fill(rect, Ink::Black) });
}

/// See [`CLASSES`].
fn cover_text(page: &mut Page, chance: Chance) {
    let number = pick(&marks_of(page, is_text), chance.which);
    let rect = part_of_text(page, number, chance);
    add_box(page, rect, if chance.other < 0.5 { Ink::Black } else { Ink::White });
}

/// See [`CLASSES`].
fn thin_line(page: &mut Page, chance: Chance) {
    let lines = marks_of(page, |mark| matches!(mark.kind, MarkKind::Fill(..)));
    let number = pick(&lines, chance.which);
    let thickness = page.grid.length(chance.between(0.0, 1.99));
    if let MarkKind::Fill(rect, _) = &mut page.marks[number].kind {
        rect.height = thickness;
    }
}

/// See [`CLASSES`].
fn blacken_area(page: &mut Page, chance: Chance) {
    let width = chance.between(40.0, 90.0);
    // A tenth of the page is 1548.4 mm².
    let height = 1560.0 / width + 20.0 * chance.other;
    let rect = Rect::new(Mm(4.0), Mm(4.0 + 60.0 * chance.along), Mm(width), Mm(height));
    add_box(page, rect, Ink::Black);
}

/// See [`CLASSES`].
fn empty_page(page: &mut Page, _chance: Chance) {
    page.marks.clear();
}

/// See [`CLASSES`].
fn break_number(page: &mut Page, chance: Chance) {
    let broken = pick(&[f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX], chance.other);
    let number = pick(&marks_of(page, |mark| !is_code(mark)), chance.which);
    match &mut page.marks[number].kind {
        MarkKind::Text(run) => run.rect.x = Mm(broken),
        MarkKind::Fill(rect, _) => rect.width = Mm(broken),
        MarkKind::Tally(tally) => tally.dots.y = u32::MAX,
        _ => {}
    }
}

/// Any chance.
fn chances() -> impl Strategy<Value = Chance> {
    let unit = || 0.0..1.0;
    (unit(), unit(), unit(), unit()).prop_map(|(which, other, amount, along)| Chance {
        which,
        other,
        amount,
        along,
    })
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 200,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// Each class is tried in every case, so that none is left to luck.
    #[test]
    fn every_fault_is_found(chance in chances()) {
        for class in CLASSES {
            let mut page = good_page();
            (class.inject)(&mut page, chance);
            let found = inspect(&page, &Rules::default());
            let seen = found.iter().any(|it| class.found_by.contains(&it.rule));
            let lines: Vec<String> = found.iter().map(line).collect();
            prop_assert!(seen, "{}: {lines:#?}", class.name);
        }
    }

    /// Blocks that are moved by less than half a dot, as rounding to the grid moves them.
    #[test]
    fn what_is_no_fault_is_not_reported(
        shifts in prop::collection::vec((-0.06..0.06, -0.06..0.06), 16),
    ) {
        let mut page = good_page();
        for (id, (dx, dy)) in painted_blocks(&page).into_iter().zip(shifts) {
            move_block(&mut page, id, dx, dy);
        }
        let lines: Vec<String> = inspect(&page, &Rules::default()).iter().map(line).collect();
        prop_assert!(lines.is_empty(), "{lines:#?}");
    }

    /// Findings name a block, its place and the parcel, and show a way out.
    #[test]
    fn every_finding_says_where_and_what_to_do(chance in chances()) {
        for class in CLASSES.iter().filter(|class| class.name != "a page is left empty") {
            let mut page = good_page();
            (class.inject)(&mut page, chance);
            for finding in inspect(&page, &Rules::default()) {
                prop_assert!(finding.block.is_some() && finding.span.is_some(), "{finding:?}");
                prop_assert!(finding.subject.is_some(), "{finding:?}");
                prop_assert_eq!(finding.hints.len(), 1);
                prop_assert!(!finding.message.ends_with('.'), "{}", finding.message);
            }
        }
    }

    /// Whatever the numbers of a page are, there is an end and no panic.
    #[test]
    fn absurd_pages_do_no_harm(
        numbers in prop::collection::vec(absurd_numbers(), 60),
        ids in prop::collection::vec(prop_oneof![0..20_u32, any::<u32>()], 40),
    ) {
        let mut page = good_page();
        let mut numbers = numbers.into_iter().map(Mm).cycle();
        let mut ids = ids.into_iter().map(BlockId).cycle();
        let mut rect = || {
            let mut next = || numbers.next().unwrap_or_default();
            Rect::new(next(), next(), next(), next())
        };
        for block in &mut page.blocks {
            block.rect = rect();
            block.parent = ids.next();
        }
        for mark in &mut page.marks {
            mark.block = ids.next().unwrap_or(mark.block);
            match &mut mark.kind {
                MarkKind::Text(run) => {
                    run.rect = rect();
                    (run.origin, run.size) = (run.rect.origin(), run.rect.width);
                }
                MarkKind::Fill(fill, _) => *fill = rect(),
                MarkKind::Code(code) => {
                    let any = rect();
                    code.dots.x = any.x.0 as u32;
                    code.dots.height = any.y.0 as u32;
                    code.module_dots = any.width.0 as u32;
                }
                _ => {}
            }
        }
        let _ = inspect(&page, &Rules::default());
    }
}

/// Numbers that no page has, and some that one may have.
fn absurd_numbers() -> impl Strategy<Value = f64> {
    prop_oneof![
        Just(f64::NAN),
        Just(f64::INFINITY),
        Just(f64::NEG_INFINITY),
        Just(f64::MAX),
        Just(f64::MIN),
        Just(0.0),
        -10.0..200.0,
    ]
}
