//! Colour: where a printer has it, in PDF, PNG and SVG; where it has not, an error. Black stays black ink
//! alone, and so do all codes.

use std::fs;
use std::path::Path;

use slipwright::scene::{Ink, MarkKind};
use slipwright::{DotGrid, FontBook, Page, SvgOptions, render_png, render_svg};

use crate::command::Desk;
use crate::pdf_a::{CLAUSES, see};
use crate::sample_pages::{layout_of, pages_of, sample_batch};

/// A layout that prints in colour, for a printer that has it.
const CARD: &str = "
page: {stock: a6, inset: 8}
makes: insert
inks: {teal: \"#0b6e6e\", rose: \"#f4d4d8\"}
body:
  down:
    - text: Thank you
      ink: teal
    - text: white on teal
      ink: reversed
      ground: teal
      round: 2
      inset: 2
    - text: black on rose
      ground: rose
      inset: 2
    - across:
        - box: 3dots
          width: 10
        - qr: \"https://ternhollow.example/thanks\"
          width: 26
      ink: teal
  gap: 3
";

/// The first parcel's card.
fn card() -> Page {
    let (batch, shop) = sample_batch();
    pages_of(&batch, &shop, &layout_of(CARD), DotGrid::from_dpi(150.0)).swap_remove(0)
}

#[test]
fn a_pdf_in_colour_is_pdf_a_with_an_srgb_intent_and_black_is_grey_0() {
    let page = card();
    for compress in [true, false] {
        let seen = see(std::slice::from_ref(&page), compress);
        for (clause, asks, check) in CLAUSES {
            assert_eq!(check(&seen), Ok(()), "{clause}: {asks}");
        }
        if !compress {
            let text = String::from_utf8_lossy(&seen.bytes);
            // 0x0b, 0x6e of 255.
            let inks: Vec<&str> = text.lines().filter(|line| line.ends_with(" rg")).collect();
            assert!(inks.contains(&".0431 .4314 .4314 rg"), "{inks:?}");
            assert!(text.contains("0 g\n") && text.contains("1 g\n"));
            assert!(!text.contains("0 0 0 rg"));
            assert!(text.contains("OutputConditionIdentifier (sRGB)"));
        }
    }
}

#[test]
fn a_page_without_colour_keeps_the_grey_intent_beside_a_printer_that_has_it() {
    let (batch, shop) = sample_batch();
    let layout = layout_of("page: {stock: a6, inset: 8}\nmakes: insert\nbody: {text: plain}\n");
    let pages = pages_of(&batch, &shop, &layout, None);
    let text = see(&pages[..1], false).bytes;
    assert!(String::from_utf8_lossy(&text).contains("Grey, gamma 2.2"));
}

#[test]
fn marks_have_their_inks_and_codes_stay_black() {
    let page = card();
    let teal = "Colour(Rgb { red: 11, green: 110, blue: 110 })";
    let inks: Vec<String> = page
        .marks
        .iter()
        .filter_map(|mark| match &mark.kind {
            MarkKind::Text(run) => Some(format!("{}: {:?}", run.text, run.ink)),
            _ => None,
        })
        .collect();
    assert_eq!(
        inks,
        [
            format!("Thank you: {teal}"),
            "white on teal: White".to_owned(),
            "black on rose: Black".to_owned()
        ]
    );
    let fills = page.marks.iter().filter_map(|mark| match mark.kind {
        MarkKind::Fill(_, ink) => Some(ink),
        _ => None,
    });
    assert!(fills.into_iter().all(|ink| matches!(ink, Ink::Colour(_))));
    assert!(page.marks.iter().any(|mark| matches!(mark.kind, MarkKind::Code(_))));
}

/// A pixel of a PNG in colour.
fn pixel(file: &[u8], x: usize, y: usize) -> [u8; 3] {
    let mut reader = png::Decoder::new(std::io::Cursor::new(file)).read_info().unwrap();
    let info = reader.info();
    assert_eq!((info.color_type, info.bit_depth), (png::ColorType::Rgb, png::BitDepth::Eight));
    let width = info.width as usize;
    let mut data = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut data).unwrap();
    let at = (y * width + x) * 3;
    data[at..at + 3].try_into().unwrap()
}

#[test]
fn png_and_svg_are_in_colour() {
    let (page, book) = (card(), FontBook::builtin());
    let ground = page
        .marks
        .iter()
        .find_map(|mark| match mark.kind {
            MarkKind::Fill(rect, ink @ Ink::Colour(_)) => Some((rect, ink)),
            _ => None,
        })
        .unwrap();
    let dots = |length| page.grid.dots(length).round() as usize;
    let file = render_png(&page, &book).unwrap();
    assert_eq!(pixel(&file, dots(ground.0.x) + 1, dots(ground.0.y) + 1), [11, 110, 110]);
    assert_eq!(pixel(&file, 1, 1), [255, 255, 255]);
    let code = page.marks.iter().find_map(|mark| match &mark.kind {
        MarkKind::Code(code) => Some(code.dots),
        _ => None,
    });
    let code = code.unwrap();
    assert_eq!(pixel(&file, code.x as usize, code.y as usize), [0, 0, 0]);
    let svg = render_svg(&page, &book, &SvgOptions::default());
    assert!(svg.contains("fill=\"#0b6e6e\"") && svg.contains("fill=\"#f4d4d8\""));
}

/// Pictures of pixels, and drawings, keep their colours; in black they are what they were.
#[test]
fn pictures_are_in_colour_where_the_printer_has_it() {
    let desk = Desk::new();
    desk.sample("evening.json");
    let images = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/images");
    for name in ["colour.png", "colour-444.jpg", "gray.jpg"] {
        desk.put(name, fs::read(images.join(name)).unwrap());
    }
    desk.put(
        "wave.svg",
        "<svg xmlns='http://www.w3.org/2000/svg' width='20mm' height='10mm'>\
         <rect width='40' height='38' fill='#0b6e6e'/><rect x='40' width='30' height='38'/></svg>",
    );
    desk.put(
        "card.yaml",
        "page: {stock: a6, inset: 8}\nmakes: insert\nbody:\n  down:\n    - image: colour.png\n      \
         width: 8\n    - image: colour-444.jpg\n      width: 6\n    - image: gray.jpg\n      width: \
         6\n    - image: wave.svg\n",
    );
    let shop = fs::read_to_string(images.join("../../samples/shop.yaml")).unwrap();
    let render = |file: &str| {
        let words = ["render", "evening.json", "--layout", "card.yaml", "--only", "1", "-o", file];
        desk.done(&words);
        fs::read(desk.path(file)).unwrap()
    };
    desk.put("shop.yaml", shop.replace("    colour: true ", "    colour: false "));
    let black = String::from_utf8_lossy(&render("black.svg")).into_owned();
    desk.put("shop.yaml", &shop);
    let coloured = String::from_utf8_lossy(&render("coloured.svg")).into_owned();
    assert!(!black.contains("#0b6e6e") && coloured.contains("fill=\"#0b6e6e\""));
    assert!(coloured.len() > black.len());
    let document = lopdf::Document::load_mem(&render("coloured.pdf")).unwrap();
    let spaces: Vec<String> = document
        .objects
        .values()
        .filter_map(|object| {
            let dict = &object.as_stream().ok()?.dict;
            let space = dict.get(b"ColorSpace").ok()?.as_name().ok()?;
            Some(String::from_utf8_lossy(space).into_owned())
        })
        .collect();
    assert_eq!(spaces.iter().filter(|it| *it == "DeviceRGB").count(), 2, "{spaces:?}");
    assert_eq!(spaces.iter().filter(|it| *it == "DeviceGray").count(), 1, "{spaces:?}");
    render("coloured.png");
}
