//! The PDF writer, judged by an independent reader (lopdf).

use crate::export_support;

use std::collections::BTreeSet;
use std::sync::Arc;

use export_support::PageBuilder;
use export_support::label::{label, label_of};
use export_support::ladder::{ladder, noise};
use lopdf::{Dictionary, Document, Object, ObjectId};
use slipwright::export::{Duplex, PdfDate};
use slipwright::fonts::{Cut, Shaper, TextStyle};
use slipwright::geom::Stance;
use slipwright::images::Raster;
use slipwright::scene::Ink;
use slipwright::sides::TurnEdge;
use slipwright::{DotGrid, FontBook, Page, PdfEncoder, PdfOptions, PdfWriter, write_pdf};

/// Pages as the bytes of a PDF.
pub(crate) fn to_pdf(pages: &[Page], options: &PdfOptions) -> Vec<u8> {
    write_pdf(pages, &FontBook::builtin(), options, Vec::new()).unwrap()
}

/// Pages as a PDF read back.
pub(crate) fn read_back(pages: &[Page]) -> Document {
    Document::load_mem(&to_pdf(pages, &PdfOptions::default())).unwrap()
}

/// Some different labels.
pub(crate) fn labels(count: u32) -> Vec<Page> {
    let mut shaper = Shaper::new(&FontBook::builtin());
    (0..count).map(|number| label(&mut shaper, number)).collect()
}

/// A page with one line of text.
fn text_page(text: &str) -> Page {
    let mut shaper = Shaper::new(&FontBook::builtin());
    let mut page = PageBuilder::new(&mut shaper, (100.0, 50.0), DotGrid::DPI_203, text);
    page.text((5.0, 20.0), 9.0, Cut::Regular, text);
    page.finish()
}

/// The dictionary of a page.
fn page_dict(document: &Document, id: ObjectId) -> &Dictionary {
    document.get_dictionary(id).unwrap()
}

/// A dictionary under a key, whether direct or not.
fn sub_dict<'a>(document: &'a Document, dict: &'a Dictionary, key: &str) -> &'a Dictionary {
    let object = dict.get(key.as_bytes()).unwrap();
    match object {
        Object::Reference(id) => document.get_dictionary(*id).unwrap(),
        direct => direct.as_dict().unwrap(),
    }
}

/// The content of a stream.
fn stream(document: &Document, dict: &Dictionary, key: &str) -> Vec<u8> {
    let id = dict.get(key.as_bytes()).unwrap().as_reference().unwrap();
    let stream = document.get_object(id).unwrap().as_stream().unwrap();
    stream.decompressed_content().unwrap_or_else(|_| stream.content.clone())
}

/// The fonts of a document.
fn fonts(document: &Document) -> Vec<&Dictionary> {
    let fonts = document.objects.values().filter_map(|object| object.as_dict().ok());
    fonts
        .filter(|dict| {
            dict.get(b"Subtype").is_ok_and(|it| it.as_name().is_ok_and(|it| it == b"Type0"))
        })
        .collect()
}

#[test]
fn boxes_are_the_paper() {
    // ISO 216 sizes, Letter and 4×6 in in points, and a roll size.
    let papers = [
        ((210.0, 297.0), (595.276, 841.890)),
        ((148.0, 210.0), (419.528, 595.276)),
        ((105.0, 148.0), (297.638, 419.528)),
        ((215.9, 279.4), (612.0, 792.0)),
        ((101.6, 152.4), (288.0, 432.0)),
        ((62.0, 100.0), (175.748, 283.465)),
    ];
    let mut shaper = Shaper::new(&FontBook::builtin());
    let pages: Vec<Page> = papers
        .iter()
        .map(|&(size, _)| PageBuilder::new(&mut shaper, size, DotGrid::DPI_203, "p").finish())
        .collect();
    let document = read_back(&pages);
    let found = document.get_pages();
    assert_eq!(found.len(), papers.len());
    for (id, (_, (width, height))) in found.values().zip(papers) {
        let page = page_dict(&document, *id);
        for name in ["MediaBox", "CropBox", "TrimBox"] {
            let sides = page.get(name.as_bytes()).unwrap().as_array().unwrap();
            let sides: Vec<f64> =
                sides.iter().map(|it| f64::from(it.as_float().unwrap())).collect();
            assert_eq!(sides[..2], [0.0, 0.0], "{name}");
            assert!(
                (sides[2] - width).abs() < 0.001 && (sides[3] - height).abs() < 0.001,
                "{sides:?}"
            );
        }
        assert!(!page.has(b"Rotate") && !page.has(b"UserUnit"));
    }
}

#[test]
fn printers_are_asked_for_true_size() {
    let options =
        PdfOptions { duplex: Some(Duplex::Turned(TurnEdge::Short)), ..PdfOptions::default() };
    let document = Document::load_mem(&to_pdf(&labels(1), &options)).unwrap();
    let preferences = sub_dict(&document, document.catalog().unwrap(), "ViewerPreferences");
    assert_eq!(preferences.get(b"PrintScaling").unwrap().as_name().unwrap(), b"None");
    assert!(preferences.get(b"PickTrayByPDFSize").unwrap().as_bool().unwrap());
    assert_eq!(preferences.get(b"Duplex").unwrap().as_name().unwrap(), b"DuplexFlipShortEdge");
}

#[test]
fn metadata_says_the_same_twice_and_knows_no_clock() {
    let options = PdfOptions {
        title: Some("Evening <batch> & more".into()),
        author: Some("Tern Hollow Pens".into()),
        language: Some("en".into()),
        created: Some(PdfDate { year: 2026, month: 3, day: 9, hour: 18, minute: 5, second: 0 }),
        ..PdfOptions::default()
    };
    let document = Document::load_mem(&to_pdf(&labels(1), &options)).unwrap();
    let catalog = document.catalog().unwrap();
    let xmp = String::from_utf8(stream(&document, catalog, "Metadata")).unwrap();
    let xml = roxmltree::Document::parse(&xmp).unwrap();
    let text = |name: &str| {
        let node = xml.descendants().find(|node| node.tag_name().name() == name).unwrap();
        let parts = node.descendants().filter(|node| node.is_text());
        parts.filter_map(|node| node.text()).collect::<String>().trim().to_owned()
    };
    let info = document.trailer.get(b"Info").unwrap().as_reference().unwrap();
    let info = document.get_dictionary(info).unwrap();
    let entry = |name: &[u8]| lopdf::decode_text_string(info.get(name).unwrap()).unwrap();
    assert_eq!((text("title"), text("title")), (entry(b"Title"), "Evening <batch> & more".into()));
    assert_eq!((text("creator"), text("creator")), (entry(b"Author"), "Tern Hollow Pens".into()));
    assert_eq!(text("Producer"), entry(b"Producer"));
    assert_eq!((text("part"), text("conformance")), ("2".into(), "B".into()));
    assert_eq!(text("CreateDate"), "2026-03-09T18:05:00Z");
    assert_eq!(entry(b"CreationDate"), "D:20260309180500Z");
    let plain = read_back(&labels(1));
    let info = plain.trailer.get(b"Info").unwrap().as_reference().unwrap();
    let info = plain.get_dictionary(info).unwrap();
    assert!(!info.has(b"CreationDate") && !info.has(b"ModDate"));
    let ids = plain.trailer.get(b"ID").unwrap().as_array().unwrap();
    assert_eq!(ids[0], ids[1]);
}

#[test]
fn grey_has_its_profile() {
    let document = read_back(&labels(1));
    let intents = document.catalog().unwrap().get(b"OutputIntents").unwrap().as_array().unwrap();
    let intent = intents[0].as_dict().unwrap();
    assert_eq!(intent.get(b"S").unwrap().as_name().unwrap(), b"GTS_PDFA1");
    let profile = stream(&document, intent, "DestOutputProfile");
    assert_eq!(&profile[12..20], b"mntrGRAY");
}

#[test]
fn nothing_that_pdf_a_forbids_is_in_it() {
    let mut shaper = Shaper::new(&FontBook::builtin());
    let pages = [label(&mut shaper, 1), ladder(&mut shaper, (100.0, 150.0), DotGrid::DPI_203)];
    let document = read_back(&pages);
    assert!(!document.trailer.has(b"Encrypt"));
    // ISO 19005-2 §6.1.7, 6.2.5, 6.2.8, 6.2.10, 6.5, 6.6.1, 6.9: what our objects must not hold.
    let forbidden: [&[u8]; 12] = [
        b"LZWDecode",
        b"JavaScript",
        b"JS",
        b"AA",
        b"OpenAction",
        b"Group",
        b"SMask",
        b"TR",
        b"HTP",
        b"Annots",
        b"EmbeddedFiles",
        b"OCProperties",
    ];
    for object in document.objects.values() {
        let dict = match object {
            Object::Dictionary(dict) => dict,
            Object::Stream(stream) => &stream.dict,
            _ => continue,
        };
        for (key, value) in dict {
            assert!(!forbidden.contains(&&key[..]), "{}", String::from_utf8_lossy(key));
            assert!(!value.as_name().is_ok_and(|name| forbidden.contains(&name)));
            assert!(key != b"Interpolate", "images are not smoothed");
        }
    }
    let known = "cm q Q g re f f* m l c h BT ET Tf Td TJ Tc Ts BMC BDC EMC Do";
    let known: BTreeSet<&str> = known.split(' ').collect();
    for id in document.get_pages().into_values() {
        let content = lopdf::content::Content::decode(&document.get_page_content(id)).unwrap();
        for operation in content.operations {
            assert!(known.contains(&operation.operator[..]), "{}", operation.operator);
        }
    }
}

#[test]
fn text_comes_back_as_it_was() {
    let pages = labels(6);
    let document = read_back(&pages);
    for (number, page) in (1..).zip(&pages) {
        // This reader parts runs by spaces or lines of its own making.
        let found = document.extract_text(&[number]).unwrap();
        let found: Vec<&str> = found.split_whitespace().collect();
        let wanted: Vec<&str> = export_support::texts(page).collect();
        assert_eq!(found.join(" "), wanted.join(" "));
    }
}

#[test]
fn what_glyphs_cannot_say_is_said_beside_them() {
    let cases = [
        ("plain words", 0),
        // A ligature of the font, a mark without a letter of its own, a space that shares a glyph.
        ("office", 1),
        ("b\u{301}", 1),
        ("one b\u{301} two ﬁ", 2),
    ];
    for (text, spans) in cases {
        let page = text_page(text);
        let document = read_back(&[page]);
        let id = document.get_pages()[&1];
        let content = lopdf::content::Content::decode(&document.get_page_content(id)).unwrap();
        let said: Vec<String> = content
            .operations
            .iter()
            .filter(|operation| operation.operator == "BDC")
            .filter_map(|operation| {
                let dict = operation.operands[1].as_dict().unwrap();
                let said = dict.get(b"ActualText").ok()?;
                Some(lopdf::decode_text_string(said).unwrap())
            })
            .collect();
        assert!(said.len() <= spans, "{text}: {said:?}");
        for word in said {
            assert!(text.split(' ').any(|it| it == word), "{text}: {word}");
        }
    }
}

#[test]
fn fonts_are_embedded_subset_and_measured_alike() {
    let document = read_back(&labels(6));
    let fonts = fonts(&document);
    assert_eq!(fonts.len(), 3);
    for font in fonts {
        let name = font.get(b"BaseFont").unwrap().as_name().unwrap();
        assert!(name[..6].iter().all(u8::is_ascii_uppercase) && name[6] == b'+');
        assert!(!stream(&document, font, "ToUnicode").is_empty());
        let cid =
            font.get(b"DescendantFonts").unwrap().as_array().unwrap()[0].as_reference().unwrap();
        let cid = document.get_dictionary(cid).unwrap();
        let map = stream(&document, cid, "CIDToGIDMap");
        let file = stream(&document, sub_dict(&document, cid, "FontDescriptor"), "FontFile2");
        let face = ttf_parser::Face::parse(&file, 0).unwrap();
        assert!(face.number_of_glyphs() < 200);
        let widths = cid.get(b"W").unwrap().as_array().unwrap();
        let mut measured = 0;
        for pair in widths.chunks(2) {
            let first = pair[0].as_i64().unwrap() as usize;
            for (place, width) in pair[1].as_array().unwrap().iter().enumerate() {
                let at = 2 * (first + place);
                let glyph = u16::from_be_bytes([map[at], map[at + 1]]);
                let advance = face.glyph_hor_advance(ttf_parser::GlyphId(glyph)).unwrap();
                let wanted = f64::from(advance) / f64::from(face.units_per_em()) * 1000.0;
                assert!((f64::from(width.as_float().unwrap()) - wanted).abs() < 0.5);
                measured += 1;
            }
        }
        assert!(measured > 5);
    }
}

#[test]
fn each_title_has_one_entry_that_leads_to_its_first_page() {
    let mut pages = labels(5);
    pages[2].title = pages[1].title.clone();
    pages[4].title = String::new();
    let document = read_back(&pages);
    let places: Vec<ObjectId> = document.get_pages().into_values().collect();
    let outlines = sub_dict(&document, document.catalog().unwrap(), "Outlines");
    assert_eq!(outlines.get(b"Count").unwrap().as_i64().unwrap(), 3);
    let mut next = outlines.get(b"First").unwrap().as_reference().ok();
    let (mut found, mut before) = (Vec::new(), None);
    while let Some(id) = next {
        let item = document.get_dictionary(id).unwrap();
        assert_eq!(item.get(b"Prev").ok().map(|it| it.as_reference().unwrap()), before);
        let page = item.get(b"Dest").unwrap().as_array().unwrap()[0].as_reference().unwrap();
        let title = lopdf::decode_text_string(item.get(b"Title").unwrap()).unwrap();
        found.push((title, places.iter().position(|it| *it == page).unwrap()));
        before = Some(id);
        next = item.get(b"Next").ok().map(|it| it.as_reference().unwrap());
    }
    assert_eq!(outlines.get(b"Last").unwrap().as_reference().ok(), before);
    let wanted = [0, 1, 3].map(|at| (pages[at].title.clone(), at));
    assert_eq!(found, wanted);
}

#[test]
fn page_trees_are_shallow_and_in_order() {
    let mut shaper = Shaper::new(&FontBook::builtin());
    for count in [1, 31, 32, 33, 1023, 1024, 1025, 2100] {
        let pages: Vec<Page> = (0..count)
            .map(|number| {
                let size = (50.0 + f64::from(number) / 100.0, 25.0);
                PageBuilder::new(&mut shaper, size, DotGrid::DPI_203, &number.to_string()).finish()
            })
            .collect();
        let document = read_back(&pages);
        let found = document.get_pages();
        assert_eq!(found.len(), pages.len());
        for (id, page) in found.values().zip(&pages) {
            let sides = page_dict(&document, *id).get(b"MediaBox").unwrap().as_array().unwrap();
            let width = f64::from(sides[2].as_float().unwrap());
            assert!((width - page.size.width.to_pt()).abs() < 0.001);
        }
        let root = document.catalog().unwrap().get(b"Pages").unwrap().as_reference().unwrap();
        check_node(&document, root, None, count);
    }
}

/// Looks through a node: its count, its parent, few children, and all leaves equally deep; tells
/// how deep.
fn check_node(document: &Document, id: ObjectId, parent: Option<ObjectId>, count: u32) -> u32 {
    let node = document.get_dictionary(id).unwrap();
    assert_eq!(node.get(b"Parent").ok().map(|it| it.as_reference().unwrap()), parent);
    if node.get(b"Type").unwrap().as_name().unwrap() == b"Page" {
        assert_eq!(count, 1);
        return 0;
    }
    assert_eq!(node.get(b"Count").unwrap().as_i64().unwrap(), i64::from(count));
    let children = node.get(b"Kids").unwrap().as_array().unwrap();
    assert!((1..=32).contains(&children.len()));
    let depths: BTreeSet<u32> = children
        .iter()
        .map(|child| {
            let child = child.as_reference().unwrap();
            let dict = document.get_dictionary(child).unwrap();
            let pages = dict.get(b"Count").map_or(1, |it| it.as_i64().unwrap() as u32);
            check_node(document, child, Some(id), pages)
        })
        .collect();
    assert_eq!(depths.len(), 1);
    depths.into_iter().next().unwrap() + 1
}

#[test]
fn pictures_are_embedded_once_by_what_they_are() {
    let mut shaper = Shaper::new(&FontBook::builtin());
    let logo = noise(200, 100);
    let gear = export_support::gear(40);
    let grey = |value: u8| {
        Arc::new(Raster::Gray(slipwright::images::GrayImage {
            width: 2,
            height: 2,
            pixels: vec![value; 4],
        }))
    };
    let mut pages = Vec::new();
    for number in 0..3 {
        let mut page = PageBuilder::new(&mut shaper, (100.0, 50.0), DotGrid::DPI_203, "p");
        page.picture([5.0, 5.0, 25.0, 12.5], &logo);
        // Equal content in another place of memory is the same picture.
        page.picture([40.0, 5.0, 25.0, 12.5], &noise(200, 100));
        page.picture([5.0, 30.0, 5.0, 5.0], &grey(number));
        page.outline(&gear, (70.0, 5.0), 0.1);
        pages.push(page.finish());
    }
    let document = read_back(&pages);
    let count = |subtype: &[u8]| {
        let streams = document.objects.values().filter_map(|object| object.as_stream().ok());
        streams
            .filter(|it| {
                it.dict.get(b"Subtype").is_ok_and(|it| it.as_name().is_ok_and(|it| it == subtype))
            })
            .count()
    };
    assert_eq!(count(b"Image"), 1 + 3);
    assert_eq!(count(b"Form"), 1);
}

#[test]
fn the_same_bytes_from_any_number_of_threads() {
    let pages = labels(40);
    let (book, options) = (FontBook::builtin(), PdfOptions::default());
    let once = to_pdf(&pages, &options);
    assert_eq!(once, to_pdf(&pages, &options));
    let encoder = PdfEncoder::new(&book, &options);
    let encoded: Vec<_> = std::thread::scope(|scope| {
        let halves = [0, 1].map(|half| {
            let (pages, encoder) = (&pages, &encoder);
            // From the end, so that nothing depends on what was encoded before.
            scope.spawn(move || {
                let mine = (0..pages.len()).filter(|at| at % 2 == half).rev();
                mine.map(|at| (at, encoder.encode_page(&pages[at]))).collect::<Vec<_>>()
            })
        });
        let mut all: Vec<_> = halves.into_iter().flat_map(|half| half.join().unwrap()).collect();
        all.sort_by_key(|(at, _)| *at);
        all
    });
    let mut writer = PdfWriter::new(Vec::new(), &book, &options).unwrap();
    for (_, page) in encoded {
        writer.push(page).unwrap();
    }
    assert!(once == writer.finish().unwrap());
}

#[test]
fn different_documents_have_different_names() {
    let name = |pages: &[Page]| {
        let document = read_back(pages);
        document.trailer.get(b"ID").unwrap().as_array().unwrap()[0].as_str().unwrap().to_vec()
    };
    let pages = labels(3);
    assert_ne!(name(&pages[..2]), name(&pages[1..]));
    assert_eq!(name(&pages), name(&labels(3)));
}

#[test]
fn the_readable_form_is_for_people() {
    let mut shaper = Shaper::new(&FontBook::builtin());
    let mut page = PageBuilder::new(&mut shaper, (50.0, 25.0), DotGrid::DPI_203, "small");
    page.fill([8, 8, 100, 3], Ink::Black);
    page.fill([8, 20, 40, 16], Ink::Black);
    page.styled((2.0, 4.0), 9.0, &TextStyle::default(), Ink::White, "To AV");
    page.code128((20, 60), 2, 40, Stance::UPRIGHT, "12");
    let options = PdfOptions { compress: false, ..PdfOptions::default() };
    let file = String::from_utf8_lossy(&to_pdf(&[page.finish()], &options)).into_owned();
    let content = file.split("stream\n").nth(1).unwrap().strip_suffix("\nend").unwrap();
    assert_eq!(content.trim_end(), include_str!("export_support/small.content").trim_end());
    for part in
        ["/Type /Page\n", "/MediaBox [0 0 141.7323 70.8661]", "/PrintScaling /None", "xref\n0 "]
    {
        assert!(file.contains(part), "{part}");
    }
}

#[test]
fn other_printers_have_their_own_dots() {
    let mut shaper = Shaper::new(&FontBook::builtin());
    let page = label_of(&mut shaper, 0, DotGrid::from_dpi(300.0).unwrap(), (100.0, 150.0));
    let document = read_back(&[page]);
    let id = document.get_pages()[&1];
    let content = document.get_page_content(id);
    assert!(content.starts_with(b".24 0 0 .24 0 425.1969 cm\n"));
}
