//! Imported pages look like the original and bring nothing else along.
//!
//! The judge is hayro, an independent rasteriser: the original page and the new page with the
//! imported one on it are both rendered and compared. tests/outside/pdf_import.py does the same
//! with poppler, mupdf and ghostscript, and has qpdf check the files.

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};
use slipwright::images::{
    ArchivalProblem, DeviceColour, ImportedPage, PageRemark, PdfFile, PdfImportError, SharedObjects,
};

use super::pdf_page_support::{
    Draft, fonts, import, inherited, layered, marks, pictures, place, samples, several_streams,
    shaped, shapes, transparency, with_object_streams,
};

/// The most that two renderings of the same page may differ on average, of 255 per channel.
/// Identical drawings under another transformation differ at edges only, by rounding.
const MEAN_TOLERANCE: f64 = 0.01;

/// Pixels of a page: width, height and four bytes each.
struct Pixels {
    /// Pixels across.
    width: usize,
    /// Pixels down.
    height: usize,
    /// Red, green, blue and opacity of each pixel, row by row.
    bytes: Vec<u8>,
}

/// A page as hayro renders it at `scale` pixels a point.
fn rendered(file: &[u8], number: usize, scale: f32) -> Pixels {
    let pdf = Pdf::new(file.to_vec()).expect("a file that hayro reads");
    let page = &pdf.pages()[number - 1];
    let pixmap = render(
        page,
        &RenderCache::new(),
        &InterpreterSettings::default(),
        &RenderSettings::default(),
        &PixmapSettings { x_scale: scale, y_scale: scale, bg_color: WHITE },
    );
    Pixels {
        width: usize::from(pixmap.width()),
        height: usize::from(pixmap.height()),
        bytes: pixmap.data_as_u8_slice().to_vec(),
    }
}

impl Pixels {
    /// One pixel.
    fn at(&self, x: usize, y: usize) -> &[u8] {
        let start = (y * self.width + x) * 4;
        &self.bytes[start..start + 4]
    }

    /// The mean difference of a channel to `other`, which lies `left` and `top` pixels in.
    fn difference(&self, other: &Pixels, left: usize, top: usize) -> f64 {
        let mut sum = 0u64;
        for y in 0..other.height {
            for x in 0..other.width {
                let pair = self.at(x + left, y + top).iter().zip(other.at(x, y));
                sum += pair.map(|(a, b)| u64::from(a.abs_diff(*b))).sum::<u64>();
            }
        }
        sum as f64 / (other.width * other.height * 4) as f64
    }

    /// How many pixels are not white.
    fn inked(&self) -> usize {
        self.bytes.chunks(4).filter(|pixel| *pixel != [255; 4]).count()
    }
}

/// Width and height of an imported page in points.
fn points(page: &ImportedPage) -> (f32, f32) {
    (page.size().width.to_pt() as f32, page.size().height.to_pt() as f32)
}

/// The points in one of a sample's units, which hayro leaves out of account.
fn unit(name: &str) -> f32 {
    if name == "unit" { 1.5 } else { 1.0 }
}

#[test]
fn every_sample_looks_like_its_original() {
    let mut report = Vec::new();
    for (name, file, number) in samples() {
        let original = rendered(&file, number, 2.0 * unit(name));
        let page = import(file, number);
        let (width, height) = points(&page);
        let new = rendered(&place((width, height), &[(&page, [0., 0., width, height])]), 1, 2.0);
        assert_eq!((new.width, new.height), (original.width, original.height), "{name}");
        let difference = new.difference(&original, 0, 0);
        report.push(format!("{name}: {difference:.4}, {} pixels inked", new.inked()));
        assert_eq!(new.inked() > 1000, name != "blank", "{name}");
        assert!(difference <= MEAN_TOLERANCE, "{name} differs by {difference}");
    }
    println!("{}", report.join("\n"));
}

#[test]
fn scaled_into_a_box_it_fills_that_box_only() {
    for (name, file, number) in samples() {
        let page = import(file.clone(), number);
        let (width, height) = points(&page);
        // At 2 pixels a point and half the size, one pixel stands for one of the original's points.
        let original = rendered(&file, number, unit(name));
        // The upper edge lies on a pixel's edge, also where the page ends within one.
        let bottom = 60. + (height.ceil() - height) / 2.;
        let spot = [50., bottom, width / 2., height / 2.];
        let new = rendered(&place((400., 500.), &[(&page, spot)]), 1, 2.0);
        let (left, top) = (100, 1000 - 120 - height.ceil() as usize);
        let difference = new.difference(&original, left, top);
        assert!(difference <= MEAN_TOLERANCE, "{name} differs by {difference}");
        let inside = |x: usize, y: usize| {
            (left..=left + original.width).contains(&x)
                && (top..=top + original.height).contains(&y)
        };
        let outside = (0..new.height).flat_map(|y| (0..new.width).map(move |x| (x, y)));
        let spilt = outside.filter(|(x, y)| !inside(*x, *y) && new.at(*x, *y) != [255; 4]).count();
        assert_eq!(spilt, 0, "{name} draws outside its box");
    }
}

#[test]
fn sizes_come_from_crop_box_turn_and_unit() {
    let size = |file: Vec<u8>, number| {
        let size = import(file, number).size();
        let rounded = |points: f64| (points * 1e6).round() / 1e6;
        (rounded(size.width.to_pt()), rounded(size.height.to_pt()))
    };
    assert_eq!(size(inherited(), 1), (200.0, 300.0));
    // Turned by an inherited quarter, and its crop box cut to the media box.
    assert_eq!(size(inherited(), 2), (280.0, 190.0));
    assert_eq!(size(shaped("/MediaBox[0 0 200 300]/UserUnit 1.5", 0., 0.), 1), (300.0, 450.0));
    // Corners may come in any order.
    assert_eq!(size(shaped("/MediaBox[200 0 0 300]", 0., 0.), 1), (200.0, 300.0));
    // A crop box that misses the page is ignored.
    let missed = shaped("/MediaBox[0 0 200 300]/CropBox[500 500 600 600]", 0., 0.);
    assert_eq!(size(missed, 1), (200.0, 300.0));
    let label = import(shaped("/MediaBox[0 0 288 432]", 0., 0.), 1).size();
    assert_eq!(
        (label.width.to_string(), label.height.to_string()),
        ("101.6 mm".into(), "152.4 mm".into())
    );
}

/// All objects of a page as they would be written, numbered from 1.
fn written(page: &ImportedPage) -> Vec<(i32, Vec<u8>)> {
    let mut objects = Vec::new();
    let mut next = 0;
    let allocate = || {
        next += 1;
        next
    };
    let put = |number: i32, body: &[u8]| {
        objects.push((number, body.to_vec()));
        Ok::<(), std::convert::Infallible>(())
    };
    page.write_objects(&mut SharedObjects::new(), allocate, put).expect("written");
    objects
}

/// The objects as text, for looking something up.
fn written_text(page: &ImportedPage) -> String {
    written(page)
        .iter()
        .map(|(_, body)| String::from_utf8_lossy(body).into_owned() + "\n")
        .collect()
}

#[test]
fn values_and_packed_data_are_the_sources_own_bytes() {
    let text = written_text(&import(pictures(), 1));
    for kept in [
        "/Filter[/FlateDecode/XQZ2Decode]/DecodeParms[null<</Globals ",
        "/Tone .50>>]",
        "any bytes (at all) >> endobj \r\n\nendstream",
        "/ColorSpace[/Indexed/DeviceRGB 3<ff0000 00c000 2020ff 000000>]",
        "shared by the pictures",
    ] {
        assert!(text.contains(kept), "{kept} is missing in\n{text}");
    }
    let odd =
        "/Odd#20Name<</A(\\050 \\\n)/B<4 1>/C +0.50/D -.0/E 1234567890123456789/F 0.123456789012>>";
    let file =
        Draft::of_page(&format!("/MediaBox[0 0 99 99]/Resources<</Font<<{odd}>>>>")).to_file();
    assert!(written_text(&import(file, 1)).contains(odd));
}

#[test]
fn content_in_one_stream_stays_packed_and_several_are_joined() {
    let file = shaped("/MediaBox[0 0 200 300]", 0., 0.);
    let packed = super::pdf_page_support::deflate(shapes(0., 0.).as_bytes());
    let form = &written(&import(file, 1))[0].1;
    assert!(form.windows(packed.len()).any(|window| window == packed));

    let form = written(&import(several_streams(), 1))[0].1.clone();
    let start = form.windows(7).position(|window| window == b"stream\n").expect("a stream") + 7;
    let mut plain = String::new();
    std::io::Read::read_to_string(&mut flate2::read::ZlibDecoder::new(&form[start..]), &mut plain)
        .expect("packed content");
    let words = |text: &str| text.split_whitespace().map(String::from).collect::<Vec<_>>();
    assert_eq!(words(&plain), words(&shapes(0., 0.)));
}

#[test]
fn nothing_that_acts_or_leads_away_comes_along() {
    let hostile = Draft::of_page(
        "/MediaBox[0 0 200 300]/Contents 4 0 R/AA<</O 9 0 R>>/Resources<</XObject<</X 5 0 R\
         /P 3 0 R/Ps 10 0 R>>/Font<</A 9 0 R/JS 8 0 R/Up 2 0 R/Root 1 0 R/Spec 7 0 R\
         /Bare<</S/Launch/F(x)>>>>>>",
    )
    .with_stream(4, "", b"/X Do /Ps Do")
    .with_stream(
        5,
        "/Type/XObject/Subtype/Form/BBox[0 0 9 9]/AF[7 0 R]/StructParent 3/PieceInfo<</Z 6 0 R>>\
         /OPI 6 0 R/Ref<</F 7 0 R>>/Metadata 6 0 R/Resources<<>>",
        b"0 0 9 9 re f",
    )
    .with_stream(6, "/Type/Metadata", b"private words")
    .with(7, "<</Type/Filespec/F(orders.csv)/EF<</F 6 0 R>>>>")
    .with(8, "<</Type/Action/S/JavaScript/JS(app.launch)>>")
    .with(9, "<</S/URI/URI(tel:0)>>")
    .with_stream(10, "/Type/XObject/Subtype/PS", b"systemdict begin")
    .to_file();
    let text = written_text(&import(hostile, 1));
    for left in [
        "Action",
        "JavaScript",
        "app.launch",
        "URI",
        "Launch",
        "Filespec",
        "orders.csv",
        "private",
        "/AF",
        "StructParent",
        "PieceInfo",
        "OPI",
        "/Ref",
        "Metadata",
        "Catalog",
        "/Pages",
        "/Type/Page",
        "Annot",
        "systemdict",
        "/AA",
    ] {
        assert!(!text.contains(left), "{left} came along in\n{text}");
    }
    let text = written_text(&import(marks(), 1));
    for left in ["JavaScript", "Annot", "Widget", "/AA", "Ada", "Rect["] {
        assert!(!text.contains(left), "{left} came along in\n{text}");
    }
}

#[test]
fn the_same_page_gives_the_same_bytes_and_is_written_once() {
    let file = PdfFile::open(fonts()).expect("a file");
    let page = file.page(1).expect("a page");
    assert_eq!(written(&page), written(&file.page(1).expect("a page")));
    let once = place((400., 400.), &[(&page, [0., 0., 100., 150.])]);
    let thrice = place(
        (400., 400.),
        &[
            (&page, [0., 0., 100., 150.]),
            (&page, [100., 0., 100., 150.]),
            (&file.page(1).expect("a page"), [200., 0., 100., 150.]),
        ],
    );
    assert!(thrice.len() < once.len() + 300, "{} against {}", thrice.len(), once.len());
}

#[test]
fn pages_of_one_file_share_what_they_use() {
    let file = PdfFile::open(inherited()).expect("a file");
    let (first, second) = (file.page(1).expect("a page"), file.page(2).expect("a page"));
    let mut shared = SharedObjects::new();
    let mut next = 0;
    let mut count = |page: &ImportedPage| {
        let mut count = 0;
        let allocate = || {
            next += 1;
            next
        };
        let put = |_: i32, _: &[u8]| {
            count += 1;
            Ok::<(), ()>(())
        };
        (page.write_objects(&mut shared, allocate, put).expect("written").form, count)
    };
    // The form, the resources and the graphics state; then another form only; then nothing.
    assert_eq!(count(&first), (1, 3));
    assert_eq!(count(&second), (4, 1));
    assert_eq!(count(&first), (1, 0));
    // Another file's objects of the same numbers are others.
    assert_eq!(count(&import(inherited(), 1)), (5, 3));
}

#[test]
fn files_and_pages_can_be_shared_between_threads() {
    fn shared<T: Send + Sync>(_: &T) {}
    let file = PdfFile::open(fonts()).expect("a file");
    shared(&file);
    shared(&file.page(1));
}

#[test]
fn an_error_in_writing_reaches_the_caller() {
    let page = import(fonts(), 1);
    let failed = page.write_objects(&mut SharedObjects::new(), || 1, |_, _| Err("disk full"));
    assert_eq!(failed, Err("disk full"));
}

#[test]
fn layers_that_are_off_are_left_out_or_refused() {
    let text = written_text(&import(layered(false), 1));
    assert!(!text.contains("OCG") && !text.contains("OCMD") && !text.contains("Address"), "{text}");
    let error = PdfFile::open(layered(true)).and_then(|file| file.page(1)).expect_err("refused");
    assert_eq!(error, PdfImportError::HiddenLayer { layer: "Address".into() });
}

#[test]
fn rules_about_layers_follow_the_standard() {
    // Object 6 is on, 7 off, 8 off unless printed, 9 on unless printed.
    let seen = |rule: &str| {
        let settings = "/OCProperties<</OCGs[6 0 R 7 0 R 8 0 R 9 0 R]/D<</OFF[7 0 R 8 0 R]\
            /AS[<</Event/Print/Category[/Print]/OCGs[8 0 R 9 0 R]>>]>>>>";
        let layer = "/Type/OCG/Name(n)";
        let file =
            Draft::of_page("/MediaBox[0 0 99 99]/Contents 4 0 R/Resources<</XObject<</X 5 0 R>>>>")
                .with(1, &format!("<</Type/Catalog/Pages 2 0 R{settings}>>"))
                .with_stream(4, "", b"/X Do")
                .with_stream(5, &format!("/Subtype/Form/BBox[0 0 9 9]/OC {rule}"), b"0 0 9 9 re f")
                .with(6, &format!("<<{layer}>>"))
                .with(7, &format!("<<{layer}>>"))
                .with(8, &format!("<<{layer}/Usage<</Print<</PrintState/ON>>>>>>"))
                .with(9, &format!("<<{layer}/Usage<</Print<</PrintState/OFF>>>>>>"));
        written_text(&import(file.to_file(), 1)).contains("re f")
    };
    let layers: Vec<bool> = (6..10).map(|layer| seen(&format!("{layer} 0 R"))).collect();
    assert_eq!(layers, [true, false, true, false]);
    // Each policy over two layers on, one on and one off, and two off (ISO 32000-1 table 99).
    let policy = |policy: &str| {
        ["6 0 R 8 0 R", "6 0 R 7 0 R", "7 0 R 9 0 R"]
            .map(|layers| seen(&format!("<</Type/OCMD/OCGs[{layers}]{policy}>>")))
    };
    assert_eq!(policy(""), [true, true, false]);
    assert_eq!(policy("/P/AnyOn"), [true, true, false]);
    assert_eq!(policy("/P/AllOn"), [true, false, false]);
    assert_eq!(policy("/P/AnyOff"), [false, true, true]);
    assert_eq!(policy("/P/AllOff"), [false, false, true]);
    assert!(seen("<</Type/OCMD/OCGs[]>>") && seen("<</Type/OCMD/OCGs null>>"));
    // Expressions go before policies.
    let expression =
        |expression: &str| seen(&format!("<</Type/OCMD/OCGs 7 0 R/VE[{expression}]>>"));
    assert!(expression("/Not 7 0 R") && !expression("/Not 6 0 R"));
    assert!(expression("/Or 7 0 R 6 0 R") && !expression("/And 7 0 R 6 0 R"));
    assert!(expression("/And 6 0 R[/Not[/Or 7 0 R 9 0 R]]"));
}

/// A page with one annotation, object 5, whose `AP` may be the form 6.
fn annotated(annotation: &str, catalog: &str) -> Result<ImportedPage, PdfImportError> {
    let file = Draft::of_page("/MediaBox[0 0 200 300]/Annots[5 0 R]")
        .with(1, &format!("<</Type/Catalog/Pages 2 0 R{catalog}>>"))
        .with(5, &format!("<</Type/Annot/Rect[10 20 110 60]{annotation}>>"))
        .with_stream(6, "/Subtype/Form/BBox[0 0 10 10]", b"0 0 10 10 re f")
        .to_file();
    PdfFile::open(file).and_then(|file| file.page(1))
}

#[test]
fn annotations_are_printed_left_out_or_refused_by_their_flags() {
    let taken = |annotation: &str| {
        let page = annotated(annotation, "").expect("a page");
        let drawn = written_text(&page).contains("re f");
        let remarks: Vec<String> = page.remarks().iter().map(ToString::to_string).collect();
        (drawn, remarks.join(", "))
    };
    assert_eq!(taken("/Subtype/Stamp/F 4/AP<</N 6 0 R>>"), (true, String::new()));
    assert_eq!(
        taken("/Subtype/Stamp/AP<</N 6 0 R>>"),
        (false, "a mark of the kind `Stamp` is shown on the screen only and left out".into())
    );
    assert_eq!(taken("/Subtype/Stamp/F 6/AP<</N 6 0 R>>"), (false, String::new()));
    // Not on the screen, but on paper.
    assert_eq!(taken("/Subtype/Stamp/F 36/AP<</N 6 0 R>>"), (true, String::new()));
    assert_eq!(taken("/Subtype/Stamp/F 32/AP<</N 6 0 R>>"), (false, String::new()));
    assert_eq!(taken("/Subtype/Link/F 4"), (false, String::new()));
    assert_eq!(taken("/Subtype/Widget/F 4/FT/Tx"), (false, String::new()));
    assert_eq!(taken("/Subtype/Widget/F 4/FT/Sig"), (false, String::new()));

    let refused = |annotation: &str| annotated(annotation, "").expect_err("refused").to_string();
    assert_eq!(
        refused("/Subtype/Widget/F 4/FT/Tx/T(city)/V(Oakham)"),
        "the page of the PDF has a filled form field `city` of which the file holds no picture"
    );
    assert_eq!(
        refused("/Subtype/FreeText/F 4/Contents(leave at the door)"),
        "the page of the PDF has a mark of the kind `FreeText` of which the file holds no picture"
    );

    let stale = annotated(
        "/Subtype/Widget/F 4/FT/Tx/T(city)/V(Oakham)/AP<</N 6 0 R>>",
        "/AcroForm<</NeedAppearances true>>",
    );
    assert_eq!(stale.expect("a page").remarks(), [PageRemark::StaleField { name: "city".into() }]);
}

#[test]
fn what_breaks_archiving_is_named() {
    let problems = |file: Vec<u8>| import(file, 1).archival_problems().to_vec();
    let rgb = ArchivalProblem::DeviceColour(DeviceColour::Rgb);
    let cmyk = ArchivalProblem::DeviceColour(DeviceColour::Cmyk);
    let unembedded = |name: &str| ArchivalProblem::UnembeddedFont { name: name.into() };
    assert_eq!(problems(shaped("/MediaBox[0 0 200 300]", 0., 0.)), [rgb.clone(), cmyk]);
    assert_eq!(problems(fonts()), [unembedded("Helvetica")]);
    let filter = ArchivalProblem::Filter { name: "XQZ2Decode".into() };
    assert_eq!(problems(pictures()), [rgb, filter]);

    let grey = |content: &str, resources: &str| {
        let page = format!("/MediaBox[0 0 99 99]/Contents 4 0 R/Resources<<{resources}>>");
        problems(Draft::of_page(&page).with_stream(4, "", content.as_bytes()).to_file())
    };
    assert_eq!(grey("0.5 g 0 0 9 9 re f", ""), []);
    // A device colour that the resources give a profile for.
    assert_eq!(grey("1 0 0 rg", "/ColorSpace<</DefaultRGB[/CalRGB<<>>]>>"), []);
    let said = |problems: Vec<ArchivalProblem>| {
        problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
    };
    assert_eq!(said(grey("1 2 sparkle", "")), "its content has the unknown operator `sparkle`");
    assert_eq!(said(grey("", "/ExtGState<</T<</TR/Identity>>>>")), "it changes the device's tones");
    assert_eq!(
        said(grey("", "/ColorSpace<</S[/Separation/Gold/DeviceCMYK<<>>]>>")),
        "it has CMYK colours without a profile"
    );

    assert!(import(transparency(), 1).is_transparent());
    assert!(import(pictures(), 1).is_transparent());
    assert!(!import(fonts(), 1).is_transparent());
}

#[test]
fn object_streams_carry_the_same_page() {
    let (plain, packed) = (import(marks(), 1), import(with_object_streams(&marks()), 1));
    assert_eq!(written(&plain).len(), written(&packed).len());
    assert_eq!(plain.archival_problems(), packed.archival_problems());
}
