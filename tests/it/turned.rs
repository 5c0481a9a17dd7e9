//! Blocks and pages that are turned or mirrored: the same dots as upright, brought to where they stand,
//! in our raster, in the PDF as hayro draws it, and in the SVG as resvg draws it.

use std::sync::Arc;

use resvg::{tiny_skia, usvg};
use slipwright::export::{Bitmap, rasterise};
use slipwright::geom::{FillRule, Point, QuarterTurn, Rect, Stance};
use slipwright::images::{BitImage, Raster};
use slipwright::scene::{Ink, Mark, MarkKind, Outline, OutlineUse, PictureMark};
use slipwright::verify::{Reading, prove_page};
use slipwright::{DotGrid, FontBook, Mm, Page, SvgOptions, render_svg};

use crate::export_support::gear;
use crate::rasters::draw;
use crate::sample_pages::{layout_of, pages_of, print_batch, sample_batch};

/// All ways to stand, with how a layout writes them.
const STANCES: [(Stance, &str); 8] = {
    const fn stance(turn: QuarterTurn, mirrored: bool) -> Stance {
        Stance { turn, mirrored }
    }
    [
        (stance(QuarterTurn::None, false), "turn: none"),
        (stance(QuarterTurn::Quarter, false), "turn: quarter"),
        (stance(QuarterTurn::Half, false), "turn: half"),
        (stance(QuarterTurn::ThreeQuarter, false), "turn: three-quarter"),
        (stance(QuarterTurn::None, true), "mirror: true"),
        (stance(QuarterTurn::Quarter, true), "{turn: quarter, mirror: true}"),
        (stance(QuarterTurn::Half, true), "{turn: half, mirror: true}"),
        (stance(QuarterTurn::ThreeQuarter, true), "{turn: three-quarter, mirror: true}"),
    ]
};

/// Blocks of every kind that paints something, for a box of 74 by 54 mm.
const BLOCKS: &str = "
  down:
    - text: \"{{ parcel.id }}: Füllhalter, 3 × à 12 €\"
    - across:
        - code128: \"{{ parcel.id }}\"
          caption: below
          height: 13
        - qr: \"{{ pair.label }}\"
          width: 15
          height: 15
      gap: 1
    - across:
        - ean: \"4512345678906\"
          width: 45
          height: 13
        - data_matrix: PEN-7
          width: 8
      gap: 2
    - tally: pair
      width: 74
    - across:
        - box: 3dots
          width: 5
          height: 5
        - text: reversed
          ink: reversed
          inset: 1
          border: 2dots
        - box: 3dots
          stroke: dashed
          round: 1.5
          width: 9
        - text: round
          ink: reversed
          round: 1
          inset: 1
      gap: 2
    - rule: 3dots
";

/// The settings of a stance on lines of their own, so far to the right.
fn settings(written: &str, indent: &str) -> String {
    let inner = written.trim_start_matches('{').trim_end_matches('}');
    inner.split(", ").map(|setting| format!("{indent}{setting}\n")).collect()
}

/// The first page of the sample in a layout.
fn page_of(layout: &str) -> Page {
    let (batch, shop) = sample_batch();
    let layout = layout_of(layout);
    pages_of(&batch, &shop, &layout, Some(DotGrid::DPI_203)).swap_remove(0)
}

/// A page of blocks that stands so on its paper.
fn turned_page(stance: Stance, written: &str) -> Page {
    // 80 by 60 mm are whole dots.
    let stock = if stance.is_lying() { "60x80mm" } else { "80x60mm" };
    page_of(&format!(
        "page:\n  stock: {stock}\n  inset: 3\n{}makes: label\nbody:{BLOCKS}",
        settings(written, "  ")
    ))
}

/// Dots of the two that differ, of the second as it stands upright.
fn count_differing(upright: &Bitmap, turned: &Bitmap, stance: Stance) -> usize {
    let whole = [upright.width(), upright.height()];
    let differs = |(x, y): (u32, u32)| {
        let [column, row, ..] = stance.place_box([x, y, 1, 1], whole);
        upright.get(x, y) != turned.get(column, row)
    };
    let dots = (0..whole[1]).flat_map(|y| (0..whole[0]).map(move |x| (x, y)));
    dots.filter(|dot| differs(*dot)).count()
}

#[test]
fn a_turned_page_is_the_upright_page_dot_by_dot() {
    let book = FontBook::builtin();
    let upright = rasterise(&turned_page(Stance::UPRIGHT, "turn: none"), &book);
    for (stance, written) in STANCES {
        let page = turned_page(stance, written);
        let turned = rasterise(&page, &book);
        let size = [turned.width(), turned.height()];
        assert_eq!(size, if stance.is_lying() { [480, 640] } else { [640, 480] });
        // Of a letter's edge that runs through the middle of a dot, either side may get the dot.
        let differing = count_differing(&upright, &turned, stance);
        assert!(differing < 60, "{written}: {differing}");
    }
}

/// Puts a picture and an outline that stand so on a page, where nothing else is.
fn add_art(page: &mut Page, stance: Stance) {
    let lying = stance.is_lying();
    let size = if lying { [Mm(4.0), Mm(6.0)] } else { [Mm(6.0), Mm(4.0)] };
    let mut bits = BitImage::white(48, 32);
    for (x, y) in (0..32).flat_map(|y| (0..48).map(move |x| (x, y))) {
        if x / 3 > y / 2 || (x < 9 && y < 6) {
            bits.rows[y * bits.stride + x / 8] |= 0x80 >> (x % 8);
        }
    }
    let rect = Rect::new(Mm(52.0), Mm(52.0), size[0], size[1]);
    let picture = PictureMark { raster: Arc::new(Raster::Bits(bits)), stance, rect };
    // An outline with a corner of its own at each side, around the corner that it is turned about.
    let [x, y, ..] = stance.place_box([Mm::ZERO; 4], [Mm(4.0), Mm(3.0)]);
    let rect = Rect::new(Mm(46.0), Mm(54.0), Mm(4.0), Mm(3.0));
    let outline = Outline {
        segments: gear(9),
        offset: Point::new(rect.x + x, rect.y + y),
        scale: 0.03,
        rule: FillRule::EvenOdd,
        ink: Ink::Black,
        stance,
        rect,
        part_of: OutlineUse::Picture,
    };
    let block = page.marks[0].block;
    page.marks.push(Mark { block, kind: MarkKind::Picture(picture) });
    page.marks.push(Mark { block, kind: MarkKind::Outline(outline) });
}

/// How many dots of a page are not those that another program draws.
fn count_strange(ours: &Bitmap, theirs: impl Fn(u32, u32) -> bool) -> usize {
    let dots = (0..ours.height()).flat_map(|y| (0..ours.width()).map(move |x| (x, y)));
    dots.filter(|&(x, y)| ours.get(x, y) != theirs(x, y)).count()
}

#[test]
fn pdf_and_svg_show_turned_pages_as_the_raster_does() {
    let book = FontBook::builtin();
    let strange = |page: &Page| {
        let ours = rasterise(page, &book);
        let drawn = draw(std::slice::from_ref(page)).swap_remove(0);
        // hayro leaves out a last row that is not whole by its own reckoning.
        let is_black = |x: u32, y: u32| {
            let at = y as usize * drawn.width + x as usize;
            drawn.black.get(at).copied().unwrap_or(false)
        };
        let pdf = count_strange(&ours, is_black);
        let svg = render_svg(page, &book, &SvgOptions::default());
        let tree = usvg::Tree::from_str(&svg, &usvg::Options::default()).unwrap();
        let mut pixmap = tiny_skia::Pixmap::new(ours.width(), ours.height()).unwrap();
        pixmap.fill(tiny_skia::Color::WHITE);
        let scale = ours.width() as f32 / tree.size().width();
        let view = tiny_skia::Transform::from_scale(scale, scale);
        resvg::render(&tree, view, &mut pixmap.as_mut());
        let svg = count_strange(&ours, |x, y| pixmap.pixel(x, y).unwrap().red() < 128);
        (pdf, svg, count_strange(&ours, |_, _| false))
    };
    for (stance, written) in STANCES {
        let mut page = turned_page(stance, written);
        add_art(&mut page, stance);
        let (pdf, svg, ink) = strange(&page);
        // The edges of letters may fall either way, upright as turned.
        assert!(pdf * 100 < ink * 3, "{written}: PDF {pdf} of {ink}");
        assert!(svg * 100 < ink * 3, "{written}: SVG {svg} of {ink}");
    }
}

#[test]
fn codes_stay_on_whole_dots_in_every_turn_and_read_back() {
    let book = FontBook::builtin();
    for (stance, written) in STANCES {
        // As a block, somewhere on the page where nothing is on a dot by itself.
        let size = if stance.is_lying() { (54.3, 74.3) } else { (74.3, 54.3) };
        let page = page_of(&format!(
            "page: {{stock: 101.6x152.4mm, inset: 5.33}}\nmakes: label\nbody:\n  over:\n    - down:{}\n\
             {}      at: [3.71, 7.77]\n      width: {}\n      height: {}\n",
            BLOCKS.replace("\n  down:", "").replace('\n', "\n      ").trim_end_matches(' '),
            settings(written, "      "),
            size.0,
            size.1,
        ));
        let (proven, findings) = prove_page(&page, &book, 0);
        assert!(findings.is_empty(), "{written}: {findings:?}");
        assert_eq!(proven.len(), 4, "{written}");
        for code in proven {
            assert_eq!(code.reading, Reading::Same, "{written}: {}", code.name);
            assert!((code.value - 1.0).abs() < 1e-9, "{written}: {} {}", code.name, code.value);
        }
        let stances = page.marks.iter().filter_map(|mark| match &mark.kind {
            MarkKind::Code(code) => Some(code.stance),
            _ => None,
        });
        assert!(stances.into_iter().all(|it| it == stance), "{written}");
    }
}

/// Half of a card is turned so that it stands upright once the card is folded; what is turned inside
/// something turned stands upright again.
#[test]
fn turns_add_up() {
    let page = page_of(
        "page: {stock: 80x60mm, inset: 3}\nmakes: label\nbody:\n  down:\n    \
         - text: twice\n      turn: half\n    - text: once\n  turn: half\n",
    );
    let stances: Vec<Stance> = page
        .marks
        .iter()
        .filter_map(|mark| match &mark.kind {
            MarkKind::Text(run) => Some(run.stance),
            _ => None,
        })
        .collect();
    assert_eq!(stances, [Stance::UPRIGHT, Stance::turned(QuarterTurn::Half)]);
}

/// A turned block takes the room that it shows, and asks for as much as its text is long.
#[test]
fn a_lying_text_is_as_high_as_it_is_long() {
    let block = |turn: &str| {
        let page = page_of(&format!(
            "page: {{stock: 80x120mm, inset: 3}}\nmakes: label\nbody:\n  across:\n    - text: Fragile \
             things\n{turn}    - text: x\n      grow: 1\n"
        ));
        page.blocks[1].rect
    };
    let (upright, lying) = (block(""), block("      turn: quarter\n"));
    assert!((upright.height - lying.height).0.abs() > 1.0 || lying.width < upright.width);
    assert!(lying.width.0 < 6.0 && lying.width > Mm::ZERO, "{:?}", lying);
}

#[test]
fn what_does_not_fit_a_turned_box_is_told_as_for_an_upright_one() {
    let (batch, shop) = sample_batch();
    let layout = layout_of(
        "page: {stock: 60x40mm, inset: 3}\nmakes: label\nbody:\n  down:\n    - code128: \
         \"ORDER-2026-000123\"\n      turn: quarter\n      width: 12\n      height: 30\n",
    );
    let printed = print_batch((&batch, Some(&shop)), &layout, Some(DotGrid::DPI_203), 1);
    let message = &printed.findings[0].message;
    assert!(message.contains("needs a box") && message.contains("it has 30 mm"), "{message}");
}
