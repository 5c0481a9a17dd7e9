//! Code 128 against known symbols, two independent libraries and exhaustive search. Each
//! known value names its source.

use crate::codes_support;

use barcoders::sym::code128::Code128 as PeerCode128;
use codes_support::{read_code128, read_image};
use proptest::prelude::*;
use slipwright::codes::{CODE128_QUIET_ZONE, Code128, Code128Error, Data, ElementStrings};

/// Codewords, weighted sum and source of one known symbol.
struct Known {
    /// Text, or bracketed element strings.
    text: &'static str,
    /// Symbol characters from start to stop.
    codewords: &'static [u8],
    /// The sum whose remainder modulo 103 is the check character.
    sum: u32,
    /// Where the figures come from.
    source: &'static str,
}

/// Known symbols. All rows were also reckoned with a few lines of Python: the sum of start and of
/// every value times its place, modulo 103.
#[rustfmt::skip]
const KNOWN: &[Known] = &[
    Known { text: "AIM", codewords: &[104, 33, 41, 45, 45, 106], sum: 354,
        source: "ISO/IEC 15417:2007 Fig. 1" },
    Known { text: "AIM1234", codewords: &[104, 33, 41, 45, 99, 12, 34, 87, 106], sum: 1014,
        source: "ISO/IEC 15417 Annex A.1" },
    Known { text: "1234567890", codewords: &[105, 12, 34, 56, 78, 90, 85, 106], sum: 1115,
        source: "recomputed" },
    Known { text: "abcdef", codewords: &[104, 65, 66, 67, 68, 69, 70, 97, 106], sum: 1539,
        source: "recomputed" },
    Known { text: "(00)395123451234567895",
        codewords: &[105, 102, 0, 39, 51, 23, 45, 12, 34, 56, 78, 95, 96, 106], sum: 3598,
        source: "GS1 General Specifications R18 Fig. 5.4.2-1" },
    Known { text: "(01)09501101530003",
        codewords: &[105, 102, 1, 9, 50, 11, 1, 53, 0, 3, 71, 106], sum: 895,
        source: "GS1 General Specifications R18 Fig. 5.1-3" },
    Known { text: "(420)45458", codewords: &[105, 102, 42, 4, 54, 58, 88, 106], sum: 809,
        source: "GS1 General Specifications R18 Fig. 6.6.5-3" },
    Known { text: "(02)00614141000418(15)210228(10)451214(37)20",
        codewords: &[105, 102, 2, 0, 61, 41, 41, 0, 4, 18, 15, 21, 2, 28, 10, 45, 12, 14, 102, 37, 20, 79, 106],
        sum: 6053, source: "GS1 General Specifications R18 Fig. 6.6.5-4" },
    Known { text: "(8005)000365(10)123456",
        codewords: &[105, 102, 80, 5, 0, 3, 65, 102, 10, 12, 34, 56, 70, 106], sum: 2645,
        source: "GS1 General Specifications R18 Fig. 7.8.5.2-2" },
    Known { text: "EE876543216CA",
        codewords: &[104, 37, 37, 99, 87, 65, 43, 21, 100, 22, 35, 33, 5, 106], sum: 3301,
        source: "UPU S10 Annex A example" },
];

/// The symbol of a text, or of element strings when it begins with a bracket.
fn encode(text: &str) -> Code128 {
    match text.starts_with('(') {
        true => ElementStrings::parse(text).unwrap().to_code128().unwrap(),
        false => Code128::encode_text(text).unwrap(),
    }
}

/// Start value and every further value times its place, computed apart from the encoder.
fn weighted_sum(codewords: &[u8]) -> u32 {
    let body = &codewords[..codewords.len() - 2];
    let products = body[1..].iter().zip(1..).map(|(&value, place)| u32::from(value) * place);
    u32::from(body[0]) + products.sum::<u32>()
}

#[test]
fn known_symbols_come_out_codeword_by_codeword() {
    for known in KNOWN {
        let symbol = encode(known.text);
        assert_eq!(symbol.codewords(), known.codewords, "{}: {}", known.text, known.source);
        assert_eq!(weighted_sum(symbol.codewords()), known.sum, "{}: {}", known.text, known.source);
    }
}

#[test]
fn the_module_string_of_aim_is_the_known_one() {
    // ISO/IEC 15417:2007 Fig. 1.
    let expected = "11010010000101000110001100010001010111011000101110110001100011101011";
    let modules = Code128::encode_text("AIM").unwrap().row().to_modules();
    let drawn: String = modules.iter().map(|&dark| if dark { '1' } else { '0' }).collect();
    assert_eq!(drawn, expected);
}

#[test]
fn symbols_need_no_more_characters_than_the_known_least() {
    // Start, check and stop counted; recomputed by dynamic programming, the aim of ISO/IEC 15417
    // Annex E.
    let rows = [
        ("1", 4),
        ("12", 4),
        ("123", 6),
        ("1234", 5),
        ("12345", 7),
        ("A1234B", 9),
        ("A12345B", 10),
        ("A123456B", 10),
        ("AB12345", 9),
        ("ORDER-000123", 13),
        ("PO-2024-0001", 14),
        ("1A2B3C4D", 11),
    ];
    for (text, characters) in rows {
        assert_eq!(encode(text).codewords().len(), characters, "{text}");
    }
}

#[test]
fn widths_in_modules_follow_the_formula() {
    // GS1 General Specifications R18, 5.4.3 and 5.4.4.2: 11 modules a character, 2 more for the stop; SSCC and S10 are 156 wide, 176 with
    // quiet zones.
    for text in ["(00)395123451234567895", "EE876543216CA"] {
        let symbol = encode(text);
        assert_eq!(symbol.row().modules(), 156, "{text}");
        assert_eq!(symbol.row().modules() + CODE128_QUIET_ZONE.ends(), 176, "{text}");
    }
    for known in KNOWN {
        let symbol = encode(known.text);
        assert_eq!(symbol.row().modules(), 11 * known.codewords.len() + 2);
        assert_eq!(symbol.row().to_modules().len(), symbol.row().modules());
        let total: usize = symbol.row().widths().map(usize::from).sum();
        assert_eq!(total, symbol.row().modules());
        assert_eq!(symbol.row().widths().count(), 6 * known.codewords.len() + 1);
    }
}

/// The modules that barcoders draws for a text in its own notation.
fn draw_with_peer(text: &str) -> Vec<bool> {
    PeerCode128::new(text).unwrap().encode().iter().map(|&module| module == 1).collect()
}

/// The characters in front of every codeword of sets B and C, written for barcoders.
#[test]
fn bar_patterns_of_all_codewords_are_those_of_barcoders() {
    // Values 0 to 99 as digit pairs of set C, which both libraries encode in order.
    let pairs: String = (0..100).map(|value| format!("{value:02}")).collect();
    assert_eq!(encode(&pairs).row().to_modules(), draw_with_peer(&format!("Ć{pairs}")));

    // Start A (103) with control characters, start B (104), code A (101), code B (100), code C
    // (99), shift (98) and FNC1 (102), each in a symbol that has only one shortest encoding.
    let rows = [
        ("\u{1}\u{2}", "À\u{1}\u{2}"),
        ("ab", "Ɓab"),
        ("ab\u{1}\u{2}\u{3}", "ƁabÀ\u{1}\u{2}\u{3}"),
        ("12345678ab", "Ć12345678Ɓab"),
        ("ab12345678", "ƁabĆ12345678"),
    ];
    for (ours, theirs) in rows {
        assert_eq!(encode(ours).row().to_modules(), draw_with_peer(theirs), "{ours:?}");
    }
    let shifted = encode("ab\u{1}cd");
    assert_eq!(shifted.codewords()[3], 98);
    assert_eq!(pattern_of(&shifted, 3), pattern_in_peer("ƁabŽ", 3));
    let marked = encode("(420)45458");
    assert_eq!(marked.codewords()[1], 102);
    assert_eq!(pattern_of(&marked, 1), pattern_in_peer("ĆŹ12", 1));
    let high = Code128::encode(&[Data::Char(0xE9)]).unwrap();
    assert_eq!(high.codewords()[1], 100, "FNC4 of set B");
    assert_eq!(pattern_of(&high, 1), pattern_in_peer("Ɓż", 1));
}

/// The eleven modules of one symbol character of ours.
fn pattern_of(symbol: &Code128, place: usize) -> Vec<bool> {
    symbol.row().to_modules()[11 * place..11 * (place + 1)].to_vec()
}

/// The eleven modules of one symbol character of barcoders.
fn pattern_in_peer(text: &str, place: usize) -> Vec<bool> {
    draw_with_peer(text)[11 * place..11 * (place + 1)].to_vec()
}

#[test]
fn known_symbols_are_read_back_by_rxing() {
    for known in KNOWN {
        let symbol = encode(known.text);
        assert_eq!(read_code128(&symbol), symbol.text(), "{}", known.text);
    }
}

#[test]
fn known_symbols_are_found_in_an_image_by_rxing() {
    for known in KNOWN {
        let symbol = encode(known.text);
        let read = read_image(&[symbol.row().to_modules()], 3, CODE128_QUIET_ZONE.before, 20);
        assert_eq!(read.getText(), symbol.text(), "{}", known.text);
        assert_eq!(*read.getBarcodeFormat(), rxing::BarcodeFormat::CODE_128);
    }
}

#[test]
fn characters_outside_latin_1_are_refused_by_name_and_place() {
    let error = Code128::encode_text("Tern ☂ Hollow").unwrap_err();
    assert_eq!(error, Code128Error::NotLatin1 { character: '☂', index: 5 });
    assert_eq!(
        error.to_string(),
        "expected Latin-1 characters for the Code 128, found `☂` (U+2602) as character 6"
    );
    // The euro sign is in Windows-1252 and not in Latin-1.
    let error = Code128::encode_text("é€").unwrap_err();
    assert_eq!(error, Code128Error::NotLatin1 { character: '€', index: 1 });
}

#[test]
fn nothing_to_encode_is_an_error() {
    assert_eq!(Code128::encode_text(""), Err(Code128Error::Empty));
    assert_eq!(Code128::encode(&[]), Err(Code128Error::Empty));
}

/// Accented text is data, never a command: a library that takes code sets in-band loses it.
#[test]
fn text_that_looks_like_a_command_stays_text() {
    for text in ["NÀME", "À", "Ć", "\u{17D}"] {
        match Code128::encode_text(text) {
            Ok(symbol) => assert_eq!(read_code128(&symbol), text),
            Err(error) => assert!(matches!(error, Code128Error::NotLatin1 { .. }), "{text}"),
        }
    }
}

#[test]
fn long_text_is_encoded_in_linear_time_and_memory() {
    let text = "Tern Hollow 0123456789 é".repeat(4_000);
    let symbol = Code128::encode_text(&text).unwrap();
    assert_eq!(symbol.text(), text);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_printable_ascii_is_read_back_by_rxing(text in "[ -~]{1,40}") {
        prop_assert_eq!(read_code128(&Code128::encode_text(&text).unwrap()), text);
    }

    #[test]
    fn any_latin_1_text_is_read_back_by_rxing(
        bytes in prop::collection::vec(any::<u8>(), 1..=40),
    ) {
        let text: String = bytes.iter().map(|&byte| char::from(byte)).collect();
        prop_assert_eq!(read_code128(&Code128::encode_text(&text).unwrap()), text);
    }

    #[test]
    fn any_text_is_encoded_or_refused_at_its_first_foreign_character(text in ".{1,40}") {
        match Code128::encode_text(&text) {
            Ok(symbol) => prop_assert_eq!(symbol.text(), text),
            Err(error) => {
                let index = text.chars().position(|c| u32::from(c) > 0xFF);
                let character = index.and_then(|at| text.chars().nth(at));
                let named = Code128Error::NotLatin1 {
                    character: character.unwrap(),
                    index: index.unwrap(),
                };
                prop_assert_eq!(error, named);
            }
        }
    }
}
