//! Text set with the built-in faces: shaping, missing glyphs, line breaking
//! and direction, seen from outside the module.

use std::sync::Arc;

use slipwright::FontBook;
use slipwright::fonts::{BaseDirection, Cut, Glyph, Line, Paragraph, Shaper, TextError, TextStyle};

/// A text shaped in the regular cut.
fn shape(shaper: &mut Shaper, text: &str) -> Arc<Paragraph> {
    shaper.paragraph(text, &TextStyle::default()).expect("every character has a glyph")
}

/// The lines of a text in the regular cut, broken at `width_em`.
fn lines(text: &str, width_em: f64) -> Vec<Line> {
    let mut shaper = Shaper::new(&FontBook::builtin());
    shape(&mut shaper, text).break_lines(&mut shaper, width_em)
}

/// The texts of the lines of `text`, hanging spaces and terminators included.
fn line_texts(text: &str, width_em: f64) -> Vec<&str> {
    lines(text, width_em).into_iter().map(|line| &text[line.text]).collect()
}

/// The text that the runs of a line show, from left to right.
fn shown(text: &str, line: &Line) -> Vec<String> {
    line.runs.iter().map(|run| text[run.text.clone()].to_owned()).collect()
}

/// The characters of a line from left to right, by the clusters of its glyphs.
fn visual(text: &str, line: &Line) -> String {
    line.runs.iter().flat_map(|run| run.clusters()).map(|cluster| &text[cluster.text]).collect()
}

/// Width of a text in a style, in em.
fn width(style: &TextStyle, text: &str) -> f64 {
    let mut shaper = Shaper::new(&FontBook::builtin());
    shaper.paragraph(text, style).expect("covered").natural_width_em()
}

/// All glyphs of a line.
fn glyphs(line: &Line) -> Vec<Glyph> {
    line.runs.iter().flat_map(|run| run.glyphs.clone()).collect()
}

/// A whole line shaped in one call of harfrust, as (glyph, cluster, advance, dx, dy) in font units.
fn shape_whole(
    data: &[u8],
    text: &str,
    script: harfrust::Script,
) -> Vec<(u32, u32, i32, i32, i32)> {
    let font = harfrust::Font::new(data.to_vec(), 0).expect("a font");
    let font = harfrust::ShaperFont::new(&font);
    let mut buffer = harfrust::Buffer::new();
    buffer.push_str(text);
    buffer.set_direction(harfrust::Direction::LeftToRight);
    buffer.set_script(Some(script));
    harfrust::shape(&font, &mut buffer, harfrust::ShapeOptions::new()).expect("shapes");
    buffer
        .glyph_infos()
        .iter()
        .zip(buffer.glyph_positions())
        .map(|(info, place)| {
            (info.glyph_id, info.cluster, place.x_advance, place.x_offset, place.y_offset)
        })
        .collect()
}

/// Asserts that a line set word by word is the line shaped in one go.
fn assert_as_whole(cut: Cut, text: &str, script: harfrust::Script) {
    let book = FontBook::builtin();
    let font = book.fallbacks(None, cut)[0];
    let mut shaper = Shaper::new(&book);
    let style = TextStyle { cut, ..TextStyle::default() };
    let paragraph = shaper.paragraph(text, &style).expect("covered");
    let lines = paragraph.break_lines(&mut shaper, f64::INFINITY);
    let units = f64::from(book.metrics(font).units_per_em);
    let found: Vec<_> = lines
        .iter()
        .flat_map(glyphs)
        .map(|glyph| {
            let whole = |em: f64| (em * units).round() as i32;
            let id = u32::from(glyph.id);
            (id, glyph.cluster, whole(glyph.advance_em), whole(glyph.dx_em), whole(glyph.dy_em))
        })
        .collect();
    assert_eq!(found, shape_whole(book.data(font), text, script), "{text:?} in {cut:?}");
}

#[test]
fn words_set_one_by_one_are_the_line_set_whole() {
    for cut in Cut::UPRIGHT {
        for text in [
            "Tern Hollow Pens, 12 Quay Street",
            "AVA To You W. A. T, V. Y. \"Yes\" 'To' (AT) 7 A 1 T",
            "Łódź façade Ångström naïve œuvre ﬁne office affluent",
            "A e\u{301} x\u{301}\u{323} T o\u{308} W",
            "L' AT  V  Y   end",
            "Flat 3/4, c/o A-T V-A re-nib To-Ty 1/2 3⁄4",
        ] {
            assert_as_whole(cut, text, harfrust::Script::LATIN);
        }
        assert_as_whole(cut, "Οδός Αθηνάς, Το Τα ΑΥΤΑ Λάρισα", harfrust::Script::GREEK);
        assert_as_whole(cut, "ул. Тверская, Та То УГЛЫ Ёж", harfrust::Script::CYRILLIC);
    }
}

#[test]
fn spaces_kern_in_no_built_in_face() {
    // If this fails, the faces were replaced: words then no longer stand alone
    // and lines are shaped whole, which is right but slower.
    let style = TextStyle::default();
    let apart =
        width(&style, "A") + width(&style, "T") + width(&style, "A A") - 2.0 * width(&style, "A");
    assert!((width(&style, "A T") - apart).abs() < 1e-9);
}

#[test]
fn a_mark_composes_or_stands_on_its_letter() {
    let composed = glyphs(&lines("é", 9.0)[0]);
    let apart = glyphs(&lines("e\u{301}", 9.0)[0]);
    assert_eq!(composed.len(), 1);
    assert_eq!(apart[0].id, composed[0].id);
    assert_eq!(apart[0].advance_em, composed[0].advance_em);
    // No composed character exists: the mark is moved, and takes no room.
    let stacked = glyphs(&lines("q\u{301}", 9.0)[0]);
    assert_eq!(stacked.len(), 2);
    assert_eq!((stacked[0].cluster, stacked[1].cluster), (0, 0));
    assert_eq!(stacked[1].advance_em, 0.0);
    assert!(stacked[1].dx_em != 0.0);
}

#[test]
fn a_stray_mark_prints_no_dotted_circle() {
    assert_eq!(glyphs(&lines("\u{301}", 9.0)[0]).len(), 1);
}

#[test]
fn greek_and_cyrillic_are_covered() {
    let text = "Ελληνικά Άγιος Ώρα Кириллица Ёж Їжак Љубав ґанок № € £";
    for cut in Cut::UPRIGHT {
        let style = TextStyle { cut, ..TextStyle::default() };
        assert!(width(&style, text) > 20.0);
    }
}

#[test]
fn missing_glyphs_are_listed_once_each_with_their_first_place() {
    let mut shaper = Shaper::new(&FontBook::builtin());
    let text = "Aki 🖋 明日\u{7} 明 🖋\rend";
    let error = shaper.paragraph(text, &TextStyle::default()).expect_err("not covered");
    let TextError::Missing(missing) = &error else { panic!("{error}") };
    let found: Vec<(char, usize)> =
        missing.iter().map(|glyph| (glyph.character, glyph.at)).collect();
    assert_eq!(
        found,
        [
            ('明', text.find('明').expect("there")),
            ('日', text.find('日').expect("there")),
            ('\u{7}', text.find('\u{7}').expect("there")),
            ('\r', text.find('\r').expect("there")),
        ]
    );
    assert_eq!(
        error.to_string(),
        "no font has a glyph for `明` (U+660E), `日` (U+65E5), \
         U+0007 (a control character), U+000D (a control character)"
    );
}

#[test]
fn what_is_invisible_needs_no_glyph() {
    let invisible =
        "\u{feff}a\u{200b}b\u{200c}c\u{200d}d\u{ad}e\u{2060}f\u{fe0f}g\u{200e}h\u{200f}";
    let line = &lines(invisible, 99.0)[0];
    assert_eq!(glyphs(line).len(), 8);
    assert_eq!(line.width_em, width(&TextStyle::default(), "abcdefgh"));
}

#[test]
fn odd_spaces_and_hyphens_fall_back_on_plain_ones() {
    let style = TextStyle::default();
    for text in ["a\u{2003}b", "a\u{2009}b", "a\u{202f}b", "a\u{3000}b", "a\u{205f}b", "a\u{2011}b"]
    {
        assert!(width(&style, text) > width(&style, "ab"), "{text:?}");
    }
    assert_eq!(width(&style, "a\tb"), width(&style, "a b"));
    // The built-in fonts have no minus: a dash as wide as a figure is drawn for it.
    assert_eq!(width(&style, "\u{2212}1"), width(&style, "11"));
}

#[test]
fn figures_have_one_width() {
    for cut in Cut::UPRIGHT {
        for tabular in [false, true] {
            let style = TextStyle { cut, tabular, ..TextStyle::default() };
            let ones = width(&style, "1,111.11");
            for digit in '0'..='9' {
                let text = "1,111.11".replace('1', &digit.to_string());
                assert!((width(&style, &text) - ones).abs() < 1e-9, "{text} in {cut:?}");
            }
        }
    }
}

#[test]
fn letter_spacing_parts_letters_but_not_the_end() {
    let plain = TextStyle::default();
    let spaced = TextStyle { letter_spacing_em: 0.05, ..plain };
    // Three letters have two gaps.
    let gaps = width(&spaced, "Nib") - width(&plain, "Nib");
    assert!((gaps - 0.1).abs() < 1e-9);
    // A letter with its mark counts once.
    let gaps = width(&spaced, "q\u{301}q") - width(&plain, "q\u{301}q");
    assert!((gaps - 0.05).abs() < 1e-9);
    // The line as set is as wide as the paragraph said.
    let mut shaper = Shaper::new(&FontBook::builtin());
    let paragraph = shaper.paragraph("pair code K7QM", &spaced).expect("covered");
    let natural = paragraph.natural_width_em();
    let lines = paragraph.break_lines(&mut shaper, natural);
    assert_eq!(lines.len(), 1);
    assert!((lines[0].width_em - natural).abs() < 1e-9);
    // What is no number counts as nothing.
    let wrong = TextStyle { letter_spacing_em: f64::NAN, ..plain };
    assert_eq!(width(&wrong, "Nib"), width(&plain, "Nib"));
}

#[test]
fn lines_end_at_opportunities_and_spaces_hang() {
    let text = "Restored fountain pens,  and ink";
    let plain = TextStyle::default();
    let wide = width(&plain, "Restored fountain");
    assert_eq!(line_texts(text, wide), ["Restored fountain ", "pens,  and ink"]);
    let lines = lines(text, wide);
    let found: Vec<Vec<String>> = lines.iter().map(|line| shown(text, line)).collect();
    assert_eq!(found, [["Restored fountain"], ["pens,  and ink"]].map(|l| l.map(String::from)));
    assert!((lines[0].width_em - wide).abs() < 1e-9);
    // Wide enough for `pens,` but for neither of its spaces: they hang all the same.
    assert_eq!(line_texts("pens,  and", width(&plain, "pens,")), ["pens,  ", "and"]);
}

#[test]
fn a_line_that_fits_exactly_is_not_broken() {
    let plain = TextStyle::default();
    for text in ["Tern Hollow Pens", "re-nib the No. 7", "so\u{ad}lid ink"] {
        let natural = width(&plain, text);
        assert_eq!(line_texts(text, natural).len(), 1, "{text:?}");
        assert_eq!(line_texts(text, natural - 0.01).len(), 2, "{text:?}");
    }
}

#[test]
fn forced_breaks_make_lines_and_empty_lines() {
    let text = "Marlow\r\n\nEllenport\n";
    assert_eq!(line_texts(text, 99.0), ["Marlow\r\n", "\n", "Ellenport\n"]);
    assert!(lines(text, 99.0)[1].runs.is_empty());
    assert_eq!(line_texts("", 99.0), [""; 0]);
    assert_eq!(line_texts("   ", 99.0), ["   "]);
    assert_eq!(lines("   ", 99.0)[0].width_em, 0.0);
}

#[test]
fn a_word_longer_than_the_line_stays_whole() {
    let text = "an Unbreakableworkshopname here";
    let lines = lines(text, 5.0);
    assert_eq!(shown(text, &lines[1]), ["Unbreakableworkshopname"]);
    assert!(lines[1].width_em > 5.0);
    let mut shaper = Shaper::new(&FontBook::builtin());
    let paragraph = shape(&mut shaper, text);
    assert!((paragraph.min_width_em() - lines[1].width_em).abs() < 1e-9);
    // Widths that are no widths at all end each line at its first opportunity.
    for width in [0.0, -1.0, f64::NAN, f64::NEG_INFINITY] {
        assert_eq!(paragraph.break_lines(&mut shaper, width).len(), 3);
    }
}

#[test]
fn a_soft_hyphen_shows_where_the_line_breaks_there() {
    let text = "foun\u{ad}tain pen";
    let plain = TextStyle::default();
    let narrow = width(&plain, "foun\u{2010}");
    let lines = lines(text, narrow);
    let first = glyphs(&lines[0]);
    assert_eq!(first.len(), 5);
    assert_eq!(first[4].cluster as usize, 4);
    assert!((lines[0].width_em - narrow).abs() < 1e-9);
    assert_eq!(visual(text, &lines[0]), "foun\u{ad}");
    // A little less, and there is no room for the hyphen: nothing breaks there.
    let mut shaper = Shaper::new(&FontBook::builtin());
    let paragraph = shape(&mut shaper, text);
    let tight = paragraph.break_lines(&mut shaper, narrow - 0.01);
    assert!(tight[0].width_em > narrow - 0.01);
}

#[test]
fn no_break_spaces_hold_lines_together() {
    assert_eq!(line_texts("12\u{a0}Quay Street", 3.0), ["12\u{a0}Quay ", "Street"]);
    assert_eq!(line_texts("0.35\u{202f}kg net", 3.0), ["0.35\u{202f}kg ", "net"]);
}

#[test]
fn a_line_cut_inside_a_word_is_kerned_as_it_stands() {
    // The hyphen kerns with the letter after it; on a line of its own the
    // first half must be as wide as that half shaped alone.
    let plain = TextStyle::default();
    assert!(width(&plain, "-T") < width(&plain, "-") + width(&plain, "T") - 0.005);
    for text in ["A-To", "Ty-Vo-To", "1-Yo"] {
        let lines = lines(text, 0.0);
        assert!(lines.len() > 1);
        for line in lines {
            let alone = width(&plain, &text[line.text.clone()]);
            assert!((line.width_em - alone).abs() < 1e-9, "{text}: {line:?}");
        }
    }
    // A and V kern across the soft hyphen, but not across the line's end.
    let halves = lines("A\u{ad}V", 0.0);
    assert!((halves[0].width_em - width(&plain, "A\u{2010}")).abs() < 1e-9);
    assert!((halves[1].width_em - width(&plain, "V")).abs() < 1e-9);
    assert!((width(&plain, "A\u{ad}V") - width(&plain, "AV")).abs() < 1e-9);
}

#[test]
fn clusters_cover_the_text_of_a_ligature() {
    for (text, style) in [
        ("office affluent", TextStyle::default()),
        ("e\u{301}q\u{301}\u{ad}x ", TextStyle::default()),
    ] {
        let mut shaper = Shaper::new(&FontBook::builtin());
        let paragraph = shaper.paragraph(text, &style).expect("covered");
        for line in paragraph.break_lines(&mut shaper, 99.0) {
            let joined: String = line
                .runs
                .iter()
                .flat_map(|run| run.clusters())
                .map(|cluster| &text[cluster.text])
                .collect();
            assert_eq!(joined, text.trim_end());
        }
    }
}

#[test]
fn an_override_turns_letters_round() {
    // U+202E makes Latin letters run right to left: the whole way of a
    // right-to-left script, with the fonts at hand.
    let text = "ab\u{202e}cd 12\u{202c} ef";
    let line = &lines(text, 99.0)[0];
    let order: String = visual(text, line).chars().filter(|c| c.is_ascii()).collect();
    assert_eq!(order, "ab21 dc ef");
    assert!(!line.rtl);
    assert!(line.runs.iter().any(|run| run.rtl));
}

#[test]
fn the_base_direction_can_be_set() {
    let text = "Nib 12!";
    let mut shaper = Shaper::new(&FontBook::builtin());
    let style = TextStyle { direction: BaseDirection::RightToLeft, ..TextStyle::default() };
    let paragraph = shaper.paragraph(text, &style).expect("covered");
    let line = &paragraph.break_lines(&mut shaper, 99.0)[0];
    assert!(line.rtl);
    assert_eq!(visual(text, line), "!Nib 12");
    assert!(!lines(text, 99.0)[0].rtl);
}

#[test]
fn lines_of_turned_text_are_ordered_one_by_one() {
    // UAX #9 orders each line by itself: the first words stand on the first line.
    let text = "\u{2067}one, two, three\u{2069}";
    let mut shaper = Shaper::new(&FontBook::builtin());
    let style = TextStyle { direction: BaseDirection::RightToLeft, ..TextStyle::default() };
    let paragraph = shaper.paragraph(text, &style).expect("covered");
    let lines = paragraph.break_lines(&mut shaper, 5.0);
    let visuals: Vec<String> = lines
        .iter()
        .map(|line| visual(text, line).chars().filter(char::is_ascii).collect())
        .collect();
    assert_eq!(visuals, ["one, two,", "three"].map(String::from));
}
