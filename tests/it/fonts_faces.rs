//! The faces of the book against readers we did not write: ttf-parser for
//! measures, advances and outlines, subsetter for what a PDF needs.

use slipwright::FontBook;
use slipwright::fonts::{Cut, Embedding, FontError, FontId, Shaper, TextStyle, read_face_labels};
use slipwright::geom::Segment;
use ttf_parser::{Face, OutlineBuilder};

/// The built-in face for a cut.
fn builtin(book: &FontBook, cut: Cut) -> FontId {
    let family = book.family("noto sans").expect("built in");
    book.face(family, cut).expect("built in")
}

/// All built-in faces, with ttf-parser's view of each.
fn with_oracle(mut check: impl FnMut(&FontBook, Cut, FontId, &Face<'_>)) {
    let book = FontBook::builtin();
    for cut in Cut::UPRIGHT {
        let font = builtin(&book, cut);
        let face = Face::parse(book.data(font), 0).expect("ttf-parser reads it");
        check(&book, cut, font, &face);
    }
}

/// Asserts that two lengths in em are the same but for rounding.
fn assert_near(found: f64, expected: f64, what: &str) {
    assert!((found - expected).abs() < 1e-9, "{what}: {found}, expected {expected}");
}

#[test]
fn measures_agree_with_ttf_parser() {
    with_oracle(|book, cut, font, face| {
        let metrics = book.metrics(font);
        let units = f64::from(face.units_per_em());
        let em = |value: i16| f64::from(value) / units;
        assert_near(metrics.ascent, em(face.ascender()), "ascent");
        assert_near(metrics.descent, em(face.descender()), "descent");
        assert_near(metrics.line_gap, em(face.line_gap()), "line gap");
        let cap = face.capital_height().expect("stated");
        let x_height = face.x_height().expect("stated");
        assert_near(metrics.cap_height, em(cap), "cap height");
        assert_near(metrics.x_height, em(x_height), "x-height");
        assert_near(metrics.cap_height, 0.714, "cap height as fonts/README.md has it");
        assert_eq!(metrics.units_per_em, face.units_per_em());
        assert_eq!(metrics.weight, face.weight().to_number());
        assert_near(metrics.italic_angle, 0.0, "italic angle");
        let bbox = face.global_bounding_box();
        assert_near(metrics.bbox.x_min, em(bbox.x_min), "left");
        assert_near(metrics.bbox.y_min, em(bbox.y_min), "lower");
        assert_near(metrics.bbox.x_max, em(bbox.x_max), "right");
        assert_near(metrics.bbox.y_max, em(bbox.y_max), "upper");
        assert_eq!(metrics.family, "Noto Sans");
        let name = match cut {
            Cut::Regular => "NotoSans-Regular",
            Cut::Bold => "NotoSans-Bold",
            Cut::CondensedBold => "NotoSans-CondensedBold",
            Cut::Italic | Cut::BoldItalic => unreachable!("no italics are built in"),
        };
        assert_eq!(metrics.postscript_name, name);
        assert_eq!(face.permissions(), Some(ttf_parser::Permissions::Installable));
        assert_eq!(book.embedding(font), Embedding::Subset);
        assert!(book.embedding_allowed(font));
    });
}

#[test]
fn advances_agree_with_ttf_parser_for_every_single_letter() {
    let mut compared = 0;
    with_oracle(|book, cut, font, face| {
        let mut shaper = Shaper::new(book);
        let style = TextStyle { cut, ..TextStyle::default() };
        let letters = ('\u{21}'..='\u{7e}')
            .chain('\u{a1}'..='\u{ac}')
            .chain('\u{ae}'..='\u{17f}')
            .chain('\u{384}'..='\u{3ce}')
            .chain('\u{400}'..='\u{482}')
            .chain('\u{48a}'..='\u{4ff}');
        for letter in letters {
            let Some(glyph) = face.glyph_index(letter) else {
                continue;
            };
            let paragraph = shaper.paragraph(&letter.to_string(), &style).expect("covered");
            let lines = paragraph.break_lines(&mut shaper, f64::INFINITY);
            let [run] = &lines[0].runs[..] else { panic!("one run for {letter:?}") };
            assert_eq!(run.font, font);
            if let [only] = run.glyphs[..] {
                let units = face.glyph_hor_advance(ttf_parser::GlyphId(only.id)).expect("has one");
                assert_near(only.advance_em, f64::from(units) / 1000.0, "advance");
                assert_eq!(only.id, glyph.0, "{letter:?}");
                compared += 1;
            }
        }
    });
    assert!(compared > 1_900, "only {compared} letters compared");
}

#[test]
fn kerning_pairs_are_closer_than_their_letters() {
    with_oracle(|book, cut, _, _| {
        let mut shaper = Shaper::new(book);
        let style = TextStyle { cut, ..TextStyle::default() };
        let mut width =
            |text: &str| shaper.paragraph(text, &style).expect("covered").natural_width_em();
        for pair in ["AV", "To", "Та", "Τα", "Yo"] {
            let apart: f64 = pair.chars().map(|c| width(&c.to_string())).sum();
            assert!(width(pair) < apart - 0.005, "{pair} in {cut:?}");
        }
    });
}

/// Outline of a glyph as ttf-parser draws it, in our segments.
#[derive(Default)]
struct Oracle(Vec<Segment>);

impl OutlineBuilder for Oracle {
    fn move_to(&mut self, x: f32, y: f32) {
        let (x, y) = (em(x), em(y));
        self.0.push(Segment::MoveTo(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let (x, y) = (em(x), em(y));
        self.0.push(Segment::LineTo(x, y));
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        let (cx, cy, x, y) = (em(cx), em(cy), em(x), em(y));
        self.0.push(Segment::QuadTo(cx, cy, x, y));
    }

    fn curve_to(&mut self, c1x: f32, c1y: f32, c2x: f32, c2y: f32, x: f32, y: f32) {
        let (c1x, c1y, c2x, c2y) = (em(c1x), em(c1y), em(c2x), em(c2y));
        let (x, y) = (em(x), em(y));
        self.0.push(Segment::CubicTo(c1x, c1y, c2x, c2y, x, y));
    }

    fn close(&mut self) {
        self.0.push(Segment::Close);
    }
}

/// Font units of the built-in faces in em.
fn em(units: f32) -> f64 {
    f64::from(units) / 1000.0
}

/// The outline without lines back to a contour's start just before it closes.
///
/// Some glyphs have a stray contour of one point, which is all such lines.
fn drop_closing_lines(path: &[Segment]) -> Vec<Segment> {
    let mut kept: Vec<Segment> = Vec::new();
    let mut start = (f64::NAN, f64::NAN);
    for segment in path {
        if let Segment::MoveTo(x, y) = segment {
            start = (*x, *y);
        }
        while *segment == Segment::Close
            && matches!(kept.last(), Some(Segment::LineTo(x, y))
                if (x - start.0).abs() < 0.001 && (y - start.1).abs() < 0.001)
        {
            kept.pop();
        }
        kept.push(*segment);
    }
    kept
}

/// Says whether two segments are alike to within a font unit: the two readers
/// round the points of scaled components differently.
fn is_near(one: &Segment, other: &Segment) -> bool {
    let numbers = |segment: &Segment| match *segment {
        Segment::MoveTo(x, y) => (0, vec![x, y]),
        Segment::LineTo(x, y) => (1, vec![x, y]),
        Segment::QuadTo(cx, cy, x, y) => (2, vec![cx, cy, x, y]),
        Segment::CubicTo(c1x, c1y, c2x, c2y, x, y) => (3, vec![c1x, c1y, c2x, c2y, x, y]),
        Segment::Close => (4, Vec::new()),
    };
    let ((kind, here), (other_kind, there)) = (numbers(one), numbers(other));
    kind == other_kind && here.iter().zip(&there).all(|(a, b)| (a - b).abs() < 0.001)
}

#[test]
fn outlines_agree_with_ttf_parser() {
    let mut drawn = 0;
    with_oracle(|book, _, font, face| {
        for id in 0..face.number_of_glyphs() {
            let mut oracle = Oracle::default();
            let oracle_box = face.outline_glyph(ttf_parser::GlyphId(id), &mut oracle);
            let found = book.outline(font, id).expect("readable");
            let (found, expected) = (drop_closing_lines(&found), drop_closing_lines(&oracle.0));
            assert_eq!(found.len(), expected.len(), "glyph {id}");
            for (found, expected) in found.iter().zip(&expected) {
                assert!(is_near(found, expected), "glyph {id}: {found:?}, {expected:?}");
            }
            let bounds = book.glyph_bounds(font, id);
            assert_eq!(bounds.is_some(), oracle_box.is_some(), "glyph {id}");
            drawn += usize::from(bounds.is_some());
        }
    });
    assert!(drawn > 3 * 3200, "only {drawn} glyphs drawn");
    let book = FontBook::builtin();
    let font = builtin(&book, Cut::Regular);
    assert_eq!(book.outline(font, u16::MAX), Err(FontError::UnreadableGlyph { glyph: u16::MAX }));
}

#[test]
fn capitals_reach_the_cap_height() {
    with_oracle(|book, _, font, face| {
        let glyph = face.glyph_index('H').expect("covered");
        let bounds = book.glyph_bounds(font, glyph.0).expect("has ink");
        assert_near(bounds.y_max, book.metrics(font).cap_height, "top of H");
        assert_near(bounds.y_min, 0.0, "foot of H");
    });
}

#[test]
fn the_fonts_readme_tells_the_truth() {
    let readme = include_str!("../../fonts/README.md");
    with_oracle(|book, _, font, face| {
        let size = book.data(font).len();
        let name = &book.metrics(font).postscript_name;
        let row = readme
            .lines()
            .find(|line| line.contains(&format!("{name}.ttf")))
            .expect("a row for the file");
        assert!(row.contains(&format!("{},{:03}", size / 1000, size % 1000)), "{row}");
        assert!(row.contains(&format!(" {} ", face.number_of_glyphs())), "{row}");
        let version = face
            .names()
            .into_iter()
            .find(|name| name.name_id == ttf_parser::name_id::VERSION && name.is_unicode())
            .and_then(|name| name.to_string())
            .expect("a version");
        let number = version.split([' ', ';']).nth(1).expect("a number");
        assert!(row.contains(number), "{row}: {version}");
        let notice = face
            .names()
            .into_iter()
            .find(|name| name.name_id == ttf_parser::name_id::COPYRIGHT_NOTICE && name.is_unicode())
            .and_then(|name| name.to_string())
            .expect("a copyright notice");
        assert!(include_str!("../../fonts/OFL.txt").starts_with(&notice), "{notice}");
    });
}

#[test]
fn subsetter_takes_the_built_in_faces() {
    with_oracle(|book, cut, font, face| {
        let mut glyphs: Vec<u16> = ('\u{21}'..='\u{70}')
            .filter_map(|c| face.glyph_index(c))
            .map(|glyph| glyph.0)
            .collect();
        glyphs.sort_unstable();
        let remapper = subsetter::GlyphRemapper::new_from_glyphs(&glyphs);
        let subset = subsetter::subset(book.data(font), book.collection_index(font), &remapper)
            .expect("subsets");
        println!("{cut:?}: {} glyphs, {} bytes", glyphs.len(), subset.len());
        assert_eq!(glyphs.len(), 80);
        assert!(subset.len() < 32_000, "{}", subset.len());
    });
}

#[test]
fn families_are_added_and_found() {
    let mut book = FontBook::builtin();
    let bold = book.data(builtin(&book, Cut::Bold)).to_vec();
    let regular = book.data(builtin(&book, Cut::Regular)).to_vec();
    let font = book.add_family("Harbour Signs", Cut::Bold, bold.clone()).expect("usable");
    let family = book.family("HARBOUR signs ").expect("added");
    assert_eq!(book.face(family, Cut::Bold), Some(font));
    assert_eq!(book.face(family, Cut::Regular), None);
    assert_eq!(book.metrics(font).family, "Harbour Signs");
    // The chosen family first, its nearest cut where it lacks the wanted one.
    assert_eq!(book.fallbacks(Some(family), Cut::Regular)[0], font);
    assert_eq!(book.fallbacks(None, Cut::Bold)[0], builtin(&book, Cut::Bold));
    // Fonts of one's own go before the emoji that are compiled in.
    let order = book.fallbacks(None, Cut::Regular);
    assert_eq!(order[order.len() - 2], font);
    let taken = book.add_family("harbour signs", Cut::Bold, regular.clone());
    assert_eq!(
        taken.expect_err("taken").to_string(),
        "family `Harbour Signs` has a bold face already"
    );
    let second = book.add_family("harbour signs", Cut::Regular, regular).expect("free");
    assert_eq!(book.metrics(second).family, "Harbour Signs");
    // Other copies stay as they were.
    assert_eq!(FontBook::builtin().family("Harbour Signs"), None);
    assert_eq!(FontBook::builtin().fonts().count(), 4);
}

#[test]
fn labels_tell_which_cut_a_file_is() {
    with_oracle(|book, cut, font, _| {
        let labels = read_face_labels(book.data(font)).expect("readable");
        assert_eq!(labels.len(), 1);
        assert_eq!(labels[0].family, "Noto Sans");
        assert_eq!(labels[0].cut, Some(cut));
        assert!(!labels[0].variable);
    });
}

#[test]
fn unusable_files_are_refused_with_the_reason() {
    let mut book = FontBook::builtin();
    let mut add = |data: &[u8]| {
        book.add_family("Odd", Cut::Regular, data.to_vec()).expect_err("unusable").to_string()
    };
    let expected = "expected a TrueType or OpenType font, found";
    assert_eq!(add(b""), format!("{expected} an empty file"));
    assert_eq!(add(b"wOF2\0\0\0\0"), format!("{expected} a WOFF web font"));
    assert_eq!(add(b"%!PS-AdobeFont-1.0"), format!("{expected} a PostScript Type 1 font"));
    assert_eq!(add(b"not a font at all"), format!("{expected} something else"));
    let data = book.data(builtin(&book, Cut::Bold)).to_vec();
    assert_eq!(
        book.add_face("Odd", Cut::Bold, data.clone(), 3).expect_err("no such face").to_string(),
        "expected a face number under 1, found `3`"
    );
    assert_eq!(book.add_family(" ", Cut::Bold, data), Err(FontError::NoFamilyName));
}

#[test]
fn damaged_files_end_in_an_error_not_a_panic() {
    let whole = FontBook::builtin();
    let data = whole.data(builtin(&whole, Cut::Regular)).to_vec();
    let use_font = |data: Vec<u8>| {
        let mut book = FontBook::builtin();
        let Ok(font) = book.add_family("Torn", Cut::Regular, data) else {
            return;
        };
        let mut shaper = Shaper::new(&book);
        let style = TextStyle { family: book.family("Torn"), ..TextStyle::default() };
        if let Ok(paragraph) = shaper.paragraph("Tern Hollow Pens, ﬁne é Ж", &style) {
            let lines = paragraph.break_lines(&mut shaper, 5.0);
            assert!(!lines.is_empty());
        }
        for glyph in 0..200 {
            let _ = book.outline(font, glyph);
        }
    };
    for eighth in 0..64 {
        use_font(data[..data.len() * eighth / 64].to_vec());
    }
    for nth in 0..200_usize {
        let mut torn = data.clone();
        // Offsets spread over the file by a fixed multiplier; the table
        // directory and the layout tables get their share.
        for byte in 0..8 {
            let at = (nth * 8 + byte).wrapping_mul(2_654_435_761) % torn.len();
            torn[at] ^= 0xa5;
        }
        torn[(nth * 7) % 400] ^= 0x5a;
        use_font(torn);
    }
}

#[test]
fn books_and_shapers_cross_threads() {
    /// Compiles only for types that threads may share.
    fn shared<T: Send + Sync>() {}
    /// Compiles only for types that may move to another thread.
    fn moved<T: Send>() {}
    shared::<FontBook>();
    shared::<slipwright::fonts::Paragraph>();
    shared::<slipwright::fonts::Line>();
    moved::<Shaper>();
}
