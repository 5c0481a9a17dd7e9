//! Files broken on purpose, one way or more for each clause of `pdf_a`, which must notice.

use std::collections::BTreeSet;

use lopdf::{Dictionary, Object, Stream};
use slipwright::fonts::Shaper;
use slipwright::{DotGrid, FontBook};

use crate::export_support::ladder::ladder;
use crate::pdf_a::{CLAUSES, Seen, find_all, has_name, see};

/// A way to break a file, and the clause that must notice.
type Fault = (&'static str, fn(&mut Seen));

/// The first dictionary of a type.
fn first<'s>(seen: &'s mut Seen, (key, name): (&str, &str)) -> &'s mut Dictionary {
    let objects = seen.document.objects.values_mut();
    let dict = objects
        .filter_map(|object| match object {
            Object::Dictionary(dict) => Some(dict),
            Object::Stream(stream) => Some(&mut stream.dict),
            _ => None,
        })
        .find(|dict| has_name(dict, key, name));
    dict.unwrap()
}

/// Adds a key to the first dictionary of a type.
fn add(seen: &mut Seen, kind: (&str, &str), entry: &str, value: Object) {
    first(seen, kind).set(entry, value);
}

/// Takes a key from the first dictionary of a type.
fn remove(seen: &mut Seen, kind: (&str, &str), entry: &str) {
    assert!(first(seen, kind).remove(entry.as_bytes()).is_some());
}

/// Adds operators to the end of the first page.
fn append(seen: &mut Seen, operators: &str) {
    let id = *seen.document.get_pages().get(&1).unwrap();
    let content = [&seen.document.get_page_content(id)[..], operators.as_bytes()].concat();
    let added = seen.document.add_object(Stream::new(Dictionary::new(), content));
    let page = seen.document.get_object_mut(id).unwrap().as_dict_mut().unwrap();
    page.set("Contents", Object::Reference(added));
}

/// The first page, the catalog, a font, a picture, a form.
const PAGE: (&str, &str) = ("Type", "Page");
const CATALOG: (&str, &str) = ("Type", "Catalog");
const CID_FONT: (&str, &str) = ("Subtype", "CIDFontType2");
const IMAGE: (&str, &str) = ("Subtype", "Image");
const FORM: (&str, &str) = ("Subtype", "Form");

/// Ways to break the first of the files.
const FAULTS: &[Fault] = &[
    ("6.1.2", |seen| seen.bytes[7] = b'x'),
    ("6.1.3", |seen| seen.bytes.extend_from_slice(b"more")),
    ("6.1.3", |seen| seen.document.trailer.set("Encrypt", Object::Null)),
    ("6.1.3", |seen| {
        seen.document.trailer.remove(b"ID");
    }),
    ("6.1.7", |seen| add(seen, FORM, "Filter", Object::Name(b"LZWDecode".to_vec()))),
    ("6.1.7", |seen| {
        let at = find_all(&seen.bytes, b"\nendstream")[0];
        seen.bytes.insert(at, b' ');
    }),
    ("6.1.8", |seen| add(seen, CID_FONT, "BaseFont", Object::Name(vec![0xFF]))),
    ("6.1.12", |seen| add(seen, CATALOG, "Perms", Object::Null)),
    ("6.1.13", |seen| add(seen, PAGE, "Note", Object::Integer(1 << 40))),
    ("6.1.13", |seen| add(seen, PAGE, "Note", Object::Name(vec![b'a'; 128]))),
    ("6.2.2", |seen| append(seen, "\nBX EX\n")),
    ("6.2.2", |seen| append(seen, "\n/X99 Do\n")),
    ("6.2.2", |seen| append(seen, "\nq\n")),
    ("6.2.3", |seen| add(seen, CATALOG, "OutputIntents", Object::Array(Vec::new()))),
    ("6.2.4.3", |seen| append(seen, "\n1 0 0 rg\n")),
    ("6.2.4.3", |seen| add(seen, IMAGE, "ColorSpace", Object::Name(b"DeviceRGB".to_vec()))),
    ("6.2.5", |seen| add(seen, PAGE, "ExtGState", Object::Null)),
    ("6.2.6", |seen| add(seen, IMAGE, "Intent", Object::Null)),
    ("6.2.8", |seen| add(seen, IMAGE, "Interpolate", Object::Boolean(true))),
    ("6.2.8", |seen| add(seen, IMAGE, "BitsPerComponent", Object::Integer(3))),
    ("6.2.9", |seen| add(seen, FORM, "Ref", Object::Null)),
    ("6.2.10", |seen| add(seen, IMAGE, "SMask", Object::Null)),
    ("6.2.11.2", |seen| add(seen, CID_FONT, "BaseFont", Object::Name(b"Other".to_vec()))),
    ("6.2.11.3", |seen| add(seen, CID_FONT, "CIDToGIDMap", Object::Name(b"Identity".to_vec()))),
    ("6.2.11.4", |seen| add(seen, ("Type", "FontDescriptor"), "CIDSet", Object::Null)),
    ("6.2.11.4", |seen| {
        add(seen, ("Type", "FontDescriptor"), "FontFile2", Object::Null);
    }),
    ("6.2.11.5", |seen| add(seen, CID_FONT, "W", Object::Array(Vec::new()))),
    ("6.2.11.8", |seen| {
        let empty = Stream::new(Dictionary::new(), vec![0; 1 << 17]);
        let id = seen.document.add_object(empty);
        add(seen, CID_FONT, "CIDToGIDMap", Object::Reference(id));
    }),
    ("6.3", |seen| add(seen, PAGE, "Annots", Object::Array(Vec::new()))),
    ("6.4", |seen| add(seen, CATALOG, "AcroForm", Object::Null)),
    ("6.5", |seen| add(seen, CATALOG, "OpenAction", Object::Null)),
    ("6.6.2", |seen| add(seen, ("Type", "Metadata"), "Filter", Object::Null)),
    ("6.6.4", |seen| add(seen, ("Type", "Metadata"), "Subtype", Object::Null)),
    ("6.7.2.2", |seen| add(seen, CATALOG, "MarkInfo", Object::Dictionary(Dictionary::new()))),
    ("6.7.3.3", |seen| add(seen, ("Type", "StructTreeRoot"), "K", Object::Null)),
    ("6.7.3.3", |seen| remove(seen, PAGE, "StructParents")),
    ("6.7.3.4", |seen| add(seen, ("S", "P"), "S", Object::Name(b"Line".to_vec()))),
    ("6.7.3.4", |seen| remove(seen, ("S", "Figure"), "Alt")),
    ("6.7.3.4", |seen| {
        let map = Object::Dictionary(Dictionary::new());
        add(seen, ("Type", "StructTreeRoot"), "RoleMap", map);
    }),
    ("6.7.4", |seen| add(seen, CATALOG, "Lang", Object::string_literal("plain English"))),
    ("6.8", |seen| add(seen, CATALOG, "EmbeddedFiles", Object::Null)),
    ("6.9", |seen| add(seen, CATALOG, "OCProperties", Object::Null)),
    ("6.10", |seen| add(seen, PAGE, "PresSteps", Object::Null)),
    ("6.11", |seen| add(seen, CATALOG, "Requirements", Object::Null)),
];

#[test]
fn every_check_notices_its_fault() {
    let page = ladder(&mut Shaper::new(&FontBook::builtin()), (100.0, 150.0), DotGrid::DPI_203);
    let good = see(&[page], true);
    for (clause, break_it) in FAULTS {
        let mut seen = Seen { bytes: good.bytes.clone(), document: good.document.clone() };
        break_it(&mut seen);
        let (_, asks, check) = CLAUSES.iter().find(|(known, ..)| known == clause).unwrap();
        assert!(check(&seen).is_err(), "{clause}, {asks}");
    }
    let tried: BTreeSet<&str> = FAULTS.iter().map(|(clause, _)| *clause).collect();
    for (clause, ..) in CLAUSES {
        assert!(tried.contains(clause), "{clause} is never broken");
    }
}
