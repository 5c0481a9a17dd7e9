//! What must hold for any text: nothing lost, nothing invented, no line too
//! wide without need, no panic.

use proptest::prelude::*;
use slipwright::FontBook;
use slipwright::fonts::{Cut, Line, Shaper, TextError, TextStyle};

/// Rounding of sums, in em.
const NEAR: f64 = 1e-9;

/// Pieces that texts are made of: letters that kern and join, marks, spaces of
/// all kinds, hyphens, forced breaks, bidi controls.
fn pieces() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        8 => "[A-Za-z]{1,6}",
        2 => "[0-9]{1,4}",
        4 => Just(" ".to_owned()),
        2 => prop::sample::select(vec![
            "AV", "To", "ffi", "é", "e\u{301}", "q\u{301}\u{323}", "Ж", "Ёж", "Ω", "ΑΥ", "ß", "№",
        ])
        .prop_map(str::to_owned),
        2 => prop::sample::select(vec![
            "-", "\u{ad}", "/", ",", ".", "(", ")", "\u{2013}", "'", "\"", "€", "%", "\u{2011}",
        ])
        .prop_map(str::to_owned),
        1 => prop::sample::select(vec![
            "\n", "\r\n", "\t", "  ", "\u{a0}", "\u{2003}", "\u{3000}", "\u{200b}", "\u{2060}",
            "\u{200d}", "\u{feff}", "\u{2028}", "\u{301}",
        ])
        .prop_map(str::to_owned),
        1 => prop::sample::select(vec![
            "\u{200f}", "\u{202e}", "\u{202c}", "\u{2067}", "\u{2066}", "\u{2069}", "\u{202b}",
        ])
        .prop_map(str::to_owned),
    ];
    prop::collection::vec(piece, 0..24).prop_map(|pieces| pieces.concat())
}

/// Any style of the built-in family.
fn styles() -> impl Strategy<Value = TextStyle> {
    (
        prop::sample::select(Cut::UPRIGHT.to_vec()),
        prop::sample::select(vec![0.0, 0.05, -0.02]),
        any::<bool>(),
    )
        .prop_map(|(cut, letter_spacing_em, tabular)| TextStyle {
            cut,
            letter_spacing_em,
            tabular,
            ..TextStyle::default()
        })
}

/// Breaks a text with a shaper that has seen nothing before.
fn break_fresh(text: &str, style: &TextStyle, width: f64) -> Vec<Line> {
    let mut shaper = Shaper::new(&FontBook::builtin());
    let paragraph = shaper.paragraph(text, style).expect("covered");
    paragraph.break_lines(&mut shaper, width)
}

/// Checks what holds for every line by itself.
fn check_line(text: &str, line: &Line) {
    let sum =
        line.runs.iter().flat_map(|run| &run.glyphs).fold(0.0, |sum, glyph| sum + glyph.advance_em);
    assert_eq!(sum, line.width_em);
    let mut shown = Vec::new();
    for run in &line.runs {
        let mut covered: Vec<_> = run.clusters().collect();
        let glyphs: usize = covered.iter().map(|cluster| cluster.glyphs.len()).sum();
        assert_eq!(glyphs, run.glyphs.len());
        covered.sort_by_key(|cluster| cluster.text.start);
        assert_eq!(covered.first().map(|first| first.text.start), Some(run.text.start));
        assert_eq!(covered.last().map(|last| last.text.end), Some(run.text.end));
        assert!(covered.windows(2).all(|two| two[0].text.end == two[1].text.start));
        assert!(covered.iter().all(|cluster| !text[cluster.text.clone()].is_empty()));
        shown.push(run.text.clone());
    }
    shown.sort_by_key(|range| range.start);
    assert!(shown.windows(2).all(|two| two[0].end <= two[1].start));
    // What no run shows is invisible: hanging spaces, terminators, controls.
    let mut unshown = text[line.text.clone()].to_owned();
    for range in shown.iter().rev() {
        assert!(line.text.start <= range.start && range.end <= line.text.end);
        unshown.replace_range(range.start - line.text.start..range.end - line.text.start, "");
    }
    assert!(
        unshown.chars().all(|c| c.is_whitespace() || is_invisible(c)),
        "{unshown:?} of {text:?} is lost"
    );
}

/// Characters that need no glyph, of those that [`pieces`] makes.
fn is_invisible(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

#[test]
fn long_odd_texts_are_set_like_any_other() {
    let mut shaper = Shaper::new(&FontBook::builtin());
    let style = TextStyle::default();
    for unit in [
        "A-",
        "ab\u{ad}",
        "A\u{ad}V\u{ad}",
        "a\u{202e}b\u{202c} ",
        "abcdefgh",
        " ",
        "\u{2003} ",
        "\u{301}",
        "\n",
        "aЖ",
        "a\u{200b}",
        "\u{2067}a",
        "\u{ad}",
        "\u{200d}",
    ] {
        let text = unit.repeat(10_000);
        let paragraph = shaper.paragraph(&text, &style).expect("covered");
        for width in [f64::INFINITY, 50.0, 0.0] {
            let lines = paragraph.break_lines(&mut shaper, width);
            assert_eq!(lines.iter().map(|line| line.text.len()).sum::<usize>(), text.len());
            lines.iter().for_each(|line| check_line(&text, line));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(512) })]

    #[test]
    fn every_byte_is_in_one_line_and_widths_add_up(
        text in pieces(),
        style in styles(),
        width in 0.0..20.0_f64,
    ) {
        let mut shaper = Shaper::new(&FontBook::builtin());
        let paragraph = shaper.paragraph(&text, &style).expect("covered");
        let finest = paragraph.break_lines(&mut shaper, 0.0);
        let widest = paragraph.break_lines(&mut shaper, f64::INFINITY);
        for lines in [&paragraph.break_lines(&mut shaper, width), &finest, &widest] {
            let mut end = 0;
            for line in lines.iter() {
                prop_assert_eq!(line.text.start, end);
                end = line.text.end;
                check_line(&text, line);
            }
            prop_assert_eq!(end, text.len());
        }
        for line in paragraph.break_lines(&mut shaper, width) {
            let whole = finest.iter().any(|piece| piece.text == line.text);
            prop_assert!(line.width_em <= width + 2.0 * NEAR || whole, "{:?}", line);
        }
        let longest = widest.iter().fold(0.0_f64, |most, line| most.max(line.width_em));
        let least = finest.iter().fold(0.0_f64, |most, line| most.max(line.width_em));
        prop_assert!((paragraph.natural_width_em() - longest).abs() < NEAR);
        prop_assert!((paragraph.min_width_em() - least).abs() < NEAR);
    }

    #[test]
    fn what_was_shaped_before_changes_nothing(
        texts in prop::collection::vec(pieces(), 1..6),
        style in styles(),
        width in 1.0..12.0_f64,
    ) {
        let mut shaper = Shaper::new(&FontBook::builtin());
        for text in texts.iter().chain(&texts) {
            let paragraph = shaper.paragraph(text, &style).expect("covered");
            let lines = paragraph.break_lines(&mut shaper, width);
            prop_assert_eq!(lines, break_fresh(text, &style, width));
        }
    }

    #[test]
    fn lines_are_as_full_as_they_can_be(
        words in prop::collection::vec("[A-Za-z][A-Za-z.,]{0,7}", 1..16),
        width in 0.0..20.0_f64,
    ) {
        let text = words.join(" ");
        let style = TextStyle::default();
        let mut shaper = Shaper::new(&FontBook::builtin());
        let lines = break_fresh(&text, &style, width);
        for pair in lines.windows(2) {
            let next = text[pair[1].text.clone()].split_inclusive(' ').next().unwrap_or_default();
            let longer = &text[pair[0].text.start..pair[1].text.start + next.len()];
            let longer = shaper.paragraph(longer.trim_end(), &style).expect("covered");
            prop_assert!(longer.natural_width_em() > width);
        }
    }

    #[test]
    fn tones_of_skin_take_no_letter_with_them(letters in "[a-zßœ ]{1,9}") {
        let mut shaper = Shaper::new(&FontBook::builtin());
        let text: String = letters.chars().flat_map(|c| [c, '\u{1F3FB}']).collect();
        let paragraph = shaper.paragraph(&text, &TextStyle::default()).expect("covered");
        for line in paragraph.break_lines(&mut shaper, 99.0) {
            prop_assert!(line.runs.iter().flat_map(|run| &run.glyphs).all(|glyph| glyph.id != 0));
        }
    }

    #[test]
    fn any_text_is_set_or_its_missing_characters_listed(text in any::<String>(), width in 0.0..9.0_f64) {
        let mut shaper = Shaper::new(&FontBook::builtin());
        let mut text = text;
        loop {
            let missing = match shaper.paragraph(&text, &TextStyle::default()) {
                Ok(paragraph) => {
                    for line in paragraph.break_lines(&mut shaper, width) {
                        let mut glyphs = line.runs.iter().flat_map(|run| &run.glyphs);
                        prop_assert!(glyphs.all(|glyph| glyph.id != 0));
                    }
                    break;
                }
                Err(TextError::Missing(missing)) => missing,
                Err(error) => return Err(TestCaseError::fail(error.to_string())),
            };
            for glyph in missing.iter() {
                prop_assert_eq!(text.find(glyph.character), Some(glyph.at));
            }
            // Without them the text can be set, unless a mark that stood on one of them now stands on
            // a letter of a face that lacks it. A carriage return is missing only where no line feed
            // follows.
            let rest: String = text
                .chars()
                .filter(|c| *c != '\r' && missing.iter().all(|glyph| glyph.character != *c))
                .collect();
            prop_assert!(rest.len() < text.len());
            text = rest;
        }
    }
}
