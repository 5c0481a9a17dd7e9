//! Sheets: places by the sizes of ISO 216 and of Letter, every page on one place and its back
//! behind it, cut marks in the white. What is printed of them is looked at in `sheets_printed`.

use proptest::prelude::*;
use slipwright::geom::{Insets, Point, Rect, Size, Stance};
use slipwright::scene::MarkKind;
use slipwright::stock::Stock;
use slipwright::workings::{PageFrame, SheetPlan, SheetSide, Unprintable, plan_sheet};
use slipwright::{
    Batch, Document, DotGrid, FontBook, Layout, Mm, NoFiles, Page, PictureStore, Run, Shop,
};

use crate::export_support::texts;
use crate::sample_pages::{Printed, layout_of, print_batch, sample_batch};

/// A sheet's layout with a line of text on both sides.
pub(crate) fn sheet_layout(page: &str, sheet: &str) -> Layout {
    layout_of(&format!(
        "page: {{stock: {page}}}\nsheet: {{{sheet}}}\nmakes: insert\nbody:\n  text: \
         \"front {{{{ position }}}}\"\nback:\n  text: \"back {{{{ position }}}}\"\n"
    ))
}

/// The plan of a layout's sheet on an office printer.
fn plan(layout: &Layout, grid: DotGrid) -> Result<SheetPlan, String> {
    let frame = PageFrame {
        size: layout.page.stock.size,
        grid,
        one_bit: false,
        colour: false,
        clear_edge: Insets::all(Mm(6.0)),
        stance: Stance::UPRIGHT,
        inset: Insets::default(),
        unprintable: Unprintable::default(),
    };
    plan_sheet(layout, &frame).map(Option::unwrap).map_err(|fault| fault.message)
}

/// The dots of an office printer.
fn office() -> DotGrid {
    DotGrid::from_dpi(300.0).unwrap()
}

/// A size in millimetres.
fn size(width: f64, height: f64) -> Size {
    Size::new(Mm(width), Mm(height))
}

/// ISO 216, table of the A series: A4 210 × 297, A5 148 × 210, A6 105 × 148 mm. Cutting rounds
/// down, so that two of a size leave at most a millimetre of the one above.
#[test]
fn places_follow_the_sizes_of_iso_216() {
    for (name, width, height) in [("a4", 210.0, 297.0), ("a5", 148.0, 210.0), ("a6", 105.0, 148.0)]
    {
        assert_eq!(Stock::find(name).unwrap().size, size(width, height), "{name}");
    }
    // Pages, sheet, columns and rows that fit, and the white left over in width and height.
    for (page, sheet, columns, rows, left) in [
        ("210x148mm", "a4", 1, 2, (0.0, 1.0)),
        ("a6", "a4", 2, 2, (0.0, 1.0)),
        ("148x105mm", "a5", 1, 2, (0.0, 0.0)),
        ("a6", "297x210mm", 2, 1, (87.0, 62.0)),
        ("a5", "297x210mm", 2, 1, (1.0, 0.0)),
    ] {
        let of = |columns: u32, rows: u32| {
            let sheet = format!("stock: {sheet}, columns: {columns}, rows: {rows}");
            plan(&sheet_layout(page, &sheet), office())
        };
        let fits = of(columns, rows).unwrap();
        assert_eq!(fits.capacity() as u32, columns * rows);
        let used =
            size(fits.page.width.0 * f64::from(columns), fits.page.height.0 * f64::from(rows));
        let over = (fits.size.width - used.width, fits.size.height - used.height);
        assert_eq!(over, (Mm(left.0), Mm(left.1)), "{page} on {sheet}");
        // The rest is shared by both sides, to the dot.
        let dot = office().length(1.0);
        assert!((fits.slots[0].x - over.0 / 2.0).0.abs() <= dot.0);
        assert!((fits.slots[0].y - over.1 / 2.0).0.abs() <= dot.0);
        let tight = |white: f64, side: Mm| white < side.0;
        if tight(left.0, fits.page.width) {
            assert!(of(columns + 1, rows).unwrap_err().contains("columns need"), "{page}");
        }
        if tight(left.1, fits.page.height) {
            assert!(of(columns, rows + 1).unwrap_err().contains("rows need"), "{page}");
        }
    }
}

/// Letter is 8.5 × 11 in; four pages of 4.25 × 5.5 in fill it to the last hundredth.
#[test]
fn four_quarters_fill_a_letter() {
    for page in ["4.25x5.5in", "quarter-letter"] {
        let layout = sheet_layout(page, "stock: letter, columns: 2, rows: 2");
        let plan = plan(&layout, office()).unwrap();
        // 8.5 in and 11 in are 2550 and 3300 dots of 300 to the inch.
        let dots = |mm: Mm| office().dots(mm).round() as u32;
        let places: Vec<_> = plan.slots.iter().map(|slot| (dots(slot.x), dots(slot.y))).collect();
        assert_eq!(places, [(0, 0), (1275, 0), (0, 1650), (1275, 1650)]);
        assert_eq!((dots(plan.page.width) * 2, dots(plan.page.height) * 2), (2550, 3300));
    }
    let more = sheet_layout("4.25x5.5in", "stock: letter, columns: 2, rows: 2, gutter: [0, 0.1]");
    let fault = plan(&more, office()).unwrap_err();
    assert_eq!(fault, "2 rows need 279.5 mm in height, the sheet has 279.4 mm: 0.1 mm too many");
}

/// What is near the edge of the sheet in any place, on either side, must stay white.
#[test]
fn a_page_keeps_the_edge_of_its_sheet_white() {
    let edge = |sheet: &str| plan(&sheet_layout("80x50mm", sheet), office()).unwrap().page_edge;
    let [top, right, bottom, left] = [4.0, 0.0, 0.0, 5.0].map(Mm);
    assert_eq!(
        edge("stock: a4, columns: 2, rows: 2, margin: [1, 2], duplex: short-edge"),
        Insets { top, right, bottom: top, left }
    );
    assert_eq!(
        edge("stock: a4, columns: 2, rows: 2, margin: [1, 2]"),
        Insets { top, right: left, bottom, left }
    );
    assert_eq!(edge("stock: a4, columns: 2, rows: 2"), Insets::default());
}

/// A sheet of any kind that holds its pages.
#[derive(Clone, Debug)]
struct AnySheet {
    /// Columns and rows.
    count: (u32, u32),
    /// The page.
    page: (f64, f64),
    /// White between pages.
    gutter: (f64, f64),
    /// White before the first page.
    margin: (f64, f64),
    /// White behind the last page.
    rest: (f64, f64),
    /// Whether columns are filled first.
    down: bool,
    /// Whether the sheet is turned over its short edge.
    short: bool,
    /// Dots an inch.
    dpi: f64,
}

impl AnySheet {
    /// The layout.
    fn layout(&self) -> Layout {
        let (width, height) = self.size();
        sheet_layout(
            &format!("{}x{}mm", self.page.0, self.page.1),
            &format!(
                "stock: {width:.2}x{height:.2}mm, columns: {}, rows: {}, gutter: [{}, {}], \
                 margin: [{}, {}], fill: {}, duplex: {}, marks: true",
                self.count.0,
                self.count.1,
                self.gutter.0,
                self.gutter.1,
                self.margin.0,
                self.margin.1,
                if self.down { "down" } else { "across" },
                if self.short { "short-edge" } else { "long-edge" },
            ),
        )
    }

    /// The sheet's width and height.
    fn size(&self) -> (f64, f64) {
        let side = |count: u32, page: f64, gutter: f64, margin: f64, rest: f64| {
            margin + f64::from(count) * page + f64::from(count - 1) * gutter + rest
        };
        (
            side(self.count.0, self.page.0, self.gutter.0, self.margin.0, self.rest.0),
            side(self.count.1, self.page.1, self.gutter.1, self.margin.1, self.rest.1),
        )
    }

    /// Whether turning it over swaps left and right.
    fn swaps_sides(&self) -> bool {
        let (width, height) = self.size();
        // The long edge stands upright on an upright sheet.
        (height >= width) != self.short
    }
}

/// Hundredths of a millimetre in a range, often none.
fn white(most: u32) -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), (0..=most).prop_map(|n| f64::from(n) / 100.0)]
}

/// A side of a page.
fn side() -> impl Strategy<Value = f64> {
    (1000..=6000_u32).prop_map(|n| f64::from(n) / 100.0)
}

/// Any sheet.
fn any_sheet() -> impl Strategy<Value = AnySheet> {
    let whites = || (white(1500), white(1500));
    let dots = prop_oneof![Just(203.2), Just(300.0), Just(600.0)];
    let count = (1..=5_u32, 1..=5_u32);
    let order = (any::<bool>(), any::<bool>(), dots);
    (count, (side(), side()), whites(), whites(), whites(), order).prop_map(
        |(count, page, gutter, margin, rest, (down, short, dpi))| AnySheet {
            count,
            page,
            gutter,
            margin,
            rest,
            down,
            short,
            dpi,
        },
    )
}

/// How two boxes overlap, the lesser way.
fn overlap(one: Rect, other: Rect) -> f64 {
    let across = one.right().min(other.right()) - one.x.max(other.x);
    let down = one.bottom().min(other.bottom()) - one.y.max(other.y);
    across.min(down).0
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 200,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// Places lie on the sheet, in order, apart; what moves them to a dot is less than one.
    #[test]
    fn places_are_on_the_sheet_apart_and_in_order(sheet in any_sheet()) {
        let grid = DotGrid::from_dpi(sheet.dpi).unwrap();
        let plan = plan(&sheet.layout(), grid).unwrap();
        let dot = grid.length(1.0).0;
        let (columns, rows) = (sheet.count.0 as usize, sheet.count.1 as usize);
        prop_assert_eq!(plan.capacity(), columns * rows);
        let paper = Rect::at(Point::default(), plan.size);
        let fronts: Vec<Rect> = plan.slots.iter().map(|at| Rect::at(*at, plan.page)).collect();
        let backs: Vec<Rect> = plan.backs.iter().map(|at| Rect::at(*at, plan.page)).collect();
        for (index, (front, back)) in fronts.iter().zip(&backs).enumerate() {
            let (column, row) = match sheet.down {
                true => (index / rows, index % rows),
                false => (index % columns, index / columns),
            };
            let x = sheet.margin.0 + column as f64 * (sheet.page.0 + sheet.gutter.0);
            let y = sheet.margin.1 + row as f64 * (sheet.page.1 + sheet.gutter.1);
            prop_assert!((front.x.0 - x).abs() <= dot && (front.y.0 - y).abs() <= dot);
            prop_assert!(paper.contains(*front) && paper.contains(*back), "{front:?} {back:?}");
            for place in [front.x, front.y, back.x, back.y] {
                let dots = grid.dots(place);
                prop_assert!((dots - dots.round()).abs() < 1e-6, "{} dots", dots);
            }
            // Seen through the paper, the back lies on the front.
            let behind = match sheet.swaps_sides() {
                true => Rect { x: plan.size.width - back.right(), ..*back },
                false => Rect { y: plan.size.height - back.bottom(), ..*back },
            };
            let off = (behind.x - front.x).0.abs().max((behind.y - front.y).0.abs());
            prop_assert!(off <= dot, "the back is {off} mm off");
            for other in 0..index {
                prop_assert!(overlap(*front, fronts[other]) < dot);
                prop_assert!(overlap(*back, backs[other]) < dot * 2.0);
            }
        }
    }

    /// Marks stand where the printer reaches, in the white, none twice; only where pages that
    /// touch leave no white they stand on the cut between them, a dot on either side.
    #[test]
    fn cut_marks_stand_in_the_white(
        sheet in any_sheet(),
        (first, used) in (0..25_usize, 1..25_usize),
    ) {
        let grid = DotGrid::from_dpi(sheet.dpi).unwrap();
        let plan = plan(&sheet.layout(), grid).unwrap();
        let first = first % plan.capacity();
        let used = (used % (plan.capacity() - first + 1)).max(1);
        let lines = |side| -> Vec<Rect> {
            let page = Page { size: plan.page, ..blank(grid) };
            let sheet = plan.impose(vec![page; used], first, side);
            sheet.marks.iter().map(|mark| mark.rect(grid)).collect()
        };
        prop_assert!(lines(SheetSide::Back).is_empty());
        let front = lines(SheetSide::Front);
        let dot = grid.length(1.0).0;
        let reach = Rect::at(Point::default(), plan.size).shrunk(Insets::all(Mm(6.0)));
        for (index, line) in front.iter().enumerate() {
            prop_assert!(reach.contains(*line), "{line:?} is where the printer does not reach");
            prop_assert!(line.width.max(line.height) >= Mm(1.0), "{line:?} is not seen");
            for slot in &plan.slots {
                let over = overlap(*line, Rect::at(*slot, plan.page));
                prop_assert!(over <= dot * 2.0 + 1e-9, "{line:?} is {over} mm in {slot:?}");
            }
            for other in &front[..index] {
                prop_assert!(line.intersection(*other).is_none(), "{line:?} {other:?}");
            }
        }
        // With this much white nothing stands on a page, and each page's corner has its marks.
        let wide = |(one, other): (f64, f64)| one >= 9.0 && other >= 9.0;
        if wide(sheet.margin) && wide(sheet.rest) {
            prop_assert!(plan.findings.is_empty(), "{:?}", plan.findings);
            for slot in plan.slots.iter().skip(first).take(used) {
                let page = Rect::at(*slot, plan.page);
                for x in [page.x, page.right()] {
                    let near = |line: &Rect| {
                        line.height > line.width
                            && (line.x + line.width / 2.0 - x).0.abs() <= 0.25 + dot * 2.0
                    };
                    prop_assert!(front.iter().filter(|line| near(line)).count() >= 2);
                }
            }
        }
    }
}

/// Cuts a quarter of a millimetre apart: at 300 dots an inch a mark is a little thicker than that,
/// and two of them would overlap, depending on where they come to lie.
#[test]
fn marks_of_cuts_close_together_do_not_overlap() {
    for hundredths in 0..100_u32 {
        let margin = 9.0 + f64::from(hundredths) / 100.0;
        let sheet = AnySheet {
            count: (3, 2),
            page: (10.0, 27.52),
            gutter: (0.25, 0.25),
            margin: (margin, margin),
            rest: (9.0, 9.0),
            down: false,
            short: false,
            dpi: 300.0,
        };
        let grid = DotGrid::from_dpi(sheet.dpi).unwrap();
        let plan = plan(&sheet.layout(), grid).unwrap();
        let page = Page { size: plan.page, ..blank(grid) };
        let marks = plan.impose(vec![page; 6], 0, SheetSide::Front).marks;
        let lines: Vec<Rect> = marks.iter().map(|mark| mark.rect(grid)).collect();
        for (index, line) in lines.iter().enumerate() {
            let met = lines[..index].iter().find(|other| line.intersection(**other).is_some());
            assert!(met.is_none(), "margin {margin}: {line:?} {met:?}");
        }
    }
}

/// A page with nothing on it.
fn blank(grid: DotGrid) -> Page {
    Page {
        size: Size::default(),
        grid,
        clear_edge: Insets::default(),
        title: String::new(),
        subject: None,
        language: None,
        blocks: Vec::new(),
        marks: Vec::new(),
    }
}

/// The pages of the sample in a layout, from a place on, and the place that is next.
pub(crate) fn sheets_of(
    batch: &Batch,
    shop: &Shop,
    layout: &Layout,
    first: usize,
) -> (Vec<Page>, usize) {
    let Printed { pages, findings, next } = print_batch((batch, Some(shop)), layout, None, first);
    assert!(findings.is_empty(), "{findings:?}");
    (pages, next.unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 40,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// Every parcel is on exactly one place, in bench order, its back on the place behind.
    #[test]
    fn every_page_has_its_place_and_its_back(
        (columns, rows) in (1..=4_u32, 1..=4_u32),
        first in 1..=16_usize,
        (down, short) in (any::<bool>(), any::<bool>()),
    ) {
        let (batch, shop) = sample_batch();
        let count = batch.parcels.len();
        let places = (columns * rows) as usize;
        let first = (first - 1) % places + 1;
        let layout = sheet_layout(
            "40x30mm",
            &format!(
                "stock: a4, columns: {columns}, rows: {rows}, gutter: 3, margin: [11, 23], \
                 fill: {}, duplex: {}",
                if down { "down" } else { "across" },
                if short { "short-edge" } else { "long-edge" },
            ),
        );
        let plan = plan(&layout, office()).unwrap();
        let (pages, next) = sheets_of(&batch, &shop, &layout, first);
        let sheets = (first - 1 + count).div_ceil(places);
        prop_assert_eq!(pages.len(), sheets * 2);
        prop_assert_eq!(next, (first - 1 + count) % places + 1);
        let mut seen = 0;
        for (number, pair) in pages.chunks(2).enumerate() {
            prop_assert_eq!(&pair[0].title, &pair[1].title, "one entry of the outline");
            for (page, word, slots) in
                [(&pair[0], "front", &plan.slots), (&pair[1], "back", &plan.backs)]
            {
                let mut said = 0;
                for (place, slot) in slots.iter().enumerate() {
                    let room = Rect::at(*slot, plan.page);
                    let here = page.marks.iter().filter(|mark| room.contains(mark.rect(page.grid)));
                    let text: Vec<&str> = here
                        .map(|mark| match &mark.kind {
                            MarkKind::Text(run) => run.text.as_str(),
                            _ => "something else",
                        })
                        .collect();
                    let parcel = (number * places + place + 2).checked_sub(first);
                    match parcel.filter(|parcel| (1..=count).contains(parcel)) {
                        Some(parcel) => {
                            prop_assert_eq!(text.join(" "), format!("{word} {parcel}"));
                            said += 1;
                        }
                        None => prop_assert!(text.is_empty(), "{:?} on a used place", text),
                    }
                }
                prop_assert_eq!(said, page.marks.len(), "nothing is anywhere else");
                seen += said;
            }
        }
        prop_assert_eq!(seen, count * 2);
    }
}

/// A list is one page about all parcels, so it takes one place.
#[test]
fn a_list_takes_one_place() {
    let (batch, shop) = sample_batch();
    let layout = layout_of(
        "page: {stock: a6, inset: 8}\nsheet: {stock: a4, columns: 2, rows: 2}\nmakes: list\nbody:\n  \
         text: \"{{ count }} parcels\"\nback:\n  text: \"behind\"\n",
    );
    let (pages, next) = sheets_of(&batch, &shop, &layout, 4);
    assert_eq!((pages.len(), next), (2, 1));
    assert_eq!(texts(&pages[0]).collect::<Vec<_>>(), ["11 parcels"]);
    assert_eq!(texts(&pages[1]).collect::<Vec<_>>(), ["behind"]);
}

/// A place that is not there is refused by the library too.
#[test]
fn a_place_must_be_on_the_sheet() {
    let (batch, shop) = sample_batch();
    let book = FontBook::builtin();
    let pictures = PictureStore::new(&NoFiles, ".");
    let refused = |layout: &Layout, place: usize| {
        let document =
            Document { shop: Some(&shop), ..Document::new(&batch, layout, &book, &pictures) };
        let run = Run::new(&document).unwrap().starting_at(place);
        run.err().map(|fault| fault.message)
    };
    let four = sheet_layout("a6", "stock: a4, columns: 2, rows: 2");
    assert_eq!(refused(&four, 4), None);
    for place in [0, 5, usize::MAX] {
        let message = format!("there is no place {place}: the sheet has 4");
        assert_eq!(refused(&four, place), Some(message));
    }
    let alone = layout_of("page: {stock: a6}\nmakes: insert\nbody:\n  text: \"Thank you\"\n");
    assert_eq!(
        refused(&alone, 1).as_deref(),
        Some("this layout has no `sheet` that could be part-used")
    );
}
