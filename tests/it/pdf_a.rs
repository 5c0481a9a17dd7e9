//! PDF/A-2b, clause by clause: what ISO 19005-2:2011 asks of files like ours, and a check of each
//! on files read by lopdf. No validator can be had from the package registries, so this table is
//! the list of what is relied on. Clauses are numbered as in the standard; what each asks is put in
//! our words, from the published rules of the open validation profile for level 2b.
//!
//! Each check is also shown to fail: `pdf_a_faults` breaks a file for every clause.

use std::collections::BTreeSet;

use lopdf::{Dictionary, Document, Object};
use slipwright::fonts::Shaper;
use slipwright::ruler::{Ruler, draw_ruler};
use slipwright::scene::MarkKind;
use slipwright::shipped::SHIPPED;
use slipwright::stock::{Printer, Stock};
use slipwright::{DotGrid, FontBook, Page, PdfOptions, write_pdf};

use crate::export_support::ladder::ladder;
use crate::pdf_a_fonts::{
    check_encodings, check_font_dicts, check_font_names, check_glyphs, check_notdef, check_widths,
    fonts, shown,
};
use crate::pdf_a_tags::{check_language, check_marked, check_roles, check_tree};
use crate::sample_pages::sample_pages;

/// A file as bytes and as objects.
pub(crate) struct Seen {
    /// The bytes.
    pub(crate) bytes: Vec<u8>,
    /// The objects.
    pub(crate) document: Document,
}

/// What holds, or what does not.
pub(crate) type Verdict = Result<(), String>;

/// A clause: its number, what it asks, and its check.
pub(crate) type Clause = (&'static str, &'static str, fn(&Seen) -> Verdict);

/// The clauses that files like ours can break.
pub(crate) const CLAUSES: &[Clause] = &[
    ("6.1.2", "the file begins with its version, then a comment of four high bytes", check_header),
    ("6.1.3", "the trailer has an ID, no encryption, and nothing follows it", check_trailer),
    ("6.1.7", "streams have their true length, no outside data, no LZW, no Crypt", check_streams),
    ("6.1.8", "names of fonts are UTF-8", check_font_names),
    ("6.1.12", "no permissions", |seen| no_key(seen, &["Perms"])),
    ("6.1.13", "numbers, strings, names and pages keep within limits", check_limits),
    ("6.2.2", "known operators only, and every page has its resources", check_operators),
    ("6.2.3", "one output intent with the profile of a monitor or printer", check_intent),
    (
        "6.2.4.3",
        "device grey, and device colours, only where the output intent explains them",
        check_colours,
    ),
    ("6.2.5", "no graphics state dictionaries: no transfer curves, no halftones", |seen| {
        no_key(seen, &["ExtGState", "TR", "TR2", "HTP", "HalftoneType"])
    }),
    ("6.2.6", "no rendering intents", |seen| no_key(seen, &["Intent", "RI"])),
    ("6.2.8", "pictures have no alternates, no OPI, no smoothing, 1 or 8 bits", check_pictures),
    ("6.2.9", "forms have no OPI, nothing by reference, no PostScript", |seen| {
        no_key(seen, &["OPI", "Ref", "PS", "Subtype2"])?;
        no_subtype(seen, &["PS"])
    }),
    ("6.2.10", "no transparency", |seen| {
        no_key(seen, &["SMask", "SMaskInData", "Group", "BM", "CA", "ca"])
    }),
    ("6.2.11.2", "fonts are composite fonts with their names agreeing", check_font_dicts),
    ("6.2.11.3", "codes lead to glyphs by Identity-H and an embedded map", check_encodings),
    ("6.2.11.4", "fonts are embedded with every glyph that is shown; no CIDSet", check_glyphs),
    ("6.2.11.5", "widths are those of the font program", check_widths),
    ("6.2.11.8", "no text shows the missing glyph", check_notdef),
    ("6.3", "no annotations", |seen| no_key(seen, &["Annots"])),
    ("6.4", "no forms to fill in, nothing to render anew", |seen| {
        no_key(seen, &["AcroForm", "XFA", "NeedsRendering"])
    }),
    ("6.5", "no actions", |seen| {
        no_key(seen, &["A", "AA", "OpenAction", "JS", "JavaScript"])?;
        no_type(seen, "Action")
    }),
    ("6.6.2", "metadata is an XMP packet in UTF-8 of known properties", check_xmp),
    ("6.6.4", "the metadata says part 2, conformance B", check_identification),
    // Level B asks for none of 6.7; what is said of a file all the same must be right.
    ("6.7.2.2", "the catalog says that the file is tagged", check_marked),
    ("6.7.3.3", "a tree of what the pages say, and every page in it", check_tree),
    ("6.7.3.4", "only roles that every reader knows, so that none needs a map", check_roles),
    ("6.7.4", "a language, where one is said, is a language tag", check_language),
    ("6.8", "no files inside", |seen| no_key(seen, &["EF", "EmbeddedFiles", "AF"])),
    ("6.9", "no optional content", |seen| no_key(seen, &["OCProperties", "OC"])),
    ("6.10", "no presentations", |seen| no_key(seen, &["AlternatePresentations", "PresSteps"])),
    ("6.11", "nothing is required of a reader", |seen| no_key(seen, &["Requirements"])),
];

/// The files that are checked: every kind of mark, every shipped layout, a page of a ruler; packed
/// and for people.
fn files() -> Vec<(String, Seen)> {
    let grid = DotGrid::DPI_203;
    let book = FontBook::builtin();
    let mut shaper = Shaper::new(&book);
    let stock = Stock::find("4x6in").unwrap();
    let ruler = Ruler { stock: &stock, printer: &Printer::default(), grid };
    let mut all = vec![
        ("ladder".to_owned(), vec![ladder(&mut shaper, (100.0, 150.0), grid)]),
        ("ruler".to_owned(), vec![draw_ruler(&ruler, &book).unwrap()]),
    ];
    all.extend(SHIPPED.iter().map(|layout| {
        let mut pages = sample_pages(layout.name, grid);
        // The fourth parcel is addressed in Greek.
        pages.truncate(5);
        (layout.name.to_owned(), pages)
    }));
    let mut files = Vec::new();
    for (name, pages) in all {
        for compress in [true, false] {
            files.push((format!("{name}, compressed: {compress}"), see(&pages, compress)));
        }
    }
    files
}

/// Pages as a file.
pub(crate) fn see(pages: &[Page], compress: bool) -> Seen {
    let options = PdfOptions {
        compress,
        author: Some("Tern Hollow Pens".to_owned()),
        language: Some("en".to_owned()),
        ..PdfOptions::default()
    };
    let bytes = write_pdf(pages, &FontBook::builtin(), &options, Vec::new()).unwrap();
    let document = Document::load_mem(&bytes).unwrap();
    Seen { bytes, document }
}

/// Complains unless something holds.
pub(crate) fn holds(good: bool, what: impl FnOnce() -> String) -> Verdict {
    if good { Ok(()) } else { Err(what()) }
}

/// Every object of a file with those inside it.
fn objects(seen: &Seen) -> Vec<&Object> {
    let mut all: Vec<&Object> = seen.document.objects.values().collect();
    let mut next = 0;
    while next < all.len() {
        match all[next] {
            Object::Array(items) => all.extend(items),
            Object::Dictionary(dict) => all.extend(dict.iter().map(|(_, value)| value)),
            Object::Stream(stream) => all.extend(stream.dict.iter().map(|(_, value)| value)),
            _ => {}
        }
        next += 1;
    }
    all
}

/// Every dictionary of a file, those of streams too.
pub(crate) fn dicts(seen: &Seen) -> Vec<&Dictionary> {
    let dicts = objects(seen).into_iter().filter_map(|object| match object {
        Object::Dictionary(dict) => Some(dict),
        Object::Stream(stream) => Some(&stream.dict),
        _ => None,
    });
    dicts.collect()
}

/// Whether a key of a dictionary is a name.
pub(crate) fn has_name(dict: &Dictionary, key: &str, name: &str) -> bool {
    dict.get(key.as_bytes()).is_ok_and(|it| it.as_name().is_ok_and(|it| it == name.as_bytes()))
}

/// The dictionaries of a type.
pub(crate) fn typed<'s>(seen: &'s Seen, key: &str, name: &str) -> Vec<&'s Dictionary> {
    dicts(seen).into_iter().filter(|dict| has_name(dict, key, name)).collect()
}

/// No dictionary has one of some keys. Font names are values, and glyph or font names are keys of
/// resources only, which begin with F and X and a figure.
pub(crate) fn no_key(seen: &Seen, keys: &[&str]) -> Verdict {
    for dict in dicts(seen) {
        for key in keys {
            holds(!dict.has(key.as_bytes()), || format!("a dictionary has {key}"))?;
        }
    }
    Ok(())
}

/// No dictionary is of a type.
fn no_type(seen: &Seen, name: &str) -> Verdict {
    holds(typed(seen, "Type", name).is_empty(), || format!("there is a {name}"))
}

/// No dictionary is of one of some subtypes.
fn no_subtype(seen: &Seen, names: &[&str]) -> Verdict {
    let found = names.iter().find(|name| !typed(seen, "Subtype", name).is_empty());
    holds(found.is_none(), || format!("there is a {found:?}"))
}

/// What a key leads to.
pub(crate) fn follow<'s>(
    seen: &'s Seen,
    dict: &'s Dictionary,
    key: &str,
) -> Result<&'s Object, String> {
    let object = dict.get(key.as_bytes()).map_err(|_| format!("no {key}"))?;
    match object {
        Object::Reference(id) => seen.document.get_object(*id).map_err(|it| it.to_string()),
        direct => Ok(direct),
    }
}

/// The dictionary that a key leads to.
pub(crate) fn follow_dict<'s>(
    seen: &'s Seen,
    dict: &'s Dictionary,
    key: &str,
) -> Result<&'s Dictionary, String> {
    match follow(seen, dict, key)? {
        Object::Dictionary(dict) => Ok(dict),
        Object::Stream(stream) => Ok(&stream.dict),
        other => Err(format!("{key} is {other:?}")),
    }
}

/// What the stream that a key leads to holds.
pub(crate) fn follow_stream(seen: &Seen, dict: &Dictionary, key: &str) -> Result<Vec<u8>, String> {
    let stream = follow(seen, dict, key)?.as_stream().map_err(|it| it.to_string())?;
    Ok(stream.decompressed_content().unwrap_or_else(|_| stream.content.clone()))
}

/// See [`CLAUSES`].
fn check_header(seen: &Seen) -> Verdict {
    let bytes = &seen.bytes;
    holds(bytes.starts_with(b"%PDF-1.7\n%"), || "the header is another".to_owned())?;
    let high = bytes[10..14].iter().all(|byte| *byte > 127);
    holds(high && bytes[14] == b'\n', || "no comment of high bytes".to_owned())
}

/// See [`CLAUSES`].
fn check_trailer(seen: &Seen) -> Verdict {
    let trailer = &seen.document.trailer;
    holds(!trailer.has(b"Encrypt"), || "encrypted".to_owned())?;
    let ids = trailer.get(b"ID").and_then(Object::as_array).map_err(|it| it.to_string())?;
    let long = ids.iter().all(|id| id.as_str().is_ok_and(|id| id.len() >= 16));
    holds(ids.len() == 2 && long, || "no ID of two parts".to_owned())?;
    let end = [&b"%%EOF\n"[..], b"%%EOF"].iter().any(|end| seen.bytes.ends_with(end));
    // Maps inside the file end with the same word; what a file ends with is said only once.
    let once = find_all(&seen.bytes, b"startxref").len();
    holds(end && once == 1, || "something follows the end, or it ends twice".to_owned())
}

/// See [`CLAUSES`]. Lengths and line ends are looked at in the bytes, as a reader would miss them.
fn check_streams(seen: &Seen) -> Verdict {
    for object in seen.document.objects.values() {
        let Object::Stream(stream) = object else { continue };
        for key in ["F", "FFilter", "FDecodeParms"] {
            holds(!stream.dict.has(key.as_bytes()), || format!("a stream has {key}"))?;
        }
        let known = ["FlateDecode"];
        if let Ok(filter) = stream.dict.get(b"Filter") {
            let good = known.iter().any(|it| filter.as_name().is_ok_and(|f| f == it.as_bytes()));
            holds(good, || format!("a stream is packed by {filter:?}"))?;
        }
    }
    let starts = find_all(&seen.bytes, b"stream\n");
    let starts = starts.into_iter().filter(|at| !seen.bytes[..*at].ends_with(b"end"));
    for at in starts {
        let head = &seen.bytes[at.saturating_sub(400)..at];
        let text = String::from_utf8_lossy(head);
        let Some((_, length)) = text.rsplit_once("/Length ") else { continue };
        let digits: String = length.chars().take_while(char::is_ascii_digit).collect();
        let length: usize = digits.parse().map_err(|_| format!("a length of `{digits}`"))?;
        let end = at + 7 + length;
        let rest = &seen.bytes[end..(end + 10).min(seen.bytes.len())];
        holds(rest.starts_with(b"\nendstream"), || format!("{length} bytes from {at} end early"))?;
    }
    Ok(())
}

/// Where a piece of bytes stands.
pub(crate) fn find_all(bytes: &[u8], piece: &[u8]) -> Vec<usize> {
    let found = bytes.windows(piece.len()).enumerate();
    found.filter(|(_, it)| *it == piece).map(|(at, _)| at).collect()
}

/// See [`CLAUSES`].
fn check_limits(seen: &Seen) -> Verdict {
    holds(seen.document.objects.len() < 8_388_607, || "too many objects".to_owned())?;
    for object in objects(seen) {
        let good = match object {
            Object::Integer(value) => i32::try_from(*value).is_ok(),
            Object::Real(value) => {
                value.is_finite() && (*value == 0.0 || value.abs() > f32::MIN_POSITIVE)
            }
            Object::String(text, _) => text.len() <= 32_767,
            Object::Name(name) => name.len() <= 127,
            _ => true,
        };
        holds(good, || format!("{object:?}"))?;
    }
    for page in typed(seen, "Type", "Page") {
        let sides =
            page.get(b"MediaBox").and_then(Object::as_array).map_err(|it| it.to_string())?;
        let far = sides.iter().skip(2).filter_map(|it| it.as_float().ok());
        let good =
            far.clone().count() == 2 && far.into_iter().all(|it| (3.0..14400.0).contains(&it));
        holds(good, || format!("a page of {sides:?}"))?;
    }
    Ok(())
}

/// The operators that our pages use, all of ISO 32000-1 Annex A.
const OPERATORS: &str = "cm q Q g rg re W n f f* m l c h BT ET Tf Td TJ Tc Ts BMC BDC EMC Do";

/// See [`CLAUSES`].
fn check_operators(seen: &Seen) -> Verdict {
    let known: BTreeSet<&str> = OPERATORS.split(' ').collect();
    for page in typed(seen, "Type", "Page") {
        let resources = follow_dict(seen, page, "Resources")?;
        let named = |kind: &str, name: &[u8]| {
            follow_dict(seen, resources, kind).is_ok_and(|all| all.has(name))
        };
        let content = follow_stream(seen, page, "Contents")?;
        let mut open = 0;
        for operation in operations(&content)? {
            let operator = &operation.operator[..];
            holds(known.contains(operator), || format!("the operator `{operator}`"))?;
            let name = operation.operands.first().and_then(|it| it.as_name().ok());
            match (operator, name) {
                ("Tf", Some(name)) => holds(named("Font", name), || format!("no font {name:?}"))?,
                ("Do", Some(name)) => holds(named("XObject", name), || format!("no {name:?}"))?,
                ("q", _) => open += 1,
                ("Q", _) => open -= 1,
                _ => {}
            }
            holds((0..=28).contains(&open), || format!("{open} states saved"))?;
        }
        holds(open == 0, || "a state stays open".to_owned())?;
    }
    for form in typed(seen, "Subtype", "Form") {
        holds(form.has(b"Resources"), || "a form without resources".to_owned())?;
    }
    Ok(())
}

/// The operations of a content stream.
pub(crate) fn operations(content: &[u8]) -> Result<Vec<lopdf::content::Operation>, String> {
    let content = lopdf::content::Content::decode(content).map_err(|it| it.to_string())?;
    Ok(content.operations)
}

/// See [`CLAUSES`]. The profile is read as ICC.1 lays it out: class, colour space and PCS stand at
/// bytes 12, 16 and 20, the version at byte 8.
fn check_intent(seen: &Seen) -> Verdict {
    let catalog = seen.document.catalog().map_err(|it| it.to_string())?;
    let intents =
        follow(seen, catalog, "OutputIntents")?.as_array().map_err(|it| it.to_string())?;
    holds(intents.len() == 1, || format!("{} output intents", intents.len()))?;
    let intent = intents[0].as_dict().map_err(|it| it.to_string())?;
    holds(has_name(intent, "S", "GTS_PDFA1"), || "the intent of another standard".to_owned())?;
    holds(!intent.has(b"DestOutputProfileRef"), || "a profile by reference".to_owned())?;
    let dict = follow_dict(seen, intent, "DestOutputProfile")?;
    let components = dict.get(b"N").and_then(Object::as_i64).map_err(|it| it.to_string())?;
    let profile = follow_stream(seen, intent, "DestOutputProfile")?;
    let kind = profile.get(12..16);
    holds(kind == Some(b"mntr") || kind == Some(b"prtr"), || "no profile of a device".to_owned())?;
    let spaces: [(&[u8], u8, i64); 2] = [(b"GRAY", 2, 1), (b"RGB ", 4, 3)];
    let good = spaces.contains(&(&profile[16..20], profile[8], components));
    holds(good, || "the profile is neither one of grey nor one of colours".to_owned())
}

/// Whether the output intent explains colours.
fn explains_colours(seen: &Seen) -> Result<bool, String> {
    check_intent(seen)?;
    let catalog = seen.document.catalog().map_err(|it| it.to_string())?;
    let intents =
        follow(seen, catalog, "OutputIntents")?.as_array().map_err(|it| it.to_string())?;
    let intent = intents[0].as_dict().map_err(|it| it.to_string())?;
    let dict = follow_dict(seen, intent, "DestOutputProfile")?;
    Ok(matches!(dict.get(b"N").and_then(Object::as_i64), Ok(3)))
}

/// See [`CLAUSES`].
fn check_colours(seen: &Seen) -> Verdict {
    no_key(seen, &["ColorSpaces", "DefaultRGB", "DefaultCMYK"])?;
    let has_colours = explains_colours(seen)?;
    for image in typed(seen, "Subtype", "Image") {
        let explained = has_name(image, "ColorSpace", "DeviceGray")
            || has_colours && has_name(image, "ColorSpace", "DeviceRGB");
        holds(explained, || format!("a picture in {:?}", image.get(b"ColorSpace")))?;
    }
    for page in typed(seen, "Type", "Page") {
        // The only operators of colour we write are `g` and `rg`; `check_operators` refuses the others.
        for operation in operations(&follow_stream(seen, page, "Contents")?)? {
            let colour = ["rg", "RG", "k", "K", "cs", "CS", "sc", "SC", "scn", "SCN", "sh"];
            let operator = &operation.operator[..];
            let explained = !colour.contains(&operator) || operator == "rg" && has_colours;
            holds(explained, || format!("the operator `{operator}`"))?;
        }
    }
    Ok(())
}

/// See [`CLAUSES`].
fn check_pictures(seen: &Seen) -> Verdict {
    for image in typed(seen, "Subtype", "Image") {
        for key in ["Alternates", "OPI", "Interpolate"] {
            holds(!image.has(key.as_bytes()), || format!("a picture has {key}"))?;
        }
        let bits = image.get(b"BitsPerComponent").and_then(Object::as_i64);
        holds(matches!(bits, Ok(1 | 8)), || format!("a picture of {bits:?} bits"))?;
    }
    Ok(())
}

/// The XMP packet.
fn packet(seen: &Seen) -> Result<String, String> {
    let catalog = seen.document.catalog().map_err(|it| it.to_string())?;
    let dict = follow_dict(seen, catalog, "Metadata")?;
    let kind = has_name(dict, "Type", "Metadata") && has_name(dict, "Subtype", "XML");
    holds(kind, || "the metadata is no XML".to_owned())?;
    holds(!dict.has(b"Filter"), || "the metadata is packed".to_owned())?;
    String::from_utf8(follow_stream(seen, catalog, "Metadata")?).map_err(|it| it.to_string())
}

/// The schemas that ISO 19005-2 takes as known, as far as we use them.
const SCHEMAS: [&str; 4] = [
    "http://purl.org/dc/elements/1.1/",
    "http://ns.adobe.com/pdf/1.3/",
    "http://ns.adobe.com/xap/1.0/",
    "http://www.aiim.org/pdfa/ns/id/",
];

/// See [`CLAUSES`].
fn check_xmp(seen: &Seen) -> Verdict {
    let packet = packet(seen)?;
    let head = packet.lines().next().unwrap_or_default();
    holds(head.starts_with("<?xpacket begin="), || "no packet".to_owned())?;
    let plain = !head.contains("bytes=") && !head.contains("encoding=");
    holds(plain, || format!("the packet begins with {head}"))?;
    let xml = roxmltree::Document::parse(&packet).map_err(|it| it.to_string())?;
    let descriptions = xml.descendants().filter(|it| it.tag_name().name() == "Description");
    for property in descriptions.flat_map(|it| it.children()).filter(|it| it.is_element()) {
        let space = property.tag_name().namespace().unwrap_or_default();
        holds(SCHEMAS.contains(&space), || format!("a property of {space}"))?;
    }
    Ok(())
}

/// See [`CLAUSES`].
fn check_identification(seen: &Seen) -> Verdict {
    let packet = packet(seen)?;
    for wanted in ["<pdfaid:part>2</pdfaid:part>", "<pdfaid:conformance>B</pdfaid:conformance>"] {
        holds(packet.contains(wanted), || format!("no {wanted}"))?;
    }
    let space = "xmlns:pdfaid=\"http://www.aiim.org/pdfa/ns/id/\"";
    holds(packet.contains(space), || "the identification has another name space".to_owned())
}

#[test]
fn every_clause_holds_for_every_kind_of_page() {
    let files = files();
    assert!(files.len() > 10);
    for (name, seen) in &files {
        for (clause, asks, check) in CLAUSES {
            let verdict = check(seen);
            assert!(verdict.is_ok(), "{name}: {clause}, {asks}: {}", verdict.unwrap_err());
        }
    }
}

/// The files above have what the clauses are about.
#[test]
fn the_files_have_pictures_forms_and_several_fonts() {
    let files = files();
    let ladder = &files[0].1;
    assert!(!typed(ladder, "Subtype", "Image").is_empty());
    assert!(!typed(ladder, "Subtype", "Form").is_empty());
    for (name, seen) in &files {
        assert!(!fonts(seen).unwrap().is_empty(), "{name}");
        let shown: usize = shown(seen).unwrap().iter().map(|(_, codes)| codes.len()).sum();
        assert!(shown > 10, "{name} shows {shown} glyphs");
    }
    let pages = sample_pages("label-4x6in", DotGrid::DPI_203);
    let greek = pages[3].marks.iter().any(|mark| match &mark.kind {
        MarkKind::Text(run) => run.text.chars().any(|it| ('α'..='ω').contains(&it)),
        _ => false,
    });
    assert!(greek);
}
