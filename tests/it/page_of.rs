//! Pages of other PDFs through the block `page_of`, from the command to the paper. The judges are
//! lopdf, which reads what was written, and hayro, which draws the original and the new page.

use std::fs;
use std::path::Path;

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};
use lopdf::{Dictionary, Document, Object, ObjectId};
use rxing::{BarcodeFormat, DecodeHints};
use slipwright::DotGrid;
use slipwright::images::DRAWS_PAGES;
use slipwright::scene::MarkKind;

use crate::command::Desk;
use crate::pdf_page_support::{Draft, samples, shaped};
use crate::sample_pages::sample_pages;

/// The most that a channel may differ on average, of 255: what is smoothed differs a little where
/// a box ends within a pixel.
const MEAN_TOLERANCE: f64 = 0.4;

/// Grey pixels.
#[derive(Clone, Debug, PartialEq)]
struct Grey {
    /// Pixels across.
    width: usize,
    /// Pixels down.
    height: usize,
    /// Rows from the top, red, green and blue of each pixel.
    pixels: Vec<[u8; 3]>,
}

impl Grey {
    /// A box of it.
    fn crop(&self, [x, y, width, height]: [usize; 4]) -> Grey {
        let row = |y: usize| &self.pixels[y * self.width + x..y * self.width + x + width];
        Grey { width, height, pixels: (y..y + height).flat_map(row).copied().collect() }
    }

    /// It turned a quarter clockwise.
    fn turned(&self) -> Grey {
        let (width, height) = (self.height, self.width);
        let at = |x: usize, y: usize| self.pixels[(self.height - 1 - x) * self.width + y];
        let pixels = (0..height).flat_map(|y| (0..width).map(move |x| (x, y)));
        Grey { width, height, pixels: pixels.map(|(x, y)| at(x, y)).collect() }
    }

    /// The mean difference of a channel to a picture of the same size.
    fn difference(&self, other: &Grey) -> f64 {
        assert_eq!((self.width, self.height), (other.width, other.height));
        let channels = self.pixels.iter().flatten().zip(other.pixels.iter().flatten());
        let sum: u64 = channels.map(|(a, b)| u64::from(a.abs_diff(*b))).sum();
        sum as f64 / (self.pixels.len() * 3) as f64
    }

    /// How many pixels are not white.
    fn inked(&self) -> usize {
        self.pixels.iter().filter(|pixel| **pixel != [255; 3]).count()
    }
}

/// A page as hayro draws it at `scale` pixels a point.
fn drawn(file: &[u8], number: usize, scale: f32) -> Grey {
    let pdf = Pdf::new(file.to_vec()).unwrap();
    let pixmap = render(
        &pdf.pages()[number - 1],
        &RenderCache::new(),
        &InterpreterSettings::default(),
        &RenderSettings { hinting: false, ..RenderSettings::default() },
        &PixmapSettings { x_scale: scale, y_scale: scale, bg_color: WHITE },
    );
    let pixels = pixmap.data().iter().map(|pixel| [pixel.r, pixel.g, pixel.b]).collect();
    Grey { width: usize::from(pixmap.width()), height: usize::from(pixmap.height()), pixels }
}

/// A layout of 200 × 200 mm whose only block is a page of `page.pdf` with these settings.
fn layout(settings: &str) -> String {
    format!(
        "page: {{stock: 200x200mm, clear_edge: 0}}\nmakes: insert\nbody:\n  over:\n    - page_of: \
         page.pdf\n      from: layout\n      at: [0, 0]\n{settings}"
    )
}

/// One order, for layouts that need but a page.
const ORDER: &str = r#"{"id": "TH-1", "tag": "Marlow", "ship_to": {"name": "Ada Marlow",
    "lines": ["12 Long Street"], "city": "Ternmouth", "postcode": "TR77 4NH", "country": "GB"},
    "items": [{"title": "Kingfisher pen", "weight_g": 24}], "hazard": "none",
    "parcel": {"weight_g": 80}}"#;

/// The PDF that comes of a page of a file placed by the command, drawn at `scale` pixels a point.
fn placed(file: &[u8], settings: &str, scale: f32) -> Grey {
    let desk = Desk::new();
    desk.put("page.pdf", file).put("mine.yaml", layout(settings)).put("orders.json", ORDER);
    desk.done(&["render", "orders.json", "--layout", "mine.yaml", "-o", "out.pdf"]);
    drawn(&fs::read(desk.path("out.pdf")).unwrap(), 1, scale)
}

#[test]
fn every_sample_comes_out_as_it_is() {
    for (name, file, number) in samples() {
        // hayro leaves `UserUnit` out of account.
        let unit = if name == "unit" { 1.5 } else { 1.0 };
        let original = drawn(&file, number, 2.0 * unit);
        let new = placed(&file, &format!("      page: {number}\n      fit: actual\n"), 2.0);
        let there = new.crop([0, 0, original.width, original.height]);
        let difference = there.difference(&original);
        assert_eq!(original.inked() > 1000, name != "blank", "{name}");
        assert!(difference <= MEAN_TOLERANCE, "{name} differs by {difference}");
        // Nothing but a pixel that an edge lies in is touched outside.
        let spilt = new.inked() - there.inked();
        assert!(spilt <= original.width + original.height + 1, "{name} draws outside: {spilt}");
    }
}

/// A page of 200 × 300 points that is the same under no turn.
fn lopsided() -> Vec<u8> {
    shaped("/MediaBox[0 0 200 300]", 0., 0.)
}

#[test]
fn a_page_turns_clockwise() {
    let mut expected = drawn(&lopsided(), 1, 2.0);
    for turn in ["none", "quarter", "half", "three-quarter"] {
        let new = placed(&lopsided(), &format!("      turn: {turn}\n      fit: actual\n"), 2.0);
        let there = new.crop([0, 0, expected.width, expected.height]);
        let difference = there.difference(&expected);
        assert!(difference <= MEAN_TOLERANCE, "{turn}: {difference}");
        expected = expected.turned();
    }
}

#[test]
fn a_part_shows_that_part_and_nothing_beside_it() {
    // From an inch below the top left corner, two inches across and two down: 72 points an inch.
    let original = drawn(&lopsided(), 1, 2.0).crop([0, 144, 288, 288]);
    let mut expected = original.clone();
    for turn in ["none", "quarter", "half", "three-quarter"] {
        let settings =
            format!("      part: [0, 25.4, 50.8, 50.8]\n      fit: actual\n      turn: {turn}\n");
        let new = placed(&lopsided(), &settings, 2.0);
        let there = new.crop([0, 0, 288, 288]);
        let difference = there.difference(&expected);
        assert!(difference <= MEAN_TOLERANCE, "{turn}: {difference}");
        assert_eq!(new.inked(), there.inked(), "{turn}: something shows beside the part");
        expected = expected.turned();
    }
}

#[test]
fn contain_shows_all_and_cover_fills_the_box() {
    // In a box of 100 × 50 mm a page of 200 × 300 points becomes 33.3 mm or 100 mm wide.
    let points = |mm: f64| mm * 72.0 / 25.4;
    let box_pixels = [0, 0, points(100.0).floor() as usize, points(50.0).floor() as usize];
    let settings = |fit: &str| format!("      width: 100\n      height: 50\n      fit: {fit}\n");
    for (fit, scale) in [("contain", points(50.0) / 300.0), ("cover", points(100.0) / 200.0)] {
        let new = placed(&lopsided(), &settings(fit), 1.0);
        let original = drawn(&lopsided(), 1, scale as f32);
        let width = box_pixels[2].min(original.width);
        let height = box_pixels[3].min(original.height);
        let there = new.crop([0, 0, width, height]);
        let difference = there.difference(&original.crop([0, 0, width, height]));
        assert!(difference <= MEAN_TOLERANCE, "{fit}: {difference}");
        let inside = new.crop([0, 0, box_pixels[2] + 1, box_pixels[3] + 1]);
        assert_eq!(new.inked(), inside.inked(), "{fit}: something shows outside the box");
    }
    // What stays of a page that is cut off is for `sit` to say.
    let lower = placed(&lopsided(), &format!("{}      sit: bottom\n", settings("cover")), 1.0);
    let original = drawn(&lopsided(), 1, (points(100.0) / 200.0) as f32);
    let [_, _, width, height] = box_pixels;
    let expected = original.crop([0, original.height - height, width, height]);
    let difference = lower.crop([0, 0, width, height]).difference(&expected);
    // Here both begin within a pixel.
    assert!(difference <= 4.0, "{difference}");
}

/// Whether a dictionary is of a subtype.
fn is_a(dict: &Dictionary, subtype: &[u8]) -> bool {
    dict.get(b"Subtype").is_ok_and(|it| it.as_name().is_ok_and(|name| name == subtype))
}

/// The forms of a document that hold `needle`.
fn forms(document: &Document, needle: &[u8]) -> Vec<ObjectId> {
    let streams = document.objects.iter().filter_map(|(id, it)| Some((*id, it.as_stream().ok()?)));
    let found = streams.filter(|(_, stream)| {
        let form = is_a(&stream.dict, b"Form");
        let content = stream.decompressed_content().unwrap_or_else(|_| stream.content.clone());
        form && content.windows(needle.len()).any(|window| window == needle)
    });
    found.map(|(id, _)| id).collect()
}

/// The objects that the pages of a document name as `P0`, page by page.
fn named_pages(document: &Document) -> Vec<ObjectId> {
    let pages = document.get_pages();
    let named = pages.values().map(|id| {
        let page = document.get_dictionary(*id).unwrap();
        let resources = page.get(b"Resources").unwrap().as_reference().unwrap();
        let resources = document.get_dictionary(resources).unwrap();
        let objects = resources.get(b"XObject").unwrap().as_dict().unwrap();
        objects.get(b"P0").unwrap().as_reference().unwrap()
    });
    named.collect()
}

#[test]
fn a_page_used_on_every_page_is_written_once() {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml").put("page.pdf", lopsided());
    desk.put(
        "mine.yaml",
        layout("      fit: actual\n    - text: \"{{ tag }}\"\n      at: [80, 5]\n"),
    );
    for threads in ["1", "2"] {
        let out = format!("out-{threads}.pdf");
        desk.done(&[
            "render",
            "evening.json",
            "--layout",
            "mine.yaml",
            "-o",
            &out,
            "--threads",
            threads,
        ]);
    }
    let bytes = fs::read(desk.path("out-1.pdf")).unwrap();
    assert!(bytes == fs::read(desk.path("out-2.pdf")).unwrap(), "threads show in the bytes");
    let document = Document::load_mem(&bytes).unwrap();
    let written = forms(&document, b"90 20 m 190 20 l");
    assert_eq!(written.len(), 1);
    assert_eq!(named_pages(&document), vec![written[0]; 12]);
}

#[test]
fn each_order_has_the_page_it_names() {
    let pages = sample_pages("carrier-page-4x6in", DotGrid::DPI_203);
    let book = slipwright::FontBook::builtin();
    let options = slipwright::PdfOptions::default();
    let file = slipwright::write_pdf(&pages, &book, &options, Vec::new()).unwrap();
    let document = Document::load_mem(&file).unwrap();
    let mut named = named_pages(&document);
    named.sort_unstable();
    named.dedup();
    assert_eq!(named.len(), 3, "three pages of one file are three forms");
    // Two of ours and those of the label, which its three pages share.
    let label = fs::read(root().join("samples/carrier-label.pdf")).unwrap();
    let label = Document::load_mem(&label).unwrap();
    let count = |document: &Document| {
        let dicts = document.objects.values().filter_map(|object| object.as_dict().ok());
        dicts.filter(|dict| is_a(dict, b"Type0")).count()
    };
    assert_eq!(count(&document), count(&label) + 2);
}

/// The crate's folder.
fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// What rxing reads of a Code 128 in a picture.
fn read_bars(picture: &Grey) -> Option<String> {
    let luma: Vec<u8> = picture.pixels.iter().map(|[grey, _, _]| *grey).collect();
    let (width, height) = (picture.width as u32, picture.height as u32);
    let mut hints = DecodeHints { TryHarder: Some(true), ..DecodeHints::default() };
    let kind = Some(BarcodeFormat::CODE_128);
    rxing::helpers::detect_in_luma_with_hints(luma, width, height, kind, &mut hints)
        .ok()
        .map(|read| read.getText().to_owned())
}

/// A desk with the sample whose orders have labels of a carrier.
fn carrier_desk() -> Desk {
    let desk = Desk::new();
    for name in ["carrier.json", "carrier-label.pdf", "shop.yaml"] {
        desk.sample(name);
    }
    desk
}

#[cfg(not(feature = "draw"))]
#[test]
fn a_build_without_a_renderer_refuses_dots_of_other_pdfs_in_one_finding() {
    let desk = carrier_desk();
    for out in ["out.png", "out.svg"] {
        let args = ["render", "carrier.json", "--layout", "carrier-page-4x6in", "-o", out];
        let said = desk.run(&args, b"");
        assert_eq!(said.status.code(), Some(1), "{out}");
        assert_eq!(String::from_utf8(said.stderr).unwrap(), NO_RENDERER, "{out}");
    }
}

/// What is said of three labels that cannot be drawn.
#[cfg(not(feature = "draw"))]
const NO_RENDERER: &str = r#"error[pdf-page-drawing]: a page of a PDF cannot be drawn as dots: this build has no renderer (and 2 more parcels: 2-3)
  --> carrier-page-4x6in.yaml:15:7
   |
12 |   down:
13 |     # The carrier's part: the page as it is, as large as fits. A label with white edges of its own
14 |     # prints larger when they are left out: `part: [x, y, width, height]`.
15 |     - page_of: "{{ carrier_label.file }}"
   |       ^^^^^^^
16 |       page: "{{ carrier_label.page }}"
17 |       grow: 1
18 |     - rule: 3dots
   |
   = note: parcel 1, order `TH-1061`, block `page_of`
   = help: write a PDF instead, which takes the page over as it is, or build the command with `--features draw`

nothing was written: 1 error
"#;

#[cfg(not(feature = "draw"))]
#[test]
fn a_proof_leaves_out_what_cannot_be_drawn_and_says_so_once() {
    let desk = carrier_desk();
    let args =
        ["render", "carrier.json", "--layout", "carrier-page-4x6in", "--proof", "-o", "out.pdf"];
    let said = String::from_utf8(desk.done(&args).stderr).unwrap();
    assert_eq!(said.matches("left out").count(), 1, "{said}");
    assert!(said.contains("; 3 pages of other PDFs were left out\n"), "{said}");
    assert!(said.contains(" codes read back"), "{said}");
}

#[test]
fn the_carriers_bars_are_read_from_paper_and_from_dots() {
    let desk = carrier_desk();
    let args = ["render", "carrier.json", "--layout", "carrier-page-4x6in", "-o"];
    desk.done(&[&args[..], &["out.pdf"]].concat());
    if DRAWS_PAGES {
        desk.done(&[&args[..], &["out.png"]].concat());
    }
    let file = fs::read(desk.path("out.pdf")).unwrap();
    for number in 1..=3 {
        let expected = format!("GAN-0417-220{number}");
        let paper = drawn(&file, number, 203.2 / 72.0);
        // The upper part: our own codes lie below.
        let upper = |picture: &Grey| picture.crop([0, 0, 800, 850]);
        assert_eq!(read_bars(&upper(&paper)).as_deref(), Some(&*expected), "paper {number}");
        if !DRAWS_PAGES {
            continue;
        }
        let dots = read_png(&desk.path(&format!("out-{number}.png")));
        assert_eq!(read_bars(&upper(&dots)).as_deref(), Some(&*expected), "dots {number}");
        // A dot is black where more than half of it is: both say the same but along curves.
        let black = |pixel: &[u8; 3]| pixel[0] < 128;
        let pairs = upper(&paper).pixels.into_iter().zip(upper(&dots).pixels);
        let wrong = pairs.filter(|(paper, dot)| black(paper) != black(dot)).count();
        assert!(wrong * 500 < 800 * 850, "{wrong} dots differ on page {number}");
    }
}

/// A PNG of one bit as grey pixels.
fn read_png(path: &Path) -> Grey {
    let mut decoder = png::Decoder::new(std::io::Cursor::new(fs::read(path).unwrap()));
    decoder.set_transformations(png::Transformations::EXPAND);
    let mut reader = decoder.read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    let (width, height) = (info.width as usize, info.height as usize);
    let pixels = pixels[..width * height].iter().map(|grey| [*grey; 3]).collect();
    Grey { width, height, pixels }
}

#[test]
fn the_sellers_part_meets_the_bench_card() {
    let tallies = |layout: &str| -> Vec<_> {
        let pages = sample_pages(layout, DotGrid::DPI_203);
        let tallies = pages.into_iter().map(|page| {
            let found = page.marks.into_iter().find_map(|mark| match mark.kind {
                MarkKind::Tally(tally) => Some((tally.dots, tally.cell_dots)),
                _ => None,
            });
            found.unwrap()
        });
        tallies.collect()
    };
    let (label, carrier) = (tallies("label-4x6in"), tallies("carrier-page-4x6in"));
    assert_eq!(carrier.len(), 3);
    assert!(carrier.iter().all(|tally| *tally == label[0]), "the tally has another place");
}

#[test]
fn a_page_starts_from_a_fresh_state() {
    // No colour, no letter spacing: what the page before it sets must not reach it.
    let bare = Draft::of_page(
        "/MediaBox[0 0 200 100]/Contents 4 0 R/Resources<</Font<</F<</Type/Font/Subtype/Type1\
         /BaseFont/Helvetica>>>>>>",
    )
    .with_stream(4, "", b"10 10 50 50 re f BT /F 20 Tf 10 70 Td (Gannet) Tj ET");
    let bare = bare.to_file();
    let desk = Desk::new();
    desk.put("page.pdf", &bare).put("orders.json", ORDER).put(
        "mine.yaml",
        "page: {stock: 200x200mm, clear_edge: 0}\nmakes: insert\ntype:\n  wide: {size: 20pt, \
         spacing: 0.5}\nbody:\n  over:\n    - text: WIDE AND WHITE\n      type: wide\n      ink: \
         reversed\n      at: [100, 100]\n    - page_of: page.pdf\n      from: layout\n      at: \
         [0, 0]\n      fit: actual\n",
    );
    desk.done(&["render", "orders.json", "--layout", "mine.yaml", "-o", "out.pdf"]);
    let new = drawn(&fs::read(desk.path("out.pdf")).unwrap(), 1, 2.0).crop([0, 0, 400, 200]);
    let original = drawn(&bare, 1, 2.0);
    assert!(original.inked() > 5000);
    let difference = new.difference(&original);
    assert!(difference <= MEAN_TOLERANCE, "{difference}");
}

/// The XMP metadata of a PDF made with a page of `file`.
fn metadata_with(file: &[u8]) -> (String, bool) {
    let desk = Desk::new();
    desk.put("page.pdf", file).put("orders.json", ORDER);
    desk.put("mine.yaml", layout("      fit: actual\n"));
    desk.done(&["render", "orders.json", "--layout", "mine.yaml", "-o", "out.pdf"]);
    let document = Document::load(desk.path("out.pdf")).unwrap();
    let catalog = document.catalog().unwrap();
    let id = catalog.get(b"Metadata").unwrap().as_reference().unwrap();
    let stream = document.get_object(id).and_then(Object::as_stream).unwrap();
    let xmp = String::from_utf8(stream.content.clone()).unwrap();
    (xmp, catalog.get(b"OutputIntents").is_ok())
}

#[test]
fn only_what_is_archival_claims_to_be() {
    let grey = Draft::of_page("/MediaBox[0 0 200 300]/Contents 4 0 R/Resources<<>>");
    let grey = grey.with_stream(4, "", b"0 g 10 10 50 50 re f").to_file();
    let (xmp, intent) = metadata_with(&grey);
    assert!(xmp.contains("<pdfaid:part>2</pdfaid:part>") && intent);
    // The sample has colours without a profile.
    let (xmp, intent) = metadata_with(&lopsided());
    assert!(xmp.contains("<pdf:Producer>") && !xmp.contains("<pdfaid:") && !intent, "{xmp}");
}

/// `SLIPWRIGHT_BLESS=1` makes the label anew. What it looks like is compared, not its bytes.
#[test]
fn the_sample_label_is_made_by_the_engine() {
    let desk = Desk::new();
    for name in ["carrier.json", "carrier-label.yaml", "shop.yaml"] {
        desk.sample(name);
    }
    desk.done(&["render", "carrier.json", "--layout", "carrier-label.yaml", "-o", "label.pdf"]);
    let made = fs::read(desk.path("label.pdf")).unwrap();
    let path = root().join("samples/carrier-label.pdf");
    if std::env::var_os("SLIPWRIGHT_BLESS").is_some() {
        fs::write(&path, &made).unwrap();
    }
    let kept = fs::read(&path).unwrap();
    assert_eq!(Document::load_mem(&kept).unwrap().get_pages().len(), 3);
    for number in 1..=3 {
        let alike = drawn(&kept, number, 2.0) == drawn(&made, number, 2.0);
        assert!(alike, "page {number} of samples/carrier-label.pdf is stale");
    }
}
