//! PDFs to import, written by hand so that each part of the format can be bent at will, and a
//! small writer that places an imported page into a new PDF.

use std::fmt::Write as _;
use std::io::Write as _;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref};
use slipwright::images::{ImportedPage, PdfFile, SharedObjects};

/// A PDF in the making: objects with their numbers, in order.
#[derive(Clone, Debug, Default)]
pub(crate) struct Draft {
    /// Each object's number and everything between `obj` and `endobj`.
    pub(crate) objects: Vec<(u32, Vec<u8>)>,
    /// Further entries of the trailer.
    pub(crate) trailer: String,
}

impl Draft {
    /// A file of one page whose entries, `Type` and `Parent` aside, are `page`; its catalog is
    /// object 1, the page tree 2, the page 3.
    pub(crate) fn of_page(page: &str) -> Draft {
        Draft::default()
            .with(1, "<</Type/Catalog/Pages 2 0 R>>")
            .with(2, "<</Type/Pages/Kids[3 0 R]/Count 1>>")
            .with(3, &format!("<</Type/Page/Parent 2 0 R{page}>>"))
    }

    /// Adds or replaces an object.
    pub(crate) fn with(self, number: u32, body: &str) -> Draft {
        self.with_bytes(number, body.as_bytes().to_vec())
    }

    /// Adds or replaces an object given in bytes.
    pub(crate) fn with_bytes(mut self, number: u32, body: Vec<u8>) -> Draft {
        self.objects.retain(|(known, _)| *known != number);
        self.objects.push((number, body));
        self
    }

    /// Adds a stream with the given entries and data as they are.
    pub(crate) fn with_stream(self, number: u32, entries: &str, data: &[u8]) -> Draft {
        let mut body = format!("<<{entries}/Length {}>>\nstream\n", data.len()).into_bytes();
        body.extend_from_slice(data);
        body.extend_from_slice(b"\nendstream");
        self.with_bytes(number, body)
    }

    /// Adds a stream that is packed here.
    pub(crate) fn with_packed(self, number: u32, entries: &str, data: &[u8]) -> Draft {
        self.with_stream(number, &format!("{entries}/Filter/FlateDecode"), &deflate(data))
    }

    /// The file, with a table in text.
    pub(crate) fn to_file(&self) -> Vec<u8> {
        let mut file = b"%PDF-1.7\n%\xE2\xE3\xCF\xD3\n".to_vec();
        let most = self.objects.iter().map(|(number, _)| *number).max().unwrap_or(0);
        let mut rows = vec![String::from("0000000000 00000 f \n"); most as usize + 1];
        rows[0] = String::from("0000000000 65535 f \n");
        for (number, body) in &self.objects {
            rows[*number as usize] = format!("{:010} 00000 n \n", file.len());
            file.extend_from_slice(format!("{number} 0 obj\n").as_bytes());
            file.extend_from_slice(body);
            file.extend_from_slice(b"\nendobj\n");
        }
        let start = file.len();
        let mut tail = format!("xref\n0 {}\n{}", rows.len(), rows.concat());
        write!(tail, "trailer\n<</Size {}/Root 1 0 R{}>>\n", rows.len(), self.trailer)
            .expect("text");
        write!(tail, "startxref\n{start}\n%%EOF\n").expect("text");
        file.extend_from_slice(tail.as_bytes());
        file
    }
}

/// `data` in zlib packing.
pub(crate) fn deflate(data: &[u8]) -> Vec<u8> {
    let mut packer = ZlibEncoder::new(Vec::new(), Compression::best());
    packer.write_all(data).expect("packed");
    packer.finish().expect("packed")
}

/// Shapes without any symmetry in a box of 200 × 300 units with the given lower left corner:
/// whatever is turned, mirrored, shifted or stretched shows.
pub(crate) fn shapes(x: f64, y: f64) -> String {
    format!(
        "q 1 0 0 1 {x} {y} cm 0.2 0.4 0.7 rg 10 10 60 40 re f 0 g 90 20 m 190 20 l 140 110 l h f \
         0.8 0.1 0.1 RG 6 w 20 280 m 60 200 100 290 180 240 c S 0 g 3 w 1 1 198 298 re S \
         0 0.6 0.3 0.1 k 20 130 30 60 re f 150 150 m 180 150 l 180 220 l h f* Q"
    )
}

/// A 16 × 16 grey JPEG of two light and two dark corners, made once with Pillow.
const JPEG: &str = "ffd8ffe000104a46494600010100000100010000ffdb0043000d090a0b0a080d0b0a0b0e0e0d0f\
    13201513121213271c1e17202e2931302e292d2c333a4a3e333646372c2d405741464c4e525352323e5a615a50604a\
    51524fffc0000b080010001001011100ffc400160001010100000000000000000000000000060308ffc4001b100001\
    040300000000000000000000000000020405175493d2ffda0008010100003f00956f3594c362f9115910b8aff5a3a1\
    899ecfffd9";

/// The bytes of hexadecimal text.
pub(crate) fn unhex(text: &str) -> Vec<u8> {
    let digits: Vec<u8> =
        text.chars().filter_map(|digit| digit.to_digit(16)).map(|digit| digit as u8).collect();
    digits.chunks(2).map(|pair| pair[0] << 4 | pair[1]).collect()
}

/// A page with all that a file can say about its shape.
pub(crate) fn shaped(entries: &str, x: f64, y: f64) -> Vec<u8> {
    Draft::of_page(&format!("{entries}/Contents 4 0 R/Resources<<>>"))
        .with_packed(4, "", shapes(x, y).as_bytes())
        .to_file()
}

/// Boxes, turn and resources left to two levels of nodes above the page.
pub(crate) fn inherited() -> Vec<u8> {
    Draft::default()
        .with(1, "<</Type/Catalog/Pages 2 0 R>>")
        .with(2, "<</Type/Pages/Kids[5 0 R]/Count 2/MediaBox[0 0 9 9]/Rotate 90/Resources 8 0 R>>")
        .with(5, "<</Type/Pages/Parent 2 0 R/Kids[3 0 R 6 0 R]/Count 2/MediaBox[0 0 200 300]>>")
        .with(3, "<</Type/Page/Parent 5 0 R/Contents 4 0 R/Rotate 0>>")
        .with(6, "<</Type/Page/Parent 5 0 R/Contents 4 0 R/CropBox[10 10 205 290]>>")
        .with(8, "<</ExtGState<</G 7 0 R>>>>")
        .with(7, "<</LW 9>>")
        .with_packed(4, "", format!("{} /G gs 40 60 m 160 180 l S", shapes(0., 0.)).as_bytes())
        .to_file()
}

/// Content split between tokens over streams that are packed in different ways.
pub(crate) fn several_streams() -> Vec<u8> {
    let content = shapes(0., 0.);
    let (first, rest) = content.split_at(content.find("0.8 0.1").expect("a place"));
    let (second, third) = rest.split_at(rest.find("20 130").expect("a place"));
    let hex: String = third.bytes().map(|byte| format!("{byte:02x}")).collect();
    Draft::of_page("/MediaBox[0 0 200 300]/Contents 9 0 R/Resources<<>>")
        .with(9, "[4 0 R 5 0 R 6 0 R]")
        .with_packed(4, "", first.trim_end().as_bytes())
        .with_stream(5, "", second.trim_end().as_bytes())
        .with_stream(6, "/Filter[/ASCIIHexDecode]/DecodeParms[null]", format!("{hex}>").as_bytes())
        .to_file()
}

/// Pictures packed with DCT and with Flate and rows prepared, one with a soft mask, one indexed,
/// one in the content, and one that nothing draws, packed in a way nobody knows.
pub(crate) fn pictures() -> Vec<u8> {
    let rgb: Vec<u8> = (0..16u8).flat_map(|at| [2, at * 16, 255 - at * 16, at * 3]).collect();
    // Each row starts with the number of PNG's way "up", here for 4 × 4 samples of RGB.
    let rows: Vec<u8> =
        (0..4).flat_map(|row| [&[2u8][..], &rgb[row * 12..row * 12 + 12]].concat()).collect();
    let mask: Vec<u8> = (0..16u8).map(|at| at * 17).collect();
    let content = "q 80 0 0 80 10 210 cm /Dct Do Q q 80 20 -20 80 110 200 cm /Flate Do Q \
        q 60 0 0 60 20 100 cm /Index Do Q q 50 0 0 50 120 110 cm BI /W 4 /H 4 /BPC 1 /CS /G ID \
        \u{10}\u{20}\u{40}\u{70} EI Q 0 0 1 RG 5 5 190 290 re S";
    Draft::of_page(
        "/MediaBox[0 0 200 300]/Contents 4 0 R/Resources<</XObject<</Dct 5 0 R/Flate 6 0 R\
         /Index 8 0 R/Odd 9 0 R>>>>",
    )
    .with_packed(4, "", content.as_bytes())
    .with_stream(
        5,
        "/Type/XObject/Subtype/Image/Width 16/Height 16/BitsPerComponent 8/ColorSpace/DeviceGray\
         /Filter/DCTDecode",
        &unhex(JPEG),
    )
    .with_packed(
        6,
        "/Type/XObject/Subtype/Image/Width 4/Height 4/BitsPerComponent 8/ColorSpace/DeviceRGB\
         /SMask 7 0 R/DecodeParms<</Predictor 15/Colors 3/Columns 4>>",
        &rows,
    )
    .with_packed(
        7,
        "/Type/XObject/Subtype/Image/Width 4/Height 4/BitsPerComponent 8/ColorSpace/DeviceGray",
        &mask,
    )
    .with_stream(
        8,
        "/Type/XObject/Subtype/Image/Width 2/Height 2/BitsPerComponent 8/Metadata 10 0 R\
         /ColorSpace[/Indexed/DeviceRGB 3<ff0000 00c000 2020ff 000000>]",
        &[0, 1, 2, 3],
    )
    .with_stream(
        9,
        "/Type/XObject/Subtype/Image/Width 2/Height 2/BitsPerComponent 1/ColorSpace/DeviceGray\
         /Filter[/FlateDecode/XQZ2Decode]/DecodeParms[null<</Globals 11 0 R/Tone .50>>]",
        b"\x00\xFFany bytes (at all) >> endobj \r\n",
    )
    .with_stream(10, "/Type/Metadata/Subtype/XML", b"<x/>")
    .with_stream(11, "", b"shared by the pictures")
    .to_file()
}

/// The font of the test files: our own Noto Sans.
const FONT: &[u8] =
    include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/fonts/NotoSans-Regular.ttf"));

/// Text in a TrueType font, a composite font with the same file, a Type 3 font and one of the
/// fourteen fonts that readers bring themselves.
pub(crate) fn fonts() -> Vec<u8> {
    let descriptor = "<</Type/FontDescriptor/FontName/ABCDEF+NotoSans/Flags 32/ItalicAngle 0\
        /Ascent 1069/Descent -293/CapHeight 714/StemV 80/FontBBox[-500 -300 1500 1100]\
        /FontFile2 8 0 R>>";
    let widths = vec!["600"; 95].join(" ");
    let content = "BT /TT 24 Tf 15 250 Td (Tern Hollow) Tj /T0 18 Tf 0 -50 Td \
        <00370048005500510003003300480051> Tj /T3 30 Tf 0 -60 Td (aba) Tj ET \
        BT /He 20 Tf 15 60 Td [(Pens)-400(&)-400(ink)] TJ ET";
    Draft::of_page(
        "/MediaBox[0 0 200 300]/Contents 4 0 R/Resources<</Font<</TT 5 0 R/T0 9 0 R/T3 12 0 R\
         /He 15 0 R>>/ProcSet[/PDF/Text]>>",
    )
    .with_packed(4, "", content.as_bytes())
    .with(
        5,
        &format!(
            "<</Type/Font/Subtype/TrueType/BaseFont/ABCDEF+NotoSans/FirstChar 32/LastChar 126\
             /Widths[{widths}]/Encoding/WinAnsiEncoding/FontDescriptor 6 0 R>>"
        ),
    )
    .with(6, descriptor)
    .with_packed(8, &format!("/Length1 {}", FONT.len()), FONT)
    .with(
        9,
        "<</Type/Font/Subtype/Type0/BaseFont/ABCDEF+NotoSans/Encoding/Identity-H\
         /DescendantFonts[10 0 R]>>",
    )
    .with(
        10,
        "<</Type/Font/Subtype/CIDFontType2/BaseFont/ABCDEF+NotoSans/CIDSystemInfo<</Registry\
         (Adobe)/Ordering(Identity)/Supplement 0>>/DW 600/CIDToGIDMap/Identity\
         /FontDescriptor 6 0 R>>",
    )
    .with(
        12,
        "<</Type/Font/Subtype/Type3/FontBBox[0 0 750 750]/FontMatrix[.001 0 0 .001 0 0]\
         /CharProcs<</sq 13 0 R/tri 14 0 R>>/Encoding<</Type/Encoding/Differences[97/sq/tri]>>\
         /FirstChar 97/LastChar 98/Widths[1000 1000]/Resources<<>>>>",
    )
    .with_stream(13, "", b"1000 0 0 0 750 750 d1 0 0 750 750 re f")
    .with_stream(14, "", b"1000 0 0 0 750 750 d1 0 0 m 375 750 l 750 0 l f")
    .with(15, "<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>")
    .to_file()
}

/// Marks on a page turned by a quarter: a field whose appearance has a matrix, a ticked box with
/// two states, an empty one, a hidden stamp, and a link with a script.
pub(crate) fn marks() -> Vec<u8> {
    let content = shapes(0., 0.);
    Draft::of_page(
        "/MediaBox[0 0 200 300]/Rotate 90/Contents 4 0 R/Resources<</XObject<</Page 5 0 R>>>>\
         /Annots[5 0 R 6 0 R 7 0 R 8 0 R 9 0 R]",
    )
    .with(1, "<</Type/Catalog/Pages 2 0 R/AcroForm<</Fields[5 0 R 6 0 R]>>/OpenAction 20 0 R>>")
    .with_packed(4, "", content.as_bytes())
    .with(
        5,
        "<</Type/Annot/Subtype/Widget/FT/Tx/T(name)/V(Ada)/F 4/Rect[30 200 130 240]\
         /AP<</N 10 0 R>>/AA<</K 20 0 R>>>>",
    )
    .with(
        6,
        "<</Type/Annot/Subtype/Widget/FT/Btn/T(tick)/F 4/Rect[120 120 150 150]/AS/On\
         /AP<</N<</On 11 0 R/Off 12 0 R>>>>>>",
    )
    .with(
        7,
        "<</Type/Annot/Subtype/Widget/FT/Btn/T(not)/F 4/Rect[160 120 190 150]/AS/Off\
         /AP<</N<</On 11 0 R>>>>>>",
    )
    .with(8, "<</Type/Annot/Subtype/Stamp/F 6/Rect[0 0 200 300]/AP<</N 11 0 R>>>>")
    .with(9, "<</Type/Annot/Subtype/Link/F 4/Rect[0 0 200 300]/A 20 0 R/Border[0 0 0]>>")
    // Turned by a quarter and stretched: its box becomes 20 × 50, its rectangle is 100 × 40.
    .with_stream(
        10,
        "/Type/XObject/Subtype/Form/BBox[0 0 50 20]/Matrix[0 1 -1 0 20 0]/Resources<<>>",
        b"0.9 0.9 0.2 rg 0 0 50 20 re f 0 g 2 2 20 5 re f 40 10 m 50 10 l 45 20 l f",
    )
    .with_stream(11, "/BBox[0 0 10 10]", b"1 0 0 RG 0 0 m 10 10 l 0 10 m 10 0 l 2 w S")
    .with_stream(12, "/BBox[0 0 10 10]", b"0 0 10 10 re S")
    .with(20, "<</S/JavaScript/JS(app.alert\\(1\\))>>")
    .to_file()
}

/// Patterns, a shading, nested forms and clips.
pub(crate) fn patterns() -> Vec<u8> {
    let content = "/Pattern cs /Tile scn 10 160 80 130 re f q 1 0.2 0 1 0 0 cm /Tile2 scn \
        100 130 80 80 re f Q q 20 20 m 180 20 l 100 140 l h W n /Sh sh Q \
        q 0.5 0 0 0.5 110 180 cm /Outer Do Q";
    Draft::of_page(
        "/MediaBox[0 0 200 300]/Contents 4 0 R/Resources<</Pattern<</Tile 5 0 R/Tile2 6 0 R>>\
         /Shading<</Sh 7 0 R>>/XObject<</Outer 8 0 R>>>>",
    )
    .with_packed(4, "", content.as_bytes())
    .with_stream(
        5,
        "/PatternType 1/PaintType 1/TilingType 1/BBox[0 0 10 10]/XStep 12/YStep 14\
         /Matrix[1 .3 0 1 3 4]/Resources<<>>",
        b"0 0.5 0 rg 0 0 6 6 re f 0.7 0 0.7 rg 5 5 5 5 re f",
    )
    .with(6, "<</PatternType 2/Shading 7 0 R/Matrix[.5 0 0 .5 60 100]>>")
    .with(
        7,
        "<</ShadingType 2/ColorSpace/DeviceRGB/Coords[20 20 180 140]/Extend[true true]\
         /Function<</FunctionType 2/Domain[0 1]/N 1/C0[1 .8 0]/C1[0 .1 .6]>>>>",
    )
    .with_stream(
        8,
        "/Type/XObject/Subtype/Form/BBox[0 0 150 150]/Matrix[1 0 .2 1 5 5]\
         /Resources<</XObject<</Inner 9 0 R>>>>",
        b"0.9 g 0 0 200 200 re f q 0.6 0.6 -0.6 0.6 70 10 cm /Inner Do Q",
    )
    .with_stream(
        9,
        "/Type/XObject/Subtype/Form/BBox[0 0 80 80]/Resources<<>>",
        b"0 0 1 rg 0 0 100 40 re f",
    )
    .to_file()
}

/// A page group, opacity, a blend mode and a soft mask.
pub(crate) fn transparency() -> Vec<u8> {
    let content = format!(
        "{} q /Half gs 0 0.7 0 rg 30 30 140 200 re f Q q /Mul gs 1 1 0 rg 60 0 80 300 re f Q \
         q /Masked gs 0 0 0.5 rg 0 230 200 60 re f Q",
        shapes(0., 0.)
    );
    Draft::of_page(
        "/MediaBox[0 0 200 300]/Contents 4 0 R/Group<</S/Transparency/CS/DeviceRGB/K false>>\
         /Resources<</ExtGState<</Half<</Type/ExtGState/ca .4>>/Mul<</BM/Multiply>>\
         /Masked<</SMask<</S/Luminosity/G 5 0 R>>>>>>>>",
    )
    .with_packed(4, "", content.as_bytes())
    .with_stream(
        5,
        "/Type/XObject/Subtype/Form/BBox[0 0 200 300]/Group<</S/Transparency/CS/DeviceGray>>\
         /Resources<</Shading<</S 6 0 R>>>>",
        b"/S sh",
    )
    .with(
        6,
        "<</ShadingType 2/ColorSpace/DeviceGray/Coords[0 0 200 0]/Extend[true true]\
         /Function<</FunctionType 2/Domain[0 1]/N 1/C0[0]/C1[1]>>>>",
    )
    .to_file()
}

/// A layer that is on, in the content, and a form on one that is off, or, with `content_off`,
/// the content's own layer off.
pub(crate) fn layered(content_off: bool) -> Vec<u8> {
    let off = if content_off { "6 0 R" } else { "7 0 R" };
    let content = format!("/OC /L BDC {} EMC /Hidden Do", shapes(0., 0.));
    Draft::of_page(
        "/MediaBox[0 0 200 300]/Contents 4 0 R/Resources<</Properties<</L 6 0 R/M 8 0 R>>\
         /XObject<</Hidden 5 0 R>>>>",
    )
    .with(
        1,
        &format!(
            "<</Type/Catalog/Pages 2 0 R/OCProperties<</OCGs[6 0 R 7 0 R]/D<</Order[6 0 R 7 0 R]\
             /OFF[{off}]>>>>>>"
        ),
    )
    .with_packed(4, "", content.as_bytes())
    .with_stream(
        5,
        "/Type/XObject/Subtype/Form/BBox[0 0 200 300]/OC 7 0 R/Resources<<>>",
        b"0 0 200 300 re f",
    )
    .with(6, "<</Type/OCG/Name(Address)>>")
    .with(7, "<</Type/OCG/Name<FEFF0044007200E40066>>>")
    .with(8, "<</Type/OCMD/OCGs[7 0 R]/P/AllOn>>")
    .to_file()
}

/// A file saved again with object streams and a table in a stream.
pub(crate) fn with_object_streams(file: &[u8]) -> Vec<u8> {
    let mut document = lopdf::Document::load_mem(file).expect("a readable file");
    let options = lopdf::SaveOptions::builder()
        .use_object_streams(true)
        .use_xref_streams(true)
        .max_objects_per_stream(4)
        .build();
    let mut saved = Vec::new();
    document.save_with_options(&mut saved, options).expect("a saved file");
    saved
}

/// All sample files with a page to import from each.
pub(crate) fn samples() -> Vec<(&'static str, Vec<u8>, usize)> {
    vec![
        ("upright", shaped("/MediaBox[0 0 200 300]", 0., 0.), 1),
        ("turned-90", shaped("/MediaBox[0 0 200 300]/Rotate 90", 0., 0.), 1),
        ("turned-180", shaped("/MediaBox[0 0 200 300]/Rotate 180", 0., 0.), 1),
        ("turned-270", shaped("/MediaBox[0 0 200 300]/Rotate -90", 0., 0.), 1),
        (
            "cropped",
            shaped(
                "/MediaBox[-50 -20 300 400]/CropBox[180.5 280.25 -20 15.75]/Rotate 90",
                -10.,
                5.,
            ),
            1,
        ),
        ("unit", shaped("/MediaBox[0 0 200 300]/UserUnit 1.5", 0., 0.), 1),
        ("inherited", inherited(), 1),
        ("inherited-turned", inherited(), 2),
        ("several-streams", several_streams(), 1),
        ("pictures", pictures(), 1),
        ("fonts", fonts(), 1),
        ("marks", marks(), 1),
        ("patterns", patterns(), 1),
        ("transparency", transparency(), 1),
        ("layers", layered(false), 1),
        ("object-streams", with_object_streams(&marks()), 1),
        ("object-streams-fonts", with_object_streams(&fonts()), 1),
        ("blank", Draft::of_page("/MediaBox[0 0 200 300]").to_file(), 1),
    ]
}

/// The first page of a file, or the one asked for.
pub(crate) fn import(file: Vec<u8>, number: usize) -> ImportedPage {
    PdfFile::open(file).and_then(|file| file.page(number)).expect("an imported page")
}

/// Where an imported page is put: lower left corner, width and height in points.
pub(crate) type Spot = [f32; 4];

/// A new PDF of one page of the given size in points, with each imported page in its spot.
pub(crate) fn place(size: (f32, f32), pages: &[(&ImportedPage, Spot)]) -> Vec<u8> {
    let mut next = 1;
    let mut allocate = move || {
        next += 1;
        next - 1
    };
    let [catalog, tree, page, stream] = [(); 4].map(|()| Ref::new(allocate()));
    let mut shared = SharedObjects::new();
    let mut carried = Vec::new();
    let mut content = Content::new();
    let mut forms = Vec::new();
    let mut group = None;
    for (index, (imported, [x, y, width, height])) in pages.iter().enumerate() {
        let put = |number: i32, body: &[u8]| {
            carried.push((number, body.to_vec()));
            Ok::<(), std::convert::Infallible>(())
        };
        let written = imported.write_objects(&mut shared, &mut allocate, put).expect("written");
        let matrix =
            imported.placement(f64::from(*x), f64::from(*y), f64::from(*width), f64::from(*height));
        let name = format!("P{index}");
        content.save_state();
        content.transform(matrix.map(|number| number as f32));
        content.x_object(Name(name.as_bytes()));
        content.restore_state();
        forms.push((name, Ref::new(written.form)));
        group = group.or(written.group);
    }
    let mut pdf = Pdf::new();
    pdf.catalog(catalog).pages(tree);
    pdf.pages(tree).kids([page]).count(1);
    let mut target = pdf.page(page);
    target.parent(tree).media_box(Rect::new(0.0, 0.0, size.0, size.1)).contents(stream);
    if let Some(group) = group {
        target.pair(Name(b"Group"), Ref::new(group));
    }
    let mut resources = target.resources();
    let mut names = resources.x_objects();
    for (name, form) in &forms {
        names.pair(Name(name.as_bytes()), *form);
    }
    names.finish();
    resources.finish();
    target.finish();
    pdf.stream(stream, &content.finish());
    append_objects(pdf.finish(), &carried)
}

/// Adds objects given in bytes to a finished file, as an update of it.
fn append_objects(mut file: Vec<u8>, objects: &[(i32, Vec<u8>)]) -> Vec<u8> {
    let text = String::from_utf8_lossy(&file).into_owned();
    let previous = text.rsplit("startxref").next().expect("a start").trim();
    let previous: usize =
        previous.split_whitespace().next().expect("a place").parse().expect("digits");
    let mut rows = String::new();
    for (number, body) in objects {
        write!(rows, "{number} 1\n{:010} 00000 n \n", file.len()).expect("text");
        file.extend_from_slice(format!("{number} 0 obj\n").as_bytes());
        file.extend_from_slice(body);
        file.extend_from_slice(b"\nendobj\n");
    }
    let size = objects.iter().map(|(number, _)| number + 1).max().unwrap_or(5).max(5);
    let start = file.len();
    let tail = format!(
        "xref\n0 1\n0000000000 65535 f \n{rows}trailer\n<</Size {size}/Root 1 0 R/Prev {previous}>>\n\
         startxref\n{start}\n%%EOF\n"
    );
    file.extend_from_slice(tail.as_bytes());
    file
}
