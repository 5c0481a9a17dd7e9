//! Tests of what the module keeps to itself: break places, bidi levels,
//! scripts, and words that stand alone.

use std::io::Read as _;
use std::ops::Range;

use harfrust::Script;
use unicode_bidi::{BidiInfo, Level};

use super::book::FontBook;
use super::breaks::{Break, find_breaks, split_sections};
use super::cut::Cut;
use super::features::Features;
use super::itemise::{Chain, TextItem, itemise};
use super::line_rules::find_line_breaks;
use super::shaper::Shaper;
use super::style::{BaseDirection, MissingList};

/// The byte offsets at which lines of `text` may end, the last one its length.
fn break_places(text: &str) -> Vec<usize> {
    find_breaks(text, &(0..text.len())).into_iter().map(|place| place.at).collect()
}

/// The items of a text set in the built-in regular face.
fn items(text: &str, direction: BaseDirection) -> Vec<TextItem> {
    let book = FontBook::builtin();
    let chain = Chain::new(&book, book.fallbacks(None, Cut::Regular));
    let mut missing = MissingList::default();
    itemise(&book, &chain, text, &(0..text.len()), direction, &mut missing).items
}

/// One case of a Unicode break test file: the text and where it may break.
fn read_case(line: &str) -> Option<(String, Vec<usize>)> {
    let case = line.split('#').next()?.trim();
    let mut text = String::new();
    let mut places = Vec::new();
    for word in case.split_whitespace() {
        match word {
            "÷" => places.push(text.len()),
            "×" => {}
            code => text.push(char::from_u32(u32::from_str_radix(code, 16).ok()?)?),
        }
    }
    (!text.is_empty()).then_some((text, places))
}

/// Says whether a text has no forced breaks, which are cut off before, and no soft hyphens, of which
/// those are dropped that nothing precedes.
fn is_whole(text: &str) -> bool {
    let cuts = |c| matches!(c, '\u{a}'..='\u{d}' | '\u{85}' | '\u{2028}' | '\u{2029}' | '\u{ad}');
    !text.chars().any(cuts)
}

/// The cases of Unicode's file `LineBreakTest.txt` 17.0.0.
fn line_break_cases() -> String {
    let packed = include_bytes!("../../tests/data/LineBreakTest-17.0.0.txt.gz");
    let mut cases = String::new();
    flate2::read::GzDecoder::new(&packed[..]).read_to_string(&mut cases).expect("it is whole");
    cases
}

/// UAX #14 (17.0, untailored) as its test file has it.
#[test]
fn breaks_agree_with_the_unicode_test_file() {
    let mut compared = 0;
    for (text, expected) in line_break_cases().lines().filter_map(read_case) {
        assert_eq!(find_line_breaks(&text), expected, "{text:?}");
        if is_whole(&text) {
            assert_eq!(break_places(&text), expected, "{text:?}");
        }
        compared += 1;
    }
    assert_eq!(compared, 19_338);
}

/// UAX #9 as its character test has it: levels, and order after rules L1 and L2.
///
/// Needs Debian's `unicode-data`; tests/outside runs it.
#[test]
#[ignore = "needs Debian's package unicode-data"]
fn levels_agree_with_the_unicode_test_file() {
    let cases = std::fs::read_to_string("/usr/share/unicode/BidiCharacterTest.txt")
        .expect("package unicode-data is installed");
    let mut compared = 0;
    for line in cases.lines().filter(|line| !line.starts_with('#')) {
        let fields: Vec<&str> = line.split(';').collect();
        let [codes, direction, _, levels, order] = fields[..] else {
            continue;
        };
        let text: String = codes
            .split(' ')
            .filter_map(|code| char::from_u32(u32::from_str_radix(code, 16).ok()?))
            .collect();
        let base = match direction {
            "0" => Some(Level::ltr()),
            "1" => Some(Level::rtl()),
            _ => None,
        };
        let bidi = BidiInfo::new(&text, base);
        let Some(paragraph) = bidi.paragraphs.first() else {
            continue;
        };
        if bidi.paragraphs.len() > 1 {
            continue;
        }
        let found = bidi.reordered_levels_per_char(paragraph, paragraph.range.clone());
        let expected: Vec<&str> = levels.split(' ').collect();
        let visible: Vec<usize> = (0..expected.len()).filter(|at| expected[*at] != "x").collect();
        for at in &visible {
            assert_eq!(found[*at].number().to_string(), expected[*at], "{line}");
        }
        let shown: Vec<Level> = visible.iter().map(|at| found[*at]).collect();
        let found: Vec<String> = BidiInfo::reorder_visual(&shown)
            .into_iter()
            .map(|at| visible[at].to_string())
            .collect();
        assert_eq!(found.join(" "), order, "{line}");
        compared += 1;
    }
    assert!(compared > 90_000, "only {compared} cases compared");
}

#[test]
fn plain_text_breaks_as_the_breaker_says() {
    let pieces = ["a", "Z", "7", " ", ",", ".", "  "];
    // All texts of six pieces: the short way must agree with the long one.
    let mut compared = 0;
    for nth in 0..pieces.len().pow(6) {
        let text: String =
            (0..6).map(|digit| pieces[nth / pieces.len().pow(digit) % pieces.len()]).collect();
        assert_eq!(break_places(&text), find_line_breaks(&text), "{text:?}");
        compared += 1;
    }
    assert_eq!(compared, 117_649);
}

#[test]
fn sections_end_at_every_kind_of_line_feed() {
    let sections: Vec<(Range<usize>, usize)> = split_sections("a\r\nb\n\nc\u{2028}d\n")
        .into_iter()
        .map(|section| (section.content, section.end))
        .collect();
    assert_eq!(sections, [(0..1, 3), (3..4, 5), (5..5, 6), (6..7, 10), (10..11, 12)]);
    assert!(split_sections("").is_empty());
}

#[test]
fn spaces_hang_and_soft_hyphens_show() {
    let text = "so\u{ad}lid  ink";
    assert_eq!(
        find_breaks(text, &(0..text.len())),
        [
            Break { at: 4, shown: 4, hyphen: true },
            Break { at: 9, shown: 7, hyphen: false },
            Break { at: 12, shown: 12, hyphen: false },
        ]
    );
    // Nothing to hyphenate: no break at all.
    assert_eq!(break_places("\u{ad}ink"), [5]);
}

#[test]
fn scripts_split_and_shared_characters_follow() {
    let text = "(12) Nib, Перо 3, Ω!";
    let found: Vec<(&str, Script)> = items(text, BaseDirection::Auto)
        .iter()
        .map(|item| (&text[item.start..item.end], item.script))
        .collect();
    assert_eq!(
        found,
        [("(12) Nib, ", Script::LATIN), ("Перо 3, ", Script::CYRILLIC), ("Ω!", Script::GREEK),]
    );
    // Figures alone count as Latin, so that they come out as beside words.
    assert_eq!(items("«12»", BaseDirection::Auto)[0].script, Script::LATIN);
}

#[test]
fn levels_follow_overrides_isolates_and_the_base() {
    let levels = |text: &str, direction| -> Vec<u8> {
        items(text, direction).iter().map(|item| item.level).collect()
    };
    assert_eq!(levels("nib", BaseDirection::Auto), [0]);
    assert_eq!(levels("a\u{202e}b\u{202c}c", BaseDirection::Auto), [0, 1, 0]);
    assert_eq!(levels("nib!", BaseDirection::RightToLeft), [2, 1]);
    assert_eq!(levels("a\u{2067}b 1\u{2069}c", BaseDirection::Auto), [0, 2, 0]);
}

#[test]
fn built_in_words_stand_alone() {
    let book = FontBook::builtin();
    assert!(book.fonts().all(|font| book.get(font).shapes_by_word()));
    let mut shaper = Shaper::new(&book);
    let plain = Features { tabular: false, spaced: false };
    let item = items("AVA", BaseDirection::Auto)[0];
    let plan = shaper.plan(&item, plain);
    for word in ["AVA", "Type", "\"Yes\"", "fjord.", "7,", "W."] {
        let shaped = shaper.shape(plan, word).expect("covered");
        assert!(shaped.stands_alone, "{word}");
    }
}

#[test]
fn kept_words_are_bounded_and_never_change_a_result() {
    let book = FontBook::builtin();
    let mut shaper = Shaper::new(&book);
    let style = super::TextStyle::default();
    let first = shaper.paragraph("Ellenport", &style).expect("covered");
    for nth in 0..30_000 {
        shaper.paragraph(&format!("w{nth}"), &style).expect("covered");
    }
    let again = shaper.paragraph("Ellenport", &style).expect("covered");
    assert_eq!(first.break_lines(&mut shaper, 99.0), again.break_lines(&mut shaper, 99.0));
    assert!(
        shaper.kept_glyphs() <= 2 * super::shaper::KEPT_GLYPHS + 64,
        "{}",
        shaper.kept_glyphs()
    );
}

/// The glyphs of a text, in order, with what they stand for.
fn glyphs_of(text: &str) -> Vec<(usize, u16)> {
    let book = FontBook::builtin();
    let mut shaper = Shaper::new(&book);
    let paragraph = shaper.paragraph(text, &super::TextStyle::default()).expect("covered");
    assert_eq!(paragraph.text(), text);
    let lines = paragraph.break_lines(&mut shaper, 99.0);
    let runs = lines.into_iter().flat_map(|line| line.runs);
    let glyphs = runs.flat_map(|run| {
        let seen = |glyph: &super::Glyph| book.glyph_bounds(run.font, glyph.id).is_some();
        let shown: Vec<_> = run.glyphs.iter().filter(|it| seen(it)).copied().collect();
        shown.into_iter().map(move |glyph| (run.font.index(), glyph.id))
    });
    glyphs.collect()
}

#[test]
fn emoji_are_printed_whole_or_in_their_parts() {
    for one in ["🖋", "☺\u{fe0f}", "☎\u{fe0e}", "🪶", "🏽"] {
        assert_eq!(glyphs_of(one).len(), 1, "{one}");
    }
    // A tone behind a figure is no ink, whatever else is joined to it.
    assert_eq!(glyphs_of("👍🏽"), glyphs_of("👍"));
    assert_eq!(glyphs_of("☝\u{fe0f}🏿"), glyphs_of("☝"));
    assert_eq!(glyphs_of("👩🏽\u{200d}🚀"), glyphs_of("👩🚀"));
    assert_eq!(glyphs_of("❤\u{fe0f}\u{200d}🔥"), glyphs_of("❤🔥"));
    // Flags are letters: of countries, and of lands behind a black one.
    assert_eq!(glyphs_of("🇳🇴").len(), 2);
    assert_ne!(glyphs_of("🇳🇴"), glyphs_of("🇳🇿"));
    let wales = glyphs_of("🏴\u{e0067}\u{e0062}\u{e0077}\u{e006c}\u{e0073}\u{e007f}");
    assert_eq!(wales[0], glyphs_of("🏴")[0]);
    assert_eq!(wales[1..], glyphs_of("🇬🇧🇼🇱🇸"));
    // A keycap is one glyph, and no figure by itself ever is an emoji.
    assert_eq!(glyphs_of("7\u{fe0f}\u{20e3}").len(), 1);
    assert!(glyphs_of("7 # * 12").iter().all(|(font, _)| *font == 0));
    assert!(glyphs_of("© ® ™").iter().all(|(font, _)| *font == 0));
}

#[test]
fn emoji_stand_between_the_tops_of_capitals_and_the_usual_descent() {
    let book = FontBook::builtin();
    let mut shaper = Shaper::new(&book);
    let paragraph = shaper.paragraph("🖋🐙🎄", &super::TextStyle::default()).expect("covered");
    let usual = book.fallbacks(None, super::Cut::Regular)[0];
    let reach = paragraph.reach_of_others(&mut shaper, usual).expect("another face");
    assert!(reach.above_em < 0.78 && reach.below_em < 0.24, "{reach:?}");
}
