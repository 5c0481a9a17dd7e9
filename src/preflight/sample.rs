//! A good label, made by hand, for the tests of the rules to spoil.
//!
//! 4×6 in at 8 dots/mm: sender and QR, the recipient, a Code 128 of 145 modules of 3 dots, the tag
//! with its position, the tally. From y = 132 mm to 143 mm it is empty.

use std::sync::{Arc, LazyLock};

use super::Rules;
use crate::codes::{Code128, Qr, QrOptions};
use crate::findings::{Finding, Subject};
use crate::fonts::{Cut, FontBook, FontId, Glyph, GlyphReach};
use crate::geom::{DotGrid, Insets, Mm, Point, Rect, Size, Stance};
use crate::scene::{
    BlockId, CodeMark, DotRect, Ink, Mark, MarkKind, Page, PlacedBlock, RunStart, Symbol,
    TallyMark, TextRun, count_letters,
};
use crate::source::{Sources, Span};

/// A font; the rules do not care which.
static FONT: LazyLock<FontId> =
    LazyLock::new(|| FontBook::builtin().fallbacks(None, Cut::Regular)[0]);

/// The height of capitals, the depth of descenders and the width of a letter, in em, near those
/// of common text faces.
const LETTER: (f64, f64, f64) = (0.714, 0.24, 0.55);

/// A place in some layout; each block has another.
pub(super) fn span(number: u32) -> Span {
    let file = Sources::new().add("label.yaml", "");
    Span { file, start: number * 10, end: number * 10 + 4 }
}

/// Gives the page a block in another, or in none.
pub(super) fn add_block(
    page: &mut Page,
    name: &'static str,
    parent: Option<BlockId>,
    rect: Rect,
) -> BlockId {
    let number = u32::try_from(page.blocks.len()).unwrap();
    let (span, layered, letters) = (span(number), false, 0);
    page.blocks.push(PlacedBlock { name, span, parent, rect, layered, letters });
    BlockId(number)
}

/// Adds a filled box.
pub(super) fn add_fill(page: &mut Page, block: BlockId, rect: Rect, ink: Ink) {
    page.marks.push(Mark { block, kind: MarkKind::Fill(rect, ink) });
}

/// Adds a line of text of some points, from a place on its baseline.
pub(super) fn add_text(page: &mut Page, block: BlockId, text: &str, points: f64, at: (f64, f64)) {
    let (capitals, descent, advance) = LETTER;
    let size = Mm::from_pt(points);
    let glyph = |cluster| Glyph { id: 1, advance_em: advance, dx_em: 0.0, dy_em: 0.0, cluster };
    let glyphs: Vec<Glyph> = (0..).zip(text.chars()).map(|(at, _)| glyph(at)).collect();
    let width = size * (advance * glyphs.len() as f64);
    let rect = Rect::new(Mm(at.0), Mm(at.1) - size * capitals, width, size * (capitals + descent));
    let run = TextRun {
        font: *FONT,
        size,
        origin: Point::new(Mm(at.0), Mm(at.1)),
        ink: Ink::Black,
        glyphs,
        text: text.to_owned(),
        rtl: false,
        begins: RunStart::Paragraph,
        reads_later: 0,
        stance: Stance::UPRIGHT,
        reach: GlyphReach { above_em: capitals, below_em: descent },
        rect,
    };
    page.marks.push(Mark { block, kind: MarkKind::Text(run) });
}

/// Adds a code whose symbol starts where `room` does; bars are as high as that.
pub(super) fn add_code(
    page: &mut Page,
    block: BlockId,
    symbol: Symbol,
    payload: &str,
    module_dots: u32,
    room: DotRect,
) {
    let DotRect { x, y, height, .. } = room;
    let across = u32::try_from(symbol.modules()).unwrap() * module_dots;
    let height = if symbol.is_bars() { height } else { across };
    let dots = DotRect { x, y, width: across, height };
    let code = CodeMark {
        symbol,
        payload: payload.to_owned(),
        module_dots,
        stance: Stance::UPRIGHT,
        dots,
        tails: 0,
        quiet: dots.to_rect(page.grid),
        reduction: 0,
    };
    page.marks.push(Mark { block, kind: MarkKind::Code(code) });
}

/// A Code 128 that says `text`.
pub(super) fn bars(text: &str) -> Symbol {
    Symbol::Code128(Arc::new(Code128::encode_text(text).unwrap()))
}

/// A QR that says `text`.
pub(super) fn square(text: &str) -> Symbol {
    Symbol::Qr(Arc::new(Qr::encode(text, &QrOptions::default()).unwrap()))
}

/// The good label, made once.
static GOOD_PAGE: LazyLock<Page> = LazyLock::new(make_page);

/// The good label, to be spoilt.
pub(super) fn good_page() -> Page {
    GOOD_PAGE.clone()
}

/// Makes the good label.
fn make_page() -> Page {
    let rect = |x, y, width, height| Rect::new(Mm(x), Mm(y), Mm(width), Mm(height));
    let mut page = Page {
        size: Size::new(Mm(101.6), Mm(152.4)),
        grid: DotGrid::DPI_203,
        clear_edge: Insets::all(Mm(3.0)),
        title: "3 · Marlow".into(),
        subject: Some(Subject { order: "ORDER-000123".into(), position: Some(3) }),
        language: None,
        blocks: Vec::new(),
        marks: Vec::new(),
    };
    let page_ref = &mut page;
    let body = add_block(page_ref, "down", None, rect(4.0, 4.0, 93.6, 144.4));
    let top = add_block(page_ref, "across", Some(body), rect(4.0, 4.0, 93.6, 22.0));
    let seller = add_block(page_ref, "address", Some(top), rect(4.0, 4.0, 68.0, 22.0));
    add_text(page_ref, seller, "Tern Hollow Pens, 4 Quay Lane", 7.0, (4.0, 6.5));
    add_text(page_ref, seller, "Port Ellery PE4 2QL", 7.0, (4.0, 9.5));
    let qr = add_block(page_ref, "qr", Some(top), rect(75.6, 4.0, 22.0, 22.0));
    let payload = "SW/L/7K3F/3-12/K4D9";
    let room = DotRect { x: 635, y: 52, width: 0, height: 0 };
    add_code(page_ref, qr, square(payload), payload, 5, room);
    add_rule(page_ref, body, 28.5);
    let buyer = add_block(page_ref, "address", Some(body), rect(4.0, 31.4, 93.6, 45.0));
    let lines = ["Ingrid Solheim", "Fjellveien 22", "5019 BERGEN", "NORWAY"];
    for (row, line) in (0_u32..).zip(lines) {
        add_text(page_ref, buyer, line, 13.0, (4.0, 38.0 + 6.0 * f64::from(row)));
    }
    add_rule(page_ref, body, 78.9);
    let strip = add_block(page_ref, "code128", Some(body), rect(4.0, 81.8, 93.6, 22.0));
    let room = DotRect { x: 62, y: 655, width: 0, height: 136 };
    add_code(page_ref, strip, bars("ORDER-000123"), "ORDER-000123", 3, room);
    add_text(page_ref, strip, "ORDER-000123", 8.0, (25.0, 102.6));
    add_rule(page_ref, body, 106.3);
    let row = add_block(page_ref, "across", Some(body), rect(4.0, 109.2, 93.6, 22.0));
    let tag = add_block(page_ref, "tag", Some(row), rect(4.0, 109.2, 68.0, 22.0));
    add_text(page_ref, tag, "Marlow", 52.0, (4.0, 125.0));
    let number = add_block(page_ref, "text", Some(row), rect(74.0, 109.2, 23.6, 22.0));
    add_text(page_ref, number, "3 of 12", 13.0, (78.0, 114.0));
    let tally = add_block(page_ref, "tally", Some(body), rect(4.0, 143.4, 93.6, 5.0));
    let cells = (0..24).map(|cell| cell % 3 != 1).collect();
    let dots = DotRect { x: 32, y: 1148, width: 720, height: 39 };
    let kind = MarkKind::Tally(TallyMark { cells, cell_dots: 30, stance: Stance::UPRIGHT, dots });
    page.marks.push(Mark { block: tally, kind });
    for id in [seller, buyer, number] {
        let runs = page.marks.iter().filter(|mark| mark.block == id);
        let letters = runs.map(|mark| match &mark.kind {
            MarkKind::Text(run) => count_letters(&run.text),
            _ => 0,
        });
        page.blocks[id.0 as usize].letters = letters.sum();
    }
    page
}

/// Adds a rule of three dots across the label.
fn add_rule(page: &mut Page, body: BlockId, y: f64) {
    let room = Rect::new(Mm(4.0), Mm(y), Mm(93.6), Mm(0.375));
    let block = add_block(page, "rule", Some(body), room);
    let line = Rect { y: page.grid.snap(Mm(y)), ..room };
    add_fill(page, block, line, Ink::Black);
}

/// The number of the `n`th mark that is `wanted` in a block of a name.
fn number_of(page: &Page, name: &str, n: usize, wanted: impl Fn(&MarkKind) -> bool) -> usize {
    let named = |mark: &Mark| page.blocks[mark.block.0 as usize].name == name;
    let numbers = page.marks.iter().enumerate().filter(|(_, it)| named(it) && wanted(&it.kind));
    numbers.map(|(number, _)| number).nth(n).unwrap()
}

/// The `n`th block of a name.
pub(super) fn block_of<'p>(page: &'p mut Page, name: &str, n: usize) -> &'p mut PlacedBlock {
    page.blocks.iter_mut().filter(|block| block.name == name).nth(n).unwrap()
}

/// The `n`th text in blocks of a name.
pub(super) fn text_of<'p>(page: &'p mut Page, name: &str, n: usize) -> &'p mut TextRun {
    let number = number_of(page, name, n, |kind| matches!(kind, MarkKind::Text(_)));
    match &mut page.marks[number].kind {
        MarkKind::Text(run) => run,
        _ => unreachable!(),
    }
}

/// The `n`th code in blocks of a name.
pub(super) fn code_of<'p>(page: &'p mut Page, name: &str, n: usize) -> &'p mut CodeMark {
    let number = number_of(page, name, n, |kind| matches!(kind, MarkKind::Code(_)));
    match &mut page.marks[number].kind {
        MarkKind::Code(code) => code,
        _ => unreachable!(),
    }
}

/// The `n`th filled box in blocks of a name.
pub(super) fn fill_of<'p>(page: &'p mut Page, name: &str, n: usize) -> &'p mut Rect {
    let number = number_of(page, name, n, |kind| matches!(kind, MarkKind::Fill(..)));
    match &mut page.marks[number].kind {
        MarkKind::Fill(rect, _) => rect,
        _ => unreachable!(),
    }
}

/// Draws the code of a block with modules of some dots, from the same corner.
pub(super) fn set_module(page: &mut Page, name: &str, module_dots: u32) {
    let code = code_of(page, name, 0);
    code.module_dots = module_dots;
    code.dots.width = u32::try_from(code.symbol.modules()).unwrap() * module_dots;
    if !code.symbol.is_bars() {
        code.dots.height = code.dots.width;
    }
}

/// What is wrong with a page, set in the fonts that are compiled in.
pub(super) fn inspect(page: &Page, rules: &Rules) -> Vec<Finding> {
    super::inspect(page, &FontBook::builtin(), rules)
}

/// Severity, rule, message and hints, for tests to compare.
pub(super) fn line(finding: &Finding) -> String {
    let (severity, rule) = (finding.severity.word(), finding.rule);
    format!("{severity}[{rule}]: {} => {}", finding.message, finding.hints.join("; "))
}

/// Asserts that a page has a finding, written as by [`line`].
#[track_caller]
pub(super) fn assert_finding(page: &Page, expected: &str) {
    let lines: Vec<String> = inspect(page, &Rules::default()).iter().map(line).collect();
    assert!(lines.iter().any(|line| line == expected), "expected {expected}\nfound {lines:#?}");
}

/// Asserts that a page has no finding of a rule.
#[track_caller]
pub(super) fn assert_quiet(page: &Page, rule: &str) {
    let found = inspect(page, &Rules::default());
    let lines: Vec<String> = found.iter().filter(|it| it.rule == rule).map(line).collect();
    assert!(lines.is_empty(), "{lines:#?}");
}

#[test]
fn the_good_page_is_good() {
    let found: Vec<String> = inspect(&good_page(), &Rules::default()).iter().map(line).collect();
    assert!(found.is_empty(), "{found:#?}");
}
