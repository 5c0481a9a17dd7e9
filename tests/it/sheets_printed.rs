//! Sheets as they are printed, judged by readers that are not ours: lopdf for what a printer is told,
//! hayro for where the ink is.

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};
use slipwright::sides::TurnEdge;

use crate::command::Desk;
use crate::export_support::texts;
use crate::sample_pages::{layout_of, sample_batch};
use crate::sheets::sheet_layout;

/// A page's back is white where its block is left out, so that those after it stay on their side;
/// every page of a document that flows has the back.
#[test]
fn fronts_and_backs_take_turns() {
    let (batch, shop) = sample_batch();
    let of = |text: &str| crate::sample_pages::pages_of(&batch, &shop, &layout_of(text), None);
    let pages =
        of("page: {stock: a6, inset: 8}\nmakes: insert\nbody:\n  text: \"front\"\nback:\n  \
                    text: \"gift {{ position }}\"\n  when: gift\n");
    assert_eq!(pages.len(), batch.parcels.len() * 2);
    for (pair, parcel) in pages.chunks(2).zip(&batch.parcels) {
        let back: Vec<&str> = texts(&pair[1]).collect();
        assert_eq!(texts(&pair[0]).collect::<Vec<_>>(), ["front"]);
        match parcel.gift {
            true => assert_eq!(back.join(" "), format!("gift {}", parcel.position)),
            false => assert_eq!(back, [""; 0]),
        }
        assert_eq!(pair[0].title, pair[1].title);
    }
    assert!(batch.parcels.iter().any(|parcel| parcel.gift), "the sample has a gift");
    let pages = of(
        "page: {stock: 50x25mm, inset: 3}\nmakes: slip\nflow: true\nfoot:\n  text: \"{{ page }} of {{ pages \
         }}\"\nbody:\n  each: items\n  show:\n    text: \"{{ item.title }}\"\n    height: 10\nback:\n  \
         text: \"returns {{ position }}\"\n",
    );
    assert!(pages.len() > batch.parcels.len() * 2, "some run on");
    for pair in pages.chunks(2) {
        assert!(texts(&pair[0]).any(|text| text.contains(" of ")));
        let position = pair[0].subject.as_ref().unwrap().position.unwrap();
        let back: Vec<&str> = texts(&pair[1]).collect();
        assert_eq!(back.join(" "), format!("returns {position}"));
    }
}

/// Makes the sample's PDF in a layout with the command.
fn print(layout: &str, more: &[&str]) -> Vec<u8> {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml").put("mine.yaml", layout);
    let mut arguments = vec!["render", "evening.json", "--combine", "-o", "out.pdf"];
    arguments.extend(["--layout", "mine.yaml"]);
    arguments.extend(more);
    desk.done(&arguments);
    std::fs::read(desk.path("out.pdf")).unwrap()
}

/// What a printer is told about the paper's sides (ISO 32000-1 §12.2, table 150), and how many
/// pages there are.
fn told(pdf: &[u8]) -> (String, usize) {
    let pdf = lopdf::Document::load_mem(pdf).unwrap();
    let preferences = pdf.catalog().unwrap().get(b"ViewerPreferences").unwrap();
    let preferences = match preferences.as_reference() {
        Ok(id) => pdf.get_dictionary(id).unwrap(),
        Err(_) => preferences.as_dict().unwrap(),
    };
    let duplex = preferences.get(b"Duplex").unwrap().as_name().unwrap();
    (String::from_utf8(duplex.to_vec()).unwrap(), pdf.get_pages().len())
}

#[test]
fn the_printer_is_told_which_edge_to_turn_over() {
    let text = "makes: insert\nbody:\n  text: \"Thank you\"\n";
    let back = "back:\n  text: \"{{ tag }}\"\n";
    let (long, short) = ("DuplexFlipLongEdge", "DuplexFlipShortEdge");
    for (page, back, expected, pages) in [
        ("page: {stock: a6, inset: 8}\n", "", "Simplex", 11),
        ("page: {stock: a6, inset: 8}\n", back, long, 22),
        // Without a sheet a page turns over its upright edge.
        ("page: {stock: 148x105mm, inset: 8}\n", back, short, 22),
        (
            "page: {stock: a6, inset: 8}\nsheet: {stock: a4, columns: 2, rows: 2}\n",
            "",
            "Simplex",
            3,
        ),
        ("page: {stock: a6, inset: 8}\nsheet: {stock: a4, columns: 2, rows: 2}\n", back, long, 6),
        (
            "page: {stock: a6, inset: 8}\nsheet: {stock: a4, columns: 2, rows: 2, duplex: \
             short-edge}\n",
            back,
            short,
            6,
        ),
    ] {
        let pdf = print(&format!("{page}{text}{back}"), &[]);
        assert_eq!(told(&pdf), (expected.to_owned(), pages), "{page}");
    }
}

/// The pages of a PDF as hayro draws them: dots across, and whether each dot is black.
fn draw(pdf: Vec<u8>, dpi: f32) -> Vec<(usize, Vec<bool>)> {
    let pdf = Pdf::new(pdf).unwrap();
    let cache = RenderCache::new();
    let (x_scale, y_scale) = (dpi / 72.0, dpi / 72.0);
    let settings = PixmapSettings { x_scale, y_scale, ..PixmapSettings::default() };
    let drawn = pdf.pages().iter().map(|page| {
        let how = RenderSettings { hinting: false, ..RenderSettings::default() };
        let pixels = render(page, &cache, &InterpreterSettings::default(), &how, &settings);
        let black = pixels.data().iter().map(|pixel| u32::from(pixel.a) > 127 && pixel.r < 128);
        (usize::from(pixels.width()), black.collect())
    });
    drawn.collect()
}

/// The columns and rows of a drawn page that have black in them: the shadow it throws down and
/// to the side.
fn shadows((width, black): &(usize, Vec<bool>)) -> (Vec<bool>, Vec<bool>) {
    let rows: Vec<&[bool]> = black.chunks(*width).collect();
    let columns = (0..*width).map(|x| rows.iter().any(|row| row[x])).collect();
    (columns, rows.iter().map(|row| row.contains(&true)).collect())
}

/// Whether every black dot of one shadow has one of the other within a dot, and the other way
/// round.
fn agree(one: &[bool], other: &[bool]) -> bool {
    let near = |of: &[bool], at: usize| {
        (at.saturating_sub(1)..=at + 1).any(|at| of.get(at).copied().unwrap_or(false))
    };
    let within = |one: &[bool], other: &[bool]| {
        one.iter().enumerate().all(|(at, black)| !black || near(other, at))
    };
    within(one, other) && within(other, one)
}

/// Frames around pages and around their backs lie on each other when the printed sheet is held
/// against the light: turned over the edge that the printer is told, with uneven margins, on
/// sheets that start late and end early, upright and on their side.
#[test]
fn held_against_the_light_backs_lie_on_their_fronts() {
    for (stock, edge, swaps_sides) in [
        ("a4", "long-edge", true),
        ("a4", "short-edge", false),
        ("297x210mm", "long-edge", false),
        ("297x210mm", "short-edge", true),
        ("200x200mm", "long-edge", true),
    ] {
        let layout = format!(
            "page: {{stock: 70x50mm, inset: 5}}\nsheet: {{stock: {stock}, columns: 2, rows: 3, \
             gutter: [4, 7], margin: [9, 17], duplex: {edge}}}\nmakes: insert\nbody:\n  box: 0.5\n\
             back:\n  box: 0.5\n"
        );
        let pages = draw(print(&layout, &["--start", "6"]), 100.0);
        assert_eq!(pages.len(), 6, "11 parcels from place 6 on: 1, 6 and 4 on three sheets");
        for pair in pages.chunks(2) {
            let (front, mut back) = (shadows(&pair[0]), shadows(&pair[1]));
            assert!(front.0.contains(&true), "there is something to see");
            let as_printed = agree(&front.0, &back.0) && agree(&front.1, &back.1);
            assert!(!as_printed, "{stock} {edge}: without turning they do not meet");
            if swaps_sides {
                back.0.reverse();
            } else {
                back.1.reverse();
            }
            let meets = agree(&front.0, &back.0) && agree(&front.1, &back.1);
            assert!(meets, "{stock} turned over its {edge}");
        }
    }
    let layout = |sheet: &str| sheet_layout("70x50mm", sheet);
    assert_eq!(layout("stock: a4").sheet.unwrap().duplex, TurnEdge::Long);
    assert_eq!(layout("stock: a4, duplex: short-edge").sheet.unwrap().duplex, TurnEdge::Short);
}
