//! Embedded fonts: made last, when all glyphs of the document are known.
//!
//! In: a face and the glyphs used of it, by their numbers in the whole face. Out: the objects of a
//! composite font whose codes are those numbers. The subset numbers its glyphs anew, so a map
//! leads from one to the other: a CIDToGIDMap for TrueType outlines, an embedded encoding for CFF
//! ones, where PDF allows no such map.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::Write;

use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Finish, Name, Rect, Ref, Str};
use read_fonts::FontRef;
use read_fonts::types::Tag;
use subsetter::GlyphRemapper;

use crate::fonts::{Embedding, FontBook, FontId};

use super::PdfError;
use super::face::FaceTable;
use super::glyphs::GlyphSet;
use super::objects::Objects;

/// What CIDs mean here: nothing that any registry knows.
const IDENTITY: SystemInfo<'_> =
    SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

/// What a document uses of a face.
#[derive(Default)]
pub(super) struct FontUse {
    /// What its subset holds.
    pub(super) glyphs: GlyphSet,
    /// What glyphs without a character of their own say, as first seen.
    pub(super) words: BTreeMap<u16, String>,
}

/// A face cut down to what is used.
struct Subset {
    /// The font program.
    data: Vec<u8>,
    /// Whether its outlines are CFF.
    is_cff: bool,
    /// The glyphs used, and their numbers in the subset, in ascending order of both.
    glyphs: Vec<(u16, u16)>,
    /// The name, with the tag that marks a subset.
    name: String,
}

/// The objects of a font.
struct Refs {
    /// The composite font, which pages name.
    font: Ref,
    /// The font that holds widths.
    cid: Ref,
    /// The measures.
    descriptor: Ref,
    /// The font program.
    file: Ref,
    /// The map from codes to text.
    unicode: Ref,
    /// The map from codes to glyphs of the subset.
    map: Ref,
}

/// Writes a font and tells the number that pages name.
pub(super) fn put_font<W: Write>(
    objects: &mut Objects<W>,
    book: &FontBook,
    font: FontId,
    used: &FontUse,
) -> Result<Ref, PdfError> {
    let subset = cut_down(book, font, used)?;
    let face = FaceTable::read(book, font);
    let [font_ref, cid, descriptor, file, unicode, map] = [(); 6].map(|()| objects.reserve());
    let refs = Refs { font: font_ref, cid, descriptor, file, unicode, map };
    put_composite(objects, &subset, &refs)?;
    put_cid_font(objects, &subset, &face, &refs)?;
    put_descriptor(objects, book, font, &subset, &refs)?;
    put_file(objects, &subset, &refs)?;
    put_unicode(objects, &subset, &face, used, &refs)?;
    put_map(objects, &subset, &refs)?;
    Ok(refs.font)
}

/// Cuts a face down to the glyphs used, as far as its licence allows.
fn cut_down(book: &FontBook, font: FontId, used: &FontUse) -> Result<Subset, PdfError> {
    let metrics = book.metrics(font);
    let refuse = |reason: String| PdfError::Font { family: metrics.family.clone(), reason };
    let mut remapper = GlyphRemapper::new();
    let whole = match book.embedding(font) {
        Embedding::Subset => false,
        Embedding::WholeOnly => true,
        Embedding::Forbidden => {
            return Err(refuse("its licence does not allow a document to carry it".to_owned()));
        }
    };
    if whole {
        (0..FaceTable::read(book, font).len()).for_each(|glyph| {
            remapper.remap(glyph);
        });
    }
    let glyphs: Vec<(u16, u16)> =
        used.glyphs.iter().map(|glyph| (glyph, remapper.remap(glyph))).collect();
    let data = subsetter::subset(book.data(font), book.collection_index(font), &remapper)
        .map_err(|error| refuse(format!("it cannot be cut down to the glyphs used: {error}")))?;
    let outlines = read_cff(&data);
    let is_cff = outlines.is_some();
    let data = outlines.unwrap_or(data);
    let name = match whole {
        true => metrics.postscript_name.clone(),
        false => format!("{}+{}", make_tag(&glyphs), metrics.postscript_name),
    };
    Ok(Subset { data, is_cff, glyphs, name })
}

/// The CFF outlines of a font file, which are all that a PDF wants of it; none for TrueType.
fn read_cff(data: &[u8]) -> Option<Vec<u8>> {
    let font = FontRef::new(data).ok()?;
    font.table_data(Tag::new(b"CFF ")).map(|table| table.as_bytes().to_vec())
}

/// The six capitals that mark a subset (ISO 32000-1 §9.6.4): different for different glyphs.
fn make_tag(glyphs: &[(u16, u16)]) -> String {
    let mut digest = super::digest::Digest::new();
    glyphs.iter().for_each(|(glyph, _)| digest.add_word(u64::from(*glyph)));
    let mut rest = digest.finish();
    let mut letter = || {
        let letter = b'A' + (rest % 26) as u8;
        rest /= 26;
        char::from(letter)
    };
    (0..6).map(|_| letter()).collect()
}

/// Writes the composite font.
fn put_composite<W: Write>(
    objects: &mut Objects<W>,
    subset: &Subset,
    refs: &Refs,
) -> Result<(), PdfError> {
    let mut chunk = objects.chunk();
    let mut font = chunk.type0_font(refs.font);
    if subset.is_cff {
        let name = format!("{}-{}", subset.name, encoding_name(subset));
        font.base_font(Name(name.as_bytes())).encoding_cmap(refs.map);
    } else {
        font.base_font(Name(subset.name.as_bytes())).encoding_predefined(Name(b"Identity-H"));
    }
    font.descendant_font(refs.cid).to_unicode(refs.unicode);
    font.finish();
    Ok(objects.put_small(&chunk)?)
}

/// The name of the encoding of a subset with CFF outlines.
fn encoding_name(subset: &Subset) -> String {
    format!("{}-H", make_tag(&subset.glyphs))
}

/// Writes the font that holds widths.
fn put_cid_font<W: Write>(
    objects: &mut Objects<W>,
    subset: &Subset,
    face: &FaceTable,
    refs: &Refs,
) -> Result<(), PdfError> {
    let mut chunk = objects.chunk();
    let mut font = chunk.cid_font(refs.cid);
    font.subtype(if subset.is_cff { CidFontType::Type0 } else { CidFontType::Type2 });
    font.base_font(Name(subset.name.as_bytes())).system_info(IDENTITY);
    font.font_descriptor(refs.descriptor).default_width(0.0);
    let mut widths = font.widths();
    // A CID is the glyph's number in the face, or in the subset where the encoding leads there.
    let cid = |&(glyph, new): &(u16, u16)| if subset.is_cff { new } else { glyph };
    for run in subset.glyphs.chunk_by(|a, b| cid(a) + 1 == cid(b)) {
        let width = |(glyph, _): &(u16, u16)| face.width(*glyph) as f32;
        widths.consecutive(cid(&run[0]), run.iter().map(width));
    }
    widths.finish();
    if !subset.is_cff {
        font.cid_to_gid_map_stream(refs.map);
    }
    font.finish();
    Ok(objects.put_small(&chunk)?)
}

/// Writes the measures of a face, in thousandths of an em.
fn put_descriptor<W: Write>(
    objects: &mut Objects<W>,
    book: &FontBook,
    font: FontId,
    subset: &Subset,
    refs: &Refs,
) -> Result<(), PdfError> {
    let metrics = book.metrics(font);
    let thousandths = |em: f64| (em * 1000.0).round() as f32;
    let bounds = metrics.bbox;
    let mut flags = FontFlags::SYMBOLIC;
    flags.set(FontFlags::ITALIC, metrics.italic_angle != 0.0);
    // Stems grow with the weight; 80 at 400 and 150 at 700 are what sans faces have.
    let stem = (f64::from(metrics.weight) - 57.0) * 70.0 / 300.0;
    let mut chunk = objects.chunk();
    let mut descriptor = chunk.font_descriptor(refs.descriptor);
    descriptor.name(Name(subset.name.as_bytes())).flags(flags);
    descriptor.bbox(Rect::new(
        thousandths(bounds.x_min),
        thousandths(bounds.y_min),
        thousandths(bounds.x_max),
        thousandths(bounds.y_max),
    ));
    descriptor.italic_angle(metrics.italic_angle as f32);
    descriptor.ascent(thousandths(metrics.ascent)).descent(thousandths(metrics.descent));
    descriptor.cap_height(thousandths(metrics.cap_height)).stem_v(stem.max(20.0).round() as f32);
    match subset.is_cff {
        true => descriptor.font_file3(refs.file),
        false => descriptor.font_file2(refs.file),
    };
    descriptor.finish();
    Ok(objects.put_small(&chunk)?)
}

/// Writes the font program.
fn put_file<W: Write>(
    objects: &mut Objects<W>,
    subset: &Subset,
    refs: &Refs,
) -> Result<(), PdfError> {
    let length = subset.data.len() as i32;
    let data = objects.pack(subset.data.clone());
    let mut chunk = objects.chunk();
    let mut stream = chunk.stream(refs.file, &data);
    match subset.is_cff {
        true => stream.pair(Name(b"Subtype"), Name(b"CIDFontType0C")),
        false => stream.pair(Name(b"Length1"), length),
    };
    objects.mark_packed(&mut stream);
    drop(stream);
    Ok(objects.put(&chunk)?)
}

/// Writes the map from codes to text.
fn put_unicode<W: Write>(
    objects: &mut Objects<W>,
    subset: &Subset,
    face: &FaceTable,
    used: &FontUse,
    refs: &Refs,
) -> Result<(), PdfError> {
    let mut map = UnicodeCmap::<u16>::new(Name(b"Text-H"), IDENTITY);
    for &(glyph, _) in &subset.glyphs {
        match (face.character(glyph), used.words.get(&glyph)) {
            (Some(character), _) => map.pair(glyph, character),
            (None, Some(text)) => map.pair_with_multiple(glyph, text.chars()),
            (None, None) => {}
        }
    }
    let data = objects.pack(map.finish().into_vec());
    let mut chunk = objects.chunk();
    let mut stream = chunk.cmap(refs.unicode, &data);
    objects.mark_packed(&mut stream);
    stream.finish();
    Ok(objects.put(&chunk)?)
}

/// Writes the map from codes to glyphs of the subset.
fn put_map<W: Write>(
    objects: &mut Objects<W>,
    subset: &Subset,
    refs: &Refs,
) -> Result<(), PdfError> {
    let mut chunk = objects.chunk();
    if subset.is_cff {
        let name = encoding_name(subset);
        let data = objects.pack(write_encoding(&name, &subset.glyphs).into_bytes());
        let mut stream = chunk.cmap(refs.map, &data);
        stream.name(Name(name.as_bytes())).system_info(IDENTITY);
        objects.mark_packed(&mut stream);
        stream.finish();
    } else {
        let last = subset.glyphs.last().map_or(0, |&(glyph, _)| usize::from(glyph));
        let mut map = vec![0; 2 * (last + 1)];
        for &(glyph, new) in &subset.glyphs {
            map[2 * usize::from(glyph)..][..2].copy_from_slice(&new.to_be_bytes());
        }
        let data = objects.pack(map);
        let mut stream = chunk.stream(refs.map, &data);
        objects.mark_packed(&mut stream);
        drop(stream);
    }
    Ok(objects.put(&chunk)?)
}

/// An encoding (ISO 32000-1 §9.7.5.4) that leads from glyphs of the face to those of the subset.
fn write_encoding(name: &str, glyphs: &[(u16, u16)]) -> String {
    let mut map = format!(
        "%!PS-Adobe-3.0 Resource-CMap\n/CIDInit /ProcSet findresource begin\n12 dict begin\n\
         begincmap\n/CIDSystemInfo 3 dict dup begin\n/Registry (Adobe) def\n\
         /Ordering (Identity) def\n/Supplement 0 def\nend def\n/CMapName /{name} def\n\
         /CMapVersion 1 def\n/CMapType 1 def\n/WMode 0 def\n\
         1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n"
    );
    // At most 100 entries at a time.
    for some in glyphs.chunks(100) {
        let _ = writeln!(map, "{} begincidchar", some.len());
        for (glyph, new) in some {
            let _ = writeln!(map, "<{glyph:04X}> {new}");
        }
        map.push_str("endcidchar\n");
    }
    map.push_str("endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n");
    map
}
