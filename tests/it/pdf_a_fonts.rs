//! The clauses of `pdf_a` that are about fonts.

use std::collections::BTreeSet;

use lopdf::{Dictionary, Object};

use crate::pdf_a::{
    Seen, Verdict, dicts, follow, follow_dict, follow_stream, has_name, holds, no_key, operations,
    typed,
};

/// See the table of clauses.
pub(crate) fn check_font_names(seen: &Seen) -> Verdict {
    for dict in dicts(seen) {
        for key in ["BaseFont", "FontName"] {
            let Ok(name) = dict.get(key.as_bytes()) else { continue };
            let name = name.as_name().map_err(|it| it.to_string())?;
            holds(std::str::from_utf8(name).is_ok(), || format!("{key} {name:?}"))?;
        }
    }
    Ok(())
}

/// A composite font: its dictionary, its descendant's, the descriptor.
pub(crate) type Font<'s> = (&'s Dictionary, &'s Dictionary, &'s Dictionary);

/// The fonts of a file.
pub(crate) fn fonts(seen: &Seen) -> Result<Vec<Font<'_>>, String> {
    let all = typed(seen, "Type", "Font").into_iter();
    let composite = all.filter(|font| font.has(b"DescendantFonts"));
    composite
        .map(|font| {
            let list = follow(seen, font, "DescendantFonts")?.as_array();
            let id = list.map_err(|it| it.to_string())?[0].as_reference();
            let cid = seen.document.get_dictionary(id.map_err(|it| it.to_string())?);
            let cid = cid.map_err(|it| it.to_string())?;
            Ok((font, cid, follow_dict(seen, cid, "FontDescriptor")?))
        })
        .collect()
}

/// See the table of clauses.
pub(crate) fn check_font_dicts(seen: &Seen) -> Verdict {
    let simple = typed(seen, "Type", "Font").into_iter().find(|font| {
        let kinds = ["Type0", "CIDFontType0", "CIDFontType2"];
        !kinds.iter().any(|kind| has_name(font, "Subtype", kind))
    });
    holds(simple.is_none(), || format!("another kind of font: {simple:?}"))?;
    for (font, cid, descriptor) in fonts(seen)? {
        let name = |dict: &Dictionary, key: &[u8]| {
            dict.get(key).and_then(Object::as_name).map(<[u8]>::to_vec).ok()
        };
        let names =
            [name(font, b"BaseFont"), name(cid, b"BaseFont"), name(descriptor, b"FontName")];
        let alike = names[0].is_some() && names[1] == names[2] && names[0] == names[1];
        holds(alike, || format!("names differ: {names:?}"))?;
        let subset = names[0].as_ref().is_some_and(|it| {
            it.len() > 7 && it[..6].iter().all(u8::is_ascii_uppercase) && it[6] == b'+'
        });
        holds(subset, || "the name does not say that it is a subset".to_owned())?;
    }
    Ok(())
}

/// See the table of clauses.
pub(crate) fn check_encodings(seen: &Seen) -> Verdict {
    for (font, cid, _) in fonts(seen)? {
        holds(has_name(font, "Encoding", "Identity-H"), || "another encoding".to_owned())?;
        let system = follow_dict(seen, cid, "CIDSystemInfo")?;
        let text = |key: &[u8]| system.get(key).and_then(Object::as_str).map(<[u8]>::to_vec).ok();
        let known = text(b"Registry").as_deref() == Some(b"Adobe")
            && text(b"Ordering").as_deref() == Some(b"Identity");
        holds(known, || format!("another character collection: {system:?}"))?;
        holds(has_name(cid, "Subtype", "CIDFontType2"), || "no TrueType".to_owned())?;
        let map = follow_stream(seen, cid, "CIDToGIDMap")?;
        holds(!map.is_empty() && map.len() % 2 == 0, || "the map of glyphs is cut".to_owned())?;
        // Level B does not ask for it; whoever copies text does.
        holds(!follow_stream(seen, font, "ToUnicode")?.is_empty(), || "no text".to_owned())?;
    }
    Ok(())
}

/// The codes that pages show in each font, by its name in the resources, two bytes each.
pub(crate) fn shown(seen: &Seen) -> Result<Vec<(&Dictionary, BTreeSet<u16>)>, String> {
    let mut all: Vec<(&Dictionary, BTreeSet<u16>)> = Vec::new();
    for page in typed(seen, "Type", "Page") {
        let names = follow_dict(seen, follow_dict(seen, page, "Resources")?, "Font")?;
        let mut at = None;
        for operation in operations(&follow_stream(seen, page, "Contents")?)? {
            let operand = operation.operands.first();
            if operation.operator == "Tf" {
                let name = operand.and_then(|it| it.as_name().ok()).ok_or("no font")?;
                let font = follow_dict(seen, names, &String::from_utf8_lossy(name))?;
                let known = all.iter().position(|(known, _)| std::ptr::eq(*known, font));
                at = Some(known.unwrap_or_else(|| {
                    all.push((font, BTreeSet::new()));
                    all.len() - 1
                }));
            } else if operation.operator == "TJ" {
                let parts = operand.and_then(|it| it.as_array().ok()).ok_or("no text")?;
                let codes = &mut all[at.ok_or("text without a font")?].1;
                for part in parts.iter().filter_map(|part| part.as_str().ok()) {
                    let pairs =
                        part.chunks(2).map(|pair| (u16::from(pair[0]) << 8) | u16::from(pair[1]));
                    codes.extend(pairs);
                }
            }
        }
    }
    Ok(all)
}

/// What is done with each shown code: its font, the code, its glyph in the font program.
fn each_glyph(
    seen: &Seen,
    judge: impl Fn(&Dictionary, &ttf_parser::Face<'_>, u16, u16) -> Verdict,
) -> Verdict {
    let fonts = fonts(seen)?;
    for (font, codes) in shown(seen)? {
        let known = fonts.iter().find(|(known, ..)| std::ptr::eq(*known, font));
        let (_, cid, descriptor) = known.ok_or("a font that is none")?;
        let program = follow_stream(seen, descriptor, "FontFile2")?;
        let face = ttf_parser::Face::parse(&program, 0).map_err(|it| it.to_string())?;
        let map = follow_stream(seen, cid, "CIDToGIDMap")?;
        for code in codes {
            let pair = map.get(2 * usize::from(code)..2 * usize::from(code) + 2);
            let pair = pair.ok_or_else(|| format!("the map ends before {code}"))?;
            judge(cid, &face, code, u16::from_be_bytes([pair[0], pair[1]]))?;
        }
    }
    Ok(())
}

/// See the table of clauses.
pub(crate) fn check_glyphs(seen: &Seen) -> Verdict {
    no_key(seen, &["CIDSet", "CharSet"])?;
    each_glyph(seen, |_, face, code, glyph| {
        holds(glyph < face.number_of_glyphs(), || format!("{code} leads to no glyph"))
    })
}

/// The width that a font dictionary states for a code.
fn stated_width(cid: &Dictionary, code: u16) -> Option<f64> {
    let widths = cid.get(b"W").ok()?.as_array().ok()?;
    widths.chunks(2).find_map(|pair| {
        let place = i64::from(code) - pair[0].as_i64().ok()?;
        let run = pair[1].as_array().ok()?;
        Some(f64::from(run.get(usize::try_from(place).ok()?)?.as_float().ok()?))
    })
}

/// See the table of clauses. A thousandth of an em is what the standard allows.
pub(crate) fn check_widths(seen: &Seen) -> Verdict {
    each_glyph(seen, |cid, face, code, glyph| {
        let advance = face.glyph_hor_advance(ttf_parser::GlyphId(glyph)).unwrap_or(0);
        let wanted = f64::from(advance) / f64::from(face.units_per_em()) * 1000.0;
        let stated = stated_width(cid, code);
        let good = stated.is_some_and(|stated| (stated - wanted).abs() <= 1.0);
        holds(good, || format!("{code} is {wanted} wide, {stated:?} is stated"))
    })
}

/// See the table of clauses.
pub(crate) fn check_notdef(seen: &Seen) -> Verdict {
    each_glyph(seen, |_, _, code, glyph| {
        holds(glyph != 0, || format!("{code} is the missing glyph"))
    })
}
