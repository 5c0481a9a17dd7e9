//! Text in other scripts and with other fonts, from Debian's packages:
//! fonts-noto-core, fonts-noto-cjk, fonts-open-sans, fonts-lato, fonts-dejavu-core,
//! fonts-roboto-unhinted, fonts-hosny-amiri, fonts-urw-base35.
//!
//! Every test is ignored by default; `cargo test -- --ignored` runs them where
//! the packages are installed.

use std::fs;

use harfrust::{Direction, Script};
use slipwright::fonts::{Cut, Embedding, Line, Shaper, TextStyle, read_face_labels};
use slipwright::scene::MarkKind;
use slipwright::{
    Document, DotGrid, FontBook, Layout, NoFiles, Page, PictureStore, Run, watch_batch,
};

use crate::sample_pages::{layout_of, sample_batch};

/// A font, the script to shape by, the direction, and texts in that script only.
type Sample = (&'static str, Script, Direction, &'static [&'static str]);

/// Latin texts that kern with spaces in many fonts.
const LATIN: &[&str] = &[
    "Tern Hollow Pens, 12 Quay Street",
    "A T V Y W. To You AV 1 T \"Yes\" f f fi ffi (AT) L' AT",
    "Restored fountain pen, re-nib, T-A V-To and ink for A. Y.",
];

/// What the tests set: Latin fonts first, then a font for each other script.
const SAMPLES: &[Sample] = &[
    ("truetype/open-sans/OpenSans-Regular.ttf", Script::LATIN, Direction::LeftToRight, LATIN),
    ("truetype/lato/Lato-Regular.ttf", Script::LATIN, Direction::LeftToRight, LATIN),
    ("truetype/lato/Lato-Bold.ttf", Script::LATIN, Direction::LeftToRight, LATIN),
    ("truetype/dejavu/DejaVuSans.ttf", Script::LATIN, Direction::LeftToRight, LATIN),
    (
        "truetype/roboto/unhinted/RobotoTTF/Roboto-Regular.ttf",
        Script::LATIN,
        Direction::LeftToRight,
        LATIN,
    ),
    ("opentype/urw-base35/C059-Roman.otf", Script::LATIN, Direction::LeftToRight, LATIN),
    ("opentype/fonts-hosny-amiri/Amiri-Regular.ttf", Script::LATIN, Direction::LeftToRight, LATIN),
    (
        "truetype/noto/NotoSansHebrew-Regular.ttf",
        Script::HEBREW,
        Direction::RightToLeft,
        &["שלום לכולם ותודה רבה", "בְּרֵאשִׁית בָּרָא"],
    ),
    (
        "truetype/noto/NotoSansArabic-Regular.ttf",
        Script::ARABIC,
        Direction::RightToLeft,
        &["شارع الميناء القديم", "بِسْمِ اللَّه لا إله"],
    ),
    (
        "opentype/fonts-hosny-amiri/Amiri-Regular.ttf",
        Script::ARABIC,
        Direction::RightToLeft,
        &["شارع الميناء القديم", "بِسْمِ اللَّه لا إله"],
    ),
    (
        "truetype/noto/NotoNastaliqUrdu-Regular.ttf",
        Script::ARABIC,
        Direction::RightToLeft,
        &["قلم کی مرمت کا کام"],
    ),
    (
        "truetype/noto/NotoSansDevanagari-Regular.ttf",
        Script::DEVANAGARI,
        Direction::LeftToRight,
        &["हिन्दी क्षत्रिय स्त्री किताब"],
    ),
    (
        "truetype/noto/NotoSansThai-Regular.ttf",
        Script::THAI,
        Direction::LeftToRight,
        &["ปากกา หมึกซึม น้ำหมึก"],
    ),
    (
        "opentype/noto/NotoSansCJK-Regular.ttc",
        Script::HAN,
        Direction::LeftToRight,
        &["東京都千代田区丸之内一丁目", "江苏 南京"],
    ),
    (
        "opentype/noto/NotoSansCJK-Regular.ttc",
        Script::HANGUL,
        Direction::LeftToRight,
        &["서울특별시 중구 세종대로"],
    ),
];

/// Reads a font file of the system.
fn read(path: &str) -> Vec<u8> {
    let path = format!("/usr/share/fonts/{path}");
    fs::read(&path).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// A book with the font as its own family, and the style that asks for it.
fn book_with(path: &str) -> (FontBook, TextStyle) {
    let mut book = FontBook::builtin();
    let font = book.add_family("Sample", Cut::Regular, read(path)).expect("usable");
    assert_eq!(book.embedding(font), Embedding::Subset, "{path}");
    let family = book.family("Sample");
    (book, TextStyle { family, ..TextStyle::default() })
}

/// A text shaped in one call of harfrust, as (glyph, advance, dx, dy) in font units.
fn shape_whole(
    font: &harfrust::Font,
    text: &str,
    script: Script,
    direction: Direction,
) -> Vec<(u32, i32, i32, i32)> {
    let font = harfrust::ShaperFont::new(font);
    let mut buffer = harfrust::Buffer::new();
    buffer.set_flags(harfrust::BufferFlags::REMOVE_DEFAULT_IGNORABLES);
    buffer.push_str(text);
    buffer.set_direction(direction);
    buffer.set_script(Some(script));
    harfrust::shape(&font, &mut buffer, harfrust::ShapeOptions::new()).expect("shapes");
    buffer
        .glyph_infos()
        .iter()
        .zip(buffer.glyph_positions())
        .map(|(info, place)| (info.glyph_id, place.x_advance, place.x_offset, place.y_offset))
        .collect()
}

/// The glyphs of a line, as [`shape_whole`] gives them.
fn line_glyphs(book: &FontBook, line: &Line) -> Vec<(u32, i32, i32, i32)> {
    line.runs
        .iter()
        .flat_map(|run| {
            let units = f64::from(book.metrics(run.font).units_per_em);
            let whole = move |em: f64| (em * units).round() as i32;
            run.glyphs.iter().map(move |glyph| {
                (
                    u32::from(glyph.id),
                    whole(glyph.advance_em),
                    whole(glyph.dx_em),
                    whole(glyph.dy_em),
                )
            })
        })
        .collect()
}

#[test]
#[ignore = "needs Debian's font packages"]
fn every_line_is_what_shaping_it_alone_gives() {
    for (path, script, direction, texts) in SAMPLES {
        let (book, style) = book_with(path);
        let font = harfrust::Font::new(read(path), 0).expect("a font");
        let mut shaper = Shaper::new(&book);
        for text in *texts {
            let paragraph = shaper.paragraph(text, &style).expect("covered");
            for width in [f64::INFINITY, 6.0, 3.0, 0.0] {
                for line in paragraph.break_lines(&mut shaper, width) {
                    let alone = text[line.text.clone()].trim_end();
                    assert_eq!(
                        line_glyphs(&book, &line),
                        shape_whole(&font, alone, *script, *direction),
                        "{path}: {alone:?}"
                    );
                }
            }
        }
    }
}

#[test]
#[ignore = "needs Debian's font packages"]
fn hebrew_in_a_latin_sentence_with_numbers_reads_as_uax_9_says() {
    let (book, _) = book_with("truetype/noto/NotoSansHebrew-Regular.ttf");
    let mut shaper = Shaper::new(&book);
    let mut visual = |text: &str| -> (String, bool) {
        let paragraph = shaper.paragraph(text, &TextStyle::default()).expect("covered");
        let line = &paragraph.break_lines(&mut shaper, 99.0)[0];
        let order = line
            .runs
            .iter()
            .flat_map(|run| run.clusters())
            .map(|cluster| &text[cluster.text])
            .collect();
        (order, line.rtl)
    };
    // Numbers stay left to right inside right-to-left words (UAX #9, W2-W7, I1, I2).
    assert_eq!(visual("to רחוב 12 ים, now"), ("to םי 12 בוחר, now".to_owned(), false));
    // The first strong character sets the base (P2, P3); Latin keeps its own way.
    assert_eq!(visual("רחוב Quay 12"), ("Quay 12 בוחר".to_owned(), true));
    // Brackets go with their words (N0); the text of the leftmost is the closing one.
    assert_eq!(visual("(ים)"), (")םי(".to_owned(), true));
}

#[test]
#[ignore = "needs Debian's font packages"]
fn fallback_keeps_letter_and_mark_in_one_font() {
    let mut book = FontBook::builtin();
    let data = read("truetype/noto/NotoSansHebrew-Regular.ttf");
    let added = book.add_face("Hebrew", Cut::Regular, data, 0).expect("usable");
    let mut shaper = Shaper::new(&book);
    let text = "Nib בָּרָא שלום 3";
    let paragraph = shaper.paragraph(text, &TextStyle::default()).expect("covered");
    let line = &paragraph.break_lines(&mut shaper, 99.0)[0];
    let fonts: Vec<(usize, &str)> =
        line.runs.iter().map(|run| (run.font.index(), &text[run.text.clone()])).collect();
    // Both words with the space between them are one stretch of the family that was
    // added; the number after them stands to their left (UAX #9, I1).
    assert_eq!(fonts, [(0, "Nib "), (0, "3"), (0, " "), (added.index(), "בָּרָא שלום")]);
}

#[test]
#[ignore = "needs Debian's font packages"]
fn collections_are_read_face_by_face() {
    let data = read("opentype/noto/NotoSansCJK-Regular.ttc");
    let labels = read_face_labels(&data).expect("readable");
    let japanese = labels.iter().find(|label| label.family == "Noto Sans CJK JP").expect("there");
    assert_eq!(japanese.cut, Some(Cut::Regular));
    let korean = labels.iter().find(|label| label.family == "Noto Sans CJK KR").expect("there");
    let mut book = FontBook::builtin();
    let font = book.add_face("Han", Cut::Regular, data, korean.index).expect("usable");
    assert_eq!(book.collection_index(font), korean.index);
    assert!(book.glyph_bounds(font, 1_000).is_some());
    let glyphs: Vec<u16> = (1_000..1_080).collect();
    let remapper = subsetter::GlyphRemapper::new_from_glyphs(&glyphs);
    let subset = subsetter::subset(book.data(font), korean.index, &remapper).expect("subsets");
    assert!(subset.len() < 200_000, "{}", subset.len());
}

#[test]
#[ignore = "needs Debian's font packages"]
fn japanese_breaks_between_characters_but_not_before_its_full_stop() {
    let (book, style) = book_with("opentype/noto/NotoSansCJK-Regular.ttc");
    let mut shaper = Shaper::new(&book);
    let text = "万年筆の修理。";
    let paragraph = shaper.paragraph(text, &style).expect("covered");
    let lines: Vec<&str> =
        paragraph.break_lines(&mut shaper, 3.0).into_iter().map(|line| &text[line.text]).collect();
    assert_eq!(lines, ["万年筆", "の修", "理。"]);
}

/// The pages of the sample batch in a layout, with other fonts; there must be nothing to find.
fn pages_with(book: &FontBook, layout: &Layout) -> Vec<Page> {
    let (batch, shop) = sample_batch();
    let pictures = PictureStore::new(&NoFiles, "");
    let document = Document::new(&batch, layout, book, &pictures);
    let document = Document { shop: Some(&shop), grid: Some(DotGrid::DPI_203), ..document };
    let mut pages = Vec::new();
    let take = |page| {
        pages.push(page);
        Ok(())
    };
    let run = Run::new(&document).unwrap();
    let outcome = run.make(&mut watch_batch(&batch), Page::clone, take, |_| {}).unwrap();
    assert!(outcome.findings.is_empty(), "{:?}", outcome.findings);
    pages
}

/// Arabic beside Latin: the dots and bows of the other face never reach into the next line.
#[test]
#[ignore = "needs Debian's font packages"]
fn lines_with_another_face_stand_as_far_apart_as_its_glyphs_need() {
    let mut book = FontBook::builtin();
    book.add_family("Other", Cut::Regular, read("truetype/dejavu/DejaVuSans.ttf")).expect("usable");
    let text = "page: {stock: 80x60mm, inset: 4}\nmakes: label\ntype: {t: {size: 14pt, leading: 1}}\n\
        body: {down: [{text: \"ÅÇ يجّ الرَّحْمٰنِ\\nيِّ إِلَىٰ حجّ\\nÅÇ\", type: t}, {text: \"يجّ إِ\", type: t}]}";
    let pages = pages_with(&book, &layout_of(text));
    let page = &pages[0];
    let mut lines: Vec<(f64, f64, f64)> = Vec::new();
    for mark in &page.marks {
        let MarkKind::Text(run) = &mark.kind else { continue };
        let bounds = run.glyphs.iter().filter_map(|glyph| {
            let bounds = book.glyph_bounds(run.font, glyph.id)?;
            Some((bounds.y_max + glyph.dy_em, bounds.y_min + glyph.dy_em))
        });
        let em = run.size.0;
        let (top, bottom) = bounds
            .fold((0.0_f64, 0.0_f64), |(top, bottom), (max, min)| (top.max(max), bottom.min(min)));
        let (y, top, bottom) = (run.origin.y.0, top * em, bottom * em);
        match lines.iter_mut().find(|line| (line.0 - y).abs() < 1e-6) {
            Some(line) => (line.1, line.2) = (line.1.min(y - top), line.2.max(y - bottom)),
            None => lines.push((y, y - top, y - bottom)),
        }
    }
    lines.sort_by(|one, other| one.0.total_cmp(&other.0));
    assert_eq!(lines.len(), 4);
    for pair in lines.windows(2) {
        assert!(pair[0].2 <= pair[1].1 + 1e-9, "{pair:?}");
    }
}
